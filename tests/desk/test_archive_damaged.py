"""An archive that came damaged, or that somebody altered: refused with a sentence, and nothing of it stays."""

import hashlib
import io
import json
import struct
import zipfile
from collections.abc import Callable, Iterator, Mapping
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import transaction
from django.test import Client
from django.urls import reverse

import build
import build_cards
from desk.archive import reading
from desk.archive.opening import Opened, open_archive
from desk.archive.packing import pack_event
from desk.archive.refusal import ArchiveRefused
from desk.archive.shape import tables
from desk.archive.values import WITH_IDS, WITHOUT_IDS, may_hide_ids
from events.log.models import Act, Chain
from events.logistics.ready.models import OwnWork, WorkAct
from events.setup.models import Event

WRONG = (None, 0, 2**70, "", "x", [], [[]], {}, True)


@pytest.fixture
def parts(event: Event) -> dict[str, bytes]:
    """The parts of an archive of an event with two cards."""
    entries = build_cards.make_field(event, 2)
    round_ = event.rounds.get(number=1)
    build_cards.publish(round_, [entries])
    build_cards.save(round_, 1, [build_cards.line(entry, 3) for entry in entries])
    content = pack_event(event=event, actor=build.ACTOR, now=build.NOW)
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def zipped(parts: Mapping[str, bytes], packed: int = zipfile.ZIP_DEFLATED) -> bytes:
    target = io.BytesIO()
    with zipfile.ZipFile(target, "w", packed) as archive:
        for name, part in parts.items():
            archive.writestr(name, part)
    return target.getvalue()


def forged(parts: Mapping[str, bytes], **other: bytes) -> bytes:
    """A zip whose manifest agrees with parts that were altered; `__` stands for a slash, `_dot_` for a dot."""
    mine = dict(parts) | {name.replace("__", "/").replace("_dot_", "."): part for name, part in other.items()}
    manifest = json.loads(mine["manifest.json"])
    for name in mine.keys() - {"manifest.json"}:
        manifest["files"].setdefault(name, {})["sha256"] = hashlib.sha256(mine[name]).hexdigest()
    return zipped(mine | {"manifest.json": json.dumps(manifest).encode()})


def with_manifest(parts: Mapping[str, bytes], change: Callable[[dict[str, Any]], Any]) -> bytes:
    manifest = json.loads(parts["manifest.json"])
    change(manifest)
    return zipped({**parts, "manifest.json": json.dumps(manifest).encode()})


def rows_in(part: bytes) -> list[dict[str, Any]]:
    return [json.loads(line) for line in part.decode().split("\n") if line]


def lines(rows: list[Any]) -> bytes:
    return "".join(json.dumps(row) + "\n" for row in rows).encode()


def opened(content: bytes) -> Opened:
    return open_archive(content=content, as_slug="copy", actor=build.ACTOR, now=build.NOW)


def refused(content: bytes) -> str:
    """What it says; it must say something, in a sentence, and leave nothing behind."""
    before = Event.objects.count(), Act.objects.count(), Chain.objects.count()
    with pytest.raises(ArchiveRefused) as why:
        opened(content)
    assert (Event.objects.count(), Act.objects.count(), Chain.objects.count()) == before
    words = str(why.value)
    assert words[0].isupper()
    assert words[-1] == "."
    return words


def not_raising(content: bytes) -> bool:
    """Opened (and undone again) or refused; anything else fails the test."""
    try:
        with transaction.atomic():
            opened(content)
            transaction.set_rollback(True)
    except ArchiveRefused:
        return False
    return True


def test_a_file_that_is_cut_off_anywhere_is_refused(parts: dict[str, bytes]) -> None:
    content = zipped(parts)
    for at in range(0, len(content), len(content) // 15):
        assert "no archive of an event" in refused(content[:at])


def test_a_part_that_is_missing_is_named(parts: dict[str, bytes]) -> None:
    for name in parts:
        words = refused(zipped({other: part for other, part in parts.items() if other != name}))
        assert ("no archive" if name == "manifest.json" else f"{name} is missing") in words


# What may stand there as well: a former key is held against the log, and True is 1 to Python.
HARMLESS = [("former", []), ("format_version", True)]


@pytest.mark.parametrize("value", WRONG, ids=repr)
def test_a_manifest_with_something_else_in_a_place_is_refused(parts: dict[str, bytes], value: Any) -> None:
    def places(manifest: dict[str, Any]) -> Iterator[tuple[dict[str, Any], str]]:
        for key in ("format", "format_version", "version", "shape", "made_at", "event", "log", "files"):
            yield manifest, key
        yield manifest["event"], "slug"
        yield from ((manifest["log"], key) for key in ("head", "former"))
        yield manifest["files"], "log.jsonl"
        yield manifest["files"]["log.jsonl"], "sha256"

    keys = [key for _, key in places(json.loads(parts["manifest.json"]))]
    for at, key in enumerate(keys):

        def change(manifest: dict[str, Any], at: int = at) -> None:
            where, key = list(places(manifest))[at]
            where[key] = value

        content = with_manifest(parts, change)
        if any(
            key == each and value == harmless for each, harmless in HARMLESS if type(harmless) is type(value)
        ):
            assert not_raising(content)
        else:
            refused(content)


def test_a_manifest_without_a_place_is_refused(parts: dict[str, bytes]) -> None:
    for key in ("format", "format_version", "version", "shape", "made_at", "event", "log", "files"):
        refused(with_manifest(parts, lambda manifest, key=key: manifest.pop(key)))
    for key in ("length", "head", "former"):
        refused(with_manifest(parts, lambda manifest, key=key: manifest["log"].pop(key)))
    refused(with_manifest(parts, lambda manifest: manifest["event"].pop("slug")))
    refused(with_manifest(parts, lambda manifest: manifest["files"]["log.jsonl"].pop("sha256")))


@pytest.mark.parametrize("text", [b"", b"[]", b"null", b"1", b"{", b"\xff", b"[" * 100_000], ids=repr)
def test_what_is_no_manifest_is_refused(parts: dict[str, bytes], text: bytes) -> None:
    assert "no archive of an event" in refused(zipped({**parts, "manifest.json": text}))


@pytest.mark.parametrize("slug", ["", "../x", "a/b", "x" * 61, "Ä b"])
def test_a_slug_that_is_no_address_is_refused(parts: dict[str, bytes], slug: str) -> None:
    refused(with_manifest(parts, lambda manifest: manifest["event"].update(slug=slug)))


@pytest.mark.parametrize(
    "name",
    ["../../etc/x", "/etc/x", "rows/../x.jsonl", "files/../../x", "C:\\x", "files/x", "rows/", "a" * 9999],
)
def test_a_name_that_is_not_ours_is_refused_before_anything_is_unpacked(
    parts: dict[str, bytes], name: str
) -> None:
    manifest = json.loads(parts["manifest.json"])
    manifest["files"][name] = {"sha256": hashlib.sha256(b"x").hexdigest(), "rows": None}
    content = zipped({**parts, name: b"x", "manifest.json": json.dumps(manifest).encode()})
    assert "does not belong to it" in refused(content)


def test_a_part_that_is_in_it_twice_is_refused(parts: dict[str, bytes]) -> None:
    target = io.BytesIO(zipped(parts))
    with zipfile.ZipFile(target, "a") as archive, pytest.warns(UserWarning, match="Duplicate name"):
        archive.writestr("log.jsonl", b"")
    assert "twice" in refused(target.getvalue())


def test_a_file_that_is_too_large_unpacked_is_not_unpacked(
    parts: dict[str, bytes], monkeypatch: pytest.MonkeyPatch
) -> None:
    """40 MB of nothing in 40 KB: what it says of its size is enough."""
    monkeypatch.setattr(reading, "LARGEST", 30 * 2**20)
    monkeypatch.setattr(zipfile.ZipFile, "read", lambda *_: pytest.fail("it was unpacked"))
    content = zipped({**parts, f"files/{'0' * 64}": bytes(40 * 2**20)})
    assert len(content) < 2**20
    assert "Unpacked the file is larger than 30 MB" in refused(content)


def test_a_size_that_is_not_true_unpacks_no_more_than_it_says(parts: dict[str, bytes]) -> None:
    content = bytearray(zipped({**parts, f"files/{'0' * 64}": bytes(40 * 2**20)}))
    at = content.rindex(b"PK\x01\x02")
    content[at + 24 : at + 28] = struct.pack("<I", 10)
    assert "no archive of an event" in refused(bytes(content))


@pytest.mark.parametrize("packed", [zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA])
def test_another_way_of_packing_is_refused(parts: dict[str, bytes], packed: int) -> None:
    assert "packed anew by another program" in refused(zipped(parts, packed))


@pytest.mark.parametrize(
    "line", ["[]", "null", "1", '"x"', "{}", "{", "NaN", "[" * 100_000], ids=lambda x: x[:4]
)
def test_a_line_that_is_no_row_is_refused_in_whatever_file(parts: dict[str, bytes], line: str) -> None:
    for name in ("rows/setup.Event.jsonl", "rows/cards.CardLine.jsonl", "log.jsonl"):
        assert "damaged" in refused(forged({**parts, name: parts[name] + line.encode() + b"\n"}))


def test_a_row_with_a_column_too_few_or_too_many_is_refused(parts: dict[str, bytes]) -> None:
    for table in tables():
        name = f"rows/{table.label}.jsonl"
        rows = rows_in(parts[name])
        if rows:
            fewer = [
                {key: value for key, value in rows[0].items() if key != table.fields[-1].attname},
                *rows[1:],
            ]
            assert f"a row of {table.label}" in refused(forged({**parts, name: lines(fewer)}))
            assert f"a row of {table.label}" in refused(forged({**parts, name: lines([{**rows[0], "x": 1}])}))


def test_a_row_that_is_in_it_twice_is_refused(parts: dict[str, bytes]) -> None:
    rows = rows_in(parts["rows/entries.Entry.jsonl"])
    assert "a row of entries.Entry" in refused(
        forged(parts, rows__entries_dot_Entry_dot_jsonl=lines(rows + rows))
    )


@pytest.mark.parametrize(
    "label",
    ["setup.Event", "setup.Round", "players.Person", "entries.Entry", "cards.CardLine", "cards.StandingLine"],
)
def test_a_wrong_value_in_whatever_column_is_refused_or_can_stand_there(
    parts: dict[str, bytes], label: str
) -> None:
    """Whatever stands in a row, there is a sentence or an event whose scores can be read; never an error."""
    name, counted = f"rows/{label}.jsonl", []
    first, *others = rows_in(parts[name])
    for column in first:
        for value in (None, [], 2**70):
            row = {**first, column: value}
            counted.append(not_raising(forged({**parts, name: lines([row, *others])})))
    assert False in counted


@pytest.mark.parametrize("column", reading.ACT)
def test_a_wrong_value_in_whatever_column_of_the_log_is_refused(parts: dict[str, bytes], column: str) -> None:
    first, *others = rows_in(parts["log.jsonl"])
    for value in (2**70, [], 1.5, "x" * 5 if column in ("number", "at", "actor_id", "detail") else None):
        if column == "actor_id" and value is None:
            continue
        refused(forged(parts, log_dot_jsonl=lines([{**first, column: value}, *others])))


@pytest.mark.parametrize("left", [0, 1])
def test_a_log_that_was_cut_short_is_refused(parts: dict[str, bytes], left: int) -> None:
    rows = rows_in(parts["log.jsonl"])
    assert refused(forged(parts, log_dot_jsonl=lines(rows[:left]))) == (
        f"The log in the file is not whole: it ends at row {left}, and its head says {len(rows)}. So it is not the file"
        " that was made there: copy it again from where it was made."
    )


def test_a_log_that_was_cut_short_with_its_head_is_refused(parts: dict[str, bytes]) -> None:
    """The last act of every archive says that it was made."""
    first, *_ = rows_in(parts["log.jsonl"])
    manifest = json.loads(parts["manifest.json"])
    manifest["log"] |= {"length": 1, "head": first["hash"]}
    cut = {**parts, "manifest.json": json.dumps(manifest).encode()}
    assert "its last row, 1, does not say that the file was made" in refused(
        forged(cut, log_dot_jsonl=lines([first]))
    )
    manifest["log"]["head"] = "0" * 64
    cut["manifest.json"] = json.dumps(manifest).encode()
    assert "its last row, 1, is not the one that its head names" in refused(
        forged(cut, log_dot_jsonl=lines([first]))
    )


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"throws": [1, *[3] * 17]}, "make 52 on 18 holes, and the line says 54 on 18 holes"),
        ({"throws": [None, *[3] * 17]}, "make 51 on 17 holes, unfinished, and the line says 54 on 18 holes"),
        ({"additional": 2}, "make 56 on 18 holes, and the line says 54 on 18 holes"),
        ({"on_top": [[0, 1, "late"]]}, "make 55 on 18 holes, and the line says 54 on 18 holes"),
        ({"total": 53}, "make 54 on 18 holes, and the line says 53 on 18 holes"),
        ({"complete": False}, "make 54 on 18 holes, and the line says 54 on 18 holes, unfinished"),
    ],
)
def test_scores_that_do_not_add_up_are_refused_by_round_and_player(
    parts: dict[str, bytes], change: dict[str, Any], words: str
) -> None:
    first, *others = rows_in(parts["rows/cards.StandingLine.jsonl"])
    altered = lines([{**first, **change}, *others])
    said = refused(forged(parts, rows__cards_dot_StandingLine_dot_jsonl=altered))
    assert said == (
        f"The file was changed: in round 1 the holes of Ludvik Moravec {words}. Copy it again from where it was made."
    )


def test_rows_that_lead_nowhere_are_refused(parts: dict[str, bytes]) -> None:
    rows = rows_in(parts["rows/entries.Entry.jsonl"])
    rows[0]["person_id"] = 999_999
    words = refused(forged(parts, rows__entries_dot_Entry_dot_jsonl=lines(rows)))
    assert words == "The file is damaged: a row of entries.Entry lacks its person."


def test_another_event_than_the_manifest_says_is_refused(parts: dict[str, bytes]) -> None:
    (row,) = rows_in(parts["rows/setup.Event.jsonl"])
    for rows in ([], [{**row, "slug": "another"}], [row, {**row, "id": 77}]):
        words = refused(forged(parts, rows__setup_dot_Event_dot_jsonl=lines(rows)))
        assert "the one event that its manifest names" in words


def test_the_page_says_it(event: Event) -> None:
    client = Client()
    client.force_login(build.make_user(None, None))
    text = json.dumps({"format": "starthorn-archive"}).encode()
    answer = client.post(
        reverse("open_archive"), {"file": SimpleUploadedFile("a.zip", zipped({"manifest.json": text}))}
    )
    assert answer.status_code == 422
    assert "The file was made by version None" in answer.content.decode()


def test_every_field_that_may_hide_ids_is_decided() -> None:
    """A new list, object or key of a row: does it hold ids of rows? Say so in `desk/archive/values.py`."""
    every = {
        f"{table.label}.{field.name}" for table in tables() for field in table.fields if may_hide_ids(field)
    }
    assert every - WITH_IDS.keys() - WITHOUT_IDS == set()
    assert every >= WITH_IDS.keys() | WITHOUT_IDS
    assert WITH_IDS.keys() & WITHOUT_IDS == set()


def test_own_work_on_a_hole_is_still_the_same_work(event: Event) -> None:
    OwnWork.objects.create(event=build.make_event("another"), words="of another event")
    own = OwnWork.objects.create(event=event, words="Mow the green")
    hole = event.layouts.get().layout_holes.first().hole
    for task in (f"own-{own.pk}", "tee"):
        WorkAct.objects.create(
            key=f"00000000-0000-0000-0000-{len(task):012}", hole=hole, task=task, words="x", done=True,
            at=build.NOW, by="x",
        )  # fmt: skip
    copy = opened(pack_event(event=event, actor=build.ACTOR, now=build.NOW)).event
    there = OwnWork.objects.get(event=copy)
    assert there.pk != own.pk
    tasks = WorkAct.objects.filter(hole__event=copy).order_by("pk").values_list("task", flat=True)
    assert list(tasks) == [f"own-{there.pk}", "tee"]
