"""A sitting that is interrupted: what was kept is there, the time is fair, and nobody sits twice at once."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from kit.basics.errors import BadData
from kit.records.competence.kept_sitting import KeptSitting, SatElsewhere, TimeOver
from kit.records.competence.papers import PaperTask, TestPaper

START = datetime(2026, 3, 2, 10, 0, tzinfo=UTC)
TASKS = tuple(PaperTask(n, "COK-K01", "x", 1, n, "f") for n in (1, 2, 3))
PAPER = TestPaper("tp-1", 7, "p-1", "2026-03-02", 20, 5, 80.0, "ie", TASKS)


class Clock:
    def __init__(self) -> None:
        self.now = START

    def __call__(self) -> datetime:
        return self.now

    def later(self, minutes: float) -> None:
        self.now += timedelta(minutes=minutes)


@pytest.fixture
def clock() -> Clock:
    return Clock()


def opened(folder: Path, clock: Clock) -> KeptSitting:
    kept = KeptSitting(PAPER, folder, clock)
    kept.open()
    return kept


def test_answers_are_there_after_a_crash_and_the_time_went_on(tmp_path: Path, clock: Clock):
    kept = opened(tmp_path, clock)
    kept.begin()
    clock.later(3)
    kept.keep(1, "b")
    kept.keep(1, ["a", "c"])
    kept.close()  # as the system does for a process that died
    clock.later(4)
    again = opened(tmp_path, clock)
    assert again.answers == {1: ["a", "c"]}
    assert again.ends() == START + timedelta(minutes=25)
    assert again.leave_out_the_break() == 4
    assert again.ends() == START + timedelta(minutes=29)
    clock.later(2)
    again.keep(2, {"decision": "hold", "reason": "a"})
    assert again.as_sat().used_min == 5 and again.as_sat().answers[2]["decision"] == "hold"


def test_after_the_time_nothing_is_kept(tmp_path: Path, clock: Clock):
    kept = opened(tmp_path, clock)
    with pytest.raises(TimeOver):
        kept.keep(1, "b")  # not begun
    kept.begin()
    clock.later(24.9)
    kept.keep(1, "b")
    clock.later(0.1)
    with pytest.raises(TimeOver, match="was not kept"):
        kept.keep(2, "c")
    assert kept.answers == {1: "b"} and kept.as_sat().used_min == 25


def test_beginning_again_does_not_give_new_time(tmp_path: Path, clock: Clock):
    kept = opened(tmp_path, clock)
    kept.begin()
    clock.later(10)
    kept.begin()
    assert kept.ends() == START + timedelta(minutes=25)


def test_two_windows_at_once_are_refused(tmp_path: Path, clock: Clock):
    first = opened(tmp_path, clock)
    with pytest.raises(SatElsewhere, match="another window"):
        KeptSitting(PAPER, tmp_path, clock).open()
    first.close()
    opened(tmp_path, clock).close()


@pytest.mark.parametrize("cut", range(1, 40, 3))
def test_a_line_that_was_cut_off_is_left_out_and_the_next_is_whole(tmp_path: Path, clock: Clock, cut: int):
    kept = opened(tmp_path, clock)
    kept.begin()
    kept.keep(1, "b")
    kept.keep(2, "ü")
    kept.close()
    data = kept.file.read_bytes()
    kept.file.write_bytes(data[:-cut])
    again = opened(tmp_path, clock)
    assert again.answers in ({1: "b"}, {1: "b", 2: "ü"}, {})
    again.keep(3, "c")
    again.close()
    assert opened(tmp_path, clock).answers == again.answers


def test_an_edited_line_is_named(tmp_path: Path, clock: Clock):
    kept = opened(tmp_path, clock)
    kept.begin()
    kept.close()
    kept.file.write_bytes(kept.file.read_bytes() + b'{"place": "one"}\n')
    with pytest.raises(BadData, match="damaged"):
        opened(tmp_path, clock)


@pytest.mark.slow
def test_nothing_that_was_answered_for_is_lost_by_kills(tmp_path: Path):
    """30 kills at any moment: every answer that was said to be kept is there."""
    story = (
        "import sys, itertools\n"
        "from pathlib import Path\n"
        "from tests.records.test_kept_sitting import PAPER\n"
        "from kit.records.competence.kept_sitting import KeptSitting\n"
        "kept = KeptSitting(PAPER, Path(sys.argv[1])); kept.open(); kept.begin()\n"
        "for n in itertools.count(int(sys.argv[2])):\n"
        "    kept.keep(1 + n % 3, n); print(n, flush=True)\n"
    )
    last = -1
    for _ in range(30):
        process = subprocess.Popen(
            [sys.executable, "-c", story, str(tmp_path), str(last + 1)], stdout=subprocess.PIPE, text=True
        )
        assert process.stdout is not None
        for _ in range(7):
            line = process.stdout.readline()
            last = int(line) if line else last
        os.kill(process.pid, signal.SIGKILL)
        rest = process.stdout.read().split()
        last = int(rest[-1]) if rest else last
        process.wait()
        process.stdout.close()
        kept = KeptSitting(PAPER, tmp_path)
        kept.open()
        assert kept.answers[1 + last % 3] in (last, last + 3) or last < 0
        last = max([last, *kept.answers.values()])
        kept.close()
    assert last >= 30 * 7 - 1
