"""One more country is one file: every place that rules reach knows it, and no old question changes."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

import kit
from kit import exercises
from kit.basics.errors import BadData
from kit.rules.loading import profile_from

DATA = Path(__file__).parent / "data"
FILE = DATA / "skerrymore.toml"

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    """Return what a kit with that one file more says, place by place."""
    place = tmp_path_factory.mktemp("skerrymore")
    shutil.copytree(Path(kit.__file__).parent, place / "lib" / "kit")
    shutil.copy(FILE, place / "lib" / "kit" / "rules" / "data" / "profiles")
    more = {"PYTHONPATH": str(place / "lib"), "SMOKEHOUSE_HOME": str(place / "home"), "PYTHONUTF8": "1"}
    done = subprocess.run(
        [sys.executable, str(DATA / "visit.py")],
        cwd=place, env={**os.environ, **more}, capture_output=True, text=True, encoding="utf-8", check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def test_it_is_on_the_list_and_its_rules_are_shown_with_its_own_source(told):
    assert "skerrymore" in told["names"]
    assert "68.4 °C or more for 12 min" in told["rules"] and "Fish Act of Skerrymore" in told["rules"]
    ((title, sources),) = told["sources"]
    assert title == "Skerrymore (skerrymore)" and any("Assembly of Skerrymore" in one for one in sources)


def test_every_exercise_on_the_kitchens_own_rules_asks_by_it(told):
    limits = ("68.4 °C", "140 min", "3.6 °C", "3.4 °C", "8 days")
    assert len(told["questions"]) >= 8
    for name, texts in told["questions"].items():
        for text in texts:
            assert "Skerrymore" in text and any(limit in text for limit in limits), (name, text)


def test_the_whole_batch_is_played_by_it(told):
    cook, chill, pack = told["batch"]["card"]
    assert cook.startswith("Limit in the core: 68.4 °C or more for 12 min.")
    assert "3.6 °C or less within 140 min of leaving the heat" in chill
    assert "Store 3.4 °C or less" in pack and "8 days on the label" in pack
    assert told["batch"]["verdicts"] == ["met", "met"] and told["batch"]["findings"] == []


def test_a_loggers_file_is_checked_by_it(told):
    assert "Rules of Skerrymore" in told["log"]
    assert "Core at 68.4 °C for 12 min" in told["log"] and "Chill to 3.6 °C within 140 min" in told["log"]
    assert "cannot tell" not in told["log"].lower()


def test_the_observation_sheet_bears_its_limits(told):
    assert "Limits in force: Skerrymore" in told["sheet"] and "3.6 °C or less within 140 min" in told["sheet"]


def test_the_explorers_say_how_the_settings_stand_to_it(told):
    cook, chill = told["explorers"]
    assert cook == "Your rules (Skerrymore): 68.4 °C or more for 12 min: not met"
    assert chill == "Your rules (Skerrymore): 3.6 °C or less within 140 min of leaving the heat: met"


def test_a_kitchen_under_it_is_joined_banner_batch_sheet_and_book(told):
    named = "Harbour Lane: Skerrymore, with house limits"
    at_work = told["kitchen"]
    assert at_work["banner"] == f"Rules in force: {named}" and at_work["batch"] == named
    assert f"Limits in force: {named}" in at_work["sheet"]
    assert at_work["book"] == ["taken", 1, 1, []]


def test_no_question_of_the_other_profiles_changes(told):
    here = [exercises.fingerprint(exercises.question("own-rule-counts", seed, "ie")) for seed in range(30)]
    assert told["before"] == here


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ('point = "life"\n', "", "no rule has point = 'life'"),
        ('point = "life"', 'point = "lunch"', "point is 'lunch'. Expected: one of cook, chill, store, life"),
        (
            'point = "life"',
            'point = "chill"',
            "point is 'chill', but form is 'value'",
        ),
        ('point = "life"', 'point = "salt"', "point is 'salt', but it sets no minimum"),
        ('id = "skerry-life"', 'id = "skerry-store"', "the rule 'skerry-store' stands twice"),
        ("[source.skerry-fish-act]", "[source.other]", "the source 'skerry-fish-act' of the rule"),
        ('id = "skerrymore"', 'id = "skerry"', "it is not the profile 'skerrymore'"),
        ("[profile]", "[head]", "unknown name 'head'"),
    ],
)
def test_a_file_that_leaves_a_point_open_is_refused_and_the_point_named(old, new, says):
    text = FILE.read_text(encoding="utf-8")
    assert profile_from("skerrymore", text.encode()).title == "Skerrymore"
    assert old in text
    with pytest.raises(BadData) as refused:
        profile_from("skerrymore", text.replace(old, new, 1).encode())
    assert says in str(refused.value)
