"""How one player's standing adds up, hole by hole (no query)."""

from collections.abc import Sequence
from dataclasses import dataclass

from scoring.standings.first_place import CO_WINNERS
from scoring.standings.going_on import DECLINED
from scoring.standings.queries import DivisionStandings, PlayerRound, Row
from scoring.standings.strip_drawn import Strip, strip_of
from scoring.standings.wording import open_text, to_par_text

SOURCE = "Official Rules of Disc Golf 2025, 808.D: holes, penalty throws included, and additional penalties."
PLACE_SOURCE = "Places as 1, 2, 2, 4; ties stand (Competition Manual 2025, 1.09.E)."


@dataclass(frozen=True, slots=True)
class HoleWorking:
    """One hole; `throws` and `to_par` are None where nothing is written."""

    label: str
    par: int
    throws: int | None
    to_par: int | None


@dataclass(frozen=True, slots=True)
class RoundWorking:
    number: int
    layout: str
    par: int
    holes: tuple[HoleWorking, ...]
    holes_sum: int | None
    additional: int
    additional_reason: str
    total: int | None
    to_par: int | None
    complete: bool
    strip: Strip | None
    words: str


@dataclass(frozen=True, slots=True)
class Working:
    rounds: tuple[RoundWorking, ...]
    sentences: tuple[str, ...]


def working_of(division: DivisionStandings, row: Row) -> Working:
    """Each round with its sum, and the sum of the rounds in a sentence."""
    rounds = tuple(_round(each) for each in row.rounds if each.layout is not None)
    return Working(rounds, _sentences(division, row, rounds))


def _round(played: PlayerRound) -> RoundWorking:
    assert played.layout is not None
    holes = played.layout.holes
    throws: Sequence[int | None] = played.throws or (None,) * len(holes)
    scored = [figure for figure in throws if figure is not None]
    result = played.result
    return RoundWorking(
        number=played.number,
        layout=played.layout.name,
        par=played.layout.par,
        holes=tuple(
            HoleWorking(hole.label, hole.par, figure, None if figure is None else figure - hole.par)
            for hole, figure in zip(holes, throws, strict=True)
        ),
        holes_sum=sum(scored) if scored else None,
        additional=played.additional,
        additional_reason=played.additional_reason,
        total=result.total,
        to_par=result.to_par,
        complete=result.complete,
        strip=strip_of(played),
        words=_words(played),
    )


def _words(played: PlayerRound) -> str:
    result = played.result
    if result.total is None:
        return "No score is written."
    holes = result.total - played.additional
    sum_text = f"{holes} throws"
    if played.additional:
        reason = f" ({played.additional_reason})" if played.additional_reason else ""
        sum_text += f" + {played.additional} additional{reason} = {result.total}"
    par = result.total - (result.to_par or 0)
    scope = "par" if result.complete else f"par of the {result.played} holes played"
    return f"{sum_text}; {scope} {par}: {to_par_text(result.to_par)}."


def _beside(row: Row) -> list[str]:
    """What moved the player beside the figures of the rounds: a cut, a playoff."""
    standing, said = row.standing, []
    if standing.words == DECLINED:
        said.append(
            "Qualified and declined to play on: last of the qualifiers (Competition Manual 2025, 1.08.D)."
        )
    elif standing.made_cut is False:
        said.append(
            "Missed the cut: stands after all who played on, and counts as having completed all rounds"
            " (Competition Manual 2025, 1.08.E)."
        )
    if standing.decided == CO_WINNERS:
        said.append(
            "The tie for first place was left standing: co-winners (Competition Manual 2025, 1.09.D)."
        )
    elif standing.decided:
        won = "won" if standing.place == 1 else "did not win"
        said.append(
            f"Tied for first place, and {won} the playoff; its throws count in no round"
            " (Competition Manual 2025, 1.09.B)."
        )
    if row.moved:
        said.append(f"{'Up' if row.moved > 0 else 'Down'} {abs(row.moved)} since the round before.")
    return said


def _open(row: Row) -> list[str]:
    """What is not decided yet, with where it is seen to."""
    return [
        f"Round {each.number}: {open_text(each.open.holes, card=each.open.card)}, in the card room. What was written"
        " differs; a typed figure counts meanwhile, and a hole on which only phones differ counts as missing."
        for each in row.rounds
        if each.open is not None
    ]


def _sentences(division: DivisionStandings, row: Row, rounds: Sequence[RoundWorking]) -> tuple[str, ...]:
    standing = row.standing
    scored = [each for each in rounds if each.total is not None]
    lines = _open(row)
    if standing.total is not None:
        parts = " + ".join(str(each.total) for each in scored)
        lines.append(f"Total: {parts}{f' = {standing.total}' if len(scored) > 1 else ''} throws.")
        against = " ".join(to_par_text(each.to_par) for each in scored)
        lines.append(
            f"Against par: {against}{f' = {to_par_text(standing.to_par)}' if len(scored) > 1 else ''}."
        )
        measure = "total" if division.by_total else "score against par over the holes played"
        lines.append(f"Compared in {division.code} by {measure}.")
        lines += _beside(row)
    else:
        lines.append(f"No place: {standing.words}.")
    return tuple(lines)
