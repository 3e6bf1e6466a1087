"""The side games' own statement as the sheet that `prints` draws."""

from datetime import datetime

from events.bags.spot_draw import revealed
from events.paper.page import EventHead
from events.setup.figures import money_text
from events.setup.models import Event
from events.setup.overview import days_text
from scoring.games import prints
from scoring.games.queries import CAUTION, games_of
from scoring.games.states import GameState


def games_pdf(event: Event, *, now: datetime) -> bytes:
    """Every game's pot, winners and rest on paper (as many queries as `games_of`)."""
    local = event.local(now)
    head = EventHead(
        name=event.name,
        place=event.venue or event.place,
        dates_text=days_text(event.starts_on, event.ends_on),
        currency=event.currency,
        units="ft" if event.units == "ft" else "m",
        paper="Letter" if event.paper == "Letter" else "A4",
    )
    printed = f"printed {local:%a} {local.day} {local:%B %H:%M}"
    return prints.side_games(
        head, [_sheet(state) for state in games_of(event)], note=CAUTION, printed=printed
    )


def _sheet(state: GameState) -> prints.GameSheet:
    game, currency = state.game, state.game.event.currency
    lines = [
        prints.PotRow(
            f"{source.words}{f' × {source.count}' if source.count is not None else ''}", "", source.cents
        )
        for source in state.pot.sources
    ]
    lines += [
        prints.PotRow(
            " · ".join(filter(None, (award.name, award.why, award.thing))),
            "handed out" if award.handed_at else "not handed out",
            -award.amount_cents,
        )
        for award in state.awards
    ]
    where = ", ".join(
        filter(
            None, (game.place, f"round {game.round.number}" if game.round else "", ", ".join(game.divisions))
        )
    )
    kind = "" if game.name.casefold() == game.get_kind_display() else game.get_kind_display()
    return prints.GameSheet(
        heading=" · ".join(filter(None, (game.name, kind, where))),
        rows=tuple(lines),
        rest_words=f"stays for {game.rest_to}" if state.settled else "in the pot, not settled",
        rest=state.pot.rest,
        note=_checking(state),
        money=lambda cents: money_text(cents, currency),
    )


def _checking(state: GameState) -> str:
    """How anybody can check a raffle; empty for other games and before the draw."""
    draw = state.draw
    if draw is None or draw.drawn_at is None:
        return ""
    return (
        f"Tickets {', '.join(map(str, draw.drawn))} of {len(draw.tickets)}. Promise {draw.commitment}; "
        f"called out: {draw.called_out}; revealed {revealed(draw.secret)}."
    )
