"""The address of the static files changes with them, and only with them."""

from pathlib import Path

from desk.static_version import static_version


def test_the_version_changes_with_any_file_and_with_nothing_else(tmp_path: Path) -> None:
    folder, lock = tmp_path / "static", tmp_path / "lock"
    (folder / "js").mkdir(parents=True)
    (folder / "js" / "a.js").write_text("one")
    lock.write_text("package==1")
    first = static_version(folder, [lock])
    assert first == static_version(folder, [lock])
    assert len(first) == 10

    (folder / "js" / "a.js").write_text("two")
    second = static_version(folder, [lock])
    lock.write_text("package==2")
    third = static_version(folder, [lock])
    (folder / "js" / "a.js").rename(folder / "js" / "b.js")
    assert len({first, second, third, static_version(folder, [lock])}) == 4
