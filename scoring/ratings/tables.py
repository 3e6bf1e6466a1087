"""Files of the rating commands: read, or refused in a sentence that names row, column and mend."""

import json
from collections.abc import Collection, Sequence
from dataclasses import asdict
from pathlib import Path

from django.core.management.base import CommandError, OutputWrapper

from events.sheets.problems import Problem
from events.sheets.reading import Table, read_table
from events.sheets.refusal import Refused


def read_or_refuse(path: Path, expected: Collection[str]) -> Table:
    """The file as a table; CommandError with a sentence where it cannot be read."""
    try:
        return read_table(path.name, path.read_bytes(), expected=expected)
    except OSError as error:
        raise CommandError(
            f"{path} cannot be read: {error.strerror}. Check the name of the file.", returncode=2
        ) from None
    except Refused as refused:
        raise CommandError(f"{path.name}: {refused}", returncode=2) from None


def refuse_problems(out: OutputWrapper, problems: Sequence[Problem], *, as_json: bool) -> None:
    """Nothing where there are none; else each on a line (or as JSON), and CommandError with their number."""
    if not problems:
        return
    if as_json:
        out.write(json.dumps({"problems": [asdict(each) for each in problems]}, ensure_ascii=False))
    else:
        for each in problems:
            out.write(sentence(each))
    raise CommandError(f"Nothing was rated: {len(problems)} to mend.", returncode=2)


def sentence(problem: Problem) -> str:
    """ "Row 2, column rating: 'high' is not a rating. Write a whole number, as 925, or clear the cell." """
    where = "The file" if problem.row is None else f"Row {problem.row}"
    where += f", column {problem.column}" if problem.column else ""
    return f"{where}: {problem.problem}. {problem.mend[:1].upper()}{problem.mend[1:]}."
