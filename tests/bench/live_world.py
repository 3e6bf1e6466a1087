"""The event of the bench: four rounds of 18 holes, three of them played and the fourth published, in many divisions."""

import random
from datetime import time, timedelta
from typing import Any

CODES = (
    "MPO",
    "FPO",
    "MP40",
    "MP50",
    "FP40",
    "MA1",
    "MA2",
    "MA3",
    "MA40",
    "MA50",
    "MA60",
    "FA1",
    "FA2",
    "FA40",
    "MJ18",
    "FJ18",
)
OF_A_DIVISION = 45
GROUP_OF = 4


def make(players: int) -> dict[str, Any]:
    """Build it and say what the load needs: addresses of boards and groups, players of each group."""
    from django.core.management import call_command
    from django.db import connection, transaction
    from django.utils import timezone

    import build
    from events.setup.models import Event, Round
    from scoring.cards.links import group_path

    call_command("migrate", verbosity=0, interactive=False)
    with connection.cursor() as cursor:  # for the view that does nothing but keep a row
        cursor.execute("CREATE TABLE bench_row (number INTEGER PRIMARY KEY, text TEXT)")
    codes = CODES[: max(2, min(len(CODES), players // OF_A_DIVISION))]
    today = timezone.now().date()
    with transaction.atomic():
        event = build.make_event("live", divisions=codes, rounds=4, name="Bench")
        Event.objects.filter(pk=event.pk).update(starts_on=today - timedelta(days=3), ends_on=today)
        for round_ in event.rounds.all():
            day = today - timedelta(days=4 - round_.number)
            Round.objects.filter(pk=round_.pk).update(date=day, first_start=time(0))
        event.refresh_from_db()
        entries = [build.make_entry(event, codes[at % len(codes)]) for at in range(players)]
        entries.sort(key=lambda entry: (codes.index(entry.division.code), entry.pk))
        groups = [entries[at : at + GROUP_OF] for at in range(0, players, GROUP_OF)]
        for round_ in event.rounds.order_by("number"):
            _play(round_, groups, played=round_.number < 4)
    last = event.rounds.get(number=4)
    return {
        "slug": event.slug,
        "codes": codes,
        "groups": [
            {"path": group_path(last, number), "entries": [entry.pk for entry in group]}
            for number, group in enumerate(groups, start=1)
        ],
    }


def _play(round_: Any, groups: list[Any], *, played: bool) -> None:
    import build_cards
    from events.draw.models import Sheet

    sheet = build_cards.publish(round_, groups, starts=[1 + at % 18 for at in range(len(groups))])
    Sheet.objects.filter(pk=sheet.pk).update(published_at=round_.event.at(round_.date, time(0)))
    rng = random.Random(round_.number)
    if not played:
        return
    for number, group in enumerate(groups, start=1):
        lines = [
            build_cards.line(entry, [rng.choice((2, 3, 3, 3, 4, 5)) for _ in range(18)]) for entry in group
        ]
        build_cards.save(round_, number, lines)
