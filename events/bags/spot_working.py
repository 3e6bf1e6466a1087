"""How a spot check was drawn, in full: what anybody needs to do it again by hand."""

from dataclasses import dataclass

from events.bags.models import SpotCheck
from events.bags.spot_checks import Drawn, drawn, pool_of, ranks_of, rows_of, seed_of
from events.bags.spot_draw import STEPS, revealed


@dataclass(frozen=True, slots=True)
class PoolRow:
    """One player of the pool; `order` counts in the draw, None while it is not made or beyond what was drawn."""

    label: str
    name: str
    order: int | None
    digest: str
    state: str


@dataclass(frozen=True, slots=True)
class Working:
    """A draw with its inputs and its recipe. `numbers`, `seed` and `code` are empty before it is made."""

    title: str
    method: str
    keyed: bool
    made: bool
    wanted: int
    spares: int
    source: str
    commitment: str
    frozen: str
    drawn: str
    numbers: str
    seed: str
    code: str
    rows: tuple[PoolRow, ...]
    steps: tuple[tuple[int, str, int, int, int], ...]
    recipe: tuple[str, ...]
    commands: tuple[str, ...]


def working_of(check: SpotCheck) -> Working:
    """The whole working (1 query). The secret's code is in it only once the draw is made."""
    event = check.round.event
    made = check.result is not None
    keyed = check.method == SpotCheck.Method.KEYED
    seed = seed_of(check) if made else ""
    code = revealed(check.secret) if made and keyed else ""
    return Working(
        title=f"Spot check {check.number}, round {check.round.number}",
        method=check.get_method_display(),
        keyed=keyed,
        made=made,
        wanted=check.wanted,
        spares=check.spares,
        source=check.source,
        commitment=check.commitment if keyed else "",
        frozen=f"{event.local(check.frozen_at):%A %d %B, %H:%M} by {check.frozen_by}",
        drawn=f"{event.local(check.drawn_at):%A %d %B, %H:%M} by {check.drawn_by}" if check.drawn_at else "",
        numbers="; ".join(" ".join(str(number) for number in source) for source in check.numbers or []),
        seed=seed,
        code=code,
        rows=_rows(check, made, keyed),
        steps=tuple((row.i, row.digest, row.left, row.index, row.number) for row in rows_of(check))
        if made and not keyed
        else (),
        recipe=_KEYED if keyed else _RFC,
        commands=_commands(check, seed, code) if made else (),
    )


def _rows(check: SpotCheck, made: bool, keyed: bool) -> tuple[PoolRow, ...]:
    digests = {each.label: each.digest for each in ranks_of(check)} if made and keyed else {}
    order = {label: at for at, label in enumerate(check.result or [], start=1)}
    states = {each.label: _state(each) for each in drawn(check)} if made else {}
    rows = [
        PoolRow(
            player.label,
            player.name,
            order.get(player.label),
            digests.get(player.label, ""),
            states.get(player.label, ""),
        )
        for player in pool_of(check)
    ]
    if keyed and made:
        return tuple(sorted(rows, key=lambda row: row.digest))
    return tuple(rows)


def _state(each: Drawn) -> str:
    if each.gone:
        return "drawn, has left the event"
    if each.called:
        return "drawn as a spare, called" if each.spare else "drawn"
    return "spare"


_KEYED = (
    "Before the numbers were known, the pool and the commitment were published here.",
    f"The commitment is the SHA-256 of the code below, which is itself the SHA-256 of a secret ({STEPS} steps in all):"
    " the code could not be changed afterwards.",
    "The numbers are written source by source in ascending order, each with a point, each source with a slash.",
    "The key is the HMAC-SHA-256 of that text under the code.",
    "Each label gets the HMAC-SHA-256 of the label and one byte 01 under the key; the lowest are drawn.",
    "Taking a label out changes no other label's hash: when somebody has left, the next in order steps in.",
)
_RFC = (
    "RFC 3797 (June 2004): the pool was published in this order before the numbers were known.",
    "The numbers are written source by source in ascending order, each with a point, each source with a slash.",
    "For i = 0, 1, 2 …: the MD5 of i as two bytes, that text, and i as two bytes again, read as one large number.",
    "Its remainder by how many are left says which of these, counted from 0, is taken out.",
    "Somebody who has left stays in the pool; the next one drawn steps in.",
)


def _commands(check: SpotCheck, seed: str, code: str) -> tuple[str, ...]:
    """Lines for a terminal that has openssl; the example is the first that was drawn."""
    first = (check.result or [""])[0]
    if check.method == SpotCheck.Method.KEYED:
        return (
            f"printf '{code}' | xxd -r -p | openssl dgst -sha256",
            f"printf '{seed}' | openssl dgst -sha256 -mac HMAC -macopt hexkey:{code}",
            f"printf '{first}\\001' | openssl dgst -sha256 -mac HMAC -macopt hexkey:(the key of the line before)",
        )
    return (f"printf '\\000\\000{seed}\\000\\000' | openssl dgst -md5",)
