"""The forms of messages: the text as it will stand in the mail, and how messages speak."""

from django import forms

from events.logistics.messages.words import languages

LONGEST_TEXT = 60_000  # 300 players in three languages


class MessageForm(forms.Form):
    subject = forms.CharField(max_length=300, widget=forms.TextInput(attrs={"autocomplete": "off"}))
    text = forms.CharField(max_length=LONGEST_TEXT, strip=False, widget=forms.Textarea(attrs={"rows": 18}))


class WordsForm(forms.Form):
    languages = forms.MultipleChoiceField(
        label="Languages",
        widget=forms.CheckboxSelectMultiple,
        help_text="One after the other in each message",
    )
    sign = forms.CharField(label="Signed by", required=False, max_length=80)

    def __init__(self, *args: object, **options: object) -> None:
        super().__init__(*args, **options)  # type: ignore[arg-type]
        field = self.fields["languages"]
        assert isinstance(field, forms.MultipleChoiceField)
        field.choices = [(tag, words.name) for tag, words in languages().items()]
