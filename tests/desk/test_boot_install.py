import io

import pytest

from desk.boot import install

PIP_SAYS = """\
Looking in indexes: https://index.example/simple, file:///srv/simple
Ignoring colour: markers 'sys_platform == "win32"' don't match your environment
WARNING: Location 'file:///srv/simple/alpha/' is ignored: it is neither a file nor a directory.
Collecting alpha==1.0 (from -r requirements.lock (line 1))
  Using cached alpha-1.0-py3-none-any.whl.metadata (4.1 kB)
Processing /srv/files/beta_two-2.0.1-py3-none-any.whl (from -r requirements.lock (line 4))
Requirement already satisfied: gamma==3.0 in ./lib (from -r requirements.lock (line 9)) (3.0)
Requirement already satisfied: gamma>=2 in ./lib (from alpha==1.0->-r requirements.lock (line 1)) (3.0)
Installing collected packages: beta-two, alpha
Successfully installed alpha-1.0 beta-two-2.0.1
"""


class Terminal(io.StringIO):
    def isatty(self):
        return True


def shown(out, total):
    progress = install.Progress(total, out)
    for line in PIP_SAYS.splitlines(keepends=True):
        progress.read(line)
    return out.getvalue()


def test_a_terminal_sees_each_package_counted_once_on_one_line():
    assert shown(Terminal(), 4) == (
        "\r\x1b[K  1 of 3  alpha\r\x1b[K  2 of 3  beta-two\r\x1b[K  3 of 3  gamma"
        "\r\x1b[K  putting 2 packages in place\n"
    )


def test_a_log_sees_the_end_and_no_word_of_pip():
    assert shown(io.StringIO(), 4) == "  3 of 3\n  putting 2 packages in place\n"


def test_a_terminal_gets_its_line_back_when_pip_breaks_off():
    out = Terminal()
    progress = install.Progress(9, out)
    progress.read("Collecting alpha==1.0 (from -r requirements.lock (line 1))")

    progress.end()
    progress.end()

    assert out.getvalue() == "\r\x1b[K  1 of 9  alpha\r\x1b[K  1 of 9\n"


def test_files_are_being_written_only_from_pips_word_on():
    progress = install.Progress(1, io.StringIO())
    progress.read("Collecting alpha==1.0 (from -r requirements.lock (line 1))")
    assert not progress.placing

    progress.read("Installing collected packages: alpha")
    assert progress.placing


@pytest.mark.parametrize(
    ("said", "line"),
    [
        (
            "ERROR: THESE PACKAGES DO NOT MATCH THE HASHES FROM THE REQUIREMENTS FILE.",
            "A fetched package is not the one named in requirements.lock: nothing was installed. See log.",
        ),
        (
            "WARNING: Retrying after connection broken by 'NewConnectionError(...)'\nERROR: No matching",
            "The package index cannot be reached: the first start needs the internet, later ones do not.",
        ),
        ("ERROR: [Errno 28] No space left on device", "The disk is full: make room and start again."),
        (
            "fine\nERROR: Ill luck.\nERROR: More of it.",
            "The packages could not be installed (Ill luck.). See log.",
        ),
        ("", "The packages could not be installed (pip gave no reason). See log."),
    ],
)
def test_what_went_wrong_is_one_line(tmp_path, said, line):
    assert install.reason(said, tmp_path / "requirements.lock", "log") == line
