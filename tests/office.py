"""LibreOffice as the reader of a workbook: it is given the formulas without their figures, and reckons all of them."""

import io
import re
import shutil
import subprocess
import zipfile
from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook, load_workbook

from desk.boot import browser as installed

_FIGURE = re.compile(r"(</f>)<v>.*?</v>")


def without_figures(content: bytes) -> bytes:
    """The workbook with no figure beside any formula, so that nothing can be repeated instead of reckoned."""
    target = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as old, zipfile.ZipFile(target, "w") as new:
        for name in old.namelist():
            part = old.read(name)
            if name.startswith("xl/worksheets/"):
                part = _FIGURE.sub(r"\1", part.decode()).encode()
            new.writestr(name, part)
    return target.getvalue()


def recalculated(content: bytes, folder: Path) -> Workbook:
    office = shutil.which("soffice")
    if office is None:
        if installed.is_required():
            pytest.fail("soffice is not installed, and this run requires it")
        pytest.skip("soffice is not installed")
    source, target = folder / "results.xlsx", folder / "out"
    source.write_bytes(without_figures(content))
    profile = f"-env:UserInstallation=file://{folder / 'profile'}"
    words = [office, profile, "--headless", "--convert-to", "xlsx", "--outdir", str(target), str(source)]
    done = subprocess.run(words, capture_output=True, text=True, timeout=180, check=False)
    assert done.returncode == 0, done.stderr
    return load_workbook(target / "results.xlsx", data_only=True)


def formulas(content: bytes) -> list[tuple[str, str]]:
    """Sheet and cell of every formula."""
    book = load_workbook(io.BytesIO(content))
    return [
        (sheet.title, cell.coordinate)
        for sheet in book
        for row in sheet.iter_rows()
        for cell in row
        if cell.data_type == "f"
    ]


def differences(content: bytes, folder: Path) -> list[tuple[str, str, Any, Any]]:
    """Every formula whose figure is not what LibreOffice reckons: sheet, cell, printed, reckoned."""
    printed = load_workbook(io.BytesIO(content), data_only=True)
    reckoned = recalculated(content, folder)
    found = []
    for sheet, cell in formulas(content):
        one, other = printed[sheet][cell].value, reckoned[sheet][cell].value
        if not _same(one, other):
            found.append((sheet, cell, one, other))
    return found


def _same(one: Any, other: Any) -> bool:
    """LibreOffice keeps an empty text where a formula gives one; sums of fractions agree to nine figures."""
    if isinstance(one, int | float) and isinstance(other, int | float):
        return one == pytest.approx(other, rel=1e-9, abs=1e-9)
    return (one or None) == (other or None) and type(one) is not float
