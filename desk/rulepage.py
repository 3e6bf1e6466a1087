"""The values of the rulebook as lines to be read, and the form that sets one otherwise."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from django import forms

from events.rulebook.loader import Rulebook
from events.rulebook.values import BadOverride, Plain, RuleValue, kind_of, parse_as
from events.setup.figures import money_text

PLAIN_KINDS = frozenset({"int", "decimal", "text", "flag"})
LISTED_KINDS = frozenset(
    {"int", "text", "flag"}
)  # JSON keeps these as they are, also inside a list or a table

UNSAID = frozenset({"cents", "choice", "division", "list", "requirement", "table", "text", "yes or no"})
TITLES = {"check_in": "Check-in", "card": "Score cards", "cards": "Score cards on paper", "play": "In play"}


@dataclass(frozen=True, slots=True)
class RuleLine:
    key: str
    chapter: str
    words: str
    value: str
    unit: str
    published: str
    source: str
    edition: str
    trust: str
    trust_words: str
    remarks: tuple[str, ...]
    overridden: bool


@dataclass(frozen=True, slots=True)
class Chapter:
    title: str
    lines: tuple[RuleLine, ...]


def chapters(book: Rulebook, currency: str, search: str = "") -> list[Chapter]:
    """Every value in force that holds all words of `search`, under the first part of its key."""
    wanted = search.casefold().split()
    found: dict[str, list[RuleLine]] = {}
    for rule in book.all():
        shown = rule_line(rule, currency)
        if all(word in _text_of(shown) for word in wanted):
            found.setdefault(shown.chapter, []).append(shown)
    return [Chapter(title, tuple(lines)) for title, lines in found.items()]


def _text_of(line: RuleLine) -> str:
    parts = (
        line.key,
        line.words,
        line.value,
        line.unit,
        line.source,
        line.edition,
        line.trust,
        *line.remarks,
    )
    return " ".join(parts).casefold()


def rule_line(rule: RuleValue, currency: str) -> RuleLine:
    words = rule.key.partition(".")[2] or rule.key
    since = f"since {rule.effective.isoformat()}"
    title = rule.key.partition(".")[0]
    return RuleLine(
        key=rule.key,
        chapter=TITLES.get(title, title.capitalize()),
        words=words.replace(".", ": ", 1).replace("_", " "),
        value=value_words(rule.value, rule.unit, currency),
        unit=_unit(rule),
        published=value_words(rule.published, rule.unit, currency) if rule.overridden else "",
        source=rule.source,
        edition=since if rule.edition == rule.document else f"{rule.edition}, {since}",
        trust=rule.trust,
        trust_words=rule.trust_words,
        remarks=rule.remarks,
        overridden=rule.overridden,
    )


def _unit(rule: RuleValue) -> str:
    """The unit as it follows the figure: 1 blast, 2 blasts; nothing where the value says it itself."""
    named = isinstance(rule.value, tuple) and any(isinstance(item, str) for item in rule.value)
    if rule.unit in UNSAID or rule.value is None or named:
        return ""
    if rule.value == 1:
        return "throw over par" if rule.unit == "throws over par" else rule.unit.removesuffix("s")
    return rule.unit


def value_words(value: Plain, unit: str = "", currency: str = "") -> str:
    """A value as it is read: yes or no, money, a list with commas, a table as name and value."""
    if value is None:
        return "not known"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int) and unit == "cents":
        return money_text(value, currency)
    if isinstance(value, Mapping):
        return ", ".join(f"{n.replace('_', ' ')} {value_words(v, unit, currency)}" for n, v in value.items())
    if isinstance(value, tuple):
        between = "; " if any(isinstance(item, Mapping) for item in value) else ", "
        return between.join(value_words(item, unit, currency) for item in value)
    return str(value)


def published(rule: RuleValue) -> Plain:
    """The value that the rulebook itself holds, whatever the event follows."""
    return rule.published if rule.overridden else rule.value


def can_be_set(rule: RuleValue) -> bool:
    """Whether the form can set it: single values, lists and flat tables of them; not a list of tables."""
    if rule.kind in PLAIN_KINDS:
        return True
    value = published(rule)
    items = value.values() if isinstance(value, Mapping) else value if isinstance(value, tuple) else ()
    kinds = {kind_of(item) for item in items}
    return bool(kinds) and kinds <= LISTED_KINDS


class RuleForm(forms.Form):
    """Another value for one rule, with the reason. A table has one field for each of its names."""

    reason = forms.CharField(max_length=300, widget=forms.TextInput(attrs={"autocomplete": "off"}))

    def __init__(self, *args: Any, rule: RuleValue, **options: Any) -> None:
        super().__init__(*args, **options)
        self.rule = rule
        if isinstance(rule.value, Mapping):
            for name, item in rule.value.items():
                self.fields[f"value_{name}"] = _input(name.replace("_", " "), item, kind_of(item))
        elif rule.choices:
            self.fields["value"] = forms.ChoiceField(
                label="Value", choices=[(word, word) for word in rule.choices], initial=rule.value
            )
        else:
            self.fields["value"] = _input("Value", rule.value, rule.kind, rule.unit)
        self.order_fields([name for name in self.fields if name != "reason"])

    def clean(self) -> dict[str, Any]:
        facts = super().clean() or self.cleaned_data
        if not self.errors:
            try:
                facts["given"] = self._given(facts)
            except BadOverride as problem:
                self.add_error(None, str(problem))
        return facts

    def _given(self, facts: Mapping[str, Any]) -> Plain:
        rule = self.rule
        if isinstance(rule.value, Mapping):
            return {n: _parsed(rule, kind_of(v), facts[f"value_{n}"]) for n, v in rule.value.items()}
        held = published(rule)
        if isinstance(held, tuple):
            lines = [line for line in facts["value"].splitlines() if line.strip()]
            if not lines:
                raise BadOverride(f"{rule.key}: write at least one line")
            return tuple(_parsed(rule, kind_of(held[0]), line) for line in lines)
        return _parsed(rule, rule.kind, facts["value"])


class RestoreForm(forms.Form):
    """The reason for following the published value again."""

    why = forms.CharField(
        label="Reason", max_length=300, widget=forms.TextInput(attrs={"autocomplete": "off"})
    )


def _parsed(rule: RuleValue, kind: str, text: str) -> Plain:
    """What was typed, as one value of a kind; read by the rulebook itself. Raises BadOverride."""
    return parse_as(replace(rule, kind=kind), text)


def _input(label: str, value: Plain, kind: str, unit: str = "") -> forms.Field:
    if kind == "flag":
        initial = "" if value is None else value_words(value)
        return forms.ChoiceField(label=label, choices=[("yes", "yes"), ("no", "no")], initial=initial)
    if isinstance(value, tuple):
        lines = "\n".join(value_words(item) for item in value)
        return forms.CharField(
            label=label,
            widget=forms.Textarea(attrs={"rows": 4}),
            initial=lines,
            help_text="One on each line.",
        )
    initial = "" if value is None else value_words(value)
    help_text = f"In {unit}." if unit and kind != "text" else ""
    return forms.CharField(label=label, max_length=300, initial=initial, help_text=help_text)
