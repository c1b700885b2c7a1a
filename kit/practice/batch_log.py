"""A learner's whole batch on its way, and a private log of the batches they ran.

The batch is kept as its number and its steps, and played again from them: so it survives a closed page and a
stopped engine. It is the learner's own note, not evidence: it never enters the answer book.
"""

from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from datetime import date
from pathlib import Path
from typing import Any

from kit.files import Clock, local_now, saving
from kit.practice.own_file import read_page, write_page

FILE = "whole_batch.json"
SCHEMA = 1
MOST_RUNS = 100
"""So many runs are kept, the latest."""


@dataclass(frozen=True)
class BatchRunLine:
    """One batch that was run to its end: its day, number, points, and the faults not read rightly."""

    day: date
    seed: int
    points: float
    of: float
    unsafe: bool = False
    unread: tuple[str, ...] = ()

    @property
    def share_pct(self) -> float:
        """The points as a share, so that two runs can be compared. [%]"""
        return 100 * self.points / self.of if self.of else 0.0


@dataclass(frozen=True)
class BatchLog:
    """What is kept: the batch under way with the rules it is played by, its steps, and the runs so far."""

    schema: int = SCHEMA
    seed: int = 0
    profile_fingerprint: str = ""
    steps: tuple[dict[str, Any], ...] = ()
    runs: tuple[BatchRunLine, ...] = ()


def read_log(folder: Path, *, clock: Clock = local_now) -> BatchLog:
    """Return what is kept in a person's folder; an empty log if there is nothing.

    Raises
    ------
    BadData, NotSaved
        As ``kit.practice.own_file.read_page``.
    """
    page, _ = read_page(folder / FILE, BatchLog, SCHEMA, "The log of your batches", clock)
    return page or BatchLog()


def keep_steps(
    folder: Path,
    seed: int,
    profile_fingerprint: str,
    steps: tuple[Mapping[str, Any], ...],
    *,
    ended: BatchRunLine | None = None,
    clock: Clock = local_now,
) -> None:
    """Keep a batch where it stands, and its line in the log once it is over.

    Raises
    ------
    NotSaved, BadData
        If the disk refuses, or the file is a newer kit's. What was kept before still is.

    Examples
    --------
    >>> from tempfile import TemporaryDirectory
    >>> with TemporaryDirectory() as place:
    ...     keep_steps(Path(place), 7, "ie", ({"do": "set", "settings": {"order_kg": 9}},))
    ...     read_log(Path(place)).seed
    7
    """
    read_log(folder, clock=clock)  # sets a damaged file aside, before the lock is held
    with saving("Your batch", alone=folder / FILE):
        now = read_log(folder, clock=clock)
        kept = tuple(dict(step) for step in steps)
        runs = (*now.runs, ended)[-MOST_RUNS:] if ended else now.runs
        after = replace(now, seed=seed, profile_fingerprint=profile_fingerprint, steps=kept, runs=runs)
        page = asdict(after)
        page["runs"] = [{**each, "day": each["day"].isoformat()} for each in page["runs"]]
        write_page(folder / FILE, page)
