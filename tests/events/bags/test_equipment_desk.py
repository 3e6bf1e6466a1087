"""The equipment desk as an address: what a line does, where the cursor goes, who may, and the slip."""

import re
from collections.abc import Callable
from decimal import Decimal
from uuid import uuid4

import pytest
from django.test import Client

import pdf_pages
from build import ACTOR, NOW, make_entry, make_event, make_person
from build_bags import make_bag, make_disc, make_list
from events.bags.desk_page import bag_desk
from events.bags.links import bag_path
from events.bags.models import Examination, InBag, Question, Scale, ScaleCheck, Weighing
from events.bags.scales import register_scale
from events.bags.slip import slip_pdf
from events.bags.weighings import examine, question_disc
from events.entries.models import Entry
from events.log.models import Act
from events.log.services import verify
from events.paper.page import EventHead
from events.setup.models import Event, Role
from players.models import Disc

pytestmark = pytest.mark.django_db
D = Decimal
DESK = "/desk/quiet-pines/bags/desk/"
HTMX = {"HTTP_HX_REQUEST": "true"}
LONG = "Wilhelmina-Margarethe von Hohenbergsteins"


@pytest.fixture
def entry(event: Event) -> Entry:
    make_list()
    return make_entry(event)


@pytest.fixture
def fine(event: Event) -> Scale:
    return register_scale(
        event=event, name="fine", kind="class_iii", resolution_g=D("0.1"), actor=ACTOR, now=NOW
    )


@pytest.fixture
def desk(client_as: Callable[[Role], Client], fine: Scale) -> Client:
    return client_as(Role.EQUIPMENT)


def keep(desk: Client, entry: Entry, disc: Disc, line: str, **facts: object):
    data = {"line": line, "round": 1, "submission": str(uuid4()), **facts}
    return desk.post(f"{DESK}{entry.pk}/{disc.pk}/keep/", data, **HTMX)


def cursor(answer) -> str:
    """The name of the field that the cursor stands in."""
    (found,) = re.findall(r'<input[^>]*aria-label="([^"]*)"[^>]* autofocus', answer.content.decode())
    return found


def said(answer) -> list[str]:
    return re.findall(r'<div class="said error" role="alert">([^<]*)</div>', answer.content.decode())


def test_a_reading_is_kept_said_and_the_cursor_goes_on(desk: Client, entry: Entry) -> None:
    one, two = make_bag(entry, 2)
    answer = keep(desk, entry, one, "+ 175,2 g")
    assert (answer.status_code, cursor(answer)) == (200, "Reading of piece 2")
    weighing = Weighing.objects.get()
    assert (weighing.disc, weighing.reading_g, weighing.zone) == (one, D("175.2"), "accept")
    words = " ".join(re.sub(r"<[^>]+>", " ", answer.content.decode()).split())
    assert (
        "limit 176.0 g · accepted to 175.7985 · rejected from 176.2015 · probability within 0.9999" in words
    )
    assert "No valid check of fine." in words
    answer = keep(desk, entry, two, "176.3")
    assert cursor(answer) == "Find a player by name, member number or slip"


def test_what_is_not_proven_stays_in_the_list_for_the_finer_scale(
    desk: Client, entry: Entry, event: Event
) -> None:
    coarse = register_scale(
        event=event, name="coarse", kind="household", resolution_g=D(1), actor=ACTOR, now=NOW
    )
    one, _ = make_bag(entry, 2)
    desk.post(f"{DESK}scale/", {"scale": coarse.pk, "round": 1})
    assert cursor(keep(desk, entry, one, "176")) == "Reading of piece 2"
    answer = desk.get(f"{DESK}?round=1&entry={entry.pk}")
    assert cursor(answer) == "Reading of piece 2"
    answer = keep(desk, entry, Disc.objects.get(number=2), "170")
    assert cursor(answer) == "Find a player by name, member number or slip"
    desk.post(f"{DESK}scale/", {"scale": Scale.objects.get(name="fine").pk, "round": 1})
    assert cursor(desk.get(f"{DESK}?round=1&entry={entry.pk}")) == "Reading of piece 1"
    keep(desk, entry, one, "175.6")
    zones = Weighing.objects.filter(disc=one).values_list("scale__name", "zone")
    assert list(zones) == [("coarse", "not_proven"), ("fine", "accept")]


def test_a_number_jumps_and_one_that_is_not_there_is_said(desk: Client, entry: Entry) -> None:
    one, *_ = make_bag(entry, 3)
    assert cursor(keep(desk, entry, one, "3.")) == "Reading of piece 3"
    answer = keep(desk, entry, one, "#9")
    assert (answer.status_code, said(answer)) == (422, ["There is no piece 9 in this box."])


def test_a_tap_says_what_a_letter_says_and_goes_with_a_reading(desk: Client, entry: Entry) -> None:
    one, _ = make_bag(entry, 2)
    assert cursor(keep(desk, entry, one, "", tap="c")) == "Reading of piece 1"
    assert cursor(keep(desk, entry, one, "170.0", tap="f")) == "Reading of piece 2"
    assert list(Examination.objects.values_list("cracked", "holed", "marked")) == [
        (True, None, None),
        (False, False, None),
    ]


def test_a_line_is_kept_whole_or_not_at_all(desk: Client, entry: Entry) -> None:
    (one,) = make_bag(entry, 1)
    for line in ("17.0 c", "170.05 c", "170.0 z"):
        answer = keep(desk, entry, one, line)
        assert (answer.status_code, len(said(answer))) == (422, 1)
    assert (Weighing.objects.count(), Examination.objects.count()) == (0, 0)


def test_a_page_sent_twice_is_one_weighing_and_swallows_no_other_reading(desk: Client, entry: Entry) -> None:
    (one,) = make_bag(entry, 1)
    key = str(uuid4())
    assert [keep(desk, entry, one, "170.0 c", submission=key).status_code for _ in range(2)] == [200, 200]
    for line in ("171.0 c", "170.0 h"):
        answer = keep(desk, entry, one, line, submission=key)
        assert (answer.status_code, said(answer)) == (
            422,
            [
                "This page had sent something else already, which is kept: look at the piece, and send it again."
            ],
        )
    assert list(Weighing.objects.values_list("reading_g")) == [(D("170.00"),)]
    assert Examination.objects.count() == 1


def test_two_desks_at_one_bag_see_and_keep_each_other(
    desk: Client, client_as: Callable[[Role], Client], entry: Entry
) -> None:
    one, two = make_bag(entry, 2)
    other = client_as(Role.DIRECTOR)
    keep(desk, entry, one, "170.0")
    answer = keep(other, entry, two, "171.0")
    assert "2 of 2 weighed" in answer.content.decode()
    keep(other, entry, one, "170.1")
    assert list(Weighing.objects.filter(disc=one).values_list("reading_g", "by")) == [
        (D("170.00"), Weighing.objects.first().by),
        (D("170.10"), Weighing.objects.last().by),
    ]
    assert Weighing.objects.first().by != Weighing.objects.last().by
    assert verify("quiet-pines")[1] == []


def test_a_slip_scanned_into_a_reading_field_brings_its_player(
    desk: Client, entry: Entry, event: Event
) -> None:
    (one,) = make_bag(entry, 1)
    other = make_entry(event, person=make_person("Moravec", "Siobhan"))
    address = f"http://192.168.1.2:8400{bag_path(other)}"
    answer = keep(desk, entry, one, address)
    assert answer["HX-Redirect"].startswith(f"{DESK}?round=1&q=http")
    page = desk.get(answer["HX-Redirect"]).content.decode()
    assert 'aria-label="Bag of Siobhan Moravec"' in page
    assert not Weighing.objects.exists()


@pytest.mark.parametrize("typed", ["moravec", "70999", "{code}"])
def test_a_player_is_found_by_name_number_or_code(
    desk: Client, entry: Entry, event: Event, typed: str
) -> None:
    meant = make_entry(event, person=make_person("Moravec", "Siobhan", member_number=70999))
    page = desk.get(DESK, {"q": typed.format(code=meant.code), "round": 1}).content.decode()
    assert 'aria-label="Bag of Siobhan Moravec"' in page


def test_a_piece_on_the_table_joins_box_and_bag(desk: Client, entry: Entry) -> None:
    spare = make_disc(entry, round=None)
    url = f"{DESK}{entry.pk}/add/"
    answer = desk.post(url, {"kind": "put_in", "disc": str(spare.key), "round": 1}, **HTMX)
    assert cursor(answer) == "Reading of piece 1"
    act = str(uuid4())
    for _ in range(2):
        answer = desk.post(url, {"kind": "add", "model": "Ostwall Gantrel", "act": act, "round": 1}, **HTMX)
    assert cursor(answer) == "Reading of piece 2"
    assert InBag.objects.filter(taken_out_at=None).count() == 2
    answer = desk.post(url, {"kind": "add", "model": " ", "round": 1}, **HTMX)
    assert (answer.status_code, said(answer)) == (422, ["Write the model of the disc."])
    desk.post(url, {"kind": "put_away", "disc": str(spare.key), "round": 1}, **HTMX)
    assert not Disc.objects.filter(put_away_at__isnull=False).exists()


def test_only_the_director_decides_on_a_questioned_piece(
    desk: Client, client_as: Callable[[Role], Client], entry: Entry
) -> None:
    (one,) = make_bag(entry, 1)
    facts = {"asked_by": "Ludvik Moravec", "reason": "feels thick", "round": 1}
    for _ in range(2):
        assert desk.post(f"{DESK}{entry.pk}/{one.pk}/question/", facts, **HTMX).status_code == 200
    answer = desk.post(f"{DESK}{entry.pk}/{one.pk}/question/", facts | {"asked_by": "Another"}, **HTMX)
    assert said(answer) == ["Ludvik Moravec questions it already: the director decides on that first."]
    question = Question.objects.get()
    url = f"{DESK}question/{question.pk}/decide/"
    word = {"approved": "yes", "reason": "as moulded", "round": 1}
    assert desk.post(url, word, **HTMX).status_code == 403
    director = client_as(Role.DIRECTOR)
    assert said(director.post(url, word | {"reason": " "}, **HTMX)) == [
        "Write the reason: the player will ask for it."
    ]
    assert director.post(url, word, **HTMX).status_code == 200
    question.refresh_from_db()
    assert (question.approved, question.decision) == (True, "as moulded")


@pytest.mark.parametrize(
    ("role", "read", "write"),
    [
        (Role.DIRECTOR, 200, 200),
        (Role.EQUIPMENT, 200, 200),
        (Role.DESK, 200, 403),
        (Role.CARD_ROOM, 200, 403),
        (Role.MARSHAL, 200, 403),
        (Role.VIEWER, 200, 403),
    ],
)
def test_who_reads_and_who_weighs(
    client_as: Callable[[Role], Client], fine: Scale, entry: Entry, role: Role, read: int, write: int
) -> None:
    (one,) = make_bag(entry, 1)
    client = client_as(role)
    page = client.get(f"{DESK}?round=1&entry={entry.pk}")
    assert page.status_code == read
    assert ('class="reading"' in page.content.decode()) is (write == 200)
    assert keep(client, entry, one, "170.0").status_code == write


def test_a_piece_of_another_event_or_box_is_not_found(desk: Client, entry: Entry) -> None:
    (one,) = make_bag(entry, 1)
    elsewhere = make_entry(make_event("elsewhere"))
    other = make_entry(entry.event)
    for owner in (elsewhere, other):
        assert keep(desk, owner, one, "170.0").status_code == 404
    assert not Weighing.objects.exists()


def test_once_the_event_is_over_the_desk_only_shows(desk: Client, entry: Entry, event: Event) -> None:
    (one,) = make_bag(entry, 1)
    Event.objects.filter(pk=event.pk).update(over_at=NOW)
    page = desk.get(f"{DESK}?round=1&entry={entry.pk}")
    assert (page.status_code, 'class="reading"' in page.content.decode()) == (200, False)
    answer = keep(desk, entry, one, "170.0")
    assert said(answer) == ["The event is over: nothing about discs changes any more."]


@pytest.mark.parametrize("count", [1, 3])
def test_a_bag_on_the_table_takes_the_same_queries_for_any_size(
    desk: Client, entry: Entry, count: int, django_assert_num_queries
) -> None:
    for disc in make_bag(entry, count):
        keep(desk, entry, disc, "170.0 f")
    with django_assert_num_queries(23):
        desk.get(f"{DESK}?round=1&entry={entry.pk}")


def test_a_scale_is_registered_checked_and_put_aside(desk: Client, event: Event) -> None:
    url = f"{DESK}scales/"

    def post(**facts: object) -> str:
        answer = desk.post(url, facts, follow=True)
        (words,) = re.findall(r'<div class="said[^"]*"[^>]*><span>([^<]*)</span>', answer.content.decode())
        return words

    assert post(act="register", name="kitchen", kind="household", step="1") == (
        "kitchen is registered. Hold it to the reference mass before you weigh."
    )
    assert post(act="register", name="Kitchen", kind="household", step="1") == (
        "A scale called Kitchen is registered."
    )
    assert post(act="register", name="x" * 41, kind="household", step="1") == (
        "The name is 41 letters long: at most 40."
    )
    kitchen = Scale.objects.get(name="kitchen")
    assert post(act="check", scale=kitchen.pk, reference="200", reading="201,5") == (
        "kitchen shows steps of 1 g: 201.50 is not one of them."
    )
    assert post(act="check", scale=kitchen.pk, reference="200", reading="201") == (
        "kitchen is held to its mass: 200 g showed 201 g."
    )
    assert post(act="check", scale=kitchen.pk, reference="200", reading="202 g") == (
        "kitchen is off by 2 g, more than 1 g: readings on it say so."
    )
    assert list(ScaleCheck.objects.values_list("passed", flat=True)) == [True, False]
    assert post(act="retire", scale=kitchen.pk) == "kitchen is put aside; its readings stay."
    assert post(act="check", scale=kitchen.pk, reference="200", reading="200") == (
        "kitchen is put aside: choose another scale."
    )
    actions = Act.objects.filter(action__startswith="scale.", subject="kitchen").order_by("number")
    assert [act.action for act in actions] == [
        "scale.registered",
        "scale.checked",
        "scale.checked",
        "scale.retired",
    ]


def test_a_weighing_shows_what_it_rests_on(desk: Client, entry: Entry) -> None:
    (one,) = make_bag(entry, 1)
    desk.post(
        f"{DESK}scales/",
        {"act": "check", "scale": Scale.objects.get().pk, "reference": "200", "reading": "200.1"},
    )
    keep(desk, entry, one, "175.9")
    page = desk.get(f"{DESK}weighing/{Weighing.objects.get().pk}/").content.decode()
    rows = dict(re.findall(r"<div><dt>([^<]*)</dt><dd>([^<]*)</dd></div>", page))
    rows.pop("by")
    assert rows == {
        "reading": "175.9 g on fine, which shows steps of 0.1 g",
        "limit": "176.0 g as listed (list of 1 June 2026)",
        "formula": "176.0 g",
        "standard uncertainty": "0.1225 g",
        "guard band": "0.2015 g",
        "accepted up to": "175.7985 g",
        "rejected from": "176.2015 g",
        "probability within": "0.7929",
        "decision": "not proven",
        "scale check": "200 g showed 200.1 g",
    }


def slip(desk: Client, entry: Entry) -> bytes:
    answer = desk.get(f"{DESK}{entry.pk}/slip/1/")
    assert (answer.status_code, answer["Content-Type"]) == (200, "application/pdf")
    return answer.content


def test_the_slip_names_what_not_to_throw_and_apart_what_is_not_proven(desk: Client, event: Event) -> None:
    make_list()
    entry = make_entry(event, person=make_person(LONG, "Ana"))
    heavy, near, broken, asked, sound = make_bag(entry, 5)
    for disc, line in ((heavy, "176.3"), (near, "176.0"), (broken, "170.0"), (sound, "170.0")):
        keep(desk, entry, disc, line)
    facts = {"entry": entry, "round": None, "actor": ACTOR, "now": NOW}
    examine(disc=broken, seen={"cracked": True}, note="", submission=uuid4(), **facts)  # type: ignore[arg-type]
    question_disc(disc=asked, asked_by=LONG, reason="feels thick", **facts)  # type: ignore[arg-type]
    (sheet,) = pdf_pages.read(slip(desk, entry))
    assert (pdf_pages.collisions(sheet), pdf_pages.strays(sheet)) == ([], [])
    text = sheet.text
    assert text.startswith(f"Ana {LONG} Quiet Pines Open · MA1 · round 1 · 4 of 5 weighed Only throwing")
    forbidden, unproven = text.split("Not proven, no restriction")
    assert re.findall(r"(\d) Ostwall Plinthor", forbidden.split("Do not throw these")[1]) == ["1", "3", "4"]
    assert re.findall(r"(\d) Ostwall Plinthor", unproven) == ["2"]
    for words in (
        "176.3 g for a limit of 176.0 g: over it beyond what the scale can be wrong by.",
        "Cracked.",
        "illegal until the director approves it.",
        "813.01.E",
        "813.01.F",
    ):
        assert words in forbidden


def test_a_slip_without_findings_says_so(desk: Client, entry: Entry) -> None:
    make_bag(entry, 1)
    (sheet,) = pdf_pages.read(slip(desk, entry))
    assert "So far nothing was found that is not to be thrown." in sheet.text
    assert "Do not throw these" not in sheet.text


def test_the_same_slip_is_the_same_bytes(entry: Entry) -> None:
    round_ = entry.event.rounds.get(number=1)
    make_bag(entry, 2)
    head = EventHead("Quiet Pines Open", "Upper", "12-13 June", "EUR")
    printed = [slip_pdf(head, entry, round_, bag_desk(entry, round_), "printed Fri 09:00") for _ in range(2)]
    assert printed[0] == printed[1]


def test_a_bag_of_sixty_faults_flows_over_pages(desk: Client, entry: Entry) -> None:
    for disc in make_bag(entry, 60):
        keep(desk, entry, disc, "n")
    sheets = pdf_pages.read(slip(desk, entry))
    assert len(sheets) > 1
    assert [pdf_pages.strays(sheet) for sheet in sheets] == [[]] * len(sheets)
    text = " ".join(sheet.text for sheet in sheets)
    assert re.findall(r"(\d+) Ostwall Plinthor", text) == [str(n) for n in range(1, 61)]


def test_a_reading_that_a_finer_scale_outranks_is_said_and_asked_about(
    desk: Client, entry: Entry, event: Event, fine: Scale
) -> None:
    (disc,) = make_bag(entry, 1)
    desk.post(f"{DESK}scale/", {"scale": fine.pk, "round": 1})
    keep(desk, entry, disc, "173.0")
    coarse = register_scale(
        event=event, name="coarse", kind="household", resolution_g=D(1), actor=ACTOR, now=NOW
    )
    desk.post(f"{DESK}scale/", {"scale": coarse.pk, "round": 1})
    page = keep(desk, entry, disc, "181").content.decode()
    assert (
        "coarse showed 181 g just now; 173.0 g on fine counts, the finer scale. Is it the same disc?" in page
    )
