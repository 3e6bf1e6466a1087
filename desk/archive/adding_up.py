"""Whether the scores of an event that came in with an archive add up: every page rests on them."""

from desk.archive.refusal import ArchiveRefused
from events.setup.models import Event
from scoring.cards.arithmetic import LineSum, line_total
from scoring.cards.models import StandingLine


def check_scores(event: Event) -> None:
    """Add up every player's round anew (1 query). Raises ArchiveRefused, naming round and player, where the holes,
    additional throws and rulings of a line do not make its total."""
    lines = StandingLine.objects.filter(round__event=event).select_related("round", "entry__person")
    for line in lines.order_by("round__number", "pk"):
        counts = line.counted
        added = line_total(counts.throws, [0] * len(counts.throws), counts.additional)
        if (added.total, added.played, added.complete) != (line.total, line.played, line.complete):
            raise ArchiveRefused(
                f"The file was changed: in round {line.round.number} the holes of {line.entry.person.name} make"
                f" {_throws(added)}, and the line says {_throws(line)}."
                " Copy it again from where it was made."
            )


def _throws(of: LineSum | StandingLine) -> str:
    if of.total is None:
        return "no score"
    holes = "1 hole" if of.played == 1 else f"{of.played} holes"
    return f"{of.total} on {holes}{'' if of.complete else ', unfinished'}"
