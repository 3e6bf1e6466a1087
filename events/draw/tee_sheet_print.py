"""The tee sheet: by time, for the starter and the board, and by name, for a player looking for a start."""

from collections.abc import Sequence
from dataclasses import dataclass

from events.paper.fonts import Style
from events.paper.listing import Block, Cell, Column, Listing, Row
from events.paper.text import collation


@dataclass(frozen=True)
class TeePlayer:
    """One player of a group, in throwing order; `listed` is how the name is filed ("Moravec, Ludvik")."""

    name: str
    division: str = ""
    listed: str = ""
    note: str = ""


@dataclass(frozen=True)
class TeeGroup:
    """One group, in the order of the starts; a note says what changed since the last version."""

    group_number: str
    time_text: str
    start_label: str
    players: tuple[TeePlayer, ...]
    pool: str = ""
    layout_name: str = ""
    note: str = ""


def by_time(groups: Sequence[TeeGroup], *, title: str, subtitle: str) -> Listing:
    """One row per player, groups together; a heading where pool or layout change."""
    columns = (
        Column("time", 10),
        Column("hole", 8),
        Column("group", 8),
        Column("player", 44),
        Column("division", 12),
        Column("note", 18),
    )
    return Listing(title, subtitle, columns, tuple(_time_blocks(groups)))


def _time_blocks(groups: Sequence[TeeGroup]) -> list[Block]:
    blocks: list[Block] = []
    for group in groups:
        heading = " · ".join(filter(None, (group.pool, group.layout_name)))
        rows = _group_rows(group)
        if blocks and blocks[-1].heading == heading:
            blocks[-1] = Block((*blocks[-1].rows, *rows), heading)
        else:
            blocks.append(Block(rows, heading))
    return blocks


def _group_rows(group: TeeGroup) -> tuple[Row, ...]:
    players = group.players or (TeePlayer("(no players)"),)
    rows = []
    for index, player in enumerate(players):
        first = index == 0
        rows.append(
            Row(
                cells=(
                    Cell(group.time_text, Style.HEAD, 13) if first else Cell(),
                    Cell(group.start_label, Style.HEAD, 13) if first else Cell(),
                    Cell(group.group_number, Style.HEAD, 13) if first else Cell(),
                    Cell(player.name, Style.BOLD, 10.5),
                    Cell(player.division, size=10),
                    Cell("; ".join(filter(None, (group.note if first else "", player.note))), size=9),
                ),
                joins_next=index < len(players) - 1,
                heavy=first,
                inside=not first,
            )
        )
    return tuple(rows)


def by_name(groups: Sequence[TeeGroup], *, title: str, subtitle: str) -> Listing:
    """One row per player in the order of the listed names, in two columns on the page."""
    columns = (
        Column("name", 50),
        Column("div.", 14),
        Column("time", 14),
        Column("hole", 11),
        Column("group", 11),
    )
    pairs = [(group, player) for group in groups for player in group.players]
    pairs.sort(key=lambda pair: (collation(pair[1].listed or pair[1].name), pair[0].group_number))
    rows = tuple(
        Row(
            (
                Cell(player.listed or player.name, Style.BOLD, 9.5, below=player.note),
                Cell(player.division, size=9),
                Cell(group.time_text, size=9.5),
                Cell(group.start_label, Style.BOLD, 9.5),
                Cell(group.group_number, size=9.5),
            )
        )
        for group, player in pairs
    )
    return Listing(title, subtitle, columns, (Block(rows),) if rows else (), frames=2)
