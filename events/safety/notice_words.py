"""A notice in words: for pages, for paper, and as plain text for any messenger."""

from collections.abc import Sequence
from dataclasses import dataclass

from events.safety.models import Notice
from events.safety.queries import CAUTION, Seen
from events.setup.models import Event
from events.setup.overview import moment_text


@dataclass(frozen=True, slots=True)
class Words:
    """Title and text in one language; `language` "" is the one of the desk."""

    language: str
    title: str
    text: str


@dataclass(frozen=True, slots=True)
class NoticeShown:
    """A notice as a page shows it. `withdrawn` "" while it hangs, else "withdrawn 14:20"; `kind` "" for plain news."""

    kind: str
    title: str
    text: str
    until: str
    caution: str
    withdrawn: str
    others: tuple[Words, ...]


def words_of(notice: Notice) -> tuple[Words, ...]:
    """The notice in every language that it has, its own first."""
    others = (Words(tag, said["title"], said["text"]) for tag, said in sorted(notice.in_other_words.items()))
    return (Words("", notice.title, notice.text), *others)


def times_of(notice: Notice, event: Event) -> str:
    """When it was posted and how long it holds, at the venue."""
    parts = [f"Posted {moment_text(event, notice.posted_at)}"]
    if notice.valid_from is not None:
        parts.append(f"from {moment_text(event, notice.valid_from)}")
    if notice.until is not None:
        parts.append(f"until {moment_text(event, notice.until)}")
    if notice.withdrawn_at is not None:
        parts.append(f"withdrawn {moment_text(event, notice.withdrawn_at)}")
    return ", ".join(parts)


def kind_words(notice: Notice) -> str:
    """ "Hazard", "Play suspended"; "" for a plain notice."""
    return "" if notice.kind == Notice.Kind.NEWS else notice.get_kind_display().capitalize()


def plain_text(notice: Notice, event: Event) -> str:
    """The notice as lines to paste anywhere: no mark-up, every language, times with the day, the caution last."""
    lines = [event.name]
    if notice.withdrawn_at is not None:
        lines.append(f"WITHDRAWN {moment_text(event, notice.withdrawn_at)}")
    for words in words_of(notice):
        tag = (
            f"[{words.language}] "
            if words.language
            else f"{kind_words(notice)}: "
            if kind_words(notice)
            else ""
        )
        lines += ["", f"{tag}{words.title}", *([words.text] if words.text else [])]
    lines += ["", f"{times_of(notice, event)}."]
    return "\n".join([*lines, CAUTION])


def shown(seen: Seen, event: Event) -> tuple[NoticeShown, ...]:
    """What a page shows, what was withdrawn a while ago at the end."""
    return shown_beside(seen, event, stopped=False)


def shown_beside(seen: Seen, event: Event, *, stopped: bool) -> tuple[NoticeShown, ...]:
    """As `shown`, on a page that shows the stop itself while play is `stopped`: its notice is not said twice."""
    rows = (*seen.hanging, *seen.withdrawn)
    return tuple(_shown(notice, event) for notice in rows if not (stopped and notice.tells_of_stop))


def _shown(notice: Notice, event: Event) -> NoticeShown:
    withdrawn, until = notice.withdrawn_at, notice.until
    return NoticeShown(
        kind=kind_words(notice),
        title=notice.title,
        text=notice.text,
        until=f"until {event.local(until):%H:%M}" if until is not None and withdrawn is None else "",
        caution=CAUTION,
        withdrawn=f"withdrawn {event.local(withdrawn):%H:%M}" if withdrawn is not None else "",
        others=words_of(notice)[1:],
    )


def versions_of(notice: Notice) -> Sequence[Notice]:
    """The versions that this notice took the place of, the newest first (1 query each)."""
    found: list[Notice] = []
    before = notice.replaces
    while before is not None:
        found.append(before)
        before = before.replaces
    return found
