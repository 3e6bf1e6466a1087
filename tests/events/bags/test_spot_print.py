import pytest

import pdf_pages
from events.bags.public_spot_views import CAUTION
from events.bags.spot_draw import commitment, ranking, revealed, rfc3797, seed_string
from events.bags.spot_print import PoolRow, ProofSheet, Summoned, notice, proof
from events.bags.spot_recipe import keyed_steps, rfc_steps
from events.paper.page import EventHead

HEAD = EventHead("Quarry Open", "Quarry Park", "12–13 June", "EUR")
LETTER = EventHead("Quarry Open", "Quarry Park", "12–13 June", "USD", "ft", "Letter")
HEADS = pytest.mark.parametrize("head", [HEAD, LETTER], ids=["A4", "Letter"])
SECRET = "a secret"
SEED = seed_string([[n] for n in (3, 5, 1, 6, 6, 2, 4, 4, 1, 1, 5, 3, 2, 6, 5, 4)])
LONG = "Wilhelmina-Margarethe von Hohenbergstein-Oyelaran"


def names(size: int) -> dict[str, str]:
    digits = max(2, len(str(size)))
    return {f"P{n:0{digits}}": LONG if n % 9 == 0 else f"Ada Player{n}" for n in range(1, size + 1)}


def keyed(size: int) -> ProofSheet:
    called = names(size)
    ranks = ranking(list(called), revealed(SECRET), SEED)
    return ProofSheet(
        "Spot check 1 of round 2",
        "Quarry Open",
        (("Commitment", commitment(SECRET)), ("Code revealed", revealed(SECRET))),
        keyed_steps(commitment(SECRET), revealed(SECRET), SEED, ranks, 4),
        (),
        tuple(
            PoolRow(str(r.rank), r.label, called[r.label], r.digest, "drawn" if r.rank <= 4 else "")
            for r in ranks
        ),
        CAUTION,
    )


def by_rfc(size: int) -> ProofSheet:
    called = names(size)
    rows = rfc3797(SEED, size, 4)
    return ProofSheet(
        "Spot check 2 of round 2",
        "Quarry Open",
        (("Numbers as text", SEED),),
        rfc_steps(SEED, size, rows),
        tuple(f"{row.i} · {row.digest} · {row.left} · {row.index} · number {row.number}" for row in rows),
        tuple(PoolRow("", label, name, "", "") for label, name in called.items()),
        CAUTION,
    )


def _clean(pdf: bytes) -> list[pdf_pages.Sheet]:
    sheets = pdf_pages.read(pdf)
    assert [pdf_pages.collisions(sheet) for sheet in sheets] == [[]] * len(sheets)
    assert [pdf_pages.strays(sheet) for sheet in sheets] == [[]] * len(sheets)
    return sheets


@HEADS
@pytest.mark.parametrize(("size", "pages"), [(1, 1), (36, 1), (72, 1), (150, 2), (300, 4)])
def test_every_label_stands_once_with_its_hash(head: EventHead, size: int, pages: int) -> None:
    made = keyed(max(size, 4))
    words = [word["text"] for sheet in _clean(proof(head, made)) for word in sheet.words]
    assert [words.count(row.label) for row in made.pool] == [1] * len(made.pool)
    assert [words.count(row.digest[:16]) for row in made.pool] == [1] * len(made.pool)
    assert len(pdf_pages.read(proof(head, made))) <= pages


@HEADS
@pytest.mark.parametrize("size", [4, 72, 150])
def test_a_draw_by_rfc_shows_its_rows_and_its_program_line_by_line(head: EventHead, size: int) -> None:
    made = by_rfc(size)
    sheets = _clean(proof(head, made))
    text = " ".join(sheet.text for sheet in sheets)
    assert [text.count(row) for row in made.working] == [1] * 4
    program = made.steps[2].command.splitlines()
    assert [text.count(" ".join(line.split())) >= 1 for line in program[1:-1]] == [True] * (len(program) - 2)
    assert len(sheets) == (1 if size < 150 else 2)


def test_the_same_draw_gives_the_same_bytes() -> None:
    assert proof(HEAD, keyed(72)) == proof(HEAD, keyed(72))
    assert proof(HEAD, keyed(72)) != proof(HEAD, keyed(73))


def test_what_is_drawn_stands_out_in_words() -> None:
    made = keyed(8)
    (sheet,) = _clean(proof(HEAD, made))
    drawn = [row for row in made.pool if row.place]
    assert sheet.text.count(", drawn") == 4
    assert [f"{row.label} {row.name}, drawn" in sheet.text for row in drawn] == [True] * 4


@HEADS
def test_the_notice_says_who_where_and_when(head: EventHead) -> None:
    players = [
        Summoned("P67", LONG, "MA40", spare=False),
        Summoned("P16", "Ada Lindqvist", "FPO", spare=True),
    ]
    pdf = notice(
        head,
        "Spot check: bring your whole bag to the equipment desk, at once",
        "Quarry Open · round 2, check 1",
        players,
        qr="http://192.168.1.2:8400/spot-check/quarry/2/1/",
        printed="printed Sat 08:50",
    )
    (sheet,) = _clean(pdf)
    assert sheet.text == (
        "Spot check: bring your whole bag to the equipment desk, at once Quarry Open · round 2, check 1 Drawn by lot: "
        "being drawn says nothing about anybody. Every disc of the bag is weighed and looked at. Nothing is penalised "
        "here; the desk says what not to throw. The code opens the page where anybody can check the draw. label name "
        f"division seen at the desk P67 {LONG} MA40 P16 Ada Lindqvist FPO spare, steps in spot check · Quarry Open "
        "printed Sat 08:50 · page 1 of 1"
    )
