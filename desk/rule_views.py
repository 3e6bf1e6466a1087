"""The pages of the rulebook: every value in force, and one value set otherwise or put back."""

from contextlib import suppress

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone

from desk.rulepage import RestoreForm, RuleForm, can_be_set, chapters, rule_line
from events.rulebook.values import TRUST_MARKS, BadOverride
from events.setup.access import EVERY_ROLE, EventRequest, staff
from events.setup.models import Role, RuleOverride
from events.setup.overriding import NotOverridden, override_rule, restore_rule
from events.setup.queries import book_with, rulebook_for, stray_overrides


@staff(*EVERY_ROLE, write=())
def rules(request: EventRequest, slug: str) -> HttpResponse:
    event, search = request.event, request.GET.get("q", "").strip()
    overrides = list(RuleOverride.objects.filter(event=event).order_by("key"))
    book = book_with(event, overrides)
    shown = chapters(book, event.currency, search)
    context = {
        "chapters": shown,
        "count": sum(len(chapter.lines) for chapter in shown),
        "overridden": [rule_line(rule, event.currency) for rule in book.all() if rule.overridden],
        "stray": stray_overrides(book, overrides),
        "marks": TRUST_MARKS.items(),
        "q": search,
        "editable": request.role is Role.DIRECTOR,
    }
    return render(request, "desk/rules.html", context)


@staff(Role.DIRECTOR)
def rule(request: EventRequest, slug: str, key: str) -> HttpResponse:
    """One value: set it otherwise for this event, or follow the published one again; a reason each time."""
    event = request.event
    book = rulebook_for(event)
    if not book.has(key):
        raise Http404("The rulebook has no such value.")
    found = book.value(key)
    sent = request.POST if request.method == "POST" else None
    restore = sent is not None and "restore" in sent
    form = RuleForm(None if restore else sent, rule=found)
    back = RestoreForm(sent if restore else None)
    if restore and back.is_valid() and _restored(request, key, back):
        return _to_rules(request, key)
    if sent is not None and not restore and form.is_valid() and _overridden(request, key, form):
        return _to_rules(request, key)
    context = {
        "line": rule_line(found, event.currency),
        "form": form,
        "back": back,
        "settable": can_be_set(found),
    }
    return render(request, "desk/rule.html", context, status=200 if sent is None else 422)


def _overridden(request: EventRequest, key: str, form: RuleForm) -> bool:
    try:
        override_rule(
            event=request.event,
            key=key,
            value=form.cleaned_data["given"],
            reason=form.cleaned_data["reason"],
            actor=request.actor,
            now=timezone.now(),
        )
    except BadOverride as problem:
        form.add_error(None, str(problem))
        return False
    return True


def _restored(request: EventRequest, key: str, form: RestoreForm) -> bool:
    reason = form.cleaned_data["why"]
    try:
        with suppress(NotOverridden):  # somebody else was faster: it is as wanted
            restore_rule(event=request.event, key=key, reason=reason, actor=request.actor, now=timezone.now())
    except BadOverride as problem:
        form.add_error(None, str(problem))
        return False
    return True


def _to_rules(request: EventRequest, key: str) -> HttpResponse:
    messages.success(request, "Saved.")
    return redirect(f"{reverse('rules', args=[request.event.slug])}#{key}")
