"""The commands that a reader is given are run in a shell, as the reader would."""

import shutil
import subprocess

import pytest

from desk.boot import browser
from events.bags.spot_draw import commitment, ranking, revealed, rfc3797, seed_string
from events.bags.spot_recipe import Step, keyed_steps, rfc_steps

SECRET = "director secret, round 2"
DICE = ((3,), (5,), (1,), (6,), (6,), (2,))
SETS = ((3, 17, 22, 40, 41), (1, 2, 2, 4, 6, 6))


@pytest.fixture(autouse=True)
def tools() -> None:
    """What the commands call; a laptop without them leaves these tests out, CI never does."""
    missing = [name for name in ("bash", "openssl", "xxd") if shutil.which(name) is None]
    if missing and not browser.is_required():
        pytest.skip(f"not installed: {', '.join(missing)}")


def shown(step: Step) -> str:
    """What the command prints, without the name that openssl and md5sum put beside a hash."""
    done = subprocess.run(["bash", "-c", step.command], capture_output=True, text=True, check=True)
    lines = [line.removesuffix("  -").split("= ")[-1].strip() for line in done.stdout.splitlines()]
    return "\n".join(lines)


@pytest.mark.parametrize("sources", [DICE, SETS], ids=["dice", "sets"])
@pytest.mark.parametrize("size", [5, 72, 120])
def test_every_command_of_a_keyed_draw_gives_what_is_said(
    size: int, sources: tuple[tuple[int, ...], ...]
) -> None:
    digits = max(2, len(str(size)))
    labels = [f"P{number:0{digits}}" for number in range(1, size + 1)]
    code, seed = revealed(SECRET), seed_string(sources)
    steps = keyed_steps(commitment(SECRET), code, seed, ranking(labels, code, seed), 4)
    assert [shown(step) for step in steps] == [step.result for step in steps]
    assert [line.split()[1] for line in steps[-1].result.splitlines()] == [
        each.label for each in ranking(labels, code, seed)[:4]
    ]


@pytest.mark.parametrize("sources", [DICE, SETS], ids=["dice", "sets"])
@pytest.mark.parametrize("size", [4, 72])
def test_every_command_of_a_draw_by_rfc_3797_gives_what_is_said(
    size: int, sources: tuple[tuple[int, ...], ...]
) -> None:
    seed = seed_string(sources)
    rows = rfc3797(seed, size, 4)
    steps = rfc_steps(seed, size, rows)
    assert [shown(step) for step in steps] == [step.result for step in steps]
    assert [int(line.split()[-1]) for line in steps[-1].result.splitlines()] == [row.number for row in rows]


def test_the_steps_for_the_vector_of_72_name_its_first_label() -> None:
    """Our own vector: P67, P16, P65 …; the commitment begins fb5766c8 and ends bfcb1b."""
    labels = [f"P{number:02}" for number in range(1, 73)]
    code, seed = revealed(SECRET), seed_string(SETS)
    steps = keyed_steps(commitment(SECRET), code, seed, ranking(labels, code, seed), 8)
    assert (steps[0].result[:8], steps[0].result[-6:]) == ("fb5766c8", "bfcb1b")
    assert [line[-3:] for line in steps[3].result.splitlines()] == [
        "P67", "P16", "P65", "P70", "P59", "P30", "P41", "P36",
    ]  # fmt: skip
