"""The way of a list of approved discs through its pages: chosen, looked at, brought in whole or not at all."""

from datetime import date

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

import build
import build_bags
from events.bags.list_files import keep_file, look, take_file
from events.bags.lists import ListChoiceRefused, choose_list, decide_model, list_in_use
from events.bags.models import ListFile, ListInUse, ModelDecision
from events.log.models import Act
from events.setup.models import Event, Role
from events.sheets.refusal import Refused
from players.approved import ListRefused, import_list
from players.models import ApprovedList, ApprovedModel

pytestmark = pytest.mark.django_db
SLUG = "quiet-pines"
BY = {"actor": build.ACTOR, "now": build.NOW}
NEW = """Maker,Disc Model,Max Weight (g),Diameter (cm),Certification Number
Ostwall,Plinthor,175.1,21.1,20-1
Ostwall,Jorvekko,175.1,21.1,7-Mar
"""
BAD = NEW + "Ostwall,Wobble,heavy,21.1,20-2\n"


def at(name: str, *args: object) -> str:
    return reverse(f"bags:{name}", args=[SLUG, *args])


def upload(client: Client, text: str = NEW, as_of: str = "2026-06-05", name: str = "list.csv"):
    file = SimpleUploadedFile(name, text.encode())
    return client.post(at("list_upload"), {"file": file, "as_of": as_of})


def kept(event: Event, text: str = NEW, as_of: date = date(2026, 6, 5)) -> ListFile:
    return keep_file(event=event, content=text.encode(), file_name="list.csv", as_of=as_of, **BY)


@pytest.fixture
def director(client_as) -> Client:
    return client_as(Role.DIRECTOR)


# --- The file ------------------------------------------------------------------------------------------


def test_a_file_that_waits_is_no_list(event):
    file = kept(event)
    assert [model.name for model in look(file).models] == ["Plinthor", "Jorvekko"]
    assert (ApprovedList.objects.count(), list_in_use(event)) == (0, None)
    assert kept(event) == file


def test_a_file_taken_twice_is_one_list_and_keeps_no_content(event):
    file = kept(event)
    first, second = (take_file(file=file, use=True, **BY) for _ in range(2))
    assert first == second == list_in_use(event)
    file.refresh_from_db()
    assert (bytes(file.content), file.taken) == (b"", first)
    assert ListInUse.objects.count() == 1
    assert [act.action for act in Act.objects.order_by("pk")] == ["list.imported", "list.chosen"]


def test_a_spoilt_list_of_ten_thousand_rows_leaves_nothing(event):
    rows = "".join(f"Ostwall,Mod{n},{'x' if n == 9_000 else 176},21.2,\n" for n in range(10_000))
    file = kept(event, NEW + rows)
    with pytest.raises(ListRefused) as refused:
        take_file(file=file, use=True, **BY)
    assert [(problem.row, problem.value) for problem in refused.value.problems] == [(9_004, "x")]
    assert (ApprovedList.objects.count(), ApprovedModel.objects.count(), Act.objects.count()) == (0, 0, 0)
    file.refresh_from_db()
    assert file.taken is None


def test_what_comes_in_at_an_invented_event_stays_with_it(event):
    Event.objects.update(is_demo=True)
    event.refresh_from_db()
    assert take_file(file=kept(event), use=False, **BY).invented


def test_no_file_is_kept_or_taken_when_the_event_is_over(event):
    file = kept(event)
    Event.objects.update(over_at=build.NOW)
    with pytest.raises(ListChoiceRefused):
        take_file(file=file, use=False, **BY)
    with pytest.raises(ListChoiceRefused):
        kept(event, NEW + "\n")
    assert (ListFile.objects.count(), ApprovedList.objects.count()) == (1, 0)


def test_a_file_that_cannot_be_read_is_not_kept(event):
    with pytest.raises(Refused):
        keep_file(event=event, content=b"\x00\x01", file_name="x.pdf", as_of=date(2026, 1, 1), **BY)
    assert not ListFile.objects.exists()


# --- Its pages -----------------------------------------------------------------------------------------


def test_a_list_is_chosen_looked_at_and_brought_in(event, director):
    build_bags.make_list()
    answer = upload(director)
    file = ListFile.objects.get()
    assert (answer.status_code, answer.url) == (302, at("list_check", file.pk))
    page = director.get(answer.url)
    assert (page.context["count"], page.context["errors"]) == (2, 0)
    changes = page.context["changes"]
    assert changes["added"] == ("Ostwall Jorvekko",)
    assert [(c.name, c.before, c.after) for c in changes["limits"]] == [("Plinthor", "176.0", "175.1")]
    assert [(w.row, w.value) for w in page.context["warnings"]] == [(3, "7-Mar")]
    assert ApprovedList.objects.count() == 1
    answer = director.post(at("list_bring_in", file.pk), {"use": "on"})
    assert (answer.status_code, answer.url) == (302, at("lists"))
    assert str(list_in_use(event)) == "list of 5 June 2026"
    said = director.get(answer.url).content.decode()
    assert "The list of 5 June 2026 is here: 2 models. The event goes by it." in said
    assert director.get(at("list_check", file.pk)).url == at("list", list_in_use(event).pk)


def test_a_spoilt_list_is_named_row_by_row_and_offers_no_way_in(event, director):
    upload(director, BAD)
    file = ListFile.objects.get()
    page = director.get(at("list_check", file.pk))
    assert [(p.row, p.column, p.value) for p in page.context["problems"]] == [(4, "Max Weight (g)", "heavy")]
    assert at("list_bring_in", file.pk) not in page.content.decode()
    director.post(at("list_bring_in", file.pk))
    assert not ApprovedList.objects.exists()


def test_a_file_is_forgotten_but_a_list_is_not(event, director):
    build_bags.make_list()
    waits, taken = kept(event, BAD), kept(event)
    take_file(file=taken, use=False, **BY)
    for file in (waits, taken):
        assert director.get(at("list_drop", file.pk)).status_code == 302
        assert director.post(at("list_drop", file.pk)).url == at("lists")
    assert list(ListFile.objects.all()) == [taken]
    assert ApprovedList.objects.count() == 2


@pytest.mark.parametrize(
    ("text", "as_of", "said"),
    [
        ("", "2026-06-05", "The file is empty."),
        (NEW, "", "Write the day."),
        (NEW, "5 June", "Write the day as 2026-11-20."),
        (NEW, "2999-01-01", "Write a day from 2000 to today."),
        (NEW, "1999-12-31", "Write a day from 2000 to today."),
    ],
)
def test_an_upload_that_cannot_be_is_refused_at_once(event, director, text, as_of, said):
    answer = upload(director, text, as_of)
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert not ListFile.objects.exists()


def test_a_list_without_its_columns_names_them(event, director):
    answer = upload(director, "Disc,Colour\nPlinthor,red\n")
    page = director.get(answer.url)
    assert [problem.column for problem in page.context["problems"]] == ["maker", "max weight (g)"]


def test_the_equipment_desk_brings_in_but_does_not_choose(event, client_as):
    older = build_bags.make_list()
    choose_list(event=event, approved=older, **BY)
    equipment = client_as(Role.EQUIPMENT)
    upload(equipment)
    equipment.post(at("list_bring_in", ListFile.objects.get().pk), {"use": "on"})
    assert (ApprovedList.objects.count(), list_in_use(event)) == (2, older)
    newer = ApprovedList.objects.get(as_of=date(2026, 6, 5))
    assert equipment.post(at("list_use", newer.pk)).status_code == 403


def test_the_director_chooses_a_list(event, director):
    older = build_bags.make_list(as_of=date(2026, 1, 1))
    build_bags.make_list()
    director.post(at("list_use", older.pk))
    assert list_in_use(event) == older


def test_files_and_lists_of_others_are_not_there(event, director):
    elsewhere = build.make_event("elsewhere")
    file = keep_file(event=elsewhere, content=NEW.encode(), file_name="l.csv", as_of=date(2026, 6, 5), **BY)
    made = import_list(content=NEW.encode(), file_name="l.csv", as_of=date(2026, 1, 1), invented=True, **BY)
    assert director.get(at("list_check", file.pk)).status_code == 404
    assert director.post(at("list_bring_in", file.pk)).status_code == 404
    for name in ("list", "list_changes"):
        assert director.get(at(name, made.pk)).status_code == 404
    assert director.post(at("list_use", made.pk)).status_code == 404


def test_one_list_is_searched_in_any_way_of_writing(event, director):
    held = build_bags.make_list()

    def names(**wanted: str) -> list[str]:
        return [row.record.name for row in director.get(at("list", held.pk), wanted).context["table"].page]

    assert names() == ["Blankel", "Ørnbue", "Slipvek", "Gantrel", "Plinthor"]
    assert names(q="FJOSDAL orn") == ["Ørnbue"]
    assert names(q="nothing of it") == []
    assert names(only="differs") == ["Slipvek"]
    assert names(only="blank") == ["Blankel"]
    assert names(only="nonsense") == names()
    assert names(sort="max_mass_g")[-1] == names(sort="-max_mass_g")[-1] == "Blankel"


def test_a_long_list_comes_in_pages(event, director):
    rows = "".join(f"Ostwall,Mod{n:03},176.0,21.2\n" for n in range(250))
    held = build_bags.make_list(build_bags.LIST + rows)
    page = director.get(at("list", held.pk), {"page": "3"})
    assert (page.context["found"], len(page.context["table"].page)) == (255, 55)
    assert director.get(at("list", held.pk), {"page": "99"}).status_code == 200


def test_what_a_list_changed_stays_to_be_read(event, director):
    first = build_bags.make_list(as_of=date(2026, 1, 1))
    second = build_bags.make_list(NEW, as_of=date(2026, 6, 1))
    page = director.get(at("list_changes", second.pk))
    assert page.context["before"] == first
    assert page.context["changes"]["removed"] == (
        "Fjøsdal Blankel",
        "Fjøsdal Ørnbue",
        "Fjøsdal Slipvek",
        "Ostwall Gantrel",
    )
    assert director.get(at("list_changes", first.pk)).context["before"] is None


# --- Models that are on no list ------------------------------------------------------------------------


def test_the_director_decides_about_a_model_that_is_on_no_list(event, director):
    build_bags.make_list()
    disc = build_bags.make_disc(build.make_entry(event), "Own mould")
    assert "1 model not on the list" in director.get(at("lists")).content.decode()
    answer = director.post(at("model_decide"), {"piece": disc.pk, "word": "refuse", "reason": "home made"})
    assert answer.url == at("lists")
    word = ModelDecision.objects.get()
    assert (word.model, word.allowed, word.reason) == ("Own mould", False, "home made")
    assert "May not be thrown" in director.get(at("lists")).content.decode()


@pytest.mark.parametrize(
    "change", [{"reason": " "}, {"word": "perhaps"}, {"piece": "x"}, {"reason": "x" * 501}]
)
def test_a_word_that_is_none_decides_nothing(event, director, change):
    disc = build_bags.make_disc(build.make_entry(event), "Own mould")
    answer = director.post(at("model_decide"), {"piece": disc.pk, "word": "allow", "reason": "seen"} | change)
    assert answer.status_code == 302
    assert "Nothing was decided." in director.get(answer.url).content.decode()
    assert not ModelDecision.objects.exists()


def test_a_piece_of_another_event_is_not_decided_here(event, director):
    disc = build_bags.make_disc(build.make_entry(build.make_event("elsewhere")), "Own mould")
    facts = {"piece": disc.pk, "word": "allow", "reason": "seen"}
    assert director.post(at("model_decide"), facts).status_code == 404


@pytest.mark.parametrize("role", [Role.EQUIPMENT, Role.MARSHAL, Role.DESK, Role.VIEWER])
def test_only_the_director_decides_and_announces(event, client_as, role):
    client = client_as(role)
    assert client.get(at("lists")).status_code == 200
    assert client.post(at("model_decide")).status_code == 403
    assert client.post(at("night_or_snow", 1), {"on": "yes"}).status_code == 403


@pytest.mark.parametrize("entrants", [1, 3])
def test_the_page_of_lists_asks_as_much_for_three_as_for_one(
    event, director, entrants, django_assert_num_queries
):
    for month in range(1, entrants + 1):
        build_bags.make_list(as_of=date(2026, month, 1))
        kept(event, as_of=date(2025, month, 1))
        disc = build_bags.make_disc(build.make_entry(event), f"Own {'abc'[month - 1]}")
        decide_model(event=event, maker="", model=disc.model, allowed=True, reason="seen", **BY)
    director.get(at("lists"))
    with django_assert_num_queries(12):
        director.get(at("lists"))


@pytest.mark.parametrize("models", [1, 3])
def test_the_page_of_one_list_asks_as_much_for_three_as_for_one(
    event, director, models, django_assert_num_queries
):
    held = build_bags.make_list("\n".join(build_bags.LIST.splitlines()[: models + 1]))
    director.get(at("list", held.pk))
    with django_assert_num_queries(12):
        director.get(at("list", held.pk))


# --- Night or snow -------------------------------------------------------------------------------------


def test_night_or_snow_is_announced_and_taken_back(event, director):
    back = reverse("setup:plan", args=[SLUG])
    answer = director.post(at("night_or_snow", 2), {"on": "yes", "next": back})
    assert (answer.status_code, answer.url) == (302, back)
    assert event.rounds.get(number=2).night_or_snow
    director.post(at("night_or_snow", 2), {"on": "no"})
    assert not event.rounds.get(number=2).night_or_snow
    assert director.post(at("night_or_snow", 9), {"on": "yes"}).status_code == 404


def test_no_announcement_leads_to_another_machine_and_none_is_made_by_looking(event, director):
    answer = director.post(at("night_or_snow", 1), {"on": "yes", "next": "https://elsewhere.example/"})
    assert answer.url == at("lists")
    director.get(at("night_or_snow", 2))
    assert not event.rounds.get(number=2).night_or_snow
