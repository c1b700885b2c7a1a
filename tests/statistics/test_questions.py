"""Numbers about questions, over tables as kit.tables makes them."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from kit.basics.errors import BadData, OutOfRange, UnknownName
from kit.statistics import (
    agreement_by_month,
    answer_table,
    declared_slips,
    first_meetings,
    idle_slips,
    question_figures,
    questions_to_mend,
    second_tries,
    slip_shares,
    version_changes,
)
from kit.statistics.invented_crew import (
    BACKWARDS,
    FAULTS,
    LAME,
    TOO_EASY,
    TOO_HARD,
    Planted,
    invented_attempts,
    invented_bank,
    invented_ratings,
    true_difficulties,
)

ROW = {"version": 1, "occasion": 1, "verdict": "right", "slip": "", "exercise": "brine"}


def rows(*given: dict[str, object]) -> pd.DataFrame:
    """A small table of attempts: what a row does not say is as in ROW."""
    table = pd.DataFrame([ROW | each for each in given])
    table["line"] = table.groupby("person").cumcount() + 2
    table["at_utc"] = pd.Timestamp("2026-03-02", tz="UTC") + pd.to_timedelta(table["line"] * 60, unit="s")
    table["right_first_time"] = table["right_first_time"].astype("boolean")
    return table


def test_only_the_first_try_at_the_first_variant_counts():
    table = rows(
        {"person": "a", "verdict": "not yet", "right_first_time": False},
        {"person": "a", "right_first_time": None},
        {"person": "a", "occasion": 2, "right_first_time": True},
        {"person": "b", "right_first_time": True},
    )
    assert first_meetings(table)["right_first_time"].tolist() == [False, True]
    assert first_meetings(table.iloc[::-1])["right_first_time"].tolist() == [False, True], (
        "whatever the order"
    )
    found = question_figures(table, least_facility=2).iloc[0]
    assert (found["people"], found["facility"], found["attempts"], found["variants"]) == (2, 0.5, 4, 2)
    assert pd.isna(question_figures(table).iloc[0]["facility"]), "2 people are too few"


def test_practice_and_supervised_are_apart():
    table = rows(*({"person": f"p{n}", "right_first_time": n < 3} for n in range(12)))
    both = pd.concat([table.assign(setting="practice"), table.assign(setting="supervised").iloc[:10]])
    assert question_figures(both)["people"].tolist() == [12]
    assert question_figures(both, setting="supervised")["people"].tolist() == [10]
    assert first_meetings(table, setting="supervised").empty
    with pytest.raises(UnknownName, match="practice, supervised"):
        question_figures(both, setting="exam")  # type: ignore[arg-type]


def test_a_table_without_its_columns_is_refused():
    with pytest.raises(BadData, match="no column right_first_time"):
        question_figures(invented_attempts(3, 3).drop(columns="right_first_time"))


def test_discrimination_with_no_gaps_is_the_item_removed_point_biserial():
    table = invented_attempts(people=120, exercises=9)
    whole = answer_table(table)
    found = question_figures(table).set_index("exercise")["discrimination"]
    for name in whole:
        rest = whole.drop(columns=name).sum(axis=1)
        assert found[name] == pytest.approx(np.corrcoef(whole[name], rest)[0, 1], abs=1e-9)


@pytest.mark.slow
def test_gaps_by_difficulty_do_not_make_a_question_look_bad():
    table = invented_attempts(people=800, exercises=30, met_share=0.5, seed=4)
    found = question_figures(table)
    assert (found["discrimination_low"] > 0).mean() > 0.95
    hardest, easiest = found["facility"].iloc[-1], found["facility"].iloc[0]
    assert hardest < 0.35 < 0.65 < easiest, f"difficulties {true_difficulties(30)[[0, -1]]}"


def test_seconds_leave_out_pauses():
    table = rows(*({"person": "a", "exercise": f"e{n}", "right_first_time": True} for n in range(4)))
    table.loc[3, "at_utc"] += pd.Timedelta(hours=5)
    found = question_figures(table, least_facility=1).set_index("exercise")
    assert pd.isna(found.loc["e0", "seconds"]) and pd.isna(found.loc["e3", "seconds"])
    assert found.loc["e1", "seconds"] == 60


def test_the_interval_of_the_median_covers_it():
    found = question_figures(invented_attempts(people=60, exercises=200))
    assert pd.isna(found["seconds"].iloc[0]), "the first answer of a person has no answer before it"
    later = found.iloc[1:]
    median = 55.08  # of a gamma of shape 4 and scale 15 s (SciPy)
    covered = ((later["seconds_low"] <= median) & (later["seconds_high"] >= median)).mean()
    assert 0.9 <= covered <= 1


def test_a_version_that_became_easier_shows_with_its_interval():
    before = ({"person": f"a{n}", "right_first_time": n % 3 == 0} for n in range(60))
    after = ({"person": f"b{n}", "version": 2, "right_first_time": n % 3 > 0} for n in range(60))
    both = ({"person": f"a{n}", "version": 2, "right_first_time": True} for n in range(60))
    found = version_changes(rows(*before, *after, *both)).iloc[0]
    assert (found["version"], found["people"], found["people_before"]) == (2, 60, 60), (
        "who met both counts once"
    )
    assert found["change"] == pytest.approx(1 / 3)
    assert 0 < found["change_low"] < 1 / 3 < found["change_high"]


def test_shares_of_slips_add_up_and_few_misses_are_hidden():
    table = invented_attempts(people=300, exercises=5)
    found = slip_shares(table)
    assert found.groupby("exercise")["share"].sum().tolist() == pytest.approx([1] * 5)
    assert slip_shares(invented_attempts(people=8, exercises=2))["share"].isna().all()


def test_a_message_is_measured_against_the_generic_one():
    bad = (Planted("invented-001", LAME),)
    found = second_tries(invented_attempts(people=3000, exercises=3, planted=bad)).set_index("exercise")
    lame = found.loc["invented-001"]
    assert (lame["gain_high"] < 0).all() and lame["right"].tolist() == pytest.approx([0.2, 0.2], abs=0.06)
    good = found.drop(index="invented-001")
    assert (good["gain_low"] > 0).all() and (good["against"] == "its own").all()
    assert (found["tried_again"] < found["people"]).all()


def test_too_few_generic_tries_are_taken_from_all_questions():
    found = second_tries(invented_attempts(people=110, exercises=20))
    assert set(found["against"]) == {"its own", "all questions"}
    shared = found[found["against"] == "all questions"]
    assert shared["generic_tries"].nunique() == 1


def test_a_slip_nobody_makes_needs_enough_misses_to_be_called_idle():
    named = pd.DataFrame({"exercise": "invented-000", "slip": ["slip one", "never"], "in_share": [1.0, 1.0]})
    assert idle_slips(invented_attempts(people=20, exercises=1), named).empty
    found = idle_slips(invented_attempts(people=400, exercises=1), named).iloc[0]
    assert found["slip"] == "never" and 0 < found["at_most"] < 0.1


def test_the_banks_own_slips_are_drawn():
    found = declared_slips(["salt-for-brine"], variants=4)
    assert (found["in_share"] > 0).all() and len(found) >= 2


@pytest.mark.slow
def test_planted_faults_are_found_and_ranked_and_sound_questions_left_alone():
    bad = tuple(Planted(f"invented-{n:03d}", fault) for n, fault in zip((6, 9, 12, 16), FAULTS, strict=True))
    found = questions_to_mend(
        invented_attempts(people=500, exercises=40, planted=bad, seed=2), invented_bank(40)
    )
    faults = dict(zip(found["exercise"], found["fault"], strict=True))
    says = {
        BACKWARDS: "the able miss it",
        TOO_HARD: "safety: nearly all miss it",
        TOO_EASY: "safety: nearly all get it",
        LAME: "a message that helps less than none",
    }
    for each in bad:
        assert faults[each.exercise] == says[each.fault]
    assert len(set(faults) - {each.exercise for each in bad}) <= 1
    assert found["harm"].is_monotonic_decreasing
    assert found["exercise"].iloc[0] in {"invented-006", "invented-009"}


def test_a_lenient_tutor_is_seen_in_the_invented_ratings():
    months = agreement_by_month(invented_ratings(cases=120, seed=3)).set_index("tutor")
    last = months[months["month"].astype(str) == "2026-02"]["kappa"]
    assert last.idxmin() == "T3"


def test_an_invented_crew_of_nobody_or_with_an_unknown_fault_is_refused():
    for given in ({"people": 0}, {"met_share": 0}, {"planted": (Planted("invented-001", "odd"),)}):
        with pytest.raises(OutOfRange):
            invented_attempts(**({"people": 5, "exercises": 3} | given))


@pytest.mark.slow
def test_nothing_wrong_or_nobody_there_gives_an_empty_table_of_the_same_columns():
    nobody = invented_attempts(people=5, exercises=3)
    found = questions_to_mend(nobody, invented_bank(3))
    assert found.empty and list(found.columns)[:2] == ["exercise", "fault"]
    assert questions_to_mend(nobody.iloc[:0], invented_bank(3)).empty
    assert second_tries(nobody.iloc[:0]).empty and slip_shares(nobody.iloc[:0]).empty
