"""The words of the messages by language: one file for each beside this module, all with the same keys. Pure."""

import tomllib
from dataclasses import dataclass
from datetime import date, datetime
from functools import cache
from pathlib import Path
from typing import Any

FOLDER = Path(__file__).parent / "words_in"
FIRST = "en"


class UnknownLanguage(ValueError):
    """No words are held in this language."""


@dataclass(frozen=True, slots=True)
class Words:
    """One language. `tag` is its code, as de."""

    tag: str
    held: dict[str, Any]

    @property
    def name(self) -> str:
        return str(self.held["name"])

    def say(self, key: str, **facts: object) -> str:
        """A sentence with its facts filled in."""
        return str(self.held[key]).format(**facts)

    def cause(self, code: str) -> str:
        causes: dict[str, str] = self.held["causes"]
        return causes.get(code, causes["other"])

    def day(self, day: date) -> str:
        """A day with its weekday, in the order of the language."""
        return self.say(
            "day",
            weekday=self.held["weekdays"][day.weekday()],
            day=day.day,
            month=self.held["months"][day.month - 1],
            year=day.year,
        )

    def moment(self, moment: datetime) -> str:
        """A day and the clock of the place: `moment` is local already."""
        return self.say("moment", date=self.day(moment), clock=f"{moment:%H:%M}")


@cache
def languages() -> dict[str, Words]:
    """Every language held, by its tag; the desk's own first."""
    found = {
        path.stem: Words(path.stem, tomllib.loads(path.read_text("utf-8"))) for path in FOLDER.glob("*.toml")
    }
    return dict(sorted(found.items(), key=lambda item: (item[0] != FIRST, item[1].name)))


def words_in(tag: str) -> Words:
    """Raises UnknownLanguage."""
    try:
        return languages()[tag]
    except KeyError:
        raise UnknownLanguage(tag) from None
