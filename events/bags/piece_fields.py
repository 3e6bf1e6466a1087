"""What may be said of a piece, field by field, as a phone or a desk sends it. Pure."""

from collections.abc import Callable, Mapping
from decimal import Decimal, InvalidOperation
from typing import Any

from events.sheets.cells import clean

WEARS = ("new", "first", "half", "worn", "unknown")
ROLES = ("putting", "throwing", "approach", "midrange", "fairway", "distance", "utility", "unknown")
LIGHTEST, HEAVIEST = Decimal(50), Decimal(250)  # what a stamp can say at all


class BadField(ValueError):
    """A value that cannot be; the message is a sentence."""


def read_fields(sent: Mapping[str, Any]) -> dict[str, Any]:
    """The fields that were sent, cleaned. Fields that are not named stay out; raises BadField."""
    unknown = set(sent) - set(_READERS)
    if unknown:
        raise BadField(f"A piece has no field {sorted(unknown)[0][:40]!r}.")
    return {name: _READERS[name](value) for name, value in sent.items()}


def mass(value: Any) -> Decimal | None:
    """Grams, to a tenth: "175", "174,5 g", "" is not known. Raises BadField."""
    words = clean(str(value if value is not None else "")).casefold().removesuffix("g").strip()
    if not words:
        return None
    try:
        found = Decimal(words.replace(",", "."))
    except InvalidOperation:
        raise BadField(f"“{words[:20]}” is no mass: write it in grams, as 175 or 174.5.") from None
    if not found.is_finite() or not LIGHTEST <= found <= HEAVIEST:
        raise BadField(f"A stamped mass lies between {LIGHTEST} and {HEAVIEST} g, not {words[:20]}.")
    return found.quantize(Decimal("0.1"))


def _text(label: str, longest: int) -> Callable[[Any], str]:
    def read(value: Any) -> str:
        words = clean(str(value if value is not None else ""))
        if len(words) > longest:
            raise BadField(f"{label} is {len(words)} letters long: at most {longest}.")
        return words

    return read


def _model(value: Any) -> str:
    words = _text("The model", 100)(value)
    if not words:
        raise BadField("Write the model of the disc.")
    return words


def _one_of(label: str, known: tuple[str, ...]) -> Callable[[Any], str]:
    def read(value: Any) -> str:
        words = str(value or "unknown")
        if words not in known:
            raise BadField(f"{label} is one of {', '.join(known)}.")
        return words

    return read


def _flag(value: Any) -> bool:
    return value in (True, "true", "on", "yes", "1", 1)


def _answer(value: Any) -> bool | None:
    """Yes, no, or not said."""
    return None if value in (None, "", "unknown") else _flag(value)


_READERS: Mapping[str, Callable[[Any], Any]] = {
    "maker": _text("The maker", 100),
    "model": _model,
    "plastic": _text("The plastic", 40),
    "colour": _text("The colour", 40),
    "stamped_mass_g": mass,
    "mark": _text("The mark", 60),
    "marked": _answer,
    "signed": _flag,
    "wear": _one_of("Wear", WEARS),
    "role": _one_of("A role", ROLES),
    "note": _text("The note", 200),
}
