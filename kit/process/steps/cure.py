"""Curing: salt in, water out; rinsing; and what a night's rest does, and does not, even out."""

import numpy as np
from numpy.typing import NDArray

from kit.basics.errors import OutOfRange, check_range
from kit.process.physics import brine
from kit.process.physics.numeric import Band
from kit.process.steps import migration
from kit.process.steps.fillet import Fillet
from kit.process.steps.migration import Path, Slab
from kit.process.steps.salted import Salted, mean_wps_by_row, salted
from kit.process.steps.weighings import (
    WATER_PER_SALT,
    Balance,
    Fit,
    first_order,
    fit_first_order,
    fit_peleg,
    mass_balance,
    peleg,
    water_per_salt,
)

Array = NDArray[np.float64]

__all__ = [
    "Balance",
    "Fit",
    "Salted",
    "cure",
    "cure_hours",
    "equalise",
    "first_order",
    "fit_first_order",
    "fit_peleg",
    "mass_balance",
    "peleg",
    "rinse",
    "salt_diffusivity",
    "water_per_salt",
]


def salt_diffusivity(temp_c: float) -> Band:
    """Return how fast salt moves in fish flesh, as a band of a factor of 2 either way. [m²/s]

    Parameters
    ----------
    temp_c : float
        Temperature of the flesh, -1 to 25. [°C]

    Notes
    -----
    Source: ``memory-diffusivity``: 3e-10 at 4 °C in muscle, 25 kJ/mol. The one paper that was read,
    ``cookery-science-1992``, gives 1e-11 to 1e-10 for sprinkled salt, and 100 times less through skin.

    Examples
    --------
    >>> band = salt_diffusivity(4.0)
    >>> f"{band.low:.2g} {band.middle:.2g} {band.high:.2g}"
    '1.5e-10 3e-10 6e-10'
    """
    check_range("temp_c", temp_c, at_least=-1, at_most=25, likely_cause="A cure is kept cold, and unfrozen.")
    middle = 3e-10 * float(np.exp(-25_000 / 8.314462 * (1 / (temp_c + 273.15) - 1 / 277.15)))
    return Band(middle / 2, middle, middle * 2)


def cure(
    fillet: Fillet,
    hours: float,
    *,
    temp_c: float = 4.0,
    sides: int | None = None,
    surface_wps_pct: float = brine.SATURATED_PCT,
    salt_g: float | None = None,
    water_per_salt: float = WATER_PER_SALT,
    diffusivity_m2_s: Band | None = None,
) -> Salted:
    """Return a fillet after lying in salt or brine, with its profile of salt and water carried on.

    Salt enters with the square root of time: the first hour does most. A skin closes one face, and that makes
    a cure four times slower. Weight on top presses brine out and keeps contact; it is not in the sum.

    Parameters
    ----------
    fillet : Fillet
        As it goes into the salt.
    hours : float
        0.05 to 240. [h]
    temp_c : float
        Of the cold room, -1 to 25. [°C]
    sides : int, optional
        Faces that meet the salt: 1 or 2. By default 1 with skin on, 2 without.
    surface_wps_pct : float
        Brine at the surface, 1 to 26.395 (dry salt: saturated). [g per 100 g of salt + water]
    salt_g : float, optional
        Salt there is for this fillet, above 0; when it is used up no more goes in. Without it, plenty. [g]
    water_per_salt : float
        Grams of water out for a gram in, -3 to 5: 2 to 3 in dry salt, below 1 in weak brine. [g/g]
    diffusivity_m2_s : Band, optional
        Otherwise :func:`salt_diffusivity` at ``temp_c``. [m²/s]

    Notes
    -----
    Source: ``crank-1975`` in the limit of no shrinkage (within 0.6 % of the uptake after half an hour, 0.1 %
    after a few); ``memory-diffusivity``.

    Examples
    --------
    >>> from kit.process.steps import fillet
    >>> done = cure(fillet.raw("trout, farmed", 24, 180), hours=3)
    >>> round(done.mean_wps_pct.low, 1), round(done.mean_wps_pct.middle, 1), round(done.mean_wps_pct.high, 1)
    (1.5, 2.1, 3.0)
    """
    check_range("hours", hours, at_least=0.05, at_most=240, likely_cause="Give hours, not minutes.")
    check_range("surface_wps_pct", surface_wps_pct, at_least=1, at_most=brine.SATURATED_PCT)
    check_range("water_per_salt", water_per_salt, at_least=-3, at_most=5)
    if salt_g is not None:
        check_range("salt_g", salt_g, above=0)
    held = surface_wps_pct / 100
    faces = _faces(fillet, sides, held)
    band = diffusivity_m2_s or salt_diffusivity(temp_c)
    slab = migration.slab_of(fillet, water_per_salt)
    times, rows = _times(hours * 3600, band)
    path = migration.migrate(slab, fillet.salt_g_100g, times, salt_diffusivity=band.middle, faces=faces)
    if salt_g is not None:
        path = _used_up(fillet, slab, path, times, band.middle, faces, salt_g)
    return salted(fillet, slab, path, rows, band, hours, temp_c, "cure")


def rinse(fillet: Fillet, minutes: float, *, temp_c: float = 8.0, sides: int | None = None) -> Salted:
    """Return a fillet after a rinse in running cold water: salt leaves the outer millimetre only.

    It evens nothing out. It takes the sharpest salt from the skin of the flesh, and lets it hold less brine.

    Parameters
    ----------
    fillet : Fillet
        After its cure.
    minutes : float
        0.5 to 120. [min]
    temp_c : float
        Of the water, 0 to 25. [°C]
    sides : int, optional
        Faces that meet the water: 1 or 2. By default 1 with skin on, 2 without.

    Notes
    -----
    Source: ``crank-1975``, ``memory-diffusivity``. Salt leaving is replaced by as much water. Under two
    minutes the washed layer is thinner than the grid: good to a third.

    Examples
    --------
    >>> from kit.process.steps import fillet
    >>> cured = cure(fillet.raw("trout, farmed", 24, 180), hours=3).fillet
    >>> washed = rinse(cured, 5)
    >>> washed.salt_g.middle < 0, washed.fillet.mean_wps_pct < cured.mean_wps_pct
    (True, True)
    """
    check_range("minutes", minutes, at_least=0.5, at_most=120)
    check_range("temp_c", temp_c, at_least=0, at_most=25)
    band, slab = salt_diffusivity(temp_c), migration.slab_of(fillet, 1.0)
    times, rows = _times(minutes * 60, band)
    faces = _faces(fillet, sides, 0.0)
    path = migration.migrate(slab, fillet.salt_g_100g, times, salt_diffusivity=band.middle, faces=faces)
    return salted(fillet, slab, path, rows, band, minutes / 60, temp_c, "cure")


def equalise(
    fillet: Fillet, hours: float, *, temp_c: float = 3.0, water_per_salt: float = WATER_PER_SALT
) -> Salted:
    """Return a fillet after a rest, covered: salt creeps inwards, and no gram goes in or out.

    "It evens out overnight" is not so: after 12 hours the skin side of a skin-on fillet has hardly any salt,
    and the cut face ten times the middle. Rest softens the edge; it does not make the fillet even.

    Parameters
    ----------
    fillet : Fillet
        After its cure, or rinse.
    hours : float
        0.05 to 720. [h]
    temp_c : float
        Of the cold room, -1 to 25. [°C]
    water_per_salt : float
        Grams of water that pass a gram of salt on its way, -3 to 5. [g/g]

    Notes
    -----
    Source: ``crank-1975``, ``memory-diffusivity``.

    Examples
    --------
    >>> from kit.process.steps import fillet
    >>> cured = cure(fillet.raw("trout, farmed", 24, 180), hours=3).fillet
    >>> night = equalise(cured, 12)
    >>> [round(band.middle, 1) for band in (night.surface_wps_pct, night.core_wps_pct, night.least_wps_pct)]
    [7.2, 0.8, 0.0]
    """
    check_range("hours", hours, at_least=0.05, at_most=720)
    check_range("water_per_salt", water_per_salt, at_least=-3, at_most=5)
    band, slab = salt_diffusivity(temp_c), migration.slab_of(fillet, water_per_salt)
    times, rows = _times(hours * 3600, band)
    path = migration.migrate(slab, fillet.salt_g_100g, times, salt_diffusivity=band.middle)
    return salted(fillet, slab, path, rows, band, hours, temp_c, "rest")


def cure_hours(
    fillet: Fillet,
    wps_pct: float,
    *,
    temp_c: float = 4.0,
    sides: int | None = None,
    surface_wps_pct: float = brine.SATURATED_PCT,
    water_per_salt: float = WATER_PER_SALT,
    longest_h: float = 120.0,
) -> Band:
    """Return how long a fillet has to lie in salt for a mean water-phase salt, as a band. [h]

    A factor of 4 between its ends is not a flaw of the sum but what is known. Weigh and measure your own.

    Parameters
    ----------
    fillet : Fillet
        As it goes into the salt.
    wps_pct : float
        Mean wanted after the cure, above that of the fillet, up to 20. [g per 100 g of salt + water]
    temp_c, sides, surface_wps_pct, water_per_salt
        As in :func:`cure`.
    longest_h : float
        How far to look, 1 to 240. [h]

    Raises
    ------
    OutOfRange
        If a number is outside its range, or the salt is not reached in ``longest_h``.

    Notes
    -----
    Source: ``crank-1975``, ``memory-diffusivity``.

    Examples
    --------
    >>> from kit.process.steps import fillet
    >>> need = cure_hours(fillet.raw("trout, farmed", 24, 180), 2.5)
    >>> round(need.low, 1), round(need.middle, 1), round(need.high, 1)
    (2.1, 4.1, 8.3)
    """
    check_range("longest_h", longest_h, at_least=1, at_most=240)
    check_range("water_per_salt", water_per_salt, at_least=-3, at_most=5)
    check_range("wps_pct", wps_pct, above=fillet.mean_wps_pct, at_most=20)
    held = surface_wps_pct / 100
    check_range("surface_wps_pct", surface_wps_pct, above=wps_pct, at_most=brine.SATURATED_PCT)
    band, slab = salt_diffusivity(temp_c), migration.slab_of(fillet, water_per_salt)
    times = migration.square_root_times(longest_h * 3600, 2 * migration.STEPS)
    faces = _faces(fillet, sides, held)
    path = migration.migrate(slab, fillet.salt_g_100g, times, salt_diffusivity=band.middle, faces=faces)
    reached = mean_wps_by_row(slab, path)
    if reached[-1] < wps_pct:
        cause = f"After {longest_h:g} h it is {reached[-1]:.1f} %. Thinner pieces, or stronger brine?"
        raise OutOfRange("wps_pct", wps_pct, f"{reached[-1]:.1f} or less", cause)
    middle = float(np.interp(wps_pct, reached, np.sqrt(path.time_s))) ** 2 / 3600
    return Band(middle * band.middle / band.high, middle, middle * band.middle / band.low)


def _faces(fillet: Fillet, sides: int | None, held: float) -> tuple[float | None, float | None]:
    chosen = (1 if fillet.skin_on else 2) if sides is None else sides
    if chosen not in (1, 2):
        raise OutOfRange("sides", chosen, "1 (skin on) or 2")
    return held, (held if chosen == 2 else None)


def _times(seconds: float, band: Band) -> tuple[Array, tuple[int, int, int]]:
    """Return times on the middle diffusivity's clock, and the rows where slow, middle and fast are done.

    With a constant diffusivity only its product with time counts, so one run to the fast end holds all three.
    """
    if not 0 < band.low <= band.middle <= band.high:
        raise OutOfRange("diffusivity_m2_s", band, "a band above 0, from low to high")
    ends = seconds * np.array([band.low, band.middle, band.high]) / band.middle
    counts = (32, 14 if ends[1] > ends[0] else 0, 14 if ends[2] > ends[1] else 0)
    pieces, begin = [np.zeros(1)], 0.0
    for end, count in zip(ends, counts, strict=True):
        if count:
            pieces.append(np.linspace(np.sqrt(begin), np.sqrt(end), count + 1)[1:] ** 2)
        begin = end
    done = np.cumsum(counts) // 2
    return np.concatenate(pieces), (int(done[0]), int(done[1]), int(done[2]))


def _used_up(
    fillet: Fillet,
    slab: Slab,
    path: Path,
    times: Array,
    diffusivity: float,
    faces: tuple[float | None, float | None],
    salt_g: float,
) -> Path:
    """Return the path of a cure whose salt runs out: as before until then, closed faces after."""
    taken = fillet.raw_mass_g * ((path.salt_g_100g - path.salt_g_100g[0]) @ slab.share) / 100
    if taken[-1] <= salt_g:
        return path
    stop = int(np.searchsorted(taken, salt_g))
    before = path.salt_g_100g[stop - 1] - path.salt_g_100g[0]
    after = path.salt_g_100g[stop] - path.salt_g_100g[0]
    mixed = before + (after - before) * (salt_g - taken[stop - 1]) / (taken[stop] - taken[stop - 1])
    start = path.salt_g_100g[0] + mixed
    rest = times[2 * stop :] - times[2 * stop]
    salt = path.salt_g_100g.copy()
    salt[stop] = start
    if rest.size >= 3:
        later = migration.migrate(slab, start, rest, salt_diffusivity=diffusivity)
        salt[stop:] = later.salt_g_100g
    return Path(path.time_s, salt, path.missing_g_100g)
