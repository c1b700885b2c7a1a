"""What was answered in a sitting, kept line by line as it comes: a crash or a pulled plug loses nothing."""

from __future__ import annotations

import json
import os
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from filelock import FileLock, Timeout

from kit.basics.atomic_files import make_private_folder
from kit.basics.data_files import json_of
from kit.basics.errors import BadData, KitError
from kit.records.competence.papers import TestPaper
from kit.records.competence.sitting import SatPaper

Clock = Callable[[], datetime]


class SatElsewhere(KitError):
    """The paper is being sat in another window."""


class TimeOver(KitError):
    """The time of the paper is over."""


def _now() -> datetime:
    return datetime.now(UTC)


@dataclass
class KeptSitting:
    """One sitting's file: when it began, each answer, and breaks that do not count.

    Parameters
    ----------
    paper : TestPaper
        The paper.
    folder : Path
        Where sittings are kept on this machine.
    clock : callable
        Gives this moment, with its zone.
    """

    paper: TestPaper
    folder: Path
    clock: Clock = _now
    answers: dict[int, Any] = field(default_factory=dict)
    started: datetime | None = None
    last: datetime | None = None
    paused: timedelta = timedelta()
    _lock: FileLock | None = field(default=None, init=False)

    @property
    def file(self) -> Path:
        """The file of this sitting."""
        return self.folder / f"{self.paper.id}.jsonl"

    def open(self) -> None:
        """Read what was kept before, and hold the file for this window alone.

        Raises
        ------
        SatElsewhere
            If another window has it.
        BadData
            If a whole line of it cannot be read. A last line that was cut off is left out.
        """
        make_private_folder(self.folder)
        lock = FileLock(self.folder / f"{self.paper.id}.lock", mode=0o600)
        try:
            lock.acquire(timeout=0)
        except Timeout:
            raise SatElsewhere(f"The paper {self.paper.id} is being sat in another window.") from None
        self._lock = lock
        if self.file.exists():
            self._read()

    def close(self) -> None:
        """Let go of the file."""
        if self._lock is not None:
            self._lock.release()

    def ends(self) -> datetime | None:
        """When the time is over; None before it began."""
        if self.started is None:
            return None
        return self.started + timedelta(minutes=self.paper.minutes + self.paper.extra_min) + self.paused

    def begin(self) -> None:
        """Start the time, once."""
        if self.started is None:
            self._write({"began": self.clock().isoformat()})

    def keep(self, place: int, answer: Any) -> None:
        """Keep an answer.

        Raises
        ------
        TimeOver
            If the time is over.
        """
        end = self.ends()
        if end is None or self.clock() >= end:
            raise TimeOver("The time is over: this answer was not kept. What was kept before counts.")
        self._write({"place": place, "answer": answer, "at": self.clock().isoformat()})

    def leave_out_the_break(self) -> int:
        """Leave the time since the last line out of the time used, and return it. [min]"""
        if self.last is None:
            return 0
        lost = self.clock() - self.last
        self._write({"break_s": round(lost.total_seconds()), "at": self.clock().isoformat()})
        return round(lost.total_seconds() / 60)

    def as_sat(self) -> SatPaper:
        """Return the sitting as it can be marked."""
        if self.started is None or self.last is None:
            raise BadData(f"the paper {self.paper.id}", "nobody began it", "smokehouse paper sit")
        used = self.last - self.started - self.paused
        minutes = max(1, -(-int(used.total_seconds()) // 60))
        return SatPaper(self.paper.id, self.started.astimezone().date(), minutes, dict(self.answers))

    def forget(self) -> None:
        """Remove the file, once its result is on record."""
        self.file.unlink(missing_ok=True)

    def _write(self, line: dict[str, Any]) -> None:
        data = json.dumps(line, ensure_ascii=False).encode("utf-8") + b"\n"
        handle = os.open(self.file, os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600)
        try:
            os.write(handle, data)
            os.fsync(handle)
        except OSError as error:
            raise BadData(
                str(self.file), f"the answer was not kept: {error.strerror}", "a disk with room"
            ) from None
        finally:
            os.close(handle)
        self._follow(line)

    def _read(self) -> None:
        data = self.file.read_bytes()
        whole, _, torn = data.rpartition(b"\n")
        for number, line in enumerate(whole.splitlines(), start=1):
            self._follow(json_of(line, f"{self.file.name}, line {number}"))
        if torn:  # cut off while it was written: it was never answered "kept"
            self.file.write_bytes(whole + b"\n" if whole else b"")

    def _follow(self, line: dict[str, Any]) -> None:
        try:
            if "began" in line:
                self.started = self.last = datetime.fromisoformat(line["began"])
                return
            self.last = datetime.fromisoformat(line["at"])
            if "break_s" in line:
                self.paused += timedelta(seconds=float(line["break_s"]))
            else:
                self.answers[int(line["place"])] = line["answer"]
        except (KeyError, TypeError, ValueError):
            raise BadData(self.file.name, "a line of it is damaged", "lines that a sitting wrote") from None
