"""Many batches at once: fish differ, and so do rooms. What share of batches misses a limit?"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kit.basics.errors import OutOfRange, check_range
from kit.process.physics import air, food, slab
from kit.process.physics.numeric import check_whole
from kit.process.physics.slab import Face
from kit.process.physics.uptake import fourier_number, uptake_fraction
from kit.process.sampling.inspection import Interval, exact_interval

Array = NDArray[np.float64]

NODES, STEP_S, FIRST_STEPS = 25, 20.0, 18
"""Grid over half the thickness and time step of the many-batch run; within 0.3 °C of the single run."""


@dataclass(frozen=True)
class Vary:
    """How batches differ: mean and standard deviation, cut off at three of them.

    Parameters
    ----------
    thickness_mm, fat_pct, h_w_m2_k : tuple of (mean, sd)
        FULL thickness [mm], fat [g per 100 g], heat transfer by convection [W/(m²·K)].
    diffusivity_factor : float
        Salt diffusivity lies within this factor either way, 1 to 10, evenly in its logarithm. [1]

    Notes
    -----
    Source: ``memory-diffusivity`` for the factor of two; how much fish and rooms differ is yours to measure.
    """

    thickness_mm: tuple[float, float] = (26.0, 2.5)
    fat_pct: tuple[float, float] = (8.0, 2.0)
    h_w_m2_k: tuple[float, float] = (20.0, 4.0)
    diffusivity_factor: float = 2.0

    def __post_init__(self) -> None:
        for name, low, high in (("thickness_mm", 8, 80), ("fat_pct", 0, 30), ("h_w_m2_k", 4, 100)):
            mean, deviation = getattr(self, name)
            check_range(name, mean, at_least=low, at_most=high)
            check_range(f"{name} deviation", deviation, at_least=0, at_most=0.3 * max(mean, 1.0))
        check_range("diffusivity_factor", self.diffusivity_factor, at_least=1, at_most=10)


@dataclass(frozen=True)
class Batches:
    """Drawn batches, one entry each. [mm], [g per 100 g], [W/(m²·K)], [1]"""

    thickness_mm: Array
    fat_pct: Array
    h_w_m2_k: Array
    diffusivity_factor: Array


@dataclass(frozen=True)
class Spread:
    """What many batches did, and what share missed each limit.

    ``core_c`` is the core when the cook ended, ``held_min`` how long it was at the target, ``wps_pct`` the
    mean water-phase salt after the cure. The shares come with exact 95 % intervals.
    """

    batches: Batches
    core_c: Array
    held_min: Array
    wps_pct: Array
    share_core_missed: float
    core_interval: Interval
    share_hold_missed: float
    hold_interval: Interval
    share_salt_missed: float
    salt_interval: Interval


def draw(vary: Vary, count: int, generator: np.random.Generator) -> Batches:
    """Return batches drawn with a well-spread sequence, so that 10,000 do the work of many more.

    Parameters
    ----------
    vary : Vary
        How they differ.
    count : int
        1 to 100,000.
    generator : numpy.random.Generator
        The same one gives the same batches.

    Notes
    -----
    Source: ``scipy``: a scrambled Halton sequence, turned into cut-off normal numbers.

    Examples
    --------
    >>> batches = draw(Vary(), 4, np.random.default_rng(1))
    >>> batches.thickness_mm.shape
    (4,)
    """
    check_whole("count", count, at_least=1, at_most=100_000)
    from scipy.stats import qmc, truncnorm

    even = qmc.Halton(4, rng=generator).random(count)
    even = np.clip(even, 1e-12, 1 - 1e-12)
    normal = truncnorm.ppf(even[:, :3], -3, 3)
    columns = (vary.thickness_mm, vary.fat_pct, vary.h_w_m2_k)
    thickness, fat, h = (mean + sd * normal[:, i] for i, (mean, sd) in enumerate(columns))
    factor = vary.diffusivity_factor ** (2 * even[:, 3] - 1)
    return Batches(thickness, np.clip(fat, 0, 35), h, factor)


def spread(
    vary: Vary,
    count: int,
    generator: np.random.Generator,
    *,
    core_target_c: float,
    hold_min: float,
    wps_target_pct: float,
    cook_min: float,
    cabinet_c: float = 80.0,
    rh_pct: float = 50.0,
    wetness: float = 0.2,
    start_c: float = 4.0,
    cure_h: float = 6.0,
    diffusivity_m2_s: float = 3e-10,
    surface_wps_pct: float = 26.3,
    sides: int = 1,
) -> Spread:
    """Return how many batches differ when every one is cured and cooked by the clock.

    A clock treats the thick fillet like the thin one. This is what it costs.

    Parameters
    ----------
    vary, count, generator
        As for ``draw``.
    core_target_c, hold_min, wps_target_pct : float
        Limits to hold the batches against; they come from the rules you work to. [°C], [min], [%]
    cook_min : float
        Minutes in the cabinet, above 0 to 600. [min]
    cabinet_c, rh_pct, wetness, start_c : float
        As in ``cook.CabinetPlan``. [°C], [%], [1], [°C]
    cure_h, diffusivity_m2_s, surface_wps_pct, sides
        As in ``cure.cure``; 1 or 2 sides.

    Notes
    -----
    Source: the same balance at the face as ``slab`` and the same series as ``uptake``, with one axis more
    and fixed steps: within 0.3 °C of the single run.

    Examples
    --------
    >>> found = spread(Vary(), 50, np.random.default_rng(1), core_target_c=64, hold_min=5,
    ...     wps_target_pct=2.0, cook_min=60)
    >>> 0 <= found.share_core_missed <= found.share_hold_missed <= 1
    True
    """
    check_range("cook_min", cook_min, above=0, at_most=600)
    check_range("core_target_c", core_target_c, at_least=30, at_most=100, likely_cause="Was it given in °F?")
    check_range("hold_min", hold_min, at_least=0, at_most=600)
    check_range("wps_target_pct", wps_target_pct, at_least=0, at_most=26)
    check_range("surface_wps_pct", surface_wps_pct, at_least=1, at_most=26.395)
    if sides not in (1, 2):
        raise OutOfRange("sides", sides, "1 or 2")
    batches = draw(vary, count, generator)
    face = Face(cabinet_c, rh_pct, 1.0, wetness)
    time, core = cook_many(batches, face, start_c, cook_min)
    held = np.sum((core[1:] >= core_target_c) * np.diff(time)[:, np.newaxis], axis=0)
    fourier = fourier_number(
        diffusivity_m2_s * batches.diffusivity_factor, cure_h, batches.thickness_mm, sides=sides
    )
    wps = surface_wps_pct * np.asarray(uptake_fraction(fourier))
    core_missed = core.max(axis=0) < core_target_c
    hold_missed = core_missed | (held < hold_min)
    salt_missed = wps < wps_target_pct
    shares = [_share(each) for each in (core_missed, hold_missed, salt_missed)]
    return Spread(batches, core[-1], held, wps, *shares[0], *shares[1], *shares[2])


def _share(missed: NDArray[np.bool_]) -> tuple[float, Interval]:
    count = int(missed.sum())
    return count / missed.size, exact_interval(count, int(missed.size))


def cook_many(batches: Batches, face: Face, start_c: float, minutes: float) -> tuple[Array, Array]:
    """Return times [min] and the cores of all batches [°C], with both faces of each piece alike.

    Parameters
    ----------
    batches : Batches
        What differs; their heat transfer takes the place of the face's.
    face : Face
        What the faces meet.
    start_c, minutes : float
        Temperature at the start [°C]; time in the cabinet [min].

    Notes
    -----
    Source: ``incropera``: implicit steps over half the thickness. The flow at the face is the formula of
    ``slab``, solved together with the inside.

    Examples
    --------
    >>> time, core = cook_many(draw(Vary(), 3, np.random.default_rng(1)), Face(80, 50, 20, 0.2), 4.0, 30.0)
    >>> core.shape[1], bool(np.all(core[-1] > 40))
    (3, True)
    """
    check_range("start_c", start_c, at_least=0, at_most=30)
    check_range("minutes", minutes, above=0, at_most=600)
    many = _Many(batches, face, start_c)
    times, cores = [0.0], [many.temp[-1].copy()]
    for step_s in _steps(minutes):
        many.step(step_s)
        times.append(times[-1] + step_s / 60)
        cores.append(many.temp[-1].copy())
    return np.array(times), np.array(cores)


class _Many:
    """Half slabs of all batches, from the face (row 0) to the core (last row)."""

    def __init__(self, batches: Batches, face: Face, start_c: float) -> None:
        self.temp = np.full((NODES, batches.thickness_mm.size), float(start_c))
        self._before = self.temp
        self._last_s = 0.0
        self._lost = np.zeros(batches.thickness_mm.size)
        self._gap = batches.thickness_mm / 2000 / (NODES - 1)
        self._flows = slab.flows_of(face, batches.h_w_m2_k)
        self._tables = [food.table(_flesh(fat)) for fat in _LEVELS]
        level = np.clip(np.round(batches.fat_pct / _FAT_STEP).astype(int), 0, _LEVELS.size - 1)
        self._groups = [(n, np.flatnonzero(level == n)) for n in np.unique(level)]

    def step(self, step_s: float) -> None:
        """Go on by one step: second order where the step before was as long, first order otherwise."""
        second = self._last_s == step_s
        guess = 2 * self.temp - self._before if second else self.temp
        conductivity, capacity = self._properties(guess)
        between = 0.5 * (conductivity[1:] + conductivity[:-1]) / self._gap
        store = capacity * self._gap / step_s
        store[[0, -1]] /= 2
        weight = 1.5 if second else 1.0
        known = store * (2 * self.temp - 0.5 * self._before if second else self.temp)
        diagonal = weight * store
        diagonal[:-1] += between
        diagonal[1:] += between
        surface = guess[0]
        for _ in range(2):
            heat, slope = self._face(surface)
            top, right = diagonal[0] - slope, known[0] + heat - slope * surface
            after = _tridiagonal(-between, diagonal, known, top, right)
            surface = after[0]
        self._lost = self._lost + self._at(surface)[1] * step_s
        self._before, self.temp, self._last_s = self.temp, after, step_s

    def _at(self, surface: Array) -> tuple[Array, Array]:
        heat, evaporated, _ = self._flows(surface, self._lost, air.saturation_pressure(surface), np.exp, 0.0)
        return np.asarray(heat), np.asarray(evaporated)

    def _face(self, surface: Array) -> tuple[Array, Array]:
        """Return heat into the faces and how it changes with their temperature. [W/m²], [W/(m²·K)]"""
        low, high = self._at(surface - 0.05)[0], self._at(surface + 0.05)[0]
        return 0.5 * (low + high), (high - low) / 0.1

    def _properties(self, temp: Array) -> tuple[Array, Array]:
        conductivity, capacity = np.empty_like(temp), np.empty_like(temp)
        for number, here in self._groups:
            table, part = self._tables[number], temp[:, here]
            conductivity[:, here] = np.interp(part, table.temp_c, table.conductivity_w_m_k)
            capacity[:, here] = np.interp(part, table.temp_c, table.volumetric_heat_j_m3_k)
        return conductivity, capacity


_FAT_STEP = 1.0
_LEVELS = np.arange(0.0, 37.0, _FAT_STEP)


def _flesh(fat_pct: float) -> food.Composition:
    """Return flesh of a fat content: water gives way to fat, as it does in fish."""
    return food.Composition(79.0 - fat_pct, 19.8, fat_pct, ash_pct=1.2)


def _steps(minutes: float) -> list[float]:
    """Return time steps [s]: short at first, when the face jumps, then half a minute."""
    total = minutes * 60
    found: list[float] = []
    for _ in range(FIRST_STEPS):
        if sum(found) + STEP_S / 6 <= total:
            found.append(STEP_S / 6)
    while total - sum(found) > STEP_S + 1e-9:
        found.append(STEP_S)
    rest = total - sum(found)
    return [*found, rest] if rest > 1e-9 else found


def _tridiagonal(off: Array, diagonal: Array, known: Array, top: Array, right_top: Array) -> Array:
    """Solve the systems of all batches at once; the first row comes apart, as the face changes it."""
    rows = diagonal.shape[0]
    pivot, right = [top], [right_top]
    for row in range(1, rows):
        factor = off[row - 1] / pivot[-1]
        pivot.append(diagonal[row] - factor * off[row - 1])
        right.append(known[row] - factor * right[-1])
    found = np.empty_like(known)
    found[-1] = right[-1] / pivot[-1]
    for row in range(rows - 2, -1, -1):
        found[row] = (right[row] - off[row] * found[row + 1]) / pivot[row]
    return found
