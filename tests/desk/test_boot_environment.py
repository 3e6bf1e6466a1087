"""`.venv` made, kept, changed and repaired for real, with two tiny packages from a folder instead of the index."""

import hashlib
import io
import shutil
import subprocess
import sys
import threading
import zipfile

import pytest

from desk.boot import stamp
from desk.boot.environment import Environment
from desk.boot.errors import StartError

PYTHON = f"{sys.version_info.major}.{sys.version_info.minor}"


def make_wheel(folder, name, version):
    """Write the smallest wheel that pip takes: one module that knows its version. Returns its SHA-256."""
    about = f"{name}-{version}.dist-info"
    path = folder / f"{name}-{version}-py3-none-any.whl"
    with zipfile.ZipFile(path, "w") as wheel:
        wheel.writestr(f"{name}.py", f"VERSION = {version!r}\n")
        wheel.writestr(f"{about}/METADATA", f"Metadata-Version: 2.1\nName: {name}\nVersion: {version}\n")
        wheel.writestr(f"{about}/WHEEL", "Wheel-Version: 1.0\nRoot-Is-Purelib: true\nTag: py3-none-any\n")
        wheel.writestr(
            f"{about}/RECORD", f"{name}.py,,\n{about}/METADATA,,\n{about}/WHEEL,,\n{about}/RECORD,,\n"
        )
    return hashlib.sha256(path.read_bytes()).hexdigest()


class Clone:
    """A folder with lock files over a folder of wheels, as `Environment` expects it."""

    def __init__(self, root):
        self.root = root
        self.wheels = root / "wheels"
        self.wheels.mkdir()
        self.hashes = {
            f"{name}=={version}": make_wheel(self.wheels, name, version)
            for name, version in [("alpha", "1.0"), ("alpha", "1.1"), ("beta", "2.0")]
        }
        self.lock("requirements.lock", "alpha==1.0")
        self.lock("requirements-test.lock", "alpha==1.0", "beta==2.0")

    def lock(self, name, *pins, hashes=None):
        lines = [f"{pin} \\\n    --hash=sha256:{(hashes or self.hashes)[pin]}" for pin in pins]
        (self.root / name).write_text("\n".join(["--no-index", f"--find-links {self.wheels}", *lines, ""]))

    def ensure(self, name="requirements.lock"):
        out = io.StringIO()
        Environment(self.root).ensure(name, out)
        return out.getvalue()

    def version_of(self, package):
        command = [self.root / ".venv/bin/python", "-c", f"import {package}; print({package}.VERSION)"]
        ran = subprocess.run(command, capture_output=True, text=True, check=False)
        return ran.stdout.strip() or None


@pytest.fixture(scope="module")
def installed(tmp_path_factory):
    """A clone after its first start: made once, because making it takes seconds."""
    clone = Clone(tmp_path_factory.mktemp("clone"))
    clone.said = clone.ensure()
    return clone


@pytest.fixture
def clone(installed, tmp_path):
    """A copy of it that the test may spoil; its `.venv` still stands where it was made."""
    copy = shutil.copytree(installed.root, tmp_path / "clone", symlinks=True)
    made = Clone.__new__(Clone)
    made.root, made.wheels, made.hashes = copy, copy / "wheels", installed.hashes
    made.lock("requirements.lock", "alpha==1.0")
    made.lock("requirements-test.lock", "alpha==1.0", "beta==2.0")
    locks = {"requirements.lock": stamp.fingerprint(copy / "requirements.lock")}
    stamp.write(copy / ".venv", stamp.Stamp(PYTHON, locks, finished=True))
    return made


def test_the_first_start_makes_it_and_says_so(installed):
    assert installed.said == (
        f"Making .venv for Python {PYTHON}.\n"
        "Installing the packages of requirements.lock into .venv:\n"
        "  1 of 1\n"
        "  putting 1 packages in place\n"
    )
    assert installed.version_of("alpha") == "1.0"


def test_the_second_start_touches_and_says_nothing(clone):
    shutil.rmtree(clone.wheels)  # as if the network were gone

    assert clone.ensure() == ""


def test_the_packages_of_the_tests_serve_the_desk_too(clone):
    assert clone.ensure("requirements-test.lock") != ""

    assert clone.version_of("beta") == "2.0"
    assert clone.ensure("requirements-test.lock") == ""
    assert clone.ensure("requirements.lock") == ""


def test_a_changed_lock_file_is_followed_without_making_everything_anew(clone):
    clone.lock("requirements.lock", "alpha==1.1")

    assert clone.ensure().splitlines()[0] == "Installing the packages of requirements.lock into .venv:"
    assert clone.version_of("alpha") == "1.1"


def test_an_interrupted_installation_is_made_anew(clone):
    stamp.write(clone.root / ".venv", stamp.Stamp(PYTHON, {}, finished=False))
    half = next((clone.root / ".venv").glob("lib/*/site-packages")) / "alpha.py"
    half.write_text("")  # pip itself would take this for installed

    assert clone.ensure().splitlines()[0] == f"Making .venv for Python {PYTHON}."
    assert clone.version_of("alpha") == "1.0"


def test_an_environment_for_another_python_is_made_anew(clone):
    (clone.root / ".venv" / "pyvenv.cfg").write_text("home = /usr/bin\nversion = 3.4.1\n")
    stamp.write(clone.root / ".venv", stamp.Stamp("3.4", {}, finished=True))

    assert clone.ensure().splitlines()[0] == f"Making .venv for Python {PYTHON}."


def test_an_environment_that_somebody_made_by_hand_is_completed_and_kept(clone):
    (clone.root / ".venv" / "starthorn-stamp.json").unlink()
    (clone.root / ".venv" / "own-file").touch()

    assert clone.ensure("requirements-test.lock").splitlines()[0] == (
        "Installing the packages of requirements-test.lock into .venv:"
    )
    assert (clone.root / ".venv" / "own-file").exists()
    assert clone.version_of("beta") == "2.0"


def test_a_package_that_is_not_the_locked_one_is_refused_and_the_old_one_serves_on(clone):
    before = (clone.root / "requirements.lock").read_text()
    clone.lock("requirements.lock", "alpha==1.1", hashes={"alpha==1.1": "0" * 64})

    with pytest.raises(StartError) as refused:
        clone.ensure()

    assert str(refused.value) == (
        "A fetched package is not the one named in requirements.lock: nothing was installed. "
        f"See {clone.root}/.venv/starthorn-install.log."
    )
    assert clone.version_of("alpha") == "1.0"
    (clone.root / "requirements.lock").write_text(before)
    assert clone.ensure() == ""


def test_two_starts_at_once_install_once(clone):
    clone.lock("requirements.lock", "alpha==1.1")
    said = []
    starts = [threading.Thread(target=lambda: said.append(clone.ensure())) for _ in range(2)]

    for start in starts:
        start.start()
    for start in starts:
        start.join()

    assert sorted(said) == [
        "Another start is still installing: waiting for it.\n",
        "Installing the packages of requirements.lock into .venv:\n  1 of 1\n  putting 1 packages in place\n",
    ]
