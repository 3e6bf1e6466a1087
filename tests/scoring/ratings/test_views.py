"""The pages and papers of ratings."""

from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from build_ratings import entered, play, play_field
from events.setup.models import Event, Role
from pdf_pages import read
from scoring.ratings.models import History, JoinDecision, MethodDecision, PlayerDecision, SplitDecision
from scoring.ratings.queries import ratings_of


def address(event: Event, name: str, *args: object) -> str:
    return reverse(f"ratings:{name}", args=[event.slug, *args])


def page_of(event: Event, client: Any, name: str = "overview", *args: object, **query: str) -> str:
    answer = client.get(address(event, name, *args), query)
    assert answer.status_code == 200
    return answer.content.decode()


def test_the_page_says_estimated_and_shows_what_it_rests_on(event: Event, client_as: Any) -> None:
    play_field(event)
    page = page_of(event, client_as(Role.VIEWER), method="line")
    assert "Round ratings, estimated" in page
    assert "<b>60.00</b><span>estimated</span>" in page
    assert page.count('class="counts"') == 6
    assert "Line: score = 160.000 − 0.10000 × rating." in page
    assert "To compare only." in page
    assert "Decide otherwise" not in page


def test_the_page_before_any_card_and_with_strange_questions(event: Event, client_as: Any) -> None:
    client = client_as(Role.VIEWER)
    assert "None is in yet." in page_of(event, client)
    play_field(event)
    page = page_of(event, client, pool="x", method="guess")
    assert "Method proportional: A small field: 6 propagators" in page


def test_too_few_propagators_are_said_in_words(event: Event, client_as: Any) -> None:
    play(event, [(entered(event, None), 60)])
    page = page_of(event, client_as(Role.VIEWER))
    assert "Too few propagators to rate this round: 0 of at least 2." in page


def test_an_outlier_is_named_in_the_drawing_and_in_the_table(event: Event, client_as: Any) -> None:
    strange = entered(event, 930)
    others = [(entered(event, 800 + 10 * at), 80 - at + at % 3) for at in range(20)]
    play(event, [*others, (strange, [5] * 9 + [6] * 9)], groups=3)
    page = page_of(event, client_as(Role.VIEWER), method="line")
    assert "1 outlier" in page
    assert f'">{strange.person.name}</text>' in page


def post(event: Event, client: Any, name: str, **data: Any) -> Any:
    return client.post(address(event, name), data)


def test_the_director_chooses_a_method(event: Event, client_as: Any) -> None:
    play_field(event)
    client, key = client_as(Role.DIRECTOR), ratings_of(event)[0].key
    answer = post(event, client, "method", pool=key, method="fixed", ssa="58,4", reason="of last year")
    assert answer.status_code == 422  # a comma is no decimal point here, and what was typed is still there
    assert 'value="58,4"' in answer.content.decode()
    answer = post(event, client, "method", pool=key, method="fixed", ssa="58.4", reason="of last year")
    assert answer.status_code == 302
    page = page_of(event, client)
    assert "Method: average typed in." in page
    assert "of last year" in page
    assert post(event, client, "method", pool="x", method="line").status_code == 422
    assert MethodDecision.objects.count() == 1


def test_a_fixed_method_without_an_average_is_asked_for_it(event: Event, client_as: Any) -> None:
    play_field(event)
    answer = post(event, client_as(Role.DIRECTOR), "method", pool=ratings_of(event)[0].key, method="fixed")
    assert "Type the average in throws, as 58.4." in answer.content.decode()


def test_the_director_joins_rounds_and_parts_them(event: Event, client_as: Any) -> None:
    entries = play_field(event)
    play(event, [(entry, 61 + 2 * at) for at, entry in enumerate(entries)], 2)
    client, layout = client_as(Role.DIRECTOR), event.layouts.get(name="Upper")
    answer = post(event, client, "join", layout=layout.pk, round=["1", "2"], reason="calm")
    page = client.get(answer["Location"]).content.decode()
    assert "Rounds 1 and 2, Upper" in page
    assert "Rounds 1 and 2 share one average." in page
    post(event, client, "join", layout=layout.pk, round=["1"])
    assert [row.rounds for row in JoinDecision.objects.all()] == [[1, 2], []]
    assert (
        "Choose at least two rounds"
        in post(event, client, "join", layout=layout.pk, round=["1", "9"]).content.decode()
    )


def test_times_that_are_none_are_asked_for_again(event: Event, client_as: Any) -> None:
    play_field(event)
    client, layout = client_as(Role.DIRECTOR), event.layouts.get(name="Upper")
    answer = post(event, client, "split", layout=layout.pk, round=1, starts="after lunch")
    assert answer.status_code == 422
    assert "Write times as 13:00" in answer.content.decode()
    assert 'value="after lunch"' in answer.content.decode()
    answer = post(event, client, "split", layout=layout.pk, round=1, starts="13:00")
    assert "starts are: 09:00." in answer.content.decode()
    assert post(event, client, "split", layout=layout.pk, round=1, starts="").status_code == 302
    assert SplitDecision.objects.count() == 1


def test_the_director_leaves_a_player_out_and_takes_them_in_again(event: Event, client_as: Any) -> None:
    entries = play_field(event)
    client, key = client_as(Role.DIRECTOR), ratings_of(event)[0].key
    facts = {"pool": key, "round": 1, "entry": entries[0].pk}
    assert "Say why" in post(event, client, "leave_out", **facts).content.decode()
    post(event, client, "leave_out", **facts, reason="hurt")
    page = page_of(event, client)
    assert "left out by the director" in page
    assert f"Let {entries[0].person.name} count again" in page
    post(event, client, "leave_out", **facts, again="yes")
    assert PlayerDecision.objects.get().taken_back_by
    assert client.post(address(event, "leave_out"), {"entry": "x", "round": "1"}).status_code == 404
    for sent in ({"round": "1"}, {"entry": "1"}, {"entry": "", "round": "1"}):
        answer = client.post(address(event, "leave_out"), sent)
        assert answer.status_code == 422
        assert "Choose the player, and the round where there are several." in answer.content.decode()


def test_the_paper_says_method_working_and_every_rated_round(event: Event, client_as: Any) -> None:
    entries = play_field(event)
    client = client_as(Role.DIRECTOR)
    post(event, client, "method", pool=ratings_of(event)[0].key, method="line", reason="many years of data")
    answer = client.get(address(event, "pdf"))
    text = " ".join(sheet.text for sheet in read(answer.content))
    assert answer["Content-Type"] == "application/pdf"
    for words in ("estimated", "least-squares line", "many years of data", "SSA = line at 1000 = 60.000"):
        assert words in text
    assert all(entry.person.name in text for entry in entries)
    nothing = client.get(address(event, "pdf"), {"pool": "9-9"}, follow=True).content.decode()
    assert "Nobody has a complete card in such a pool. There is nothing to print." in nothing


def test_a_players_page_shows_each_sum(event: Event, client_as: Any) -> None:
    entries = play_field(event, also=[(entered(event, 880), [3] * 5 + [None] * 13)])
    client = client_as(Role.VIEWER)
    page = page_of(event, client, "player", entries[0].pk)
    rated = ratings_of(event)[0].rating
    assert f"1000 + ({float(rated.ssa or 0):.3f} − 60) × " in page
    assert "No history of this player was brought in." in page
    unfinished = event.entries.order_by("-pk")[6]
    assert "No complete round, so no rating." in page_of(event, client, "player", unfinished.pk)
    assert client.get(address(event, "player", 999999)).status_code == 404


def test_a_history_is_pasted_or_sent_as_a_file(event: Event, client_as: Any) -> None:
    one, two = entered(event, 900), entered(event, None)
    client = client_as(Role.DIRECTOR)
    heading = "member number,date,rating,event"
    rows = f"{heading}\n{one.person.member_number},2026-05-01,940,Spring Round"
    assert post(event, client, "players", pasted=rows).status_code == 302
    file = SimpleUploadedFile("two.csv", f"{heading}\n{two.person.member_number},2026-05-02,880,".encode())
    assert post(event, client, "players", file=file).status_code == 302
    page = page_of(event, client, "players")
    assert "40 points above what is entered" in page
    assert post(event, client, "adopt", entry=two.pk, rating=880).status_code == 302
    two.refresh_from_db()
    assert two.rating == 880
    assert "Spring Round" in page_of(event, client, "player", one.pk)
    three = entered(event, None)
    post(event, client, "players", pasted=f"{heading}\n{three.person.member_number},2026-05-01,820,")
    assert "Enter the estimate for 1 without a rating" in page_of(event, client, "players")
    assert post(event, client, "adopt_all").status_code == 302
    assert "Enter the estimate" not in page_of(event, client, "players")
    post(event, client, "adopt", entry=one.pk, rating=1)
    assert "says something else by now" in page_of(event, client, "players")


def test_a_list_that_is_refused_stays_in_the_form_with_its_problems(event: Event, client_as: Any) -> None:
    entry, client = entered(event, 900), client_as(Role.DIRECTOR)
    pasted = f"member number,date,rating\n{entry.person.member_number},soon,940"
    answer = post(event, client, "players", pasted=pasted)
    page = answer.content.decode()
    assert (answer.status_code, History.objects.count()) == (422, 0)
    assert ",soon,940</textarea>" in page
    assert "Nothing was brought in" in page
    empty = post(event, client, "players").content.decode()
    assert "Choose a file, or paste the rounds with their headings." in empty
    broken = post(event, client, "players", file=SimpleUploadedFile("x.xlsx", b"PK\x03\x04 broken"))
    assert broken.status_code == 422


def test_viewers_see_players_and_bring_nothing_in(event: Event, client_as: Any) -> None:
    entered(event, 900)
    client = client_as(Role.VIEWER)
    assert "Bring in a history" not in page_of(event, client, "players")
    assert post(event, client, "players", pasted="x").status_code == 403


def test_the_holes_are_judged_on_page_and_paper(event: Event, client_as: Any) -> None:
    client = client_as(Role.VIEWER)
    assert "None is in yet." in page_of(event, client, "course")
    nothing = client.get(address(event, "course_pdf"), follow=True).content.decode()
    assert "No layout has a complete round yet. There is nothing to print." in nothing
    field = [(entered(event, 800 + 10 * at), [3] * 17 + [7 - at // 6]) for at in range(24)]
    play(event, field, groups=4)
    page = page_of(event, client, "course")
    assert "Tell better players from others: 18." in page
    assert page.count("<svg") == 2
    text = " ".join(sheet.text for sheet in read(client.get(address(event, "course_pdf")).content))
    assert "What the scores say: Upper" in text
    assert "Tell better players from others: 18." in text


@pytest.mark.parametrize("players", [1, 3])
def test_the_pages_read_a_known_number_of_rows(
    event: Event, client_as: Any, django_assert_num_queries: Any, players: int
) -> None:
    play(
        event,
        [(entered(event, rating), total) for rating, total in [(1000, 60), (970, 63), (940, 66)][:players]],
    )
    client = client_as(Role.DIRECTOR)
    entry = event.entries.first()
    for name, args, queries in (
        ("overview", (), 24),
        ("player", (entry.pk,), 25),
        ("players", (), 8),
        ("course", (), 19),
    ):
        with django_assert_num_queries(queries):
            client.get(address(event, name, *args))
