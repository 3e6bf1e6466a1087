"""Lists brought in through the service: what is made, what is changed, what is asked, what is refused."""

from datetime import UTC, datetime, timedelta

import pytest

import build
from build import ACTOR, NOW
from events.entries.import_answers import Answers
from events.entries.importing import (
    BroughtInAlready,
    ImportRefused,
    ImportStale,
    bring_in,
    choice_mark,
    choose,
    confirm,
    keep_file,
)
from events.entries.models import Entry, EntryAddOn, ImportFile, Payment, Status
from events.entries.services import check_in, take_payment
from events.log.models import Act
from events.setup.models import AddOn
from players.models import Contact, Person

pytestmark = pytest.mark.django_db

HEAD = "First name;Last name;Number;Born;Division;Rating;Class;Paid;Entered at"
INES = "Ines;Halvorsen;70001;1990;MA1;905;am;45;2026-05-01 10:00"
RAVI = "Ravi;Okonjo;70002;1985;MA1;880;am;0;2026-05-01 11:00"


def lines(*rows: str, head: str = HEAD) -> bytes:
    return "\n".join((head, *rows)).encode()


def bring(event, *rows: str, head: str = HEAD, **more):
    return bring_in(event=event, name="list.csv", data=lines(*rows, head=head), actor=ACTOR, now=NOW, **more)


def refused(event, *rows: str, head: str = HEAD, **more):
    """(row, column, problem, severity) of all that stands against the list; and nothing is saved."""
    before = (Entry.objects.count(), Person.objects.count(), Act.objects.count(), ImportFile.objects.count())
    with pytest.raises(ImportRefused) as caught:
        bring(event, *rows, head=head, **more)
    after = (Entry.objects.count(), Person.objects.count(), Act.objects.count(), ImportFile.objects.count())
    assert after == before
    return [
        (p.row, p.column, p.problem, p.severity) for p in caught.value.problems if p.severity != "warning"
    ]


def counts(outcome):
    return (outcome.new, outcome.updated, outcome.unchanged)


def test_a_row_becomes_a_person_and_an_entry(event):
    outcome = bring(event, INES, RAVI)
    assert counts(outcome) == (2, 0, 0)
    entry = Entry.objects.select_related("person", "division").get(person__member_number=70001)
    person = entry.person
    assert (person.name, person.birth_year, person.rating, person.playing_class) == (
        "Ines Halvorsen", 1990, 905, "am",
    )  # fmt: skip
    assert (person.search_text, person.sort_name) == ("ines halvorsen 70001", "halvorsen ines")
    assert (entry.division.code, entry.status, entry.rating, entry.fee_cents) == (
        "MA1", Status.CONFIRMED, 905, 4500,
    )  # fmt: skip
    assert (entry.paid_elsewhere_cents, entry.received_at) == (4500, datetime(2026, 5, 1, 10, tzinfo=UTC))
    assert Entry.objects.get(person__member_number=70002).status == Status.APPLIED


def test_a_time_without_a_zone_is_the_venues(event):
    event.time_zone = "America/Denver"
    event.save()
    bring(event, INES)
    assert Entry.objects.get().received_at == datetime(2026, 5, 1, 16, tzinfo=UTC)


def test_the_same_list_again_changes_nothing(event):
    bring(event, INES, RAVI)
    before = list(Entry.objects.values()), list(Person.objects.values())
    outcome = bring(event, INES, RAVI)
    assert counts(outcome) == (0, 0, 2)
    assert outcome.words == "Nothing changed: everybody in the list is here as it says."
    assert (list(Entry.objects.values()), list(Person.objects.values())) == before


def test_a_changed_row_updates_and_a_blank_cell_wipes_nothing(event):
    bring(event, INES)
    outcome = bring(event, "Ines;Halvorsen;70001;;MA1;911;;;")
    assert counts(outcome) == (0, 1, 0)
    person = Person.objects.get()
    assert (person.birth_year, person.rating, person.playing_class) == (1990, 911, "am")
    entry = Entry.objects.get()
    assert (entry.paid_elsewhere_cents, entry.rating, entry.status) == (4500, 905, Status.CONFIRMED)


def test_one_act_in_the_log_with_counts_hash_and_what_changed(event):
    bring(event, INES)
    bring(event, INES.replace("905", "911"), RAVI)
    first, second = Act.objects.filter(action="entries.imported").order_by("number")
    assert first.detail["new"] == 1
    entry = Entry.objects.get(person__member_number=70001)
    assert second.detail == {
        "file": ImportFile.objects.latest("pk").pk,
        "sha256": ImportFile.objects.latest("pk").sha256,
        "new": 1,
        "updated": 1,
        "unchanged": 0,
        "states of the new": {"applied": 1},
        "changes": {str(entry.pk): {"rating": [905, 911]}},
    }


def test_contact_values_stay_out_of_the_log(event):
    head = "Name;Division;Number;Phone;Emergency contact"
    bring(event, "Ines Halvorsen;MA1;70001;555 0101;Odd Rask, 555 0909", head=head)
    contact = Contact.objects.get()
    assert (contact.phone, contact.emergency_name, contact.emergency_phone) == (
        "555 0101", "Odd Rask", "555 0909",
    )  # fmt: skip
    bring(event, "Ines Halvorsen;MA1;70001;555 0102;Odd Rask, 555 0909", head=head)
    changes = Act.objects.latest("number").detail["changes"]
    assert list(changes.values()) == [{"private": ["phone"]}]
    assert Contact.objects.get().phone == "555 0102"


def test_a_guardian_and_a_note_stay_out_of_the_log_too(event):
    head = "Name;Division;Number;Guardian;Notes"
    bring(event, "Ines Halvorsen;MA1;70001;Greta Rask;left handed", head=head)
    bring(event, "Ines Halvorsen;MA1;70001;Wren Rask;needs a ride", head=head)
    entry = Entry.objects.get()
    assert (entry.guardian, entry.note) == ("Wren Rask", "needs a ride")
    changes = Act.objects.latest("number").detail["changes"]
    assert list(changes.values()) == [{"private": ["guardian", "note"]}]


def test_a_rating_learned_later_is_taken_into_the_entry_and_asked_about(event):
    event.divisions.create(code="MA3", order=5, fee_cents=4500)
    row = INES.replace("MA1", "MA3").replace("905", "")
    bring(event, row)
    assert Entry.objects.get().rating is None
    over = row.replace(";MA3;;", ";MA3;905;")
    assert [severity for _, _, _, severity in refused(event, over)] == ["question"]
    assert counts(bring(event, over.replace("905", "890"))) == (0, 1, 0)
    assert Entry.objects.get().rating == 890


def test_a_time_of_entry_that_is_still_to_come_counts_as_now(event):
    outcome = bring(event, INES.replace("2026-05-01", "2026-07-01"))
    assert [(p.column, p.value, p.problem) for p in outcome.problems] == [
        ("Entered at", "2026-07-01 10:00", "is still to come, so it counts as now")
    ]
    assert Entry.objects.get().received_at == NOW


def test_a_name_cut_elsewhere_and_written_without_accents_is_the_same_person(event):
    build.make_person("van der Łoś", "Åke", member_number=None, birth_year=1990)
    outcome = bring(event, "Ake van der Los;1990;MA1", head="Name;Born;Division", all_paid=True)
    assert counts(outcome) == (1, 0, 0)
    assert Person.objects.get().name == "Åke van der Łoś"


@pytest.mark.parametrize(
    ("known", "number", "said", "membership"),
    [
        ("unknown", "70001", "current", "current"),
        ("current", "70001", "no", "expired"),
        ("none", "70001", "no", "none"),
        ("unknown", "", "no", "none"),
        ("expired", "70001", "", "expired"),
    ],
)
def test_what_a_list_says_of_the_membership(event, known, number, said, membership):
    build.make_person(member_number=int(number) if number else None, membership=known)
    head = "Name;Number;Born;Division;Membership"
    bring(event, f"Ines Halvorsen;{number};1990;MA1;{said}", head=head)
    assert Person.objects.get().membership == membership


def test_a_number_is_given_to_the_known_person_of_that_name_and_birth_year(event):
    known = build.make_person(member_number=None)
    bring(event, INES)
    assert (Person.objects.get().pk, Person.objects.get().member_number) == (known.pk, 70001)


def test_namesakes_with_other_numbers_and_birth_years_are_two_people(event):
    build.make_person(member_number=60000, birth_year=1970)
    assert counts(bring(event, INES)) == (1, 0, 0)
    assert Person.objects.count() == 2


@pytest.mark.parametrize(
    ("known", "row"),
    [
        ({"member_number": None, "birth_year": None}, INES),
        ({"member_number": None, "birth_year": 1970}, INES),
        ({"member_number": 60000, "birth_year": 1990}, INES),
        ({"member_number": 60000, "birth_year": 1990}, "Ines;Halvorsen;;;MA1;905;am;45;2026-05-01 10:00"),
    ],
)
def test_a_match_that_is_not_clear_is_a_question(event, known, row):
    person = build.make_person(**known)
    ((at, _, problem, severity),) = refused(event, row)
    assert (at, severity) == (2, "question")
    assert problem.startswith("somebody of this name is known already: is this Ines Halvorsen")
    assert counts(bring(event, row, answers=Answers(persons={2: person.pk}))) == (1, 0, 0)
    assert Person.objects.count() == 1


def test_somebody_new_is_an_answer_and_holds_when_the_list_comes_again(event):
    build.make_person(member_number=None, birth_year=None)
    bring(event, INES, answers=Answers(persons={2: None}))
    assert Person.objects.count() == 2
    assert counts(bring(event, INES)) == (0, 0, 1)


def test_a_list_without_numbers_and_years_doubles_nobody(event):
    rows = ("Ines Halvorsen;MA1", "Ravi Okonjo;MA1")
    assert counts(bring(event, *rows, head="Name;Division")) == (2, 0, 0)
    assert counts(bring(event, *rows, head="Name;Division")) == (0, 0, 2)
    Person.objects.filter(given_name="Ines").update(birth_year=1990)  # learned at the desk
    assert counts(bring(event, *rows, head="Name;Division")) == (0, 0, 2)


def test_a_number_that_belongs_to_another_name_is_a_question_with_one_answer(event):
    known = build.make_person("Quist", "Ines", member_number=70001)
    ((at, column, problem, severity),) = refused(event, INES)
    assert (at, column, severity) == (2, "Number", "question")
    assert problem == "member 70001 is Ines Quist here: is this Ines Quist, born 1990, member 70001?"
    assert len(refused(event, INES, answers=Answers(persons={2: None}))) == 1
    bring(event, INES, answers=Answers(persons={2: known.pk}))
    assert Person.objects.get().name == "Ines Halvorsen"
    assert Person.objects.get().sort_name == "halvorsen ines"


def test_two_rows_that_mean_one_known_person_are_named(event):
    build.make_person(member_number=70001, birth_year=1990)
    second = "Halvorsen;Ines;;1990;MA1;905;am;45;2026-05-01 10:00"
    found = refused(event, INES, second, answers=Answers(apart=frozenset({3})))
    assert found == [(3, "Number", "is the same person as in row 2", "error")]


def test_the_same_name_twice_in_the_list_is_a_question_and_may_be_two_people(event):
    rows = ("Ines Halvorsen;MA1;yes", "Ines Halvorsen;FA1;yes")
    head = "Name;Division;Paid"
    ((at, _, problem, severity),) = refused(event, *rows, head=head)
    assert (at, problem, severity) == (3, "may be the same person as in row 2", "question")
    assert counts(bring(event, *rows, head=head, leave_out=[3])) == (1, 0, 0)


def test_a_division_that_is_not_offered_is_named_with_those_that_are(event):
    with pytest.raises(ImportRefused) as caught:
        bring(event, INES.replace("MA1", "MA4"))
    ((row, value, mend),) = [(p.row, p.value, p.mend) for p in caught.value.problems]
    assert (row, value, mend) == (2, "MA4", "write one of FA1, MA1; the nearest is MA1")


def test_a_dropped_division_is_not_offered(event):
    event.divisions.filter(code="FA1").update(dropped_at=NOW)
    assert [(row, severity) for row, _, _, severity in refused(event, INES.replace("MA1", "FA1"))] == [
        (2, "error")
    ]


def test_rows_with_errors_can_be_left_out_and_the_log_says_which(event):
    bad = RAVI.replace("1985", "85")
    assert refused(event, INES, bad) == [(3, "Born", "'85' is not a year", "error")]
    outcome = bring(event, INES, bad, leave_out=[3])
    assert (counts(outcome), outcome.left_out) == ((1, 0, 0), (3,))
    assert Act.objects.latest("number").detail["left out"] == [3]


def test_leaving_out_the_row_of_a_date_does_not_answer_for_the_other_dates(event):
    rows = [f"P{n};Rask;700{n};1990;MA1;900;am;45;0{n}/04/2026" for n in (1, 2, 3)]
    ((at, column, _, severity),) = refused(event, *rows)
    assert (at, column, severity) == (2, "Entered at", "question")
    assert len(refused(event, *rows, leave_out=[2])) == 1
    bring(event, *rows, answers=Answers(date_order="mdy"))
    assert Entry.objects.get(person__member_number=7003).received_at == datetime(2026, 3, 4, tzinfo=UTC)


def test_a_refused_division_needs_an_approval_which_is_kept(event):
    event.divisions.create(code="MA3", order=5, fee_cents=4500)
    row = INES.replace("MA1", "MA3")
    ((at, column, problem, severity),) = refused(event, row)
    assert (at, column, severity) == (2, "Division", "question")
    assert problem == "Mixed Amateur 3 is for ratings below 900; this rating is 905."
    bring(event, row, answers=Answers(approvals={2: "Wren: rating of last year"}))
    entry = Entry.objects.get()
    assert (entry.exception, entry.exception_by) == ("Wren: rating of last year", ACTOR.name)
    assert counts(bring(event, row)) == (0, 0, 1)


def test_a_fact_that_is_missing_is_a_remark_and_no_refusal(event):
    outcome = bring(event, INES.replace("MA1", "FA1"))
    remarks = [(p.row, p.severity, p.problem) for p in outcome.problems]
    assert remarks == [
        (2, "warning", "Women Amateur 1 is for players who may enter F divisions; that is not known of this player."
         " Ask the player and record it."),
    ]  # fmt: skip


def test_a_list_without_classes_makes_professionals_and_asks_for_amateurs(event):
    event.divisions.create(code="MPO", order=9, fee_cents=9000)
    rows = ("Ines Halvorsen;MPO", "Ravi Okonjo;MA1")
    outcome = bring(event, *rows, head="Name;Division")
    assert [(p.row, p.problem) for p in outcome.problems] == [
        (None, "players in amateur divisions whose class the list does not say: 1"),
    ]
    classes = dict(Person.objects.values_list("given_name", "playing_class"))
    assert classes == {"Ines": "pro", "Ravi": "unknown"}
    outcome = bring(event, *rows, head="Name;Division", answers=Answers(others_amateur=True))
    assert (counts(outcome), outcome.problems) == ((0, 1, 1), ())
    assert Person.objects.get(given_name="Ravi").playing_class == "am"


@pytest.mark.parametrize(
    ("all_paid", "status", "cents"),
    [(None, "confirmed", 4500), (True, "confirmed", 4500), (False, "applied", 0)],
)
def test_a_list_that_says_nothing_about_money(event, all_paid, status, cents):
    bring(event, "Ines Halvorsen;MA1", head="Name;Division", all_paid=all_paid)
    assert list(Entry.objects.values_list("status", "paid_elsewhere_cents")) == [(status, cents)]


def test_add_ons_count_into_what_is_paid_in_full(event):
    AddOn.objects.create(event=event, name="Lunch", fee_cents=500)
    head = "Name;Division;Add-ons;Paid"
    outcome = bring(
        event, "Ines Halvorsen;MA1;lunch;45", "Ravi Okonjo;MA1;Lunch, Dinner;50", "Odd Rask;MA1;lunch;yes", head=head
    )  # fmt: skip
    assert [(p.row, p.value) for p in outcome.problems if p.column == "Add-ons"] == [(3, "Dinner")]
    assert EntryAddOn.objects.count() == 3
    statuses = dict(Entry.objects.values_list("person__given_name", "status"))
    assert statuses == {"Ines": "applied", "Ravi": "confirmed", "Odd": "confirmed"}
    assert Entry.objects.get(person__given_name="Odd").paid_elsewhere_cents == 5000


def test_places_are_given_in_the_order_of_entry_not_of_the_list(event):
    event.divisions.filter(code="MA1").update(cap=2)
    late, early, between = (
        f"{given};Rask;{number};1990;MA1;900;am;45;2026-05-0{day}"
        for given, number, day in (("Late", 701, 9), ("Early", 702, 1), ("Between", 703, 5))
    )
    bring(event, late, early, between)
    assert dict(Entry.objects.values_list("person__given_name", "status")) == {
        "Late": "waitlisted", "Early": "confirmed", "Between": "confirmed",
    }  # fmt: skip


def test_a_place_held_is_never_lost_to_an_earlier_entry_of_a_later_list(event):
    event.divisions.filter(code="MA1").update(cap=1)
    held = build.make_entry(event, received_at=NOW)
    bring(event, INES)
    held.refresh_from_db()
    assert (held.status, Entry.objects.get(person__member_number=70001).status) == ("confirmed", "waitlisted")


def test_who_the_list_has_on_its_waitlist_waits_though_there_is_room(event):
    head = "Name;Division;Paid;Waitlist"
    bring(event, "Ines Halvorsen;MA1;45;yes", "Ravi Okonjo;MA1;45;", head=head)
    assert dict(Entry.objects.values_list("person__given_name", "status")) == {
        "Ines": "waitlisted", "Ravi": "confirmed",
    }  # fmt: skip


def test_money_that_arrives_with_a_later_list_confirms_and_sets_the_order_of_entry(event):
    bring(event, RAVI)
    bring(event, RAVI.replace(";0;", ";45;"))
    entry = Entry.objects.get()
    assert (entry.status, entry.received_at) == (Status.CONFIRMED, NOW)
    change = Act.objects.latest("number").detail["changes"][str(entry.pk)]
    assert change["status"] == ["applied", "confirmed"]


def test_what_the_desk_took_and_did_stays(event):
    bring(event, RAVI)
    entry = Entry.objects.get()
    later = NOW + timedelta(hours=1)
    take_payment(entry=entry, amount_cents=4500, method=Payment.Method.CASH, actor=ACTOR, now=later)
    entry.refresh_from_db()
    check_in(entry=entry, actor=ACTOR, now=later)
    before = Entry.objects.values().get()
    assert counts(bring(event, RAVI)) == (0, 0, 1)
    assert counts(bring(event, RAVI.replace(";0;", ";45;"))) == (0, 0, 1)
    assert Entry.objects.values().get() == before
    outcome = bring(event, RAVI.replace("MA1", "FA1"))
    assert [(p.row, p.problem) for p in outcome.problems] == [
        (2, "Ravi Okonjo is checked in already in MA1, which stays"),
    ]
    assert Entry.objects.values().get() == before


def test_a_player_who_left_stays_away(event):
    bring(event, INES)
    Entry.objects.update(status=Status.WITHDRAWN)
    outcome = bring(event, INES.replace(";45;", ";0;"))
    assert [(p.row, p.problem) for p in outcome.problems] == [(2, "is withdrawn here and stays so")]
    assert list(Entry.objects.values_list("status", "paid_elsewhere_cents")) == [("withdrawn", 4500)]


def test_a_move_to_a_full_division_waits_there(event):
    event.divisions.filter(code="FA1").update(cap=1, fee_cents=4000)
    build.make_entry(event, "FA1")
    bring(event, INES)
    bring(event, INES.replace("MA1", "FA1"))
    entry = Entry.objects.select_related("division").get(person__member_number=70001)
    assert (entry.division.code, entry.fee_cents, entry.status) == ("FA1", 4000, Status.WAITLISTED)


def test_text_that_is_too_long_is_shortened_or_left_out_with_a_remark(event):
    head = "Name;Division;Number;Club;E-mail;Paid"
    mail = f"{'m' * 260}@mail.example"
    outcome = bring(event, f"Ines Halvorsen;MA1;70001;{'c' * 61};{mail};45", head=head)
    assert [(p.column, p.problem) for p in outcome.problems if p.row] == [
        ("Club", "is longer than 60 characters and is shortened"),
        ("E-mail", "is longer than 254 characters and is left out"),
    ]
    assert Person.objects.get().club == "c" * 60
    assert not Contact.objects.exists()


def test_a_name_is_never_shortened(event):
    assert refused(event, INES.replace("Halvorsen", "H" * 61)) == [
        (2, "Last name", "is longer than 60 letters", "error")
    ]


def test_one_name_alone_is_the_family_name(event):
    bring(event, "Yaro;;70009;1990;MA1;900;am;45;2026-05-01")
    assert list(Person.objects.values_list("given_name", "family_name")) == [("", "Yaro")]


def test_a_list_without_divisions_is_one_problem(event):
    assert refused(event, "Ines Halvorsen;70001", head="Name;Number") == [
        (1, "", "no column was found for the division", "error")
    ]


def test_a_file_that_cannot_be_read_is_refused_with_its_reason(event):
    with pytest.raises(ImportRefused) as caught:
        bring_in(event=event, name="list.xlsx", data=b"PK\x03\x04 nothing", actor=ACTOR, now=NOW)
    (problem,) = caught.value.problems
    assert (problem.row, problem.severity) == (None, "error")
    assert problem.problem.startswith("The workbook is damaged")
    assert not ImportFile.objects.exists()


def test_a_column_may_be_chosen_by_hand(event):
    head = "Who;Where;Sum"
    mapping = {"full_name": 0, "division": 1, "paid": 2}
    bring(event, "Ines Halvorsen;MA1;45", head=head, mapping=mapping)
    assert Entry.objects.get().status == Status.CONFIRMED


def kept(event, *rows: str) -> ImportFile:
    return keep_file(event=event, name="list.csv", data=lines(*rows), actor=ACTOR, now=NOW)


def test_a_file_is_brought_in_once(event):
    file = kept(event, INES)
    stale = ImportFile.objects.get(pk=file.pk)
    confirm(file=file, actor=ACTOR, now=NOW)
    with pytest.raises(BroughtInAlready):
        confirm(file=stale, actor=ACTOR, now=NOW)
    assert Entry.objects.count() == 1
    assert Act.objects.filter(action="entries.imported").count() == 1


def test_other_choices_than_those_seen_are_not_saved(event):
    file = kept(event, INES)
    mark = choice_mark(file)
    choose(file=file, sheet="", mapping=None, answers=Answers(leave_out=frozenset({2})))
    with pytest.raises(ImportStale):
        confirm(file=file, actor=ACTOR, now=NOW, mark=mark)
    assert not Entry.objects.exists()


def test_the_file_is_kept_as_it_came(event):
    bring(event, INES)
    file = ImportFile.objects.get()
    assert (bytes(file.content), file.confirmed_at, file.name) == (lines(INES), NOW, "list.csv")


@pytest.mark.parametrize("size", [1, 3])
def test_the_queries_of_a_first_import_do_not_grow_with_its_rows(event, size, django_assert_num_queries):
    rows = [f"P{n};Rask;{7000 + n};1990;MA1;900;am;45;2026-05-01" for n in range(size)]
    data = lines(*rows)
    with django_assert_num_queries(32):
        bring_in(event=event, name="list.csv", data=data, actor=ACTOR, now=NOW)
