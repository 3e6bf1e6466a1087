"""Status words: every status of an entry has its meaning written down."""

from events.entries.models import Status
from events.entries.statuses import STATUS_WORDS


def test_every_status_of_an_entry_has_its_words_and_no_other() -> None:
    assert list(STATUS_WORDS) == Status.values


def test_who_counts_where() -> None:
    told = {word.status: (word.in_payout, word.ranked, word.rated) for word in STATUS_WORDS.values()}

    assert told == {
        "applied": (False, False, False),
        "confirmed": (True, True, True),
        "waitlisted": (False, False, False),
        "withdrawn": (False, False, False),
        "did_not_play": (False, False, False),
        "did_not_finish": (True, False, True),
        "disqualified": (True, False, False),
    }


def test_only_did_not_finish_has_a_code_in_the_report() -> None:
    assert {w.status: w.report_code for w in STATUS_WORDS.values() if w.report_code} == {
        "did_not_finish": 999
    }
