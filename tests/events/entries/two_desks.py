"""Several desks at the same moment, on a database file of its own: prints what became of it as JSON.

Run by test_two_desks.py in a process of its own, because threads need connections of their own.
"""

import json
import sys
import threading
from collections import Counter
from collections.abc import Callable
from pathlib import Path

import django

ROOT = Path(__file__).resolve().parents[3]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]
DESKS = 6


def at_once(act: Callable[[int], object]) -> dict[str, int]:
    """The same act from every desk; how many were done, and how many refused for which error."""
    from django.db import connection

    said: Counter[str] = Counter()
    start = threading.Barrier(DESKS)

    def run(desk: int) -> None:
        start.wait()
        try:
            act(desk)
        except Exception as error:  # what kind it is, is the result
            said[type(error).__name__] += 1
        else:
            said["done"] += 1
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=(desk,)) for desk in range(DESKS)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return dict(said)


def main() -> None:
    django.setup()
    from django.core.management import call_command

    call_command("migrate", verbosity=0)
    import build
    from events.entries.leaving import promote
    from events.entries.models import Entry, Payment, Status
    from events.entries.services import add_entry, check_in, money_of, set_pack_given, take_payment
    from events.log.models import Act
    from events.log.services import Actor, verify

    event = build.make_event()
    division = event.divisions.get(code="MA1")
    came, owes = build.make_entry(event), build.make_entry(event, status="applied", paid_elsewhere_cents=0)
    event.divisions.filter(code="MA1").update(cap=4)
    waiting = [build.make_entry(event, status="waitlisted") for _ in range(3)]
    someone = build.make_person()
    facts = {"actor": build.ACTOR, "now": build.NOW}
    result = {
        "check_in": at_once(lambda desk: check_in(entry=came, actor=Actor(f"desk {desk}"), now=build.NOW)),
        "pack": at_once(lambda _: set_pack_given(entry=came, given=True, **facts)),
        "payment": at_once(
            lambda _: take_payment(
                entry=owes, amount_cents=4500, method=Payment.Method.CASH, owed_seen=4500, **facts
            )
        ),
        "owed": money_of(owes).owed,
        "promote": at_once(lambda _: promote(event=event, **facts)),
        "promoted": [Entry.objects.get(pk=each.pk).status == Status.CONFIRMED for each in waiting],
        "enter": at_once(
            lambda _: add_entry(
                event=event,
                person=someone,
                division=division,
                received_at=build.NOW,
                paid_cents=4500,
                **facts,
            )
        ),
        "entered": Entry.objects.filter(person=someone).count(),
        "acts": dict(Counter(Act.objects.values_list("action", flat=True))),
        "faults": len(verify(event.slug)[1]),
    }
    sys.stdout.write(json.dumps(result))


if __name__ == "__main__":
    main()
