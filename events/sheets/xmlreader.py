"""Reading a big XML part by streaming: the events of expat, and the table of shared texts."""

from collections.abc import Callable
from xml.parsers import expat

from events.sheets import formats
from events.sheets.cells import is_blank
from events.sheets.package import Package, parser
from events.sheets.refusal import Limits, damaged


class Enough(Exception):
    """The wanted rows are read."""


class Reader:
    """Turns expat's events into calls of the methods that subclasses enter in `starts` and `ends`."""

    starts: dict[str, Callable[[dict[str, str]], None]]
    ends: dict[str, Callable[[], None]]

    def __init__(self) -> None:
        self.text: list[str] | None = None

    def start(self, name: str, attributes: dict[str, str]) -> None:
        act = self.starts.get(name) or self.starts.get(name.rpartition(":")[2])
        if act is not None:
            act(attributes)

    def end(self, name: str) -> None:
        act = self.ends.get(name) or self.ends.get(name.rpartition(":")[2])
        if act is not None:
            act()

    def characters(self, text: str) -> None:
        if self.text is not None:
            self.text.append(text)

    def listen(self, _attributes: dict[str, str]) -> None:
        self.text = []


def run(package: Package, part: str, reader: Reader) -> None:
    made = parser()
    made.StartElementHandler = reader.start
    made.EndElementHandler = reader.end
    made.CharacterDataHandler = reader.characters
    try:
        for chunk in package.chunks(part):
            made.Parse(chunk, False)
        made.Parse(b"", True)
    except Enough:
        return
    except (expat.ExpatError, ValueError, IndexError) as error:
        raise damaged(f"its part {part[:80]} cannot be read") from error


class _Strings(Reader):
    """The shared texts in order: rich text joined, phonetic guides left out."""

    def __init__(self, limits: Limits) -> None:
        super().__init__()
        self.found: list[str | None] = []
        self._pieces: list[str] = []
        self._phonetic = False
        self._limits = limits
        self.starts = {"si": self._open, "t": self.listen, "rPh": self._mute}
        self.ends = {"si": self._close, "t": self._piece, "rPh": self._unmute}

    def _open(self, _attributes: dict[str, str]) -> None:
        self._pieces = []

    def _mute(self, _attributes: dict[str, str]) -> None:
        self._phonetic = True

    def _unmute(self) -> None:
        self._phonetic = False

    def _piece(self) -> None:
        if self.text is not None and not self._phonetic:
            self._pieces.extend(self.text)
        self.text = None

    def _close(self) -> None:
        text = formats.unescaped("".join(self._pieces))
        self.found.append(None if is_blank(text) else text[: self._limits.characters])


def shared_strings(package: Package, part: str, limits: Limits) -> list[str | None]:
    reader = _Strings(limits)
    run(package, part, reader)
    return reader.found
