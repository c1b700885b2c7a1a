"""Tracing: what a lot reached, whether kilos balance, and records that cannot be."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.sparse import csr_array
from scipy.sparse.csgraph import breadth_first_order

from kit.basics.errors import BadData, OutOfRange, UnknownName
from kit.process.selling.tracing import (
    LotMove,
    came_from,
    found_pct,
    mass_balance,
    recall,
    went_into,
)

# any records whose lots go one way only: a move leads from a lower number to a higher
ONE_WAY = st.lists(
    st.tuples(st.integers(0, 8), st.integers(0, 8)).filter(lambda pair: pair[0] < pair[1]), min_size=1
)


@given(ONE_WAY)
def test_what_a_lot_reaches_is_what_scipy_reaches(pairs):
    moves = [LotMove(f"L{a}", f"L{b}", 1.0) for a, b in pairs]
    graph = np.zeros((9, 9))
    for a, b in pairs:
        graph[a, b] = 1
    for lot in {a for a, _ in pairs}:
        order = breadth_first_order(csr_array(graph), lot, return_predecessors=False)
        assert went_into(moves, f"L{lot}") == tuple(f"L{n}" for n in sorted(order) if n != lot)


@given(ONE_WAY)
def test_back_is_forward_turned_round(pairs):
    moves = [LotMove(f"L{a}", f"L{b}", 1.0) for a, b in pairs]
    names = {name for move in moves for name in (move.source, move.into)}
    for one in names:
        assert all(one in came_from(moves, other) for other in went_into(moves, one))


def test_records_in_a_circle_are_refused_and_unknown_lots_named():
    circle = [LotMove("A", "B", 1), LotMove("B", "A", 1)]
    with pytest.raises(BadData, match="circle"):
        went_into(circle, "A")
    with pytest.raises(UnknownName, match="D1"):
        came_from([LotMove("D1", "B1", 2)], "D9")
    with pytest.raises(OutOfRange):
        went_into([LotMove("D1", "B1", -2)], "D1")


def test_a_recall_counts_whole_lots_not_the_share_that_was_bad():
    # Worked on paper: D2 gave 1 of the 20 kg in B1, and B1 comes back as a whole.
    moves = [LotMove("D1", "B1", 19), LotMove("D2", "B1", 1), LotMove("B1", "Inn", 7), LotMove("D1", "B2", 5)]
    found = recall(moves, "D2", ["Inn"], {"B1": 2, "B2": 4})
    assert found.lots == ("B1", "D2")
    assert (found.sold_kg, found.in_house_kg, found.to_find_kg) == (7, 2, 9)


@given(st.floats(10, 100), st.floats(0, 0.4), st.floats(0, 0.3), st.floats(0, 0.3), st.floats(-0.2, 0.2))
def test_in_is_out_plus_waste_plus_water_plus_stock(came, waste, water, stock, gap):
    out = came * (1 - waste - water - stock - gap)
    if out < 0:
        return
    found = mass_balance(came, out, came * waste, came * stock, water_lost_kg=came * water)
    assert found.missing_pct == pytest.approx(100 * gap, abs=1e-9)
    assert found.closes == (abs(found.missing_pct) <= 2 + 1e-9)


def test_a_gap_and_a_surplus_are_told_apart():
    assert "missing" in mass_balance(50, 20, 18, 3, water_lost_kg=5).note
    assert "another lot" in mass_balance(50, 30, 18, 3, water_lost_kg=5).note
    assert mass_balance(50, 25, 18, 2, water_lost_kg=5, allowed_pct=0).closes


def test_more_cannot_be_found_than_there_was():
    assert found_pct(0, 5) == 0 and found_pct(5, 5) == 100
    with pytest.raises(OutOfRange, match="counted twice"):
        found_pct(5.1, 5)
