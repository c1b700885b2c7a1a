"""The copied sitting is found, an honest crew left alone; the chance is that of another way to count."""

from __future__ import annotations

from itertools import product

import numpy as np
import pandas as pd
import pytest

from kit.basics.errors import OutOfRange, UnknownName
from kit.statistics import alike
from kit.statistics.copying import LEAST_SHARED
from kit.statistics.invented_sittings import copied, invented_sittings

PAIR = ["P00003", "P00007"]


def test_a_copied_sitting_is_found_and_told_with_its_times():
    sat = copied(invented_sittings(40, 40, seed=5), *PAIR, share=0.9, seed=5)
    (row,) = alike(sat).to_dict("records")
    assert [row["first"], row["second"]] == PAIR and row["shared"] == 40
    assert row["matches"] > row["expected"] + 10 and row["slips"] > 5
    assert row["apart_min"] == pytest.approx(0.5)  # copied half a minute later


def test_an_honest_crew_shows_nobody_and_too_few_questions_are_not_compared():
    honest = alike(invented_sittings(60, 40, guessers=0.2, forgetful=0.2, seed=8))
    assert honest.empty and honest.attrs["pairs"] == 60 * 59 // 2
    short = copied(invented_sittings(12, LEAST_SHARED - 1, seed=5), *PAIR, share=1.0)
    found = alike(short)
    assert found.empty and found.attrs["pairs"] == 0


def test_the_chance_is_that_of_counting_every_case():
    """With few questions all outcomes can be gone through: no convolution, another way to the sum."""
    sat = copied(invented_sittings(14, 10, seed=3), *PAIR, share=1.0, seed=3)
    found = alike(sat, false_alarms=0.5, least_shared=10)
    row = found[found["first"].eq(PAIR[0]) & found["second"].eq(PAIR[1])].iloc[0]
    from kit.statistics import copying

    people, right, slips = copying._tables(sat)
    chance, slip = copying._chances(right), copying._slip_matches(right, slips)
    one, two = (list(people).index(name) for name in PAIR)
    each = chance[one] * chance[two] + (1 - chance[one]) * (1 - chance[two]) * slip
    whole = sum(
        np.prod([p if hit else 1 - p for p, hit in zip(each, case, strict=True)])
        for case in product((0, 1), repeat=10)
        if sum(case) >= row["matches"]
    )
    assert row["chance"] == pytest.approx(whole, rel=1e-9)
    assert row["expected"] == pytest.approx(each.sum(), abs=1e-4)


def test_a_wrong_answer_without_a_named_slip_matches_nothing():
    sat = invented_sittings(30, 30, seed=4)
    sat.loc[sat["person"].isin(PAIR), ["right", "slip"]] = [False, ""]
    assert alike(sat).empty


@pytest.mark.parametrize("more", [{"false_alarms": 0.0}, {"false_alarms": 0.9}, {"least_shared": 1}])
def test_what_makes_no_sense_is_refused(more):
    with pytest.raises(OutOfRange):
        alike(invented_sittings(3, 4), **more)


def test_nobody_copies_from_who_did_not_sit_and_an_empty_table_has_no_pair():
    with pytest.raises(UnknownName):
        copied(invented_sittings(3, 4), "P00009", "P00001", share=1.0)
    empty = pd.DataFrame({"person": [], "exercise": [], "right": [], "slip": []})
    assert alike(empty).empty
