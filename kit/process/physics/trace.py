"""What a step leaves behind: temperatures over time, and which phase was when."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from kit.basics.errors import BadData

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Phase:
    """A named stretch of time in a trace, such as ``smoke``, ``cook``, ``hold`` or ``chill``.

    Examples
    --------
    >>> Phase("cook", 18.0, 58.0).minutes
    40.0
    """

    name: str
    start_min: float
    end_min: float

    @property
    def minutes(self) -> float:
        """Length of the phase. [min]"""
        return self.end_min - self.start_min


@dataclass(frozen=True)
class Trace:
    """Temperatures of one piece over time: simulated, or read from a logger.

    Parameters
    ----------
    time_min : array of shape (n,)
        Time since the trace began, strictly rising. [min]
    core_c : array of shape (n,)
        Core temperature. NaN marks a gap; a gap is never filled in. [°C]
    surface_c, probe_c, air_c : array of shape (n,), optional
        Flesh surface, where the probe really sat, and the air around. [°C]
    mass_g : array of shape (n,), optional
        Mass of the piece. [g]
    phases : tuple of Phase
        Named stretches of time.

    Raises
    ------
    BadData
        If lengths differ, a time is not a finite number, or time does not rise.

    Examples
    --------
    >>> trace = Trace(np.array([0.0, 1.0, 2.0]), np.array([4.0, 5.0, 7.0]), phases=(Phase("cook", 1.0, 2.0),))
    >>> float(trace.during("cook").core_c[-1])
    7.0
    """

    time_min: Array
    core_c: Array
    surface_c: Array | None = None
    probe_c: Array | None = None
    air_c: Array | None = None
    mass_g: Array | None = None
    phases: tuple[Phase, ...] = ()

    def __post_init__(self) -> None:
        if not np.all(np.isfinite(self.time_min)) or np.any(np.diff(self.time_min) <= 0):
            raise BadData("trace", "time does not rise from row to row", "strictly rising minutes")
        for name, column in self.columns().items():
            if column.shape != self.time_min.shape:
                raise BadData("trace", f"{name} has {column.size} rows, time has {self.time_min.size}")

    def columns(self) -> dict[str, Array]:
        """Return the columns that are there, by name, without the time."""
        names = ("core_c", "surface_c", "probe_c", "air_c", "mass_g")
        return {name: getattr(self, name) for name in names if getattr(self, name) is not None}

    def phase(self, name: str) -> Phase | None:
        """Return the first phase of that name, or None."""
        return next((phase for phase in self.phases if phase.name == name), None)

    def during(self, name: str) -> Trace:
        """Return the rows of the named phase, both ends included; empty if there is no such phase."""
        phase = self.phase(name)
        if phase is None:
            return self.between(np.inf, np.inf)
        return self.between(phase.start_min, phase.end_min)

    def between(self, start_min: float, end_min: float) -> Trace:
        """Return the rows from ``start_min`` to ``end_min``, both included. [min]"""
        keep = (self.time_min >= start_min) & (self.time_min <= end_min)
        columns = {name: column[keep] for name, column in self.columns().items()}
        inside = tuple(p for p in self.phases if p.start_min >= start_min and p.end_min <= end_min)
        return replace(self, time_min=self.time_min[keep], phases=inside, **columns)
