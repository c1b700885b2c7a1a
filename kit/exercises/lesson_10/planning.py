"""Lesson 10, planning: when the last batch of a shift is cold, and in which order that is soonest."""

from itertools import combinations, permutations

from kit.exercises.engine import exercise
from kit.marking.authored import Turned
from kit.marking.build import number, order
from kit.marking.draw import Draw
from kit.marking.model import Question, Slip
from kit.process.planning import PlannedLoad, all_cold_min, in_that_order

_WHAT = ("salmon sides", "salmon portions", "trout fillets", "whole trout", "char fillets", "salmon tails")
_NO_WAIT = (
    "One batch at a time fits into the kiln, and one into the chiller. Hot fish goes straight into the cold: "
)


def _drawn(draw: Draw, count: int) -> list[PlannedLoad]:
    return [
        PlannedLoad(what, draw.step(40, 130, 10), draw.step(40, 130, 10))
        for what in draw.sample(_WHAT, count)
    ]


def _clock(minutes: float) -> str:
    return f"{7 + int(minutes) // 60:02d}:{int(minutes) % 60:02d}"


@exercise(
    "When is the last batch cold?", criteria=["REC-K09"], prepares_for=["CHL-P01", "REC-P05"], version=3
)
def when_the_last_is_cold(draw: Draw) -> Question:
    """Follow three batches through the kiln and the chiller."""
    loads = _drawn(draw, 3)
    plan = in_that_order(loads)
    truth = all_cold_min(plan)
    kilns, chills = sum(each.kiln_min for each in loads), sum(each.chill_min for each in loads)
    waits = all_cold_min(in_that_order(loads, 1e4))
    slips = [
        Slip("one after the other", kilns + chills, "You let the kiln stand empty while a batch chills. The "
        "next "
             "one may cook then."),
        Slip("forgot that the chiller is full", kilns + loads[-1].chill_min, "You let a batch leave the "
        "kiln while "
             "the chiller was still full. Hot fish must not stand about."),
        Slip("forgot the last chill", plan[-1].kiln_to, "That is when the last batch leaves the kiln. It "
        "must get "
             "cold too."),
    ]  # fmt: skip
    if waits != truth:
        slips.append(
            Slip("let hot fish wait", waits, "You cooked ahead, and let hot fish wait for the chiller. "
            "Start the "
                 "kiln later instead.")
        )  # fmt: skip
    kept = {each.value: each for each in reversed(slips) if each.value != truth}
    told = "; ".join(f"{each.name} {each.kiln_min:g} min, then {each.chill_min:g} min" for each in loads)
    return number(
        f"{_NO_WAIT}the kiln waits, if it must, so that the chiller is free in time. In this order, kiln and "
        f"then chiller: {told}. The kiln starts at 07:00. After how many minutes is the last batch cold?",
        truth,
        "min",
        abs_tol=0.5,
        slips=list(kept.values())[::-1],
        hints=[
            "Draw two lines, one for the kiln and one for the chiller.",
            "Each batch leaves the kiln when its time is up and the chiller is free, whichever is later.",
        ],
        worked=" ".join(
            f"{each.name.capitalize()}: kiln {_clock(each.kiln_from)} to {_clock(each.kiln_to)}, cold at "
            f"{_clock(each.chill_to)}."
            for each in plan
        )
        + f" That is {truth:g} min.",
    )


@exercise("The order of the shift", criteria=["REC-K09"], prepares_for=["CHL-P01", "REC-P05"], version=2)
def the_order_of_the_shift(draw: Draw) -> Question:
    """Put four batches in the order in which all are cold soonest."""
    while True:
        loads = _drawn(draw, 4)
        ends = {each: all_cold_min(in_that_order(each)) for each in permutations(loads)}
        best, *others = sorted(ends, key=lambda each: ends[each])
        if (
            ends[others[0]] >= ends[best] + 10
            and len({(each.kiln_min, each.chill_min) for each in loads}) == 4
        ):
            break

    def text(load: PlannedLoad) -> str:
        return f"{load.name.capitalize()}: {load.kiln_min:g} min kiln, {load.chill_min:g} min chiller"

    turned: list[Turned] = []
    for early, late in combinations(best, 2):
        soonest = min(end for plan, end in ends.items() if plan.index(late) < plan.index(early))
        says = (
            f"With {late.name} before {early.name} the last batch is cold at {_clock(soonest)} at the "
            f"soonest, {soonest - ends[best]:g} min later than it could be."
        )
        turned.append(Turned(text(late), text(early), says, name=f"turned {len(turned) + 1}"))
    return order(
        draw,
        f"{_NO_WAIT}no batch leaves the kiln before the chiller is free. The shift starts at 07:00. Put the "
        "batches in the order in which all are cold soonest.",
        [text(each) for each in best],
        turned,
        hints=[
            "While one chills, the next should cook. Which times fit beside each other?",
            "Which of them starts the chiller soonest? Which leaves least to chill at the end?",
        ],
        worked=f"{', '.join(each.name for each in best).capitalize()}: all are cold at "
        f"{_clock(ends[best])}. The next best order ends at {_clock(ends[others[0]])}.",
    )
