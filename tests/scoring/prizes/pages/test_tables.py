"""The pages of place tables."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

import build_prizes
from build_prizes import page, text
from events.setup.models import Role
from scoring.prizes.models import TakenTable


def table(**facts):
    return {"name": "own", "source": "typed", "text": "1,100\r\n2,60,40\r\n"} | facts


def test_a_table_is_looked_at_before_it_is_taken(event, director):
    shown = text(director.post(page(event, "tables"), table(look="")))
    assert "As it would be taken" in shown
    assert "60 · 40" in shown
    assert not TakenTable.objects.exists()

    shown = text(director.post(page(event, "tables"), table(take=""), follow=True))

    assert "own is here, with 2 rows." in shown
    assert TakenTable.objects.get().rows == {"1": ["100"], "2": ["60", "40"]}


def test_a_file_is_shown_and_can_be_mended_in_the_box(event, director, tmp_path):
    file = tmp_path / "own.csv"
    file.write_bytes(b"\xef\xbb\xbf1,100\n2,60,30\n")
    with file.open("rb") as sent:
        shown = text(director.post(page(event, "tables"), table(text="", file=sent, take="")))

    assert "The percentages do not sum to 100." in shown
    assert "Nothing was taken." in shown
    assert "2,60,30" in shown
    assert not TakenTable.objects.exists()


@pytest.mark.parametrize(
    ("facts", "words"),
    [
        ({"source": ""}, "This field is required"),
        ({"file": SimpleUploadedFile("table.csv", b"\x01\x02\x03\x04\x05")}, "binary"),
        ({"text": "1,100\n" * 50_000}, "too large"),
    ],
)
def test_a_table_that_cannot_be_read_is_refused(event, director, facts, words):
    answer = director.post(page(event, "tables"), table(take="") | facts)

    assert answer.status_code == 422
    assert words in text(answer)


def test_a_name_is_taken_once(event, director):
    build_prizes.take(event)

    answer = director.post(page(event, "tables"), table(take=""))

    assert answer.status_code == 422
    assert "give it another one" in text(answer)


def test_an_example_fills_the_form_and_says_what_it_is(event, director):
    shown = text(director.get(page(event, "tables") + "?example=sevenths"))

    assert "No table of the sport." in shown
    assert "30,21,16,12,9,6,4,2" in shown


def test_the_desk_sees_the_tables(event, client_as):
    build_prizes.take(event)

    shown = text(client_as(Role.DESK).get(page(event, "tables")))

    assert "typed by hand" in shown
    assert "Look at it" not in shown


@pytest.mark.parametrize("count", [1, 3])
def test_the_page_of_tables_takes_a_known_number_of_queries(
    event, director, handed, count, django_assert_num_queries
):
    handed(count)
    with django_assert_num_queries(5):
        director.get(page(event, "tables"))
