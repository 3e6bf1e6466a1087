import os
import sqlite3
import tempfile
from pathlib import Path

import pytest

from desk.boot import folder
from desk.boot.errors import StartError

NOBODY = 65534


@pytest.fixture
def ordinary_user():
    """Run as somebody whom permission bits bind, also where the tests run as root."""
    if os.geteuid():
        yield
        return
    os.seteuid(NOBODY)
    try:
        yield
    finally:
        os.seteuid(0)


@pytest.fixture
def place():
    """A folder that an ordinary user can reach, unlike pytest's own."""
    with tempfile.TemporaryDirectory() as name:
        Path(name).chmod(0o755)
        yield Path(name)


def refusal(data):
    with pytest.raises(StartError) as refused:
        folder.prepare(data)
    return str(refused.value)


def test_makes_the_folder_and_leaves_no_trace_of_the_trial(tmp_path):
    data = tmp_path / "a" / "b"

    folder.prepare(data)
    folder.prepare(data)

    assert list(data.iterdir()) == []


def test_a_folder_without_permission_to_write(place, request):
    place.chmod(0o555)
    request.getfixturevalue("ordinary_user")

    assert refusal(place) == (
        f"The data folder {place} cannot be written (Permission denied): choose another with --data."
    )


def test_a_folder_that_would_lie_inside_a_file(tmp_path):
    inside = tmp_path / "file" / "data"
    (tmp_path / "file").touch()

    assert refusal(inside) == (
        f"The data folder {inside} cannot be written (Not a directory): choose another with --data."
    )


def test_a_file_in_place_of_the_folder(tmp_path):
    (tmp_path / "data").touch()

    assert refusal(tmp_path / "data") == (
        f"The data folder {tmp_path}/data cannot be written (File exists): choose another with --data."
    )


def test_a_database_that_only_may_be_read(place, request):
    sqlite3.connect(place / "starthorn.sqlite3").close()
    (place / "starthorn.sqlite3").chmod(0o444)
    place.chmod(0o777)
    request.getfixturevalue("ordinary_user")

    assert refusal(place) == f"The database {place}/starthorn.sqlite3 cannot be written (Permission denied)."


def test_the_option_goes_before_the_variable_and_that_before_the_default(monkeypatch, tmp_path):
    monkeypatch.chdir(tmp_path)
    root = Path("/clone")
    monkeypatch.delenv("STARTHORN_DATA", raising=False)
    assert folder.chosen(None, root) == Path("/clone/data")

    monkeypatch.setenv("STARTHORN_DATA", "/elsewhere")
    assert folder.chosen(None, root) == Path("/elsewhere")
    assert folder.chosen("near", root) == tmp_path / "near"
    assert folder.chosen("~/far", root) == Path.home() / "far"


def mode(path):
    return path.stat().st_mode & 0o777


def test_a_folder_that_is_made_is_its_owners_alone_and_one_that_was_there_stays(tmp_path):
    folder.prepare(tmp_path / "new")
    (tmp_path / "old").mkdir(mode=0o755)
    folder.prepare(tmp_path / "old")

    assert (mode(tmp_path / "new"), mode(tmp_path / "old")) == (0o700, 0o755)


def test_the_database_and_what_lies_beside_it_is_closed_to_others_and_nothing_else(tmp_path):
    names = ["starthorn.sqlite3", "starthorn.sqlite3-wal", "starthorn.sqlite3-shm", "list.csv"]
    for name in names:
        (tmp_path / name).touch()
        (tmp_path / name).chmod(0o644)

    folder.close_to_others(tmp_path)

    assert [mode(tmp_path / name) for name in names] == [0o600, 0o600, 0o600, 0o644]
