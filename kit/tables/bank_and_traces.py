"""The exercise bank and one piece's temperatures over time, as DataFrames."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Protocol

import numpy as np

from kit import criteria, exercises
from kit.logs.checking import LogCheck
from kit.process.physics.trace import Trace
from kit.tables.answers import STEPS
from kit.tables.frames import COUNT, NUMBER, TEXT, YES_NO, Columns, Row, Words, frame

if TYPE_CHECKING:
    from pandas import DataFrame

BANK: Columns = {
    "exercise": TEXT,
    "lesson": COUNT,
    "title": TEXT,
    "version": COUNT,
    "marked_by": Words(("kit", "tutor")),
    "criterion": TEXT,
    "step": STEPS,
    "serves": Words(("evidence", "preparation")),
    "safety_critical": YES_NO,
}
TRACE: Columns = {
    "time_min": NUMBER,
    "core_c": NUMBER,
    "surface_c": NUMBER,
    "probe_c": NUMBER,
    "air_c": NUMBER,
    "mass_g": NUMBER,
    "phase": TEXT,
}


class HasTrace(Protocol):
    """Whatever holds a trace: a cook, a chilling, a whole day, or a logger's file as read."""

    @property
    def trace(self) -> Trace:
        """The temperatures over time."""


def bank() -> DataFrame:
    """Return the exercise bank: a row for each exercise and criterion that it serves.

    Returns
    -------
    DataFrame
        ``exercise`` string; ``lesson`` Int64; ``title`` string; ``version`` Int64; ``marked_by`` category;
        ``criterion`` string; ``step`` category, in the order of the work; ``serves`` category, as evidence of
        knowledge or as preparation for doing the work; ``safety_critical`` boolean, of the criterion.

    Examples
    --------
    >>> bank().query("criterion == 'COK-K01'")["serves"].unique().tolist()
    ['evidence']
    """
    return frame(BANK, _bank_rows())


def trace(source: Trace | HasTrace | LogCheck) -> DataFrame:
    """Return temperatures over time: of a simulated step or day, or of a logger's file.

    Parameters
    ----------
    source : Trace, or what holds one
        Such as ``kit.process.cook.cook(…)``, ``check_log(…)`` or ``kit.logs.read_log(…)``.

    Returns
    -------
    DataFrame
        ``time_min`` Float64, since it began [min]; ``core_c``, ``surface_c``, ``probe_c`` and ``air_c``
        Float64 [°C]; ``mass_g`` Float64 [g]; ``phase`` string, the one that began last. What was not measured
        is empty; a gap is never filled in.

    Examples
    --------
    >>> import kit
    >>> rows = b"time (min);Core (C)\\n" + b"".join(b"%d;66.0\\n" % minute for minute in range(40))
    >>> trace(kit.check_log(rows, kit.load_rules("ie")))["core_c"].max()
    np.float64(66.0)
    """
    found = source if isinstance(source, Trace) else _held(source)
    columns = found.columns()
    phases = np.full(found.time_min.size, None, dtype=object)
    for phase in sorted(found.phases, key=lambda each: each.start_min):
        phases[(found.time_min >= phase.start_min) & (found.time_min <= phase.end_min)] = phase.name
    empty = [None] * found.time_min.size
    cells = (columns.get(name, empty) for name in list(TRACE)[1:-1])
    return frame(TRACE, zip(found.time_min, *cells, phases, strict=True))


def _held(source: HasTrace | LogCheck) -> Trace:
    return source.found.trace if isinstance(source, LogCheck) else source.trace


def _bank_rows() -> Iterator[Row]:
    for name in (*exercises.ids(), *exercises.explain_ids()):
        info = exercises.info(name)
        serves = [(each, "evidence") for each in info.criteria]
        serves += [(each, "preparation") for each in info.prepares_for]
        for criterion, how in serves:
            about = criteria.get(criterion)
            yield (
                name,
                info.lesson,
                info.title,
                info.version,
                info.marked_by,
                criterion,
                about.step,
                how,
                about.safety_critical,
            )
