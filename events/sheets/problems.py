"""One thing that is wrong or unclear in a file, said so that the director can mend it."""

from dataclasses import dataclass
from typing import Literal

Severity = Literal["error", "warning", "question"]


@dataclass(frozen=True)
class Problem:
    """Where (row and column as in the user's file; `row` None: the whole file), what, and the mend.

    error: the row cannot be taken as it stands; warning: taken, something was left out;
    question: taken only after somebody has decided.
    `kind` names the question where a page offers its answers ("twin", "date_order"), or what leaving the row
    out would not mend ("given_up"); else "".
    """

    row: int | None
    column: str
    value: str
    problem: str
    mend: str
    severity: Severity = "error"
    kind: str = ""
