"""The crew over time: a published survival curve, the forecast's band in a simulation, and small crews."""

from __future__ import annotations

from datetime import date

import numpy as np
import pandas as pd
import pytest

from kit.basics.errors import BadData
from kit.statistics.crew_over_time import (
    BAND,
    LEAST_MASTERED,
    begun_days,
    days_to_master,
    first_competent,
    forecast,
    progress_by_week,
    refreshers,
    steps_mastered,
)
from kit.statistics.invented_progress import invented_progress

BEGUN = pd.Timestamp("2026-01-05")
# Freireich et al. (1963), Blood 21, 699: weeks of remission under 6-mercaptopurine, 21 people; + is censored.
# The data and the median of 23 weeks by Kaplan and Meier are widely reprinted; both from memory.
REMISSION = "6 6 6 6+ 7 9+ 10 10+ 11+ 13 16 17+ 19+ 20+ 22 23 25+ 32+ 32+ 34+ 35+".split()  # noqa: SIM905


def decided(rows):
    made = pd.DataFrame(rows, columns=["person", "criterion", "day", "decision"])
    return made.assign(day=pd.to_datetime(made["day"]), brought_in=False)


def test_the_median_is_that_of_a_published_curve_with_people_who_have_not_come_so_far():
    """Each censored person is seen until today only, so they begin so many days before it."""
    today, rows, begun = date(2026, 6, 30), [], {}
    for place, each in enumerate(REMISSION):
        days = pd.Timedelta(days=int(each.rstrip("+")))
        begun[f"p{place}"] = pd.Timestamp(today) - days if each.endswith("+") else BEGUN
        rows.append((f"p{place}", "one", pd.NaT if each.endswith("+") else BEGUN + days))
    mastered = pd.DataFrame(rows, columns=["person", "step", "mastered_day"])
    # the published set has 9 who came so far; ours asks 10 before it shows a figure
    assert days_to_master(mastered, pd.Series(begun), today)["days"].isna().all()
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("kit.statistics.crew_over_time.LEAST_MASTERED", 9)
        (found,) = days_to_master(mastered, pd.Series(begun), today).to_dict("records")
    assert (found["people"], found["mastered"], found["days"]) == (21, 9, 23)
    assert found["days_low"] < 23
    assert LEAST_MASTERED == 10


def test_a_decision_that_is_made_again_or_brought_in_or_not_competent_is_no_progress():
    table = decided(
        [
            ("p", "A", "2026-03-02", "competent"),
            ("p", "A", "2026-04-02", "competent"),
            ("p", "B", "2026-03-03", "not yet competent"),
            ("p", "C", "2026-03-04", "competent"),
        ]
    )
    table.loc[3, "brought_in"] = True
    assert first_competent(table)["day"].dt.strftime("%m-%d").tolist() == ["03-02"]
    assert progress_by_week(table)[["new", "so_far"]].to_numpy().tolist() == [[1, 1]]
    assert steps_mastered(table, {"one": ["A", "B"]})["mastered_day"].isna().all()


@pytest.mark.slow
def test_the_band_of_the_forecast_holds_the_day_as_often_as_it_says():
    """People whose decisions come at a steady pace by chance; seen on day 100, forecast 6 criteria ahead."""
    random, today = np.random.default_rng(11), BEGUN + pd.Timedelta(days=100)
    rows, truth = [], {}
    for place in range(1_500):
        days = np.cumsum(random.exponential(1 / random.uniform(0.1, 0.4), 200))
        so_far = int((days <= 100).sum())
        rows.append((f"p{place}", "before", so_far, so_far))
        rows.append((f"p{place}", "next", 0, 6))
        truth[f"p{place}"] = BEGUN + pd.Timedelta(days=float(days[so_far + 5]))
    mastered = pd.DataFrame(rows, columns=["person", "step", "competent", "of"])
    begun = pd.Series(dict.fromkeys(truth, BEGUN))
    found = forecast(mastered, begun, today.date()).dropna()
    day = found["person"].map(truth)
    within = ((day >= found["day_low"]) & (day <= found["day_high"])).mean()
    assert len(found) > 1_400
    # whole days round the ends; the standard error of the share is 0.01
    assert within == pytest.approx(BAND, abs=0.04)
    assert (day < found["day"]).mean() == pytest.approx(0.5, abs=0.05)


@pytest.mark.slow
def test_the_band_holds_for_late_steps_of_people_who_go_through_the_work_in_order():
    """Were each step taken for the next one to work on, the band would hold 20 % of the days."""
    today, later = date(2026, 3, 2), date(2028, 3, 2)
    decisions, begun = invented_progress(200, later, days=540 + 731, seed=5)
    begun = begun[begun < pd.Timestamp(today) - pd.Timedelta(days=30)]
    decisions = decisions[decisions["person"].isin(begun.index)]
    truth = steps_mastered(decisions).set_index(["person", "step"])["mastered_day"]
    until_now = steps_mastered(decisions[decisions["day"] <= pd.Timestamp(today)])
    ahead = forecast(until_now, begun, today).dropna().set_index(["person", "step"])
    day = truth[ahead.index]
    within = ((day >= ahead["day_low"]) & (day <= ahead["day_high"])).mean()
    assert len(ahead) > 150 and day.notna().all()
    assert within == pytest.approx(BAND, abs=0.07)  # steps of one person go together: fewer than they look


def test_too_few_decisions_give_no_forecast():
    mastered = pd.DataFrame({"person": ["p"], "step": ["one"], "competent": [4], "of": [6]})
    (found,) = forecast(mastered, pd.Series({"p": BEGUN}), date(2026, 3, 2)).to_dict("records")
    assert found["left"] == 2 and found["day"] is pd.NaT
    nobody = steps_mastered(decided([]))
    assert forecast(nobody, begun_days(decided([])), date(2026, 3, 2)).empty


def test_whoever_began_nowhere_is_left_out_and_a_missing_column_is_named():
    mastered = pd.DataFrame({"person": ["p"], "step": ["one"], "mastered_day": [pd.NaT]})
    assert days_to_master(mastered, begun_days(decided([])), date(2026, 3, 2)).empty
    with pytest.raises(BadData, match="no column day"):
        first_competent(decided([]).drop(columns="day"))


def standing(rows):
    made = pd.DataFrame(rows, columns=["criterion", "decision", "days_to_review", "holds"])
    made["review_day"] = BEGUN + pd.to_timedelta(made["days_to_review"], unit="D")
    return made.assign(person="p", step="cook")


def test_a_refresher_is_told_of_the_last_decision_alone():
    table = standing(
        [
            ("A", "competent", -40, False),  # replaced by the next
            ("A", "competent", 30, True),  # due on the last day that counts
            ("B", "competent", 31, True),
            ("C", "competent", -1, False),
            ("D", "competent", 90, False),  # a second signature was refused: nothing ran out
            ("E", "competent", -5, False),  # replaced by the next
            ("E", "not yet competent", np.nan, False),
        ]
    )
    (found,) = refreshers(table).to_dict("records")
    assert (found["hold"], found["due"], found["run_out"]) == (2, 1, 1)
    assert found["next_review_day"] == BEGUN + pd.Timedelta(days=30)
    assert refreshers(table[table["criterion"] == "D"]).empty


@pytest.mark.slow
def test_an_invented_crew_gives_each_figure_its_people():
    today = date(2026, 3, 2)
    decisions, begun = invented_progress(40, today, seed=3)
    mastered = steps_mastered(decisions)
    days = days_to_master(mastered, begun, today).set_index("step")
    assert days["days"].notna().sum() >= 6
    first, last = days["days"].iloc[0], days["days"].dropna().iloc[-1]
    assert first < last  # the steps come in the order of the work
    assert forecast(mastered, begun, today)["day"].notna().sum() > 40
    due = refreshers(decisions)
    assert due["due"].sum() > 0 and due["run_out"].sum() > 0
    assert begun_days(decisions).ge(begun).all()
    again, _ = invented_progress(40, today, seed=3)
    assert again.equals(decisions)
