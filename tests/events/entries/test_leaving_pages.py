"""Leaving, each way with its words; refunds; those who missed check-in; the waitlist page; the command; the paper."""

import json
import re
from datetime import UTC, datetime, timedelta
from io import StringIO

import pytest
import time_machine
from django.core.management import CommandError, call_command
from django.urls import reverse

import build
from build import ACTOR, NOW
from events.entries.leaving import EntryRefused, paid_back, waive_missed_check_in
from events.entries.models import Entry, Status
from events.log.models import Act
from events.setup.models import Role
from pdf_pages import read

pytestmark = pytest.mark.django_db
START = datetime(2026, 6, 12, 9, 0, tzinfo=UTC)


@pytest.fixture(autouse=True)
def _at_seven():
    with time_machine.travel(NOW, tick=False):
        yield


def text_of(pdf: bytes) -> str:
    return " ".join(word["text"] for sheet in read(pdf) for word in sheet.words)


def url(event, name, *args) -> str:
    return reverse(f"entries:{name}", args=[event.slug, *args])


def page(client, event, name, *args, **query) -> str:
    return client.get(url(event, name, *args), query).content.decode()


# --- Withdrawing ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("days", "options"),
    [
        (31, ["The whole fee: $45"]),
        (20, ["50% of the fee: $22.50", "The player pack; its postage may be deducted"]),
        (10, ["25% of the fee: $11.25", "The player pack; its postage may be deducted"]),
        (1, ["Nothing as of right: $0"]),
    ],
)
def test_the_refunds_of_the_table_are_offered_for_the_moment_it_was_received(event, client_as, days, options):
    entry = build.make_entry(event, pack="L")
    received = f"{START - timedelta(days=days):%Y-%m-%dT%H:%M}"
    shown = page(client_as(Role.DESK), event, "withdraw", entry.pk, received_at=received)
    labels = [" ".join(text.split()) for text in re.findall(r'type="radio"[^>]*>([^<]*)<', shown)]
    assert labels == [*options, "nothing now, decide later"]


def test_a_withdrawal_pays_back_what_was_chosen(event, client_as):
    entry = build.make_entry(event, pack="L")
    client = client_as(Role.DESK)
    received = START - timedelta(days=20)
    shown = page(client, event, "withdraw", entry.pk, received_at=f"{received:%Y-%m-%dT%H:%M}")
    hidden = dict(re.findall(r'type="hidden" name="(received_at|shown_for)" value="([^"]*)"', shown))
    answer = client.post(
        url(event, "withdraw", entry.pk), {**hidden, "option": "0", "method": "transfer", "reason": "ill"}
    )
    assert answer.status_code == 302
    entry.refresh_from_db()
    assert (entry.status, entry.left_at, entry.left_reason) == (Status.WITHDRAWN, received, "ill")
    assert list(entry.payments.values_list("amount_cents", "method")) == [(-2250, "transfer")]


def test_a_moment_that_was_changed_shows_its_own_refunds_first(event, client_as):
    entry = build.make_entry(event)
    sent = {
        "received_at": "2026-06-01T09:00",
        "shown_for": "2026-05-01T09:00:00+00:00",
        "option": "0",
        "method": "cash",
    }
    answer = client_as(Role.DESK).post(url(event, "withdraw", entry.pk), sent)
    assert answer.status_code == 422
    assert "The moment was changed" in answer.content.decode()
    assert Entry.objects.get().status == Status.CONFIRMED


@pytest.mark.parametrize(
    ("received", "message"),
    [("2026-06-13T09:00", "cannot be received in the future"), ("soon", "Write a date and time")],
)
def test_a_moment_that_cannot_be_is_refused(event, client_as, received, message):
    entry = build.make_entry(event)
    assert message in page(client_as(Role.DESK), event, "withdraw", entry.pk, received_at=received)


def test_a_handling_fee_above_the_limit_is_said_instead_of_a_refund(event, client_as):
    event.handling_fee_cents = 2000
    event.save()
    entry = build.make_entry(event)
    assert "handling fee lies between" in page(client_as(Role.DESK), event, "withdraw", entry.pk)


def test_a_place_that_is_filled_later_leaves_the_rest_of_the_fee_to_pay_back(event, client_as):
    event.divisions.filter(code="MA1").update(cap=1)
    entry = build.make_entry(event, status=Status.WITHDRAWN, left_at=START - timedelta(days=20), pack="L")
    client = client_as(Role.DESK)
    back = url(event, "pay_back", entry.pk)
    client.post(back, {"option": "0", "method": "cash"})
    assert paid_back(entry) == 2250
    entry.filled_by = build.make_entry(event)
    entry.save()
    shown = page(client, event, "entry", entry.pk)
    assert "The whole fee: $22.50 more" in shown
    client.post(back, {"option": "0", "method": "cash"})
    assert paid_back(entry) == 4500
    again = client.post(back, {"option": "0", "method": "cash"}, follow=True).content.decode()
    assert "No more can be paid back than was paid." in again


@pytest.mark.parametrize("status", [Status.DID_NOT_PLAY, Status.DISQUALIFIED])
def test_whoever_missed_check_in_or_was_disqualified_gets_nothing_back(event, client_as, status):
    entry = build.make_entry(event, status=status, left_at=NOW, left_reason="late")
    client = client_as(Role.DIRECTOR)
    assert "Nothing as of right: nothing to pay" in page(client, event, "entry", entry.pk)
    client.post(url(event, "pay_back", entry.pk), {"option": "0", "method": "cash"})
    assert paid_back(entry) == 0


# --- The other ways ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("how", "status", "section"),
    [
        ("did-not-play", Status.DID_NOT_PLAY, "5.06.A"),
        ("did-not-finish", Status.DID_NOT_FINISH, "5.06.B"),
        ("disqualified", Status.DISQUALIFIED, "3.03.E"),
    ],
)
def test_each_way_shows_its_section_and_can_be_taken_back(event, client_as, how, status, section):
    entry, client = build.make_entry(event), client_as(Role.DIRECTOR)
    assert section in page(client, event, "leave", entry.pk, how)
    client.post(url(event, "leave", entry.pk, how), {"reason": "as told"})
    entry.refresh_from_db()
    assert entry.status == status
    client.post(url(event, "leave", entry.pk, "back"), {"reason": "an error"})
    entry.refresh_from_db()
    assert entry.status == Status.CONFIRMED


def test_only_the_director_disqualifies_and_only_with_a_reason(event, client_as):
    entry = build.make_entry(event)
    assert client_as(Role.DESK).get(url(event, "leave", entry.pk, "disqualified")).status_code == 403
    answer = client_as(Role.DIRECTOR).post(url(event, "leave", entry.pk, "disqualified"), {"reason": " "})
    assert answer.status_code == 422
    assert "This field is required." in answer.content.decode()


def test_a_way_that_is_not_open_to_the_status_is_refused_on_the_page(event, client_as):
    entry = build.make_entry(event, status=Status.WAITLISTED)
    answer = client_as(Role.DESK).post(url(event, "leave", entry.pk, "did-not-finish"), {"reason": "x"})
    assert answer.status_code == 422
    assert "cannot be marked did not finish: on the waitlist." in answer.content.decode()


# --- Expected, but not in ---------------------------------------------------------------------------------


def test_the_ticked_are_marked_all_or_none(event, client_as):
    one, two = build.make_entry(event), build.make_entry(event)
    here = build.make_entry(event, checked_in_at=NOW)
    client = client_as(Role.DESK)
    shown = page(client, event, "missing")
    assert re.findall(r'name="entry" value="(\d+)"', shown) == [str(one.pk), str(two.pk)]
    gone = build.make_entry(event, status=Status.WITHDRAWN)
    client.post(url(event, "missing"), {"entry": [one.pk, gone.pk], "what": "did_not_play"})
    assert set(Entry.objects.values_list("status", flat=True)) == {"confirmed", "withdrawn"}
    client.post(url(event, "missing"), {"entry": [one.pk, two.pk], "what": "did_not_play"})
    assert set(Entry.objects.filter(status="did_not_play")) == {one, two}
    here.refresh_from_db()
    assert here.status == Status.CONFIRMED


def test_the_director_keeps_a_place_and_the_list_says_why(event, client_as):
    entry = build.make_entry(event)
    sent = {"entry": entry.pk, "what": "waive", "reason": "held up at the bridge"}
    assert client_as(Role.DESK).post(url(event, "missing"), sent).status_code == 403
    client = client_as(Role.DIRECTOR)
    client.post(url(event, "missing"), sent)
    shown = page(client, event, "missing")
    assert "held up at the bridge" in shown
    assert "<dt>without a waiver</dt><dd>0</dd>" in shown
    assert Act.objects.get().reason == "held up at the bridge"


def test_nothing_ticked_or_no_reason_is_said(event, client_as):
    entry, client = build.make_entry(event), client_as(Role.DIRECTOR)
    answer = client.post(url(event, "missing"), {"what": "did_not_play"}, follow=True)
    assert "Tick somebody first." in answer.content.decode()
    answer = client.post(url(event, "missing"), {"what": "waive", "entry": entry.pk}, follow=True)
    assert "A waiver needs its reason." in answer.content.decode()


def test_a_waiver_is_for_somebody_who_is_not_in(event):
    entry = build.make_entry(event, checked_in_at=NOW)
    with pytest.raises(EntryRefused, match="did not miss check-in"):
        waive_missed_check_in(entry=entry, actor=ACTOR, now=NOW, reason="x")


@pytest.mark.parametrize("count", [1, 3])
def test_the_missing_cost_their_queries(event, client_as, count, django_assert_num_queries):
    for _ in range(count):
        build.make_entry(event)
    client = client_as(Role.DESK)
    with django_assert_num_queries(7):
        assert page(client, event, "missing").count('name="entry"') == count


# --- The waitlist -----------------------------------------------------------------------------------------


def wait(event, family, minutes, division="MA1") -> Entry:
    return build.make_entry(
        event,
        division,
        person=build.make_person(family, "A"),
        status=Status.WAITLISTED,
        received_at=NOW + timedelta(minutes=minutes),
    )


def test_the_lists_stand_in_their_order_and_the_next_is_promoted(event, client_as):
    event.divisions.filter(code="MA1").update(cap=1)
    held = build.make_entry(event)
    later, first = wait(event, "Varga", 5), wait(event, "Quist", 1)
    client = client_as(Role.DESK)
    shown = page(client, event, "waitlist")
    assert re.findall(r'<th scope="row"><a[^>]*>([^<]*)</a>', shown) == ["A Quist", "A Varga"]
    assert "A place is free" not in shown
    held.status, held.left_at = Status.WITHDRAWN, NOW
    held.save()
    assert "A place is free. Next: A Quist, MA1." in page(client, event, "waitlist")
    client.post(url(event, "promote"), {"entry": first.pk})
    first.refresh_from_db()
    held.refresh_from_db()
    assert (first.status, held.filled_by) == (Status.CONFIRMED, first)
    assert (
        re.search(r"not filled|A Quist</a></td></tr>", page(client, event, "waitlist")).group()
        != "not filled"
    )
    later.refresh_from_db()
    assert later.status == Status.WAITLISTED


def test_somebody_else_is_promoted_with_a_reason_only(event, client_as):
    event.divisions.filter(code="MA1").update(cap=1)
    wait(event, "Quist", 1)
    other = wait(event, "Varga", 5)
    client = client_as(Role.DESK)
    answer = client.post(url(event, "promote"), {"entry": other.pk}, follow=True)
    assert "A Varga is not next: A Quist is next. Say why." in answer.content.decode()
    client.post(url(event, "promote"), {"entry": other.pk, "reason": "the director decided"})
    other.refresh_from_db()
    assert (other.status, Act.objects.get().reason) == (Status.CONFIRMED, "the director decided")


def test_nobody_to_promote_is_said(event, client_as):
    answer = client_as(Role.DESK).post(url(event, "promote"), follow=True)
    assert "No place is free, or nobody waits for it." in answer.content.decode()


def caps_form(event, **caps) -> dict[str, object]:
    divisions = {f"division_{each.pk}": each.cap or "" for each in event.divisions.all()}
    return {"version": event.version, "cap": "", "cap_pro": "", "cap_am": "", **divisions, **caps}


def test_a_raised_cap_frees_a_place_and_moves_nobody(event, client_as):
    division = event.divisions.get(code="MA1")
    event.divisions.filter(code="MA1").update(cap=0)
    entry = wait(event, "Quist", 1)
    client = client_as(Role.DIRECTOR)
    client.post(url(event, "caps"), caps_form(event, cap=90, **{f"division_{division.pk}": 1}))
    event.refresh_from_db()
    assert (event.cap, event.divisions.get(code="MA1").cap) == (90, 1)
    assert "Next: A Quist" in page(client, event, "waitlist")
    entry.refresh_from_db()
    assert entry.status == Status.WAITLISTED


def test_caps_of_an_old_page_and_wrong_ones_are_refused(event, client_as):
    client = client_as(Role.DIRECTOR)
    sent = caps_form(event, cap=90)
    client.post(url(event, "caps"), sent)
    answer = client.post(url(event, "caps"), {**sent, "cap": 80})
    assert answer.status_code == 422
    assert "The plan was changed by" in answer.content.decode()
    assert client.post(url(event, "caps"), {**sent, "cap": "-1"}).status_code == 422
    event.refresh_from_db()
    assert event.cap == 90


def test_only_the_director_sets_caps(event, client_as):
    client = client_as(Role.DESK)
    assert client.post(url(event, "caps"), caps_form(event)).status_code == 403
    assert "Save caps" not in page(client, event, "waitlist")


@pytest.mark.parametrize("count", [1, 3])
def test_the_waitlist_costs_its_queries(event, client_as, count, django_assert_num_queries):
    event.divisions.filter(code="MA1").update(cap=0)
    for number in range(count):
        wait(event, f"Name{number}", number)
        build.make_entry(event, status=Status.WITHDRAWN, left_at=NOW)
    client = client_as(Role.DESK)
    with django_assert_num_queries(12):
        assert page(client, event, "waitlist").count("promote</summary>") == count


# --- By command, on paper ---------------------------------------------------------------------------------


def command(*words: str) -> tuple[str, int]:
    out, code = StringIO(), 0
    try:
        call_command("check_in", *words, stdout=out)
    except SystemExit as stopped:
        code = int(stopped.code)
    return out.getvalue(), code


def test_numbers_and_codes_are_checked_in_by_command(event):
    one, two = build.make_entry(event), build.make_entry(event)
    unpaid = build.make_entry(event, status=Status.APPLIED, paid_elsewhere_cents=0)
    number, refused = str(one.person.member_number), str(unpaid.person.member_number)
    out, code = command("--event", event.slug, number, two.code.lower())
    assert (out.splitlines()[-1], code) == ("2 checked in, 0 refused", 0)
    out, code = command("--event", event.slug, "--json", number, refused, "99")
    assert [(line["number"], line["result"]) for line in json.loads(out)] == [
        (number, "in already"),
        (refused, "refused"),
        ("99", "refused"),
    ]
    assert code == 1


def test_all_who_are_confirmed_are_checked_in_by_command(event):
    for status in ("confirmed", "confirmed", "waitlisted", "applied"):
        build.make_entry(event, status=status)
    assert command("--event", event.slug, "--all")[0].splitlines()[-1] == "2 checked in, 0 refused"
    assert Entry.objects.filter(checked_in_at__isnull=False).count() == 2


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["--event", "nowhere", "--all"], "There is no event nowhere"),
        (["--event", "quiet-pines"], "Give member numbers"),
        (["--event", "quiet-pines", "--all", "12"], "Give member numbers"),
    ],
)
@pytest.mark.usefixtures("event")
def test_a_command_that_says_too_little_or_too_much_is_refused(words, message):
    with pytest.raises(CommandError, match=message):
        command(*words)


def test_the_check_in_list_names_everybody_who_may_come_with_what_is_open(event, client_as):
    build.make_entry(event, person=build.make_person("Ørsted", "Ada"), paid_elsewhere_cents=4000)
    build.make_entry(event, person=build.make_person("Quist", "Ivo"), status=Status.WITHDRAWN)
    wait(event, "Varga", 1)
    answer = client_as(Role.DESK).get(url(event, "paper_list"))
    text = text_of(answer.content)
    assert answer.headers["Content-Type"] == "application/pdf"
    assert [name for name in ("Ørsted, Ada", "Varga, A", "Quist, Ivo") if name in text] == [
        "Ørsted, Ada",
        "Varga, A",
    ]
    assert ("5.00" in text, "waitlist" in text) == (True, True)


def test_the_slips_carry_each_code(event, client_as):
    entries = [build.make_entry(event) for _ in range(3)]
    text = text_of(client_as(Role.DESK).get(url(event, "paper_slips")).content)
    assert [entry.code in text for entry in entries] == [True] * 3


@pytest.mark.parametrize("name", ["paper_list", "paper_slips"])
@pytest.mark.parametrize("count", [1, 3])
def test_the_paper_costs_its_queries(event, client_as, name, count, django_assert_num_queries):
    for _ in range(count):
        build.make_entry(event)
    client = client_as(Role.DESK)
    with django_assert_num_queries(6 if name == "paper_list" else 5):
        client.get(url(event, name))


@pytest.mark.parametrize("name", ["paper_list", "paper_slips"])
def test_the_paper_is_for_the_desk(event, client_as, name):
    assert client_as(Role.VIEWER).get(url(event, name)).status_code == 403
