"""What the runs at the bench missed: kept, counted by week, and what the next ten are aimed at."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import pytest

from kit.exercises.lesson_01 import bench
from kit.practice.bench_runs import (
    AIM_DAYS,
    FILE,
    MOST_KEPT,
    BenchRun,
    aim_of,
    keep_run,
    read_runs,
    run_of,
    weeks_line,
)

MONDAY = date(2026, 3, 2)


def run(day: date, missed: int = 0, kind: str = "faint", there: int = 9) -> BenchRun:
    return BenchRun(day, {kind: there}, {kind: missed} if missed else {}, 0)


def test_a_run_counts_each_kind_of_bone():
    fish = bench.BenchFillet("Sea trout", 300, True, (bench.Spot(50, 0, 0.4), bench.Spot(120, 0, 0.8)), (), 1)
    clean = bench.BenchFillet("Sea trout", 300, True, (), (), 2)
    looks = [
        bench.FilletInspection((fish.on_board(fish.bones[1]),), True),
        bench.FilletInspection(((0.5, 0.5),), True),
    ]
    assert run_of((fish, clean), looks, MONDAY) == BenchRun(MONDAY, {"faint": 1, "far": 1}, {"faint": 1}, 1)


@pytest.mark.slow
def test_runs_are_kept_the_latest_of_them(tmp_path: Path):
    for n in range(MOST_KEPT + 3):
        keep_run(tmp_path, run(MONDAY + timedelta(days=n), n % 9))
    kept = read_runs(tmp_path)
    assert len(kept) == MOST_KEPT and kept[-1].day == MONDAY + timedelta(days=MOST_KEPT + 2)


@pytest.mark.parametrize("data", [b"{", b"\xff", b'{"schema": 1, "runs": 3}'])
def test_a_damaged_list_is_kept_beside_and_a_new_one_begun(data: bytes, tmp_path: Path):
    (tmp_path / FILE).write_bytes(data)
    keep_run(tmp_path, run(MONDAY, 2))
    assert read_runs(tmp_path) == (run(MONDAY, 2),)
    assert [path.read_bytes() for path in tmp_path.glob("bench.damaged-*")] == [data]


def test_the_aim_is_what_was_missed_most_of_late():
    runs = (run(MONDAY, 5, "far"), run(MONDAY + timedelta(days=20), 2, "head"))
    assert aim_of((), MONDAY) == aim_of((run(MONDAY, 1),), MONDAY) == ""
    assert aim_of(runs, MONDAY + timedelta(days=AIM_DAYS)) == "far"
    assert aim_of(runs, MONDAY + timedelta(days=AIM_DAYS + 1)) == "head"


def test_weeks_begin_on_monday_and_five_are_shown():
    runs = [run(MONDAY + timedelta(days=d), 1) for d in (0, 6, 7, 15, 22, 29, 36)]
    line = weeks_line(runs, MONDAY + timedelta(days=37))
    assert line == "Bones missed, week by week: 1 of 9, 1 of 9, 1 of 9, 1 of 9, 1 of 9."
    assert weeks_line(runs[:2], MONDAY + timedelta(days=6)) == "Bones missed, week by week: 2 of 18."
    assert weeks_line((), MONDAY) == ""
