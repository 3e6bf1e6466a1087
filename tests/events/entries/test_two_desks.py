"""Two desks and more at the same moment: nothing is done twice, and the log is whole."""

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

DESKS = 6


@pytest.fixture(scope="module")
def outcome(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    environment = {name: value for name, value in os.environ.items() if name != "DATABASE_URL"}
    environment |= {
        "STARTHORN_DATA": str(tmp_path_factory.mktemp("desks")),
        "DJANGO_SETTINGS_MODULE": "desk.settings",
    }
    script = Path(__file__).with_name("two_desks.py")
    done = subprocess.run(
        [sys.executable, str(script)], env=environment, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    return dict(json.loads(done.stdout))


def test_one_person_is_checked_in_once(outcome):
    assert outcome["check_in"] == {"done": DESKS}  # who came second is told that they are in
    assert outcome["acts"]["checkin.in"] == 1


def test_a_pack_is_given_once(outcome):
    assert outcome["pack"] == {"done": DESKS}
    assert outcome["acts"]["pack.given"] == 1


def test_the_same_money_is_taken_once(outcome):
    assert outcome["payment"] == {"done": 1, "MoneyMoved": DESKS - 1}
    assert (outcome["owed"], outcome["acts"]["payment.taken"]) == (0, 1)


def test_the_free_places_go_to_the_first_of_the_list_and_to_nobody_else(outcome):
    assert outcome["promote"] == {"done": 2, "NobodyWaits": DESKS - 2}
    assert outcome["promoted"] == [True, True, False]


def test_one_person_is_entered_once(outcome):
    assert outcome["enter"] == {"done": 1, "AlreadyEntered": DESKS - 1}
    assert outcome["entered"] == 1


def test_the_log_is_whole_after_all_of_it(outcome):
    assert outcome["faults"] == 0
