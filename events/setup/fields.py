"""Input fields that the forms of an event share: money as it is typed, wall-clock times at the venue."""

import re
from datetime import UTC, date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone

from events.setup.figures import cents_from, typed_money

EARLIEST, LATEST = 1950, 2199


class MoneyField(forms.CharField):
    """Integer cents, typed as 45 or 45.50. Left empty: `empty` (None unless told otherwise)."""

    def __init__(self, *, empty: int | None = None, **options: Any) -> None:
        self.empty = empty
        options.setdefault("widget", forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}))
        super().__init__(**options)

    def prepare_value(self, value: Any) -> Any:
        return typed_money(value) if isinstance(value, int) else value

    def to_python(self, value: Any) -> Any:
        text = str(value or "").strip() if not isinstance(value, int) else typed_money(value)
        if not text:
            return self.empty
        try:
            return cents_from(text)
        except ValueError as problem:
            raise ValidationError(str(problem)) from None

    def validate(self, value: Any) -> None:
        if value is None and self.required:
            raise ValidationError(self.error_messages["required"], code="required")

    def run_validators(self, value: Any) -> None:
        """The validators of text do not apply to cents."""

    def has_changed(self, initial: Any, data: Any) -> bool:
        try:
            return bool(self.to_python(initial) != self.to_python(data))
        except ValidationError:
            return True


class DaysField(forms.CharField):
    """Days as ISO texts in their order, typed with commas or spaces between them."""

    def __init__(self, **options: Any) -> None:
        options.setdefault("widget", forms.TextInput(attrs={"autocomplete": "off"}))
        super().__init__(**options)

    def prepare_value(self, value: Any) -> Any:
        return ", ".join(value) if isinstance(value, list) else value

    def to_python(self, value: Any) -> Any:
        words = value if isinstance(value, list) else re.split(r"[,;\s]+", str(value or "").strip())
        return sorted({self._day(word) for word in words if word})

    def _day(self, word: str) -> str:
        try:
            day = date.fromisoformat(word)
        except ValueError:
            raise ValidationError(f"{word[:20]} is not a day; write it as 2026-12-25.") from None
        if not EARLIEST <= day.year <= LATEST:
            raise ValidationError(f"{word[:20]}: the year must be {EARLIEST} to {LATEST}.")
        return day.isoformat()

    def validate(self, value: Any) -> None:
        if not value and self.required:
            raise ValidationError(self.error_messages["required"], code="required")

    def run_validators(self, value: Any) -> None:
        """The validators of text do not apply to a list."""

    def has_changed(self, initial: Any, data: Any) -> bool:
        try:
            return bool(self.to_python(initial) != self.to_python(data))
        except ValidationError:
            return True


class WallClockField(forms.Field):
    """A date and time as the clocks at the venue show them; `at_venue` makes a moment of it.

    Cleans to a naive datetime, because the time zone may be changed in the same form.
    """

    def __init__(self, **options: Any) -> None:
        options.setdefault(
            "widget", forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M")
        )
        super().__init__(**options)

    def prepare_value(self, value: Any) -> Any:
        return timezone.localtime(value) if isinstance(value, datetime) and value.tzinfo else value

    def to_python(self, value: Any) -> Any:
        if not value or isinstance(value, datetime):
            return value or None
        try:
            return datetime.fromisoformat(str(value).strip()).replace(second=0, microsecond=0, tzinfo=None)
        except ValueError:
            raise ValidationError("Write a date and time, as 2026-06-12 07:00.") from None


def at_venue(wall: datetime, zone: ZoneInfo) -> datetime:
    """The moment (UTC) of a naive wall-clock time; of the two in the hour repeated in autumn, the first.

    Raises ValidationError for a time that the clocks skip in spring, and for a year that is a slip of the keys:
    at the ends of the calendar no other clock can show the moment.
    """
    if not EARLIEST <= wall.year <= LATEST:
        raise ValidationError(f"Write a year between {EARLIEST} and {LATEST}.")
    moment = wall.replace(tzinfo=zone).astimezone(UTC)
    if moment.astimezone(zone).replace(tzinfo=None) != wall:
        raise ValidationError("The clocks go forward then: this time does not exist on that day.")
    return moment
