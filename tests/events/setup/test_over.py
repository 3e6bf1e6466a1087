"""An event that is over: the plan, the rules and the layouts that its results rest on stay as they are."""

from datetime import date
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

import build
from build import ACTOR, NOW
from events.course.describing import declare_two_metre, describe_hole
from events.course.grid import HoleRow
from events.course.hole_details import HoleDetails
from events.course.models import Layout
from events.course.services import LayoutRefused, assign_layouts, remove_layout, save_layout
from events.log.models import Act
from events.rulebook.values import BadOverride
from events.setup import services
from events.setup.models import Event, Role, Round
from events.setup.over import OVER
from events.setup.overriding import override_rule, restore_rule
from events.setup.rows import PlanOver

pytestmark = pytest.mark.django_db
BY: dict[str, Any] = {"actor": ACTOR, "now": NOW}


@pytest.fixture
def over() -> Event:
    event = build.make_event()
    override_rule(event=event, key="rating.rounding", value="nearest", reason="as at home", **BY)
    event.over_at = NOW
    event.save(update_fields=["over_at"])
    return event


def upper(event: Event) -> Layout:
    return event.layouts.get(name="Upper")


def rows(layout: Layout) -> list[HoleRow]:
    """As they stand, the first with another par."""
    places = layout.layout_holes.select_related("hole__tee", "hole__target").order_by("position")
    return [
        HoleRow(
            place.label,
            place.par + (place.position == 1),
            place.hole.length_m,
            place.hole.tee.name,
            place.hole.target.name,
            None,
            "",
        )
        for place in places
    ]


PLAN = {
    "division": lambda event: services.set_division(event=event, code="MA1", fee_cents=100, **BY),
    "no division": lambda event: services.remove_division(event=event, code="FA1", **BY),
    "round": lambda event: services.set_round(event=event, number=1, date=date(2026, 6, 13), **BY),
    "no round": lambda event: services.remove_round(event=event, number=2, **BY),
    "add-on": lambda event: services.set_addon(event=event, name="shirt", **BY),
    "tier": lambda event: services.change_event(event=event, version=event.version, tier="A", **BY),
    "days": lambda event: services.change_event(
        event=event, version=event.version, starts_on=date(2026, 6, 11), **BY
    ),
}
COURSE = {
    "layout": lambda event: save_layout(
        event=event, layout=upper(event), name="Upper", rows=rows(upper(event)), **BY
    ),
    "no layout": lambda event: remove_layout(layout=upper(event), **BY),
    "played": lambda event: assign_layouts(
        round=Round.objects.get(number=1), choices={event.divisions.get(code="MA1"): None}, **BY
    ),
    "two metres": lambda event: declare_two_metre(layout=upper(event), on=True, **BY),
    "hole": lambda event: describe_hole(
        place=upper(event).layout_holes.first(), details=HoleDetails(), version=0, **BY
    ),
}
RULES = {
    "override": lambda event: override_rule(
        event=event, key="rating.compression.choice", value="refit_2025", reason="newer", **BY
    ),
    "restore": lambda event: restore_rule(event=event, key="rating.rounding", reason="as published", **BY),
}


@pytest.mark.parametrize(
    ("acts", "name", "refused"),
    [
        *((PLAN, name, PlanOver) for name in PLAN),
        *((COURSE, name, LayoutRefused) for name in COURSE),
        *((RULES, name, BadOverride) for name in RULES),
    ],
)
def test_what_results_rest_on_is_refused_and_the_way_out_is_named(
    over: Event, acts: dict[str, Any], name: str, refused: type[Exception]
) -> None:
    before = Act.objects.count()

    with pytest.raises(refused) as told:
        acts[name](over)

    assert str(told.value) == OVER
    assert Act.objects.count() == before


@pytest.mark.parametrize("name", [*PLAN, *COURSE, *RULES])
def test_opened_again_all_of_it_can_be_done(over: Event, name: str) -> None:
    over.over_at = None
    over.save(update_fields=["over_at"])
    before = Act.objects.count()
    if name == "no layout":
        over.rounds.all().delete()

    ({**PLAN, **COURSE, **RULES})[name](over)

    assert Act.objects.count() == before + 1


def test_what_only_says_how_an_event_is_shown_may_change(over: Event) -> None:
    """A player who asks for the town to be taken off the board need not wait for anybody to open the event."""
    changed = services.change_event(event=over, version=over.version, show_town=False, name="Pines", **BY)

    assert (changed.show_town, changed.name) == (False, "Pines")


@pytest.fixture
def desk(client: Client, over: Event) -> Client:
    client.force_login(build.make_user(None, None))
    return client


def test_each_page_says_it_in_place_of_saving(desk: Client, over: Event) -> None:
    slug, layout = over.slug, upper(over)
    plan = reverse("setup:plan", args=[slug])
    divisions = desk.get(plan).context["divisions"]
    sent = {"version": over.version, f"{divisions.prefix}-TOTAL_FORMS": 0} | _sent(divisions)
    answers = [
        desk.post(reverse("setup:divisions", args=[slug]), sent),
        desk.post(
            reverse("rule", args=[slug, "rating.compression.choice"]),
            {"value": "refit_2025", "reason": "newer"},
        ),
        desk.post(reverse("rule", args=[slug, "rating.rounding"]), {"restore": "yes", "why": "as published"}),
        desk.post(reverse("course:assign", args=[slug]), {}, follow=True),
        desk.post(reverse("course:two_metre", args=[slug, layout.pk]), {"on": "yes"}, follow=True),
    ]

    assert [OVER in answer.content.decode() for answer in answers] == [True] * 5


def _changing(slug: str, role: Role) -> list[str]:
    """Pages that only the director opens."""
    if role != Role.DIRECTOR:
        return []
    return [reverse("setup:facts", args=[slug]), reverse("rule", args=[slug, "rating.rounding"])]


@pytest.mark.parametrize("role", [Role.DIRECTOR, Role.VIEWER])
def test_the_director_reads_it_before_anything_is_typed(over: Event, client: Client, role: Role) -> None:
    """Who cannot change anything is not told what cannot be changed."""
    client.force_login(build.make_user(over, role))
    slug, layout = over.slug, upper(over)
    place = layout.layout_holes.first()
    assert place is not None
    pages = [
        reverse("setup:plan", args=[slug]),
        reverse("course:layouts", args=[slug]),
        reverse("course:layout", args=[slug, layout.pk]),
        reverse("course:holes", args=[slug, layout.pk]),
        reverse("course:hole", args=[slug, layout.pk, place.pk]),
        *_changing(slug, role),
    ]

    texts = [client.get(page).content.decode() for page in pages]

    told = ["What its results rest on no longer changes." in text for text in texts]
    assert told == [role == Role.DIRECTOR] * len(pages)


def _sent(grid: Any) -> dict[str, Any]:
    """The table as the page would send it, each fee raised."""
    found = {
        f"{grid.prefix}-TOTAL_FORMS": len(grid.forms),
        f"{grid.prefix}-INITIAL_FORMS": grid.initial_form_count(),
    }
    for form in grid.forms:
        for name in form.fields:
            found[form.add_prefix(name)] = form[name].value() or ""
        if form.initial:
            found[form.add_prefix("fee_cents")] = "99"
    return found
