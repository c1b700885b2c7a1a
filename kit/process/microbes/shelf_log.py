"""A pack on its way: what store, van and home let Listeria do."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kit.basics.errors import check_range
from kit.process.microbes.growth import BIOLOGY_FACTOR, listeria_log10
from kit.process.physics.numeric import Band
from kit.process.physics.trace import Trace

BOTULINUM_FROM_C = 3.0
"""Non-proteolytic Clostridium botulinum grows from here, slowly. Source: ``uk-vacuum-packing-2020``. [°C]"""


@dataclass(frozen=True)
class LogStage:
    """One stage of a pack's way: where, for how long [h], and how warm the pack is [°C]."""

    name: str
    hours: float
    temp_c: float


def growth_by_stage(stages: Sequence[LogStage], wps_pct: float) -> tuple[float, ...]:
    """Return how far Listeria may grow in each stage, as a ceiling without lag. [log10]

    Parameters
    ----------
    stages : sequence of LogStage
        Each 0.1 h or longer, at -2 to 25 °C.
    wps_pct : float
        Water-phase salt of the weakest part, 0 to 8. [g per 100 g of salt + water]

    Notes
    -----
    Source: ``memory-listeria``; see ``growth.listeria_log10``.

    Examples
    --------
    >>> way = [LogStage("store", 120, 3), LogStage("van", 4, 12), LogStage("home", 48, 8)]
    >>> [round(each, 2) for each in growth_by_stage(way, 3.0)]
    [0.69, 0.15, 0.95]
    """
    for each in stages:
        check_range(f"hours of {each.name}", each.hours, at_least=0.1)
    return tuple(
        listeria_log10(Trace(np.array([0.0, 60 * each.hours]), np.full(2, float(each.temp_c))), wps_pct)
        for each in stages
    )


def growth_band(stages: Sequence[LogStage], wps_pct: float) -> Band:
    """Return the growth over all stages, with the factor that such models are right within. [log10]

    Examples
    --------
    >>> found = growth_band([LogStage("store", 168, 4)], 3.5)
    >>> round(found.low, 2), round(found.middle, 2), round(found.high, 2)
    (0.83, 1.25, 1.88)
    """
    grown = sum(growth_by_stage(stages, wps_pct))
    return Band(grown / BIOLOGY_FACTOR, grown, grown * BIOLOGY_FACTOR)


def hours_above(stages: Sequence[LogStage], limit_c: float = BOTULINUM_FROM_C) -> float:
    """Return the hours warmer than a limit. In a pack without air each of them is botulinum's. [h]

    Examples
    --------
    >>> hours_above([LogStage("store", 120, 2.5), LogStage("van", 4, 12)])
    4.0
    """
    return float(sum(each.hours for each in stages if each.temp_c > limit_c))
