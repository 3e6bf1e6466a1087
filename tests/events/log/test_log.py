from datetime import timedelta

import pytest
from django.db import DatabaseError, connection, transaction

from build import ACTOR, NOW
from events.log import guard
from events.log.actions import Action
from events.log.models import Act, AppendOnly, Chain
from events.log.services import record, revision, verify

pytestmark = pytest.mark.django_db


def write(count: int = 1, chain: str = "quiet-pines") -> list[Act]:
    return [
        record(
            chain=chain,
            action=Action.CHECKED_IN,
            subject=f"entry {n}",
            actor=ACTOR,
            now=NOW + timedelta(seconds=n),
            detail={"n": n, "name": "Ines Åsgard"},
        )
        for n in range(count)
    ]


def test_rows_are_numbered_and_chained():
    first, second = write(2)
    assert (first.number, second.number, second.before) == (1, 2, first.hash)
    assert revision("quiet-pines") == 2
    assert verify("quiet-pines") == (2, [])


def test_chains_of_two_events_are_apart():
    write(2)
    assert write(1, chain="other")[0].number == 1


def test_an_unknown_action_is_refused():
    with pytest.raises(ValueError, match="nonsense"):
        record(chain="", action="nonsense", subject="x", actor=ACTOR, now=NOW)  # type: ignore[arg-type]


def test_the_model_refuses_change_and_deletion():
    act = write()[0]
    with pytest.raises(AppendOnly):
        act.save()
    with pytest.raises(AppendOnly):
        act.delete()


@pytest.mark.parametrize("statement", ["UPDATE log_act SET subject = 'x'", "DELETE FROM log_act"])
def test_the_database_refuses_change_and_deletion(statement):
    write()
    with (
        pytest.raises(DatabaseError, match="append-only"),
        transaction.atomic(),
        connection.cursor() as cursor,
    ):
        cursor.execute(statement)


@pytest.mark.parametrize(
    ("statement", "fault"),
    [
        ("UPDATE log_act SET subject = 'forged' WHERE number = 2", "row 2 was altered"),
        ("DELETE FROM log_act WHERE number = 2", "row 2 is missing"),
        ("DELETE FROM log_act WHERE number = 3", "the chain ends at row 2, its head says 3"),
    ],
)
def test_tampering_shows(statement, fault):
    write(3)
    guard.lift(connection)
    with connection.cursor() as cursor:
        cursor.execute(statement)
    assert fault in [found.text for found in verify("quiet-pines")[1]]
    guard.install(connection)


def test_the_head_exists_without_rows():
    assert verify("never") == (0, [])
    assert not Chain.objects.filter(key="never").exists()
