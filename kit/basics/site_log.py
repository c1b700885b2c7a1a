"""The log of a server: one JSON line an event, with numbers and no words. So no name can get into it.

Where it lies is said by ``SMOKEHOUSE_SITE_LOG``; without it nothing is logged. The file is opened for each
line, so whatever turns logs over may move it at any time.
"""

from __future__ import annotations

import json
import os
from collections import Counter
from collections.abc import Callable
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path
from typing import Literal, get_args

from kit.basics.errors import BadData, UnknownName

LOG_VARIABLE = "SMOKEHOUSE_SITE_LOG"
_MOST_READ_BYTES = 4 * 2**20
SiteEvent = Literal[
    "books taken in",
    "chain checked",
    "backup made",
    "backup tried",
    "backups removed",
    "books marked again",
    "leavers erased",
    "error",
]
SITE_EVENTS: tuple[str, ...] = get_args(SiteEvent)


def log_file() -> Path | None:
    """Return where this machine's site log lies, or None."""
    told = os.environ.get(LOG_VARIABLE)
    return Path(told) if told else None


def log_event(
    event: SiteEvent,
    *,
    error: BaseException | None = None,
    clock: Callable[[], datetime] = lambda: datetime.now(UTC),
    **numbers: float | bool | None,
) -> None:
    """Add an event to the site log, if there is one. A log that cannot be written stops nothing.

    Parameters
    ----------
    event : str
        One of ``SITE_EVENTS``.
    error : exception, optional
        Of it only the name of its class is written: its words may hold names.
    clock : callable
        Gives the time, with a zone.
    **numbers
        What is counted; a unit stands in each name.

    Raises
    ------
    UnknownName
        If there is no such event.
    BadData
        If something else than a number is to be written.
    """
    if event not in SITE_EVENTS:
        raise UnknownName("event", event, SITE_EVENTS)
    for name, value in numbers.items():
        if not (value is None or isinstance(value, int | float)):
            raise BadData("the site log", f"{name} is no number", "numbers only, so that it holds no name")
    file = log_file()
    if file is None:
        return
    told: dict[str, object] = {"at": clock().astimezone(UTC).isoformat(timespec="seconds"), "event": event}
    told |= {"error": type(error).__name__} if error is not None else {}
    line = json.dumps(told | numbers, separators=(",", ":")) + "\n"
    with suppress(OSError):
        handle = os.open(file, os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600)
        try:
            os.write(handle, line.encode("ascii"))
        finally:
            os.close(handle)


def events_since(moment: datetime) -> Counter[str]:
    """Return how often each event stands in the log since a moment; of a long log its last 4 MB are read."""
    file, found = log_file(), Counter[str]()
    if file is None:
        return found
    try:
        with file.open("rb") as log:
            log.seek(max(0, file.stat().st_size - _MOST_READ_BYTES))
            lines = log.read().splitlines()
    except OSError:
        return found
    for line in lines:
        try:
            told = json.loads(line)
            if datetime.fromisoformat(told["at"]) >= moment:
                found[str(told["event"])] += 1
        except (ValueError, KeyError, TypeError):
            continue  # a line cut by a crash, or by where we began to read
    return found
