"""Why a file is refused as a whole, and how much of a file is taken."""

from dataclasses import dataclass


class Refused(Exception):
    """The file cannot be read at all; the message is one clear sentence for the person who chose it."""


@dataclass(frozen=True)
class Limits:
    """What one uploaded file may cost. Sizes in bytes; own choice, far above any real entry list.

    A sheet of 50,000 entrants and 26 columns unpacks to about 45 MB at a ratio of about 8 to 1.
    """

    upload: int = 10 * 1024 * 1024
    unpacked: int = 80 * 1024 * 1024
    ratio: int = 150
    ratio_from: int = 1024 * 1024
    parts: int = 1_000
    rows: int = 50_000
    cells: int = 3_000_000
    merges: int = 1_000
    columns: int = 200
    characters: int = 32_767


DEFAULT_LIMITS = Limits()


def damaged(detail: str) -> Refused:
    """A container that starts like a workbook and then does not hold what it promises."""
    return Refused(
        f"The workbook is damaged ({detail}): open it in a spreadsheet program and save it again as .xlsx."
    )
