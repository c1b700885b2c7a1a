"""A shift planned: several batches through one cabinet and one chiller, by whole-number programming."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from kit.basics.errors import BadData, check_range


@dataclass(frozen=True)
class PlannedLoad:
    """One batch to plan: its name, its time in the cabinet and in the chiller, and when it is ready. [min]"""

    name: str
    kiln_min: float
    chill_min: float
    ready_min: float = 0.0


@dataclass(frozen=True)
class PlannedTimes:
    """When a batch is in the cabinet and in the chiller, counted from the start of the shift. [min]"""

    name: str
    kiln_from: float
    kiln_to: float
    chill_from: float
    chill_to: float


def in_that_order(loads: Sequence[PlannedLoad], most_wait_min: float = 0.0) -> tuple[PlannedTimes, ...]:
    """Return the times of batches that go through in the order given, each as early as it may.

    A batch goes into the cabinet only when the chiller will be free in time: hot fish does not stand about.

    Parameters
    ----------
    loads : sequence of PlannedLoad
        In the order of the cabinet and of the chiller. [min]
    most_wait_min : float
        The longest wait between cabinet and chiller, 0 or more. [min]

    Notes
    -----
    Source: ``definition``: one batch at a time in each.

    Examples
    --------
    >>> plan = in_that_order([PlannedLoad("A", 60, 90), PlannedLoad("B", 60, 90)])
    >>> plan[1].kiln_from, plan[1].chill_to
    (90.0, 240.0)
    """
    _check(loads, most_wait_min)
    kiln_free = chiller_free = 0.0
    planned = []
    for load in loads:
        start = max(kiln_free, load.ready_min, chiller_free - most_wait_min - load.kiln_min)
        out = start + load.kiln_min
        cold = max(out, chiller_free)
        planned.append(PlannedTimes(load.name, start, out, cold, cold + load.chill_min))
        kiln_free, chiller_free = out, cold + load.chill_min
    return tuple(planned)


def shortest_plan(loads: Sequence[PlannedLoad], most_wait_min: float = 0.0) -> tuple[PlannedTimes, ...]:
    """Return the plan in which the last batch is cold the soonest, in the order of the cabinet.

    Parameters
    ----------
    loads : sequence of PlannedLoad
        1 to 8, in any order. [min]
    most_wait_min : float
        As in :func:`in_that_order`.

    Raises
    ------
    BadData
        If there is none, more than 8, or a time is not above 0.

    Notes
    -----
    Source: ``scipy``, ``milp``: for each pair one choice who is first, in the cabinet and so in the chiller.

    Examples
    --------
    >>> loads = [PlannedLoad("long cook", 120, 30), PlannedLoad("long chill", 40, 120)]
    >>> [each.name for each in shortest_plan(loads)]
    ['long chill', 'long cook']
    """
    _check(loads, most_wait_min)
    count, pairs = len(loads), list(combinations(range(len(loads)), 2))
    big = sum(each.kiln_min + each.chill_min for each in loads) + max(each.ready_min for each in loads)
    columns = (
        2 * count + 1 + len(pairs)
    )  # starts in the cabinet, starts in the chiller, the end, who is first
    rows, least = [], []

    def at_least(value: float, **places: tuple[int, float]) -> None:
        row = np.zeros(columns)
        for place, factor in places.values():
            row[place] += factor
        rows.append(row)
        least.append(value)

    for n, load in enumerate(loads):
        at_least(load.kiln_min, chill=(count + n, 1), kiln=(n, -1))
        at_least(-load.kiln_min - most_wait_min, chill=(count + n, -1), kiln=(n, 1))
        at_least(load.chill_min, end=(2 * count, 1), chill=(count + n, -1))
    for k, (a, b) in enumerate(pairs):
        first = 2 * count + 1 + k  # 1: a before b
        for shift, name in ((0, "kiln_min"), (count, "chill_min")):
            at_least(
                getattr(loads[a], name) - big, late=(shift + b, 1), early=(shift + a, -1), who=(first, -big)
            )
            at_least(getattr(loads[b], name), late=(shift + a, 1), early=(shift + b, -1), who=(first, big))
    goal = np.zeros(columns)
    goal[2 * count] = 1
    low = np.zeros(columns)
    low[:count] = [each.ready_min for each in loads]
    high = np.full(columns, np.inf)
    high[2 * count + 1 :] = 1
    whole = np.zeros(columns)
    whole[2 * count + 1 :] = 1
    from scipy.optimize import Bounds, LinearConstraint, milp  # takes longer to load than a page

    found = milp(
        goal, constraints=LinearConstraint(np.array(rows), np.array(least), np.inf), integrality=whole,
        bounds=Bounds(low, high),
    )  # fmt: skip
    if found.x is None:
        raise BadData("plan", str(found.message), "loads that fit")
    order = sorted(range(count), key=lambda n: (round(found.x[count + n], 6), round(found.x[n], 6)))
    return in_that_order([loads[n] for n in order], most_wait_min)


def all_cold_min(plan: Sequence[PlannedTimes]) -> float:
    """Return when the last batch leaves the chiller. [min]"""
    return max(each.chill_to for each in plan)


def _check(loads: Sequence[PlannedLoad], most_wait_min: float) -> None:
    if not 1 <= len(loads) <= 8:
        raise BadData("loads", f"{len(loads)} batches", "1 to 8")
    check_range("most_wait_min", most_wait_min, at_least=0)
    for each in loads:
        check_range(f"{each.name}: kiln_min", each.kiln_min, above=0)
        check_range(f"{each.name}: chill_min", each.chill_min, above=0)
        check_range(f"{each.name}: ready_min", each.ready_min, at_least=0)
