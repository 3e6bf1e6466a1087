"""What the pages of a spot check show: how to check the draw, and what is weighed of whom it called."""

from dataclasses import dataclass

from django.urls import reverse

from events.bags.models import SpotCheck, Weighing
from events.bags.queries import bags_of
from events.bags.spot_checks import Drawn, drawn, pool_of, ranks_of, rows_of, seed_of
from events.bags.spot_draw import Taken, bits_needed, revealed
from events.bags.spot_planner import throws_needed
from events.bags.spot_recipe import Step, keyed_steps, rfc_steps
from events.entries.models import Entry


@dataclass(frozen=True, slots=True)
class PoolLine:
    """A label of the pool. `rank`, `digest` and `taken` once it is drawn; `place`: "drawn", "spare" or ""."""

    label: str
    name: str
    rank: int | None = None
    digest: str = ""
    place: str = ""


@dataclass(frozen=True, slots=True)
class Published:
    """All of a draw that is public: before it is drawn, pool and commitment only."""

    check: SpotCheck
    lines: tuple[PoolLine, ...]
    seed: str = ""
    revealed: str = ""
    rows: tuple[tuple[Taken, str, str], ...] = ()
    steps: tuple[Step, ...] = ()

    @property
    def drawn(self) -> tuple[PoolLine, ...]:
        return tuple(line for line in self.lines if line.place)


def published(check: SpotCheck) -> Published:
    """What anybody may see of a draw (no query). The code is worked out only once the draw is made."""
    pool = pool_of(check)
    if check.result is None:
        return Published(check, tuple(PoolLine(player.label, player.name) for player in pool))
    places = {label: "drawn" if at < check.wanted else "spare" for at, label in enumerate(check.result)}
    names = {player.label: player.name for player in pool}
    seed = seed_of(check)
    if check.method == SpotCheck.Method.KEYED:
        ranks = ranks_of(check)
        lines = tuple(
            PoolLine(each.label, names[each.label], each.rank, each.digest, places.get(each.label, ""))
            for each in ranks
        )
        code = revealed(check.secret)
        steps = keyed_steps(check.commitment, code, seed, ranks, len(check.result))
        return Published(check, lines, seed, code, (), steps)
    rows = rows_of(check)
    order = {label: at for at, label in enumerate(check.result, start=1)}
    lines = tuple(
        PoolLine(player.label, player.name, order.get(player.label), "", places.get(player.label, ""))
        for player in pool
    )
    shown = tuple((row, pool[row.number - 1].label, pool[row.number - 1].name) for row in rows)
    return Published(check, lines, seed, "", shown, rfc_steps(seed, len(pool), rows))


@dataclass(frozen=True, slots=True)
class Called:
    """A drawn player at the equipment desk: division, and how much of the bag was weighed in this round."""

    drawn: Drawn
    division: str
    weighed: int
    carried: int
    rejected: int

    @property
    def done(self) -> bool:
        return self.carried > 0 and self.weighed == self.carried


def called_of(check: SpotCheck) -> list[Called]:
    """Whom the draw names, in its order, with the progress of each bag (6 queries)."""
    found = drawn(check)
    entries = Entry.objects.filter(pk__in=[each.entry_id for each in found]).select_related("division")
    by_id = {entry.pk: entry for entry in entries}
    bags = bags_of(by_id.values(), check.round)
    newest: dict[int, str] = {}
    weighings = Weighing.objects.filter(entry__in=by_id, round=check.round).order_by("pk")
    for disc, zone in weighings.values_list("disc_id", "zone"):
        newest[disc] = zone
    lines = []
    for each in found:
        entry = by_id.get(each.entry_id)
        carried = [disc.pk for disc in bags[entry.pk].carried] if entry else []
        zones = [newest[pk] for pk in carried if pk in newest]
        lines.append(
            Called(
                each,
                entry.division.code if entry else "",
                len(zones),
                len(carried),
                zones.count(Weighing.Zone.REJECT),
            )
        )
    return lines


@dataclass(frozen=True, slots=True)
class Needed:
    """The randomness that a draw needs, and the throws of a die that hold it."""

    bits: int
    throws: int


def needed_for(check: SpotCheck) -> Needed:
    count, size = check.wanted + check.spares, len(check.pool)
    return Needed(bits_needed(size, count), throws_needed(size, count))


def public_path(check: SpotCheck) -> str:
    """Where anybody can see the draw, without signing in."""
    return reverse("spot:page", args=[check.round.event.slug, check.round.number, check.number])
