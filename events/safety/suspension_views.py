"""The page of a stop: one big act, then the clock, the horn, the evidence, the groups, and the ways it ends."""

from collections.abc import Callable
from datetime import datetime

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from events.log.services import revision
from events.safety.above import AboveSafety, GroupStands, PenaltyRefused
from events.safety.clock_times import NotATime, moment_typed
from events.safety.lead import lead_of
from events.safety.models import Suspension
from events.safety.penalties import penalise
from events.safety.readings import ReadingRefused, note_lightning
from events.safety.resuming import cancel_round, end_for_today, resume
from events.safety.services import NoticeRefused
from events.safety.stopped import open_suspension, stop_now
from events.safety.suspending import (
    RestartTooEarly,
    SuspensionRefused,
    name_restart,
    note_position,
    sound_horn,
    suspend,
)
from events.safety.suspension_page import (
    page_context,
    shelter_words,
    standing_context,
    start_context,
)
from events.setup.access import EVERY_ROLE, EventRequest, staff
from events.setup.asked import whole_number
from events.setup.models import Role
from events.setup.zones import NoSuchMoment, one_moment

MAY_ACT = (Role.DIRECTOR, Role.MARSHAL)
MAY_NOTE = (Role.DIRECTOR, Role.MARSHAL, Role.DESK, Role.CARD_ROOM)
REFUSED = (SuspensionRefused, PenaltyRefused, NoticeRefused, NotATime, NoSuchMoment, ReadingRefused)


@staff(*EVERY_ROLE, write=())
@require_safe
def page(request: EventRequest, slug: str, above: AboveSafety) -> HttpResponse:
    event, now = request.event, timezone.now()
    suspension = open_suspension(event)
    rights = {
        "may_act": request.role in MAY_ACT and event.over_at is None,
        "may_note": request.role in MAY_NOTE and event.over_at is None,
        "is_director": request.role is Role.DIRECTOR,
        "thunder_by": request.actor.name,
        "strike_source": request.session.get("strike_source", ""),
    }
    if suspension is None:
        context = start_context(event, above, now) | rights
        context["lead"] = lead_of(event, request.GET.get("storm", ""))
        return render(request, "safety/suspend.html", context)
    return render(request, "safety/suspension.html", page_context(event, suspension, above, now) | rights)


@staff(*EVERY_ROLE, write=())
@require_safe
def standing(request: EventRequest, slug: str, above: AboveSafety) -> HttpResponse:
    """The parts that follow by themselves: clock, evidence, prompter; 204 while nothing was written and no signal has
    become due."""
    event, now = request.event, timezone.now()
    until = whole_number(request.GET.get("until")) or 0
    if request.GET.get("seen") == str(revision(slug)) and (until == 0 or now.timestamp() < until):
        return HttpResponse(status=204)
    suspension = open_suspension(event)
    if suspension is None:
        return render(request, "safety/stop_over.html", {"event": event})
    context = standing_context(event, suspension, now)
    context |= {"may_act": request.role in MAY_ACT, "swapped": True}
    return render(request, "safety/stop_parts.html", context)


def _back(request: EventRequest, act: Callable[[datetime], str]) -> HttpResponse:
    """Do one act and say what was done, or why not."""
    try:
        messages.success(request, act(timezone.now()))
    except RestartTooEarly as refused:
        words = str(refused) if request.role is Role.DIRECTOR else f"{refused} Ask the director."
        messages.error(request, words)
    except REFUSED as refused:
        messages.error(request, str(refused))
    return redirect("suspension:page", request.event.slug)


def _own(request: EventRequest, pk: int) -> Suspension:
    return get_object_or_404(Suspension, pk=pk, event=request.event)


def _group(request: EventRequest, above: AboveSafety, now: datetime) -> GroupStands:
    """The group that `group` names as `round.number`. Raises SuspensionRefused."""
    wanted = request.POST.get("group", "")
    for group in above.groups(request.event, now):
        if f"{group.round.number}.{group.number}" == wanted:
            return group
    raise SuspensionRefused("There is no such group in play.")


@staff(*MAY_ACT)
@require_POST
def start(request: EventRequest, slug: str, above: AboveSafety) -> HttpResponse:
    """Suspend play. An empty time: the signal is sounded now, and the prompter asks for it."""

    def act(now: datetime) -> str:
        cause, where = request.POST.get("cause", ""), request.POST.get("where", "").strip()
        if not where and cause == Suspension.Cause.LIGHTNING:
            where = shelter_words(request.event)
        typed = request.POST.get("time", "").strip()
        suspend(
            event=request.event,
            cause=cause,
            words=request.POST.get("words", ""),
            where_to_go=where,
            signalled_at=moment_typed(typed, request.event.zone, now),
            sounded=bool(typed),
            groups=above.groups(request.event, now),
            actor=request.actor,
            now=now,
        )
        return "Play is suspended. The board and the phones say so."

    return _back(request, act)


@staff(*MAY_ACT)
@require_POST
def evidence(request: EventRequest, slug: str, pk: int, above: AboveSafety) -> HttpResponse:
    def act(now: datetime) -> str:
        kind, source = request.POST.get("kind", ""), request.POST.get("source", "")
        row = note_lightning(
            event=request.event,
            kind=kind,
            typed=request.POST.get("typed", ""),
            source=source,
            seen_at=request.POST.get("time", ""),
            actor=request.actor,
            now=now,
        )
        request.session[f"{kind}_source"] = row.source
        stop = stop_now(request.event)
        if stop is None:
            return "Written down."
        return f"Written down. The restart stands at {stop.restart:%H:%M}: {stop.clock.sentence}."

    _own(request, pk)
    return _back(request, act)


@staff(*MAY_ACT)
@require_POST
def horn(request: EventRequest, slug: str, pk: int, above: AboveSafety) -> HttpResponse:
    def act(now: datetime) -> str:
        row = sound_horn(
            suspension=_own(request, pk), signal=request.POST.get("signal", ""), actor=request.actor, now=now
        )
        return f"Sounded: {row.get_signal_display()}, {request.event.local(row.sounded_at):%H:%M:%S}."

    return _back(request, act)


@staff(*MAY_NOTE)
@require_POST
def position(request: EventRequest, slug: str, pk: int, above: AboveSafety) -> HttpResponse:
    def act(now: datetime) -> str:
        row = note_position(
            suspension=_own(request, pk),
            group=_group(request, above, now),
            hole_label=request.POST.get("hole", ""),
            note=request.POST.get("note", ""),
            actor=request.actor,
            now=now,
        )
        return f"Group {row.group_number} stood on hole {row.hole_label}."

    return _back(request, act)


@staff(*MAY_ACT)
@require_POST
def restart(request: EventRequest, slug: str, pk: int, above: AboveSafety) -> HttpResponse:
    """Name a restart; only the director one before the earliest, with a reason."""

    def act(now: datetime) -> str:
        row = name_restart(
            suspension=_own(request, pk),
            restart_at=_ahead(request, now),
            reason=_directors_reason(request),
            actor=request.actor,
            now=now,
        )
        assert row.restart_at is not None
        return f"The restart is named for {request.event.local(row.restart_at):%H:%M}."

    return _back(request, act)


def _ahead(request: EventRequest, now: datetime) -> datetime:
    """A clock time of today that is still to come, or a date and time. Raises NotATime, NoSuchMoment."""
    text = request.POST.get("time", "").strip()
    local = request.event.local(now)
    try:
        if len(text) <= 5:
            hour, minute = (int(part) for part in text.replace(".", ":").split(":"))
            wall = local.replace(hour=hour, minute=minute, second=0, microsecond=0, tzinfo=None)
        else:
            wall = datetime.fromisoformat(text)
    except ValueError:
        raise NotATime(f"{text[:40]!r} is not a time. Write it as 14:40.") from None
    return one_moment(wall, request.event.zone)


def _directors_reason(request: EventRequest) -> str:
    return request.POST.get("reason", "") if request.role is Role.DIRECTOR else ""


@staff(*MAY_ACT)
@require_POST
def go_on(request: EventRequest, slug: str, pk: int, above: AboveSafety) -> HttpResponse:
    """The long blast was given: play goes on."""

    def act(now: datetime) -> str:
        sheets = resume(
            suspension=_own(request, pk),
            mode=request.POST.get("mode", ""),
            sounded=True,
            reason=_directors_reason(request),
            groups=above.groups(request.event, now),
            actor=request.actor,
            now=now,
        )
        published = ", ".join(f"round {sheet.round.number} version {sheet.version}" for sheet in sheets)
        return f"Play goes on. Published: {published}." if published else "Play goes on."

    return _back(request, act)


@staff(Role.DIRECTOR)
@require_POST
def next_day(request: EventRequest, slug: str, pk: int, above: AboveSafety) -> HttpResponse:
    def act(now: datetime) -> str:
        end_for_today(
            suspension=_own(request, pk),
            restart_at=_ahead(request, now),
            reason=request.POST.get("reason", ""),
            groups=above.groups(request.event, now),
            actor=request.actor,
            now=now,
        )
        return "Play has ended for today. Scores and positions are kept."

    return _back(request, act)


@staff(Role.DIRECTOR)
@require_POST
def cancel(request: EventRequest, slug: str, pk: int, above: AboveSafety) -> HttpResponse:
    def act(now: datetime) -> str:
        cancel_round(
            suspension=_own(request, pk),
            reason=request.POST.get("reason", ""),
            actor=request.actor,
            now=now,
        )
        return "The round is not finished. Choose for each division what counts."

    answer = _back(request, act)
    ended = Suspension.objects.filter(pk=pk, ended_at__isnull=False).exists()
    return redirect("suspension:completion", slug) if ended else answer


@staff(*MAY_ACT)
@require_POST
def penalty(request: EventRequest, slug: str, pk: int, above: AboveSafety) -> HttpResponse:
    def act(now: datetime) -> str:
        group_words, _, entry = request.POST.get("player", "").partition("/")
        groups = {f"{g.round.number}.{g.number}": g for g in above.groups(request.event, now)}
        if group_words not in groups:
            raise SuspensionRefused("Choose a player.")
        penalise(
            suspension=_own(request, pk),
            group=groups[group_words],
            entry_id=whole_number(entry) or 0,
            what=request.POST.get("what", ""),
            hole_label=request.POST.get("hole", "").strip(),
            evidence=request.POST.get("evidence", ""),
            above=above,
            actor=request.actor,
            now=now,
        )
        return "The penalty is booked beside the card."

    return _back(request, act)


@staff(*MAY_ACT)
@require_POST
def unbook(request: EventRequest, slug: str, pk: int, ruling: int, above: AboveSafety) -> HttpResponse:
    def act(now: datetime) -> str:
        above.unbook(_own(request, pk), ruling, request.POST.get("reason", ""), request.actor, now)
        return "The penalty is taken back; it stays to be read."

    return _back(request, act)
