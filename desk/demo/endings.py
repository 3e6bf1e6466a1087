"""The demo's cut before the last round, and the playoff of the two who are level after it, through the services."""

from datetime import datetime, timedelta

from desk.demo.making import ACTOR, Demo
from events.setup.models import Event
from scoring.playoffs.services import Agreed, begin, outcome_of, write_hole
from scoring.playoffs.ties import ties_in
from scoring.standings.cut_setting import post_cut, set_cut
from scoring.standings.models import Cut
from scoring.standings.queries import standings

CUT_DIVISION, CUT_AFTER, CUT_PERCENT = "MA1", 2, 60
SEED = "41"
MOST_HOLES = 6  # with so many players each hole sends one home


def plan_cut(event: Event, *, now: datetime) -> None:
    """Made known before registration opens: three of five of the largest amateur division play the last round."""
    division = event.divisions.get(code=CUT_DIVISION)
    set_cut(
        division=division,
        after_round=CUT_AFTER,
        players=None,
        percent=CUT_PERCENT,
        ties=Cut.Ties.ALL,
        reason="",
        actor=ACTOR,
        now=now,
    )


def put_up_cut(demo: Demo, *, before: datetime) -> None:
    """The names of who goes on, an hour before the last round."""
    for cut in Cut.objects.filter(division__event=demo.event).select_related("division__event"):
        post_cut(cut=cut, reason="", actor=ACTOR, now=demo.at(before - timedelta(hours=1)))


def play_off(demo: Demo) -> None:
    """Sudden death for every first place that is shared: level on the first hole, then one after the other is out."""
    for found in standings(demo.event):
        for tie in ties_in(found):
            division = demo.event.divisions.get(code=found.code)
            playoff = begin(
                division=division,
                after_round=tie.after_round,
                agreed=Agreed(seed=SEED),
                actor=ACTOR,
                now=demo.now,
            )
            for index in range(MOST_HOLES + len(playoff.players)):
                version = playoff.versions.order_by("number").last()
                if version is None:
                    break
                playing = outcome_of(playoff, version).playing
                if not playing:
                    break
                throws = {entry: 3 + (index > 0 and entry == playing[-1]) for entry in playing}
                write_hole(
                    playoff=playoff,
                    seen=version.number,
                    index=index,
                    throws=throws,
                    actor=ACTOR,
                    now=demo.now,
                )
