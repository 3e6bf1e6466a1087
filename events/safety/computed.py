"""What every formula of this slice answers with: a value or the reason for none, and all that it rests on."""

from dataclasses import dataclass

COMPUTED = "Computed, not measured."
# They stand on every screen and print of this slice; each has a parallel in what the sources say of themselves.
CAUTIONS = (
    "Computed figures are not measured ones: what is observed may differ.",
    "Keeping to a limit does not guarantee protection.",
    "Local authorities, the land owner and emergency services come first.",
    "The director may always stop earlier.",
)


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
