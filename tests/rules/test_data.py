"""Every rule is walked: its source, its place, its unit, its bounds and its two examples."""

from collections.abc import Mapping

import pytest

from kit import rules
from kit.basics.quantities import term
from kit.process.microbes.inactivation import heat_table
from kit.rules import sampling_plans

ALL = {rule.id: rule for name in rules.PROFILES for rule in rules.load(name)}
NUMBERED = [rule for rule in ALL.values() if rule.has_number]


def values_of(rule, example):
    if isinstance(example, Mapping):
        return dict(example)
    return {rule.id: example} if rule.form == "window" else {rule.quantity: example}


@pytest.mark.parametrize("rule", ALL.values(), ids=ALL)
def test_rule_points_to_a_source_and_a_place_in_it(rule):
    source = rules.sources()[rule.source]
    assert source.title and source.issuer and source.edition
    assert len(rule.locator) >= 3
    assert rule.grade in ("primary", "copy", "secondary", "memory")


@pytest.mark.parametrize("rule", ALL.values(), ids=ALL)
def test_a_limit_from_memory_says_so_and_an_unread_source_backs_no_seen_rule(rule):
    assert (rule.grade == "memory") == (not rule.seen)
    assert rule.label == ("" if rule.seen else "from memory: confirm")
    if not rules.sources()[rule.source].seen:
        assert not rule.seen


@pytest.mark.parametrize("rule", ALL.values(), ids=ALL)
def test_rule_says_itself_in_one_plain_sentence(rule):
    assert rule.says.endswith(".") and "\n" not in rule.says
    assert len(rule.says.split()) <= 45
    assert "safe" not in rule.says.lower()


@pytest.mark.parametrize("rule", NUMBERED, ids=lambda rule: rule.id)
def test_limit_has_the_glossary_unit_and_lies_in_plausible_bounds(rule):
    known = term(rule.quantity)
    assert rule.unit == known.unit
    if rule.form == "window":
        assert 10 <= rule.minutes <= 1440
        assert rule.until == "chiller" or 0 <= rule.maximum <= 30
        assert rule.from_c is None or rule.maximum < rule.from_c <= 65
    else:
        for limit in (rule.minimum, rule.maximum):
            assert limit is None or known.low <= limit <= known.high
        for row in rule.holds:
            assert known.low <= row.temp_c <= known.high and 0 <= row.minutes <= 20000


@pytest.mark.parametrize("rule", NUMBERED, ids=lambda rule: rule.id)
def test_both_examples_are_judged_as_stated(rule):
    passes = rules.judge_rule(values_of(rule, rule.example["passes"]), rule, purpose=rule.purpose)
    fails = rules.judge_rule(values_of(rule, rule.example["fails"]), rule, purpose=rule.purpose)
    assert (passes.outcome, fails.outcome) == ("met", "not met"), (passes.why, fails.why)


@pytest.mark.parametrize("rule", [r for r in ALL.values() if not r.has_number], ids=lambda rule: rule.id)
def test_a_rule_in_words_is_for_a_person(rule):
    day = rule.in_force_until or rule.in_force_from
    found = rules.judge_rule({"core_temp_c": 90.0, "hold_min": 60.0}, rule, on=day)
    assert (found.outcome, found.for_person, found.measured) == ("cannot tell", True, None)


@pytest.mark.parametrize("rule", [r for r in NUMBERED if r.kill or r.equal], ids=lambda rule: rule.id)
def test_a_kill_uses_the_numbers_of_the_table_in_process(rule):
    kill = rule.kill or rule.equal
    table = heat_table(kill.organism)
    assert (kill.ref_c, kill.minutes, kill.table_from_c) == (table.ref_c, table.ref_minutes, table.low_c)
    assert kill.z_c in [z_c for _, z_c in table.steps]


def test_every_source_is_used_or_is_the_house():
    sampled = {plan.source for table in sampling_plans.tables().values() for plan in table}
    assert {rule.source for rule in ALL.values()} | sampled | {"house"} == set(rules.sources())


def test_profiles_have_the_names_that_everything_calls():
    assert set(rules.PROFILES) >= {"ie", "uk", "us-retail", "us-processor", "codex"}
    for name in rules.PROFILES:
        profile = rules.load(name)
        assert profile.id == name
        ids = [rule.id for rule in profile]
        assert len(ids) == len(set(ids))


@pytest.mark.parametrize("name", [n for n in rules.PROFILES if n != "codex"])
def test_a_record_can_meet_every_numbered_cook_and_chill_rule(name, cooked_and_chilled):
    found = [
        verdict
        for step in ("cook", "chill")
        for purpose in ("", "plate")
        for verdict in rules.judge(cooked_and_chilled, rules.load(name), step=step, purpose=purpose)
        if purpose or rules.load(name)[verdict.rule].purpose != "plate"
    ]
    assert {v.outcome for v in found if not v.for_person} == {"met"}
    assert all(v.outcome == "cannot tell" for v in found if v.for_person)
