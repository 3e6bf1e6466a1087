"""What a description may not be, and what it is warned of. Figures: Competition Manual 2025, 5.03.F."""

from dataclasses import replace

import pytest

from events.course.hole_details import (
    Area,
    DropZone,
    HoleDetails,
    Mandatory,
    OutOfBounds,
    Reach,
    coordinates,
    faults,
    from_json,
    warnings,
)

REACH = Reach(1000, "Competition Manual 2025, 5.03.F")
ZONE = DropZone("A", "mandatory", "by the path", required=False, penalty=1)
OAK = Mandatory("oak", "left", "trunk to the right", "A", 900)
POND = OutOfBounds("pond", "water's edge")


def of(**facts: object) -> HoleDetails:
    return HoleDetails(**facts)  # type: ignore[arg-type]


def test_a_full_description_survives_its_json():
    details = of(
        tee_kind="line", elevation_m=-4, spotter=False, notes="x" * 1200, mandatories=(OAK,), out_of_bounds=(POND,),
        hazards=(Area("bunker", "edge"),), relief=(Area("nest"),), casual=(Area("ice"),), zones=(ZONE,),
    )  # fmt: skip
    assert from_json(details.as_json()) == details
    assert faults("7", details) == []


def test_what_says_nothing_is_not_written_and_no_is_not_nothing():
    assert of().as_json() == {}
    assert of(spotter=False, elevation_m=0).as_json() == {"elevation_m": 0, "spotter": False}


def test_a_name_of_a_newer_version_is_left_out():
    newer = {"notes": "x", "smell": "resin", "casual": [{"area": "ice", "depth": 3}]}
    assert from_json(newer) == of(notes="x", casual=(Area("ice"),))


@pytest.mark.parametrize(
    ("details", "sentence"),
    [
        (
            of(mandatories=(replace(OAK, marker=""),), zones=(ZONE,)),
            "Hole 7, mandatory 1, marker: say what it is.",
        ),
        (of(mandatories=(replace(OAK, side=""),), zones=(ZONE,)), "Hole 7, mandatory 1, side: choose one."),
        (
            of(mandatories=(OAK,)),
            "Hole 7, mandatory 1, drop zone: A is not among the drop zones of this hole.",
        ),
        (
            of(mandatories=(OAK, replace(OAK, zone="")), zones=(ZONE,)),
            "Hole 7, mandatory 2, distance: it belongs to a drop zone. Name it.",
        ),
        (
            of(mandatories=(replace(OAK, zone_cm=-1),), zones=(ZONE,)),
            "Hole 7, mandatory 1, distance: it cannot be below 0.",
        ),
        (
            of(out_of_bounds=(replace(POND, boundary=""),)),
            "Hole 7, out of bounds 1, boundary: say what it is.",
        ),
        (of(out_of_bounds=(replace(POND, options="any"),)), "Hole 7, out of bounds 1, options: choose one."),
        (
            of(out_of_bounds=(replace(POND, options="zone_only"),)),
            "Hole 7, out of bounds 1, drop zone: these options need one. Name it.",
        ),
        (
            of(out_of_bounds=(replace(POND, zone="C"),)),
            "Hole 7, out of bounds 1, drop zone: C is not among the drop zones of this hole.",
        ),
        (
            of(out_of_bounds=(replace(POND, relief_cm=99),)),
            "Hole 7, out of bounds 1, relief: 1 m or more (Official Rules 806.02), and not over 20 m.",
        ),
        (of(zones=(replace(ZONE, name=""),)), "Hole 7, drop zone 1, name: give it one, as A."),
        (of(zones=(ZONE, ZONE)), "Hole 7, drop zone 2, name: A stands twice."),
        (of(zones=(replace(ZONE, purpose=""),)), "Hole 7, drop zone 1, purpose: choose one."),
        (of(zones=(replace(ZONE, penalty=3),)), "Hole 7, drop zone 1, penalty: one or two throws."),
        (of(casual=(Area("", "rope"),)), "Hole 7, casual area 1, area: say what it is."),
        (of(two_metre="objects"), "Hole 7, two-metre rule: name the objects."),
        (of(tee_kind="carpet"), "Hole 7, tee: carpet is not one of the choices."),
        (of(shelter_minutes=4), "Hole 7, shelter: minutes without a shelter. Name it."),
        (of(shelter="barn", shelter_minutes=121), "Hole 7, shelter: the way takes 0 to 120 minutes."),
        (of(elevation_m=201), "Hole 7, elevation: more than 200 m up or down cannot be."),
        (of(notes="x" * 1201), "Hole 7, notes: 1201 characters; at most 1200 fit."),
        (of(relief=(Area("nest"),) * 13), "Hole 7, relief: at most 12."),
        (
            of(tee_at="north"),
            "Hole 7, tee coordinates: Write latitude and longitude in degrees, as 47.12345, 8.54321.",
        ),
    ],
)
def test_a_fault_names_hole_and_field(details, sentence):
    assert faults("7", details) == [sentence]


@pytest.mark.parametrize(
    ("zone_cm", "waiver", "warned"), [(1000, "", False), (1001, "", True), (1001, "W-12", False)]
)
def test_a_drop_zone_over_ten_metres_from_the_plane_needs_a_waiver(zone_cm, waiver, warned):
    details = of(mandatories=(replace(OAK, zone_cm=zone_cm, waiver=waiver),), zones=(ZONE,))
    sentence = (
        "Hole 7, mandatory 1: its drop zone is over 10 m from the plane and has no waiver "
        "(Competition Manual 2025, 5.03.F)."
    )
    assert warnings("7", details, REACH) == ([sentence] if warned else [])


@pytest.mark.parametrize(
    ("options", "approval", "count"),
    [
        ("usual", "", 0),
        ("usual_or_line", "", 0),
        ("previous_only", "", 1),
        ("island", "", 1),
        ("island", "AP-3", 0),
    ],
)
def test_restricted_options_need_an_approval_reference(options, approval, count):
    details = of(out_of_bounds=(replace(POND, options=options, approval=approval),))
    assert len(warnings("7", details, REACH)) == count


def test_what_is_not_said_is_warned_of_and_never_taken_for_none():
    details = of(
        mandatories=(Mandatory("oak", "left", "", "A"),),
        out_of_bounds=(OutOfBounds("pond"),),
        zones=(DropZone("A", "mandatory"), DropZone("B", "out_of_bounds", "", required=True, penalty=1)),
    )
    assert warnings("7", details, REACH) == [
        "Hole 7, mandatory 1: the plane is not described (Official Rules 804.01).",
        "Hole 7, mandatory 1: how far its drop zone is from the plane is not given.",
        "Hole 7, out of bounds 1: the marking is not described.",
        "Hole 7, drop zone A: optional or required is not said.",
        "Hole 7, drop zone A: its penalty is not said.",
        "Hole 7, drop zone B: no out of bounds above leads to it.",
        "Hole 7, drop zone B: required for out of bounds, which needs approval (Official Rules 806.02.D).",
    ]


@pytest.mark.parametrize(
    ("text", "found"), [("47.5, -8.25", (47.5, -8.25)), ("−33.1 151", (-33.1, 151.0)), ("0;0", (0.0, 0.0))]
)
def test_coordinates_are_read(text, found):
    assert coordinates(text) == found


@pytest.mark.parametrize("text", ["91, 8", "47, 181", "47", "47,12, 8", "N47 E8", ""])
def test_other_coordinates_are_refused(text):
    with pytest.raises(ValueError, match="latitude and longitude"):
        coordinates(text)
