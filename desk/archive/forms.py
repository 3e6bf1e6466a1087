"""The upload of an archive."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from desk.archive.reading import LARGEST


class ArchiveForm(forms.Form):
    file = forms.FileField(
        label="Archive of an event (.zip)",
        widget=forms.FileInput(attrs={"accept": ".zip"}),
        error_messages={"required": "Choose the file first.", "empty": "The file is empty."},
    )
    as_slug = forms.SlugField(
        label="Open under another address",
        required=False,
        max_length=60,
        help_text="Empty: the one it had. Small letters, digits and hyphens.",
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )

    def clean_file(self) -> Any:
        file = self.cleaned_data["file"]
        if file.size > LARGEST:
            raise ValidationError(f"The file is larger than {LARGEST // 2**20} MB: it is not opened.")
        return file
