"""Pages of the installation itself: home, signing in, the links of the staff, the day page."""

from dataclasses import replace

from django.contrib.auth.forms import SetPasswordForm
from django.contrib.auth.models import User
from django.contrib.auth.views import LoginView, LogoutView, PasswordResetConfirmView
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse, reverse_lazy
from django.utils import timezone
from django.views.decorators.cache import never_cache

from desk.day import day_of
from desk.signin import LINKS, link_for, qr_image, reachable
from events.setup.access import EVERY_ROLE, EventRequest, may_open, public, signed_in, staff
from events.setup.models import Event, Role, Staff
from events.setup.overview import days_text
from events.setup.staffing import may_make_link, note_link, note_password

LINK_GONE = "A link is shown once. Make a new one if it is needed."


class FirstPassword(PasswordResetConfirmView):
    """Opened from a one-time link: sets the password of that account and signs it in."""

    template_name = "registration/first_password.html"
    token_generator = LINKS
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
    """What waits is told to everybody; the link is for those whom it opens for."""
    day = day_of(request.event, timezone.now())
    todo = [line if may_open(line.url, request.role) else replace(line, url="") for line in day.todo]
    return render(request, "desk/day.html", {"day": replace(day, todo=tuple(todo))})


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
