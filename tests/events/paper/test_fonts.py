import pytest

from events.paper import fonts
from events.paper.fonts import Style, runs, width


@pytest.mark.parametrize(
    ("name", "file"),
    [
        ("Ludvik", "AtkinsonHyperlegibleNextTabular-Regular.ttf"),
        ("Ελένη", "NotoSans-Regular.ttf"),
        ("Дмитро", "NotoSans-Regular.ttf"),
        ("नाम", "NotoSans-Regular.ttf"),
        ("สมชาย", "NotoSansThai-Regular.ttf"),
        ("김철수", "NotoSansKR-Medium-Hangul.ttf"),
        ("名前", "DroidSansFallbackFull.ttf"),
        ("张伟", "DroidSansFallbackFull.ttf"),
    ],
)
def test_a_name_is_drawn_whole_by_one_face_that_has_it(name: str, file: str) -> None:
    assert [(run.face.file, run.text) for run in runs(name, Style.BODY)] == [(file, name)]


def test_a_word_is_not_split_between_faces_for_one_rare_letter() -> None:
    assert [(run.face.file, run.text) for run in runs("Nguyễn", Style.BOLD)] == [
        ("NotoSans-Bold.ttf", "Nguyễn")
    ]


def test_a_character_that_no_face_has_is_a_question_mark() -> None:
    assert [run.text for run in runs("Ada \U0001f600", Style.BODY)] == ["Ada ?"]


def test_figures_are_tabular() -> None:
    for style in Style:
        assert len({width(figure, style, 10) for figure in "0123456789"}) == 1


def test_only_stand_in_faces_are_thickened() -> None:
    assert [run.face.embolden for run in runs("Ada 名前", Style.BOLD)] == [False, True]
    assert [run.face.embolden for run in runs("Ada 名前", Style.BODY)] == [False, False]


def test_cleaning_composes_and_drops_marks_of_control() -> None:
    assert fonts.clean("  Ze\u0301\u200e\tKo\u0000  \n") == "Zé Ko"


def test_every_face_is_shipped_with_a_licence() -> None:
    files = {path.name for path in fonts.FOLDER.iterdir()}
    faces = {face.file for chain in fonts._CHAINS.values() for face in chain}
    assert faces - files == set()
    assert {name for name in files if name.endswith(".ttf")} == faces
    assert {name for name in files if name.endswith(".txt")} == {
        "Apache-2.0-DroidSansFallback.txt",
        "OFL-AtkinsonHyperlegibleNext.txt",
        "OFL-BarlowCondensed.txt",
        "OFL-NotoSans.txt",
        "OFL-NotoSansArabic.txt",
        "OFL-NotoSansHebrew.txt",
        "OFL-NotoSansKR.txt",
        "OFL-NotoSansThai.txt",
    }
