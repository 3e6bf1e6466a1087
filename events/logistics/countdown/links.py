"""The address under which a calendar program reads a countdown: signed, so that nobody guesses one."""

from django.core.signing import BadSignature, Signer
from django.urls import reverse

from events.logistics.countdown.models import CalendarFeed


def _signer() -> Signer:
    return Signer(salt="countdown", sep="~")  # ~ is never escaped in an address


def feed_path(feed: CalendarFeed) -> str:
    """The address as a path: `/countdown/…/`."""
    return reverse("countdown_calendar", args=[_signer().sign(feed.code)])


def feed_at(token: str) -> CalendarFeed | None:
    """The open feed of an address (1 query); None: never signed here, or closed since."""
    try:
        code = _signer().unsign(token)
    except BadSignature:
        return None
    found = CalendarFeed.objects.filter(code=code, revoked_at__isnull=True)
    return found.select_related("event").first()
