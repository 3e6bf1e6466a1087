import os
import subprocess
import sys
import threading
import time

import pytest

from desk.boot import secret
from desk.boot.errors import StartError

KEY_LENGTH = 67  # 50 random bytes in URL-safe base64


def test_makes_the_folder_and_a_key_that_only_its_owner_reads(tmp_path):
    data = tmp_path / "new" / "data"

    key = secret.ensure(data)

    assert len(key) == KEY_LENGTH
    assert (data / "secret_key").stat().st_mode & 0o777 == 0o600


def test_the_key_stays_the_same(tmp_path):
    assert secret.ensure(tmp_path) == secret.ensure(tmp_path)


def test_two_installations_have_different_keys(tmp_path):
    assert secret.ensure(tmp_path / "one") != secret.ensure(tmp_path / "two")


def test_an_umask_that_allows_everything_does_not_widen_the_mode(tmp_path):
    before = os.umask(0)
    try:
        secret.ensure(tmp_path)
    finally:
        os.umask(before)

    assert (tmp_path / "secret_key").stat().st_mode & 0o777 == 0o600


def test_a_restored_copy_that_others_can_read_is_closed_again(tmp_path):
    key = secret.ensure(tmp_path)
    (tmp_path / "secret_key").chmod(0o644)

    assert secret.ensure(tmp_path) == key
    assert (tmp_path / "secret_key").stat().st_mode & 0o777 == 0o600


def test_processes_that_start_at_once_agree_on_one_key(tmp_path):
    say_key = "import sys; from pathlib import Path; from desk.boot import secret; " + (
        "sys.stdin.read(1); print(secret.ensure(Path(sys.argv[1])))"
    )
    racers = [
        subprocess.Popen(
            [sys.executable, "-c", say_key, str(tmp_path)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )
        for _ in range(6)
    ]

    keys = {racer.communicate("x")[0].strip() for racer in racers}

    assert keys == {(tmp_path / "secret_key").read_text()}


def test_waits_for_a_process_that_has_made_the_file_and_not_yet_filled_it(tmp_path):
    path = tmp_path / "secret_key"
    path.touch(0o600)

    def fill():
        time.sleep(0.1)
        path.write_text("written a moment later")

    writer = threading.Thread(target=fill)
    writer.start()
    key = secret.ensure(tmp_path)
    writer.join()

    assert key == "written a moment later"


def test_a_file_that_stays_empty_is_named(tmp_path, monkeypatch):
    monkeypatch.setattr(secret, "_PATIENCE_SECONDS", 0.05)
    (tmp_path / "secret_key").touch(0o600)

    with pytest.raises(StartError) as refused:
        secret.ensure(tmp_path)

    assert (
        str(refused.value)
        == f"The secret key file {tmp_path}/secret_key is empty: delete it and start again."
    )


def test_a_folder_that_cannot_be_made_is_named(tmp_path):
    (tmp_path / "file").touch()

    with pytest.raises(StartError) as refused:
        secret.ensure(tmp_path / "file" / "data")

    assert (
        str(refused.value)
        == f"The secret key {tmp_path}/file/data/secret_key cannot be kept: Not a directory."
    )
