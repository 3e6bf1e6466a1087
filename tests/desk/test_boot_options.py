from pathlib import Path

import pytest

from desk.boot import options

ROOT = Path("/clone")


def test_without_words(monkeypatch):
    monkeypatch.delenv("STARTHORN_DATA", raising=False)

    assert options.parse([], ROOT) == options.StartOptions(Path("/clone/data"), "0.0.0.0", 8400, empty=False)


def test_every_word():
    given = ["--empty", "--port", "0", "--host", "127.0.0.1", "--data", "/kept"]

    assert options.parse(given, ROOT) == options.StartOptions(Path("/kept"), "127.0.0.1", 0, empty=True)


@pytest.mark.parametrize("port", ["65536", "-1", "eighty", "²", ""])
def test_a_port_that_is_none_ends_with_2_and_says_so(port, capsys):
    with pytest.raises(SystemExit) as ended:
        options.parse([f"--port={port}"], ROOT)

    assert ended.value.code == 2
    assert capsys.readouterr().err.splitlines()[-1] == (
        f"manage.py start: error: argument --port: {port!r} is not a port: write a number up to 65535"
    )
