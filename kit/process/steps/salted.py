"""What a cure, a rinse or a rest leaves behind: fillets and figures, each as a band."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kit.process.physics.numeric import Band
from kit.process.physics.trace import Phase, Trace
from kit.process.steps import migration
from kit.process.steps.fillet import Fillet
from kit.process.steps.migration import Path, Slab

Array = NDArray[np.float64]

NOTE = (
    "How fast salt moves in fish is known within a factor of 2 either way: read the band, not the line. "
    "A shelf life is never set on a sum: measure the water-phase salt of the loin."
)


@dataclass(frozen=True)
class Salted:
    """What a cure, a rinse or a rest did, with the band that the diffusivity leaves.

    ``fillet`` is the middle of the band, ``slow`` and ``fast`` its ends. Bands run from the smallest to the
    largest of the three. ``core`` is mid depth, ``least`` the weakest place. ``salt_g`` is salt taken up
    (below 0: washed out). ``times_h`` and the rows of ``mean_wps_by_time`` (slow, middle, fast) draw the
    band as a band.
    """

    fillet: Fillet
    slow: Fillet
    fast: Fillet
    trace: Trace
    diffusivity_m2_s: Band
    salt_g: Band
    water_out_g: Band
    loss_pct: Band
    mean_wps_pct: Band
    core_wps_pct: Band
    least_wps_pct: Band
    surface_wps_pct: Band
    times_h: Array
    mean_wps_by_time: Array
    note: str = NOTE


def mean_wps_by_row(slab: Slab, path: Path) -> Array:
    """Return the water-phase salt of the whole piece at each time. [g per 100 g of salt + water]"""
    salt = path.salt_g_100g @ slab.share
    water = slab.water(path.salt_g_100g, path.missing_g_100g) @ slab.share
    return np.asarray(100 * salt / (salt + water))


def salted(
    fillet: Fillet,
    slab: Slab,
    path: Path,
    rows: tuple[int, int, int],
    band: Band,
    hours: float,
    temp_c: float,
    phase: str,
) -> Salted:
    """Return the result of a step from its path, and the rows where slow, middle and fast are done."""
    till = path.time_s[: rows[1] + 1]
    warmth = migration.drift(fillet, temp_c, till)
    last = np.full(fillet.temp_c.shape, warmth[-1])
    slow, middle, fast = (migration.finished(fillet, slab, path, last, row) for row in rows)
    reached, clock = mean_wps_by_row(slab, path), path.time_s / 3600
    speeds = (band.low / band.middle, 1.0, band.high / band.middle)
    shown = np.array([np.interp(till / 3600 * speed, clock, reached) for speed in speeds])
    trace = Trace(
        till / 60,
        warmth,
        surface_c=warmth,
        air_c=np.full(till.shape, temp_c),
        mass_g=migration.masses_g(fillet, slab, path)[: rows[1] + 1],
        phases=(Phase(phase, 0.0, hours * 60),),
    )
    ends = (slow, middle, fast)
    salt = [one.salt_g - fillet.salt_g for one in ends]
    lost = [fillet.mass_g - one.mass_g for one in ends]
    return Salted(
        middle,
        slow,
        fast,
        trace,
        band,
        salt_g=_spread(salt),
        water_out_g=_spread([gone + taken for gone, taken in zip(lost, salt, strict=True)]),
        loss_pct=_spread([100 * gone / fillet.mass_g for gone in lost]),
        mean_wps_pct=_spread([one.mean_wps_pct for one in ends]),
        core_wps_pct=_spread([_core_wps(one) for one in ends]),
        least_wps_pct=_spread([float(one.wps_pct.min()) for one in ends]),
        surface_wps_pct=_spread([float(one.wps_pct[0]) for one in ends]),
        times_h=till / 3600,
        mean_wps_by_time=shown,
    )


def _core_wps(fillet: Fillet) -> float:
    return float(np.interp(fillet.thickness_mm / 2, fillet.depth_mm, fillet.wps_pct))


def _spread(values: list[float]) -> Band:
    return Band(min(values), values[1], max(values))
