"""The place tables that come with the house: examples from another sport, never offered as official. Pure."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType

FOLDER = Path(__file__).resolve().parents[2] / "fixtures"
NOT_OFFICIAL = "The governing body's own tables could not be read: import the one you were given."


@dataclass(frozen=True, slots=True)
class Example:
    """`source` is kept with the table and said wherever it is used."""

    file: str
    name: str
    source: str

    def data(self) -> bytes:
        return (FOLDER / self.file).read_bytes()


EXAMPLES: Mapping[str, Example] = MappingProxyType(
    {
        "sevenths": Example(
            "place_table_sevenths.csv",
            "Ball golf, steep",
            "Example: published by a Swedish ball-golf club, which pays one place for every 7 players (9 at most)."
            " No table of the sport.",
        ),
        "thirds": Example(
            "place_table_thirds.csv",
            "Ball golf, flat",
            "Example: published by an American ball-golf association, which pays one place for every 3 players; its"
            " first 10 rows. No table of the sport.",
        ),
    }
)
