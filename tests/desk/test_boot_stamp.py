import hashlib

import pytest

from desk.boot import stamp

LOCK = """\
# how it was made
alpha==1.0 \\
    --hash=sha256:00
    # via beta
beta-two==2.0.1 ; sys_platform == 'win32' \\
    --hash=sha256:11
gamma==3.0; python_full_version < '3.12' \\
    --hash=sha256:22
"""


@pytest.fixture
def lock(tmp_path):
    path = tmp_path / "requirements.lock"
    path.write_text(LOCK)
    return path


def test_pins_are_the_requirements_without_hashes_comments_and_markers(lock):
    assert stamp.pins(lock) == ["alpha==1.0", "beta-two==2.0.1", "gamma==3.0"]


def test_fingerprint_is_the_sha256_of_the_file(lock):
    assert stamp.fingerprint(lock) == hashlib.sha256(LOCK.encode()).hexdigest()


def test_a_written_stamp_reads_back_and_leaves_nothing_beside_it(tmp_path):
    written = stamp.Stamp("3.11", {"requirements.lock": "ab"}, finished=True)

    stamp.write(tmp_path, written)

    assert stamp.read(tmp_path) == written
    assert [path.name for path in tmp_path.iterdir()] == ["starthorn-stamp.json"]


def test_no_stamp_is_none(tmp_path):
    assert stamp.read(tmp_path) is None


@pytest.mark.parametrize("text", ["", "{", "[]", '{"python": "3.11"}', '{"other": 1}'])
def test_a_damaged_stamp_counts_as_unfinished(tmp_path, text):
    (tmp_path / "starthorn-stamp.json").write_text(text)

    assert stamp.read(tmp_path) == stamp.Stamp("", {}, finished=False)


def test_fits_the_lock_that_was_installed_to_the_end_for_this_python(lock):
    locks = {lock.name: stamp.fingerprint(lock)}

    assert stamp.fits(stamp.Stamp("3.11", locks, finished=True), lock, "3.11")
    assert not stamp.fits(None, lock, "3.11")
    assert not stamp.fits(stamp.Stamp("3.11", locks, finished=False), lock, "3.11")
    assert not stamp.fits(stamp.Stamp("3.11", locks, finished=True), lock, "3.12")
    assert not stamp.fits(stamp.Stamp("3.11", {}, finished=True), lock, "3.11")


def test_does_not_fit_a_lock_that_has_changed_since(lock):
    before = stamp.Stamp("3.11", {lock.name: stamp.fingerprint(lock)}, finished=True)
    lock.write_text(LOCK.replace("alpha==1.0", "alpha==1.1"))

    assert not stamp.fits(before, lock, "3.11")


def test_a_larger_lock_covers_one_whose_every_pin_it_holds(lock, tmp_path):
    larger = tmp_path / "requirements-test.lock"
    larger.write_text(LOCK + "delta==4.0 \\\n    --hash=sha256:33\n")

    assert stamp.covered(larger, [lock, larger]) == {
        "requirements-test.lock": stamp.fingerprint(larger),
        "requirements.lock": stamp.fingerprint(lock),
    }
    assert stamp.covered(lock, [lock, larger]) == {"requirements.lock": stamp.fingerprint(lock)}


def test_a_larger_lock_with_another_version_does_not_cover(lock, tmp_path):
    larger = tmp_path / "requirements-test.lock"
    larger.write_text(LOCK.replace("alpha==1.0", "alpha==1.1"))

    assert stamp.covered(larger, [lock, larger]) == {"requirements-test.lock": stamp.fingerprint(larger)}
