"""What every formula of this slice answers with: a value or the reason for none, and all that it rests on."""

from dataclasses import dataclass

COMPUTED = "Computed, not measured."


@dataclass(frozen=True, slots=True)
class Computed:
    """One computed figure. `value` is None where the formula is not defined, and `reason` says why.

    `inputs` are (name, figure with unit) as they went in; `remarks` are what a reader must know besides.
    `at_least`: where a figure is beyond the upper end of its scale, that end, so that its class is not lost.
    """

    quantity: str
    value: float | None
    unit: str
    formula: str
    inputs: tuple[tuple[str, str], ...]
    source: str
    reason: str = ""
    remarks: tuple[str, ...] = ()
    measured: bool = False
    at_least: float | None = None

    @property
    def inputs_words(self) -> str:
        return ", ".join(f"{name} {figure}" for name, figure in self.inputs)


def not_defined(why: str) -> str:
    return f"not defined here: {why}"
