"""What a learner's runs at the bench missed: week by week, and what the next ten fillets are aimed at.

It is their own note, not evidence: it never enters the answer book and is never marked.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import date, timedelta
from pathlib import Path

from kit.exercises.lesson_01.bench import Aim, BenchFillet, BoneKind, FilletInspection, kind_of, score
from kit.files import Clock, local_now, saving
from kit.practice.own_file import read_page, write_page

FILE = "bench.json"
SCHEMA = 1
MOST_KEPT = 200
"""So many runs are kept, the latest."""
AIM_DAYS, LEAST_MISSED = 28, 2
"""What was missed within so many days counts for the aim, from so many misses on. Ours: common practice."""
WEEKS_SHOWN = 5
"""Ours, like the rest here: no source."""


@dataclass(frozen=True)
class BenchRun:
    """One finished run: its day, how many bones of each kind lay there and were missed, clean ones pulled."""

    day: date
    there: dict[str, int]
    missed: dict[str, int]
    pulled_clean: int


@dataclass(frozen=True)
class BenchFile:
    """What the file holds."""

    schema: int
    runs: tuple[BenchRun, ...]


def run_of(fillets: Sequence[BenchFillet], looks: Sequence[FilletInspection], day: date) -> BenchRun:
    """Return what a first look at a run found and missed."""
    there: Counter[str] = Counter()
    missed: Counter[str] = Counter()
    clean = 0
    for fillet, done in zip(fillets, looks, strict=True):
        lost = set(score(fillet, done).missed)
        there.update(kind_of(fillet, bone) for bone in fillet.bones)
        missed.update(kind_of(fillet, bone) for bone in fillet.bones if fillet.on_board(bone) in lost)
        clean += done.pull and not fillet.bones
    return BenchRun(day, dict(there), dict(missed), clean)


def read_runs(folder: Path, *, clock: Clock = local_now) -> tuple[BenchRun, ...]:
    """Return the runs kept in a person's folder, the oldest first.

    Raises
    ------
    BadData, NotSaved
        As ``kit.practice.own_file.read_page``.
    """
    page, _ = read_page(folder / FILE, BenchFile, SCHEMA, "The list of your runs at the bench", clock)
    return tuple(sorted(page.runs, key=lambda one: one.day)) if page else ()


def keep_run(folder: Path, run: BenchRun, *, clock: Clock = local_now) -> None:
    """Keep one more run.

    Raises
    ------
    NotSaved, BadData
        If the disk refuses, or the file is a newer kit's. What was kept before still is.
    """
    read_runs(folder, clock=clock)  # sets a damaged file aside, before the lock is held
    with saving("Your run", alone=folder / FILE):
        kept = [*read_runs(folder, clock=clock), run][-MOST_KEPT:]
        lines = [{**asdict(one), "day": one.day.isoformat()} for one in kept]
        write_page(folder / FILE, {"schema": SCHEMA, "runs": lines})


def aim_of(runs: Sequence[BenchRun], day: date) -> Aim:
    """Return the kind of bone that was missed most of late; empty if hardly any was.

    Examples
    --------
    >>> run = BenchRun(date(2026, 3, 2), {"faint": 4, "head": 3}, {"faint": 3}, 0)
    >>> aim_of((run,), date(2026, 3, 3)), aim_of((run,), date(2026, 5, 3))
    ('faint', '')
    """
    missed: Counter[str] = Counter()
    for run in runs:
        if 0 <= (day - run.day).days <= AIM_DAYS:
            missed.update(run.missed)
    kinds: tuple[BoneKind, ...] = ("faint", "head", "far")
    most = max(kinds, key=lambda kind: missed[kind])
    return most if missed[most] >= LEAST_MISSED else ""


def weeks_line(runs: Sequence[BenchRun], day: date) -> str:
    """Return the bones missed, week by week, as one line; empty before the first run.

    Examples
    --------
    >>> runs = [BenchRun(date(2026, 3, d), {"faint": 9}, {"faint": n}, 0) for d, n in ((2, 5), (10, 2))]
    >>> weeks_line(runs, date(2026, 3, 11))
    'Bones missed, week by week: 5 of 9, 2 of 9.'
    """
    monday = day - timedelta(days=day.weekday())
    weeks: dict[int, list[BenchRun]] = {}
    for run in runs:
        weeks.setdefault((monday - run.day + timedelta(days=6)).days // 7, []).append(run)
    shown = [f"{_sum(weeks[n], 'missed')} of {_sum(weeks[n], 'there')}" for n in sorted(weeks, reverse=True)]
    return f"Bones missed, week by week: {', '.join(shown[-WEEKS_SHOWN:])}." if shown else ""


def _sum(runs: Sequence[BenchRun], what: str) -> int:
    return sum(sum(getattr(run, what).values()) for run in runs)
