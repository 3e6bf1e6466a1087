"""Who may open which page: closed by default.

Every view says whom it is for with one of four decorators. A view that says nothing is refused to everybody,
and a test walks all addresses to see that each says something.

    @public               anyone, without signing in
    @signed_in            any account
    @installation         the installation's own director
    @staff(*READ, write=) accounts with one of these roles at the event; `write` for changes. The director may
                          always; a viewer never changes anything.
"""

from collections.abc import Callable, Iterable
from typing import Any, TypeVar

from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import Resolver404, resolve
from django.utils import timezone

from events.log.services import Actor
from events.setup.models import Event, Role, Staff

View = TypeVar("View", bound=Callable[..., Any])

EVERY_ROLE = tuple(Role)
AT_WORK = tuple(role for role in Role if role is not Role.VIEWER)
SAFE_METHODS = frozenset({"GET", "HEAD", "OPTIONS"})


class EventRequest(HttpRequest):
    """What a staff view receives: the event of its address, the role of the account there, and who acts."""

    event: Event
    role: Role
    actor: Actor


def public(view: View) -> View:
    view.audience = "public"  # type: ignore[attr-defined]
    return login_not_required(view)


def signed_in(view: View) -> View:
    view.audience = "signed in"  # type: ignore[attr-defined]
    return view


def installation(view: View) -> View:
    view.audience = "installation"  # type: ignore[attr-defined]
    return view


def staff(*read: Role, write: Iterable[Role] | None = None) -> Callable[[View], View]:
    def mark(view: View) -> View:
        may_write = frozenset(read if write is None else write) - {Role.VIEWER}
        view.audience = "staff"  # type: ignore[attr-defined]
        view.read_roles = frozenset(read) | {Role.DIRECTOR}  # type: ignore[attr-defined]
        view.write_roles = may_write | {Role.DIRECTOR}  # type: ignore[attr-defined]
        return view

    return mark


def role_at(event: Event, user: Any) -> Role | None:
    """The role of an account at an event; the installation's own director directs every event."""
    if not user.is_authenticated or not user.is_active:
        return None
    if user.is_superuser:
        return Role.DIRECTOR
    value = Staff.objects.filter(event=event, user=user).values_list("role", flat=True).first()
    return Role(value) if value else None


def may_open(url: str, role: Role | None) -> bool:
    """Whether a link of an event's pages opens for this role, so that nobody is led to a closed door (no query)."""
    try:
        view = resolve(url.partition("?")[0].partition("#")[0]).func
    except Resolver404:
        return False
    return getattr(view, "audience", "") != "staff" or role in view.read_roles  # type: ignore[attr-defined]


class EventMiddleware:
    """Puts event, role and actor on the request, sets the clock to the venue's zone, and refuses."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        try:
            return self.get_response(request)
        finally:
            timezone.deactivate()

    def process_view(
        self, request: HttpRequest, view: Callable[..., Any], args: Any, kwargs: dict[str, Any]
    ) -> None:
        audience = getattr(view, "audience", None)
        if audience is None:
            raise PermissionDenied("This page says nothing about who may open it.")
        if "slug" in kwargs:
            event = Event.objects.filter(slug=kwargs["slug"]).first()
            if event is None:
                raise Http404("There is no such event.")
            request.event = event  # type: ignore[attr-defined]
            timezone.activate(event.zone)
        if request.user.is_authenticated:
            request.actor = Actor.of(request.user)  # type: ignore[attr-defined]
        if audience == "installation" and not request.user.is_superuser:
            raise PermissionDenied("Only the director of this installation opens this page.")
        if audience == "staff":
            self._authorise(request, view)

    @staticmethod
    def _authorise(request: HttpRequest, view: Callable[..., Any]) -> None:
        role = role_at(request.event, request.user)  # type: ignore[attr-defined]
        request.role = role  # type: ignore[attr-defined]
        allowed = view.read_roles if request.method in SAFE_METHODS else view.write_roles  # type: ignore[attr-defined]
        if role not in allowed:
            raise PermissionDenied("Your role at this event does not open this page.")
