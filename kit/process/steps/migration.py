"""Salt and water on the move inside a fillet: the one solver behind curing, rinsing, resting and drying.

Depth is counted in raw flesh, so that grams close. What drives salt is its strength in the water; what
drives drying is the water missing. As salt goes in, water comes out and the flesh shrinks: both are in.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.linalg.lapack import dgtsv

from kit.basics.errors import BadData, check_range
from kit.process.physics import food
from kit.process.physics.salt import SATURATED_PCT, water_activity
from kit.process.steps.fillet import Fillet

Array = NDArray[np.float64]

_STRENGTHS = np.linspace(0, SATURATED_PCT, 529)
_ACTIVITIES = water_activity(_STRENGTHS)
STEPS = 48
"""Time steps, even in the square root of time: short while profiles are steep."""


@dataclass(frozen=True)
class Slab:
    """A fillet's fields and grid, boiled down for the solver. Grams are per 100 g of raw flesh.

    Several slabs may stand end to end: ``first`` and ``last`` are the points of their faces, each has shares
    that sum to 1, and the gaps between two slabs are endless. ``thickness_m`` is one figure, or one a gap.
    """

    gap_m: Array
    share: Array
    thickness_m: float | Array
    dry_g: float
    bound_g: Array
    water_per_salt: float
    first: NDArray[np.intp]
    last: NDArray[np.intp]

    def water(self, salt: Array, missing: Array) -> Array:
        """Return the water that stands beside the salt: what salt pushed out and air took is gone."""
        return self.bound_g - self.water_per_salt * salt - missing

    def strength(self, salt: Array, missing: Array) -> Array:
        """Return water-phase salt as a fraction; above saturation in a crust, where it would be crystals."""
        water = np.maximum(self.water(salt, missing), 1e-6)
        return np.asarray(salt / (salt + water))

    def salt_at(self, strength: float, missing: Array, index: NDArray[np.intp]) -> Array:
        """Return the salt that makes a strength at some points."""
        rest = self.bound_g[index] - missing
        return np.asarray(strength * rest / (1 + (self.water_per_salt - 1) * strength))


def slab_of(fillet: Fillet, water_per_salt: float) -> Slab:
    """Return the solver's view of a fillet: at the start no water is missing."""
    bound = fillet.water_g_100g + water_per_salt * fillet.salt_g_100g
    return Slab(
        np.diff(fillet.depth_mm) / 1000,
        np.asarray(fillet.weight),
        fillet.thickness_mm / 1000,
        fillet.composition.dry_pct,
        bound,
        water_per_salt,
        first=np.array([0]),
        last=np.array([fillet.depth_mm.size - 1]),
    )


@dataclass(frozen=True)
class Path:
    """Profiles at chosen times. Rows are times, columns depths; grams per 100 g of raw flesh."""

    time_s: Array
    salt_g_100g: Array
    missing_g_100g: Array


Surface = Callable[[float, float, Array, Array], tuple[Array, Array]]
"""(time, step, salt, missing) to water leaving each face and its slope: [g/100 g · weight / s] and [1/s]."""


def migrate(
    slab: Slab,
    salt: Array,
    times_s: Array,
    *,
    salt_diffusivity: float,
    water_diffusivity: float = 2.5e-10,
    faces: tuple[float | None, float | None] = (None, None),
    surface: Surface | None = None,
) -> Path:
    """Return how salt and missing water spread in a fillet, implicit step by implicit step.

    Steps are backward Euler, once with all times and once with every second one; the two are combined so
    that the first-order error cancels. A face either keeps a strength (brine), or lets no salt through.

    Parameters
    ----------
    slab : Slab
        Of the fillet at the start.
    salt : array of shape (n,)
        Salt at the start. [g per 100 g raw flesh]
    times_s : array of shape (m,)
        Rising from 0, an odd number of them, 3 or more. [s]
    salt_diffusivity, water_diffusivity : float
        In the flesh as it is, above 0. [m²/s]
    faces : tuple
        Strength held at the flesh face and at the other, as a fraction, or None for a closed face.
    surface : callable, optional
        Water leaving the faces; without it no water is missing.

    Returns
    -------
    Path
        At every second time.

    Raises
    ------
    BadData
        If times do not rise from 0, or are even in number.

    Notes
    -----
    Source: ``crank-1975`` for the plane sheet it is held against.

    Examples
    --------
    >>> from kit.process.steps import fillet
    >>> piece = fillet.raw("trout, farmed", 25, 200)
    >>> times = square_root_times(4 * 3600)
    >>> slab = slab_of(piece, water_per_salt=1.0)
    >>> path = migrate(slab, piece.salt_g_100g, times, salt_diffusivity=3e-10, faces=(0.26, None))
    >>> bool(path.salt_g_100g[-1, 0] > path.salt_g_100g[-1, 20] > path.salt_g_100g[-1, 40])
    True
    """
    if times_s.size < 3 or times_s.size % 2 == 0 or times_s[0] != 0 or np.any(np.diff(times_s) <= 0):
        raise BadData("migrate", "the times do not fit", "an odd number of seconds, strictly rising from 0")
    check_range("salt_diffusivity", salt_diffusivity, above=0, at_most=1e-6, likely_cause="Is it in m²/s?")
    check_range("water_diffusivity", water_diffusivity, above=0, at_most=1e-6, likely_cause="Is it in m²/s?")
    fine = _march(slab, salt, times_s, salt_diffusivity, water_diffusivity, faces, surface)
    coarse = _march(slab, salt, times_s[::2], salt_diffusivity, water_diffusivity, faces, surface)
    return Path(times_s[::2], _combined(fine[0][::2], coarse[0], slab), 2 * fine[1][::2] - coarse[1])


def _combined(fine: Array, coarse: Array, slab: Slab) -> Array:
    """Return 2 fine - coarse, without the specks below 0; each slab keeps its sum in each row."""
    both = 2 * fine - coarse
    kept = np.maximum(both, 0.0)
    held, meant = (np.add.reduceat(rows * slab.share, slab.first, axis=1) for rows in (kept, both))
    factor = np.where(held > 0, meant, 1.0) / np.where(held > 0, held, 1.0)
    return np.asarray(kept * np.repeat(factor, slab.last - slab.first + 1, axis=1))


def square_root_times(seconds: float, steps: int = STEPS) -> Array:
    """Return times from 0, even in their square root, an odd number of them. [s]

    Examples
    --------
    >>> square_root_times(100, 4).tolist()
    [0.0, 6.25, 25.0, 56.25, 100.0]
    """
    check_range("seconds", seconds, above=0)
    return seconds * np.linspace(0, 1, 2 * (steps // 2) + 1) ** 2


def activity_of(salt_g: Array, water_g: Array, solids_g: float) -> Array:
    """Return the water activity of flesh with so much salt and water beside its fat-free solids. [-]

    Parameters
    ----------
    salt_g, water_g : array
        0 or more. [g per 100 g raw]
    solids_g : float
        Above 0. [g per 100 g raw]

    Notes
    -----
    Source: ``pitzer-1973`` for the salt, ``memory-sorption`` (from memory) for the protein.
    Unchecked and quick: for solvers.

    Examples
    --------
    >>> [round(float(each), 2) for each in activity_of(np.array([0.0, 20.0]), np.array([70.0, 50.0]), 20.0)]
    [1.0, 0.75]
    """
    water = np.maximum(water_g, 1e-3)
    strength = np.minimum(100 * salt_g / (salt_g + water), SATURATED_PCT)
    return np.asarray(np.interp(strength, _STRENGTHS, _ACTIVITIES) * _protein(water / solids_g))


def _protein(water_per_solids: Array) -> Array:
    """Oswin's curve, 0.10 g/g at an activity of 0.5 and 0.3 g/g at 0.9."""
    ratio = (np.maximum(water_per_solids, 1e-6) / 0.10) ** 2
    return np.asarray(ratio / (1 + ratio))


def _march(
    slab: Slab,
    salt: Array,
    times_s: Array,
    salt_diffusivity: float,
    water_diffusivity: float,
    faces: tuple[float | None, float | None],
    surface: Surface | None,
) -> tuple[Array, Array]:
    now, missing = np.array(salt, dtype=float), np.zeros_like(salt, dtype=float)
    salts, missings = np.empty((times_s.size, now.size)), np.zeros((times_s.size, now.size))
    salts[0] = now
    for row, (start, step) in enumerate(zip(times_s[:-1], np.diff(times_s), strict=True), start=1):
        if surface is not None:
            missing = _dry_step(slab, now, missing, start, step, water_diffusivity, surface)
        now = _salt_step(slab, now, missing, step, salt_diffusivity, faces)
        salts[row], missings[row] = now, missing
    return salts, missings


def _shrink(slab: Slab, salt: Array, missing: Array) -> tuple[Array, Array]:
    """Return salt + water, and volume now over volume raw, at each point (densities taken as equal)."""
    phase = salt + np.maximum(slab.water(salt, missing), 1e-6)
    return phase, (slab.dry_g + phase) / 100


def _salt_step(
    slab: Slab,
    salt: Array,
    missing: Array,
    step: float,
    diffusivity: float,
    faces: tuple[float | None, float | None],
) -> Array:
    """Return the salt after a step; the strength is straightened around its value, twice."""
    found = salt
    fixed = [(slab.first, faces[0]), (slab.last, faces[1])]
    for _ in range(2):
        phase, volume = _shrink(slab, found, missing)
        conductance = diffusivity * phase / volume**2
        link = step * 0.5 * (conductance[:-1] + conductance[1:]) / (slab.gap_m * slab.thickness_m)
        strength = slab.strength(found, missing)
        slope = np.maximum(phase + (slab.water_per_salt - 1) * found, 1e-3) / phase**2
        rest = strength - slope * found
        lower, upper = -link * slope[:-1], -link * slope[1:]
        middle = slab.share.copy()
        middle[:-1] += link * slope[:-1]
        middle[1:] += link * slope[1:]
        push = link * (rest[1:] - rest[:-1])
        known = slab.share * salt
        known[:-1] += push
        known[1:] -= push
        for index, held in fixed:
            if held is not None:
                middle[index], known[index] = 1.0, slab.salt_at(held, missing[index], index)
                if index is slab.first:
                    upper[index] = 0.0
                else:
                    lower[index - 1] = 0.0
        found = dgtsv(lower, middle, upper, known)[3]
    return np.asarray(found)


def _dry_step(
    slab: Slab, salt: Array, missing: Array, start: float, step: float, diffusivity: float, surface: Surface
) -> Array:
    """Return the missing water after a step. Leaving water is straightened around its present value."""
    leaving, slope = surface(start, step, salt, missing)
    _, volume = _shrink(slab, salt, missing)
    conductance = diffusivity / volume**2
    link = step * 0.5 * (conductance[:-1] + conductance[1:]) / (slab.gap_m * slab.thickness_m)
    middle = slab.share.copy()
    middle[:-1] += link
    middle[1:] += link
    known = slab.share * missing
    for side, index in ((0, slab.first), (1, slab.last)):
        middle[index] -= step * slope[side]
        known[index] += step * (leaving[side] - slope[side] * missing[index])
    return np.asarray(dgtsv(-link, middle, -link, known)[3])


def finished(fillet: Fillet, slab: Slab, path: Path, temp_c: Array, row: int = -1) -> Fillet:
    """Return the fillet at one time of the path, with its temperatures."""
    salt, missing = path.salt_g_100g[row], path.missing_g_100g[row]
    return fillet.replace(
        temp_c=temp_c, salt_g_100g=salt, water_g_100g=np.maximum(slab.water(salt, missing), 0.0)
    )


def masses_g(fillet: Fillet, slab: Slab, path: Path) -> Array:
    """Return the mass of the fillet at each time of the path. [g]"""
    present = slab.dry_g + path.salt_g_100g + slab.water(path.salt_g_100g, path.missing_g_100g)
    return np.asarray(fillet.raw_mass_g * (present @ slab.share) / 100)


def drift(fillet: Fillet, air_c: float, time_s: Array, heat_transfer_w_m2_k: float = 10.0) -> Array:
    """Return the temperature of a fillet that lies in still air, as one lump with two faces. [°C]

    Good to a degree or two while it changes: salt takes days where heat takes an hour.

    Notes
    -----
    Source: ``incropera``, lumped body. 10 W/(m²·K) with radiation is common practice, no source.

    Examples
    --------
    >>> from kit.process.steps import fillet
    >>> piece = fillet.raw("trout, farmed", 25, 200, temp_c=8.0)
    >>> [round(float(t), 1) for t in drift(piece, 3.0, np.array([0.0, 3600.0, 43200.0]))]
    [8.0, 5.3, 3.0]
    """
    check_range("air_c", air_c, at_least=-5, at_most=40)
    start = float(fillet.weight @ fillet.temp_c)
    flesh = food.properties(fillet.composition, max(start, 0.0))
    stored = flesh.density_kg_m3 * flesh.specific_heat_j_kg_k * fillet.thickness_mm / 1000
    return np.asarray(air_c + (start - air_c) * np.exp(-2 * heat_transfer_w_m2_k * time_s / stored))
