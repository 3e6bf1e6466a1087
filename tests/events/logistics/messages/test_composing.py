"""What messages say, in every language, and the mail file."""

import re
from dataclasses import replace
from datetime import UTC, date, datetime
from email import message_from_bytes
from email.policy import SMTP

import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.logistics.messages.composing import (
    BETWEEN,
    Facts,
    FirstStart,
    GroupStart,
    Kind,
    Move,
    Moved,
    Stop,
    TeeSheet,
    TypedDelay,
    compose,
)
from events.logistics.messages.mailing import mail_file
from events.logistics.messages.words import UnknownLanguage, languages, words_in
from events.safety.models import Suspension

EN = languages()["en"]


def at(hour: int, minute: int = 0) -> datetime:
    return datetime(2026, 6, 12, hour, minute, tzinfo=UTC)


FACTS = Facts(
    event="Quiet Pines Open",
    place="Quiet Pines, Mossburg",
    sign="Ondine Kestrel",
    checkin_opens=at(7),
    checkin_closes=at(8, 15),
    first_starts=(FirstStart(1, at(9)),),
    guardian_age=13,
    round=1,
    sheet=TeeSheet(
        2, at(6), True, (GroupStart(1, "7", at(9), ("Ines Halvorsen (MA1)", "Dov Pennock (MA1)")),)
    ),
    starter_minutes=5,
    absence_throws=4,
    stop=Stop("lightning", at(10), "the club house", at(10, 40), "", None),
    moved=(Moved(2, (Move(3, "5", at(14, 50), at(14)),)),),
    players=72,
    rounds=2,
    claim_until=date(2026, 7, 13),
    found=3,
)


def say(kind: Kind, facts: Facts = FACTS) -> str:
    return compose(kind, facts, [EN]).text


def test_check_in_notice() -> None:
    message = compose(Kind.CHECK_IN, FACTS, [EN])

    assert message.subject == "Check-in for Quiet Pines Open"
    assert message.text.splitlines() == [
        "Hello,",
        "",
        "Check-in is open from Friday 12 June 2026, 07:00 to Friday 12 June 2026, 08:15.",
        "Place: Quiet Pines, Mossburg",
        "Who is not checked in by then loses the place and the fee, unless the director decides otherwise.",
        "If you cannot play, write or call now: somebody on the waitlist may get the place.",
        "Players under 13 come with a parent or guardian.",
        "",
        "Round 1 starts Friday 12 June 2026, 09:00.",
        "",
        "Ondine Kestrel, for Quiet Pines Open",
    ]


def test_what_is_not_known_is_not_guessed() -> None:
    text = say(Kind.CHECK_IN, Facts(event="X", place=""))
    assert "When check-in opens follows in another message." in text
    assert "Place" not in text
    assert "None" not in text
    assert text.endswith("The director of X")
    assert "are not published yet" in say(Kind.TEE_TIMES, Facts(event="X", place="", round=2))


def test_tee_sheet() -> None:
    text = say(Kind.TEE_TIMES)
    assert "09:00  hole 7  group 1: Ines Halvorsen (MA1), Dov Pennock (MA1)" in text
    assert "Be at your hole 5 minutes before your start." in text
    assert "par + 4 for each hole missed" in text
    assert "Version 2, published Friday 12 June 2026, 06:00. A later version takes its place." in text


def test_no_one_is_told_to_be_early_for_a_shotgun() -> None:
    assert FACTS.sheet is not None
    shotgun = replace(FACTS, sheet=replace(FACTS.sheet, tee_times=False))
    assert "minutes before" not in say(Kind.TEE_TIMES, shotgun)


@pytest.mark.parametrize(
    ("stop", "words"),
    [
        (
            FACTS.stop,
            "Play does not go on before Friday 12 June 2026, 10:40. Wait for the signal: it may be later.",
        ),
        (Stop("wind", at(10), "", None, "", None), "When play goes on follows."),
        (
            Stop("wind", at(10), "", None, "resumed", at(10, 50)),
            "Play goes on since Friday 12 June 2026, 10:50. It stood still for 50 minutes.",
        ),
        (Stop("wind", at(10), "", None, "next_day", at(11)), "Play goes on another day. The time follows."),
        (
            Stop("wind", at(10), "", None, "cancelled", at(11)),
            "The round is not finished. What counts follows.",
        ),
    ],
)
def test_a_stop(stop: Stop, words: str) -> None:
    lines = say(Kind.DELAY, replace(FACTS, stop=stop)).splitlines()
    assert words in lines
    assert "group 3, hole 5: 14:50 instead of 14:00" in lines
    assert "Local authorities and emergency services come first." in lines


def test_pools_that_start_apart_are_told_apart() -> None:
    starts = (FirstStart(1, at(9), ("MPO", "FPO")), FirstStart(1, at(13, 30), ("MA1",)))
    lines = say(Kind.CHECK_IN, replace(FACTS, first_starts=starts)).splitlines()
    assert "Round 1, MPO, FPO: first start Friday 12 June 2026, 09:00." in lines
    assert "Round 1, MA1: first start Friday 12 June 2026, 13:30." in lines


def test_a_typed_delay_is_told_with_its_reason() -> None:
    facts = replace(
        FACTS, stop=None, moved=(), delays=(TypedDelay(at(8), 50, "fog"),),
        planned=(FirstStart(2, at(14, 50), before=at(14)),),
    )  # fmt: skip
    lines = say(Kind.DELAY, facts).splitlines()
    assert "What was to come after Friday 12 June 2026, 08:00 comes 50 minutes later: fog." in lines
    assert "Round 2: first start 14:50 instead of 14:00." in lines
    assert "no start has moved" not in "".join(lines)


def test_nothing_is_counted_that_was_not_played() -> None:
    text = say(Kind.THANKS, replace(FACTS, rounds=0))
    assert "Thank you for playing." in text
    assert " 0 " not in text


def test_an_event_without_rounds_has_no_starts() -> None:
    message = compose(Kind.TEE_TIMES, Facts(event="X", place=""), [EN])
    assert message.subject == "Starts, X"
    assert "No round is planned yet." in message.text


def test_a_domain_of_other_letters_is_written_as_mail_carries_it() -> None:
    """RFC 5891; the coded form of this word is a common example, from memory."""
    mail = mail_file("s", "t", ["one@bücher.example", "two\n@example.org"]).decode()
    assert "one@xn--bcher-kva.example" in mail
    assert "=?utf-8" not in mail


def test_no_delay_is_said_to_be_none() -> None:
    text = say(Kind.DELAY, replace(FACTS, stop=None, moved=()))
    assert "Play was not stopped, and no start has moved." in text


@pytest.mark.parametrize("tag", list(languages()))
@pytest.mark.parametrize("kind", list(Kind))
def test_never_safe(tag: str, kind: Kind) -> None:
    """A message names triggers and times; it never says that it is safe."""
    text = compose(kind, FACTS, [words_in(tag)]).text.casefold()
    assert not re.search(r"\bsafe\b|\bsicher\b|\bseguro\b|\bsûr\b|sécurité", text)


@pytest.mark.parametrize("tag", list(languages()))
def test_every_language_holds_the_same_sentences_with_the_same_facts(tag: str) -> None:
    held = words_in(tag).held

    def names(text: object) -> set[str]:
        return set(re.findall(r"{(\w+)}", str(text)))

    assert held.keys() == EN.held.keys()
    assert {key: names(text) for key, text in held.items()} == {key: names(t) for key, t in EN.held.items()}
    assert set(held["causes"]) == set(Suspension.Cause.values)
    assert (len(held["weekdays"]), len(held["months"])) == (7, 12)


def test_several_languages_stand_one_after_the_other() -> None:
    both = compose(Kind.THANKS, FACTS, [EN, words_in("de")])

    english, german = both.text.split(BETWEEN)
    assert both.subject == "Thank you for Quiet Pines Open / Danke für Quiet Pines Open"
    assert "claimed until Monday 13 July 2026" in english
    assert "bis Montag, 13. Juli 2026" in german


def test_an_unknown_language_is_refused() -> None:
    with pytest.raises(UnknownLanguage):
        words_in("xx")


@given(st.text(alphabet=st.characters(exclude_categories=["Cs", "Cc"]), max_size=300))
def test_any_text_is_read_back_from_the_mail_file(text: str) -> None:
    """RFC 5322, read by the standard library's own parser."""
    mail = message_from_bytes(mail_file(f"s {text}", text), policy=SMTP)
    body = mail.get_content()  # type: ignore[attr-defined]
    assert body.replace("\r\n", "\n").rstrip("\n") == text.rstrip("\n")
    assert str(mail["Subject"]).split() == f"s {text}".split()


def test_a_subject_adds_no_header() -> None:
    mail = message_from_bytes(mail_file("hello\r\nBcc: a@example.org", "x"), policy=SMTP)
    assert (mail["Bcc"], mail["Subject"], mail["To"]) == (None, "hello Bcc: a@example.org", None)


def test_addresses_are_hidden() -> None:
    mail = message_from_bytes(mail_file("s", "x", ["a@example.org", "b@example.org"]), policy=SMTP)
    assert (mail["Bcc"], mail["To"], mail["Cc"]) == ("a@example.org, b@example.org", None, None)
