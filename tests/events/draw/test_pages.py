"""The pages of the draw: each step, who may do what, what they cost, and what a stale page is told."""

import re

import pytest
from django.urls import reverse

import build
from events.draw.models import Pool, Sheet
from events.draw.queries import view_of
from events.draw.services import make_draw, publish
from events.log.models import Act
from events.setup.models import Role

pytestmark = pytest.mark.django_db
HTMX = {"HX-Request": "true"}


def fill(event, **counts: int) -> None:
    for code, count in counts.items():
        for n in range(count):
            build.make_entry(event, code, rating=900 + n)


def drawn(event, number=1, **facts) -> Sheet:
    facts = {"method": Sheet.Method.RATING, "seed": "7", "actor": build.ACTOR, "now": build.NOW, **facts}
    return make_draw(round=event.rounds.get(number=number), **facts)


def published(event, number=1, **facts) -> Sheet:
    return publish(sheet=drawn(event, number, **facts), actor=build.ACTOR, now=build.NOW)


def url(event, name, *args) -> str:
    return reverse(f"draw:{name}", args=[event.slug, *args])


def text_of(answer) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", answer.content.decode()))


def pool_data(*rows: dict[str, object], initial: int) -> dict[str, object]:
    data: dict[str, object] = {"pool-TOTAL_FORMS": len(rows), "pool-INITIAL_FORMS": initial}
    standard = {
        "start_type": "shotgun",
        "first_start_at": "2026-06-12T09:00",
        "interval_minutes": 10,
        "groups_of": 4,
    }
    for index, row in enumerate(rows):
        data |= {f"pool-{index}-{name}": value for name, value in {**standard, **row}.items()}
    return data


def test_from_pools_to_print(event, client_as):
    fill(event, MA1=8, FA1=4)
    client = client_as(Role.DIRECTOR)
    codes = {division.code: division.pk for division in event.divisions.all()}
    answer = client.post(
        url(event, "pools", 1),
        pool_data(
            {"label": "A", "divisions": [codes["MA1"]]},
            {"label": "B", "divisions": [codes["FA1"]], "first_start_at": "2026-06-12T13:30"},
            {"label": ""},
            initial=0,
        ),
        follow=True,
    )
    assert "A shotgun, Fri 09:00, groups of 4 MA1 B shotgun, Fri 13:30, groups of 4 FA1" in text_of(answer)
    answer = client.post(url(event, "make", 1), {"method": "random", "seed": "3"}, follow=True)
    assert "12 players in 3 groups" in text_of(answer)
    sheet = Sheet.objects.get()
    entry = view_of(sheet).groups[0].members[0]
    order = {"sheet": sheet.pk, "revision": 1, "who": f"p{entry.entry_id}", "do": "move", "to": "2"}
    answer = client.post(url(event, "edit", 1), order, headers=HTMX)
    assert f"{entry.name}: group 1 → group 2" in text_of(answer)
    answer = client.post(url(event, "undo", 1), {"sheet": sheet.pk, "revision": 2}, follow=True)
    assert f"Taken back: {entry.name}: group 1 → group 2" in text_of(answer)
    answer = client.post(url(event, "publish", 1), {"revision": 3}, follow=True)
    assert "version 1 of the tee sheet is published" in text_of(answer)
    for what in ("round", "cards", "spares", "time", "name"):
        answer = client.get(url(event, "paper", 1, what))
        assert answer["Content-Type"] == "application/pdf"
        assert answer.content.startswith(b"%PDF-")


def test_a_published_sheet_changes_by_a_new_version_with_its_reason(event, client_as):
    fill(event, MA1=8)
    published(event)
    client = client_as(Role.DIRECTOR)
    answer = client.post(url(event, "reopen", 1), follow=True)
    assert "Draft 2 starts from the published sheet" in text_of(answer)
    draft = Sheet.objects.get(state="draft")
    order = {"sheet": draft.pk, "revision": 1, "who": "g1", "do": "move", "to": "18"}
    client.post(url(event, "edit", 1), order)
    label = view_of(Sheet.objects.get(version=1)).groups[0].label
    assert f"Group 1: hole {label} → hole 18" in text_of(client.get(url(event, "publish", 1)))
    answer = client.post(url(event, "publish", 1), {"revision": 2})
    assert answer.status_code == 422
    answer = client.post(url(event, "publish", 1), {"revision": 2, "reason": "a fallen tree"}, follow=True)
    shown = text_of(answer)
    assert "Why it was changed: a fallen tree" in shown
    assert f"Group 1: hole {label} → hole 18" in shown
    assert "superseded version 1" in text_of(client.get(url(event, "overview") + "?round=1&version=1"))


def test_the_first_round_is_drawn_at_random_and_later_ones_by_score(event, client_as):
    fill(event, MA1=8)
    client = client_as(Role.DIRECTOR)
    for number, value in ((1, "random"), (2, "score")):
        page = client.get(url(event, "make", number)).content.decode()
        assert re.findall(r'<input type="radio"[^>]*value="(\w+)"[^>]*checked', page) == [value]
    answer = client.post(url(event, "make", 2), {"method": "score", "seed": "1"})
    assert answer.status_code == 422
    assert "There are no scores yet to draw by." in text_of(answer)


def test_a_refused_draw_says_why_and_keeps_what_was_typed(event, client_as):
    fill(event, MA1=91)
    answer = client_as(Role.DIRECTOR).post(url(event, "make", 1), {"method": "rating", "seed": "dice 4"})
    assert answer.status_code == 422
    assert "91 players do not fit" in text_of(answer)
    assert 'value="dice 4"' in answer.content.decode()


def test_pools_that_cannot_be_are_refused_with_what_was_typed(event, client_as):
    client = client_as(Role.DIRECTOR)
    rows = ({"label": "A"}, {"label": "A", "first_start_at": "2026-06-12T15:00"})
    answer = client.post(url(event, "pools", 1), pool_data(*rows, initial=0))
    assert answer.status_code == 422
    assert "Two pools have the same label." in text_of(answer)
    assert "2026-06-12T15:00" in answer.content.decode()
    answer = client.post(url(event, "pools", 1), pool_data({"label": "A", "groups_of": 7}, initial=0))
    assert "See the marked fields" in text_of(answer)
    assert Pool.objects.count() == 0


def test_a_pool_is_removed_by_its_box(event, client_as):
    fill(event, MA1=8)
    round_ = event.rounds.get(number=1)
    pools = [
        Pool.objects.create(round=round_, label=label, start_type="shotgun", first_start_at=build.NOW)
        for label in "AB"
    ]
    rows = ({"pk": pools[0].pk, "label": "A"}, {"pk": pools[1].pk, "label": "B", "remove": "on"})
    client_as(Role.DIRECTOR).post(url(event, "pools", 1), pool_data(*rows, initial=2))
    assert [pool.label for pool in round_.pools.all()] == ["A"]


def test_a_stale_page_is_told_and_shown_the_draft_as_it_is(event, client_as):
    fill(event, MA1=8)
    sheet = drawn(event)
    client = client_as(Role.DIRECTOR)
    order = {"sheet": sheet.pk, "revision": 1, "who": "g1", "do": "move", "to": "18"}
    client.post(url(event, "edit", 1), order)
    answer = client.post(url(event, "edit", 1), {**order, "to": "9"}, headers=HTMX)
    assert answer.status_code == 200
    assert "Somebody else changed the draft meanwhile" in text_of(answer)
    assert 'name="revision" value="2"' in answer.content.decode()
    again = drawn(event, seed="8")
    answer = client.post(url(event, "edit", 1), order, headers=HTMX)
    assert "The round was drawn anew meanwhile" in text_of(answer)
    assert f'name="sheet" value="{again.pk}"' in answer.content.decode()
    publish(sheet=again, actor=build.ACTOR, now=build.NOW)
    order = {**order, "sheet": again.pk}
    answer = client.post(url(event, "edit", 1), order, headers=HTMX)
    assert "This sheet is published already" in text_of(answer)


def test_what_has_no_meaning_is_said_beside_the_form(event, client_as):
    fill(event, MA1=8)
    order = {"sheet": drawn(event).pk, "revision": 1, "who": "g1", "do": "move", "to": "77"}
    answer = client_as(Role.DIRECTOR).post(url(event, "edit", 1), order, headers=HTMX)
    assert answer.status_code == 422
    assert "The layout has no hole 77." in text_of(answer)


def test_a_breach_is_marked_with_its_rule_and_kept_with_a_reason(event, client_as):
    fill(event, MA1=2)
    client = client_as(Role.DIRECTOR)
    sheet = drawn(event)
    page = client.get(url(event, "overview"))
    assert (
        "Group 1 has 2, fewer than 3: needs a recorded reason and an official. Competition Manual 2025, 1.06.G, H"
        in (text_of(page))
    )
    (key,) = set(re.findall(r'name="key" value="([^"]+)"', page.content.decode()))
    data = {"sheet": sheet.pk, "revision": 1, "key": key, "reason": "the other two are ill"}
    answer = client.post(url(event, "keep", 1), data, headers=HTMX)
    assert "Reason: the other two are ill" in text_of(answer)
    assert Act.objects.get(action="draw.accepted").reason == "the other two are ill"


@pytest.mark.parametrize("role", [Role.DESK, Role.CARD_ROOM, Role.EQUIPMENT, Role.MARSHAL, Role.VIEWER])
def test_others_look_but_change_nothing(event, client_as, role):
    fill(event, MA1=8)
    sheet = published(event)
    client = client_as(role)
    page = client.get(url(event, "overview"))
    assert page.status_code == 200
    assert "Change this sheet" not in text_of(page)
    assert client.get(url(event, "working", 1, 1)).status_code == 200
    assert client.get(url(event, "paper", 1, "time")).status_code == (403 if role is Role.VIEWER else 200)
    for name in ("edit", "undo", "keep", "reopen", "discard", "publish", "make", "pools"):
        data = {"sheet": sheet.pk, "revision": 1, "who": "g1", "do": "move", "to": "3"}
        assert client.post(url(event, name, 1), data).status_code == 403
    assert Sheet.objects.count() == 1


def test_an_event_that_is_over_keeps_its_draw(event, client_as):
    fill(event, MA1=8)
    sheet = drawn(event)
    event.over_at = build.NOW
    event.save()
    client = client_as(Role.DIRECTOR)
    assert 'id="hand"' not in client.get(url(event, "overview")).content.decode()
    answer = client.post(
        url(event, "edit", 1),
        {"sheet": sheet.pk, "revision": 1, "who": "g1", "do": "move", "to": "3"},
        headers=HTMX,
    )
    assert "The event is over" in text_of(answer)
    draw = {"method": "random", "seed": "9"}
    pools = pool_data({"label": "A"}, initial=0)
    for name, data in (("make", draw), ("publish", {"revision": 1}), ("pools", pools), ("reopen", {})):
        client.post(url(event, name, 1), data)
    assert (Sheet.objects.get().seed, Sheet.objects.get().state) == ("7", "draft")


def test_the_working_of_a_random_draw_follows_from_the_seed(event, client_as):
    """The line that the page makes again is the one that was cut into the groups."""
    fill(event, MA1=8)
    sheet = drawn(event, method=Sheet.Method.RANDOM, seed="dice")
    page = client_as(Role.VIEWER).get(url(event, "working", 1, 1))
    rows = re.findall(
        r'<tr><td class="num">(\d+)</td><th scope="row">[^<]*</th><td class="num">(\d+)</td>'
        r'.*?<td class="num">(\d+)</td></tr>',
        page.content.decode(),
    )
    line = [int(entry) for _, entry, _ in rows]
    groups = [{member.entry_id for member in group.members} for group in view_of(sheet).groups]
    assert [set(line[:4]), set(line[4:])] == groups
    assert [group for _, _, group in rows] == ["1"] * 4 + ["2"] * 4
    assert "started with dice/A/MA1" in text_of(page)


def test_a_round_that_is_not_there_is_not_found(event, client_as):
    client = client_as(Role.DIRECTOR)
    for name in ("pools", "make", "publish", "reopen"):
        assert client.get(url(event, name, 9)).status_code == 404
    nothing = client.get(url(event, "paper", 1, "time"), follow=True).content.decode()
    assert "The round has no published tee sheet. There is nothing to print." in nothing
    assert client.get(url(event, "paper", 1, "poster")).status_code == 404


@pytest.mark.parametrize("groups", [1, 3])
@pytest.mark.parametrize(
    ("state", "queries"), [("draft", 15), ("published", 15), ("changed", 17), ("nothing", 11)]
)
def test_a_page_costs_the_same_for_one_and_three_groups(
    event, client_as, groups, state, queries, django_assert_num_queries
):
    fill(event, MA1=4 * groups)
    client = client_as(Role.DIRECTOR)
    if state in {"published", "changed"}:
        published(event)
    if state == "draft":
        drawn(event)
    if state == "changed":
        client.post(url(event, "reopen", 1))
    with django_assert_num_queries(queries):
        answer = client.get(url(event, "overview") + "?round=1")
    assert answer.content.decode().count("<article") == (0 if state == "nothing" else groups)


def test_a_smaller_event_abroad_is_offered_the_draw_across_divisions(event, client_as):
    fill(event, MA1=3, FA1=3)
    client = client_as(Role.DIRECTOR)
    assert "across all divisions" not in text_of(client.get(url(event, "make", 1))).lower()
    event.region, event.tier = "elsewhere", "C"
    event.save(update_fields=["region", "tier"])
    assert "6.03.E" in text_of(client.get(url(event, "make", 1)))
    answer = client.post(url(event, "make", 1), {"method": "random_all", "seed": "3"}, follow=True)
    assert "6 players in 2 groups" in text_of(answer)
    told = text_of(client.get(url(event, "working", 1, 1)))
    assert "Every division in pool A started with 3/A/every division" in told
    assert "Competition Manual 2025, 6.03.E. Figures" in told
