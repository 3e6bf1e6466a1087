"""The plan page: everybody on the staff reads it, the director changes it."""

from collections.abc import Callable, Sequence
from typing import Any

from django.contrib import messages
from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone

from events.setup import grids
from events.setup.access import EVERY_ROLE, EventRequest, installation, staff
from events.setup.forms import FactsForm, MoveForm, StaffForm, zones
from events.setup.models import Event, Role
from events.setup.moving import Follow, move_event
from events.setup.overview import facts_of
from events.setup.planned_sun import dark_rounds, plan_daylight
from events.setup.planning import save_addons, save_divisions, save_rounds
from events.setup.queries import Plan, plan_of
from events.setup.rows import PlanError, PlanOver
from events.setup.services import Stale, change_event, create_event
from events.setup.staffing import StaffError, add_staff, save_roles
from events.setup.zones import local_zone


@staff(*EVERY_ROLE, write=())
def plan(request: EventRequest, slug: str) -> HttpResponse:
    return _page(request)


def _page(request: EventRequest, held: Plan | None = None, **bound: Any) -> HttpResponse:
    """The plan page; `bound` holds the table or form that was sent and could not be saved."""
    event, held = request.event, held or plan_of(request.event)
    context = {
        "plan": held,
        "facts": facts_of(event),
        "editable": request.role is Role.DIRECTOR,
        "divisions": grids.division_grid(held),
        "rounds": grids.round_grid(held),
        "addons": grids.addon_grid(held),
        "roles": grids.role_grid(held),
        "said": request.session.pop("plan_said", None),
        "sun": (sun := plan_daylight(event, held)),
        "dark": dark_rounds(event, held, sun),
    }
    if request.role is Role.DIRECTOR:
        context |= {"staff_form": _staff_form(event), "move_form": MoveForm()}
    return render(request, "setup/plan.html", context | bound, status=422 if bound else 200)


@staff(Role.DIRECTOR)
def facts(request: EventRequest, slug: str) -> HttpResponse:
    event = request.event
    form = FactsForm(request.POST or None, instance=event)
    if request.method == "POST" and form.is_valid():
        try:
            now, version = timezone.now(), _version(request)
            change_event(event=event, version=version, actor=request.actor, now=now, **form.cleaned_data)
        except (Stale, PlanOver) as problem:
            form.add_error(None, str(problem))
            event.refresh_from_db(fields=["version"])
        else:
            messages.success(request, "Saved.")
            return redirect("setup:plan", slug)
    context = {"form": form, "zones": zones(), "version": event.version}
    return render(request, "setup/facts.html", context, status=422 if form.errors else 200)


@staff(Role.DIRECTOR)
def move(request: EventRequest, slug: str, follow: Sequence[Follow] = ()) -> HttpResponse:
    """The whole event by days; `follow` moves what the floors above keep of its days."""
    if request.method != "POST":
        return _to(request, "event")
    form = MoveForm(request.POST)
    if not form.is_valid():
        return _page(request, move_form=form, problem=("event", " ".join(map(str, form.errors["days"]))))
    try:
        moved = move_event(
            event=request.event,
            version=_version(request),
            days=form.cleaned_data["days"],
            follow=follow,
            actor=request.actor,
            now=timezone.now(),
        )
    except PlanError as problem:
        return _page(request, move_form=form, problem=("event", str(problem)))
    except ValidationError as problem:
        return _page(request, move_form=form, problem=("event", " ".join(problem.messages)))
    first = moved.starts_on
    return _to(request, "event", f"The event now begins {first:%A} {first.day} {first:%B %Y}.")


@installation
def new_event(request: HttpRequest) -> HttpResponse:
    form = FactsForm(request.POST or None, initial={"time_zone": local_zone()})
    if request.method == "POST" and form.is_valid():
        event = create_event(actor=request.actor, now=timezone.now(), **form.cleaned_data)  # type: ignore[attr-defined]
        messages.success(request, f"{event.name} is made. Next: its divisions and rounds.")
        return redirect("setup:plan", event.slug)
    context = {"form": form, "zones": zones()}
    return render(request, "setup/facts.html", context, status=422 if form.errors else 200)


@staff(Role.DIRECTOR)
def divisions(request: EventRequest, slug: str) -> HttpResponse:
    def save(grid: grids.BaseGrid, version: int) -> int:
        return save_divisions(
            event=request.event,
            version=version,
            rows=grids.division_rows(grid),
            removed=[row["code"] for row in grid.removed()],
            actor=request.actor,
            now=timezone.now(),
        )

    return _save_table(request, "divisions", grids.division_grid, save)


@staff(Role.DIRECTOR)
def rounds(request: EventRequest, slug: str) -> HttpResponse:
    def save(grid: grids.BaseGrid, version: int) -> int:
        return save_rounds(
            event=request.event,
            version=version,
            rows=grids.round_rows(grid),
            removed=[row["number"] for row in grid.removed()],
            actor=request.actor,
            now=timezone.now(),
        )

    return _save_table(request, "rounds", grids.round_grid, save)


@staff(Role.DIRECTOR)
def addons(request: EventRequest, slug: str) -> HttpResponse:
    def save(grid: grids.BaseGrid, version: int) -> int:
        return save_addons(
            event=request.event,
            version=version,
            rows=grids.addon_rows(grid),
            removed=[row["pk"] for row in grid.removed() if row["pk"] is not None],
            actor=request.actor,
            now=timezone.now(),
        )

    return _save_table(request, "addons", grids.addon_grid, save)


def _save_table(
    request: EventRequest,
    part: str,
    fill: Callable[[Plan, grids.Sent], grids.BaseGrid],
    save: Callable[[grids.BaseGrid, int], int],
) -> HttpResponse:
    """Save one table of the plan and go back to it; what could not be saved is shown as it was typed."""
    if request.method != "POST":
        return _to(request, part)
    version = _version(request)
    if (
        version != request.event.version
    ):  # the rows sent belong to another plan: do not match them to this one
        return _to(request, part, str(Stale(request.event)), "error")
    held = plan_of(request.event)
    grid = fill(held, request.POST)
    if not grid.is_valid():
        return _page(request, held, **{part: grid, "problem": (part, "See the marked fields.")})
    try:
        changed = save(grid, version)
    except PlanError as problem:
        return _page(request, held, **{part: grid, "problem": (part, str(problem))})
    except ValidationError as problem:
        return _page(request, held, **{part: grid, "problem": (part, " ".join(problem.messages))})
    return _to(request, part, "Saved." if changed else "Nothing was changed.")


@staff(Role.DIRECTOR)
def staff_roles(request: EventRequest, slug: str) -> HttpResponse:
    """Change and take away roles, all or nothing."""
    if request.method != "POST":
        return _to(request, "staff")
    held = plan_of(request.event)
    grid = grids.role_grid(held, request.POST)
    if not grid.is_valid():
        return _page(request, held, roles=grid, problem=("staff", "See the marked fields."))
    roles = {row["pk"]: Role(row["role"]) for row in grid.kept()} | {
        row["pk"]: None for row in grid.removed()
    }
    try:
        save_roles(event=request.event, roles=roles, actor=request.actor, now=timezone.now())
    except StaffError as problem:
        return _page(request, held, roles=grid, problem=("staff", str(problem)))
    return _to(request, "staff", "Saved.")


@staff(Role.DIRECTOR)
def staff_new(request: EventRequest, slug: str) -> HttpResponse:
    """Add somebody; a new account then gets its one-time link, shown by the page of the desk floor above."""
    if request.method != "POST":
        return _to(request, "staff")
    form = _staff_form(request.event, request.POST)
    if not form.is_valid():
        return _page(request, staff_form=form)
    facts = form.cleaned_data
    try:
        added = add_staff(
            event=request.event,
            name=facts["name"],
            user=facts.get("user"),
            role=Role(facts["role"]),
            actor=request.actor,
            now=timezone.now(),
        )
    except StaffError as problem:
        form.add_error("name", str(problem))
        return _page(request, staff_form=form)
    if added.user.has_usable_password():
        return _to(request, "staff", f"{added.user} is on the staff and signs in as before.")
    request.session["staff_link"] = added.pk
    return redirect("staff_link", slug, added.pk)


def _staff_form(event: Event, sent: Any = None) -> StaffForm:
    others = User.objects.filter(is_active=True, is_superuser=False).exclude(staff_roles__event=event)
    return StaffForm(sent, accounts=others.order_by("username"))


def _version(request: HttpRequest) -> int:
    """The version of the plan that the page showed; 0, which is none, for anything else."""
    sent = str(request.POST.get("version", ""))
    return int(sent) if sent.isascii() and sent.isdigit() and len(sent) < 10 else 0


def _to(request: EventRequest, part: str, said: str = "", kind: str = "success") -> HttpResponse:
    """Back to a part of the plan; what is said stands there, since the top of the page is out of sight."""
    if said:
        request.session["plan_said"] = {"part": part, "text": said, "kind": kind}
    return redirect(f"{reverse('setup:plan', args=[request.event.slug])}#{part}")
