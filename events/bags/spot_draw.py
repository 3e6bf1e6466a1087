"""Draws that anybody can check: RFC 3797, and a ranking by keyed hash. Standard library only.

RFC 3797 (June 2004): the pool's numbers, the seed from public numbers, MD5, one number taken after the other. One
withdrawal changes all that follows.

Ranking by keyed hash (individual draft "A Verifiable Random Selection Process", June 2023; no standard): a secret is
committed to beforehand, public numbers come after, and each label gets a rank of its own, so that a withdrawal changes
nobody else's.
"""

import hashlib
import hmac
from collections.abc import Sequence
from dataclasses import dataclass
from math import comb

STEPS = 2  # the secret is hashed so often for the commitment; one step less is what is revealed


class BadDraw(ValueError):
    """The draw cannot be made; the message is a sentence."""


@dataclass(frozen=True, slots=True)
class Taken:
    """One row of the RFC's working: the hash of round `i`, what it leaves modulo `left`, and the number taken."""

    i: int
    digest: str
    left: int
    index: int
    number: int


@dataclass(frozen=True, slots=True)
class Ranked:
    """A label with its hash; `rank` counts from 1."""

    rank: int
    label: str
    digest: str


def seed_string(sources: Sequence[Sequence[int]]) -> str:
    """The public numbers as RFC 3797, 4.2 writes them: each source in ascending order, `9.18.26./`.

    Raises BadDraw without numbers and for a negative one.
    """
    if not sources or not all(sources):
        raise BadDraw("Every announced source needs at least one number.")
    if any(number < 0 for source in sources for number in source):
        raise BadDraw("Numbers of a source are 0 or more.")
    return "".join("".join(f"{number}." for number in sorted(source)) + "/" for source in sources)


def rfc3797(seed: str, pool_size: int, count: int) -> tuple[Taken, ...]:
    """The first `count` numbers of a pool 1 to `pool_size`, with the working of each. Raises BadDraw."""
    if not 0 < count <= pool_size:
        raise BadDraw(f"{count} cannot be drawn from a pool of {pool_size}.")
    left = list(range(1, pool_size + 1))
    rows = []
    for i in range(count):
        ends = i.to_bytes(2, "big")
        digest = hashlib.md5(ends + seed.encode() + ends, usedforsecurity=False).hexdigest().upper()
        index = int(digest, 16) % len(left)
        rows.append(Taken(i, digest, len(left), index, left.pop(index)))
    return tuple(rows)


def bits_needed(pool_size: int, count: int) -> int:
    """The randomness that the public numbers must hold, in bits: ⌈log2 C(pool, count)⌉ (RFC 3797, 3.3)."""
    return (comb(pool_size, count) - 1).bit_length()


def bits_of_throws(sides: int, throws: int) -> int:
    """What so many throws of a die hold, in whole bits, each written as a source of its own.

    Within one source the order is lost to sorting, and with it most of what the throws hold.
    """
    return int(sides**throws).bit_length() - 1


def hashed(secret: str, times: int) -> bytes:
    """SHA-256 of the secret, `times` over (once at least)."""
    digest = secret.encode()
    for _ in range(times):
        digest = hashlib.sha256(digest).digest()
    return digest


def commitment(secret: str, steps: int = STEPS) -> str:
    """What is published before the numbers are known."""
    return hashed(secret, steps).hex()


def revealed(secret: str, steps: int = STEPS) -> str:
    """What is published with the draw; hashed once more, it is the commitment."""
    return hashed(secret, steps - 1).hex()


def ranking(labels: Sequence[str], revealed_hex: str, randomness: str) -> tuple[Ranked, ...]:
    """Every label by its keyed hash, lowest first.

    key = HMAC-SHA256(revealed, randomness); hash of a label = HMAC-SHA256(key, label ‖ 0x01). Raises BadDraw where a
    label stands twice.
    """
    if len(set(labels)) != len(labels):
        raise BadDraw("A label stands in the pool twice.")
    key = hmac.digest(bytes.fromhex(revealed_hex), randomness.encode(), "sha256")
    hashes = sorted((hmac.digest(key, label.encode() + b"\x01", "sha256").hex(), label) for label in labels)
    return tuple(Ranked(rank, label, digest) for rank, (digest, label) in enumerate(hashes, start=1))


def commitment_holds(commitment_hex: str, revealed_hex: str) -> bool:
    """Whether what was revealed is what had been committed to."""
    return hmac.compare_digest(
        hashlib.sha256(bytes.fromhex(revealed_hex)).hexdigest(), commitment_hex.lower()
    )
