"""How a limit is said, which part of a rule its profile's fingerprint holds, and what a label warns of."""

from dataclasses import replace

import pytest

from kit import rules
from kit.basics.errors import UnknownName
from kit.basics.quantities import TERMS
from kit.rules.model import HoldRow, LethalityLimit, kill_words, minutes_words
from kit.rules.profile import Profile

IE = rules.load("ie")


@pytest.mark.parametrize(
    ("minutes", "words"),
    [
        (0, "0 s"),
        (0.25, "15 s"),
        (0.99, "59.4 s"),
        (1, "1 min"),
        (1.5, "1.5 min"),
        (120, "120 min"),
        (179, "179 min"),
        (180, "3 h"),
        (181, "181 min"),
        (900, "15 h"),
        (1440, "24 h"),
        (2820, "47 h"),
        (2880, "2 days"),
        (2881, "2881 min"),
        (2940, "49 h"),
        (10080, "7 days"),
    ],
)
def test_a_length_of_time_is_said_as_a_cook_would(minutes, words):
    assert minutes_words(minutes) == words


@pytest.mark.parametrize(
    ("profile", "rule", "words"),
    [
        ("us-processor", "us-processor-cook-hold", "62.8 °C or more for 30 min"),
        ("ie", "ie-cook-75", "75 °C or more, or an equal treatment"),
        ("ie", "ie-chill-150", "3 °C or less within 150 min of leaving the heat"),
        ("uk", "uk-chill-start-30", "in the chiller within 30 min of leaving the heat"),
        ("uk", "uk-chill-90", "3 °C or less within 90 min of entering the chiller"),
        ("us-retail", "us-retail-cool-57-5", "from 57 to 5 °C within 6 h"),
        (
            "us-processor",
            "us-processor-listeria-6d",
            "6-log kill of Listeria, as 2 min at 70 °C (z = 7.5 °C)",
        ),
        ("ie", "ie-fridge", "from 0 to 5 °C"),
        ("ie", "ie-store-3", "3 °C or less"),
        ("us-processor", "us-processor-salt-vacuum", "3.5 % or more"),
        ("us-processor", "us-processor-target", "no number"),
    ],
)
def test_a_limit_is_said_as_a_cook_would(profile, rule, words):
    assert rules.load(profile)[rule].limit == words
    assert rules.judge_rule({}, rules.load(profile)[rule]).limit_words == words


def test_limits_with_several_rows_plain_numbers_and_long_names():
    rule = IE["ie-cook-75"]
    rows = (HoldRow(60.0, 45.0), HoldRow(70.0, 2.0), HoldRow(-20.0, 0.0, cold=True))
    said = "60 °C or more for 45 min, or 70 °C or more for 2 min, or -20 °C or less"
    assert replace(rule, rows=rows, equal=None).limit == said
    assert replace(rule, rows=rows).limit == f"{said}, or an equal treatment"
    plain = replace(IE["ie-fridge"], unit="1")
    assert plain.limit == "from 0 to 5"
    assert replace(plain, minimum=None).limit == "5 or less"
    assert replace(plain, maximum=None).limit == "0 or more"
    kill = LethalityLimit("clostridium_botulinum", 6.0, 90.0, 9.0, 10.0, 80.0)
    assert kill_words(kill) == "6-log kill of Clostridium, as 10 min at 90 °C (z = 9 °C)"


def test_a_hold_is_made_of_its_rows_or_of_its_limit_and_time():
    rule = replace(IE["ie-cook-75"], rows=(), minimum=63.0, maximum=None, minutes=30.0)
    assert rule.holds == (HoldRow(63.0, 30.0, False),)
    assert replace(rule, minimum=None, maximum=-20.0).holds == (HoldRow(-20.0, 30.0, True),)
    assert replace(rule, rows=(HoldRow(60.0, 45.0),)).holds == (HoldRow(60.0, 45.0, False),)
    for without in ({"minutes": None}, {"minimum": None}, {"form": "window"}):
        assert replace(rule, **without).holds == ()


def test_a_label_warns_of_what_was_not_read():
    seen, unseen = replace(IE["ie-store-3"], seen=True), replace(IE["ie-store-3"], seen=False)
    for rule, label in ((seen, ""), (unseen, "from memory: confirm")):
        assert rule.label == rules.judge_rule({}, rule).label == label
        assert not rules.judge_rule({}, rule).for_person and rule.has_number
    words = rules.load("us-processor")["us-processor-target"]
    assert rules.judge_rule({}, words).for_person and not words.has_number


# --- the fingerprint -----------------------------------------------------------------------------------


def profile_of(*changed):
    return Profile("test", "Test", "For tests.", changed, {})


HOLDS, WINDOW, KILL = (
    IE["ie-cook-75"],
    IE["ie-chill-150"],
    rules.load("us-processor")["us-processor-listeria-6d"],
)
JUDGED = [
    (HOLDS, {"id": "other"}),
    (HOLDS, {"step": "serve"}),
    (HOLDS, {"form": "value"}),
    (HOLDS, {"quantity": "reheat_temp_c"}),
    (HOLDS, {"unit": "K"}),
    (HOLDS, {"minimum": 74.0}),
    (HOLDS, {"maximum": 80.0}),
    (HOLDS, {"minutes": 1.0}),
    (HOLDS, {"rows": (HoldRow(75.0, 0.0),)}),
    (HOLDS, {"equal": None}),
    (HOLDS, {"equal": replace(HOLDS.equal, z_c=10.0)}),
    (HOLDS, {"applies": {"pack": "vacuum"}}),
    (WINDOW, {"from_c": 60.0}),
    (WINDOW, {"clock": "chiller"}),
    (WINDOW, {"until": "chiller"}),
    (KILL, {"kill": None}),
    (KILL, {"kill": replace(KILL.kill, logs=7.0)}),
    (KILL, {"kill": replace(KILL.kill, organism="salmonella")}),
]
NOT_JUDGED = ["title", "source", "locator", "says", "note", "tightened"]


@pytest.mark.parametrize(
    ("rule", "change"), JUDGED, ids=lambda x: next(iter(x)) if isinstance(x, dict) else x.id
)
def test_a_fingerprint_changes_with_whatever_judging_depends_on(rule, change):
    assert profile_of(rule).fingerprint != profile_of(replace(rule, **change)).fingerprint


@pytest.mark.parametrize("name", NOT_JUDGED)
def test_a_fingerprint_stays_when_only_words_change(name):
    assert profile_of(HOLDS).fingerprint == profile_of(replace(HOLDS, **{name: "other"})).fingerprint


def test_a_fingerprint_is_short_and_the_same_in_whatever_order_rules_stand():
    assert profile_of(HOLDS, WINDOW).fingerprint == profile_of(WINDOW, HOLDS).fingerprint
    assert profile_of(HOLDS, WINDOW).fingerprint != profile_of(HOLDS).fingerprint
    assert profile_of(HOLDS).fingerprint != replace(profile_of(HOLDS), id="x").fingerprint
    assert len(IE.fingerprint) == 16 and int(IE.fingerprint, 16) >= 0


# --- a profile -----------------------------------------------------------------------------------------


def test_rules_are_found_by_id_and_by_step_and_stand_in_the_order_of_the_work():
    assert IE["ie-store-3"].id == "ie-store-3" and len(IE) == len(IE.rules) == len(list(IE))
    with pytest.raises(UnknownName, match=r"rule called .ie-store-4.*ie-store-3"):
        IE["ie-store-4"]
    steps = list(rules.STEPS)
    for name in rules.PROFILES:
        profile = rules.load(name)
        places = [(steps.index(rule.step), not rule.has_number) for rule in profile]
        assert places == sorted(places)  # within a step, numbers before words
        assert [rule for step in steps for rule in profile.at(step)] == list(profile)


def test_a_profile_answers_to_its_points_and_to_no_name_but_its_own():
    with pytest.raises(UnknownName, match=r"no point called .lunch.*Known: cook, chill, store"):
        IE.answering("lunch")
    assert [rule.id for rule in IE.answering("store")] == ["ie-store-3"]
    house = rules.on_top("ie", [{"rule": "ie-store-3", "maximum": 2.5}], where="here")
    assert house.base == IE and house != IE and IE.base is None
    assert len({IE, house, rules.load("ie")}) == 2
    with pytest.raises(UnknownName):
        rules.load(f"k-lane@{house.fingerprint}")


@pytest.mark.parametrize(
    ("form", "step", "quantity", "limits", "point"),
    [
        ("hold", "cook", "core_temp_c", {"minimum": 70, "minutes": 2}, ("cook",)),
        ("window", "chill", "core_temp_c", {"maximum": 3, "minutes": 90, "clock": "door"}, ("chill",)),
        ("value", "store", "store_temp_c", {"maximum": 3}, ("store",)),
        ("value", "store", "shelf_life_days", {"maximum": 3}, ("life",)),
        ("value", "store", "frozen_store_temp_c", {"maximum": -20}, ()),
        ("value", "serve", "hot_hold_temp_c", {"minimum": 65}, ("serve",)),
        ("value", "pack", "water_phase_salt_pct", {"minimum": 3.5}, ()),
        ("value", "pack", "water_phase_salt_pct", {"minimum": 3.5, "point": "salt"}, ("salt",)),
    ],
)
def test_a_house_rule_that_names_no_point_answers_the_one_it_is_about(form, step, quantity, limits, point):
    unit = TERMS[quantity].unit
    own = {"id": "house-own", "title": "Ours", "says": "Ours.", "form": form, "step": step, "unit": unit}
    kitchen = rules.on_top("ie", [], [{**own, "quantity": quantity, **limits}], where="here")
    assert kitchen["house-own"].point == point
