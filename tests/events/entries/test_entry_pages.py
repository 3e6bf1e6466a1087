"""The list, one entry, and changing it."""

import re

import pytest
import time_machine
from django.urls import reverse

import build
from build import ACTOR, NOW
from events.entries.changing import change_entry
from events.entries.models import Entry, EntryAddOn, Status
from events.entries.services import EntryRefused, EntryStale, NotEligible, add_entry, check_in, set_pack_given
from events.log.models import Act
from events.setup.models import AddOn, Role
from players.models import Contact

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _at_seven():
    with time_machine.travel(NOW, tick=False):
        yield


def url(event, name, *args) -> str:
    return reverse(f"entries:{name}", args=[event.slug, *args])


def names(answer) -> list[str]:
    return re.findall(r'<th scope="row"[^>]*><a href="[^"]*">([^<]*)</a>', answer.content.decode())


def enter(event, family, division="MA1", **facts):
    person = {name: facts.pop(name) for name in ("rating", "member_number") if name in facts}
    return build.make_entry(event, division, person=build.make_person(family, "A", **person), **facts)


# --- The list ---------------------------------------------------------------------------------------------


@pytest.fixture
def four(event):
    enter(event, "Varga", rating=850)
    enter(event, "Ørsted", "FA1", rating=None, paid_elsewhere_cents=4000)
    enter(event, "Quist", rating=950, status=Status.WAITLISTED)
    enter(event, "Brekke", "FA1", rating=900, status=Status.WITHDRAWN, paid_elsewhere_cents=0)


@pytest.mark.parametrize(
    ("query", "found"),
    [
        ("", ["A Brekke", "A Ørsted", "A Quist", "A Varga"]),
        ("q=ors", ["A Ørsted"]),
        ("division=FA1", ["A Brekke", "A Ørsted"]),
        ("status=waitlisted", ["A Quist"]),
        ("owing=on", ["A Ørsted"]),
        ("division=FA1&owing=on&q=a", ["A Ørsted"]),
        ("sort=-name", ["A Varga", "A Quist", "A Ørsted", "A Brekke"]),
        ("sort=rating", ["A Varga", "A Brekke", "A Quist", "A Ørsted"]),  # no rating comes last,
        ("sort=-rating", ["A Quist", "A Brekke", "A Varga", "A Ørsted"]),  # whichever way
        ("sort=nonsense&status=nonsense&page=99", ["A Brekke", "A Ørsted", "A Quist", "A Varga"]),
    ],
)
@pytest.mark.usefixtures("four")
def test_the_list_is_filtered_and_sorted(event, client_as, query, found):
    assert names(client_as(Role.VIEWER).get(f"{url(event, 'list')}?{query}")) == found


def test_the_list_comes_in_pages(event, client_as):
    for number in range(51):
        enter(event, f"Name{number:02}")
    client = client_as(Role.VIEWER)
    assert len(names(client.get(url(event, "list")))) == 50
    assert names(client.get(f"{url(event, 'list')}?page=2")) == ["A Name50"]


@pytest.mark.parametrize("count", [1, 3])
def test_the_list_costs_its_queries(event, client_as, count, django_assert_num_queries):
    for number in range(count):
        enter(event, f"Name{number}")
    client = client_as(Role.VIEWER)
    with django_assert_num_queries(7):
        assert len(names(client.get(url(event, "list")))) == count


# --- One entry --------------------------------------------------------------------------------------------


def test_the_page_shows_money_and_history(event, client_as):
    entry = build.make_entry(event, paid_elsewhere_cents=4000)
    set_pack_given(entry=entry, given=True, actor=ACTOR, now=NOW)
    client = client_as(Role.DESK)
    client.post(
        url(event, "act", entry.pk, "payment"),
        {"owed": 500, "amount": "5", "method": "cash", "back": "entry"},
    )
    page = client.get(url(event, "entry", entry.pk)).content.decode()
    assert "nothing owed" in page
    assert re.findall(r"<td>(pack handed out|money taken)</td>", page) == ["money taken", "pack handed out"]


def test_what_is_private_is_for_the_desk_only(event, client_as):
    junior = build.make_person(birth_year=2013)
    entry = build.make_entry(event, person=junior, guardian="Ada Morwen", note="asthma")
    change(entry, person={"birth_year": 2012}, note="asthma, has a spray")
    Contact.objects.create(person=entry.person, phone="555-0101", emergency_name="Sefa Brekke")
    private = ("2012", "Ada Morwen", "555-0101", "Sefa Brekke", "asthma")
    for role in Role:
        page = client_as(role).get(url(event, "entry", entry.pk)).content.decode()
        shown = [text for text in private if text in page]
        assert shown == (list(private) if role in {Role.DESK, Role.DIRECTOR} else []), role


def test_a_payment_is_undone_from_the_page(event, client_as):
    entry = build.make_entry(event, paid_elsewhere_cents=0)
    client = client_as(Role.DESK)
    client.post(url(event, "act", entry.pk, "cash"), {"owed": 4500})
    payment = entry.payments.get()
    client.post(url(event, "undo_payment", payment.pk))
    again = client.post(url(event, "undo_payment", payment.pk), follow=True)
    assert "This payment was undone already." in again.content.decode()
    assert sum(entry.payments.values_list("amount_cents", flat=True)) == 0


@pytest.mark.parametrize("count", [1, 3])
def test_the_page_costs_its_queries(event, client_as, count, django_assert_num_queries):
    entry = build.make_entry(event, paid_elsewhere_cents=0)
    client = client_as(Role.DESK)
    for _ in range(count):
        client.post(url(event, "act", entry.pk, "payment"), {"owed": "4500", "amount": "5", "method": "cash"})
        client.post(url(event, "act", entry.pk, "pack"))
        client.post(url(event, "act", entry.pk, "pack-back"))
    with django_assert_num_queries(15):
        assert client.get(url(event, "entry", entry.pk)).status_code == 200


# --- Changing ---------------------------------------------------------------------------------------------


def change(entry, **facts):
    facts = {
        "entry": entry,
        "version": entry.version,
        "division": entry.division,
        "person": {},
        "contact": {},
        "guardian": entry.guardian,
        "actor": ACTOR,
        "now": NOW,
        **facts,
    }
    change_entry(**facts)
    entry.refresh_from_db()
    return entry


def test_a_change_is_logged_old_and_new_without_private_facts(event):
    entry = change(
        build.make_entry(event, pack="L"),
        person={"town": "Aldmoor", "birth_year": 2013},
        contact={"phone": "555-0101"},
        guardian="Ada Morwen",
        pack="M",
        note="asthma",
    )
    act = Act.objects.get(action="entry.changed")
    assert act.detail == {
        "entry": entry.pk,
        "town": {"old": "", "new": "Aldmoor"},
        "pack": {"old": "L", "new": "M"},
        "changed": ["birth year", "note", "guardian", "contact"],
    }
    assert (entry.person.birth_year, entry.note) == (2013, "asthma")
    assert (entry.pack, entry.guardian, entry.person.contact.phone) == ("M", "Ada Morwen", "555-0101")


def test_a_change_of_nothing_leaves_no_line_and_no_version(event):
    entry = build.make_entry(event, pack="L")
    assert change(entry, pack="L", person={"town": ""}).version == 1
    assert not Act.objects.exists()


def test_an_old_page_is_told_who_changed_what_and_when(event):
    entry = build.make_entry(event)
    check_in(entry=entry, actor=ACTOR, now=NOW)
    with pytest.raises(EntryStale, match=r"Changed by Tester at 07:00 \(checked in\)\. Nothing was saved"):
        change(entry, pack="L")
    assert Entry.objects.get(pk=entry.pk).pack == ""


def test_another_division_charges_its_fee_and_asks_the_rules(event):
    event.divisions.filter(code="FA1").update(fee_cents=3000)
    entry = build.make_entry(event, person=build.make_person(may_enter_f=False))
    other = event.divisions.get(code="FA1")
    with pytest.raises(NotEligible):
        change(entry, division=other)
    changed = change(entry, division=other, exception="the governing body, 3 May")
    assert (changed.division.code, changed.fee_cents, changed.exception_by) == ("FA1", 3000, "Tester")


def test_nobody_moves_into_a_full_division(event):
    event.divisions.filter(code="FA1").update(cap=0)
    entry = build.make_entry(event, person=build.make_person(may_enter_f=True))
    with pytest.raises(EntryRefused, match="FA1 is full"):
        change(entry, division=event.divisions.get(code="FA1"))
    entry.refresh_from_db()
    assert entry.division.code == "MA1"


def test_after_the_closing_another_division_needs_a_reason(event):
    event.registration_closes_at = NOW
    event.save()
    entry = build.make_entry(event, person=build.make_person(may_enter_f=True))
    other = event.divisions.get(code="FA1")
    with pytest.raises(EntryRefused, match=r"divisions of 3 or fewer.*2\.02\.C"):
        change(entry, division=other)
    assert change(entry, division=other, reason="two left in FA1").division == other


def test_an_added_addon_is_owed_and_one_that_is_part_of_the_fee_stays(event):
    inside = AddOn.objects.create(event=event, name="greens", fee_cents=300, included=True)
    pot = AddOn.objects.create(event=event, name="ace pot", fee_cents=500)
    entry = build.make_entry(event)
    EntryAddOn.objects.create(entry=entry, addon=inside)
    change(entry, addons=[pot])
    assert set(entry.addons.values_list("addon__name", flat=True)) == {"greens", "ace pot"}
    change(entry, addons=[])
    assert list(entry.addons.values_list("addon__name", flat=True)) == ["greens"]


def test_a_rating_written_by_hand_counts_for_the_entry(event):
    entry = build.make_entry(event, rating=None)
    assert change(entry, person={"rating": 870}).rating == 870


def test_money_paid_elsewhere_confirms(event):
    entry = build.make_entry(event, status=Status.APPLIED, paid_elsewhere_cents=0)
    assert change(entry, paid_elsewhere_cents=4500).status == Status.CONFIRMED


def form_of(entry, **facts) -> dict[str, object]:
    person = entry.person
    return {
        "version": entry.version,
        "given_name": person.given_name,
        "family_name": person.family_name,
        "member_number": person.member_number,
        "birth_year": person.birth_year,
        "playing_class": person.playing_class,
        "rating": person.rating,
        "membership": person.membership,
        "division": entry.division_id,
        "paid_elsewhere_cents": "45",
        **facts,
    }


def test_the_form_saves_and_comes_back_to_the_entry(event, client_as):
    entry = build.make_entry(event)
    answer = client_as(Role.DESK).post(
        url(event, "change", entry.pk), form_of(entry, town="Aldmoor", may_enter_f="yes", phone="555-0101")
    )
    assert answer.headers["Location"] == url(event, "entry", entry.pk)
    entry = Entry.objects.get(pk=entry.pk)
    assert (entry.person.town, entry.person.may_enter_f, entry.person.contact.phone) == (
        "Aldmoor",
        True,
        "555-0101",
    )


def test_a_name_that_is_too_long_is_refused_whole_and_not_cut(event, client_as):
    entry = build.make_entry(event)
    client, long = client_as(Role.DESK), "Q" * 61
    page = client.get(url(event, "change", entry.pk)).content.decode()
    fields = [
        re.search(rf'<input[^>]* name="{name}"[^>]*>', page).group() for name in ("family_name", "club")
    ]
    assert not any("maxlength" in field for field in fields)
    answer = client.post(url(event, "change", entry.pk), form_of(entry, family_name=long, club=long))
    page = answer.content.decode()
    assert answer.status_code == 422
    assert page.count("This holds 60 letters, and 61 are written: write it shorter.") == 2
    assert page.count(f'value="{long}"') == 2


def test_an_old_form_comes_back_with_what_was_typed_and_the_new_version(event, client_as):
    entry = build.make_entry(event)
    form = form_of(entry, town="Aldmoor")
    check_in(entry=entry, actor=ACTOR, now=NOW)
    client = client_as(Role.DESK)
    answer = client.post(url(event, "change", entry.pk), form)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "Changed by Tester at 07:00 (checked in)." in page
    assert 'value="Aldmoor"' in page
    version = re.search(r'name="version" value="(\d+)"', page).group(1)
    assert client.post(url(event, "change", entry.pk), {**form, "version": version}).status_code == 302


def test_a_member_number_of_somebody_else_is_refused_beside_its_field(event, client_as):
    build.make_person("Quist", member_number=500)
    entry = build.make_entry(event)
    answer = client_as(Role.DESK).post(url(event, "change", entry.pk), form_of(entry, member_number=500))
    assert answer.status_code == 422
    assert "Another person already has this member number." in answer.content.decode()


def test_a_division_that_the_rules_refuse_says_why(event, client_as):
    entry = build.make_entry(event, person=build.make_person(may_enter_f=False))
    other = event.divisions.get(code="FA1")
    answer = client_as(Role.DESK).post(
        url(event, "change", entry.pk), form_of(entry, may_enter_f="no", division=other.pk)
    )
    assert answer.status_code == 422
    assert "is for players who may enter F divisions." in answer.content.decode()


def test_only_desk_and_director_change(event, client_as):
    entry = build.make_entry(event)
    assert client_as(Role.MARSHAL).get(url(event, "change", entry.pk)).status_code == 403


def test_history_leaves_out_what_is_for_machines(event, client_as):
    person = build.make_person()
    entry = add_entry(
        event=event,
        person=person,
        division=event.divisions.get(code="MA1"),
        received_at=NOW,
        paid_cents=4500,
        actor=ACTOR,
        now=NOW,
    )
    page = client_as(Role.VIEWER).get(url(event, "entry", entry.pk)).content.decode()
    assert re.findall(r"<td>([^<]*)</td></tr>", page.split('id="history"')[1]) == [
        "",
        "division MA1; paid $45",
    ]
