"""The page of the round ratings: always an estimate, with everything it rests on."""

from collections import defaultdict
from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.http import urlencode

from events.setup.access import EVERY_ROLE, EventRequest, staff
from scoring.ratings.compression import to_places
from scoring.ratings.estimate import Method
from scoring.ratings.propagators import Excluded
from scoring.ratings.queries import PoolRating, ratings_of
from scoring.ratings.scatter import scatter

METHODS = {Method.LINE: "least-squares line", Method.PROPORTIONAL: "one-parameter line"}


@staff(*EVERY_ROLE, write=())
def overview(request: EventRequest, slug: str) -> HttpResponse:
    """One pool; `?pool=` chooses it, `?method=` another way than the rulebook's."""
    asked = request.GET.get("method", "")
    method = Method(asked) if asked in set(Method) else None
    pools = ratings_of(request.event, method=method)
    wanted = request.GET.get("pool", "")
    shown = next((pool for pool in pools if pool.key == wanted), pools[-1] if pools else None)
    context: dict[str, Any] = {
        "tabs": [_tab(request, pool, shown, method) for pool in pools],
        "pool": shown,
        **(_facts(shown) if shown else {}),
    }
    if shown:
        context["others"] = [
            {"label": words, "url": _address(request, shown, other), "current": other is shown.rating.method}
            for other, words in METHODS.items()
        ]
    return render(request, "ratings/overview.html", context)


def _address(request: EventRequest, pool: PoolRating, method: Method | None) -> str:
    query = {"pool": pool.key} | ({"method": method.value} if method else {})
    return f"{reverse('ratings:overview', args=[request.event.slug])}?{urlencode(query)}"


def _tab(
    request: EventRequest, pool: PoolRating, shown: PoolRating | None, method: Method | None
) -> dict[str, Any]:
    return {
        "label": f"Round {pool.round}, {pool.layout.name}",
        "url": _address(request, pool, method),
        "current": pool is shown,
    }


def _facts(pool: PoolRating) -> dict[str, Any]:
    rating = pool.rating
    line = rating.line
    propagators = frozenset(player.key for player in rating.propagators)
    return {
        "rating": rating,
        "ssa": to_places(rating.ssa, 2) if rating.ssa is not None else None,
        "ssa_error": f"{rating.ssa_se:.2f}" if rating.ssa_se is not None else None,
        "points": to_places(rating.points_per_throw, 2) if rating.points_per_throw is not None else None,
        "rows": _rows(pool),
        "left_out": _by_reason(rating.excluded),
        "scatter": scatter(
            pool.played,
            propagators,
            slope=line.slope if line else None,
            intercept=line.intercept if line else None,
        ),
    }


def _rows(pool: PoolRating) -> list[dict[str, Any]]:
    """Every rated player, the best round first; `gap` is the round's rating against the player's own."""
    own = {player.key: player for player in pool.played}
    counted = {player.key for player in pool.rating.propagators}
    rows = []
    for rated in pool.rating.ratings:
        rating = own[rated.key].rating
        rows.append(
            {
                "entry_id": rated.key,
                "name": rated.name,
                "division": pool.divisions[rated.key],
                "own": rating,
                "score": rated.score,
                "rating": rated.rating,
                "gap": None if rating is None else _signed(rated.rating - rating),
                "propagator": rated.key in counted,
            }
        )
    return sorted(rows, key=lambda row: (-int(row["rating"]), str(row["name"]), str(row["entry_id"])))


def _signed(gap: int) -> str:
    return f"{gap:+d}".replace("-", "−") if gap else "0"


def _by_reason(excluded: tuple[Excluded, ...]) -> list[tuple[str, list[Excluded]]]:
    found: dict[str, list[Excluded]] = defaultdict(list)
    for player in excluded:
        found[player.reason.value].append(player)
    return sorted(found.items(), key=lambda item: -len(item[1]))
