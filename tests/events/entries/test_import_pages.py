"""The way of a list through its pages: chosen, looked at, answered, brought in or refused."""

import io
import zipfile

import openpyxl
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

import build
from events.entries.models import Entry, ImportFile, Status
from events.log.models import Act
from events.setup.models import Role
from players.models import Person

pytestmark = pytest.mark.django_db

SLUG = "quiet-pines"
HEAD = "First name;Last name;Number;Born;Division;Rating;Class;Paid;Entered at"
INES = "Ines;Halvorsen;70001;1990;MA1;905;am;45;2026-05-01 10:00"
RAVI = "Ravi;Okonjo;70002;1985;MA1;880;am;0;2026-05-01 11:00"


@pytest.fixture
def director(client_as) -> Client:
    return client_as(Role.DIRECTOR)


def upload(client: Client, *rows: str, head: str = HEAD, name: str = "list.csv", data: bytes | None = None):
    content = "\n".join((head, *rows)).encode() if data is None else data
    return client.post(
        reverse("entries:import_upload", args=[SLUG]), {"file": SimpleUploadedFile(name, content)}
    )


def page_of(client: Client, *rows: str, head: str = HEAD) -> str:
    """Upload and answer the address of the page that shows how the list is read."""
    answer = upload(client, *rows, head=head)
    assert answer.status_code == 302
    return answer.url


def choose(client: Client, url: str, **choices: str):
    answer = client.post(url, {name.replace("__", "-"): value for name, value in choices.items()})
    assert (answer.status_code, answer.url) == (302, url)
    return client.get(url)


def bring_in(client: Client, url: str):
    return client.post(f"{url}bring-in/", {"mark": client.get(url).context["mark"]})


def test_a_list_is_chosen_looked_at_and_brought_in(event, director):
    url = page_of(director, INES, RAVI)
    page = director.get(url)
    assert page.status_code == 200
    assert not Entry.objects.exists()
    assert [(c.heading, c.field) for c in page.context["columns"]] == [
        ("First name", "given"), ("Last name", "family"), ("Number", "member_number"), ("Born", "birth_year"),
        ("Division", "division"), ("Rating", "rating"), ("Class", "class_of_play"), ("Paid", "paid"),
        ("Entered at", "registered_at"),
    ]  # fmt: skip
    assert [(row.name, row.division, row.paid, row.change) for row in page.context["preview"]] == [
        ("Ines Halvorsen", "MA1", "$45", "new"), ("Ravi Okonjo", "MA1", "$0", "new"),
    ]  # fmt: skip
    answer = bring_in(director, url)
    assert (answer.status_code, answer.url) == (302, reverse("entries:list", args=[SLUG]))
    assert dict(Entry.objects.values_list("person__family_name", "status")) == {
        "Halvorsen": "confirmed", "Okonjo": "applied",
    }  # fmt: skip
    assert Act.objects.get(action="entries.imported").actor_id is not None


def test_the_second_confirmation_saves_nothing_again(event, director):
    url = page_of(director, INES)
    mark = {"mark": director.get(url).context["mark"]}
    first, second = (director.post(f"{url}bring-in/", mark) for _ in range(2))
    assert (first.status_code, second.status_code) == (302, 302)
    assert Entry.objects.count() == 1
    assert Act.objects.filter(action="entries.imported").count() == 1
    assert director.get(url).url == reverse("entries:import_upload", args=[SLUG])


def test_a_confirmation_of_what_was_shown_before_a_change_saves_nothing(event, director):
    url = page_of(director, INES, RAVI)
    mark = {"mark": director.get(url).context["mark"]}
    choose(director, url, leave="3")
    answer = director.post(f"{url}bring-in/", mark)
    assert (answer.status_code, answer.url) == (302, url)
    assert not Entry.objects.exists()
    assert "The choices for this list have changed." in director.get(url).content.decode()


def test_what_has_to_be_mended_is_named_and_nothing_can_be_brought_in(event, director):
    url = page_of(director, INES, RAVI.replace("1985", "85").replace("MA1", "MA7"))
    page = director.get(url)
    assert [(p.row, p.column, p.value) for p in page.context["errors"]] == [
        (3, "Born", "85"), (3, "Division", "MA7"),
    ]  # fmt: skip
    assert "Bring in 1" not in page.content.decode()
    answer = bring_in(director, url)
    assert (answer.status_code, answer.url) == (302, url)
    assert not Entry.objects.exists()


def test_bad_rows_are_left_out_and_taken_back(event, director):
    url = page_of(director, INES, RAVI.replace("1985", "85"))
    page = choose(director, url, leave_all="1")
    assert [(each.row, each.who, each.text) for each in page.context["decided"]] == [
        (3, "Ravi Okonjo", "left out")
    ]
    assert page.context["errors"] == []
    page = choose(director, url, undo="3")
    assert [p.row for p in page.context["errors"]] == [3]
    choose(director, url, leave="3")
    bring_in(director, url)
    assert Entry.objects.get().person.family_name == "Halvorsen"
    assert Act.objects.get(action="entries.imported").detail["left out"] == [3]


def test_a_column_is_read_as_something_else_and_given_up(event, director):
    url = page_of(director, "Ines Halvorsen;MA1;L", head="Player;Division;Size")
    assert (
        choose(director, url, col__0="full_name", col__1="division", col__2="club")
        .context["columns"][2]
        .field
        == "club"
    )
    page = choose(director, url, col__0="full_name", col__1="division", col__2="", all_paid="yes")
    assert page.context["columns"][2].field == ""
    bring_in(director, url)
    assert Person.objects.get().club == ""


def test_a_field_given_to_a_second_column_moves_there(event, director):
    url = page_of(director, "Ines Halvorsen;MA1;900;910", head="Player;Division;Rating;Newer")
    page = choose(director, url, col__0="full_name", col__1="division", col__2="rating", col__3="rating")
    assert [column.field for column in page.context["columns"]] == ["full_name", "division", "", "rating"]


def test_without_a_division_there_is_one_problem_of_the_whole_list(event, director):
    url = page_of(director, "Ines Halvorsen;L", head="Player;Size")
    page = director.get(url)
    assert [problem.problem for problem in page.context["whole_file"]] == [
        "no column was found for the division"
    ]
    assert page.context["errors"] == []


def test_the_order_of_dates_is_asked_once_and_kept(event, director):
    url = page_of(director, INES.replace("2026-05-01 10:00", "03/04/2026"))
    (question,) = director.get(url).context["questions"]
    assert question.problem.kind == "date_order"
    page = choose(director, url, date_order="dmy")
    assert page.context["questions"] == []
    bring_in(director, url)
    assert Entry.objects.get().received_at.isoformat() == "2026-04-03T00:00:00+00:00"


def test_who_is_meant_is_asked_and_can_be_taken_back(event, director):
    known = build.make_person(member_number=None, birth_year=None)
    url = page_of(director, INES)
    (question,) = director.get(url).context["questions"]
    assert question.choices == ((str(known.pk), "yes, Ines Halvorsen"), ("new", "no, somebody new"))
    page = choose(director, url, person__2=str(known.pk))
    assert (page.context["questions"], [each.text for each in page.context["decided"]]) == (
        [], ["is Ines Halvorsen"],
    )  # fmt: skip
    assert len(choose(director, url, undo="2").context["questions"]) == 1
    choose(director, url, person__2="new")
    bring_in(director, url)
    assert Person.objects.count() == 2


def test_a_taken_number_offers_nobody_new(event, director):
    known = build.make_person("Quist", member_number=70001)
    url = page_of(director, INES)
    (question,) = director.get(url).context["questions"]
    assert question.choices == ((str(known.pk), "yes, Ines Quist, born 1990, member 70001"),)
    assert len(choose(director, url, person__2="999999").context["questions"]) == 1


def test_two_of_one_name_may_be_two_people(event, director):
    head = "Name;Division;Paid"
    url = page_of(director, "Ines Halvorsen;MA1;45", "Ines Halvorsen;FA1;45", head=head)
    assert len(choose(director, url).context["questions"]) == 1
    choose(director, url, apart="3")
    bring_in(director, url)
    assert Entry.objects.count() == 2


def test_a_refused_division_is_approved_with_words(event, director):
    event.divisions.create(code="MA3", order=5, fee_cents=4500)
    url = page_of(director, INES.replace("MA1", "MA3"))
    assert [q.problem.kind for q in director.get(url).context["questions"]] == ["refused"]
    page = choose(director, url, approval__2="Wren: a misprint")
    assert [each.text for each in page.context["decided"]] == ["division approved: Wren: a misprint"]
    bring_in(director, url)
    assert Entry.objects.get().exception == "Wren: a misprint"


def test_money_and_class_are_asked_where_the_list_has_no_column(event, director):
    url = page_of(director, "Ines Halvorsen;MA1", head="Name;Division")
    page = choose(director, url, all_paid="no", others_amateur="yes")
    assert (page.context["plan"].ask_paid, page.context["plan"].ask_class) == (True, True)
    bring_in(director, url)
    assert Entry.objects.get().status == Status.APPLIED
    assert Person.objects.get().playing_class == "am"


def test_the_same_list_again_says_that_nothing_differs(event, director):
    bring_in(director, page_of(director, INES))
    page = director.get(page_of(director, INES))
    assert page.context["coming"] == 0
    assert "Nothing differs" in page.content.decode()


def test_a_list_that_waits_is_taken_up_again_with_what_was_decided(event, director):
    url = page_of(director, INES, RAVI)
    choose(director, url, leave="3")
    assert page_of(director, INES, RAVI) == url
    assert director.get(url).context["plan"].left_out == (3,)
    assert ImportFile.objects.count() == 1


def test_what_changes_is_shown_before_it_does(event, director):
    bring_in(director, page_of(director, INES))
    page = director.get(page_of(director, INES.replace("905", "911").replace("1990", "1991")))
    assert [each.change for each in page.context["updates"]] == ["rating 905 → 911; new birth year"]


def test_another_sheet_is_chosen_and_an_empty_one_refused_with_its_reason(event, director):
    book = openpyxl.Workbook()
    book.active.title = "First"
    for row in (("Name", "Division"), ("Ines Halvorsen", "MA1")):
        book.active.append(row)
    other = book.create_sheet("Second")
    for row in (("Name", "Division"), ("Ravi Okonjo", "MA1")):
        other.append(row)
    book.create_sheet("Nothing")
    target = io.BytesIO()
    book.save(target)
    url = upload(director, name="two.xlsx", data=target.getvalue()).url
    assert [row.name for row in director.get(url).context["preview"]] == ["Ines Halvorsen"]
    assert [row.name for row in choose(director, url, sheet="Second").context["preview"]] == ["Ravi Okonjo"]
    director.post(url, {"sheet": "Nothing"})
    answer = director.get(url, follow=True)
    assert "The sheet Nothing holds no filled cell." in answer.content.decode()
    assert [row.name for row in answer.context["preview"]] == ["Ines Halvorsen"]


def _zip(**parts: str) -> bytes:
    target = io.BytesIO()
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    return target.getvalue()


@pytest.mark.parametrize(
    ("name", "data", "words"),
    [
        ("list.xlsx", b"", "The file is empty."),
        ("list.csv", b"\n\n", "The file is empty."),
        ("list.xlsx", b"PK\x03\x04 broken", "The workbook is damaged"),
        ("list.xlsx", _zip(a="x"), "The file is a zip archive, not a workbook"),
        ("list.xlsx", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 600, "old binary workbook"),
        ("list.csv", b"%PDF-1.7 \x00\x01", "PDF"),
        ("list.csv", bytes(range(256)) * 20, "not a table but binary data"),
        ("list.csv", b"x" * (10 * 1024 * 1024 + 1), "at most 10 MB are read"),
    ],
)
def test_a_hostile_or_hopeless_file_is_refused_on_the_page_and_not_kept(event, director, name, data, words):
    answer = upload(director, name=name, data=data)
    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert not ImportFile.objects.exists()


def test_a_formula_in_a_cell_is_shown_as_text_and_never_as_markup(event, director):
    url = page_of(director, "<b>Ines</b>;=1+1;70001;1990;MA1;905;am;45;2026-05-01")
    body = director.get(url).content.decode()
    assert "<b>Ines</b>" not in body.replace("<b>Row", "")
    assert "&lt;b&gt;Ines&lt;/b&gt;" in body


@pytest.mark.parametrize("junk", ["12x", "-1", "99999999", "", "٣"])
def test_a_request_that_no_page_sends_changes_nothing(event, director, junk):
    url = page_of(director, INES)
    page = choose(director, url, **{
        "leave": junk, "undo": junk, "apart": junk, f"person__{junk}": "1", "person__2": "-5", "date_order": junk,
        f"col__{junk}": "rating", "all_paid": junk,
    })  # fmt: skip
    assert page.context["plan"].new == 1
    assert page.context["plan"].blocking == ()


@pytest.mark.parametrize("size", [1, 3])
def test_the_queries_of_the_page_do_not_grow_with_the_list(event, director, size, django_assert_num_queries):
    url = page_of(director, *[f"P{n};Rask;{7000 + n};1990;MA1;900;am;45;2026-05-01" for n in range(size)])
    with django_assert_num_queries(12):
        director.get(url)


@pytest.mark.parametrize("size", [1, 3])
def test_the_queries_of_the_upload_do_not_grow_with_the_lists_before(
    event, director, size, django_assert_num_queries
):
    for at in range(size):
        upload(director, INES.replace("45", str(at)))
    with django_assert_num_queries(5):
        director.get(reverse("entries:import_upload", args=[SLUG]))


def test_a_list_of_another_event_is_not_found(event, director):
    url = page_of(director, INES)
    other = build.make_event("other-pines")
    address = url.replace(SLUG, other.slug)
    client = Client()
    client.force_login(build.make_user(other, Role.DIRECTOR))
    assert client.get(address).status_code == 404
    assert client.post(f"{address}bring-in/").status_code == 404


def test_whether_all_are_paid_is_never_taken_for_granted(event, director):
    url = page_of(director, "Ines Halvorsen;MA1", head="Player;Division")
    assert "Say first whether these are all paid." in director.get(url).content.decode()
    bring_in(director, url)
    assert not Entry.objects.exists()
    choose(director, url, all_paid="no")
    bring_in(director, url)
    assert Entry.objects.get().status == "applied"
