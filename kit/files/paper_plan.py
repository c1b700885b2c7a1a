"""The plan of a test paper: how many tasks on which criteria, how long, and how much of it must be right.

A plan is a small TOML file that a tutor may edit. It names no task: those are drawn for each sitting.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from kit.basics.data_files import build, toml_of
from kit.basics.errors import BadData, OutOfRange, UnknownName
from kit.basics.given_files import read_given
from kit.criteria import steps
from kit.exercises.catalogue import Catalogue

ON_PAPER = frozenset({"number", "chart", "one", "several", "order", "match", "recommend"})
"""The kinds of task that a sheet of paper can hold. A place on a picture and a batch to run need a screen."""
MOST_TASKS, MOST_MINUTES = 80, 240
MINUTES_A_TASK = 2.5
"""How long a task is given if nobody says; ours, a tutor is to confirm it."""
TASKS_A_CRITERION, CUT_PCT = 2, 80.0
_MOST_BYTES = 64 * 1024
_HEAD = """# The plan of a test paper. Change what you like; `smokehouse paper draw` checks it.
# tasks: how many on each criterion. cut_pct: how much of the points must be reached; `smokehouse paper cut`
# works it out from judges' sheets. Above any cut, every task on a safety-critical criterion must be right.
"""


@dataclass(frozen=True)
class PaperPlan:
    """What a paper asks: ``tasks`` by criterion, ``minutes`` [min], ``cut_pct`` [% of the points]."""

    schema_version: int
    tasks: dict[str, int]
    minutes: int
    cut_pct: float = CUT_PCT

    @property
    def count(self) -> int:
        """How many tasks there are."""
        return sum(self.tasks.values())


def plan_of(
    catalogue: Catalogue, wanted: Sequence[str], *, minutes: int | None = None, cut_pct: float = CUT_PCT
) -> PaperPlan:
    """Return a plan for the knowledge criteria of some steps: two tasks each, of two kinds where it has them.

    Parameters
    ----------
    catalogue : Catalogue
        What criteria and exercises there are.
    wanted : sequence of str
        Steps, such as ``cook``.
    minutes : int, optional
        How long it lasts. Default: 2.5 a task, up to the next 5. [min]
    cut_pct : float
        How much of the points must be reached, from 50 to 100. [%]

    Raises
    ------
    UnknownName, BadData, OutOfRange
        If there is no such step, no task on it fits on paper, or a number makes no sense.

    Examples
    --------
    >>> plan = plan_of(Catalogue(), ["cook"])
    >>> min(plan.tasks.values()), plan.minutes % 5
    (2, 0)
    """
    for step in wanted:
        if step not in steps():
            raise UnknownName("step", step, steps())
    tasks = {
        name: min(TASKS_A_CRITERION, len(fitting(catalogue, name)))
        for name, criterion in catalogue.criteria.items()
        if criterion.step in wanted and criterion.kind == "knowledge"
    }
    tasks = {name: count for name, count in tasks.items() if count}
    length = minutes or 5 * math.ceil(sum(tasks.values()) * MINUTES_A_TASK / 5)
    return checked(PaperPlan(1, tasks, length, cut_pct), catalogue, "the plan")


def fitting(catalogue: Catalogue, criterion: str) -> tuple[str, ...]:
    """Return the exercises that are evidence for a criterion and fit on paper."""
    serving = catalogue.exercises_for.get(criterion, ())
    return tuple(each for each in serving if catalogue.facts_of[each].kind in ON_PAPER) if serving else ()


def off_paper(catalogue: Catalogue, criterion: str) -> tuple[str, ...]:
    """Return the exercises for a criterion that a plan leaves out, because they need a screen."""
    serving = catalogue.exercises_for.get(criterion, ())
    return tuple(each for each in serving if each not in fitting(catalogue, criterion))


def checked(plan: PaperPlan, catalogue: Catalogue, where: str) -> PaperPlan:
    """Return a plan that can be drawn, or say everything that is wrong with it."""
    faults = [fault for name, count in plan.tasks.items() if (fault := _fault(catalogue, name, count))]
    if not plan.tasks:
        faults.append("it asks for no task that fits on paper")
    if faults:
        raise BadData(where, "; ".join(faults), "knowledge criteria with as many tasks as there are")
    if plan.count > MOST_TASKS:
        raise OutOfRange("the tasks of a paper", plan.count, f"{MOST_TASKS} or fewer")
    if not 5 <= plan.minutes <= MOST_MINUTES:
        raise OutOfRange("minutes", plan.minutes, f"from 5 to {MOST_MINUTES}")
    if not 50.0 <= plan.cut_pct <= 100.0:
        raise OutOfRange("cut_pct", plan.cut_pct, "from 50 to 100", "Was a share typed for a percentage?")
    return plan


def _fault(catalogue: Catalogue, name: str, count: int) -> str:
    if name not in catalogue.criteria:
        return f"there is no criterion {name!r}"
    if catalogue.criteria[name].kind != "knowledge":
        return f"{name} is something to do: it is seen at work, not on paper"
    most = len(fitting(catalogue, name))
    return "" if 1 <= count <= most else f"{name} asks for {count} tasks; 1 to {most} fit on paper"


def read_plan(path: Path, catalogue: Catalogue) -> PaperPlan:
    """Return the plan in a file.

    Raises
    ------
    BadData, OutOfRange
        If it is no plan, or one that cannot be drawn.
    """
    return plan_in(read_given(path, "a plan of `smokehouse paper plan`", _MOST_BYTES), str(path), catalogue)


def plan_in(data: bytes, where: str, catalogue: Catalogue) -> PaperPlan:
    """Return the plan in the bytes of a file. ``where`` names it in messages. See ``read_plan``."""
    plan = build(PaperPlan, toml_of(data, where), where)
    if plan.schema_version != 1:
        raise BadData(where, f"schema_version is {plan.schema_version}", "1")
    return checked(plan, catalogue, where)


def plan_text(plan: PaperPlan, notes: Sequence[str] = ()) -> str:
    """Return a plan as the text of its file, with a comment at the head; ``notes`` are lines of it."""
    from tomli_w import dumps

    facts = {"schema_version": plan.schema_version, "minutes": plan.minutes, "cut_pct": plan.cut_pct}
    said = "".join(f"# {' '.join(each.split())}\n" for each in notes)
    return _HEAD + said + dumps({**facts, "tasks": plan.tasks})


def plan_words(plan: PaperPlan, catalogue: Catalogue) -> list[str]:
    """Return what a plan asks, in lines: how much of each kind, the safety share, what cannot be on paper."""
    safety = sum(n for name, n in plan.tasks.items() if catalogue.criteria[name].safety_critical)
    kinds: Mapping[str, int] = Counter(
        catalogue.facts_of[each].kind for name in plan.tasks for each in fitting(catalogue, name)
    )
    left = sorted({each for name in plan.tasks for each in off_paper(catalogue, name)})
    told = [
        f"{plan.count} tasks on {len(plan.tasks)} criteria, {plan.minutes} min, cut {plan.cut_pct:g} %.",
        f"On safety-critical criteria: {safety} of {plan.count}. All of those must be right.",
        "They are drawn from tasks of these kinds: "
        + ", ".join(f"{kind} ({count})" for kind, count in sorted(kinds.items()))
        + ".",
    ]
    return told + ([f"Left out, because they need a screen: {', '.join(left)}."] if left else [])
