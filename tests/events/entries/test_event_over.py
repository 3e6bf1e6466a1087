"""An event that is over: entries stay as they are, money still moves, and every page says so in a sentence."""

import pytest
import time_machine
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import CommandError, call_command
from django.urls import reverse

import build
from build import ACTOR, NOW
from events.entries import importing, leaving, services
from events.entries.capping import set_caps
from events.entries.changing import change_entry
from events.entries.models import Entry, ImportFile, Payment, Status
from events.entries.services import EntryRefused
from events.log.models import Act
from events.setup.models import Division, Event, Role
from players.models import Person

pytestmark = pytest.mark.django_db
OVER = "The event is over: entries stay as they are. Money may still be paid or paid back."
LIST = b"Given name,Family name,Member number,Division,Paid amount\nIvo,Quist,70900,MA1,45\n"


@pytest.fixture(autouse=True)
def _at_seven():
    with time_machine.travel(NOW, tick=False):
        yield


def end(event: Event) -> None:
    """The event is over, as its report declares it."""
    event.over_at = NOW
    event.save(update_fields=["over_at"])


def stored() -> list[list[dict[str, object]]]:
    """Everything that entries are made of, without the log."""
    models = (Event, Division, Entry, Person, Payment, ImportFile)
    return [list(model.objects.order_by("pk").values()) for model in models]


def changed(entry: Entry, **facts):
    return change_entry(
        entry=entry, version=entry.version, division=entry.division, person={"town": "Aldmoor"}, contact={},
        guardian="", **facts,
    )  # fmt: skip


WRITES = {
    "check in": lambda entry, **who: services.check_in(entry=entry, **who),
    "undo check-in": lambda entry, **who: services.undo_check_in(entry=entry, **who),
    "pack": lambda entry, **who: services.set_pack_given(entry=entry, given=True, **who),
    "guardian": lambda entry, **who: services.set_guardian(entry=entry, guardian="Ada Morwen", **who),
    "conduct": lambda entry, **who: services.set_conduct_signed(entry=entry, signed=True, **who),
    "withdraw": lambda entry, **who: leaving.withdraw(entry=entry, received_at=NOW, **who),
    "did not play": lambda entry, **who: leaving.mark_did_not_play(entry=entry, **who),
    "did not finish": lambda entry, **who: leaving.mark_did_not_finish(entry=entry, **who),
    "disqualify": lambda entry, **who: leaving.disqualify(entry=entry, reason="OR 801.02", **who),
    "waive": lambda entry, **who: leaving.waive_missed_check_in(entry=entry, reason="flat tyre", **who),
    "back": lambda entry, **who: leaving.reinstate(entry=entry, **who),
    "promote": lambda entry, **who: leaving.promote(event=entry.event, entry=entry, reason="why", **who),
    "next": lambda entry, **who: leaving.promote(event=entry.event, **who),
    "change": changed,
    "caps": lambda entry, **who: set_caps(
        event=entry.event, version=entry.event.version, cap=5, cap_pro=None, cap_am=None, divisions={}, **who
    ),
    "add": lambda entry, **who: services.add_entry(
        event=entry.event,
        person=Person.objects.get(family_name="Quist"),
        division=entry.division,
        received_at=NOW,
        **who,
    ),
    "import": lambda entry, **who: importing.bring_in(event=entry.event, name="list.csv", data=LIST, **who),
}


@pytest.mark.parametrize("what", WRITES)
def test_nothing_of_an_entry_is_written(event, what):
    entry = build.make_entry(event)
    build.make_person("Quist")
    end(event)
    before = stored()
    with pytest.raises(EntryRefused) as refused:
        WRITES[what](entry, actor=ACTOR, now=NOW)
    assert str(refused.value) == OVER
    assert stored() == before
    assert not Act.objects.exists()


def test_money_still_comes_and_goes_and_moves_nobody(event):
    entry = build.make_entry(event, status=Status.APPLIED, paid_elsewhere_cents=0)
    end(event)
    who = {"actor": ACTOR, "now": NOW}
    payment = services.take_payment(entry=entry, amount_cents=4500, method=Payment.Method.CASH, **who)
    leaving.pay_back(entry=entry, amount_cents=1000, method=Payment.Method.CASH, **who)
    services.undo_payment(payment=payment, **who)
    assert list(entry.payments.order_by("pk").values_list("amount_cents", flat=True)) == [4500, -1000, -4500]
    assert Entry.objects.values_list("status", "received_at").get() == (Status.APPLIED, entry.received_at)


def test_an_undone_payment_puts_nobody_out_of_the_field(event):
    entry = build.make_entry(event, status=Status.APPLIED, paid_elsewhere_cents=0)
    who = {"actor": ACTOR, "now": NOW}
    payment = services.take_payment(entry=entry, amount_cents=4500, method=Payment.Method.CASH, **who)
    end(event)
    services.undo_payment(payment=payment, **who)
    assert Entry.objects.get().status == Status.CONFIRMED
    assert services.money_of(entry).owed == 4500


# --- The pages say it ---------------------------------------------------------------------------------------


def form_of(entry: Entry) -> dict[str, object]:
    person = entry.person
    return {
        "version": entry.version, "given_name": "Other", "family_name": person.family_name,
        "playing_class": person.playing_class, "membership": person.membership, "division": entry.division_id,
    }  # fmt: skip


PAGES = [
    *(("act", (what,), {"guardian": "Ada Morwen"}) for what in ("check-in", "check-out", "pack", "pack-back")),
    *(("act", (what,), {"guardian": "Ada Morwen"}) for what in ("guardian", "conduct")),
    *(("leave", (how,), {"reason": "why"}) for how in ("did-not-play", "did-not-finish", "disqualified", "back")),
    ("withdraw", (), {"received_at": "2026-06-12T07:00", "shown_for": "2026-06-12T07:00:00+00:00",
                      "option": "", "method": "cash"}),
    ("change", (), form_of),
]  # fmt: skip


@pytest.mark.parametrize(("name", "more", "sent"), PAGES)
def test_the_pages_of_an_entry_say_so(event, client_as, name, more, sent):
    entry = build.make_entry(event)
    end(event)
    client, before = client_as(Role.DIRECTOR), stored()
    data = sent(entry) if callable(sent) else sent
    answer = client.post(reverse(f"entries:{name}", args=[event.slug, entry.pk, *more]), data, follow=True)
    assert (OVER in answer.content.decode(), stored()) == (True, before)


@pytest.mark.parametrize(
    ("name", "sent"),
    [
        ("new", {"family_name": "Quist", "playing_class": "am", "membership": "current"}),
        ("promote", {}),
        ("caps", {"version": 1, "cap": 5}),
        ("missing", {"what": "did_not_play"}),
        ("missing", {"what": "waive", "reason": "flat tyre"}),
    ],
)
def test_the_pages_of_the_event_say_so(event, client_as, name, sent):
    entry = build.make_entry(event)
    end(event)
    client, before = client_as(Role.DIRECTOR), stored()
    data = {**sent, "entry": entry.pk if name == "missing" else "", "division": entry.division_id}
    answer = client.post(reverse(f"entries:{name}", args=[event.slug]), data, follow=True)
    assert (OVER in answer.content.decode(), stored()) == (True, before)


def test_a_list_is_read_but_not_brought_in(event, client_as):
    client = client_as(Role.DIRECTOR)
    list_file = SimpleUploadedFile("list.csv", LIST)
    client.post(reverse("entries:import_upload", args=[event.slug]), {"file": list_file})
    file = ImportFile.objects.get()
    end(event)
    go = reverse("entries:import_bring_in", args=[event.slug, file.pk])
    answer = client.post(go, {"mark": importing.choice_mark(file)}, follow=True)
    assert OVER in answer.content.decode()
    assert not Entry.objects.exists()


def test_the_command_says_so(event, tmp_path):
    end(event)
    path = tmp_path / "list.csv"
    path.write_bytes(LIST)
    with pytest.raises(CommandError, match="The event is over"):
        call_command("import_entries", str(path), event=event.slug)
    assert not ImportFile.objects.exists()
