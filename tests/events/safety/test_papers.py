"""The papers of the course: nothing leaves the page or overlaps, letters stay legible, what is missing says so."""

import pytest

import build
import pdf_pages
from build import ACTOR, NOW
from events.course.describing import describe_hole, sketch_hole
from events.course.hazards import note_hazard
from events.course.hole_details import Area, DropZone, HoleDetails, Mandatory, OutOfBounds
from events.course.sketch import Item
from events.safety.computed import CAUTIONS
from events.safety.duties import assign, save_plan
from events.safety.papers import PAPERS, NothingToPrint, paper_pdf, uncovered_of
from events.setup.models import Role

LONG = "Wilhelmina-Margarethe von Hohenbergstein"
WIDE = "Ww" * 20
WORDS = "The path along the creek is narrow and stony so mind the steep bank beside it."
assert (len(LONG), len(WIDE)) == (40, 40)

CROWDED = HoleDetails(
    tee_kind="line",
    target_kind="standard",
    elevation_m=-12,
    spotter=True,
    shelter=LONG,
    shelter_minutes=9,
    ambulance="gate on the gravel road",
    notes=(f"{WORDS} " * 8)[:599] + "Z",
    mandatories=tuple(
        Mandatory(f"{WIDE[:20]} oak {n}", "left", "from the trunk to the right, square to play", "A", 900)
        for n in (1, 2, 3)
    ),
    out_of_bounds=tuple(
        OutOfBounds(f"meadow {n} beyond the fence", "white stakes and string", "usual_or_zone", "A")
        for n in range(4)
    ),
    hazards=(Area("bunker", "stakes"),),
    zones=(DropZone("A", "mandatory", "by the bench", False, 1),),
)
SKETCH = (
    Item("tee", ((100, 600),)),
    Item("target", ((900, 100),), "long position"),
    Item("out_of_bounds", ((0, 0), (999, 0), (1000, 700)), "meadow"),
)


@pytest.fixture
def crowded(event):
    """The first hole of "Upper" with all that a hole may have; the other holes without any description."""
    event.venue, event.name = LONG, WIDE
    event.save()
    place = event.layouts.get(name="Upper").layout_holes.get(label="1")
    describe_hole(place=place, details=CROWDED, version=0, actor=ACTOR, now=NOW)
    sketch_hole(place=place, items=SKETCH, version=1, actor=ACTOR, now=NOW)
    facts = {"risk_player": True, "severity": "life", "control": "wait until the road is clear"}
    note_hazard(event=event, facts=facts | {"what": "Road with traffic"}, holes=[place], actor=ACTOR, now=NOW)
    note_hazard(
        event=event, facts=facts | {"what": "Ticks", "severity": "minor"}, holes=[], actor=ACTOR, now=NOW
    )
    zone = {"duty": "marshal", "layout_hole": None, "zone": WIDE, "channel": "2", "shift": "08:30 to 12:00"}
    assign(event=event, name=LONG, actor=ACTOR, now=NOW, **zone)
    return event


@pytest.mark.django_db
@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("what", PAPERS)
def test_nothing_collides_leaves_the_paper_or_is_too_small(crowded, what, paper):
    crowded.paper, crowded.units = paper, "ft" if paper == "Letter" else "m"
    crowded.save()
    sheets = pdf_pages.read(paper_pdf(crowded, what, NOW))
    for sheet in sheets:
        assert pdf_pages.collisions(sheet) == []
        assert pdf_pages.strays(sheet) == []
        body = [
            word for word in sheet.words if word["bottom"] < sheet.height - 34
        ]  # above the running footer
        assert min(round(word["size"], 2) for word in body) >= 9
        if what != "booklet":
            assert " ".join(CAUTIONS) in sheet.text


@pytest.mark.django_db
@pytest.mark.parametrize("what", PAPERS)
def test_the_same_event_gives_the_same_bytes(crowded, what):
    assert paper_pdf(crowded, what, NOW) == paper_pdf(crowded, what, NOW)


@pytest.mark.django_db
def test_a_crowded_hole_goes_on_overleaf_and_loses_nothing(crowded):
    sheets = pdf_pages.read(paper_pdf(crowded, "tee-signs", NOW))
    own = [sheet for sheet in sheets if "Upper, hole 1 ·" in sheet.text]
    assert len(own) == 2
    assert len(sheets) == 2 + 17
    assert "Hole 1, Upper (continued)" in own[1].text
    whole = "".join(char["text"] for sheet in own for char in sheet.chars if not char["text"].isspace())
    for part in (
        *CROWDED.notes.split(),
        "oak1",
        "oak2",
        "oak3",
        "meadow0",
        "meadow3",
        "Dangertolife",
        LONG.replace(" ", ""),
    ):
        assert part in whole
    assert min(word["size"] for sheet in own for word in sheet.words if word["text"] == "creek") >= 12


@pytest.mark.django_db
def test_a_sign_without_a_description_says_so(crowded):
    sheets = pdf_pages.read(paper_pdf(crowded, "tee-signs", NOW))
    assert "No sketch of this hole." in sheets[-1].text
    assert "Shelter" not in sheets[-1].text.replace("take shelter", "")


@pytest.mark.django_db
def test_the_booklet_carries_every_hole_and_its_caution(crowded):
    sheets = pdf_pages.read(paper_pdf(crowded, "booklet", NOW))
    halves = [
        sheet.inside(left, 0, left + sheet.width / 2, sheet.height)
        for sheet in sheets
        for left in (0, sheet.width / 2)
    ]
    written = [half for half in halves if half]
    assert len(written) == 1 + 2 + 17
    caution = "".join(" ".join(CAUTIONS).split())
    assert [half for half in written if caution not in half] == []


@pytest.mark.django_db
def test_the_summary_is_one_page_for_27_holes(event):
    build.make_layout(event, "Long", pars=(3,) * 27)
    sheets = pdf_pages.read(paper_pdf(event, "course", NOW, event.layouts.get(name="Long").pk))
    assert len(sheets) == 1
    assert "played by nobody yet" in sheets[0].text
    assert "3 blasts, again after 60 s" in sheets[0].text
    assert "1 long blast" in sheets[0].text


@pytest.mark.django_db
def test_a_length_that_is_missing_leaves_the_course_without_a_length(event):
    hole = event.layouts.get().layout_holes.get(label="3").hole
    hole.length_m = None
    hole.save()
    (sheet,) = pdf_pages.read(paper_pdf(event, "course", NOW))
    assert "length not known" in sheet.text
    assert "par 60" in sheet.text


@pytest.mark.django_db
def test_nothing_is_printed_of_a_layout_that_is_not_there(event):
    with pytest.raises(NothingToPrint):
        paper_pdf(event, "tee-signs", NOW, layout=999)


@pytest.mark.django_db
def test_a_spotter_who_is_needed_is_missed_until_somebody_stands_there(crowded):
    place = crowded.layouts.get().layout_holes.get(label="1")
    assert uncovered_of(crowded) == ["Upper 1, tee 1"]
    assert (
        "Nobody is assigned where a spotter is needed"
        in pdf_pages.read(paper_pdf(crowded, "duties", NOW))[0].text
    )
    row = {"duty": "marshal", "layout_hole": place, "zone": "", "name": "Ines", "channel": "", "shift": ""}
    assign(event=crowded, **row, actor=ACTOR, now=NOW)
    assert uncovered_of(crowded) == ["Upper 1, tee 1"]
    assign(event=crowded, **row | {"duty": "spotter"}, actor=ACTOR, now=NOW)
    assert uncovered_of(crowded) == []


@pytest.mark.django_db
def test_the_plan_shows_what_is_missing_and_what_is_there(event):
    first = pdf_pages.read(paper_pdf(event, "emergency", NOW))[0].text
    assert "Call (missing)" in first
    assert "0 of 12 published components are there" in first
    facts = {"emergency_number": "112", "aed": "desk", "first_aid": "desk", "venue": "Quiet Pines"}
    facts["capacity"] = "Boat house 80\nSchool hall 300"
    save_plan(event=event, facts=facts, version=0, actor=ACTOR, now=NOW)
    first = pdf_pages.read(paper_pdf(event, "emergency", NOW))[0].text
    assert "Boat house 80; School hall 300" in first
    assert "Call 112" in first
    assert "4 of 12 published components are there" in first  # written, up to date, equipment, this venue


@pytest.mark.django_db
def test_the_meeting_sheet_says_when_where_to_go_and_what_is_missing(crowded):
    text = " ".join(sheet.text for sheet in pdf_pages.read(paper_pdf(crowded, "meeting", NOW)))
    assert "Round 1: Fri 12 June 09:00" in text
    assert f"{LONG.split()[1]} Hohenbergstein" in text
    assert "Missing at: Upper 2" in text
    assert "Danger to life Road with traffic." in text


@pytest.mark.django_db
@pytest.mark.parametrize("what", PAPERS)
def test_the_desk_serves_each_paper(client_as, event, what):
    answer = client_as(Role.VIEWER).get(f"/desk/{event.slug}/notices/papers/{what}.pdf")
    assert (answer.status_code, answer["Content-Type"], answer.content[:5]) == (
        200,
        "application/pdf",
        b"%PDF-",
    )


@pytest.mark.django_db
def test_the_page_of_papers_lists_them_all(client_as, event):
    page = client_as(Role.VIEWER).get(f"/desk/{event.slug}/notices/papers/").content.decode()
    assert [paper.use for paper in PAPERS.values() if paper.use not in page] == []
    assert "The emergency plan lacks 12 of 12" in page
    assert CAUTIONS[0] in page
    assert client_as(Role.VIEWER).get(f"/desk/{event.slug}/notices/papers/other.pdf").status_code == 404
