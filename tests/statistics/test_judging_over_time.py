"""Judging over time: who grows lenient is found, who does not is not named, small n are hidden."""

from __future__ import annotations

from datetime import date

import numpy as np
import pandas as pd
import pytest

from kit.statistics import drift, judging_by_month, overturned, shared_ratings
from kit.statistics.agreement import LEAST_CASES

TODAY = date(2026, 12, 20)


def year(wrong: dict[str, tuple[float, float]], *, a_month: int = 30, seed: int = 1):
    """A year of decisions that a second person looked at; a tutor errs by one share until September."""
    random, rows = np.random.default_rng(seed), []
    for month in range(1, 13):
        for tutor, shares in wrong.items():
            against = random.random(a_month) < shares[month > 9]
            rows += [(tutor, pd.Timestamp(2026, month, 10), one) for one in against]
    made = pd.DataFrame(rows, columns=["decided_by", "day", "against"])
    return made.assign(second_signature=np.where(made.pop("against"), "disagreed", "agreed"))


NOTHING_SEEN = pd.DataFrame(
    {
        name: pd.Series(dtype="object")
        for name in ("person", "batch", "criterion", "observer", "outcome", "act")
    }
    | {name: pd.Series(dtype="datetime64[ns]") for name in ("day", "entered_day")}
)


def test_the_tutor_who_grew_lenient_is_found_and_the_steady_one_is_not():
    found = drift(year({"steady": (0.05, 0.05), "lenient": (0.05, 0.30)}), TODAY).set_index("tutor")
    assert found.loc["lenient", "difference_low"] > 0
    assert found.loc["steady", "difference_low"] < 0 < found.loc["steady", "difference_high"]
    months = judging_by_month(year({"lenient": (0.05, 0.30)}), NOTHING_SEEN)
    assert months["month"].astype(str).tolist() == [f"2026-{n:02d}" for n in range(1, 13)]
    assert months["share"].tail(3).mean() > months["share"].head(9).mean() + 0.15


@pytest.mark.slow
def test_how_often_a_steady_tutor_is_named_and_a_lenient_one_found():
    """Of 400 invented years each. Both ends of a 95 % interval count, so one end false is 2.5 % at most."""
    rates = {}
    for name, shares in (("steady", (0.08, 0.08)), ("lenient", (0.08, 0.35))):
        made = pd.concat(
            year({f"{name}-{n}": shares}, a_month=12, seed=n) for n in range(400)
        )  # one call for all of them
        rates[name] = (drift(made, TODAY)["difference_low"] > 0).mean()
    assert rates["steady"] <= 0.05
    assert rates["lenient"] >= 0.8


@pytest.mark.slow
def test_below_the_stated_n_nothing_is_shown():
    few = year({"T": (0.1, 0.1)}, a_month=LEAST_CASES - 1)
    assert judging_by_month(few, NOTHING_SEEN)["share"].isna().all()
    assert judging_by_month(few, NOTHING_SEEN)["looked_at"].tolist() == [LEAST_CASES - 1] * 12
    lately = few[few["day"] >= "2026-10-01"].head(LEAST_CASES - 1)
    one_side = drift(pd.concat([few[few["day"] < "2026-10-01"], lately]), TODAY)
    assert one_side["difference"].isna().all() and one_side["before_looked_at"].gt(LEAST_CASES).all()


def test_the_months_add_up_to_the_whole_year():
    made = year({"A": (0.1, 0.2), "B": (0.2, 0.1)})
    months, whole = judging_by_month(made, NOTHING_SEEN), overturned(made).set_index("tutor")
    summed = months.groupby("tutor")[["looked_at", "disagreed"]].sum()
    assert summed["disagreed"].to_dict() == whole["disagreed"].to_dict()
    assert summed["looked_at"].to_dict() == whole["looked_at"].to_dict()


def seen(rows):
    made = pd.DataFrame(rows, columns=["person", "batch", "criterion", "observer", "outcome", "day"])
    made["day"] = pd.to_datetime(made["day"])
    return made.assign(act=range(len(made)), entered_day=made["day"])


def test_the_same_work_is_one_persons_batch_of_one_day_seen_by_two():
    rows = [
        ("p", "B1", "A", "T1", "met", "2026-03-02"),
        ("p", "B1", "A", "T2", "not met", "2026-03-02"),
        ("p", "B1", "A", "T2", "met", "2026-03-02"),  # entered again: the last counts
        ("p", "B1", "A", "T1", "met", "2026-03-03"),  # another day
        ("p", "", "A", "T1", "met", "2026-03-02"),  # no batch: nobody knows whether it was the same
        ("p", None, "A", "T2", "met", "2026-03-02"),
        ("q", "B1", "A", "T2", "met", "2026-03-02"),  # another person
        ("p", "B1", "B", "T1", "met", "2026-03-02"),
        ("p", "B1", "B", "T2", "not seen", "2026-03-02"),
    ]
    found = shared_ratings(seen(rows))
    assert found[["tutor", "rating"]].to_numpy().tolist() == [["T1", "met"], ["T2", "met"]]


@pytest.mark.slow
def test_agreement_on_shared_work_stands_in_its_month():
    rows = [
        (
            f"p{n}",
            f"B{n}",
            "A",
            tutor,
            "met" if n % 2 or (tutor == "T2" and n < 2) else "not met",
            "2026-03-02",
        )
        for n in range(12)
        for tutor in ("T1", "T2")
    ]
    months = judging_by_month(year({"T1": (0, 0)}, a_month=1), seen(rows))
    march = months[months["month"].astype(str) == "2026-03"].set_index("tutor")
    assert march.loc["T1", "cases"] == 12 and march.loc["T1", "kappa"] == pytest.approx(5 / 6)
    assert march.loc["T1", "observations"] == 12 and march.loc["T1", "days"] == 0
