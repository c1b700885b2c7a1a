"""Statistics of scales, judges and tutors: edges, hidden figures, bad input."""

from __future__ import annotations

import math

import numpy as np
import pandas as pd
import pytest

from kit.basics.errors import BadData, KitError, OutOfRange, UnknownName
from kit.statistics import (
    agreement_by_month,
    alpha,
    angoff_cut,
    borderline_cut,
    cohen_kappa,
    days_until_entered,
    error_of_measurement,
    fleiss_kappa,
    kr20,
    kr21,
    krippendorff_alpha,
    overturned,
    persons,
    rasch,
    rasch_marginal,
)

FEW = [[1, 1, 0], [1, 0, 0], [1, 1, 1], [0, 0, 0]]


@pytest.mark.parametrize("of", [alpha, kr20, kr21, error_of_measurement])
def test_a_figure_of_too_few_is_hidden_and_says_so(of):
    found = of(FEW)
    assert not found.shown and math.isnan(found.low) and math.isnan(found.high)
    assert str(found).endswith("hidden, n 4 is below 30")
    assert of(FEW, least_n=4).shown


@pytest.mark.parametrize("of", [alpha, kr20, kr21, error_of_measurement])
@pytest.mark.parametrize(
    "scores", [[[1], [0], [1]], [[1, 1], [1, 1]], [[1, 0]], [[math.nan, 1], [1, math.nan]]]
)
def test_a_figure_that_is_not_defined_says_why(of, scores):
    found = of(scores, least_n=0)
    assert not found.shown
    assert "none, it needs 2 items, 2 people" in str(found)


def test_the_interval_of_alpha_covers_the_truth_as_often_as_it_says():
    """Four parallel items of equal variance: alpha of everybody is 4 × 0.5 / (1 + 3 × 0.5) = 0.8."""
    random = np.random.RandomState(7)
    hits = 0
    for _ in range(400):
        common = random.normal(size=(60, 1))
        found = alpha(common + random.normal(size=(60, 4)))
        hits += found.low <= 0.8 <= found.high
    assert 0.92 <= hits / 400 <= 0.98


@pytest.mark.parametrize(
    ("answers", "says"),
    [([[1, 2], [0, 1]], "is 2; it must be from 0 to 1"), ([[0.5, 1], [0, 1]], "0.5 is neither 1, right,")],
)
def test_points_are_no_right_or_wrong(answers, says: str):
    for of in (kr20, kr21, rasch, rasch_marginal):
        with pytest.raises(KitError, match=says):
            of(answers)


@pytest.mark.parametrize("scores", ["abc", [["x", 1]], [1, 2], [[math.inf, 1]]])
def test_no_table_of_numbers_is_refused(scores):
    with pytest.raises(BadData):
        alpha(scores)


def test_alpha_with_an_unknown_way_of_gaps_is_refused():
    with pytest.raises(OutOfRange, match="'listwise' or 'pairwise'"):
        alpha(FEW, gaps="some")  # type: ignore[arg-type]


def test_kappa_is_not_defined_where_all_say_one_thing():
    alike = cohen_kappa(["met"] * 20, ["met"] * 20)
    assert not alike.shown and "one and the same rating" in str(alike)
    assert not fleiss_kappa([[3, 0]] * 12).shown
    assert not krippendorff_alpha([[1, 1]] * 12).shown
    assert not krippendorff_alpha([[1, math.nan]] * 12).shown


def test_kappa_leaves_out_cases_with_a_gap_and_takes_words():
    one, two = ["met", "not met", None] * 8, ["met", "not met", "met"] * 8
    found = cohen_kappa(one, two)
    assert (found.value, found.n) == (1.0, 16)
    assert not cohen_kappa(one[:9], two[:9]).shown, "6 cases are too few"


def test_what_cannot_be_paired_is_refused():
    with pytest.raises(BadData, match="3 of one tutor and 2 of the other"):
        cohen_kappa([1, 0, 1], [1, 0])
    with pytest.raises(BadData, match="same number of tutors"):
        fleiss_kappa([[3, 0], [1, 1]])
    with pytest.raises(UnknownName, match="ordinal"):
        krippendorff_alpha([[1, 1]], level="ordnal")  # type: ignore[arg-type]


def test_a_tutor_who_drifts_shows_in_the_later_month():
    random = np.random.RandomState(3)
    rows = []
    for case in range(200):
        truth = int(random.random_sample() < 0.5)
        month = "2026-03-10" if case < 100 else "2026-04-10"
        lenient = 1 if case >= 100 and random.random_sample() < 0.7 else truth
        rows += [(case, "steady", month, truth), (case, "drifts", month, lenient)]
    found = agreement_by_month(pd.DataFrame(rows, columns=["case", "tutor", "day", "rating"]))
    kappa = found.set_index(["tutor", found["month"].astype(str)])["kappa"]
    assert kappa["drifts", "2026-03"] == 1.0
    assert kappa["drifts", "2026-04"] < 0.5
    assert found["cases"].tolist() == [100] * 4


def test_days_until_entered_count_an_observation_once_and_hide_few():
    acts = [number for number in range(14) for _ in range(3)]
    seen = pd.DataFrame({"act": acts, "day": pd.Timestamp("2026-03-02")})
    seen["observer"] = np.where(seen["act"] < 12, "T1", "T2")
    seen["entered_day"] = seen["day"] + pd.to_timedelta(seen["act"] % 4, unit="D")
    found = days_until_entered(seen).set_index("tutor")
    assert found["observations"].tolist() == [12, 2]
    assert found.loc["T1", "days"] == 1.5 and found.loc["T1", "days_low"] <= 1 <= found.loc["T1", "days_high"]
    assert pd.isna(found.loc["T2", "days"])


def test_few_second_signatures_are_hidden():
    signed = pd.DataFrame({"decided_by": ["T1"] * 12 + ["T2"] * 3, "second_signature": ["agreed"] * 15})
    found = overturned(signed).set_index("tutor")
    assert found.loc["T1", "share"] == 0 and 0 < found.loc["T1", "share_high"] < 0.3
    assert pd.isna(found.loc["T2", "share"])
    assert found["looked_at"].tolist() == [12, 3]


SHEETS = pd.DataFrame(
    np.tile([0.4, 0.6, 0.8], (4, 1)) + np.array([[-0.1], [0.0], [0.0], [0.1]]), index=["a", "b", "c", "d"]
)


def test_the_second_round_counts_and_the_first_is_compared():
    calm = SHEETS * 0.5 + SHEETS.mean() * 0.5 + 0.05
    found = angoff_cut(SHEETS, calm)
    assert found.cut == pytest.approx(1.8 + 0.15)
    assert found.moved == pytest.approx(0.15)
    assert found.calmed == pytest.approx(0.5)
    assert math.isnan(angoff_cut(SHEETS).moved)


def test_judges_sheets_that_cannot_be_used_are_named():
    half = SHEETS.mask(SHEETS > 0.89)
    with pytest.raises(BadData, match="half filled: judge d, item 2"):
        angoff_cut(half)
    with pytest.raises(OutOfRange, match="Was a chance given in per cent"):
        angoff_cut(SHEETS * 100)
    with pytest.raises(BadData, match="1 judges"):
        angoff_cut(SHEETS.iloc[:1])
    with pytest.raises(BadData, match="other judges or items"):
        angoff_cut(SHEETS, SHEETS.rename(index={"a": "e"}))


@pytest.mark.slow
def test_borderline_scores_that_cannot_be_used_are_named():
    grades, scores = [1, 2, 2, 3], [40, 55, 60, 75]
    with pytest.raises(OutOfRange, match="borderline is 4"):
        borderline_cut(grades, scores, 4)
    with pytest.raises(OutOfRange, match="points is 55; it must be from 0 to 50"):
        borderline_cut(grades, scores, 2, most=50)
    with pytest.raises(OutOfRange, match=r"cut is 116\.66"):  # a line through a bend leaves the scale
        borderline_cut([1, 2, 3], [0, 100, 100], 3, most=100)
    for pair, says in (
        (([1, 2, 3], [40, 50]), "3 grades and 2 scores"),
        (([1, 2, math.nan], [40, 50, 60]), "without a grade"),
        (([1, 2], [40, 50]), "2 people"),
        (([2, 2, 2], [40, 50, 60]), "everybody has the grade 2"),
    ):
        with pytest.raises(BadData, match=says):
            borderline_cut(*pair, 2)


def test_rasch_leaves_out_what_cannot_be_compared_and_says_which():
    answers = np.array([[1, 0, 1, 1], [0, 1, 1, 0], [1, 1, 1, 0], [1, 0, 1, 0], [0, 0, 1, 1], [0, 1, 1, 1.0]])
    found = rasch(answers)
    assert found.left_out == (2,)
    assert math.isnan(found.difficulty[2]) and np.isfinite(found.difficulty[[0, 1, 3]]).all()
    assert np.isfinite(persons(answers, found).ability).all()
    with pytest.raises(BadData, match="fewer than 2 items"):
        rasch([[1, 0], [1, 0]])


def test_rasch_finds_difficulties_through_gaps_and_people_of_two_levels():
    """Half of the people are strong and meet the hard half more often: shares right would mislead."""
    random = np.random.RandomState(5)
    true = np.linspace(-1.5, 1.5, 20)
    ability = np.repeat([-1.0, 1.5], 1000)
    chance = 1 / (1 + np.exp(true - ability[:, None]))
    answers = (random.random_sample(chance.shape) < chance).astype(float)
    seldom = np.where((ability[:, None] > 0) == (true > 0), 0.9, 0.35)
    answers[random.random_sample(answers.shape) > seldom] = np.nan
    found = rasch(answers)
    off = (found.difficulty - true) / found.error
    assert np.sqrt((off**2).mean()) < 1.5, "errors are as large as they say"
    assert np.sqrt(((found.difficulty - true) ** 2).mean()) < 0.12
    share = np.nanmean(answers, axis=0)
    assert np.corrcoef(share, -true)[0, 1] < 0.99 < np.corrcoef(found.difficulty, true)[0, 1]


@pytest.mark.slow
def test_a_guesser_and_an_item_of_noise_do_not_fit():
    random = np.random.RandomState(9)
    true = np.linspace(-2, 2, 30)
    ability = random.normal(size=600)
    answers = (random.random_sample((600, 30)) < 1 / (1 + np.exp(true - ability[:, None]))).astype(float)
    answers[:, 12] = random.random_sample(600) < 0.5
    answers[0] = (true > 0).astype(float)  # right on the hard half alone
    fit = rasch(answers)
    assert fit.outfit_z[12] > 4 and np.argmax(fit.infit_z) == 12
    assert np.abs(np.delete(fit.infit_z, 12)).max() < 4
    people = persons(answers, fit)
    assert people.outfit_z[0] > 2.5 and np.argmax(people.infit) == 0
