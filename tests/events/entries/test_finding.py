import pytest

import build
from build_cards import publish
from events.draw.models import Pool
from events.entries.finding import ROWS, find
from events.setup.models import StartType
from events.setup.queries import rulebook_for

pytestmark = pytest.mark.django_db


def names(event, text, **options) -> list[str]:
    return [row.entry.person.name for row in find(event, text, rulebook_for(event), **options).rows]


def enter(event, family="Halvorsen", given="Ines", **facts):
    entry = {
        name: facts.pop(name) for name in ("status", "checked_in_at", "paid_elsewhere_cents") if name in facts
    }
    return build.make_entry(event, person=build.make_person(family, given, **facts), **entry)


@pytest.mark.parametrize("text", ["mor", "MOR", "móra", "mor sio", "sio mor", "  mor  ", "siob"])
def test_letters_start_any_word_of_the_name_whatever_their_accents(event, text):
    enter(event, "Morávec", "Siobhán")
    enter(event, "Quist", "Ivo")
    assert names(event, text) == ["Siobhán Morávec"]


@pytest.mark.parametrize("text", ["", " ", "m", "orav", "siobhan quist", "–", "%", "_"])
def test_one_letter_the_middle_of_a_word_and_signs_find_nobody(event, text):
    enter(event, "Moravec", "Siobhan")
    assert names(event, text) == []


def test_a_whole_member_number_finds_that_player_alone(event):
    enter(event, "Quist", "Ivo", member_number=7012)
    enter(event, "Varga", "Sefa", member_number=70123)
    assert names(event, "70") == ["Ivo Quist", "Sefa Varga"]
    found = find(event, "7012", rulebook_for(event))
    assert ([row.entry.person.name for row in found.rows], found.exact) == (["Ivo Quist"], True)


def test_a_scanned_code_finds_its_entry_alone_in_either_case_and_with_blanks(event):
    wanted = enter(event, "Quist", "Ivo")
    enter(event, "Varga", "Sefa")
    code = wanted.code
    for text in (code, code.lower(), f"{code[:4]} {code[4:]}"):
        assert names(event, text) == ["Ivo Quist"]


def test_nobody_of_another_event_is_found(event):
    other = build.make_event("elsewhere")
    entry = enter(other, "Moravec", "Siobhan")
    assert (names(event, "mor"), names(event, entry.code)) == ([], [])


def test_those_still_to_come_stand_first_then_the_waiting_then_who_is_in_then_who_left(event):
    enter(event, "Mora", status="withdrawn")
    enter(event, "Morb", checked_in_at=build.NOW)
    enter(event, "Morc", status="waitlisted")
    enter(event, "Mord", status="applied", paid_elsewhere_cents=0)
    found = find(event, "mor", rulebook_for(event)).rows
    assert [(row.entry.person.family_name, row.state) for row in found] == [
        ("Mord", "come"),
        ("Morc", "waits"),
        ("Morb", "in"),
        ("Mora", "left"),
    ]


def test_the_entry_in_hand_stays_among_the_rows_when_it_falls_behind(event):
    for number in range(ROWS + 2):
        enter(event, f"Mor{number}")
    last = enter(event, "Mor", "Zeno", checked_in_at=build.NOW)
    assert "Zeno Mor" not in names(event, "mor")
    assert names(event, "mor", keep=last.pk)[-1] == "Zeno Mor"
    found = find(event, "mor", rulebook_for(event), keep=last.pk)
    assert (len(found.rows), found.more) == (ROWS, True)


def test_the_row_says_all_that_is_open(event):
    event.divisions.create(code="MJ12", order=9, fee_cents=2000)
    child = build.make_person("Mortlake", "Odd", birth_year=2015, membership="none")
    build.make_entry(event, "MJ12", person=child, fee_cents=2000, paid_elsewhere_cents=500)
    (row,) = find(event, "mort", rulebook_for(event)).rows
    assert row.open_words == ("$15 due", "guardian to name", "conduct note to sign")


@pytest.mark.parametrize(
    ("membership", "words"),
    [("current", ()), ("expired", ("temporary membership $15",)), ("unknown", ("ask: member?",))],
)
def test_a_missing_membership_is_asked_for(event, membership, words):
    person = build.make_person("Moravec", membership=membership)
    build.make_entry(event, person=person, conduct_signed_at=build.NOW)
    (row,) = find(event, "mor", rulebook_for(event)).rows
    assert row.open_words == words


def test_nothing_is_asked_of_somebody_who_waits(event):
    enter(event, "Moravec", status="waitlisted", paid_elsewhere_cents=0)
    (row,) = find(event, "mor", rulebook_for(event)).rows
    assert row.open_words == ()


def test_the_pool_is_the_planned_one_until_the_sheet_is_published(event):
    round_ = event.rounds.get(number=1)
    entry = enter(event, "Moravec")
    pool = Pool.objects.create(
        round=round_, label="B", start_type=StartType.SHOTGUN, first_start_at=round_.first_start_at
    )
    assert find(event, "mor", rulebook_for(event)).rows[0].pool == ""
    pool.divisions.add(entry.division)
    assert find(event, "mor", rulebook_for(event)).rows[0].pool == "B"
    publish(round_, [[entry]])  # in pool A
    assert find(event, "mor", rulebook_for(event)).rows[0].pool == "A"


@pytest.mark.parametrize("count", [1, 3])
def test_the_search_costs_three_queries(event, count, django_assert_num_queries):
    for number in range(count):
        enter(event, f"Mor{number}")
    rulebook = rulebook_for(event)
    with django_assert_num_queries(3):
        found = find(event, "mor", rulebook)
        assert [row.open_words for row in found.rows] == [("conduct note to sign",)] * count
