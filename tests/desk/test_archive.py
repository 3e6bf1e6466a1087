"""The whole event in one file: made, refused, opened elsewhere, and the same there."""

import hashlib
import io
import json
import zipfile
from collections.abc import Iterator
from typing import Any
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import CommandError, call_command
from django.db import connection
from django.db.models import ForeignKey, Model
from django.test import Client
from django.urls import reverse

import build
import build_bags
import build_cards
from desk.archive.opening import open_archive
from desk.archive.packing import pack_event
from desk.archive.reading import Content, read_archive
from desk.archive.refusal import ArchiveRefused
from desk.archive.shape import LEFT_OUT, tables
from desk.archive.values import WITH_IDS
from events.bags.models import BagAct, Call, InBag, ListFile, SpotCheck
from events.draw.models import Sheet
from events.entries.models import Entry
from events.log import guard
from events.log.models import Act, Chain
from events.log.services import verify
from events.setup.models import Event, Role
from players.models import Contact, Disc, Person
from scoring.cards.models import Card, Device, HoleEntry, Ruling
from scoring.playoffs.models import Playoff, PlayoffVersion
from scoring.ratings.models import MethodDecision
from scoring.standings.models import Cut
from scoring.standings.queries import Row, standings


def pack(event: Event) -> bytes:
    return pack_event(event=event, actor=build.ACTOR, now=build.NOW)


def opened(content: bytes, as_slug: str = "") -> Any:
    return open_archive(content=content, as_slug=as_slug, actor=build.ACTOR, now=build.NOW)


def changed(content: bytes, **parts: bytes | None) -> bytes:
    """The same zip with other parts; None leaves one out. `__` stands for a slash, `_dot_` for a dot."""
    target = io.BytesIO()
    other = {name.replace("__", "/").replace("_dot_", "."): part for name, part in parts.items()}
    with zipfile.ZipFile(io.BytesIO(content)) as old, zipfile.ZipFile(target, "w") as new:
        for name in {*old.namelist(), *other}:
            part = other.get(name, old.read(name) if name in old.namelist() else b"")
            if part is not None:
                new.writestr(name, part)
    return target.getvalue()


def manifest_of(content: bytes) -> dict[str, Any]:
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        loaded: dict[str, Any] = json.loads(archive.read("manifest.json"))
    return loaded


@pytest.fixture
def played(event: Event) -> Event:
    """Two rounds with scores, a contact, and the beginnings of a log."""
    field = build_cards.make_field(event, 4)
    Contact.objects.create(person=field[0].person, phone="555 0101")
    for round_ in event.rounds.order_by("number"):
        build_cards.publish(round_, [field[:2], field[2:]])
        for number, some in ((1, field[:2]), (2, field[2:])):
            lines = [build_cards.line(entry, 3 + at) for at, entry in enumerate(some)]
            build_cards.save(round_, number, lines)
    return event


def forget(event: Event) -> None:
    """Take an event out of this installation with everybody who is only in it, as if it had never been here."""
    rows = list(reversed(tables()))
    guard.lift(connection)
    with connection.constraint_checks_disabled():
        for table in rows:
            table.model._default_manager.all()._raw_delete(using="default")
        Act.objects.all()._raw_delete(using="default")
        Chain.objects.all()._raw_delete(using="default")
    guard.install(connection)


def told(event: Event) -> list[Any]:
    """What the standings say, without the ids."""
    return [
        (
            division.code,
            division.name,
            [
                (row.standing.place, row.standing.name, row.standing.total, row.town, rounds_of(row))
                for row in division.rows
            ],
        )
        for division in standings(event)
    ]


def rounds_of(row: Row) -> list[Any]:
    return [
        (each.number, each.throws, each.additional, each.result, each.layout and each.layout.name)
        for each in row.rounds
    ]


def plain_rows(content: bytes) -> dict[str, list[dict[str, Any]]]:
    """Rows of an archive with each id replaced by the place of its row in its table: equal for equal events."""
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        raw = {
            table.label: [
                json.loads(line) for line in archive.read(f"rows/{table.label}.jsonl").decode().splitlines()
            ]
            for table in tables()
        }
    return {table.label: list(_without_ids(table.label, table.model, raw)) for table in tables()}


def _without_ids(
    label: str, model: type[Model], raw: dict[str, list[dict[str, Any]]]
) -> Iterator[dict[str, Any]]:
    for at, row in enumerate(raw[label]):
        kept = dict(row)
        for field in model._meta.concrete_fields:
            if field.primary_key:
                kept[field.attname] = at
            elif isinstance(field, ForeignKey) and row[field.attname] is not None:
                other = field.related_model
                assert isinstance(other, type)
                ids = [each[other._meta.pk.attname] for each in raw[other._meta.label]]
                kept[field.attname] = ids.index(row[field.attname])
            elif f"{label}.{field.name}" in WITH_IDS:
                del kept[field.attname]
        yield kept


def test_every_table_of_the_house_goes_along_or_is_left_out_by_name() -> None:
    labels = {table.label for table in tables()}
    assert {"setup.Event", "players.Contact", "cards.CardVersion", "draw.Pool_divisions"} <= labels
    assert not labels & LEFT_OUT.keys()
    for table in tables():
        for field in table.fields:
            if isinstance(field, ForeignKey) and field not in table.references:
                assert field.null, f"{table.label}.{field.name} leads out of the archive and may not be empty"
    assert {name.rpartition(".")[0] for name in WITH_IDS} <= labels


def test_an_event_opened_elsewhere_is_the_same(played: Event) -> None:
    before, content = told(played), pack(played)
    forget(played)
    stranger = build.make_event("another", name="Another Open")  # ids are taken, and others
    build_cards.make_field(stranger, 3)
    result = opened(content)
    assert (result.event.slug, result.known, result.faults) == ("quiet-pines", 0, ())
    assert told(result.event) == before
    assert Contact.objects.get().phone == "555 0101"
    assert plain_rows(pack(result.event)) == plain_rows(content)


def test_the_log_goes_on_after_it(played: Event) -> None:
    content = pack(played)
    acts = Act.objects.count()
    forget(played)
    opened(content)
    rows, faults = verify("quiet-pines")
    assert (rows, faults) == (acts + 1, [])
    last = Act.objects.filter(chain_id="quiet-pines").latest("number")
    assert (last.action, last.detail["from"]) == ("event.opened", "quiet-pines")


def test_it_opens_beside_itself_under_another_name(played: Event) -> None:
    """Twice, and from the copy again: rows of the log keep the keys that they were written under."""
    before, content, people = told(played), pack(played), Person.objects.count()
    copy = opened(content, "copy")
    assert (copy.known, Person.objects.count()) == (people, people)
    assert told(copy.event) == before
    assert verify("copy")[1] == []
    again = opened(pack(copy.event), "copy-of-copy")
    assert told(again.event) == before
    assert verify("copy-of-copy")[1] == []
    assert Entry.objects.count() == 3 * 4


def test_an_altered_row_of_the_log_still_shows_after_opening(played: Event) -> None:
    content = pack(played)
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        rows = [json.loads(line) for line in archive.read("log.jsonl").decode().splitlines()]
    rows[0]["reason"] = "something else"
    log = "".join(json.dumps(row) + "\n" for row in rows).encode()
    manifest = manifest_of(content)
    manifest["files"]["log.jsonl"]["sha256"] = hashlib.sha256(log).hexdigest()
    result = opened(
        changed(content, log_dot_jsonl=log, manifest_dot_json=json.dumps(manifest).encode()), "copy"
    )
    assert [fault.text for fault in result.faults] == ["row 1 was altered"]
    assert result.fault_words == (
        "The log in the file is not whole: row 1 was altered. It was so when the file was made, or the file was"
        " changed since."
    )


def test_people_who_are_known_here_are_not_doubled_nor_changed(played: Event) -> None:
    content = pack(played)
    Person.objects.filter(family_name="Moravec").update(town="Elsewhere")
    result = opened(content, "copy")
    assert result.known == 4
    assert Person.objects.get(family_name="Moravec").town == "Elsewhere"


def test_a_member_number_of_somebody_else_is_refused(played: Event) -> None:
    content = pack(played)
    Person.objects.filter(family_name="Moravec").update(family_name="Tindall", sort_name="tindall ludvik")
    with pytest.raises(ArchiveRefused, match="is Ludvik Tindall here and Ludvik Moravec in the file"):
        opened(content, "copy")
    assert Event.objects.count() == 1


def test_what_is_no_archive_is_refused(played: Event) -> None:
    for content in (b"", b"PK", b"name,score\n", changed(pack(played), manifest_dot_json=None)):
        with pytest.raises(ArchiveRefused, match="no archive of an event"):
            opened(content, "copy")


def test_a_file_with_a_flaw_anywhere_is_refused_or_whole(played: Event) -> None:
    """A bad stick or a broken download. A byte that unpacking does not need, as the hour of a part, does no harm."""
    content = pack(played)
    whole = read_archive(content)

    def read(at: int) -> Content | None:
        flawed = bytearray(content)
        flawed[at] ^= 0xFF
        try:
            return read_archive(bytes(flawed))
        except ArchiveRefused:
            return None

    found = [read(at) for at in range(0, len(content), len(content) // 60)]
    assert None in found
    assert [each for each in found if each not in (None, whole)] == []


def test_line_separators_inside_a_text_part_no_line(played: Event) -> None:
    Event.objects.update(venue="Quiet Pines\u2028north\x85gate\u2029\x0cwood")

    assert opened(pack(played), "copy").event.venue == "Quiet Pines\u2028north\x85gate\u2029\x0cwood"


def test_a_slug_that_is_taken_is_refused(played: Event) -> None:
    with pytest.raises(ArchiveRefused, match="There is an event quiet-pines here already"):
        opened(pack(played))


@pytest.mark.parametrize(
    ("key", "value", "words"),
    [
        ("version", "9.9.9", r"made by version 9\.9\.9, and this is"),
        ("format_version", 99, "open it with that one"),
        ("shape", "0" * 64, "another build"),
    ],
)
def test_another_version_is_refused(played: Event, key: str, value: Any, words: str) -> None:
    content = pack(played)
    manifest = {**manifest_of(content), key: value}
    with pytest.raises(ArchiveRefused, match=words):
        opened(changed(content, manifest_dot_json=json.dumps(manifest).encode()), "copy")


@pytest.mark.parametrize(
    ("part", "words"),
    [(b"", "is not what the manifest says"), (None, "is missing")],
)
def test_a_changed_file_is_refused(played: Event, part: bytes | None, words: str) -> None:
    content = pack(played)
    with pytest.raises(ArchiveRefused, match=words):
        opened(changed(content, rows__entries_dot_Entry_dot_jsonl=part), "copy")
    with pytest.raises(ArchiveRefused, match="does not belong to it"):
        opened(changed(content, more_dot_txt=b"x"), "copy")
    assert Event.objects.count() == 1


def test_it_holds_no_account_and_says_that_it_holds_personal_data(played: Event) -> None:
    user = build.make_user(played, None, "somebody-with-a-password")
    content = pack(played)
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        text = b"".join(archive.read(name) for name in archive.namelist())
    assert user.username.encode() not in text
    assert b"pbkdf2" not in text
    assert "personal data" in manifest_of(content)["personal_data"]


def test_the_command_opens_a_file(played: Event, tmp_path: Any, capsys: Any) -> None:
    file = tmp_path / "event.zip"
    file.write_bytes(pack(played))
    call_command("open_archive", file, as_slug="copy")
    assert "copy: Quiet Pines Open" in capsys.readouterr().out
    with pytest.raises(CommandError, match="here already"):
        call_command("open_archive", file)
    with pytest.raises(CommandError, match="cannot be read"):
        call_command("open_archive", tmp_path / "none.zip")
    with pytest.raises(CommandError, match="small letters"):
        call_command("open_archive", file, as_slug="Not A Slug")


def test_the_director_takes_it_and_others_do_not(played: Event, client_as: Any) -> None:
    address = reverse("archive", args=[played.slug])
    client = client_as(Role.DIRECTOR)
    assert client.get(address).status_code == 405
    answer = client.post(address)
    assert answer["Content-Disposition"] == 'attachment; filename="quiet-pines-archive.zip"'
    assert manifest_of(answer.content)["event"]["slug"] == "quiet-pines"
    assert client_as(Role.DESK).post(address).status_code == 403


def test_the_page_opens_it_and_keeps_what_was_typed_when_it_refuses(played: Event) -> None:
    client = Client()
    client.force_login(build.make_user(None, None))
    content, address = pack(played), reverse("open_archive")
    refused = client.post(address, {"file": SimpleUploadedFile("a.zip", content), "as_slug": "quiet-pines"})
    assert refused.status_code == 422
    page = refused.content.decode()
    assert "here already: open the file under another name" in page
    assert 'value="quiet-pines"' in page
    done = client.post(address, {"file": SimpleUploadedFile("a.zip", content), "as_slug": "copy"})
    assert done["Location"] == "/desk/copy/"


def test_only_the_director_of_the_installation_opens_one(played: Event, client_as: Any) -> None:
    assert client_as(Role.DIRECTOR).get(reverse("open_archive")).status_code == 403


def test_ids_inside_texts_and_lists_lead_to_the_rows_here(event: Event) -> None:
    """A playoff, a cut, a call with its ruling, a spot check, phones that differ, a rating method, a sheet's inputs."""
    one, two = build_cards.make_field(event, 2)
    round_, layout = event.rounds.get(number=1), event.layouts.get()
    sheet = build_cards.publish(round_, [[one, two]])
    sheet.inputs = {"only_checked_in": True, "players": [[one.pk, "A", "MA1", 900, 1, []]]}
    sheet.save()
    facts = {"at": build.NOW, "by": "Tester"}
    call = Call.objects.create(
        entry=one, round=round_, hole_label="3", kinds=["unmarked"], caller="x", warning=False, throws=2,
        rule="x", submission=uuid4(), **facts,
    )  # fmt: skip
    Ruling.objects.create(
        entry=one, round=round_, throws=2, rule="x", what="x", origin=f"disc call {call.pk}", **facts
    )
    SpotCheck.objects.create(
        round=round_, number=1, method="keyed", wanted=1, spares=0, source="x", secret="x", commitment="x",
        pool=[["P01", one.pk, "x"]], frozen_at=build.NOW, frozen_by="x",
    )  # fmt: skip
    card = Card.objects.create(round=round_, group_number=1)
    phones = [
        Device.objects.create(card=card, key=uuid4(), first_at=build.NOW, last_at=build.NOW) for _ in "ab"
    ]
    first, second = (
        HoleEntry(device=phone, round=round_, entry=one, hole="1", throws=3, key=uuid4(), seq=1, at=build.NOW)
        for phone in phones
    )
    second.over = [str(first.key)]
    first.save()
    second.save()
    MethodDecision.objects.create(
        event=event, pool=f"1+2-{layout.pk}-part0", method="line", reason="x", **facts
    )
    division = one.division
    Cut.objects.create(
        division=division, after_round=1, players=1, set_at=build.NOW, posted=[two.pk], posted_at=build.NOW
    )
    playoff = Playoff.objects.create(
        division=division, players=[two.pk, one.pk], seed="1", layout=layout, holes=["1"],
        begun_at=build.NOW, begun_by="x",
    )  # fmt: skip
    PlayoffVersion.objects.create(
        playoff=playoff, number=1, figures=[{str(two.pk): 3}], declined={str(one.pk): 1}, what="x", **facts
    )
    ListFile.objects.create(
        event=event, name="list.csv", content=b"\x00\xff", sha256="x", as_of=event.starts_on,
        kept_at=build.NOW, kept_by="x",
    )  # fmt: skip

    copy = opened(pack(event), "copy").event
    here = {entry.person.name: entry for entry in copy.entries.select_related("person")}
    a, b = here[one.person.name], here[two.person.name]
    there = Call.objects.get(entry=a)
    assert Ruling.objects.get(entry=a).origin == f"disc call {there.pk}"
    assert SpotCheck.objects.get(round__event=copy).pool == [["P01", a.pk, "x"]]
    assert Sheet.objects.get(round__event=copy).inputs["players"][0][0] == a.pk
    older, newer = HoleEntry.objects.filter(entry=a).order_by("pk")
    assert (older.key == first.key, newer.over) == (False, [str(older.key)])
    assert MethodDecision.objects.get(event=copy).pool == f"1+2-{copy.layouts.get().pk}-part0"
    assert Cut.objects.get(division__event=copy).posted == [b.pk]
    assert Playoff.objects.get(division__event=copy).players == [b.pk, a.pk]
    version = PlayoffVersion.objects.get(playoff__division__event=copy)
    assert (version.figures, version.declined) == ([{str(b.pk): 3}], {str(a.pk): 1})
    assert bytes(ListFile.objects.get(event=copy).content) == b"\x00\xff"


def test_a_box_that_is_here_already_takes_what_is_new_under_the_next_number(played: Event) -> None:
    entry = played.entries.order_by("pk")[0]
    disc = build_bags.make_disc(entry)
    content = pack(played)
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        assert str(disc.key).encode() in archive.read("rows/players.Disc.jsonl")
    BagAct.objects.all().delete()
    InBag.objects.all().delete()
    Disc.objects.filter(pk=disc.pk).update(key=uuid4())
    opened(content, "copy")
    assert sorted(Disc.objects.filter(person=entry.person).values_list("number", flat=True)) == [1, 2]
    assert InBag.objects.get(bag__entry__event__slug="copy").disc.number == 2
