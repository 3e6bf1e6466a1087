"""Pages of the installation itself: home, signing in, the day page, the log, the rulebook."""

from django.contrib.auth.forms import SetPasswordForm
from django.contrib.auth.models import User
from django.contrib.auth.views import LoginView, LogoutView, PasswordResetConfirmView
from django.db.models import Q
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse_lazy
from django.utils import timezone

from events.log.actions import Action
from events.log.services import INSTALLATION, Actor, record
from events.setup.access import EVERY_ROLE, EventRequest, public, signed_in, staff
from events.setup.models import Event


class FirstPassword(PasswordResetConfirmView):
    """Opened from a one-time link: sets the password of that account and signs it in."""

    template_name = "registration/first_password.html"
    success_url = reverse_lazy("home")
    post_reset_login = True
    post_reset_login_backend = "django.contrib.auth.backends.ModelBackend"

    def form_valid(self, form: "SetPasswordForm[User]") -> HttpResponse:
        answer = super().form_valid(form)
        record(
            chain=INSTALLATION,
            action=Action.STAFF_PASSWORD,
            subject=self.user.get_username(),
            actor=Actor.of(self.user),
            now=timezone.now(),
        )
        return answer


sign_in = public(LoginView.as_view(redirect_authenticated_user=True))
sign_out = public(LogoutView.as_view())
first_password = public(FirstPassword.as_view())


@signed_in
def home(request: HttpRequest) -> HttpResponse:
    """Straight to the only event; a list where there are several."""
    events = Event.objects.order_by("-starts_on", "slug")
    if not request.user.is_superuser:  # type: ignore[union-attr]
        events = events.filter(Q(staff__user=request.user))
    if len(events) == 1:
        return redirect("day", events[0].slug)
    return render(request, "desk/home.html", {"events": events})


@staff(*EVERY_ROLE, write=())
def day(request: EventRequest, slug: str) -> HttpResponse:
    return render(request, "base.html")


@staff(*EVERY_ROLE, write=())
def log_page(request: EventRequest, slug: str) -> HttpResponse:
    return render(request, "base.html")


@staff(*EVERY_ROLE, write=())
def rules(request: EventRequest, slug: str) -> HttpResponse:
    return render(request, "base.html")
