"""manage.py sun: the day in a sentence, as JSON, and places that there are not."""

import io
import json

import pytest
from django.core.management import CommandError, call_command


def run(*words: str) -> str:
    out = io.StringIO()
    call_command("sun", *words, stdout=out)
    return out.getvalue()


def test_the_sun_in_a_sentence():
    lines = run("60.17", "24.94", "2026-06-21", "--tz", "Europe/Helsinki").splitlines()

    assert lines == [
        "2026-06-21, Europe/Helsinki: Sunrise 03:54, sunset 22:50. Civil twilight from 02:02 to 00:42.",
        "Computed for an ideal horizon; hills and trees are not in it, and woods are dark earlier.",
        "Source: Published solar equations (atmospheric research laboratory, solar calculation details).",
    ]


def test_the_sun_as_json_south_of_the_equator():
    found = json.loads(run("-33.87", "151.21", "2026-12-21", "--tz", "Australia/Sydney", "--json"))

    assert (found["sunrise"], found["sun"]) == ("2026-12-21T05:40:38+11:00", "ordinary")


def test_polar_day_as_json_has_no_times():
    found = json.loads(run("69.65", "18.96", "2026-06-21", "--tz", "Europe/Oslo", "--json"))

    assert (found["sunrise"], found["sunset"], found["sun"]) == (None, None, "always above")
    assert found["sentence"] == "The sun does not set."


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (("95", "1", "2026-01-01"), "A latitude lies between -90 and 90, not 95."),
        (("nan", "1", "2026-01-01"), "A latitude lies between -90 and 90, not nan."),
        (("5", "-190", "2026-01-01"), "A longitude lies between -180 and 180, not -190."),
        (
            ("60N", "1", "2026-01-01"),
            "latitude: '60N' is not a number of degrees. Write it as 60.17 or -33.87.",
        ),
        (("5", "1", "2026-02-30"), "'2026-02-30' is not a date. Write 2026-06-12."),
        (("5", "1", "1600-01-01"), "The equations are for the years 1900 to 2100."),
        (
            ("5", "1", "2026-01-01", "--tz", "Mars/X"),
            "'Mars/X' is not a time zone. Write it as in Europe/Helsinki or",
        ),
    ],
)
def test_what_cannot_be_is_said(words, message):
    with pytest.raises(CommandError) as told:
        run(*words)

    assert str(told.value).startswith(message)
    assert told.value.returncode == 2
