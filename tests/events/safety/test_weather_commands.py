"""manage.py weather and restart_clock: figures with their limits, JSON, and messages that say how to write it."""

import io
import json

import pytest
from django.core.management import CommandError, call_command

from events.safety.computed import CAUTIONS


def run(*words: str) -> str:
    out = io.StringIO()
    call_command(*words, stdout=out)
    return out.getvalue()


def refused(*words: str) -> str:
    with pytest.raises(CommandError) as told:
        run(*words)
    assert told.value.returncode == 2
    return str(told.value)


# ---------------------------------------------------------------------- weather


def test_weather_tells_figure_trigger_formula_and_cautions():
    lines = run("weather", "--temp", "90F", "--rh", "70").splitlines()

    assert lines[:4] == [
        "heat index: 41.1 °C (106 °F)",
        "  Trigger met: 106 °F is “danger” (Heat index, older chart): consider suspending; shorter play, shade and"
        " water at every wait.",
        "  Heat index, full form; air 32.2 °C, humidity 70 %. Source: National weather service, Heat Index Equation,"
        " regression.",
        "  Limits: National weather service, heat-index chart, categories, older print.",
    ]
    assert lines[-4:] == list(CAUTIONS)


def test_weather_as_json():
    readings = (
        "--temp=31C",
        "--rh=55%",
        "--wind=12 mph",
        "--gust=40mph",
        "--wbgt=29C",
        "--pm25=60",
        "--uv=9",
    )
    found = json.loads(run("weather", *readings, "--flash-to-bang=25", "--strike=16mi", "--json"))

    told = {
        each["kind"]: (each["value"], each["trigger_met"], each["measured"]) for each in found["computed"]
    }
    assert told == {
        "heat": (33.67, True, False),
        "wbgt": (29.0, True, True),
        "cold": (None, False, False),
        "wind": (3.0, False, False),
        "gust": (8.0, True, False),
        "air": (154.0, True, False),
        "uv": (9.0, True, False),
        "thunder": (8575.0, True, False),
        "strike": (25749.5, False, False),
    }
    assert found["cautions"] == list(CAUTIONS)


def test_a_temperature_below_zero_is_no_option():
    found = json.loads(run("weather", "--temp", "-10C", "--wind", "20km/h", "--json"))

    assert [(each["kind"], each["value"]) for each in found["computed"]] == [("cold", -17.86), ("wind", 4.0)]


def test_the_set_of_limits_can_be_chosen():
    older = run("weather", "--temp", "99F", "--rh", "35", "--set", "lightning=sport")
    later = run("weather", "--temp", "99F", "--rh", "35", "--set", "heat=later")

    assert older.splitlines()[1].startswith(
        "  Trigger met: 104 °F is “extreme caution” (Heat index, older chart)"
    )
    assert later.splitlines()[1].startswith("  Trigger met: 104 °F is “danger” (Heat index, later text)")


def test_readings_from_which_nothing_follows():
    assert run("weather", "--rh", "50").startswith("Nothing can be computed: heat needs --temp and --rh")


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (("--temp", "32C", "--rh", "140"), "Humidity lies between 0 and 100 %, not 140 %."),
        (("--temp", "32", "--rh", "60"), "temperature: 32 of what? Write the unit too: 32 C or 90 F."),
        (("--wind", "5"), "wind: 5 of what? Write the unit too: 5 m/s, 18 km/h, 12 mph or 10 kn."),
        (("--temp", "30C", "--set", "heat=x"), "heat: no set is called 'x'; there are chart, later."),
        (
            ("--temp", "30C", "--set", "rain"),
            "'rain': write KIND=NAME, as heat=later; kinds are heat, wbgt, cold, wind, air, uv, lightning.",
        ),
        ((), "Give at least one reading, as --temp 32C --rh 60."),
    ],
)
def test_what_cannot_be_read_is_said(words, message):
    assert refused("weather", *words) == message


@pytest.mark.parametrize(
    "readings", [("--temp=20C", "--rh=40", "--wind=1m/s", "--gust=2m/s", "--pm25=5", "--uv=1")]
)
def test_nothing_is_ever_called_safe(readings):
    words = run("weather", *readings, "--flash-to-bang=120", "--strike=60mi").casefold()

    assert "safe" not in words
    assert words.count("no trigger met") == 7


# ---------------------------------------------------------------------- restart_clock

HEAD = "what;time;distance;seconds"
WORKED = ("signal;14:00;;", "strike;13:58;9 mi;", "strike;14:07;12 mi;", "strike;14:21;18 mi;")
DENVER = ("--date", "2026-06-12", "--tz", "America/Denver", "--now", "2026-06-12T15:00")


@pytest.fixture(name="table")
def table_fixture(tmp_path):
    def write(*rows: str, head: str = HEAD) -> str:
        path = tmp_path / "evidence.csv"
        path.write_text("\n".join((head, *rows)))
        return str(path)

    return write


def test_the_worked_clock(table):
    """14:37 by strikes alone; 14:54 where thunder counts too (Mid-Event Suspension Policy 2023, Manual 1.07)."""
    strikes = run("restart_clock", table(*WORKED), *DENVER, "--set", "sport")
    thunder = run("restart_clock", table(*WORKED, "thunder;14:24;;"), *DENVER)

    assert strikes.startswith("Earliest restart 14:37, two-minute signal 14:35 (2026-06-12)\n")
    assert thunder.startswith("Earliest restart 14:54, two-minute signal 14:52 (2026-06-12)\n")
    assert strikes.splitlines()[4:11] == [
        "13:58  counts: strike at 9.0 miles, within 15 miles",
        "14:07  counts: strike at 12.0 miles, within 15 miles",
        "14:21  does not count: strike at 18.0 miles, beyond 15 miles",
        "14:00:00  Stop play: three blasts.",
        "14:01:00  Stop play, again: three blasts.",
        "14:35:00  Two minutes: two blasts.",
        "14:37:00  Resume play: one long blast.",
    ]


def test_the_clock_as_json(table):
    found = json.loads(run("restart_clock", table(*WORKED), *DENVER, "--json"))

    assert (found["earliest"], found["warning"]) == ("2026-06-12T14:37:00-06:00", "2026-06-12T14:35:00-06:00")
    assert [(each["kind"], each["counts"]) for each in found["evidence"]] == [
        ("strike", True),
        ("strike", True),
        ("strike", False),
    ]
    assert [each["blasts"] for each in found["horn"]] == [3, 3, 2, 1]


def test_whole_moments_need_no_day(table):
    path = table("horn;2026-11-01T01:50-06:00;;", "lightning;2026-11-01 01:10-07:00;10 km;")
    found = run("restart_clock", path, "--tz", "America/Denver", "--now", "2026-11-01T09:00")

    assert found.startswith("Earliest restart 01:40, two-minute signal 01:38 (2026-11-01)")


@pytest.mark.parametrize(
    ("row", "day", "message"),
    [
        (
            "strike;2:30;9 mi;",
            "2026-03-08",
            "2026-03-08 02:30 does not exist in America/Denver: the clocks go forward",
        ),
        (
            "strike;1:30;9 mi;",
            "2026-11-01",
            "2026-11-01 01:30 comes twice in America/Denver: the clocks go back",
        ),
        ("strike;23:00;9 mi;", "2026-12-11", "23:00 is in the future: it is 2026-12-11 22:00 now."),
        ("strike;25:00;9 mi;", "2026-06-12", "'25:00' is not a time. Write 14:07, or 2026-06-12 14:07."),
        ("strike;14:07;12;", "2026-06-12", "distance: 12 of what? Write the unit too: 12 mi or 19 km."),
        (
            "strike;14:07;;25",
            "2026-06-12",
            "A strike has a distance, not seconds: write thunder for what was counted.",
        ),
        (
            "thunder;14:07;3 mi;",
            "2026-06-12",
            "Thunder has no distance: write the counted seconds, or nothing.",
        ),
        ("fire;14:07;;", "2026-06-12", "'fire' is none of signal, strike, thunder."),
    ],
)
def test_a_row_that_cannot_be_read_is_named(table, row, day, message):
    said = refused(
        "restart_clock",
        table("signal;00:10;;", row),
        *("--date", day, "--tz", "America/Denver", "--now", "2026-12-11T22:00"),
    )

    assert said.splitlines()[1].startswith(f"  row 3: {message}")


@pytest.mark.parametrize(
    ("rows", "message"),
    [
        (("strike;14:07;12 mi;",), "there is no signal: add the row of the suspension signal"),
        (("signal;14:00;;", "signal;14:05;;"), "there is more than one signal: keep the one that counts"),
    ],
)
def test_one_signal_is_needed(table, rows, message):
    assert refused("restart_clock", table(*rows), *DENVER).splitlines()[1] == f"  {message}"


def test_a_table_without_its_columns_and_a_file_that_is_not_there(table, tmp_path):
    missing = tmp_path / "none.csv"

    assert "no column is headed “time”" in refused("restart_clock", table("signal", head="what"), *DENVER)
    assert refused("restart_clock", str(missing)) == f"{missing}: No such file or directory."


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (
            ("--tz", "Mars/X"),
            "'Mars/X' is not a time zone. Write it as in Europe/Helsinki or America/Denver.",
        ),
        (("--date", "12 June"), "'12 June' is not a date. Write 2026-06-12."),
        (("--now", "noon"), "'noon' is not a time. Write 2026-06-12T14:30."),
        (
            ("--set", "x"),
            "lightning: no set is called 'x'; there are sport, sport_and_thunder, thirty_thirty.",
        ),
    ],
)
def test_options_that_cannot_be(table, words, message):
    assert refused("restart_clock", table(*WORKED), *words) == message
