"""The one gate: lint, format, types, import contracts, Django's own checks, and every test."""

import os
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path
from xml.etree import ElementTree

from desk.boot import browser
from desk.boot.console import say

OUR_CODE = ["manage.py", "players", "events", "scoring", "desk"]
_WORKERS_AT_MOST = 4


@dataclass(frozen=True)
class Verdict:
    """How one gate ended; `passed` is None for a gate that was left out."""

    name: str
    passed: bool | None
    seconds: float


@dataclass
class Counts:
    """What pytest itself reported, added up over its runs."""

    passed: int = 0
    failed: int = 0
    skipped: int = 0

    def add(self, report: Path) -> None:
        """Add the figures of one of pytest's report files, if it came to write one."""
        if not report.exists():
            return
        for suite in ElementTree.parse(report).iter("testsuite"):  # noqa: S314  written by our own pytest
            figures = {name: int(suite.get(name, 0)) for name in ("tests", "failures", "errors", "skipped")}
            failed = figures["failures"] + figures["errors"]
            self.failed += failed
            self.skipped += figures["skipped"]
            self.passed += max(0, figures["tests"] - failed - figures["skipped"])

    def line(self) -> str:
        """Return the closing line in the plain form that a machine can read."""
        skipped = f", {self.skipped} skipped" if self.skipped else ""
        return f"{self.passed} passed, {self.failed} failed{skipped}"


class Gate:
    """Runs commands from the clone's top folder, with a throwaway data folder, and keeps their verdicts."""

    def __init__(self, root: Path, scratch: Path, chromium: str | None) -> None:
        self.root = root
        self.chromium = chromium
        self.scratch = scratch
        self.verdicts: list[Verdict] = []
        self.counts = Counts()
        # The director's own data are out of reach of every check and test.
        self.env = {**os.environ, "STARTHORN_DATA": str(scratch / "data")}
        if chromium:
            self.env[browser.PATH_VARIABLE] = chromium

    def call(self, command: list[str]) -> int:
        """Run one command to its end, its output going where ours goes."""
        sys.stdout.flush()
        return subprocess.run([sys.executable, *command], cwd=self.root, env=self.env, check=False).returncode  # noqa: S603

    def judge(self, name: str, command: list[str]) -> None:
        """Run one gate, announce it and its verdict, and keep the verdict."""
        say(f"\n== {name}")
        began = time.monotonic()
        passed = self.call(command) == 0
        verdict = Verdict(name, passed, time.monotonic() - began)
        self.verdicts.append(verdict)
        say(f"== {name}: {_word(verdict)}")

    def pytest(self, name: str, words: list[str]) -> None:
        """Run pytest as a gate and add its figures up; a run without a test has shown nothing and fails."""
        report = self.scratch / f"report-{len(self.verdicts)}.xml"
        self.judge(name, ["-m", "pytest", f"--junitxml={report}", *words])
        self.counts.add(report)

    def leave_out(self, name: str, why: str, *, failure: bool) -> None:
        """Record a gate that cannot run here."""
        say(f"\n== {name}: {why}")
        self.verdicts.append(Verdict(name, False if failure else None, 0.0))

    def summary(self) -> int:
        """Print every verdict and, last, the number of tests; return the exit status."""
        say("\n== Summary")
        for verdict in self.verdicts:
            say(f"  {_word(verdict):8} {verdict.name}  {verdict.seconds:.0f} s")
        say(self.counts.line())
        return 1 if any(verdict.passed is False for verdict in self.verdicts) else 0


def run(root: Path, words: list[str]) -> int:
    """Run the whole gate, or, with `words`, only pytest with them; return the exit status.

    Must be run by the environment's Python with the packages of the tests in it.
    """
    with tempfile.TemporaryDirectory(prefix="starthorn-gate-") as scratch:
        gate = Gate(root, Path(scratch), browser.find())
        if words:
            return chosen_tests(gate, words)
        for name, command in _static_gates():
            gate.judge(name, command)
        gate.pytest("tests", ["-m", "not browser", "-n", _workers()])
        browser_tests(gate)
        return gate.summary()


def _static_gates() -> list[tuple[str, list[str]]]:
    lint_imports = "from importlinter.cli import lint_imports_command; lint_imports_command()"
    return [
        ("lint (ruff check)", ["-m", "ruff", "check", "."]),
        ("format (ruff format)", ["-m", "ruff", "format", "--check", "."]),
        ("types (mypy)", ["-m", "mypy", *OUR_CODE]),
        ("import contracts (import-linter)", ["-c", lint_imports, "--no-logo"]),
        ("system checks", ["manage.py", "check", "--fail-level", "WARNING"]),
        ("no missing migration", ["manage.py", "makemigrations", "--check", "--dry-run"]),
    ]


def browser_tests(gate: Gate) -> None:
    """Run the tests that drive a browser, or say that there is none, which fails only where one is required."""
    name = "browser tests"
    if gate.chromium:  # one at a time: several browsers at once make each other late
        gate.pytest(name, ["-m", "browser"])
    else:
        gate.leave_out(name, _no_chromium(), failure=browser.is_required())


def chosen_tests(gate: Gate, words: list[str]) -> int:
    """Run only pytest with the words of the command line and return its exit status."""
    if gate.chromium is None and "-m" not in words:
        say(f"Browser tests: {_no_chromium()}")
        if browser.is_required():
            return 1
        words = ["-m", "not browser", *words]
    return gate.call(["-m", "pytest", *words])


def _no_chromium() -> str:
    return f"not run, no Chromium found (install chromium, or set {browser.PATH_VARIABLE})"


def _workers() -> str:
    return str(min(_WORKERS_AT_MOST, os.cpu_count() or 1))


def _word(verdict: Verdict) -> str:
    return {True: "ok", False: "FAILED", None: "left out"}[verdict.passed]
