"""A published round as paper: who is on it, where the holes begin, what changed, the address of the code."""

import pytest

import build
import pdf_pages
from build import ACTOR, NOW
from events.course.hazards import note_hazard
from events.draw import editing
from events.draw.models import Pool, Sheet
from events.draw.papers import PAPERS, Papers, papers_of
from events.draw.queries import view_of
from events.draw.services import make_draw, publish, reopen

pytestmark = pytest.mark.django_db


def published(event, **facts) -> Sheet:
    facts = {"method": Sheet.Method.RATING, "seed": "7", "actor": ACTOR, "now": NOW, **facts}
    return publish(sheet=make_draw(round=event.rounds.get(number=1), **facts), actor=ACTOR, now=NOW)


def papers(sheet: Sheet) -> Papers:
    round_ = sheet.round
    return papers_of(
        sheet, round_, lambda number: f"/group/r{round_.number}g{number}/", "http://10.0.0.5:8400", NOW
    )


def fill(event, **counts: int) -> None:
    for code, count in counts.items():
        for n in range(count):
            build.make_entry(event, code, rating=950 - n)


def test_a_card_for_each_group_from_its_own_hole_on(event):
    event.cards = "group"
    event.save()
    fill(event, MA1=8)
    sheet = published(event)
    cards = papers(sheet).cards()
    assert [card.group_number for card in cards] == ["1", "2"]
    second = view_of(sheet).groups[1]
    assert [hole.label for hole in cards[1].holes] == [
        str((second.position - 1 + n) % 18 + 1) for n in range(18)
    ]
    assert [player.name for player in cards[1].players] == [member.name for member in second.members]
    assert (cards[1].start_kind, cards[1].time_text, cards[1].pool) == ("shotgun", "09:00", "")
    assert cards[1].url == "http://10.0.0.5:8400/group/r1g2/"


def test_a_card_for_each_player_where_the_event_asks_for_it(event):
    event.cards = "player"
    event.save()
    fill(event, MA1=7)
    cards = papers(published(event)).cards()
    assert [card.group_number for card in cards] == ["1"] * 4 + ["2"] * 3
    assert len({card.copy_label for card in cards}) == 7


@pytest.mark.parametrize(
    ("region", "cards", "copies"),
    [
        ("north_america", "region", 7),
        ("elsewhere", "region", 4),
        ("elsewhere", "group", 2),
        ("north_america", "two", 4),
    ],
)
def test_the_region_asks_for_its_number_of_cards(event, region, cards, copies):
    """Competition Manual 2025, 1.05.G: one for each player; 6.03.D: elsewhere two for each group suffice."""
    event.region, event.cards = region, cards
    event.save()
    fill(event, MA1=7)
    assert len(papers(published(event)).cards()) == copies


def test_spare_cards_for_each_layout_in_play(event):
    build.use_layout(event.rounds.get(number=1), build.make_layout(event, "Lower", tees="pad"), "FA1")
    build.make_layout(event, "Unused", tees="other")
    fill(event, MA1=52, FA1=4)
    spares = papers(published(event)).spares()
    assert [card.layout_name for card in spares] == ["Upper"] * 3 + ["Lower"] * 2


def test_the_tee_sheet_says_what_a_new_version_changed(event):
    fill(event, MA1=12)
    first = published(event)
    assert {group.note for group in papers(first).groups()} == {""}
    draft = reopen(round=first.round, actor=ACTOR, now=NOW)
    by = {"sheet": draft, "revision": None, "actor": ACTOR, "now": NOW}
    mover = view_of(draft).groups[0].members[0]
    editing.move_player(entry_id=mover.entry_id, group=2, **by)
    editing.move_group(group=3, to="18", **by)
    old = view_of(first).groups
    groups = papers(publish(sheet=draft, actor=ACTOR, now=NOW, reason="a lift home")).groups()
    assert [group.group_number for group in groups] == ["1", "2", "3"]
    assert groups[1].players[-1].note == f"was group 1 hole {old[0].label}"
    assert groups[2].note == f"was hole {old[2].label}"
    assert [player.note for player in groups[0].players] == [""] * 3


def test_pools_come_in_the_order_of_play(event):
    fill(event, MA1=4, FA1=4)
    round_ = event.rounds.get(number=1)
    for label, code, kind, hour in (("Z", "FA1", "shotgun", 7), ("A", "MA1", "tee_times", 12)):
        Pool.objects.create(
            round=round_, label=label, start_type=kind, first_start_at=NOW.replace(hour=hour)
        ).divisions.set(event.divisions.filter(code=code))
    groups = papers(published(event)).groups()
    assert [(group.pool, group.time_text) for group in groups] == [("Pool Z", "07:00"), ("Pool A", "12:00")]


def test_every_paper_is_a_pdf_and_the_round_holds_them_all(event):
    fill(event, MA1=8)
    made = papers(published(event))
    texts = {what: " ".join(page.text for page in pdf_pages.read(made.pdf(what))) for what, _ in PAPERS}
    names = sorted(event.entries.values_list("person__family_name", flat=True))
    for what in ("round", "cards", "time", "name"):
        assert all(name in texts[what] for name in names), what
    assert "version 1" in texts["round"]
    assert made.name("round") == "quiet-pines-round-1.pdf"
    assert made.name("cards") == "quiet-pines-round-1-cards.pdf"
    with pytest.raises(KeyError):
        made.pdf("nothing")


def test_hazards_meant_for_the_card_stand_beside_the_note_of_their_hole(event):
    fill(event, MA1=4)
    place = event.layouts.get(name="Upper").layout_holes.get(label="7")
    place.note = "creek"
    place.save()
    facts = {"risk_public": True, "severity": "life", "on_card": True}
    road = {**facts, "what": "Road", "control": "wait until it is clear"}
    note_hazard(event=event, facts=road, holes=[place], actor=ACTOR, now=NOW)
    note_hazard(event=event, facts={**facts, "what": "Wasps"}, holes=[], actor=ACTOR, now=NOW)
    elsewhere = {**facts, "what": "Pond", "on_card": False}
    note_hazard(event=event, facts=elsewhere, holes=[place], actor=ACTOR, now=NOW)
    made = papers(published(event))
    for card in (made.cards()[0], made.spares()[0]):
        notes = {hole.label: hole.note for hole in card.holes if hole.note}
        assert (notes, card.course_note) == ({"7": "creek; Road: wait until it is clear"}, "Wasps")
    text = pdf_pages.read(made.pdf("cards"))[0].text
    assert "Course: Wasps · Holes: 7: creek; Road: wait until it is clear" in text


@pytest.mark.parametrize("groups", [1, 3])
def test_the_papers_cost_seven_queries_and_nine_with_a_version_before(
    event, groups, django_assert_num_queries
):
    fill(event, MA1=4 * groups)
    sheet = Sheet.objects.select_related("round__event").get(pk=published(event).pk)
    with django_assert_num_queries(7):
        papers(sheet).pdf("round")
    draft = reopen(round=sheet.round, actor=ACTOR, now=NOW)
    publish(sheet=draft, actor=ACTOR, now=NOW, reason="no change")
    sheet = Sheet.objects.select_related("round__event").get(pk=draft.pk)
    with django_assert_num_queries(9):
        papers(sheet).pdf("round")
