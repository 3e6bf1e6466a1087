import pytest

from desk.boot import browser, gate
from desk.boot.errors import StartError

TESTS = """\
import os
import pytest

def test_good(): assert os.environ["STARTHORN_DATA"].endswith("data")
def test_bad(): assert False
@pytest.fixture
def broken(): raise ValueError
def test_never_runs(broken): pass
def test_left_out(): pytest.skip("for the count")
"""


@pytest.fixture
def bench(tmp_path):
    """A gate over a folder of its own with a handful of tests."""
    (tmp_path / "pytest.ini").write_text("[pytest]\naddopts = -p no:django -p no:cacheprovider\n")
    (tmp_path / "test_some.py").write_text(TESTS)
    return gate.Gate(tmp_path, tmp_path, chromium=None)


def names_and_verdicts(bench):
    return [(verdict.name, verdict.passed) for verdict in bench.verdicts]


def test_figures_come_from_pytest_and_a_failure_fails_the_gate(bench, capfd):
    bench.pytest("tests", [])

    assert bench.summary() == 1
    assert names_and_verdicts(bench) == [("tests", False)]
    assert capfd.readouterr().out.splitlines()[-1] == "1 passed, 2 failed, 1 skipped"


def test_figures_of_two_runs_add_up(bench, capfd):
    bench.pytest("tests", ["-k", "good"])
    bench.pytest("again", ["-k", "good"])

    assert bench.summary() == 0
    assert capfd.readouterr().out.splitlines()[-1] == "2 passed, 0 failed"


def test_a_run_without_a_test_has_shown_nothing(bench, capfd):
    bench.pytest("tests", ["-k", "nothing_of_that_name"])

    assert bench.summary() == 1
    assert capfd.readouterr().out.splitlines()[-1] == "0 passed, 0 failed"


def test_a_failing_command_does_not_keep_the_next_from_running(bench, capfd):
    bench.judge("first", ["-c", "raise SystemExit(3)"])
    bench.judge("second", ["-c", "pass"])

    assert bench.summary() == 1
    assert names_and_verdicts(bench) == [("first", False), ("second", True)]


@pytest.mark.parametrize(("required", "verdict", "status"), [("", None, 0), ("0", None, 0), ("1", False, 1)])
def test_a_missing_chromium_is_told_and_fails_where_it_is_required(
    bench, capfd, monkeypatch, required, verdict, status
):
    monkeypatch.setenv("STARTHORN_REQUIRE_BROWSER", required)

    gate.browser_tests(bench)

    assert names_and_verdicts(bench) == [("browser tests", verdict)]
    assert bench.summary() == status
    assert capfd.readouterr().out.splitlines()[1] == (
        "== browser tests: not run, no Chromium found (install chromium, or set STARTHORN_CHROMIUM)"
    )


def test_words_go_to_pytest_and_leave_the_browser_out_where_there_is_none(bench, monkeypatch):
    monkeypatch.setenv("STARTHORN_REQUIRE_BROWSER", "")
    (bench.root / "pytest.ini").write_text("[pytest]\nmarkers = browser\naddopts = -p no:django\n")
    (bench.root / "test_some.py").write_text(
        "import pytest\n@pytest.mark.browser\ndef test_page(): assert False\ndef test_good(): pass\n"
    )

    assert gate.chosen_tests(bench, ["-q"]) == 0
    assert gate.chosen_tests(bench, ["-q", "-m", "browser"]) == 1


def test_words_do_not_get_round_a_required_browser(bench, monkeypatch):
    monkeypatch.setenv("STARTHORN_REQUIRE_BROWSER", "1")

    assert gate.chosen_tests(bench, ["-k", "good"]) == 1


def test_chromium_is_looked_for_under_its_three_names(tmp_path, monkeypatch):
    monkeypatch.delenv("STARTHORN_CHROMIUM", raising=False)
    monkeypatch.setenv("PATH", str(tmp_path))
    assert browser.find() is None

    for name in ("google-chrome", "chromium-browser", "chromium"):
        (tmp_path / name).touch(0o755)
        assert browser.find() == str(tmp_path / name)


def test_a_chromium_that_is_named_goes_first_and_must_exist(tmp_path, monkeypatch):
    own = tmp_path / "own"
    monkeypatch.setenv("STARTHORN_CHROMIUM", str(own))
    with pytest.raises(StartError) as refused:
        browser.find()
    assert str(refused.value) == f"STARTHORN_CHROMIUM={own} is not a program that can be run."

    own.touch(0o755)
    assert browser.find() == str(own)
