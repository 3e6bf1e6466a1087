"""What scores say about the holes, as the sheet that `prints` draws."""

from datetime import datetime

from events.setup.models import Event
from scoring.ratings.course_pages import CoursePage, course_page
from scoring.ratings.course_queries import LayoutReport
from scoring.ratings.estimate_words import rounds_words
from scoring.ratings.prints import Paper, Table, paper
from scoring.standings.paper import head_of

PAR_RULE = (
    "Par advice is the average of the band's rounds, rounded; as 3/4 where the average lies near the middle of"
    " two. The director sets par (Competition Manual 2025, 5.07.E); the published distance tables were not read."
)


def course_pdf(event: Event, shown: LayoutReport, *, now: datetime) -> bytes:
    """Both drawings and the table of holes (no query)."""
    page = course_page(shown)
    report = page.report
    sheet = Paper(
        title=f"What the scores say: {shown.layout.name}",
        under=f"{event.name} · {rounds_words(shown.rounds)} · {report.rounds} complete rounds,"
        f" {report.rated} of rated players · average {page.total_average} for par {shown.layout.par}",
        sentences=(*page.sentences, PAR_RULE),
        drawings=(
            ("Average against par by hole and skill band.", page.averages),
            (
                "Throws that 100 points of rating save. Filled: surely; hollow: may be chance.",
                page.separation,
            ),
        ),
        tables=(_holes(page),),
    )
    local = event.local(now)
    printed = f"printed {local:%a} {local.day} {local:%B %H:%M}"
    return paper(head_of(event), sheet, printed=printed)


def _holes(page: CoursePage) -> Table:
    bands = [name for name, _, _ in page.bands]
    return Table(
        "Holes",
        (
            ("hole", 6),
            ("par", 5),
            ("average", 9),
            ("spread", 8),
            ("with rating", 9),
            ("100 points save", 10),
            ("tells apart", 12),
            *((name, 14) for name in bands),
        ),
        tuple(
            (
                row.label,
                str(row.par),
                row.average,
                row.spread,
                row.r,
                row.per_100,
                row.verdict,
                *(
                    f"{average}, {advice}" if advice else average
                    for average, advice in zip(row.bands, row.advice, strict=True)
                ),
            )
            for row in page.rows
        ),
    )
