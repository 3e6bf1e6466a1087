"""Nothing that anybody reads says that something is safe: a limit that is not met is only a limit that is not met."""

import ast
import re
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).parents[2]
SAID = re.compile(r"\b(un)?safe(r|st|ly)?\b|(?<!no )\ball[- ]clear\b", re.IGNORECASE)
# What stands between the marks of a template is no text: names of templates, filters, comments.
MARKS = re.compile(r"\{%.*?%\}|\{\{.*?\}\}|\{#.*?#\}", re.DOTALL)
CODE = ("desk", "events", "players", "scoring")


def texts(path: Path) -> Iterator[str]:
    """Every piece of text of a file that can reach a reader."""
    source = path.read_text(encoding="utf-8")
    if path.suffix == ".py":
        yield from python_texts(ast.parse(source))
    elif path.suffix == ".toml":
        yield from toml_texts(tomllib.loads(source))
    else:
        yield MARKS.sub(" ", source) if path.suffix == ".html" else source


def python_texts(tree: ast.Module) -> Iterator[str]:
    """The strings of a module, also those inside f-strings; docstrings are for engineers."""
    docs = {
        id(node.value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
    }
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in docs:
            yield node.value


def toml_texts(value: Any) -> Iterator[str]:
    if isinstance(value, dict):
        for each in value.values():
            yield from toml_texts(each)
    elif isinstance(value, list):
        for each in value:
            yield from toml_texts(each)
    elif isinstance(value, str):
        yield value


def files() -> list[Path]:
    found = [*(ROOT / "templates").rglob("*.html"), *(ROOT / "desk" / "static" / "js").glob("*.js")]
    for part in CODE:
        found += [path for path in (ROOT / part).rglob("*") if path.suffix in {".py", ".toml"}]
    return [path for path in found if "migrations" not in path.parts]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("It is safe to play.", True),
        ("The course is unsafe.", True),
        ("Safer here", True),
        ("all clear", True),
        ("nothing is written down, which is no all-clear", False),
        ("safety officials", False),
        ("wait until the road is clear", False),
    ],
)
def test_the_words_that_are_looked_for(text: str, said: bool) -> None:
    assert bool(SAID.search(text)) == said


def test_no_page_paper_command_or_rule_says_that_anything_is_safe() -> None:
    walked = files()
    found = [
        f"{path.relative_to(ROOT)}: {text}" for path in walked for text in texts(path) if SAID.search(text)
    ]

    assert found == []
    for name in (
        "templates/safety/weather.html",
        "events/rulebook/weather.toml",
        "events/safety/stop_words.py",
    ):
        assert ROOT / name in walked
