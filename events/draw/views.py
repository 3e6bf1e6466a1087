"""The draw: pools, drawing, the board of groups, publishing, the working, paper. Changes: hand_views.py."""

import secrets
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from events.course.round_holes import most_holes
from events.draw import pages, services
from events.draw.above import Above
from events.draw.forms import DrawForm, PublishForm, pool_forms
from events.draw.models import Sheet
from events.draw.papers import PAPERS, papers_of
from events.draw.placing import DrawRefused
from events.draw.planning import save_pools
from events.draw.queries import pools_of, published_of, view_of
from events.draw.ways import ways_for
from events.draw.working import working_of
from events.entries.models import Entry
from events.setup.access import AT_WORK, EVERY_ROLE, EventRequest, staff
from events.setup.answers import nothing_to_print, shown_pdf
from events.setup.asked import whole_number
from events.setup.models import Event, Role, Round
from events.setup.queries import rulebook_for

WRITERS = (Role.DIRECTOR,)


@staff(*EVERY_ROLE, write=())
def overview(request: EventRequest, slug: str, above: Above) -> HttpResponse:
    """A round's sheet as a board; how to draw it where there is none. `round` and `version` choose."""
    rounds = pages.rounds_of(request.event)
    sheets = pages.sheets_of(request.event)
    published = {sheet.round_id for sheet in sheets if sheet.state == Sheet.State.PUBLISHED}
    round = pages.chosen(rounds, request.GET.get("round"), published)
    if round is None:
        return render(request, "draw/no_round.html")
    own = [sheet for sheet in sheets if sheet.round_id == round.pk]
    sheet = pages.shown_sheet(own, request.GET.get("version"))
    if sheet is None:
        return _make_page(request, round, above, rounds=rounds)
    shown = pages.shown(round, sheet.pk, own, above)
    context = board_context(request, shown) | {
        "tabs": pages.tabs(request.event, rounds, round),
        "steps": pages.steps(2 if shown.draft else 4),
        "versions": pages.versions(request.event, own, shown.sheet),
    }
    return render(request, "draw/sheet.html", context)


def board_context(request: EventRequest, shown: pages.Shown) -> dict[str, Any]:
    """What the board and the column beside it show, on the whole page and in the answer to a change."""
    may = may_write(request)
    return {
        "shown": shown,
        "round": shown.round,
        "sheet": shown.sheet,
        "board": shown.board,
        "may": may,
        "editable": may and shown.draft,
        "said": "",
        "kind": "success",
        "swapped": False,
        "papers": PAPERS if shown.sheet.state == Sheet.State.PUBLISHED else (),
    }


def may_write(request: EventRequest) -> bool:
    return request.role in WRITERS and request.event.over_at is None


def round_of(event: Event, number: int) -> Round:
    """The round, knowing the event (1 query)."""
    return get_object_or_404(event.rounds, number=number)


@staff(*EVERY_ROLE, write=WRITERS)
def pools(request: EventRequest, slug: str, number: int, above: Above) -> HttpResponse:
    """The pools of a round as a form; saved all or nothing."""
    round = round_of(request.event, number)
    offered = list(request.event.divisions.filter(dropped_at__isnull=True).order_by("order", "code"))
    data = request.POST if request.method == "POST" else None
    grid = pool_forms(round, pools_of(round), offered, data)
    problem = ""
    if data is not None and grid.is_valid():
        rows = [form.row() for form in grid if not form.left_out]
        try:
            save_pools(round=round, rows=rows, actor=request.actor, now=timezone.now())
        except DrawRefused as refused:
            problem = str(refused)
        else:
            messages.success(request, f"Pools of round {number} saved.")
            return redirect("draw:make", slug, number)
    context = {
        "round": round,
        "grid": grid,
        "problem": problem,
        "steps": pages.steps(0),
        "tabs": pages.tabs(request.event, pages.rounds_of(request.event), round),
        "may": may_write(request),
    }
    return render(request, "draw/pools.html", context, status=422 if data is not None else 200)


@staff(*EVERY_ROLE, write=WRITERS)
def make(request: EventRequest, slug: str, number: int, above: Above) -> HttpResponse:
    """How to draw, and the draw itself."""
    round = round_of(request.event, number)
    if request.method != "POST":
        return _make_page(request, round, above)
    form = DrawForm(request.POST, ways=ways_for(round, rulebook_for(request.event)))
    if not form.is_valid():
        return _make_page(request, round, above, form=form)
    facts, method = form.cleaned_data, Sheet.Method(form.cleaned_data["method"])
    try:
        sheet = services.make_draw(
            round=round,
            method=method,
            seed=facts["seed"],
            only_checked_in=facts["only_checked_in"],
            out=above.out_before(round),
            totals=above.totals_before(round) if method.by_score else None,
            actor=request.actor,
            now=timezone.now(),
        )
    except DrawRefused as refused:
        form.add_error(None, str(refused))
        return _make_page(request, round, above, form=form)
    players, groups = sheet.seats.count(), sheet.groups.count()
    messages.success(request, f"Round {number} is drawn: {players} players in {groups} groups.")
    return redirect(pages.round_url(request.event, number))


def _make_page(
    request: EventRequest,
    round: Round,
    above: Above,
    *,
    form: DrawForm | None = None,
    rounds: list[Round] | None = None,
) -> HttpResponse:
    field, first = pages.field_of(round, above), round.number == 1
    pools, book = pools_of(round), rulebook_for(round.event)
    holes = most_holes(request.event).get(round.pk)
    moments = [pool.first_start_at for pool in pools] or [round.first_start_at]
    sun, dark = pages.sun_over(round.event, [(round.event.local(each), holes) for each in moments], book)
    ways = ways_for(round, book)
    blank = DrawForm(
        ways=ways,
        initial={
            "method": Sheet.Method.RANDOM if first else Sheet.Method.SCORE,
            "seed": str(secrets.randbelow(10**8)).zfill(8),
            "only_checked_in": field.checked_in > 0,
        },
    )
    context = {
        "round": round,
        "tabs": pages.tabs(request.event, rounds or pages.rounds_of(request.event), round),
        "steps": pages.steps(1),
        "form": form or blank,
        "across": any(way.across for way in ways),
        "pools": pages.pool_lines(round, pools),
        "sun": sun,
        "dark": dark,
        "confirmed": field.confirmed,
        "checked_in": field.checked_in,
        "without_total": field.without_total,
        "out": field.out,
        "undecided": field.undecided,
        "states": set(Sheet.objects.filter(round=round).order_by("version").values_list("state", flat=True)),
        "may": may_write(request),
    }
    return render(request, "draw/make.html", context, status=422 if form else 200)


@staff(*EVERY_ROLE, write=WRITERS)
def publish(request: EventRequest, slug: str, number: int, above: Above) -> HttpResponse:
    """What goes out, what it changes, what is not kept and why; and the publishing itself."""
    round = round_of(request.event, number)
    sheets = [sheet for sheet in pages.sheets_of(request.event) if sheet.round_id == round.pk]
    draft = next((sheet for sheet in sheets if sheet.state == Sheet.State.DRAFT), None)
    if draft is None:
        messages.warning(request, f"Round {number} has no draft to publish.")
        return redirect(pages.round_url(request.event, number))
    shown = pages.shown(round, draft.pk, sheets, above)
    data = request.POST if request.method == "POST" else None
    form = PublishForm(data, later=shown.later, open_marks=any(mark.must for mark in shown.board.open))
    if data is not None and form.is_valid():
        try:
            services.publish(
                sheet=draft,
                revision=shown_revision(request),
                actor=request.actor,
                now=timezone.now(),
                **form.cleaned_data,
            )
        except DrawRefused as refused:
            form.add_error(None, str(refused))
        else:
            messages.success(
                request, f"Round {number}: version {draft.version} of the tee sheet is published."
            )
            return redirect(pages.round_url(request.event, number))
    context = board_context(request, shown) | {
        "form": form,
        "tabs": pages.tabs(request.event, pages.rounds_of(request.event), round),
        "steps": pages.steps(3),
    }
    return render(request, "draw/publish.html", context, status=422 if data is not None else 200)


def shown_revision(request: EventRequest) -> int:
    """The revision of the draft that the page showed; one that no draft has where the page said none."""
    return whole_number(request.POST.get("revision")) or 0


@staff(*EVERY_ROLE, write=())
def working(request: EventRequest, slug: str, number: int, version: int, above: Above) -> HttpResponse:
    """What the draw rested on, so that anybody can repeat it."""
    round = round_of(request.event, number)
    sheet = get_object_or_404(Sheet, round=round, version=version)
    sheet.round = round
    view = view_of(sheet)
    keys = [row[0] for row in sheet.inputs.get("players", [])]
    names = {
        entry.pk: entry.person.name for entry in Entry.objects.filter(pk__in=keys).select_related("person")
    }
    context = {
        "round": round,
        "sheet": sheet,
        "lines": working_of(view, names),
        "groups": view.groups,
        "back": pages.round_url(request.event, number, version=version),
    }
    return render(request, "draw/working.html", context)


@staff(*AT_WORK, write=())
def paper(request: EventRequest, slug: str, number: int, what: str, above: Above) -> HttpResponse:
    """One of PAPERS of the published sheet as PDF."""
    if what not in dict(PAPERS):
        raise Http404("There is no such paper.")
    round = round_of(request.event, number)
    sheet = published_of(round)
    if sheet is None:
        page = pages.round_url(request.event, number)
        return nothing_to_print(request, "The round has no published tee sheet.", page)
    papers = papers_of(sheet, round, above.group_paths(round), above.reachable(request, ""), timezone.now())
    return shown_pdf(papers.pdf(what), papers.name(what))
