"""The plan of a shift: against every order tried, against a printed order, and what hot fish may never do."""

from itertools import pairwise, permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kit.basics.errors import BadData, OutOfRange
from kit.process.planning import PlannedLoad, all_cold_min, in_that_order, shortest_plan

MINUTES = st.integers(2, 18).map(lambda n: 10.0 * n)
LOADS = st.lists(st.tuples(MINUTES, MINUTES, st.sampled_from([0.0, 0.0, 60.0])), min_size=1, max_size=4).map(
    lambda rows: [PlannedLoad("ABCD"[n], *row) for n, row in enumerate(rows)]
)


@pytest.mark.slow
@settings(max_examples=25)
@given(LOADS, st.sampled_from([0.0, 20.0, 1e4]))
def test_no_order_that_is_tried_ends_sooner(loads, wait):
    tried = min(all_cold_min(in_that_order(order, wait)) for order in permutations(loads))
    assert all_cold_min(shortest_plan(loads, wait)) == pytest.approx(tried)


@pytest.mark.slow
@settings(max_examples=25)
@given(LOADS, st.sampled_from([0.0, 20.0]))
def test_one_batch_at_a_time_and_hot_fish_does_not_wait(loads, wait):
    plan = shortest_plan(loads, wait)
    for one, two in pairwise(plan):
        assert two.kiln_from >= one.kiln_to - 1e-6 and two.chill_from >= one.chill_to - 1e-6
    ready = {each.name: each.ready_min for each in loads}
    for each in plan:
        assert -1e-6 <= each.chill_from - each.kiln_to <= wait + 1e-6
        assert each.kiln_from >= ready[each.name]


# A page of worked answers (operations management), read: jobs L to P on two machines go P, O, N, M,
# L by Johnson's rule. It prints 26 hours, which is when the first machine ends; the second takes L's 2 more.
def test_a_printed_order_of_two_machines_is_as_short_as_ours():
    printed = {"P": (1, 7), "O": (3, 6), "N": (7, 5), "M": (5, 4), "L": (10, 2)}
    loads = [PlannedLoad(name, *minutes) for name, minutes in printed.items()]
    theirs = in_that_order(loads, 1e4)
    assert theirs[-1].kiln_to == 26
    assert all_cold_min(theirs) == 28 == pytest.approx(all_cold_min(shortest_plan(loads, 1e4)))


def test_what_cannot_be_planned_is_refused():
    with pytest.raises(BadData, match="0 batches"):
        shortest_plan([])
    with pytest.raises(OutOfRange, match="A: chill_min"):
        in_that_order([PlannedLoad("A", 10, 0)])
