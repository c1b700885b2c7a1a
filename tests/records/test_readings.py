"""Readings that argue back: 41 °C is never signed competent unless somebody says why, on paper."""

import dataclasses

import pytest

from kit import criteria, rules
from kit.records.competence import deciding, observations
from kit.records.competence.observations import Observation
from kit.records.competence.readings import LONGEST_HOLD_MIN, Contradicted, contradictions, despite_words
from kit.records.ledger import texts
from kit.records.people.named_acts import marks_in, tell_acts
from kit.records.reports.inspector_report import inspector_file
from kit.records.reports.person_page import criterion_page
from kit.views.tutor import person
from tests.records.test_papers import MADE, flat

KNOWN = {one.id: one for one in criteria.load()}
WHY = "The probe was proved wrong at once; a second one read 78 °C."


@pytest.fixture
def cooks(kitchen):
    """The small bank's criterion on cooking claims the cook limit, as the kit's own does."""
    bank = kitchen.tutor.catalogue
    claims = dataclasses.replace(bank.criteria["COK-P01"], limit_point="cook")
    known = {**bank.criteria, "COK-P01": claims}
    catalogue = type(bank)()
    catalogue.__dict__["criteria"] = known
    kitchen.tutor = dataclasses.replace(kitchen.tutor, catalogue=catalogue)
    kitchen.verifier = dataclasses.replace(kitchen.verifier, catalogue=catalogue)
    return kitchen


def see(kitchen, day, core_temp_c, **more):
    today = kitchen.clock.on(day)
    facts = {"batch": f"B{day}", "declared": True, "measures": {"core_temp_c": core_temp_c}} | more
    return observations.observe(
        kitchen.tutor, Observation(kitchen.apprentice, "cook", today, {"COK-P01": "met"}, **facts)
    )


# The limits are those of the rule files, where each has its source: 75 °C or equal (ie), rows of holds (uk).
@pytest.mark.parametrize(
    ("criterion", "measures", "profile", "against"),
    [
        ("COK-P01", {"core_temp_c": 41.0}, "ie", True),
        ("COK-P01", {"core_temp_c": 41.0}, "uk", True),
        ("COK-P01", {"core_temp_c": 41.0}, "us-processor", True),
        ("COK-P01", {"core_temp_c": 41.0}, "us-retail", True),
        ("COK-P01", {"core_temp_c": 76.0}, "ie", False),
        (
            "COK-P01",
            {"core_temp_c": 72.0},
            "ie",
            False,
        ),  # held for long, it may be equal
        ("COK-P01", {"core_temp_c": 72.0, "hold_min": 0.2}, "ie", True),
        ("COK-P01", {"core_temp_c": 65.0, "hold_min": 2.0}, "uk", True),
        ("COK-P01", {"core_temp_c": 65.0, "hold_min": 10.0}, "uk", False),
        ("COK-P03", {"core_temp_c": 41.0}, "ie", False),  # it claims no limit
        ("CHL-P01", {"core_temp_c": 12.0}, "ie", True),
        ("CHL-P01", {"core_temp_c": 2.0, "chill_min": 151.0}, "ie", True),
        ("CHL-P01", {"core_temp_c": 2.0, "chill_min": 149.0}, "ie", False),
        ("CHL-P01", {"core_temp_c": 2.0, "chill_min": 100.0}, "uk", False),  # 30 min to the chiller, then 90
        ("CHL-P01", {"core_temp_c": 2.0, "chill_min": 121.0}, "uk", True),
        (
            "CHL-P01",
            {"core_temp_c": 2.0, "chill_min": 300.0},
            "us-retail",
            False,
        ),  # its clock starts at 57 °C
        ("PLS-P04", {"air_temp_c": 9.0}, "ie", True),
        ("PLS-P04", {"air_temp_c": 40.0}, "ie", True),
        ("PLS-P04", {"air_temp_c": 2.0}, "codex", False),  # its only number is for a frozen store
        ("PLS-P04", {"air_temp_c": 2.0}, "ie", False),
        ("COK-P01", {}, "ie", False),
    ],
)
def test_a_reading_against_the_limit_that_is_claimed(criterion, measures, profile, against):
    facts = {"points": {criterion: "met"}, "measures": measures}
    assert bool(contradictions(facts, KNOWN, rules.load(profile))) is against
    assert not contradictions(facts | {"points": {criterion: "not met"}}, KNOWN, rules.load(profile))


def test_the_longest_hold_is_as_long_as_any_that_a_rule_asks_for():
    rows = [
        row
        for name in rules.PROFILES
        for rule in rules.load(name).rules
        for row in rule.holds
        if not row.cold
    ]
    assert max(row.minutes for row in rows) == LONGEST_HOLD_MIN


@pytest.mark.parametrize(
    "measures",
    [{"core_temp_c": "hot"}, {"core_temp_c": None}, {"hold_min": [1]}, {"core_temp_c": True}, {"x": {}}],
)
def test_an_act_that_was_tampered_with_is_no_crash(measures):
    points = {"COK-P01": "met", "CHL-P01": "met", "PLS-P04": "met"}
    facts = {"points": points, "measures": measures, "verdicts": 5}
    assert contradictions(facts, KNOWN, rules.load("ie")) == ()


def test_a_log_on_file_that_misses_the_limit_counts_against_it():
    verdicts = [{"rule": "ie-cook-75", "outcome": "not met"}, {"rule": "ie-store-3", "outcome": "not met"}]
    facts = {"points": {"COK-P01": "met"}, "measures": {}, "verdicts": verdicts}
    assert [one.rule for one in contradictions(facts, KNOWN, rules.load("ie"))] == ["ie-cook-75"]


@pytest.mark.slow
def test_41_degrees_is_not_observed_as_met_without_a_reason_and_the_reason_is_printed(cooks, bank):
    with pytest.raises(Contradicted, match="a core of 41 °C: the kitchen's rule asks for 75 °C"):
        see(cooks, 1, 41.0)
    assert see(cooks, 1, 78.0).facts.get("against") is None  # an honest observation asks for nothing more
    act = see(cooks, 2, 41.0, despite=WHY)
    assert act.facts["against"][0]["rule"] == "ie-cook-75"
    with pytest.raises(Contradicted, match=f"act {act.number}"):
        deciding.decide(cooks.tutor, cooks.apprentice, "COK-P01", "competent", "Seen twice.")
    done = deciding.decide(cooks.tutor, cooks.apprentice, "COK-P01", "competent", "Seen twice.", despite=WHY)
    with cooks.records.reading() as connection:
        told = {one.number: one for one in tell_acts(connection, people=[cooks.apprentice])}
    assert WHY in despite_words(told[done.number].facts)
    paper = flat(inspector_file(cooks.records, cooks.apprentice, MADE, cooks.tutor.catalogue))
    assert "core temp 41 °C" in paper.replace("temperature", "temp")
    assert WHY in paper and "Against it" in paper
    page = criterion_page(cooks.tutor, cooks.apprentice, "COK-P01")
    with cooks.records.reading() as connection:
        words = texts.tell_all(connection, marks_in([one.facts for one in page.seen]))
    shown = person.criterion_blocks(page, words, frozenset({"tutor"}), bank, close=("Close", "close"))
    assert WHY in str(shown) and texts.ERASED not in str(shown)


@pytest.mark.slow
def test_an_old_decision_on_41_degrees_is_not_agreed_to(cooks, monkeypatch):
    """As records of before hold them: observed and decided without a word."""
    with monkeypatch.context() as before:
        before.setattr(observations, "contradictions", lambda *_: ())
        before.setattr(deciding, "against_decision", lambda *_: [])
        for day in (1, 2, 3):
            see(cooks, day, 41.0)
        done = deciding.decide(cooks.tutor, cooks.apprentice, "COK-P01", "competent", "Seen.")
    paper = flat(inspector_file(cooks.records, cooks.apprentice, MADE, cooks.tutor.catalogue))
    assert "AGAINST IT" in paper
    with pytest.raises(Contradicted, match="41 °C"):
        deciding.verify(cooks.verifier, done.number, True, "Read the sheets.")
    assert deciding.verify(cooks.verifier, done.number, False, "The core was at 41 °C.").kind == "second"


def test_a_weight_that_grows_by_more_than_a_cure_gives_is_a_mistake(cooks):
    with pytest.raises(observations.OutOfRange, match="mixed up"):
        see(cooks, 1, 78.0, measures={"weight_before_g": 800, "weight_after_g": 1400})


def test_a_loss_that_no_step_makes_needs_a_reason(kitchen):
    """The attack: any two weights will do, nobody works out the loss."""
    measures = {"weight_before_g": 1400.0, "weight_after_g": 520.0}
    with pytest.raises(Contradicted, match="a loss of 63 %"):
        kitchen.see(1, measures=measures)
    assert kitchen.see(1, "not met", measures=measures).facts.get("against") is None
    assert kitchen.see(2, measures={"weight_before_g": 1400.0, "weight_after_g": 1260.0}).facts["measures"]
