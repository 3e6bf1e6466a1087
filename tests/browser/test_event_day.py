"""A whole event in a real browser: list, check-in, draw, paper, cards, board, next rounds, results workbook.

Every figure on the board is held against a recount from the score lists of fixtures/, which are what is typed.
"""

import csv
import io
import re
import shutil
import subprocess
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import openpyxl
import pdfplumber
import pytest
from django.conf import settings
from django.contrib.auth.models import User
from django.core.management import call_command
from django.test import Client
from playwright.sync_api import BrowserContext, Locator, Page, expect

from desk.boot import browser

FIXTURES = Path(__file__).parents[2] / "fixtures"
DESK = "/desk/harbour-hollow"

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@dataclass(frozen=True)
class Score:
    """One row of a score list: what a player wrote."""

    name: str
    throws: dict[str, int]

    @property
    def total(self) -> int:
        return sum(self.throws.values())


def score_list(number: int) -> dict[str, Score]:
    """Name → score of a round, read with the standard library alone."""
    text = (FIXTURES / f"scores-round{number}.csv").read_text(encoding="utf-8-sig")
    rows = csv.DictReader(io.StringIO(text))
    labels = [label for label in rows.fieldnames or () if label.isdigit()]
    return {row["Name"]: Score(row["Name"], {label: int(row[label]) for label in labels}) for row in rows}


def entrants() -> dict[str, str]:
    """Name → division of everybody who paid, read from the workbook with openpyxl."""
    sheet = openpyxl.load_workbook(FIXTURES / "entrants.xlsx")["Entrants"]
    rows = list(sheet.iter_rows(values_only=True))
    head = next(index for index, row in enumerate(rows) if "Last name" in row)
    column = {name: index for index, name in enumerate(rows[head]) if name}
    return {
        f"{row[column['First name']]} {row[column['Last name']]}": row[column["Division"]]
        for row in rows[head + 1 :]
        if row[column["Last name"]] and row[column["Paid"]]
    }


def pars() -> dict[str, int]:
    """Layout → par, from the layouts' workbook."""
    sheet = openpyxl.load_workbook(FIXTURES / "layouts.xlsx").active
    total: defaultdict[str, int] = defaultdict(int)
    for layout, _, par, *_ in list(sheet.iter_rows(values_only=True))[1:]:
        total[layout] += par
    return dict(total)


Table = dict[str, list[tuple[str, str, str]]]  # division → rows of (place, name, to par), sorted
UPPER = {"MPO", "FPO", "MA1", "MA40"}


def recount(rounds: int) -> Table:
    """Division → rows of (place, name, to par) after so many rounds, counted without the program."""
    par, lists = pars(), [score_list(number) for number in range(1, rounds + 1)]
    divisions: defaultdict[str, list[tuple[int, str]]] = defaultdict(list)
    for name, division in entrants().items():
        played = par["Upper" if division in UPPER else "Lower"] * rounds
        divisions[division].append((sum(scores[name].total for scores in lists) - played, name))
    table: Table = {}
    for division, players in divisions.items():
        figures = sorted(figure for figure, _ in players)
        table[division] = sorted(
            (str(figures.index(figure) + 1), name, to_par(figure)) for figure, name in players
        )
    return table


def to_par(figure: int) -> str:
    return "E" if figure == 0 else f"+{figure}" if figure > 0 else f"\u2212{-figure}"


@pytest.fixture
def director(live_server: Any, context: BrowserContext, quiet: list[str]) -> Page:
    call_command("new_event", str(FIXTURES / "event.toml"))
    client = Client()
    client.force_login(User.objects.create_superuser("director", password="a long password"))
    session = client.cookies[settings.SESSION_COOKIE_NAME].value
    context.add_cookies([{"name": settings.SESSION_COOKIE_NAME, "value": session, "url": live_server.url}])
    page = context.new_page()
    page.set_default_timeout(15_000)
    return page


def test_the_whole_day(director: Page, live_server: Any, tmp_path: Path) -> None:
    page, url = director, live_server.url
    bring_in_the_list(page, url)
    check_everybody_in(page, url)
    draw_and_publish(page, url, 1, "random within the division")
    cards_are_printed(page, url, 1)
    type_every_card(page, url, 1)
    assert phone_board(page, url) == recount(1)
    assert kiosk_board(page, url) == recount(1)
    for number in (2, 3):
        draw_and_publish(page, url, number, "by total within the division")
        call_command(
            "import_scores", str(FIXTURES / f"scores-round{number}.csv"), event="harbour-hollow", round=number
        )
    assert phone_board(page, url) == recount(3)
    results_add_up(page, url, tmp_path)


def bring_in_the_list(page: Page, url: str) -> None:
    page.goto(f"{url}{DESK}/entries/import/")
    page.set_input_files("input[type=file]", str(FIXTURES / "entrants.xlsx"))
    page.get_by_role("button", name="Read the list").click()
    expect(page.locator("select[name^=col-]").first).to_be_visible()
    expect(page.get_by_label("Column C Last name is read as")).to_have_value("family")
    page.get_by_role("button", name=re.compile("Bring in 94 entries")).click()
    expect(page.locator("#said")).to_contain_text("94")


def check_everybody_in(page: Page, url: str) -> None:
    """Three by key at the desk, the others by command."""
    page.goto(f"{url}{DESK}/entries/")
    for name in list(entrants())[:3]:
        page.keyboard.press("Control+a")
        page.keyboard.type(name)
        expect(page.locator("[data-row][aria-selected=true]")).to_contain_text(name)
        page.keyboard.press("Enter")
        expect(page.locator("#happened")).to_contain_text(name)
    expect(page.locator(".count b")).to_have_text("3")
    call_command("check_in", event="harbour-hollow", all=True)
    page.reload()
    expect(page.locator(".count b")).to_have_text(str(len(entrants())))


def draw_and_publish(page: Page, url: str, number: int, method: str) -> None:
    page.goto(f"{url}{DESK}/draw/?round={number}")
    page.get_by_label(method).check()
    page.get_by_label("Seed").fill("dice 4 2 6")
    page.get_by_role("button", name=f"Draw round {number}").click()
    expect(page.locator("#said")).to_contain_text(f"{len(entrants())} players")
    page.get_by_role("link", name="Publish …").click()
    page.get_by_role("button", name="Publish version 1").click()
    expect(page.locator("#said")).to_contain_text("version 1 of the tee sheet is published")


def cards_are_printed(page: Page, url: str, number: int) -> None:
    answer = page.request.get(f"{url}{DESK}/draw/{number}/paper/cards/")
    assert answer.headers["content-type"] == "application/pdf"
    with pdfplumber.open(io.BytesIO(answer.body())) as document:
        text = " ".join((sheet.extract_text() or "").replace("\n", " ") for sheet in document.pages)
    missing = [name for name in entrants() if name.isascii() and name.split()[0] not in text]
    assert missing == []


def type_every_card(page: Page, url: str, number: int) -> None:
    """Every group's card, by keyboard, in the order in which the grid asks."""
    scores = score_list(number)
    page.goto(f"{url}{DESK}/cards/?round={number}")
    groups = page.locator(".queue li").count()
    assert groups >= 20
    for group in range(1, groups + 1):
        page.goto(f"{url}{DESK}/cards/?round={number}&group={group}")
        expect(page.get_by_role("heading", level=1)).to_contain_text(f"Group {group} ·")
        page.wait_for_load_state()
        labels = page.locator("table.grid thead tr").first.locator("th[scope=col]").all_inner_texts()[:18]
        for row in page.locator("table.grid tbody tr[data-name]").all():
            score = scores[row.get_attribute("data-name") or ""]
            row.locator("input").first.focus()
            for label in labels:
                throws = score.throws[label]
                page.keyboard.type(str(throws) if throws < 10 else f".{throws}")
                answer_questions(page)
            page.keyboard.type(str(score.total))
        page.keyboard.press("Control+Enter")
        answer_questions(page)
        expect(page.locator("#said")).to_contain_text(f"Group {group} is saved.")


def answer_questions(page: Page) -> None:
    while page.locator("#ask b").count():
        page.keyboard.press("Enter")
        page.wait_for_timeout(20)


def phone_board(page: Page, url: str) -> Table:
    """The rows as a phone shows them."""
    page.goto(f"{url}/board/harbour-hollow/phone/")
    return {
        division.locator("h2").get_attribute("id") or "": sorted(rows_of(division.locator(".places > li")))
        for division in page.locator("section[data-division]").all()
    }


def kiosk_board(page: Page, url: str) -> Table:
    """The rows of all pages of the big screen, as it shows them without scripts: none is turned while it is read."""
    table: defaultdict[str, list[tuple[str, str, str]]] = defaultdict(list)
    browser_ = page.context.browser
    assert browser_ is not None
    with browser_.new_context(java_script_enabled=False) as plain:
        screen, number, last = plain.new_page(), 1, 1
        while number <= last:
            screen.goto(f"{url}/board/harbour-hollow/?page={number}")
            last = int((screen.locator("#board-page").inner_text()).split(" of ")[1].split()[0])
            for body in screen.locator("table.standings tbody").all():
                heading = body.locator("tr.of-division b")
                code = (heading if heading.count() else screen.locator("h1 span").first).inner_text()
                table[code] += rows_of(body.locator("tr:not(.of-division)"), before=table[code])
            number += 1
    return {code: sorted(rows) for code, rows in table.items()}


def rows_of(lines: Locator, before: Sequence[tuple[str, str, str]] = ()) -> list[tuple[str, str, str]]:
    """(place, name, to par) of each line; "=" takes the place of the line above, on the page before if need be."""
    place = before[-1][0] if before else ""
    rows = []
    for line in lines.all():
        shown = line.locator(".place").inner_text().split()[0]
        place = place if shown == "=" else shown
        name = line.locator(".player b, th.player bdi").first.inner_text()
        rows.append((place, name, line.locator(".to-par").inner_text()))
    return rows


def results_add_up(page: Page, url: str, folder: Path) -> None:
    """One sheet a division; LibreOffice recalculates each total to what the score lists say."""
    page.goto(f"{url}{DESK}/close/")
    with page.expect_download() as download:
        page.get_by_role("button", name="Results workbook").click()
    path = folder / "results.xlsx"
    download.value.save_as(path)
    book = openpyxl.load_workbook(recalculated(path, folder), data_only=True)
    lists = [score_list(number) for number in (1, 2, 3)]
    for division, rows in recount(3).items():
        cells = list(book[division].iter_rows(values_only=True))
        head = next(row for row in cells if "player" in row)
        player, place, total = (head.index(word) for word in ("player", "place", "total"))
        found = sorted(
            (str(row[place]), row[player], row[total]) for row in cells if row[player] in entrants()
        )
        assert found == sorted(
            (where, name, sum(one[name].total for one in lists)) for where, name, _ in rows
        )
    assert "Draw" in book.sheetnames
    assert any(name.startswith("Log") for name in book.sheetnames)


def recalculated(path: Path, folder: Path) -> Path:
    """The workbook as LibreOffice writes it after working out every formula."""
    office = shutil.which("soffice") or shutil.which("libreoffice")
    if office is None and not browser.is_required():
        pytest.skip("no LibreOffice is installed")
    out = folder / "recalculated"
    home = f"-env:UserInstallation=file://{folder / 'office'}"
    subprocess.run(
        [str(office), home, "--headless", "--convert-to", "xlsx", "--outdir", str(out), str(path)],
        check=True,
        capture_output=True,
        timeout=120,
    )
    return out / path.name
