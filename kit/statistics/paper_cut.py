"""The cut of a planned paper, from judges' sheets: an empty sheet, the cut, and what is said of it in words.

A plan names no task: those are drawn for each sitting. So the judges look at every exercise that may come.
A judge's chance for one task of a criterion is the mean over its exercises.
"""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from kit.basics.errors import BadData, OutOfRange
from kit.exercises.catalogue import Catalogue
from kit.files.paper_plan import PaperPlan, checked, fitting
from kit.statistics.cut_scores import WANTED_JUDGES, AngoffCut, BorderlineCut, angoff_cut
from kit.statistics.statistic import CONFIDENCE

if TYPE_CHECKING:
    from pandas import DataFrame

SAFETY = "Above any cut, every task on a safety-critical criterion must be right."
"""What is said beside every cut of a paper."""
STATION_SAFETY = "Above any cut, every safety-critical point of the checklist must be met."
"""What is said beside every cut of a practical."""
PARTED = 0.25
"""Judges whose chances for one task spread more than this see it differently: it is named. Ours."""
_MOST_NAMED = 5


def pools_of(plan: PaperPlan, catalogue: Catalogue) -> dict[str, tuple[str, ...]]:
    """Return the exercises that may be drawn for each criterion of a plan."""
    return {criterion: fitting(catalogue, criterion) for criterion in plan.tasks}


def empty_sheet(plan: PaperPlan, catalogue: Catalogue, judges: Sequence[str]) -> bytes:
    """Return a CSV for judges to fill in: a row a judge, a column an exercise that may be drawn.

    Raises
    ------
    BadData
        If a judge has no name, or two have one.

    Examples
    --------
    >>> from kit.files.paper_plan import plan_of
    >>> bank = Catalogue()
    >>> empty_sheet(plan_of(bank, ["rinse"]), bank, ["Ida", "Tam"]).decode("utf-8-sig").splitlines()[1][:4]
    'Ida,'
    """
    names = [" ".join(each.split()) for each in judges]
    if not all(names) or len(set(names)) < len(names) or not names:
        raise BadData("the judges", "one has no name, or two have the same", "a name of its own for each")
    columns = dict.fromkeys(each for pool in pools_of(plan, catalogue).values() for each in pool)
    text = io.StringIO()
    rows = csv.writer(text, lineterminator="\n")
    rows.writerow(["judge", *columns])
    rows.writerows([name, *[""] * len(columns)] for name in names)
    return text.getvalue().encode("utf-8-sig")


def cut_of_plan(
    plan: PaperPlan, catalogue: Catalogue, first: DataFrame, second: DataFrame | None = None
) -> AngoffCut:
    """Return the cut of a planned paper, in points: its tasks weigh as the plan asks for them.

    Parameters
    ----------
    plan : PaperPlan
        How many tasks on which criterion.
    catalogue : Catalogue
        Which exercises may be drawn.
    first, second : DataFrame
        Judges × exercises, from 0 to 1. The last round counts. [chance]

    Raises
    ------
    BadData
        If a sheet lacks an exercise of the plan, or is half filled.
    """
    pools = pools_of(plan, catalogue)
    rounds = [first] if second is None else [first, second]
    return angoff_cut(*(_by_task(each, plan, pools, f"round {n}") for n, each in enumerate(rounds, start=1)))


def _by_task(sheet: DataFrame, plan: PaperPlan, pools: Mapping[str, Sequence[str]], where: str) -> DataFrame:
    import pandas as pd

    lacking = [each for each in dict.fromkeys(e for p in pools.values() for e in p) if each not in sheet]
    if lacking:
        named = ", ".join(lacking[:_MOST_NAMED])
        raise BadData(
            where,
            f"the sheet has no column {named}" + (" and more" if len(lacking) > _MOST_NAMED else ""),
            "a sheet for this plan: `smokehouse paper judges`",
        )
    means = {name: sheet[list(pool)].mean(axis=1, skipna=False) for name, pool in pools.items()}
    return pd.DataFrame(
        {f"{name} {turn}": means[name] for name, count in plan.tasks.items() for turn in range(1, count + 1)}
    )


def with_cut(plan: PaperPlan, found: AngoffCut, catalogue: Catalogue) -> PaperPlan:
    """Return a plan with the cut that the judges found, to a tenth of a per cent, upwards.

    Raises
    ------
    OutOfRange
        If the cut lies outside what a plan may ask.
    """
    share = math.ceil(found.share_pct * 10 - 1e-9) / 10
    try:
        return checked(replace(plan, cut_pct=share), catalogue, "the plan")
    except OutOfRange as error:
        cause = "Such a paper is too hard or too easy for a test: other tasks, or judge once more."
        raise OutOfRange("the judges' cut", f"{share:g} %", error.allowed, cause) from None


def angoff_words(found: AngoffCut, sheet: DataFrame) -> list[tuple[str, str]]:
    """Return what there is to say about a cut by judges, as pairs of what and how much.

    Parameters
    ----------
    found : AngoffCut
        The cut.
    sheet : DataFrame
        The last round, judges × tasks: those on which the judges parted are named. [chance]
    """
    share = f"{CONFIDENCE:.0%}".replace("%", " %")
    few = f"; about {WANTED_JUDGES} are wanted, so read the error with care" if found.few_judges else ""
    again = "none yet: talk about where you part, then judge once more"
    if not math.isnan(found.moved):
        left = "" if math.isnan(found.calmed) else f"; {100 * found.calmed:.0f} % of the first spread is left"
        again = f"moved the cut by {found.moved:+.2f} points{left}"
    spread = sheet.std(ddof=1).sort_values(ascending=False, kind="stable")
    apart = [f"{task} ({each:.2f})" for task, each in spread.items() if each > PARTED][:_MOST_NAMED]
    return [
        ("Cut", f"{found.cut:.2f} of {found.items} points, {found.share_pct:.1f} %"),
        (
            "Standard error",
            f"{found.error:.2f} points; {share} of the time from {found.low:.2f} to {found.high:.2f}",
        ),
        ("Spread of the judges' sums", f"{found.spread:.2f} points"),
        ("Judges", f"{found.judges}{few}"),
        ("Second round", again),
        ("The judges part on", ", ".join(apart) or f"no task by more than {PARTED:g}"),
    ]


def borderline_words(found: BorderlineCut) -> list[tuple[str, str]]:
    """Return what there is to say about a cut by borderline regression, as pairs of what and how much."""
    share = f"{CONFIDENCE:.0%}".replace("%", " %")
    return [
        ("Cut", f"{found.cut:.2f} points"),
        ("Where the line may lie", f"{share} of the time from {found.low:.2f} to {found.high:.2f} points"),
        ("The line", f"{found.intercept:.2f} points and {found.slope:.2f} more for each grade"),
        ("What the grade explains", f"{100 * found.explained:.0f} % of the spread of the points"),
        ("People", f"{found.n}"),
    ]
