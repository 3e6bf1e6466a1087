"""The pages of the tables of places: those that are here, and one to bring in, looked at before it is taken."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from events.setup.access import EventRequest, staff
from events.setup.models import Role
from events.sheets.refusal import Refused
from scoring.prizes import pages
from scoring.prizes.examples import EXAMPLES, NOT_OFFICIAL
from scoring.prizes.forms import TableForm
from scoring.prizes.place_tables import TableRead, figure_text
from scoring.prizes.planning import table_of
from scoring.prizes.services import PrizesRefused, look_at, take_table
from scoring.prizes.views import READERS, tables_of


@staff(*READERS, write=(Role.DIRECTOR,))
def tables(request: EventRequest, slug: str) -> HttpResponse:
    """Every table; the form shows what it holds first (`look`) and takes it second (`take`), whole or not at all."""
    form = TableForm(request.POST or None, request.FILES or None, initial=_example(request))
    found: TableRead | None = None
    if request.method == "POST" and form.is_valid():
        content = form.content()
        try:
            found = look_at(content)
            if "take" in request.POST and not found.problems:
                return _take(request, form, content)
        except (PrizesRefused, Refused) as refused:
            form.add_error("text", str(refused))
        except ValidationError as problem:
            for name, words in problem.message_dict.items():
                form.add_error(name if name in form.fields else None, words)
        form = _with_text(form, content)
    return render(
        request, "prizes/tables.html", _context(request, form, found), status=422 if form.errors else 200
    )


def _take(request: EventRequest, form: TableForm, content: bytes) -> HttpResponse:
    table = take_table(
        event=request.event,
        name=form.cleaned_data["name"],
        source=form.cleaned_data["source"],
        data=content,
        actor=request.actor,
        now=timezone.now(),
    )
    messages.success(request, f"{table.name} is here, with {len(table.rows)} rows.")
    return redirect("prizes:tables", request.event.slug)


def _example(request: EventRequest) -> dict[str, str]:
    example = EXAMPLES.get(request.GET.get("example", ""))
    if example is None:
        return {}
    return {"name": example.name, "source": example.source, "text": example.data().decode()}


def _with_text(form: TableForm, content: bytes) -> TableForm:
    """The same form with the file's words in its box: a browser does not send a file twice."""
    data = {**form.data.dict(), "text": content.decode("utf-8-sig", errors="replace")}  # type: ignore[attr-defined]
    again = TableForm(data)
    again.is_valid()
    for name, errors in form.errors.items():
        if name not in again.errors:
            again.add_error(None if name == "__all__" else name, list(errors))
    return again


def _context(request: EventRequest, form: TableForm, found: TableRead | None) -> dict[str, Any]:
    held = [(row, _rows(table_of(row).rows)) for row in tables_of(request.event)]
    return {
        "tabs": pages.tabs(request.event, "tables"),
        "held": held,
        "form": form,
        "problems": found.problems if found is not None else (),
        "looked": _rows(found.rows) if found is not None else [],
        "may_take": found is not None and not found.problems and not form.errors,
        "examples": EXAMPLES,
        "not_official": NOT_OFFICIAL,
        "director": request.role is Role.DIRECTOR,
    }


def _rows(rows: Any) -> list[tuple[int, list[str]]]:
    return [(places, [figure_text(each) for each in row]) for places, row in rows.items()]
