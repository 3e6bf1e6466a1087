"""The pages of the round ratings: always an estimate, with everything it rests on and what the director decided."""

from collections.abc import Iterable
from typing import Any

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode

from events.entries.models import Entry
from events.rulebook.loader import Rulebook
from events.setup.access import EVERY_ROLE, EventRequest, staff
from events.setup.answers import nothing_to_print, shown_pdf
from events.setup.models import Role
from events.setup.queries import rulebook_for
from scoring.ratings.compression import to_places
from scoring.ratings.forms import MethodForm, SplitForm
from scoring.ratings.histories import estimates_of
from scoring.ratings.models import MethodDecision
from scoring.ratings.pages import METHOD_WORDS, PlayerRow, player_rows, pool_page
from scoring.ratings.paper import pool_pdf
from scoring.ratings.queries import PoolRating, ratings_of
from scoring.ratings.round_rating import Choice


@staff(*EVERY_ROLE, write=())
def overview(request: EventRequest, slug: str) -> HttpResponse:
    """One pool; `?pool=` chooses it, `?method=` another way than the decided one, to compare."""
    return pool_answer(request)


def pool_answer(
    request: EventRequest, *, refused: str = "", forms: dict[str, Any] | None = None, status: int = 200
) -> HttpResponse:
    """The page of the pool that is asked for; with a refusal and the forms as they were typed, where there is one."""
    asked = request.GET.get("method", "")
    choice = Choice(asked) if asked in METHOD_WORDS and asked != Choice.FIXED else None
    pools = ratings_of(request.event, choice=choice)
    wanted = request.POST.get("pool") or request.GET.get("pool", "")
    shown = next((pool for pool in pools if pool.key == wanted), pools[-1] if pools else None)
    context: dict[str, Any] = {
        "tabs": [_tab(request, pool, shown) for pool in pools],
        "section_tabs": section_tabs(request, "rounds"),
        "pool": shown,
        "refused": refused,
        "may_decide": request.role is Role.DIRECTOR and request.event.over_at is None,
    }
    if shown is not None:
        context |= _shown(request, shown, choice, rulebook_for(request.event)) | (forms or {})
    return render(request, "ratings/overview.html", context, status=status)


def section_tabs(request: EventRequest, current: str) -> list[dict[str, Any]]:
    """The three pages of ratings."""
    return [
        {"label": label, "url": reverse(name, args=[request.event.slug]), "current": key == current}
        for key, label, name in (
            ("rounds", "Rounds", "ratings:overview"),
            ("players", "Players’ ratings", "ratings:players"),
            ("course", "Holes", "ratings:course"),
        )
    ]


def address(slug: str, pool: str, **more: str) -> str:
    return f"{reverse('ratings:overview', args=[slug])}?{urlencode({'pool': pool, **more})}"


def _tab(request: EventRequest, pool: PoolRating, shown: PoolRating | None) -> dict[str, Any]:
    return {"label": pool.title, "url": address(request.event.slug, pool.key), "current": pool is shown}


def _shown(request: EventRequest, pool: PoolRating, choice: Choice | None, book: Rulebook) -> dict[str, Any]:
    page = pool_page(pool, book)
    slug = request.event.slug
    numbers = sorted({*pool.rounds, *_played_on(request, pool)})
    return {
        "page": page,
        "rating": pool.rating,
        "ssa": None if pool.rating.ssa is None else to_places(pool.rating.ssa, 2),
        "comparing": choice is not None,
        "decided_url": address(slug, pool.key),
        "others": [
            {"label": words, "url": address(slug, pool.key, method=method)}
            for method, words in METHOD_WORDS.items()
            if method not in (pool.rating.method, "fixed")
        ],
        "pdf_url": f"{reverse('ratings:pdf', args=[slug])}?{urlencode({'pool': pool.key})}",
        "method_form": MethodForm(initial={"method": _method_now(pool)}),
        "split_form": SplitForm(initial={"starts": ""}),
        "rounds_of_layout": [{"number": number, "joined": number in pool.rounds} for number in numbers],
        "propagator_rows": _once(row for row in page.rows if row.propagator),
        "left_out_rows": [row for row in page.rows if row.left_out],
        "unplayed_rows": [row for row in page.rows if row.unplayed],
        "let_in_rows": [row for row in page.rows if row.let_in],
        "starts": ", ".join(f"{start:%H:%M}" for start in pool.starts),
    }


def _once(rows: Iterable[PlayerRow]) -> list[PlayerRow]:
    """By name, each player once."""
    return sorted({row.entry_id: row for row in rows}.values(), key=lambda row: row.name)


def _method_now(pool: PoolRating) -> str:
    decided = any(said.what.startswith("Method:") for said in pool.said)
    return pool.rating.method.value if decided else MethodDecision.Method.RULEBOOK.value


def _played_on(request: EventRequest, shown: PoolRating) -> set[int]:
    """The rounds that use this layout."""
    uses = request.event.rounds.filter(layout_uses__layout_id=shown.layout.id)
    return set(uses.values_list("number", flat=True))


@staff(*EVERY_ROLE, write=())
def pdf(request: EventRequest, slug: str) -> HttpResponse:
    """The pool on paper: drawing, working, decisions and every rated round."""
    pools = ratings_of(request.event)
    wanted = request.GET.get("pool", "")
    pool = next((each for each in pools if each.key == wanted), pools[-1] if pools and not wanted else None)
    if pool is None:
        return nothing_to_print(
            request, "Nobody has a complete card in such a pool.", "ratings:overview", slug
        )
    content = pool_pdf(request.event, pool, rulebook_for(request.event), now=timezone.now())
    return shown_pdf(content, f"{slug}-ratings-{pool.key}.pdf")


@staff(*EVERY_ROLE, write=())
def player(request: EventRequest, slug: str, entry: int) -> HttpResponse:
    """Where a player's ratings come from: each round here, and the rating worked out from the history."""
    found = get_object_or_404(
        Entry.objects.select_related("person", "division"), event=request.event, pk=entry
    )
    rounds = []
    for pool in ratings_of(request.event):
        for row in player_rows(pool):
            if row.entry_id == found.pk:
                url = address(slug, pool.key)
                rounds.append(
                    {"pool": pool, "row": row, "url": url, "sum": _sum(pool, row.score, row.rating)}
                )
        rounds += [
            {"pool": pool, "row": None, "url": address(slug, pool.key), "sum": ""}
            for each in pool.played
            if each.person == str(found.pk) and each.key not in {rated.key for rated in pool.rating.ratings}
        ]
    context = {
        "entry": found,
        "rounds": rounds,
        "history": estimates_of(request.event).get(found.person_id),
        "section_tabs": section_tabs(request, "players"),
    }
    return render(request, "ratings/player.html", context)


def _sum(pool: PoolRating, score: int, rating: int) -> str:
    """1000 + (58.402 − 61) × 8.24 = 978, as the working says."""
    ssa, points = pool.rating.ssa, pool.rating.points_per_throw
    assert ssa is not None
    assert points is not None
    return f"1000 + ({to_places(ssa, 3)} − {score}) × {to_places(points, 4)} = {rating}"
