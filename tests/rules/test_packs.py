"""A rule is asked only for its own purpose and pack: one pack on one day has one answer."""

import tomllib
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kit import rules
from kit.basics.errors import BadData, UnknownName
from kit.rules.loading import profile_from, rule_from

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


DAY = date(2026, 11, 1)
KEPT_PURPOSES = ("plate", "kept", "parasites", "cooling", "keeping")
HOT_AND_LONG = {"core_temp_c": 95.0, "hold_min": 90.0, "store_temp_c": 2.0, "shelf_life_days": 3.0}


@given(
    core_c=st.floats(55, 95), hold_min=st.floats(0, 120), days=st.floats(1, 20), salt=st.floats(0, 5),
    profile=st.sampled_from(PROFILES), purpose=st.sampled_from(KEPT_PURPOSES),
    pack=st.sampled_from(["", *rules.PACKS]),
)  # fmt: skip
def test_no_rule_serves_another_purpose_or_pack(core_c, hold_min, days, salt, profile, purpose, pack):
    shown = {
        "core_temp_c": core_c, "hold_min": hold_min, "shelf_life_days": days, "water_phase_salt_pct": salt,
    }  # fmt: skip
    told = rules.judge(shown, profile, purpose=purpose, pack=pack, on=DAY)
    assert told
    for found in told:
        if found.rule != "no-rule":
            rule = profile[found.rule]
            assert rule.purpose == purpose and rule.fits(pack)
    for rule in profile:
        wrong_pack = bool(pack and rule.pack and pack not in rule.pack)
        if rule.in_force(DAY) and (rule.purpose != purpose or wrong_pack):
            assert rules.judge_rule(shown, rule, purpose=purpose, pack=pack, on=DAY).outcome != "met"


@pytest.mark.parametrize("profile", PROFILES, ids=lambda one: one.id)
def test_a_minute_at_60_kills_larvae_and_proves_nothing_for_kept_fish(profile):
    """The attack: the heat against parasites taken for the kill before cooling."""
    shown = {"core_temp_c": 61.0, "hold_min": 1.5}
    assert "met" not in {found.outcome for found in rules.judge(shown, profile, purpose="kept")}
    assert "met" not in {found.outcome for found in rules.judge(shown, profile, purpose="plate")}
    if profile.id in ("ie", "uk"):
        found = {one.rule: one.outcome for one in rules.judge(shown, profile, purpose="parasites")}
        assert found["eu-parasite-heat"] == "met"
        told = rules.judge_rule(shown, profile["eu-parasite-heat"], purpose="kept")
        assert told.outcome == "cannot tell" and "against parasites only" in told.why


def test_ireland_cannot_tell_how_long_a_vacuum_pack_lives():
    for pack in ("vacuum", "modified air"):
        told = rules.judge({"shelf_life_days": 1.0}, rules.load("ie"), purpose="keeping", pack=pack)
        assert {found.outcome for found in told} == {"cannot tell"}
        assert "ie-vacuum-life" in {found.rule for found in told}


@pytest.mark.parametrize(
    ("name", "purpose", "pack", "says"),
    [
        ("ie", "plate", "", "Ireland has no rule for food eaten at once."),
        (
            "codex",
            "keeping",
            "air",
            "no rule for the time in the cold for fish packed in air at the step store.",
        ),
        ("us-processor", "parasites", "", "has no rule against parasites only."),
    ],
)
def test_without_a_rule_for_the_purpose_the_profile_cannot_tell(name, purpose, pack, says):
    step = "store" if purpose == "keeping" else None
    (told,) = rules.judge(HOT_AND_LONG, rules.load(name), step=step, purpose=purpose, pack=pack)
    assert (told.rule, told.outcome, told.for_person) == ("no-rule", "cannot tell", True)
    assert says in told.why and "A competent person or the authority decides." in told.why


def test_a_frozen_pack_is_judged_by_the_rule_for_frozen_fish_alone():
    ie = rules.load("ie")
    shown = {"store_temp_c": 2.0, "frozen_store_temp_c": -19.0}
    frozen = {one.rule: one.outcome for one in rules.judge(shown, ie, step="store", pack="frozen")}
    assert frozen["eu-frozen-fish-temp"] == "met" and "ie-store-3" not in frozen
    chilled = {one.rule: one.outcome for one in rules.judge(shown, ie, step="store", pack="vacuum")}
    assert chilled["ie-store-3"] == "met" and "eu-frozen-fish-temp" not in chilled
    unnamed = {one.rule: one.outcome for one in rules.judge(shown, ie, step="store")}
    assert (unnamed["ie-store-3"], unnamed["eu-frozen-fish-temp"]) == ("met", "cannot tell")


def test_every_file_of_rules_names_purpose_and_pack_of_each():
    data = Path(rules.__file__).parent / "data"
    files = [*data.glob("*.toml"), *(data / "profiles").glob("*.toml")]
    read = [(file.name, tomllib.loads(file.read_text(encoding="utf-8"))) for file in files]
    records = [(name, rule) for name, told in read for rule in told.get("rule", []) if isinstance(rule, dict)]
    assert len(records) >= 90
    for name, rule in records:
        assert rule.get("purpose") in rules.PURPOSES, (name, rule["id"])
        assert rule.get("pack") == "any" or set(rule["pack"]) <= set(rules.PACKS), (name, rule["id"])


@pytest.mark.parametrize("left_out", ["purpose", "pack"])
def test_a_profiles_rule_without_purpose_or_pack_is_refused(left_out):
    text = (Path(__file__).parent / "data" / "skerrymore.toml").read_text(encoding="utf-8")
    cut = "\n".join(line for line in text.splitlines() if not line.startswith(f"{left_out} ="))
    with pytest.raises(BadData, match=f"'skerry-cook': it names no {left_out}"):
        profile_from("skerrymore", cut.encode())


def test_a_house_rule_that_names_no_purpose_has_that_of_its_step():
    own = {
        "id": "house-cook", "title": "Ours", "step": "cook", "form": "hold", "quantity": "core_temp_c",
        "unit": "°C", "minimum": 80.0, "minutes": 5.0, "says": "80 °C for 5 min.",
        "example": {
            "passes": {"core_temp_c": 81.0, "hold_min": 5.0}, "fails": {"core_temp_c": 70.0, "hold_min": 5.0}
        },
    }  # fmt: skip
    kitchen = rules.on_top("ie", [], [own], where="here")
    assert kitchen["house-cook"].purpose == "kept"
    judged = rules.judge({"core_temp_c": 76.0, "hold_min": 5.0}, kitchen, purpose="kept")
    assert {one.rule: one.outcome for one in judged}["house-cook"] == "not met"


def test_a_rule_replaced_by_one_that_is_not_there_is_refused():
    text = (Path(__file__).parent / "data" / "skerrymore.toml").read_text(encoding="utf-8")
    more = text.replace('id = "skerry-life"', 'id = "skerry-life"\nreplaced_by = "skerry-none"')
    with pytest.raises(BadData, match="'skerry-life' was replaced by 'skerry-none'"):
        profile_from("skerrymore", more.encode())


def test_an_unknown_purpose_is_refused():
    with pytest.raises(UnknownName, match="purpose"):
        rules.judge({}, rules.load("ie"), purpose="lunch")
    with pytest.raises(UnknownName, match="purpose"):
        rules.judge_rule({}, rules.load("ie")["ie-cook-75"], purpose="lunch")


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
