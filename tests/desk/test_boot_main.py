"""`manage.py` itself, run as a director or a volunteer runs it: in a process of its own."""

import os
import re
import shutil
import signal
import socket
import subprocess
import sys
import urllib.request
from contextlib import closing
from pathlib import Path

import pytest
from django.conf import settings

from desk.boot import main

ROOT = Path(__file__).resolve().parents[2]


def environment_of(data):
    """Our environment with another data folder and, as on a laptop, SQLite."""
    kept = {name: value for name, value in os.environ.items() if name not in {"DATABASE_URL", "COVERAGE"}}
    return {**kept, "STARTHORN_DATA": str(data), "DJANGO_SETTINGS_MODULE": "desk.settings"}


def manage(data, *words, root=ROOT):
    command = [sys.executable, str(root / "manage.py"), *words]
    return subprocess.run(
        command, env=environment_of(data), capture_output=True, text=True, check=False, timeout=60
    )


def outcome(ran):
    return ran.returncode, ran.stdout, ran.stderr


@pytest.fixture
def bare_clone(tmp_path):
    """The start-up's own files without any `.venv`."""
    clone = tmp_path / "clone"
    shutil.copytree(ROOT / "desk" / "boot", clone / "desk" / "boot")
    shutil.copy(ROOT / "manage.py", clone)
    return clone


@pytest.fixture
def served(tmp_path):
    """Start the desk on a free port; yields a function that takes more words and returns process and lines."""
    running = []

    def start(*words):
        command = [sys.executable, str(ROOT / "manage.py"), "start", "--port", "0", *words]
        process = subprocess.Popen(
            command,
            env=environment_of(tmp_path / "data"),
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        running.append(process)
        lines = []
        while not lines or not lines[-1].startswith("  Stop"):
            line = process.stdout.readline()
            assert line, process.stderr.read()
            lines.append(line.rstrip("\n"))
        return process, lines

    yield start
    for process in running:
        process.kill()
        process.communicate()


def test_an_older_python_is_told_in_one_line():
    pretend = (
        "import runpy, sys; sys.version_info = (3, 10, 4); sys.version = '3.10.4 (main)';"
        f"runpy.run_path({str(ROOT / 'manage.py')!r}, run_name='__main__')"
    )
    ran = subprocess.run([sys.executable, "-c", pretend], capture_output=True, text=True, check=False)

    assert outcome(ran) == (1, "", "Starthorn needs Python 3.11 or newer; this is Python 3.10.4.\n")


def test_another_command_before_the_first_start_says_what_comes_first(bare_clone, tmp_path):
    assert outcome(manage(tmp_path, "check", root=bare_clone)) == (
        1,
        "",
        "Nothing is installed yet: run `python3 manage.py start` first.\n",
    )


def test_another_command_is_djangos(tmp_path):
    ran = manage(tmp_path, "shell", "-c", "from django.conf import settings; print(settings.DATA_DIR)")

    assert (ran.returncode, ran.stdout.splitlines()[-1]) == (0, str(tmp_path))


def test_a_busy_port_is_one_line_and_nothing_is_made(tmp_path):
    with closing(socket.create_server(("0.0.0.0", 0))) as other:
        port = other.getsockname()[1]
        ran = manage(tmp_path / "data", "start", "--port", str(port))

    assert outcome(ran) == (
        1,
        "",
        f"Port {port} is busy, perhaps with another Starthorn: stop that, or choose another with --port.\n",
    )
    assert not (tmp_path / "data").exists()


def test_an_unwritable_data_folder_is_one_line(tmp_path):
    (tmp_path / "file").touch()

    ran = manage(tmp_path, "start", "--port", "0", "--data", str(tmp_path / "file" / "data"))

    assert outcome(ran) == (
        1,
        "",
        f"The data folder {tmp_path}/file/data cannot be written (Not a directory): choose another with --data.\n",
    )


def test_a_bad_setting_is_one_line(tmp_path, monkeypatch):
    monkeypatch.setenv("STARTHORN_DEBUG", "perhaps")

    ran = manage(tmp_path, "start", "--port", "0", "--empty")

    assert outcome(ran) == (1, "", "STARTHORN_DEBUG='perhaps': write 1 or 0.\n")


def test_a_file_that_is_no_database_is_one_line(tmp_path):
    (tmp_path / "starthorn.sqlite3").write_text("not a database, but long enough to be looked at" * 20)

    ran = manage(tmp_path, "start", "--port", "0", "--empty")

    assert outcome(ran) == (
        1,
        "",
        f"The database {tmp_path}/starthorn.sqlite3 cannot be used: file is not a database\n",
    )


@pytest.mark.parametrize("ending", [signal.SIGINT, signal.SIGTERM])
def test_serves_the_desk_and_ends_cleanly(served, tmp_path, ending):
    process, lines = served("--empty")
    address = re.fullmatch(r"  Desk      (http://127\.0\.0\.1:\d+/)", lines[-5 - network_lines(lines)])[1]
    with urllib.request.urlopen(f"{address}sign-in/", timeout=10) as page:
        assert page.status == 200
        sheet = re.search(r'href="/(static/[0-9a-f]{10}/css/starthorn\.css)"', page.read().decode())[1]
    with urllib.request.urlopen(f"{address}{sheet}", timeout=10) as style:
        assert style.status == 200  # without collectstatic

    process.send_signal(ending)
    out, err = process.communicate(timeout=20)

    assert (process.returncode, err) == (0, "")
    assert out.splitlines()[-1] == "Starthorn has stopped. Everything acknowledged is saved."
    assert (tmp_path / "data" / "secret_key").stat().st_mode & 0o777 == 0o600


def network_lines(lines):
    return sum(line.startswith("  Network") for line in lines) - 1


def test_the_one_time_link_opens(served):
    _process, lines = served("--empty", "--host", "127.0.0.1")
    link = re.fullmatch(r"  Sign in   open (\S+) once and set the director's password", lines[-2])[1]

    browser = urllib.request.build_opener(urllib.request.HTTPCookieProcessor())
    with browser.open(link, timeout=10) as page:
        assert re.fullmatch(r".*/first/\w+/set-password/", page.url)  # where an honoured link leads
        assert b'type="password"' in page.read()


def test_an_empty_start_has_no_event_and_no_account_but_the_directors(served, tmp_path):
    served("--empty")

    ask = (
        "from django.contrib.auth.models import User; from events.setup.models import Event;"
        "print(Event.objects.count(), [user.has_usable_password() for user in User.objects.all()])"
    )
    assert manage(tmp_path / "data", "shell", "-c", ask).stdout.splitlines()[-1] == "0 [False]"


def test_the_tests_never_use_the_directors_data():
    assert settings.DATA_DIR != ROOT / "data"


def test_the_houses_own_commands_are_told_from_djangos():
    assert main._is_ours("new_event")
    assert main._is_ours("standings")
    assert not main._is_ours("migrate")
    assert not main._is_ours("nonsense")
