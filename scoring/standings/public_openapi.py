"""The description of the public data, as an OpenAPI 3.1 document. Pure.

What is said here is held by a test: every answer is checked against its schema.
"""

from typing import Any

VERSION = "1.1.0"


def _nullable(kind: str, words: str, **more: Any) -> dict[str, Any]:
    return {"type": [kind, "null"], "description": words, **more}


def _plain(kind: str, words: str, **more: Any) -> dict[str, Any]:
    return {"type": kind, "description": words, **more}


def _thing(words: str, /, **properties: dict[str, Any]) -> dict[str, Any]:
    """An object that has exactly these properties, always all of them."""
    return {
        "type": "object",
        "description": words,
        "properties": properties,
        "required": list(properties),
        "additionalProperties": False,
    }


def _list(of: str, words: str) -> dict[str, Any]:
    return {"type": "array", "description": words, "items": {"$ref": f"#/components/schemas/{of}"}}


_HOW_FAR: dict[str, Any] = {
    "settled": _plain(
        "boolean", "Whether every card of the rounds begun is in, and nothing is to be decided."
    ),
    "by_total": _plain(
        "boolean",
        "Whether every card of the rounds begun has all its holes: places are by total, else to par.",
    ),
    "undecided": _plain(
        "integer",
        "Cards of which what was written differs, and nobody has decided yet who is right.",
        minimum=0,
    ),
}

SCHEMAS: dict[str, Any] = {
    "Standings": _thing(
        "The standings of an event.",
        event={"$ref": "#/components/schemas/Event"},
        revision=_plain("string", "Changes with anything that the board shows; ask with it again."),
        divisions=_list(
            "Division", "In the order of the event's plan; those of which nothing is known yet are left out."
        ),
    ),
    "Event": _thing(
        "The event.",
        slug=_plain("string", "Its part of the address."),
        name=_plain("string", "Its name."),
        first_day=_plain("string", "First day.", format="date"),
        last_day=_plain("string", "Last day.", format="date"),
        time_zone=_plain("string", "Time zone of the venue, by its name in the tz database."),
        over=_plain("boolean", "Whether the event was declared over: nothing changes any more."),
    ),
    "Division": _thing(
        "One division.",
        code=_plain("string", "Its published code."),
        name=_plain("string", "Its name."),
        words=_plain("string", "How far it is, in words."),
        **_HOW_FAR,
        cut=_nullable("string", "The next cut as it stands, or the last one, in words; null: none."),
        rounds=_list("Round", "All rounds of the division, also those to come."),
        players=_list("Player", "In the order of the standings."),
    ),
    "Overall": _thing(
        "Players of several divisions ranked together. Prizes and titles go by division.",
        event={"$ref": "#/components/schemas/Event"},
        revision=_plain("string", "Changes with anything that the board shows; ask with it again."),
        lists=_list("OverallList", "The longest first; empty while nobody of two divisions can be compared."),
        alone={
            "type": "array",
            "description": "Codes of divisions of which nobody can be ranked with another division.",
            "items": {"type": "string"},
        },
    ),
    "OverallList": _thing(
        "Players who played the same layouts in the same rounds, whatever their division. Places of a playoff hold"
        " within the divisions alone: here ties stand.",
        divisions={
            "type": "array",
            "description": "Codes of the divisions, in the order of the event's plan.",
            "items": {"type": "string"},
        },
        words=_plain("string", "How far they are, in words."),
        **_HOW_FAR,
        rounds=_list("Round", "All rounds, also those to come, whose layouts are null."),
        players=_list("Player", "In the order of the standings."),
    ),
    "Round": _thing(
        "One round, as the division plays it.",
        number=_plain("integer", "1 for the first.", minimum=1),
        begun=_plain("boolean", "Whether a score is in."),
        layout=_nullable("string", "Name of the layout; null: none is chosen yet."),
        par=_nullable("integer", "Par of the layout."),
        holes=_list("Hole", "In layout order."),
    ),
    "Hole": _thing(
        "One hole.",
        label=_plain("string", "What stands on its sign."),
        par=_plain("integer", "Its par.", minimum=2),
    ),
    "Player": _thing(
        "One player. What is not known is null, never 0.",
        entry=_plain("integer", "Number of the entry: the same in every answer of this event."),
        name=_plain("string", "Name."),
        division=_plain("string", "Code of the player's division."),
        town=_nullable("string", "Town; null where the event does not show it."),
        state=_plain(
            "string",
            "Whether there is a place, and why not.",
            enum=["ranked", "not started", "card missing", "did not finish", "disqualified"],
        ),
        words=_plain("string", "How far the player is, or why there is no place."),
        place=_nullable("integer", "1, 2, 2, 4: ties share a place.", minimum=1),
        tied=_plain("boolean", "Whether somebody shares the place."),
        places_won=_nullable("integer", "Places better than before the round in play, negative for worse."),
        decided_by=_nullable("string", "What broke a tie for first place: playoff or co-winners."),
        made_cut=_nullable("boolean", "Whether the player goes on after the cut; null while none was made."),
        to_par=_nullable("integer", "Throws from par over the holes played, negative under par."),
        total=_nullable("integer", "Throws so far, penalties included."),
        holes_played=_plain("integer", "Holes with a score, over all rounds.", minimum=0),
        rounds=_list("Score", "Every round of the division."),
    ),
    "Score": _thing(
        "One round of one player.",
        number=_plain("integer", "Number of the round.", minimum=1),
        total=_nullable("integer", "Throws so far; null: no score."),
        to_par=_nullable("integer", "Throws from par so far."),
        holes_played=_plain("integer", "Holes with a score.", minimum=0),
        complete=_plain("boolean", "Whether every hole has its score."),
        undecided_holes={
            "type": "array",
            "description": "Labels of holes on which what was written differs: a typed figure counts meanwhile, and a"
            " hole on which only phones differ has none.",
            "items": {"type": "string"},
        },
        undecided_card=_plain("boolean", "Whether two versions of the whole card wait for a decision."),
        additional=_plain("integer", "Penalty throws on the round's total, in `total` already."),
        starts_at_hole=_nullable("string", "Label of the hole that the player's group starts on."),
        throws={
            "type": ["array", "null"],
            "description": "Throws of each hole in layout order, null for no score yet; null instead: no card.",
            "items": {"type": ["integer", "null"]},
        },
    ),
    "Problem": _thing("What is wrong.", error=_plain("string", "In a sentence.")),
}

_REVISION = {
    "name": "revision",
    "in": "query",
    "required": False,
    "description": "The `revision` of an earlier answer: 204 while it is still right.",
    "schema": {"type": "string"},
}
_HEADERS = {
    "ETag": {"description": "For If-None-Match: 304 while it is still right.", "schema": {"type": "string"}},
    "As-Of": {
        "description": "When the answer was true.",
        "schema": {"type": "string", "format": "date-time"},
    },
}


def _in_path(name: str, kind: str, words: str) -> dict[str, Any]:
    return {"name": name, "in": "path", "required": True, "description": words, "schema": {"type": kind}}


def _problem(words: str) -> dict[str, Any]:
    schema = {"$ref": "#/components/schemas/Problem"}
    return {"description": words, "content": {"application/json": {"schema": schema}}}


def _get(name: str, words: str, kind: str, schema: dict[str, Any], *given: dict[str, Any]) -> dict[str, Any]:
    return {
        "get": {
            "operationId": name,
            "summary": words,
            "parameters": [*given, _REVISION] if kind == "application/json" else list(given),
            "responses": {
                "200": {"description": words, "headers": _HEADERS, "content": {kind: {"schema": schema}}},
                "204": {"description": "What `revision` names is still right."},
                "304": {"description": "What If-None-Match names is still right."},
                "404": _problem("There is no such thing."),
            },
        }
    }


def document(*, slug: str, event: str) -> dict[str, Any]:
    """The document of one event, whose addresses begin with /board/`slug`."""
    standings = {"$ref": "#/components/schemas/Standings"}
    overall = {"$ref": "#/components/schemas/Overall"}
    ics = {"type": "string", "description": "An iCalendar feed (RFC 5545), one event for each start."}
    code = _in_path("code", "string", "Code of the division.")
    number = _in_path("number", "integer", "Number of the round.")
    entry = _in_path("entry", "integer", "`entry` of the player in the standings.")
    return {
        "openapi": "3.1.0",
        "info": {
            "title": f"Standings of {event}",
            "version": VERSION,
            "description": "For reading, by anybody, from any page. Ask no more often than every five seconds.",
        },
        "servers": [{"url": f"/board/{slug}"}],
        "paths": {
            "/standings.json": _get("standings", "Standings of all divisions", "application/json", standings),
            "/standings/{code}.json": _get(
                "division", "Standings of one division", "application/json", standings, code
            ),
            "/overall.json": _get("overall", "Standings over all divisions", "application/json", overall),
            "/round-{number}.ics": _get("round", "Tee times of a round", "text/calendar", ics, number),
            "/player/{entry}.ics": _get("player", "Tee times of a player", "text/calendar", ics, entry),
        },
        "components": {"schemas": SCHEMAS},
    }
