"""Messages: composed, to be changed, copied, or taken away as a mail file. Nothing is sent."""

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from events.logistics.messages.composing import KIND_WORDS, Kind, compose
from events.logistics.messages.forms import MessageForm, WordsForm
from events.logistics.messages.mailing import mail_file
from events.logistics.messages.queries import addresses_of, facts_for, words_of
from events.logistics.messages.services import MessageRefused, addressed_mail, choose_words
from events.logistics.tabs import Tab, logistics_tabs
from events.setup.access import AT_WORK, EventRequest, staff
from events.setup.asked import whole_number
from events.setup.models import Event, Role, Round

WRITERS = (Role.DIRECTOR, Role.DESK)


@staff(*AT_WORK, write=())
def overview(request: EventRequest, slug: str) -> HttpResponse:
    return _page(request)


def _page(
    request: EventRequest,
    form: MessageForm | None = None,
    words_form: WordsForm | None = None,
    status: int = 200,
) -> HttpResponse:
    event, now = request.event, timezone.now()
    asked = request.GET.get("kind", "")
    kind = Kind(asked) if asked in list(Kind) else Kind.CHECK_IN
    rounds = list(Round.objects.filter(event=event).order_by("number"))
    round_ = _chosen(rounds, whole_number(request.GET.get("round")))
    languages, sign = words_of(event)
    if form is None:
        message = compose(kind, facts_for(event, kind, round_, sign, now), languages)
        form = MessageForm(initial={"subject": message.subject, "text": message.text})
    may_write = request.role in WRITERS
    chosen = {"languages": [words.tag for words in languages], "sign": sign}
    context: dict[str, Any] = {
        "form": form,
        "kind": kind,
        "kinds": _kinds(event, kind),
        "rounds": _rounds(event, rounds, round_) if kind is Kind.TEE_TIMES else [],
        "words_form": words_form or WordsForm(initial=chosen),
        "addresses": len(addresses_of(event)) if may_write else None,
        "may_write": may_write,
        "here": f"?kind={kind}" + (f"&round={round_.number}" if round_ else ""),
        "tabs": logistics_tabs(event, "event_messages:overview"),
    }
    return render(request, "event_messages/overview.html", context, status=status)


def _chosen(rounds: list[Round], number: int | None) -> Round | None:
    """The round that was asked for, else the first."""
    return next((round_ for round_ in rounds if round_.number == number), rounds[0] if rounds else None)


def _kinds(event: Event, current: Kind) -> list[Tab]:
    page = reverse("event_messages:overview", args=[event.slug])
    return [Tab(words, f"{page}?kind={kind}", kind is current) for kind, words in KIND_WORDS.items()]


def _rounds(event: Event, rounds: list[Round], current: Round | None) -> list[Tab]:
    page = reverse("event_messages:overview", args=[event.slug])
    return [
        Tab(f"Round {each.number}", f"{page}?kind={Kind.TEE_TIMES}&round={each.number}", each == current)
        for each in rounds
    ]


@staff(*WRITERS)
@require_POST
def words_page(request: EventRequest, slug: str) -> HttpResponse:
    form = WordsForm(request.POST)
    if not form.is_valid():
        return _page(request, words_form=form, status=422)
    choose_words(
        event=request.event,
        tags=form.cleaned_data["languages"],
        sign=form.cleaned_data["sign"],
        actor=request.actor,
        now=timezone.now(),
    )
    messages.success(request, "Messages are composed in these languages.")
    return redirect(reverse("event_messages:overview", args=[slug]) + _asked(request))


def _asked(request: EventRequest) -> str:
    """Back to the message that was open."""
    return f"?{request.GET.urlencode()}" if request.GET else ""


@staff(*AT_WORK)
@require_POST
def mail_page(request: EventRequest, slug: str) -> HttpResponse:
    """The text as it stands in the form, without an address."""
    form = MessageForm(request.POST)
    if not form.is_valid():
        return _page(request, form, status=422)
    return _file(slug, mail_file(form.cleaned_data["subject"], form.cleaned_data["text"]))


@staff(*WRITERS)
@require_POST
def addressed_page(request: EventRequest, slug: str) -> HttpResponse:
    """The same with the addresses of the field: asked for by a button of its own, and kept in the log."""
    form = MessageForm(request.POST)
    if not form.is_valid():
        return _page(request, form, status=422)
    try:
        content = addressed_mail(
            event=request.event, **form.cleaned_data, actor=request.actor, now=timezone.now()
        )
    except MessageRefused as refused:
        form.add_error(None, str(refused))
        return _page(request, form, status=422)
    return _file(slug, content)


def _file(slug: str, content: bytes) -> HttpResponse:
    answer = HttpResponse(content, content_type="message/rfc822")
    answer["Content-Disposition"] = f'attachment; filename="{slug}-message.eml"'
    answer["Cache-Control"] = "no-store"
    return answer
