"""Pages of the installation itself: home, signing in, the links of the staff, the day page."""

from contextlib import suppress
from urllib.parse import urlencode
from zoneinfo import ZoneInfo

from django.contrib import messages
from django.contrib.auth.forms import SetPasswordForm
from django.contrib.auth.models import User
from django.contrib.auth.views import LoginView, LogoutView, PasswordResetConfirmView
from django.core.exceptions import PermissionDenied
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse, reverse_lazy
from django.utils import timezone
from django.views.decorators.cache import never_cache

from desk.day import day_of
from desk.logbook import acts_of, line
from desk.rulepage import RestoreForm, RuleForm, can_be_set, chapters, rule_line
from desk.signin import link_for, qr_image, reachable
from events.log.actions import Action
from events.log.models import Chain
from events.log.services import INSTALLATION, verify
from events.rulebook.values import TRUST_MARKS, BadOverride
from events.setup.access import EVERY_ROLE, EventRequest, installation, public, signed_in, staff
from events.setup.models import Event, Role, RuleOverride, Staff
from events.setup.overriding import NotOverridden, override_rule, restore_rule
from events.setup.overview import days_text
from events.setup.queries import book_with, rulebook_for, stray_overrides
from events.setup.staffing import may_make_link, note_link, note_password

ACTS_ON_A_PAGE = 50
LINK_GONE = "A link is shown once. Make a new one if it is needed."


class FirstPassword(PasswordResetConfirmView):
    """Opened from a one-time link: sets the password of that account and signs it in."""

    template_name = "registration/first_password.html"
    success_url = reverse_lazy("home")
    post_reset_login = True
    post_reset_login_backend = "django.contrib.auth.backends.ModelBackend"

    def form_valid(self, form: "SetPasswordForm[User]") -> HttpResponse:
        answer = super().form_valid(form)
        assert self.user is not None  # the link was valid
        note_password(user=self.user, now=timezone.now())
        return answer


sign_in = public(LoginView.as_view(redirect_authenticated_user=True))
sign_out = public(LogoutView.as_view())
first_password = public(FirstPassword.as_view())


@signed_in
def home(request: HttpRequest) -> HttpResponse:
    """Straight to the only event; a list where there are several, or none."""
    held = _events_of(request)
    return redirect("day", held[0].slug) if len(held) == 1 else _list(request, held)


@signed_in
def events(request: HttpRequest) -> HttpResponse:
    """The list also where there is one event: from here the installation's director makes another."""
    return _list(request, _events_of(request))


def _events_of(request: HttpRequest) -> list[Event]:
    """The events that the account works at, the newest first; all for the installation's director (1 query)."""
    held = Event.objects.order_by("-starts_on", "slug")
    if not request.user.is_superuser:
        held = held.filter(staff__user=request.user)  # type: ignore[misc]
    return list(held)


def _list(request: HttpRequest, held: list[Event]) -> HttpResponse:
    rows = [{"event": event, "days": days_text(event.starts_on, event.ends_on)} for event in held]
    return render(request, "desk/home.html", {"rows": rows, "director": request.user.is_superuser})


@staff(*EVERY_ROLE, write=())
def day(request: EventRequest, slug: str) -> HttpResponse:
    return render(request, "desk/day.html", {"day": day_of(request.event, timezone.now())})


@staff(Role.DIRECTOR)
@never_cache
def staff_link(request: EventRequest, slug: str, pk: int) -> HttpResponse:
    """The one-time link of a member of the staff; asked for by POST, so that each one made is in the log.

    The link itself is never stored: the session only remembers for whom it may be shown.
    """
    member = get_object_or_404(Staff.objects.select_related("user", "event"), pk=pk, event=request.event)
    if not may_make_link(actor=request.user, user=member.user):  # type: ignore[arg-type]
        raise PermissionDenied("This account belongs to other events too: their director makes its link.")
    if request.method == "POST":
        request.session["staff_link"] = member.pk
        return redirect("staff_link", slug, pk)
    if request.session.pop("staff_link", None) != member.pk:
        request.session["plan_said"] = {"part": "staff", "text": LINK_GONE, "kind": "warning"}
        return redirect(f"{reverse('setup:plan', args=[slug])}#staff")
    note_link(staff=member, actor=request.actor, now=timezone.now())
    link = reachable(request, link_for(member.user))
    return render(request, "desk/staff_link.html", {"member": member, "link": link, "qr": qr_image(link)})


# --- The log ----------------------------------------------------------------------------------------------


@staff(*EVERY_ROLE, write=())
def log_page(request: EventRequest, slug: str) -> HttpResponse:
    return _log(request, chain=slug, zone=request.event.zone, currency=request.event.currency)


@installation
def installation_log(request: HttpRequest) -> HttpResponse:
    """What happened outside of any event: passwords that were set."""
    return _log(request, chain=INSTALLATION, zone=ZoneInfo("UTC"), currency="")


def _log(request: HttpRequest, *, chain: str, zone: ZoneInfo, currency: str) -> HttpResponse:
    action, text = request.GET.get("action", ""), request.GET.get("q", "").strip()
    head = Chain.objects.filter(key=chain).first()
    page = Paginator(acts_of(chain, action, text), ACTS_ON_A_PAGE).get_page(request.GET.get("page"))
    context = {
        "page": page,
        "lines": [line(act, zone, currency) for act in page],
        "actions": Action.choices,
        "action": action,
        "q": text,
        "query": urlencode({"action": action, "q": text}) if action or text else "",
        "held": head.length if head else 0,
        "newest_hash": head.head if head else "",
        "checked": verify(chain) if "check" in request.GET else None,
        "zone": str(zone),
    }
    return render(request, "desk/log.html", context)


# --- The rulebook -----------------------------------------------------------------------------------------


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
    if restore and back.is_valid():
        reason = back.cleaned_data["why"]
        with suppress(NotOverridden):  # somebody else was faster: it is as wanted
            restore_rule(event=event, key=key, reason=reason, actor=request.actor, now=timezone.now())
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


def _to_rules(request: EventRequest, key: str) -> HttpResponse:
    messages.success(request, "Saved.")
    return redirect(f"{reverse('rules', args=[request.event.slug])}#{key}")
