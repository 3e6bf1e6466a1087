"""Handing prizes out: found by name, out by key, undone by key; and the paper for it."""

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.views.decorators.http import require_POST

from events.entries.models import Entry
from events.entries.paper_views import head_of
from events.paper.text import money
from events.setup.access import EventRequest, staff
from events.setup.answers import shown_pdf
from events.setup.asked import whole_number
from events.setup.models import Division, Role
from events.setup.overview import moment_text
from scoring.prizes import hand_page, pages
from scoring.prizes.awards import Due, EventAwards, awards_of
from scoring.prizes.forms import AnswerForm, HandOverForm
from scoring.prizes.handing import answer_prize, hand_over, take_back
from scoring.prizes.models import HandOver
from scoring.prizes.planning import purse_of
from scoring.prizes.posting import base_of, bases_in
from scoring.prizes.prints import Receipt, hand_out_list, payout_sheet, receipts
from scoring.prizes.services import PrizesRefused
from scoring.prizes.still_open import open_in
from scoring.prizes.views import READERS

LONGEST_SEARCH = 100
TOO_EARLY = (
    "{code}: {why}. Prizes follow the verified results (Competition Manual 2025, 1.10.G); only the director may hand "
    "one out earlier."
)


@staff(*READERS, write=())
def hand_out(request: EventRequest, slug: str) -> HttpResponse:
    """The list; to htmx only the rows that `q` finds."""
    q = request.GET.get("q", "").strip()[:LONGEST_SEARCH]
    awards = awards_of(request.event)
    today = request.event.local(timezone.now()).date()
    context: dict[str, Any] = {
        "rows": hand_page.hand_rows(request.event, awards, today, q),
        "q": q,
        "url": reverse("prizes:hand_out", args=[slug]),
        "director": request.role is Role.DIRECTOR,
    }
    if request.htmx:  # type: ignore[attr-defined]  # set by its middleware
        return render(request, "prizes/hand_rows.html", context)
    context |= {
        "tabs": pages.tabs(request.event, "hand_out"),
        "counts": hand_page.hand_counts(awards),
        "dated": hand_page.dated(awards),
        "todo": open_in(awards, today=today, waiting=today > awards.forfeited_after),
        "posted": pages.posted_words(request.event, awards.purse.posted),
        "done": _done(request),
        "how": awards.purse.plan.how if awards.purse.plan is not None else "",
    }
    return render(request, "prizes/hand_out.html", context)


def _done(request: EventRequest) -> dict[str, str] | None:
    """The last act of this page, with its undo."""
    row = HandOver.objects.filter(
        pk=whole_number(request.GET.get("done")) or 0, entry__event=request.event, taken_back_at=None
    )
    found = row.select_related("entry__person").first()
    if found is None:
        return None
    what = money(found.cents) if found.cents else "the trophy"
    text = f"{found.entry.person.name} has {what}, {found.get_method_display()}."
    return {"text": text, "undo": reverse("prizes:take_back", args=[request.event.slug, found.pk])}


@staff(*READERS)
@require_POST
def give(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    """One prize changes hands."""
    entry = get_object_or_404(Entry, pk=pk, event=request.event)
    form = HandOverForm(request.POST)
    if not form.is_valid():
        messages.error(request, "The way or the amount is missing: use the buttons of the row.")
        return _back(request)
    awards = awards_of(request.event)
    due = awards.due_of(entry.pk)
    if due is not None and awards.early(due) and request.role is not Role.DIRECTOR:
        messages.error(request, TOO_EARLY.format(code=due.division, why=awards.early(due)))
        return _back(request)
    try:
        row = hand_over(
            entry=entry,
            method=form.cleaned_data["method"],
            expected_cents=form.cleaned_data["cents"],
            note=form.cleaned_data["note"],
            actor=request.actor,
            now=timezone.now(),
        )
    except PrizesRefused as refused:
        messages.error(request, str(refused))
        return _back(request)
    return _back(request, done=row.pk)


def _back(request: EventRequest, **more: int) -> HttpResponse:
    """To the list: with the same search if that was a whole division, which is worked through row by row."""
    q, slug = request.POST.get("q", "").strip(), request.event.slug
    pairs: list[tuple[str, str | int]] = list(more.items())
    if Division.objects.filter(event=request.event, code__iexact=q).exists():
        pairs.append(("q", q))
    query = urlencode(pairs)
    return redirect(reverse("prizes:hand_out", args=[slug]) + (f"?{query}" if query else ""))


@staff(*READERS)
@require_POST
def said(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    """What a player said: takes cash, goods, nothing."""
    entry = get_object_or_404(Entry.objects.select_related("person"), pk=pk, event=request.event)
    form = AnswerForm(request.POST)
    if not form.is_valid():
        messages.error(request, "Choose one of the answers.")
        return _back(request)
    try:
        answer = answer_prize(
            entry=entry,
            said=form.cleaned_data["said"],
            reason=form.cleaned_data["reason"],
            actor=request.actor,
            now=timezone.now(),
        )
    except PrizesRefused as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, f"{entry.person.name}: {answer.get_said_display()}.")
    return _back(request)


@staff(*READERS)
@require_POST
def undo(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    """A prize that was handed out by mistake is open again."""
    row = get_object_or_404(HandOver, pk=pk, entry__event=request.event)
    try:
        undone = take_back(row=row, actor=request.actor, now=timezone.now())
    except PrizesRefused as refused:
        messages.warning(request, str(refused))
    else:
        messages.success(request, f"Undone: {undone.entry.person.name} has not got it.")
    return _back(request)


# --- Paper ------------------------------------------------------------------------------------------------


@staff(*READERS, write=())
def payout_paper(request: EventRequest, slug: str) -> HttpResponse:
    """The payout as it is posted; before that as it is planned, which the sheet says."""
    event = request.event
    purse = purse_of(event)
    if purse.posted is not None:
        bases, added = list(bases_in(purse.posted.content).values()), purse.posted.content["added_cents"]
        version = f"posted as version {purse.posted.number}, {moment_text(event, purse.posted.posted_at)}"
    else:
        bases, added = (
            [base for each in purse.divisions if (base := base_of(each)) is not None],
            purse.added_in,
        )
        version = "draft, not posted"
    printed = moment_text(event, timezone.now())
    content = payout_sheet(head_of(event), bases, added=added, version=version, printed=printed)
    return shown_pdf(content, f"{slug}-payout.pdf")


@staff(*READERS, write=())
def receipts_paper(request: EventRequest, slug: str) -> HttpResponse:
    """Receipts of every prize, by division and place."""
    awards = awards_of(request.event)
    found = [each for _, rows in _receipts(request, awards) for each in rows]
    printed = moment_text(request.event, timezone.now())
    return shown_pdf(receipts(head_of(request.event), found, printed=printed), f"{slug}-receipts.pdf")


@staff(*READERS, write=())
def list_paper(request: EventRequest, slug: str) -> HttpResponse:
    """The list to hand out by when the laptop is elsewhere."""
    awards = awards_of(request.event)
    printed = moment_text(request.event, timezone.now())
    content = hand_out_list(head_of(request.event), _receipts(request, awards), printed=printed)
    return shown_pdf(content, f"{slug}-prizes.pdf")


def _receipts(request: EventRequest, awards: EventAwards) -> list[tuple[str, list[Receipt]]]:
    return [
        (each.code, [_receipt(request, due) for due in each.dues if due.award.cents or due.award.trophy])
        for each in awards.divisions
    ]


def _receipt(request: EventRequest, due: Due) -> Receipt:
    last = due.handed[-1] if due.handed else None
    return Receipt(
        name=due.award.name,
        division=due.division,
        place=due.award.place,
        tied=due.award.tied > 1,
        cents=due.award.cents,
        prize=hand_page.prize_words(due),
        handed=f"{last.get_method_display()}, {moment_text(request.event, last.at)}"
        if last
        else "forfeited"
        if due.forfeit
        else "",
    )
