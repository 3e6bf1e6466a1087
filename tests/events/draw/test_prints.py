from dataclasses import replace

import pytest

import pdf_pages
from events.draw.card_data import total_par
from events.draw.card_layout import NARROWEST, plan
from events.draw.prints import (
    CardHole,
    CardPlayer,
    CardSheet,
    TeeGroup,
    TeePlayer,
    copies_per_player,
    playing_order,
    score_cards,
    spare_card,
    spare_cards,
    tee_sheet_by_name,
    tee_sheet_by_time,
    whole_round,
)
from events.paper.page import EventHead

HEAD = EventHead("Quarry Open", "Quarry Park", "12–13 June", "EUR")
LETTER = replace(HEAD, units="ft", paper="Letter")
LONG = "Wilhelmina-Margarethe von Hohenbergstein"
FORTY_WIDE = "Ww" * 20
SCRIPTS = ("名前 太郎", "Ελένη", "Дмитро", "김철수", "张伟龙")
NAME_COLUMN_END = 30 + 122  # margin and name column, in points

assert len(LONG) == 40
assert len(FORTY_WIDE) == 40


def _holes(count: int, suffix: str = "") -> tuple[CardHole, ...]:
    return tuple(CardHole(f"{i}{suffix}", 3 + i % 2, 100 + i) for i in range(1, count + 1))


def _card(
    players: int = 4, holes: int = 18, *, name: str = LONG, start: str = "7", **changes: object
) -> CardSheet:
    card = CardSheet(
        group_number="7",
        start_label=start,
        time_text="09:00",
        start_kind="shotgun",
        round_number=1,
        date_text="Saturday 12 June",
        pool="Pool A",
        layout_name="Upper layout",
        holes=playing_order(_holes(holes), start),
        players=tuple(CardPlayer(name, "MA40", str(70000 + i)) for i in range(players)),
        url="http://192.168.1.20:8000/g/Ab3dEf7h/",
    )
    return replace(card, **changes)  # type: ignore[arg-type]


def test_a_card_is_one_landscape_page_of_the_events_paper() -> None:
    assert [(round(s.width), round(s.height)) for s in pdf_pages.read(score_cards(HEAD, [_card()]))] == [
        (842, 595)
    ]
    assert [(round(s.width), round(s.height)) for s in pdf_pages.read(score_cards(LETTER, [_card()]))] == [
        (792, 612)
    ]


@pytest.mark.parametrize("head", [HEAD, LETTER], ids=["A4", "Letter"])
@pytest.mark.parametrize("name", [LONG, FORTY_WIDE], ids=["long", "wide"])
@pytest.mark.parametrize("holes", [9, 18, 21, 27])
def test_nothing_collides_or_leaves_the_paper(head: EventHead, name: str, holes: int) -> None:
    cards = [_card(players, holes, name=name, copy_label=f"Card kept by {name}") for players in (1, 3, 4, 6)]
    for sheet in pdf_pages.read(score_cards(head, cards, printed="printed Sat 07:10", version="version 2")):
        assert pdf_pages.collisions(sheet) == []
        assert pdf_pages.strays(sheet) == []
        assert min(sheet.strokes) >= 0.5


@pytest.mark.parametrize("name", [LONG, FORTY_WIDE, *SCRIPTS])
@pytest.mark.parametrize("players", [1, 4, 6])
def test_a_long_or_foreign_name_is_complete_in_its_column(name: str, players: int) -> None:
    (sheet,) = pdf_pages.read(score_cards(HEAD, [_card(players, name=name)]))
    (first_label, *_) = (word["x0"] for word in sheet.words if word["text"] == "score" and word["top"] > 100)
    foot = next(word["top"] for word in sheet.words if word["text"] == "Warnings")
    column = [
        c
        for c in sheet.chars
        if c["x0"] < first_label and 140 < c["top"] < foot - 4 and "Regular" not in c["fontname"]
    ]
    assert "".join(c["text"] for c in column if not c["text"].isspace()) == name.replace(" ", "") * players
    assert max(c["x1"] for c in column) <= first_label


def test_names_are_never_smaller_than_nine_points() -> None:
    for holes in (18, 27):
        layout = plan(_holes(holes), _card(6, name=FORTY_WIDE).players, width=732, room=330)
        assert layout.name_size >= 9


def test_hole_columns_run_from_the_groups_own_start_hole() -> None:
    (sheet,) = pdf_pages.read(score_cards(HEAD, [_card(start="16")]))
    row = next(word["top"] for word in sheet.words if word["text"] == "hole" and word["x0"] < 40)
    labels = [w["text"] for w in sheet.words if abs(w["bottom"] - row) < 14 and w["x0"] > NAME_COLUMN_END]
    labels = [label for label in labels if label.isdigit()]
    assert labels == ["16", "17", "18", *(str(i) for i in range(1, 16))]


def test_par_and_length_stand_under_their_hole() -> None:
    holes = (CardHole("4S", 3, 100), CardHole("12B", 5, None), CardHole("7", 4, 200.4))
    (sheet,) = pdf_pages.read(score_cards(LETTER, [replace(_card(), holes=holes, start_label="4S")]))
    columns = []
    for label in ("4S", "12B", "7"):
        head = next(w for w in sheet.words if w["text"] == label and w["top"] > 100)
        middle = (head["x0"] + head["x1"]) / 2
        below = [
            w["text"]
            for w in sheet.words
            if abs((w["x0"] + w["x1"]) / 2 - middle) < 3 and 0 < w["top"] - head["top"] < 32
        ]
        columns.append((label, *below))
    assert columns == [("4S", "3", "328"), ("12B", "5", "–"), ("7", "4", "657")]


def test_a_card_says_what_it_is_for() -> None:
    (sheet,) = pdf_pages.read(
        score_cards(HEAD, [_card(name="Ada Kvist")], printed="printed Sat 07:10", version="version 2")
    )
    assert sheet.text.startswith("Group 7 starts hole 7 MA40 ")
    for part in (
        "Quarry Open · round 1, Saturday 12 June, shotgun 09:00 · Pool A · Upper layout, 18 holes, par 63, 1,971 m",
        "Warnings (who, hole, rule)",
        "last putt at",
        "returned at",
        "Horn: 2 blasts two minutes to go · 1 long start or resume · 3 blasts stop play, take shelter",
        "(808.F)",
        "version 2 · Quarry Open printed Sat 07:10 · page 1 of 1",
    ):
        assert sheet.text.count(part) == 1, part
    assert sheet.text.count("checked by Ada Kvist") == 4
    assert (sheet.text.count("score"), sheet.text.count("penalty throws"), sheet.text.count("add.")) == (
        6,
        3,
        2,
    )


def test_a_tee_time_card_leads_with_the_time() -> None:
    (sheet,) = pdf_pages.read(score_cards(HEAD, [_card(start_kind="tee time", time_text="10:24")]))
    assert sheet.text.startswith("Group 7 tee time 10:24 hole 7 MA40 ")
    assert sheet.text.count("shotgun") == 0


def test_a_missing_par_or_length_leaves_no_total() -> None:
    holes = (CardHole("1", 3, 100), CardHole("2", None, 120))
    assert total_par(holes) is None
    (sheet,) = pdf_pages.read(score_cards(HEAD, [replace(_card(), holes=holes)]))
    assert sheet.text.count("2 holes, 220 m") == 1
    assert [w["text"] for w in sheet.words].count("par") == 1  # the row's own name only


@pytest.mark.parametrize(
    ("holes", "players", "bands_per_page"),
    [(9, 4, [1]), (18, 6, [1]), (20, 4, [1]), (27, 2, [2]), (27, 6, [1]), (36, 1, [2]), (36, 6, [1, 1])],
)
def test_many_holes_go_into_bands_that_can_be_written_in(
    holes: int, players: int, bands_per_page: list[int]
) -> None:
    layout = plan(_holes(holes), _card(players).players, width=732, room=300)
    assert [len(page) for page in layout.pages] == bands_per_page
    assert layout.hole_width >= NARROWEST
    assert [hole.label for page in layout.pages for band in page for hole in band.holes] == [
        str(i) for i in range(1, holes + 1)
    ]
    assert [band.last for page in layout.pages for band in page][-1:] == [True]


def test_two_bands_carry_every_name_twice_and_one_total() -> None:
    (sheet,) = pdf_pages.read(score_cards(HEAD, [_card(2, 27, name="Ada Kvist", start="1")]))
    assert [w["text"] for w in sheet.words if w["x0"] < NAME_COLUMN_END].count(
        "Kvist"
    ) == 4 + 1  # and one signature
    assert sheet.text.count("add. total") == 1
    assert pdf_pages.collisions(sheet) == []


def test_a_card_of_two_pages_says_which_part_it_is() -> None:
    sheets = pdf_pages.read(score_cards(LETTER, [_card(6, 36, name="Ada Kvist", start="1")]))
    assert [(s.text.count("part 1 of 2"), s.text.count("part 2 of 2")) for s in sheets] == [(1, 0), (0, 1)]
    assert [s.text.count("returned at") for s in sheets] == [0, 1]
    assert [s.text.count("Horn: 2 blasts") for s in sheets] == [1, 1]
    assert [pdf_pages.collisions(s) for s in sheets] == [[], []]


def test_hole_notes_are_printed_and_too_many_are_announced() -> None:
    few = replace(
        _card(), holes=(CardHole("4S", 3, 90, "out of bounds left of the path"), CardHole("5", 3, 90))
    )
    (sheet,) = pdf_pages.read(score_cards(HEAD, [few]))
    assert sheet.text.count("Holes: 4S: out of bounds left of the path") == 1
    noted = tuple(
        replace(hole, note="out of bounds left of the path and beyond the wall") for hole in _holes(18)
    )
    (sheet,) = pdf_pages.read(score_cards(HEAD, [replace(_card(6), holes=noted)]))
    assert sheet.text.count("(see the hole sheets)") == 1
    assert pdf_pages.collisions(sheet) == []
    assert pdf_pages.strays(sheet) == []


def test_many_divisions_leave_the_title_but_not_the_players() -> None:
    codes = [f"MA4{i}-long-code" for i in range(6)]
    players = tuple(CardPlayer("Ada Kvist", code) for code in codes)
    (sheet,) = pdf_pages.read(
        score_cards(HEAD, [replace(_card(), players=players, copy_label=f"Card kept by {LONG}")])
    )
    assert [sheet.text.count(code) for code in codes] == [1] * 6
    assert pdf_pages.collisions(sheet) == []


def test_one_copy_for_each_player_names_its_keeper_and_lists_the_group() -> None:
    players = (CardPlayer("Ada Kvist", "FA1"), CardPlayer("Dov Brandt", "MA1"))
    copies = copies_per_player(replace(_card(), players=players))
    assert [copy.copy_label for copy in copies] == ["Card kept by Ada Kvist", "Card kept by Dov Brandt"]
    sheets = pdf_pages.read(score_cards(HEAD, copies))
    assert [s.text.count("Card kept by Dov Brandt") for s in sheets] == [0, 1]
    assert [s.text.count("checked by Ada Kvist") for s in sheets] == [1, 1]


def test_playing_order_needs_the_start_hole_to_exist() -> None:
    holes = (CardHole("1", 3), CardHole("4S", 3), CardHole("12B", 4))
    assert [hole.label for hole in playing_order(holes, "4S")] == ["4S", "12B", "1"]
    with pytest.raises(ValueError, match="99"):
        playing_order(holes, "99")


def test_a_card_without_holes_or_players_is_refused() -> None:
    with pytest.raises(ValueError, match="at least one hole and one player"):
        score_cards(HEAD, [replace(_card(), players=())])
    with pytest.raises(ValueError, match="at least one hole and one player"):
        score_cards(HEAD, [replace(_card(), holes=())])


def test_spare_cards_are_blank_but_for_the_layout() -> None:
    sheets = pdf_pages.read(spare_cards(HEAD, _holes(18), 3, layout_name="Upper layout"))
    assert [sheet.text.count("Upper layout, 18 holes, par 63, 1,971 m") for sheet in sheets] == [1, 1, 1]
    (blank,) = pdf_pages.read(spare_cards(LETTER, (), 1, players=4))
    assert blank.text.count("name, division") == 4
    assert blank.text.count("holes") == 0
    assert pdf_pages.collisions(blank) == []
    assert pdf_pages.strays(blank) == []


def _groups() -> list[TeeGroup]:
    first = (
        TeePlayer("Ludvik Moravec", "MA1", "Moravec, Ludvik"),
        TeePlayer("Ada Öberg", "FA1", "Öberg, Ada", "guardian"),
    )
    second = (
        TeePlayer("Dov Abasolo", "MA1", "Abasolo, Dov"),
        TeePlayer("Sanne Oberg", "MA1", "Oberg, Sanne"),
    )
    return [
        TeeGroup("1", "09:00", "4S", first, "Pool A", "Upper layout"),
        TeeGroup("2", "10:12", "1", second, "Pool B", "Lower layout", "moved from hole 3"),
    ]


def test_the_sheet_by_time_has_groups_in_order_under_their_pool() -> None:
    (sheet,) = pdf_pages.read(
        tee_sheet_by_time(HEAD, _groups(), subtitle="round 1, Saturday 12 June", version="version 2")
    )
    assert sheet.text == (
        "Tee sheet by time Quarry Open · round 1, Saturday 12 June · Quarry Park "
        "time hole group player division note "
        "Pool A · Upper layout 09:00 4S 1 Ludvik Moravec MA1 Ada Öberg FA1 guardian "
        "Pool B · Lower layout 10:12 1 2 Dov Abasolo MA1 moved from hole 3 Sanne Oberg MA1 "
        "tee sheet by time · version 2 · Quarry Open page 1 of 1"
    )


def test_the_sheet_by_name_is_in_the_order_of_surnames() -> None:
    (sheet,) = pdf_pages.read(tee_sheet_by_name(HEAD, _groups(), subtitle="round 1"))
    assert sheet.text == (
        "Tee sheet by name Quarry Open · round 1 · Quarry Park name div. time hole group "
        "Abasolo, Dov MA1 10:12 1 2 Moravec, Ludvik MA1 09:00 4S 1 "
        "Öberg, Ada guardian FA1 09:00 4S 1 Oberg, Sanne MA1 10:12 1 2 "
        "tee sheet by name · Quarry Open page 1 of 1"
    )


@pytest.mark.parametrize("head", [HEAD, LETTER], ids=["A4", "Letter"])
@pytest.mark.parametrize("sheet_of", [tee_sheet_by_time, tee_sheet_by_name])
def test_tee_sheets_of_150_players_keep_every_long_name(head: EventHead, sheet_of: object) -> None:
    names = (LONG, FORTY_WIDE, *SCRIPTS, "Ada Kvist", "Dov Brandt", "Sanne Oberg")
    groups = [
        TeeGroup(
            str(g),
            f"{9 + g // 6:02d}:{g % 6 * 10:02d}",
            str(g % 18 + 1),
            tuple(TeePlayer(names[(g * 4 + p) % 10], "MA40") for p in range(4)),
        )
        for g in range(38)
    ]
    sheets = pdf_pages.read(sheet_of(head, groups, subtitle="round 1"))  # type: ignore[operator]
    assert [pdf_pages.collisions(sheet) for sheet in sheets] == [[]] * len(sheets)
    assert [pdf_pages.strays(sheet) for sheet in sheets] == [[]] * len(sheets)
    assert sum(
        "".join(c["text"] for c in sheet.chars).replace(" ", "").count("Дмитро") for sheet in sheets
    ) == sum(player.name == "Дмитро" for group in groups for player in group.players)


def test_the_whole_round_is_one_document_of_counted_parts() -> None:
    pdf = whole_round(
        HEAD,
        cards=[_card(), _card()],
        groups=_groups(),
        spares=[spare_card(_holes(18))],
        subtitle="round 1",
        printed="printed Sat 07:10",
        version="version 2",
    )
    ends = [sheet.text.rsplit("·", 1)[1].strip() for sheet in pdf_pages.read(pdf)]
    assert ends == ["page 1 of 1", "page 1 of 1", "page 1 of 2", "page 2 of 2", "page 1 of 1"]


def test_the_same_input_gives_the_same_bytes() -> None:
    cards = [_card(name=name) for name in (LONG, *SCRIPTS)]
    assert score_cards(HEAD, cards) == score_cards(HEAD, cards)
    assert score_cards(HEAD, cards) != score_cards(HEAD, cards[:-1])
