"""QR codes as dark rows of a matrix, for whoever draws them."""

from functools import lru_cache

import segno


@lru_cache(maxsize=1024)
def dark_spans(content: str) -> tuple[int, tuple[tuple[int, int, int], ...]]:
    """(modules a side, dark spans as (row, first column, length)), without the quiet zone.

    Error correction M: a folded or rain-spotted card still reads.
    """
    matrix = segno.make(content, error="m", micro=False, boost_error=False).matrix
    spans: list[tuple[int, int, int]] = []
    for row, modules in enumerate(matrix):
        column = 0
        while column < len(modules):
            start = column
            while column < len(modules) and modules[column]:
                column += 1
            if column > start:
                spans.append((row, start, column - start))
            column += 1
    return len(matrix), tuple(spans)
