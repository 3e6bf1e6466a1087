"""A stop as everybody reads it: what, since when, what to do, where to go, when it may end, what that rests on."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from events.safety.lightning import LightningSet, Strike
from events.safety.models import Evidence, HornSound
from events.safety.restart import RestartRule
from events.safety.shown import distance_words
from events.safety.stopped import Stop
from events.safety.weather import as_seen
from events.setup.models import Event

CAUTION = (
    "Computed, not measured. Keeping to the clock does not guarantee protection. Local authorities, the land owner and"
    " emergency services come first. The director may always wait longer."
)

ROOMY = 240  # letters that the board has room for at its large size


@dataclass(frozen=True, slots=True)
class Place:
    """A place to go to, and from which holes; `holes` "": from everywhere."""

    name: str
    holes: str


@dataclass(frozen=True, slots=True)
class StopShown:
    """The text of every page that tells of the stop. `restart` carries the zone of the event."""

    title: str
    cause: str
    since: datetime
    words: str
    places: tuple[Place, ...]
    label: str
    restart: datetime
    passed: bool
    rests: str
    moves: str
    sounds: str
    newest: str
    newest_at: datetime | None
    signals: str
    caution: str
    crowded: bool


def stop_shown(stop: Stop, event: Event, now: datetime) -> StopShown:
    newest = stop.evidence[-1] if stop.evidence else None
    passed = now >= stop.restart
    return StopShown(
        title="Play is suspended",
        cause=stop.suspension.get_cause_display(),
        since=stop.clock.signal,
        words=stop.suspension.words,
        places=places_in(stop.suspension.where_to_go),
        label=_label(stop, passed=passed),
        restart=stop.restart,
        passed=passed,
        rests=rests_on(stop),
        moves=moves_of(stop.limits),
        sounds=sounds_of(stop.rule),
        newest=f"{evidence_words(newest, event.units)}, {newest.source}" if newest else "",
        newest_at=event.local(newest.seen_at) if newest else None,
        signals=_signals(stop, event),
        caution=CAUTION,
        crowded=len(stop.suspension.where_to_go) + len(stop.suspension.words) > ROOMY,
    )


def _label(stop: Stop, *, passed: bool) -> str:
    if stop.early:
        return "restart, as the director decides"
    if passed:
        return "no restart before the long blast; the clock stood at"
    return "restart" if stop.named else "earliest restart"


def rests_on(stop: Stop) -> str:
    """The sentence under the time."""
    if stop.early:
        return f"Named by {stop.suspension.restart_by}: {stop.suspension.restart_reason}."
    clock = f"{stop.clock.sentence[0].upper()}{stop.clock.sentence[1:]}."
    if stop.named and stop.restart > stop.clock.earliest:
        return f"Named by {stop.suspension.restart_by}. Earliest {stop.clock.earliest:%H:%M}: {clock}"
    return clock


def moves_of(limits: LightningSet) -> str:
    thunder = "" if limits.thunder == "not counted" else ", and any thunder,"
    return f"Every further strike within {limits.strike_miles} miles{thunder} moves it."


def sounds_of(rule: RestartRule) -> str:
    words = {1: "One", 2: "Two", 3: "Three"}
    warning = words.get(rule.warning_blasts, str(rule.warning_blasts))
    return f"{warning} blasts: two minutes. One long blast: play."


def places_in(text: str) -> tuple[Place, ...]:
    """`Clubhouse: holes 1 to 6; Your closed car` as places; parts stand between semicolons or on lines."""
    parts = [part.strip() for line in text.splitlines() for part in line.split(";")]
    found = []
    for part in parts:
        name, _, holes = part.partition(":")
        if part:
            found.append(Place(name.strip(), holes.strip()))
    return tuple(found)


def holes_words(holes: Sequence[str]) -> str:
    """`holes 1 to 6, 9` of "Upper 1" …; with the layouts' names where these differ: `Lower 1, 2, Upper 7`."""
    by_layout: dict[str, list[str]] = {}
    for hole in holes:
        layout, label = hole.rsplit(" ", 1)
        by_layout.setdefault(layout, []).append(label)
    words = {layout: _runs(labels) for layout, labels in by_layout.items()}
    if len(set(words.values())) == 1:
        return f"hole{'' if len(holes) == len(words) else 's'} {next(iter(words.values()))}"
    return ", ".join(f"{layout} {each}" for layout, each in words.items())


def _runs(labels: Sequence[str]) -> str:
    """`1 to 6, 9` of labels in order; labels that are no numbers stand by themselves."""
    runs: list[list[str]] = []
    for label in labels:
        last = runs[-1][-1] if runs else ""
        if last.isdecimal() and label.isdecimal() and int(label) == int(last) + 1:
            runs[-1].append(label)
        else:
            runs.append([label])
    return ", ".join(f"{run[0]} to {run[-1]}" if len(run) > 2 else ", ".join(run) for run in runs)


def evidence_words(row: Evidence, units: str) -> str:
    """`strike at 9.0 mi`, `thunder heard, 20 s`."""
    seen = as_seen(row)
    if isinstance(seen, Strike):
        return f"strike at {distance_words(seen.distance_m, units)}"
    return "thunder heard" if seen.seconds is None else f"thunder heard, {seen.seconds:.0f} s"


def _signals(stop: Stop, event: Event) -> str:
    """`Signal given 14:00, repeated 14:01.` "" while none was written down."""
    names = {
        HornSound.Signal.STOP: "signal given",
        HornSound.Signal.STOP_AGAIN: "repeated",
        HornSound.Signal.TWO_MINUTES: "two minutes sounded",
    }
    parts = [
        f"{names[HornSound.Signal(horn.signal)]} {event.local(horn.sounded_at):%H:%M}"
        for horn in stop.horns
        if horn.signal in names
    ]
    if not parts:
        return "The signal is not written down as sounded yet."
    words = ", ".join(parts)
    return f"{words[0].upper()}{words[1:]}."
