"""How anybody checks a draw by hand: each step in words, with a command that shows it. Standard library only.

The commands need a shell with sha256sum, md5sum, openssl and xxd; the seed holds digits, dots and slashes only, so that
nothing in it means anything to a shell.
"""

import hmac
from collections.abc import Sequence
from dataclasses import dataclass

from events.bags.spot_draw import Ranked, Taken


@dataclass(frozen=True, slots=True)
class Step:
    """One thing to check: what it is, the command, and what the command prints when all is well."""

    words: str
    command: str
    result: str


def keyed_steps(
    commitment: str, revealed: str, seed: str, ranks: Sequence[Ranked], count: int
) -> tuple[Step, ...]:
    """The steps for a draw by keyed hash; `ranks` is every label, lowest hash first, `count` how many were drawn."""
    key = hmac.digest(bytes.fromhex(revealed), seed.encode(), "sha256").hex()
    first = min(ranks, key=lambda each: each.label)
    digits = len(first.label) - 1
    return (
        Step(
            "The code revealed with the draw, hashed once, is the commitment that was published with the pool:"
            " so the code was fixed before the numbers were known.",
            f"printf '%s' {revealed} | xxd -r -p | sha256sum",
            commitment,
        ),
        Step(
            "The numbers as one text, each source in ascending order and closed by a slash, hashed with the code as"
            " key, give the key of this draw.",
            f"printf '%s' '{seed}' | openssl dgst -sha256 -mac HMAC -macopt hexkey:{revealed}",
            key,
        ),
        Step(
            f"Each label, followed by one byte of value 1, is hashed with the key of the draw. {first.label}:",
            f"printf '{first.label}\\001' | openssl dgst -sha256 -mac HMAC -macopt hexkey:{key}",
            first.digest,
        ),
        Step(
            f"All {len(ranks)} labels, the lowest hash first: the first {count} are drawn, in this order.",
            f"for p in $(seq -f 'P%0{digits}g' 1 {len(ranks)}); do printf \"$p\\001\" | openssl dgst -sha256 -mac HMAC"
            f' -macopt hexkey:{key} -r | sed "s/ .*/ $p/"; done | sort | head -n {count}',
            "\n".join(f"{each.digest} {each.label}" for each in ranks[:count]),
        ),
    )


def rfc_steps(seed: str, pool_size: int, rows: Sequence[Taken]) -> tuple[Step, ...]:
    """The steps for a draw by RFC 3797: the first row by hand, then all of them."""
    first = rows[0]
    return (
        Step(
            "The numbers as one text: each source in ascending order, a dot after each number, a slash after each"
            " source (RFC 3797, section 4). Between two bytes of value 0 it is hashed with MD5.",
            f"printf '\\000\\000{seed}\\000\\000' | md5sum",
            first.digest.lower(),
        ),
        Step(
            f"That hash as a number, divided by the {first.left} who are left, leaves {first.index}: counted from 0,"
            f" that is number {first.number} of the pool, who is taken out.",
            f'python3 -c "print(0x{first.digest.lower()} % {first.left})"',
            str(first.index),
        ),
        Step(
            "The same with bytes of value 1, 2 and so on, and with one fewer left each time. All rows at once:",
            f"""python3 -c "
import hashlib
seed, left = '{seed}', list(range(1, {pool_size + 1}))
for i in range({len(rows)}):
    ends = i.to_bytes(2, 'big')
    md5 = hashlib.md5(ends + seed.encode() + ends).hexdigest()
    k = int(md5, 16) % len(left)
    print(i, md5, len(left), k, left.pop(k))
\"""",
            "\n".join(f"{r.i} {r.digest.lower()} {r.left} {r.index} {r.number}" for r in rows),
        ),
    )
