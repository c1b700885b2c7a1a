"""A rule is asked only for its own purpose and pack: one pack on one day has one answer."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kit import rules
from kit.basics.errors import BadData, UnknownName
from kit.rules.loading import rule_from

PROFILES = [rules.load(name) for name in rules.PROFILES]


def outcomes(days, profile, pack):
    """The verdicts on the age of a pack, for rules of the point ``life`` alone."""
    asked = {rule.id for rule in profile.answering("life", pack=pack)}
    found = rules.judge({"shelf_life_days": float(days)}, profile, pack=pack)
    return {one.rule: one.outcome for one in found if one.rule in asked}


@given(days=st.integers(1, 30), profile=st.sampled_from(PROFILES), pack=st.sampled_from([*rules.PACKS]))
def test_one_pack_of_one_age_has_one_answer(days, profile, pack):
    told = set(outcomes(days, profile, pack).values())
    assert not {"met", "not met"} <= told
    if not any(rule.has_number for rule in profile.answering("life", pack=pack)):
        assert told <= {"cannot tell"}


@pytest.mark.parametrize(
    ("name", "pack", "days", "told"),
    [
        # Met by the vacuum rule and not met by cook-chill at once, before a rule knew its pack.
        ("uk", "vacuum", 9, {"uk-vacuum-10-days": "met"}),
        ("uk", "vacuum", 11, {"uk-vacuum-10-days": "not met"}),
        ("uk", "air", 9, {"uk-cook-chill-life": "not met"}),
        ("ie", "air", 6, {"ie-life-5": "not met"}),
        # The 5 days of cook-chill say nothing about a pack without air.
        ("ie", "vacuum", 4, {"ie-vacuum-life": "cannot tell"}),
        ("ie", "modified air", 4, {"ie-vacuum-life": "cannot tell"}),
        ("us-retail", "vacuum", 4, {"us-retail-vacuum": "cannot tell"}),
        ("us-retail", "air", 4, {"us-retail-life-7": "met"}),
        ("codex", "vacuum", 4, {"codex-botulinum": "cannot tell"}),
        ("codex", "air", 4, {}),
    ],
)
def test_the_age_of_a_pack(name, pack, days, told):
    assert outcomes(days, rules.load(name), pack) == told


def test_a_rule_for_some_packs_cannot_tell_until_the_pack_is_named():
    found = {one.rule: one for one in rules.judge({"shelf_life_days": 9.0}, rules.load("uk"))}
    assert found["uk-vacuum-10-days"].outcome == found["uk-cook-chill-life"].outcome == "cannot tell"
    assert "Say how it is packed" in found["uk-vacuum-10-days"].why


def test_salt_of_another_pack_is_not_asked():
    salted = {"water_phase_salt_pct": 2.7}
    found = {one.rule: one.outcome for one in rules.judge(salted, rules.load("us-processor"), pack="air")}
    assert found["us-processor-salt-air-fda"] == "met" and "us-processor-salt-vacuum" not in found
    found = {one.rule: one.outcome for one in rules.judge(salted, rules.load("us-processor"), pack="vacuum")}
    assert found["us-processor-salt-vacuum"] == "not met" and "us-processor-salt-air-fda" not in found


def test_an_unknown_pack_is_refused():
    with pytest.raises(UnknownName, match="pack"):
        rules.judge({"shelf_life_days": 9.0}, rules.load("uk"), pack="bag")
    with pytest.raises(UnknownName, match="pack"):
        rules.load("uk").answering("life", pack="bag")


@pytest.mark.parametrize("profile", PROFILES, ids=lambda one: one.id)
def test_every_rule_of_a_point_says_what_it_proves(profile):
    for point, asked in rules.POINTS.items():
        for rule in profile.answering(point, plate=True):
            assert not asked.purposes or rule.purpose in asked.purposes, (rule.id, point)


def test_a_rule_against_parasites_never_answers_the_cook():
    record = {
        "id": "wrong", "title": "Wrong", "step": "cook", "form": "hold", "point": "cook",
        "purpose": "parasites", "quantity": "core_temp_c", "unit": "°C", "minimum": 60.0, "minutes": 1.0,
        "source": "x", "locator": "x", "seen": False, "grade": "memory", "says": "Sixty for one minute.",
        "example": {
            "passes": {"core_temp_c": 61.0, "hold_min": 2.0},
            "fails": {"core_temp_c": 50.0, "hold_min": 2.0},
        },
    }  # fmt: skip
    with pytest.raises(BadData, match="purpose is 'parasites'"):
        rule_from(record, "here")
