"""What the import screen sends: the list itself, and the columns and answers chosen for it."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from django import forms

from events.entries.import_answers import NEW, Answers
from events.entries.import_reading import READ_FIELDS
from events.sheets.reading import DEFAULT_LIMITS

LONGEST_APPROVAL = 300
_KEYS = frozenset(field.key for field in READ_FIELDS)
_YES_NO = {"yes": True, "no": False}


class ListFileForm(forms.Form):
    """The upload. Size is looked at before anything is read."""

    file = forms.FileField(
        label="Choose the list (.xlsx or .csv) or drop it here",
        widget=forms.FileInput(attrs={"accept": ".xlsx,.xlsm,.csv,.tsv,.txt"}),
        error_messages={"required": "Choose a file first.", "empty": "The file is empty."},
    )

    def clean_file(self) -> Any:
        file = self.cleaned_data["file"]
        if file.size > DEFAULT_LIMITS.upload:
            raise forms.ValidationError(
                f"The file is {file.size / 1_048_576:.1f} MB; at most {DEFAULT_LIMITS.upload / 1_048_576:.0f} MB"
                " are read. Delete pictures and unused sheets, or save it as .csv."
            )
        return file


@dataclass(frozen=True, slots=True)
class Choices:
    """Sheet, columns (field → index; None: guess) and answers, as they are kept with the file."""

    sheet: str
    mapping: dict[str, int | None] | None
    answers: Answers


def choices_from(
    post: Mapping[str, str], held: Choices, mapping: Mapping[str, int | None], bad_rows: tuple[int, ...]
) -> Choices:
    """The choices after one request. What the request does not name stays as it was.

    `mapping`: the columns as they were shown. `bad_rows`: what "leave out all with errors" means.
    """
    if post.get("sheet", held.sheet) != held.sheet:
        return Choices(post["sheet"][:100], None, replace(Answers(), all_paid=held.answers.all_paid))
    return Choices(held.sheet, _columns(post, mapping), _answers(post, held.answers, bad_rows))


def _columns(post: Mapping[str, str], shown: Mapping[str, int | None]) -> dict[str, int | None]:
    """Field → column. A field that was given to a second column moves there."""
    chosen: dict[str, int | None] = dict.fromkeys(_KEYS)
    asked = _numbered(post, "col", str)
    if not asked:
        return chosen | {key: index for key, index in shown.items() if key in _KEYS}
    for index, key in sorted(asked.items()):
        if key in _KEYS and (chosen[key] is None or shown.get(key) != index):
            chosen[key] = index
    return chosen


def _answers(post: Mapping[str, str], held: Answers, bad_rows: tuple[int, ...]) -> Answers:
    order = held.date_order
    if post.get("date_order") in ("dmy", "mdy"):
        order = "dmy" if post["date_order"] == "dmy" else "mdy"
    persons = dict(held.persons) | _numbered(post, "person", _person)
    approvals = dict(held.approvals) | _numbered(post, "approval", str)
    leave_out = held.leave_out | _rows(post, "leave") | (set(bad_rows) if "leave_all" in post else set())
    back = _rows(post, "undo")
    return Answers(
        date_order=order,
        all_paid=_YES_NO.get(post.get("all_paid", ""), held.all_paid),
        others_amateur=_YES_NO.get(post.get("others_amateur", ""), held.others_amateur),
        leave_out=frozenset(leave_out - back),
        persons={row: who for row, who in persons.items() if row not in back and who != 0},
        apart=frozenset((held.apart | _rows(post, "apart")) - back),
        approvals={
            row: text.strip()[:LONGEST_APPROVAL]
            for row, text in approvals.items()
            if text.strip() and row not in back
        },
    )


def _numbered(post: Mapping[str, str], prefix: str, convert: Callable[[str], Any]) -> dict[int, Any]:
    """`person-12` → {12: …}; what is no number is nobody's."""
    return {
        int(number): convert(value)
        for name, value in post.items()
        for start, _, number in [name.partition("-")]
        if start == prefix and number.isascii() and number.isdigit() and len(number) < 8
    }


def _person(value: str) -> int | None:
    """An id, None for somebody new, 0 for not answered."""
    if value == NEW:
        return None
    return int(value) if value.isascii() and value.isdigit() and len(value) < 16 else 0


def _rows(post: Mapping[str, str], name: str) -> set[int]:
    value = post.get(name, "")
    return {int(value)} if value.isascii() and value.isdigit() and len(value) < 8 else set()
