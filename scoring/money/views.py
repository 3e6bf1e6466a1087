"""The event's money: the statement, lines of income and expense, the cash box."""

from typing import Any
from uuid import UUID, uuid4

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from events.entries.models import Payment
from events.setup.access import EventRequest, staff
from events.setup.answers import shown_pdf
from events.setup.asked import page_key
from events.setup.models import Event, Role
from scoring.money.counting import count_box, explain_difference
from scoring.money.forms import CountForm, LineForm
from scoring.money.models import BoxCount, MoneyLine
from scoring.money.paper import exact, statement_sheet
from scoring.money.prints import statement_csv
from scoring.money.queries import INCOME, latest_counts, lines_of, statement
from scoring.money.services import MoneyRefused, reverse_line, write_line

DESK = (Role.DIRECTOR, Role.DESK)
Kind = BoxCount.Kind


@staff(Role.DIRECTOR, write=())
def overview(request: EventRequest, slug: str) -> HttpResponse:
    found = statement(request.event)
    context = {"statement": found, "director": True}
    return render(request, "money/statement.html", context)


@staff(Role.DIRECTOR, write=())
def paper(request: EventRequest, slug: str) -> HttpResponse:
    return shown_pdf(statement_sheet(request.event, now=timezone.now()), f"{slug}-money.pdf")


@staff(Role.DIRECTOR, write=())
def table(request: EventRequest, slug: str) -> HttpResponse:
    answer = HttpResponse(statement_csv(statement(request.event)), content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="{slug}-money.csv"'
    return answer


@staff(Role.DIRECTOR)
def lines(request: EventRequest, slug: str) -> HttpResponse:
    """Every line that somebody wrote, and the form for another."""
    if request.method != "POST":
        return _lines(request, _line_form(request.event))
    form = LineForm(request.POST)
    if not form.is_valid():
        return _lines(request, form, 422)
    try:
        line = write_line(event=request.event, actor=request.actor, now=timezone.now(), **form.cleaned_data)
    except MoneyRefused as refused:
        form.add_error(None, str(refused))
        return _lines(request, form, 422)
    messages.success(request, f"{line.get_category_display()}, {line.who}: written.")
    return redirect("money:lines", slug)


def _line_form(event: Event) -> LineForm:
    day = event.local(timezone.now()).date()
    return LineForm(initial={"submission": uuid4(), "on": day, "method": Payment.Method.CASH})


def _lines(request: EventRequest, form: LineForm, status: int = 200, refused: str = "") -> HttpResponse:
    rows = lines_of(request.event)
    context = {
        "rows": [{"line": row, "undone": hasattr(row, "undone_by")} for row in rows],
        "form": form,
        "refused": refused,
        "director": True,
        "came": sum(row.amount_cents for row in rows if row.category in INCOME),
        "went": sum(row.amount_cents for row in rows if row.category not in INCOME),
        "key": uuid4(),
    }
    return render(request, "money/lines.html", context, status=status)


@staff(Role.DIRECTOR)
@require_POST
def reverse(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    """A line that is wrong gets one of the opposite sign; nothing is changed or wiped."""
    line = get_object_or_404(MoneyLine, event=request.event, pk=pk)
    try:
        reverse_line(
            line=line,
            reason=request.POST.get("reason", ""),
            submission=page_key(request.POST.get("submission")),
            actor=request.actor,
            now=timezone.now(),
        )
    except MoneyRefused as refused:
        return _lines(request, _line_form(request.event), 422, str(refused))
    messages.success(request, "Reversed: both lines stay.")
    return redirect("money:lines", slug)


@staff(*DESK, write=())
def box(request: EventRequest, slug: str) -> HttpResponse:
    return _box(request, {})


@staff(*DESK)
@require_POST
def count(request: EventRequest, slug: str, kind: str) -> HttpResponse:
    """A float or a count. The page shows what was expected only afterwards, so that the count is a count."""
    if kind not in Kind.values:
        raise Http404("There is no such count.")
    found = Kind(kind)
    form = CountForm(request.POST, event=request.event, kind=found, prefix=found.value)
    if not form.is_valid():
        return _box(request, {found.value: form}, 422)
    try:
        count_box(event=request.event, kind=found, actor=request.actor, now=timezone.now(), **form.counted())
    except MoneyRefused as refused:
        form.add_error(None, str(refused))
        return _box(request, {found.value: form}, 422)
    messages.success(request, "The float is kept." if found is Kind.OPENING else "The count is kept.")
    return redirect("money:box", slug)


@staff(*DESK)
@require_POST
def explain(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    found = get_object_or_404(BoxCount, event=request.event, pk=pk)
    try:
        explain_difference(
            count=found, reason=request.POST.get("reason", ""), actor=request.actor, now=timezone.now()
        )
    except MoneyRefused as refused:
        return _box(request, {"refused": str(refused)}, 422)
    messages.success(request, "The reason is kept.")
    return redirect("money:box", slug)


def _box(request: EventRequest, typed: dict[str, Any], status: int = 200) -> HttpResponse:
    counts = latest_counts(request.event)
    opening, closing = counts.get(Kind.OPENING.value), counts.get(Kind.CLOSING.value)
    context = {
        "opening": opening,
        "closing": closing,
        "compared": _compared(closing, request.event.currency) if closing else [],
        "differs": closing is not None and any(closing.differences.values()),
        "open_form": typed.get(Kind.OPENING.value) or _count_form(request.event, Kind.OPENING, uuid4()),
        "close_form": typed.get(Kind.CLOSING.value) or _count_form(request.event, Kind.CLOSING, uuid4()),
        "typed": set(typed),
        "refused": typed.get("refused", ""),
        "director": request.role is Role.DIRECTOR,
    }
    return render(request, "money/box.html", context, status=status)


def _count_form(event: Event, kind: BoxCount.Kind, key: UUID) -> CountForm:
    return CountForm(event=event, kind=kind, prefix=kind.value, initial={"submission": key})


def _compared(count: BoxCount, currency: str) -> list[dict[str, Any]]:
    """Each method as it was expected and as it was found; `counted` None: not looked at."""
    return [
        {
            "label": method.label,
            "expected": count.expected.get(method.value, 0),
            "counted": count.counted.get(method.value),
            "difference": count.differences.get(method.value),
            "words": _difference_words(count.differences.get(method.value), currency),
        }
        for method in Payment.Method
        if count.expected.get(method.value) or count.counted.get(method.value)
    ]


def _difference_words(cents: int | None, currency: str) -> str:
    """None: it was not looked at."""
    if cents is None:
        return "–"
    if cents == 0:
        return "none"
    return f"{'too much' if cents > 0 else 'missing'} {exact(abs(cents), currency)}"
