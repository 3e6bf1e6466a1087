"""The demo's prizes, posted before the last round, and its games beside the event."""

from datetime import datetime

from events.log.services import Actor
from events.setup.models import Event
from scoring.games.models import Game
from scoring.games.services import Terms, make_game
from scoring.prizes.services import plan_the_rest, post_payout

ACTOR = Actor(name="demo")


def plan_prizes(event: Event, *, now: datetime) -> None:
    """A curve for every division, posted; an ace pot of its own money, and a closest to the pin."""
    plan_the_rest(event=event, facts={"method": "curve", "table": None}, actor=ACTOR, now=now)
    post_payout(event=event, actor=ACTOR, now=now)
    pot = Terms(kind=Game.Kind.ACE, name="Ace pot", stake_cents=500)
    make_game(event=event, terms=pot, apart=False, actor=ACTOR, now=now)
    pin = Terms(kind=Game.Kind.CLOSEST, name="Closest to the pin", prize="a towel from the club")
    make_game(event=event, terms=pin, apart=False, actor=ACTOR, now=now)
