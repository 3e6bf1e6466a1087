"""The form of a notice."""

from typing import Any
from zoneinfo import ZoneInfo

from django import forms
from django.core.exceptions import ValidationError

from events.safety.models import Notice
from events.safety.services import LONGEST_TEXT, LONGEST_TITLE, OtherWords
from events.setup.fields import WallClockField
from events.setup.zones import NoSuchMoment, one_moment

OTHER_LANGUAGES = (1, 2)  # so many other languages have fields


class NoticeForm(forms.ModelForm):  # type: ignore[type-arg]  # not generic at run time
    """`facts()` are the keywords of `post_notice`; times are typed as the clocks at the venue show them."""

    valid_from = WallClockField(required=False, label="From", help_text="Left empty: from now on.")
    until = WallClockField(required=False, label="Until", help_text="Left empty: until you take it down.")

    class Meta:
        model = Notice
        fields = ["kind", "title", "text", "valid_from", "until"]
        widgets = {
            "title": forms.TextInput(attrs={"autocomplete": "off"}),
            "text": forms.Textarea(attrs={"rows": 3, "maxlength": LONGEST_TEXT}),
        }
        labels = {"kind": "Kind", "title": "Title", "text": "Text"}
        help_texts = {"title": "A few words, as Hole 7", "text": "What to do, in one or two sentences"}

    def __init__(self, *args: Any, zone: ZoneInfo, **options: Any) -> None:
        super().__init__(*args, **options)
        self.zone = zone
        self.fields["kind"].choices = Notice.Kind.choices  # type: ignore[attr-defined]  # without an empty choice
        for number in OTHER_LANGUAGES:
            self.fields[f"language_{number}"] = forms.CharField(
                label="Language", required=False, max_length=12, help_text="As es or pt-BR"
            )
            self.fields[f"title_{number}"] = forms.CharField(
                label="Title", required=False, max_length=LONGEST_TITLE
            )
            self.fields[f"text_{number}"] = forms.CharField(
                label="Text",
                required=False,
                max_length=LONGEST_TEXT,
                widget=forms.Textarea(attrs={"rows": 2, "maxlength": LONGEST_TEXT}),
            )

    def main_fields(self) -> list[forms.BoundField]:
        return [self[name] for name in self._meta.fields or ()]

    def other_fields(self) -> list[forms.BoundField]:
        """The fields of the other languages, which few notices need."""
        return [self[f"{part}_{n}"] for n in OTHER_LANGUAGES for part in ("language", "title", "text")]

    @property
    def others_open(self) -> bool:
        """Whether something stands there already."""
        return any(field.value() for field in self.other_fields())

    def clean_valid_from(self) -> Any:
        return self._moment("valid_from")

    def clean_until(self) -> Any:
        return self._moment("until")

    def _moment(self, name: str) -> Any:
        wall = self.cleaned_data[name]
        if wall is None:
            return None
        try:
            return one_moment(wall, self.zone)
        except NoSuchMoment as problem:
            raise ValidationError(str(problem)) from None

    def clean_title(self) -> str:
        title = str(self.cleaned_data["title"]).strip()
        if not title:
            raise ValidationError("Write a title.")
        return title

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        tags = [str(cleaned.get(f"language_{n}") or "").strip() for n in OTHER_LANGUAGES]
        for number, tag in zip(OTHER_LANGUAGES, tags, strict=True):
            if not tag and (cleaned.get(f"title_{number}") or cleaned.get(f"text_{number}")):
                self.add_error(f"language_{number}", "Name the language of this text.")
        if tags[0] and tags[0] == tags[1]:
            self.add_error("language_2", "This language stands twice.")
        return cleaned

    def facts(self) -> dict[str, Any]:
        cleaned = self.cleaned_data
        words = {
            tag: OtherWords(title=cleaned[f"title_{n}"], text=cleaned[f"text_{n}"])
            for n in OTHER_LANGUAGES
            if (tag := cleaned[f"language_{n}"].strip())
        }
        return {name: cleaned[name] for name in self._meta.fields or ()} | {"in_other_words": words}


def begun_from(notice: Notice) -> dict[str, Any]:
    """What the form of a next version begins with: the notice as it stands."""
    found: dict[str, Any] = {"kind": notice.kind, "title": notice.title, "text": notice.text}
    for number, (tag, said) in zip(OTHER_LANGUAGES, sorted(notice.in_other_words.items()), strict=False):
        found |= {f"language_{number}": tag, f"title_{number}": said["title"], f"text_{number}": said["text"]}
    if notice.until is not None:
        found["until"] = notice.event.local(notice.until).replace(tzinfo=None)
    if notice.valid_from is not None:
        found["valid_from"] = notice.event.local(notice.valid_from).replace(tzinfo=None)
    return found
