"""What the page and the print about holes show, in words and rounded figures. No query."""

from dataclasses import dataclass

from scoring.ratings.compression import to_places
from scoring.ratings.course import Advice, CourseReport, HoleReport, Verdict
from scoring.ratings.course_picture import Picture, averages, separation
from scoring.ratings.course_queries import LayoutReport


@dataclass(frozen=True, slots=True)
class HoleRow:
    """One hole as it is read; `advice` holds each band's average and par advice in words, "" where too few."""

    label: str
    par: int
    average: str
    spread: str
    r: str
    per_100: str
    verdict: str
    bands: tuple[str, ...]
    advice: tuple[str, ...]

    @property
    def by_band(self) -> tuple[tuple[str, str], ...]:
        """Average and advice of each band."""
        return tuple(zip(self.bands, self.advice, strict=True))


@dataclass(frozen=True, slots=True)
class CoursePage:
    shown: LayoutReport
    report: CourseReport
    bands: tuple[tuple[str, str, int], ...]
    rows: tuple[HoleRow, ...]
    averages: Picture
    separation: Picture
    total_average: str
    total_r: str
    sentences: tuple[str, ...]


def course_page(shown: LayoutReport) -> CoursePage:
    """Everything about one layout; bands that nobody is in are left out."""
    report = shown.report
    used = [at for at, (_, _, rounds) in enumerate(report.bands) if rounds]
    return CoursePage(
        shown=shown,
        report=report,
        bands=tuple(report.bands[at] for at in used),
        rows=tuple(_row(hole, used) for hole in report.holes),
        averages=averages(report),
        separation=separation(report),
        total_average="–" if report.total_average is None else str(to_places(report.total_average, 2)),
        total_r=_figure(report.total_r),
        sentences=tuple(_sentences(report)),
    )


def _row(hole: HoleReport, used: list[int]) -> HoleRow:
    bands = [hole.bands[at] for at in used]
    return HoleRow(
        label=hole.label,
        par=hole.par,
        average=str(to_places(hole.average, 2)),
        spread=_figure(hole.spread),
        r=_figure(hole.r),
        per_100=_figure(hole.per_100),
        verdict=hole.verdict.value,
        bands=tuple("–" if each.average is None else str(to_places(each.average, 2)) for each in bands),
        advice=tuple(_advice(each) for each in bands),
    )


def _advice(each: Advice) -> str:
    if each.par is None:
        return ""
    return (
        f"par {each.par}"
        if each.close is None
        else f"par {min(each.par, each.close)}/{max(each.par, each.close)}"
    )


def _sentences(report: CourseReport) -> list[str]:
    words = []
    for verdict, start in (
        (Verdict.SEPARATES, "Tell better players from others"),
        (Verdict.LITTLE, "Do not"),
        (Verdict.WRONG_WAY, "Better players need more throws"),
    ):
        holes = [hole.label for hole in report.holes if hole.verdict is verdict]
        if holes:
            words.append(f"{start}: {', '.join(holes)}.")
    if not words:
        words.append("There are too few rated rounds to say which holes tell players apart.")
    if report.left_out:
        scores = "1 score is" if report.left_out == 1 else f"{report.left_out} scores are"
        words.append(f"{scores} left out: holes not played, or changed by a ruling.")
    return words


def _figure(value: float | None) -> str:
    return "–" if value is None else f"{value:.2f}".replace("-", "−")
