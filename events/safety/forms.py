"""The form of a notice."""

from typing import Any
from zoneinfo import ZoneInfo

from django import forms
from django.core.exceptions import ValidationError

from events.safety.models import Notice
from events.setup.fields import WallClockField, at_venue


class NoticeForm(forms.ModelForm):  # type: ignore[type-arg]  # not generic at run time
    """`cleaned_data` are the keywords of `post_notice`; times are typed as the clocks at the venue show them."""

    until = WallClockField(required=False, label="Until", help_text="Left empty: until you take it down.")

    class Meta:
        model = Notice
        fields = ["kind", "title", "text", "until"]
        widgets = {
            "title": forms.TextInput(attrs={"autocomplete": "off"}),
            "text": forms.Textarea(attrs={"rows": 3, "maxlength": 300}),
        }
        labels = {"kind": "Kind", "title": "Title", "text": "Text"}
        help_texts = {"title": "A few words, as Hole 7", "text": "What to do, in one or two sentences"}

    def __init__(self, *args: Any, zone: ZoneInfo, **options: Any) -> None:
        super().__init__(*args, **options)
        self.zone = zone
        self.fields["kind"].choices = Notice.Kind.choices  # type: ignore[attr-defined]  # without an empty choice

    def clean_until(self) -> Any:
        wall = self.cleaned_data["until"]
        return at_venue(wall, self.zone) if wall is not None else None

    def clean_title(self) -> str:
        title = str(self.cleaned_data["title"]).strip()
        if not title:
            raise ValidationError("Write a title.")
        return title
