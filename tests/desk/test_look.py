"""What holds for every page, whoever wrote it: contrast, no inline code, nothing fetched from elsewhere."""

import re
from pathlib import Path

import pytest
from django.template import Engine
from django.template.loader import get_template
from django.test import RequestFactory
from django_tables2 import Column, RequestConfig, Table

ROOT = Path(__file__).resolve().parents[2]
STATIC = ROOT / "desk" / "static"
TEMPLATES = sorted((ROOT / "templates").rglob("*.html"))
STYLES = sorted((STATIC / "css").glob("*.css"))
SCRIPTS = sorted((STATIC / "js").glob("*.js"))

INLINE = re.compile(
    r"\sstyle=|<style|<script(?![^>]*\ssrc=)|\son[a-z]+=[\"']|hx-on|javascript:", re.IGNORECASE
)
ELSEWHERE = re.compile(r"(?:src|href|action|url)\s*[=(]\s*[\"']?(?:https?:)?//", re.IGNORECASE)


def colours() -> dict[str, str]:
    text = (STATIC / "css" / "tokens.css").read_text()
    return dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6});", text))


def luminance(colour: str) -> float:
    """Relative luminance, WCAG 2.2, glossary."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def offenders(files: list[Path], pattern: re.Pattern[str]) -> list[str]:
    return [
        f"{path.relative_to(ROOT)}:{number}"
        for path in files
        for number, line in enumerate(path.read_text().splitlines(), 1)
        if pattern.search(line)
    ]


def test_contrast_measures_black_on_white_as_21() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21)


@pytest.mark.parametrize("ground", ["paper", "sheet", "field", "needs-paper"])
@pytest.mark.parametrize("text", ["ink", "soft", "needs-text", "danger"])
def test_text_reaches_the_contrast_of_aa(text: str, ground: str) -> None:
    """WCAG 2.2, 1.4.3: 4.5 to 1 for text of any size."""
    named = colours()
    assert contrast(named[text], named[ground]) >= 4.5


@pytest.mark.parametrize(
    ("mark", "ground"),
    [
        ("edge", "paper"),
        ("edge", "sheet"),
        ("edge", "field"),
        ("needs", "paper"),
        ("needs", "needs-paper"),
        ("under", "paper"),
        ("over", "paper"),
        ("under", "track"),
    ],
)
def test_marks_and_outlines_reach_the_contrast_of_aa(mark: str, ground: str) -> None:
    """WCAG 2.2, 1.4.11: 3 to 1 for what has to be seen to use the page."""
    named = colours()
    assert contrast(named[mark], named[ground]) >= 3


def test_the_patterns_find_what_they_look_for() -> None:
    for bad in ('<p style="color:red">', "<style>", "<script>", '<a onclick="x()">', '<b hx-on:click="x">'):
        assert INLINE.search(bad)
    for bad in ('src="https://x.invalid/a.js"', "url(//x.invalid/a)", 'href="http://x.invalid"'):
        assert ELSEWHERE.search(bad)
    assert not INLINE.search('<script type="module" src="/static/js/keys.js"></script>')


def test_no_template_carries_inline_code_or_style() -> None:
    assert offenders(TEMPLATES, INLINE) == []


def test_nothing_is_fetched_from_elsewhere() -> None:
    assert offenders([*TEMPLATES, *STYLES, *SCRIPTS], ELSEWHERE) == []


def test_every_file_that_a_style_names_is_shipped() -> None:
    named = [
        (path.parent / name).resolve()
        for path in STYLES
        for name in re.findall(r'url\("([^"]+)"\)', path.read_text())
    ]
    assert len(named) == 6
    assert [path for path in named if not path.is_file()] == []


def test_each_typeface_ships_with_its_licence() -> None:
    families = {re.split(r"-latin", path.name)[0] for path in (STATIC / "fonts").glob("*.woff2")}
    assert {f"OFL-{family}.txt" for family in families} == {
        path.name for path in (STATIC / "fonts").glob("*.txt")
    }


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: str(path.relative_to(ROOT / "templates")))
def test_every_template_can_be_read(path: Path) -> None:
    name = str(path.relative_to(ROOT / "templates"))
    assert get_template(name).origin.name == str(path)
    assert Engine.get_default().get_template(name).source == path.read_text()


class Places(Table):
    place = Column(attrs={"td": {"class": "num"}, "th": {"class": "num"}})
    player = Column()

    class Meta:
        attrs = {"class": "dense"}


def table_page(query: str, rows: int) -> str:
    request = RequestFactory().get(f"/{query}")
    table = Places([{"place": n, "player": f"Player {n}"} for n in range(1, rows + 1)], order_by="place")
    RequestConfig(request, paginate={"per_page": 2}).configure(table)
    return table.as_html(request)


def test_a_table_tells_its_order_and_page_in_words() -> None:
    html = table_page("?sort=-place&page=2", 5)
    assert html.count('aria-sort="descending"') == 1
    assert html.count("aria-sort") == 1
    assert html.count('<th scope="row"') == 2
    assert "page 2 of 3" in html
    assert 'class="list dense"' in html


def test_an_empty_table_says_so() -> None:
    assert "Nothing here." in table_page("", 0)
    assert "pager" not in table_page("", 1)
