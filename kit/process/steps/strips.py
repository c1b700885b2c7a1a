"""The strips of a fillet, thinnest first, all solved at once: salt, drying and heat, each in its own depth.

A strip is a one-dimensional section of one thickness. The strips know nothing of each other. Against a cut
along the fillet in two dimensions the middle is 0.3 °C off on average, up to 3.5 °C near the tail, and up to
10 °C in its last centimetre after 10 min; the heat taken up is within 0.2 %
(``tests/benchmarks/compare_with_two_dimensions.py``).
"""

import dataclasses
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from kit.basics.errors import BadData
from kit.process.physics import air, food
from kit.process.physics.draught import Draught
from kit.process.physics.faces import Face, flows_of, kept_flows
from kit.process.physics.food import Composition
from kit.process.physics.numeric import Band
from kit.process.steps import migration
from kit.process.steps.cure import salt_diffusivity
from kit.process.steps.fillet import grid
from kit.process.steps.migration import Path, Slab, activity_of
from kit.process.steps.pellicle import DryingAir
from kit.process.steps.shed import DRYING_DEPTH_MM

Array = NDArray[np.float64]

NODES = 15
"""Points over the depth of a strip; against the single section's 81 see the tests."""
STEPS = 24
RELATIVE_TOLERANCE, ABSOLUTE_TOLERANCE = 2e-3, 2e-2
_RUNGS_C = np.linspace(-45.0, 151.0, 3921)
_SATURATION_PA = air.saturation_pressure(_RUNGS_C)
"""Looked up between rungs 0.05 °C apart: within 1e-6 of the formula, and six times faster."""


@dataclass(frozen=True, eq=False)
class Strips:
    """Strips of equal area, and their profiles from the flesh face (column 0) to the skin.

    Parameters
    ----------
    thickness_mm : array of shape (k,)
        FULL thickness of each. [mm]
    composition : Composition
        Of the raw flesh.
    skin_on : bool
        Whether the skin is on.
    temp_c, salt_g_100g, water_g_100g : arrays of shape (k, n)
        [°C], [g per 100 g of RAW flesh]
    lost_g_m2 : array of shape (k, 2)
        Water that left each face in the heat so far. [g/m²]
    hottest_c : array of shape (k, n)
        Highest temperature so far. [°C]
    """

    thickness_mm: Array
    composition: Composition
    skin_on: bool
    temp_c: Array
    salt_g_100g: Array
    water_g_100g: Array
    lost_g_m2: Array
    hottest_c: Array

    @property
    def raw_g_m2(self) -> Array:
        """Raw flesh of each strip over its area. [g/m²]"""
        return np.asarray(food.properties(self.composition, 3.0).density_kg_m3 * self.thickness_mm)

    def mean(self, profile: Array) -> Array:
        """Return the mean over the depth of each strip."""
        return np.asarray(profile @ grid(profile.shape[1])[1])

    def replace(self, **changes: Any) -> "Strips":
        """Return a copy with some fields changed."""
        return dataclasses.replace(self, **changes)


def raw_strips(
    thickness_mm: Array, composition: Composition, temp_c: float, *, skin_on: bool = True, nodes: int = NODES
) -> Strips:
    """Return the strips of a raw fillet, at one temperature.

    Examples
    --------
    >>> raw_strips(np.array([6.0, 20.0]), Composition(71, 19, 10), 3.0).temp_c.shape
    (2, 15)
    """
    shape = (thickness_mm.size, nodes)
    warmth = np.full(shape, float(temp_c))
    water = np.full(shape, composition.water_pct)
    zero = np.zeros(shape)
    return Strips(thickness_mm, composition, skin_on, warmth, zero, water, zero[:, :2], warmth)


def _joined(strips: Strips, water_per_salt: float) -> Slab:
    """Return the strips end to end, as the solver of salt and water takes them."""
    count, nodes = strips.temp_c.shape
    fraction, weight = grid(nodes)
    depth_m = strips.thickness_mm[:, None] / 1000 * fraction
    gaps = np.full((count, nodes), np.inf)
    gaps[:, :-1] = np.diff(depth_m, axis=1)
    bound = strips.water_g_100g + water_per_salt * strips.salt_g_100g
    first = np.arange(count) * nodes
    return Slab(
        gap_m=gaps.ravel()[:-1],
        share=np.tile(weight, count),
        thickness_m=np.repeat(strips.thickness_mm / 1000, nodes)[:-1],
        dry_g=strips.composition.dry_pct,
        bound_g=bound.ravel(),
        water_per_salt=water_per_salt,
        first=first,
        last=first + nodes - 1,
    )


def _after(strips: Strips, slab: Slab, path: Path, row: int = -1) -> Strips:
    salt, missing = path.salt_g_100g[row], path.missing_g_100g[row]
    water = np.maximum(slab.water(salt, missing), 0.0)
    shape = strips.temp_c.shape
    return strips.replace(salt_g_100g=salt.reshape(shape), water_g_100g=water.reshape(shape))


def salt(
    strips: Strips,
    hours: float,
    temp_c: float,
    *,
    strength: float | None,
    water_per_salt: float,
    most_g_100g: float | None = None,
    diffusivity_m2_s: Band | None = None,
) -> Strips:
    """Return the strips after lying in salt or brine of a strength, in water (0), or covered (None).

    Parameters
    ----------
    strips : Strips
        Before.
    hours, temp_c : float
        [h], [°C]
    strength : float or None
        Held at the flesh face, and at the other without skin. [1]
    water_per_salt : float
        Grams of water out for a gram in. [g/g]
    most_g_100g : float, optional
        Salt there is for the whole fillet; when it is used up no more goes in. [g per 100 g raw]
    diffusivity_m2_s : Band, optional
        Otherwise that of ``cure.salt_diffusivity``.

    Notes
    -----
    Source: ``crank-1975``, ``memory-diffusivity``, as in ``cure.cure``.

    Examples
    --------
    >>> both = raw_strips(np.array([8.0, 24.0]), Composition(71, 19, 10), 3.0)
    >>> thin, thick = both.mean(salt(both, 6, 4.0, strength=0.264, water_per_salt=2.5).salt_g_100g)
    >>> bool(thin > 2 * thick)
    True
    """
    slab = _joined(strips, water_per_salt)
    middle = (diffusivity_m2_s or salt_diffusivity(temp_c)).middle
    faces = (strength, None if strips.skin_on else strength)
    times = migration.square_root_times(hours * 3600, STEPS)
    before = strips.salt_g_100g.ravel()
    path = migration.migrate(slab, before, times, salt_diffusivity=middle, faces=faces)
    if most_g_100g is not None:
        path = _used_up(strips, slab, path, most_g_100g)
    return _after(strips, slab, path)


def _used_up(strips: Strips, slab: Slab, path: Path, most_g_100g: float) -> Path:
    """Return the path cut off where the salt runs out: what is on the fish is all that goes in."""
    by_strip = np.add.reduceat(path.salt_g_100g * slab.share, slab.first, axis=1)
    share = strips.thickness_mm / strips.thickness_mm.sum()
    taken = by_strip @ share
    if taken[-1] <= most_g_100g:
        return path
    row = int(np.searchsorted(taken, most_g_100g))
    part = (most_g_100g - taken[row - 1]) / (taken[row] - taken[row - 1])
    mixed = (1 - part) * path.salt_g_100g[row - 1] + part * path.salt_g_100g[row]
    return Path(path.time_s[:1], mixed[None, :], 0 * mixed[None, :])


def dry(strips: Strips, hours: float, draught: Draught, *, water_per_salt: float = 2.5) -> Strips:
    """Return the strips after hanging in moving air: the thin ones lose the most of themselves.

    Notes
    -----
    Source: as ``pellicle.dry``, whose air this is.

    Examples
    --------
    >>> both = raw_strips(np.array([8.0, 24.0]), Composition(71, 19, 10), 3.0)
    >>> thin, thick = both.mean(71 - dry(both, 10, Draught(3.0, 72.0, 2.0)).water_g_100g)
    >>> bool(thin > 2 * thick)
    True
    """
    slab = _joined(strips, water_per_salt)
    faces = 2 if draught.rack and not strips.skin_on else 1
    start_c = strips.mean(strips.temp_c)
    around = DryingAir(strips.composition, slab, draught, faces, start_c, strips.thickness_mm / 1000)
    path = migration.migrate(
        slab,
        strips.salt_g_100g.ravel(),
        migration.square_root_times(hours * 3600, STEPS),
        salt_diffusivity=salt_diffusivity(min(draught.air_c, 25.0)).middle,
        surface=around,
    )
    dried = _after(strips, slab, path)
    return dried.replace(temp_c=np.broadcast_to(around.temp_c[:, None], strips.temp_c.shape))


def heat(strips: Strips, faces: tuple[Face, Face], time_min: Array) -> tuple[Strips, Array]:
    """Return the strips after a stay between two faces, and the middle of each at every time. [°C]

    Parameters
    ----------
    strips : Strips
        Before.
    faces : tuple of two Face
        Flesh face first; the same for all strips.
    time_min : array of shape (m,)
        Rising from 0. [min]

    Raises
    ------
    BadData
        If the solver gives up.

    Notes
    -----
    Source: ``incropera``; the flows at a face are those of ``faces.flows_of``, as in ``slab.warm``.

    Examples
    --------
    >>> both = raw_strips(np.array([8.0, 24.0]), Composition(71, 19, 10), 3.0)
    >>> cabinet = Face(75, 50, 20, 0.2)
    >>> _, core = heat(both, (cabinet, cabinet), np.array([0.0, 10.0, 20.0]))
    >>> bool(core[-1, 0] > core[-1, 1] + 10)
    True
    """
    from scipy.integrate import odeint

    count, nodes = strips.temp_c.shape
    start = np.concatenate(
        [strips.lost_g_m2[:, :1] / 1000, strips.temp_c, strips.lost_g_m2[:, 1:] / 1000], axis=1
    )
    rows, report = odeint(
        _slopes(strips, faces),
        start.ravel(),
        time_min * 60,
        ml=1,
        mu=1,
        rtol=RELATIVE_TOLERANCE,
        atol=ABSOLUTE_TOLERANCE,
        tfirst=True,
        full_output=True,
        mxstep=5000,
        mxordn=2,
    )
    if report["message"] != "Integration successful.":
        raise BadData("strips.heat", f"the solver stopped: {report['message']}", "milder settings")
    shaped = rows.reshape(time_min.size, count, nodes + 2)
    temps = shaped[:, :, 1:-1]
    after = strips.replace(
        temp_c=temps[-1],
        lost_g_m2=1000 * shaped[-1][:, [0, -1]],
        hottest_c=np.maximum(strips.hottest_c, temps.max(axis=0)),
    )
    return after, temps[:, :, nodes // 2]


def _slopes(strips: Strips, faces: tuple[Face, Face]) -> Callable[[float, Array], Array]:
    """Return the rates of change of all strips at once."""
    count, nodes = strips.temp_c.shape
    fraction, weight = grid(nodes)
    thick_m = strips.thickness_mm[:, None] / 1000
    per_step, per_share = 1 / (thick_m * np.diff(fraction)), 1 / (thick_m * weight)
    table = food.table(strips.composition)
    pair = _both_faces(faces)
    activity = _face_activity(strips, faces[0].water_activity)
    flow = np.zeros((count, nodes + 1))
    slope = np.zeros((count, nodes + 2))

    def slopes(time_s: float, flat: Array) -> Array:
        state = flat.reshape(count, nodes + 2)
        temp = state[:, 1:-1]
        both = np.interp(temp, table.temp_c, table.paired)
        flow[:, 1:-1] = (both.real[:, :-1] - both.real[:, 1:]) * per_step
        wet_pa = np.interp(temp[:, [0, -1]], _RUNGS_C, _SATURATION_PA) * activity(state[:, [0, -1]])
        into, slope[:, [0, -1]] = pair(temp[:, [0, -1]], state[:, [0, -1]], wet_pa, time_s)
        flow[:, 0], flow[:, -1] = into[:, 0], -into[:, 1]
        slope[:, 1:-1] = (flow[:, :-1] - flow[:, 1:]) * per_share * both.imag
        return slope.ravel()

    return slopes


def _face_activity(strips: Strips, counted_on: float) -> Callable[[Array], Array]:
    """Return what the water activity of each face is, against the one in its formula, by the water lost.

    Salt as it stands in the first 2 mm; water as the whole strip has it left. So a tail that is nearly dry
    gives hardly any more.
    """
    fraction, weight = grid(strips.temp_c.shape[1])
    depth_mm = strips.thickness_mm[:, None] * np.stack([fraction, 1 - fraction])[:, None, :]
    reach = weight * np.exp(-depth_mm / DRYING_DEPTH_MM)
    reach /= reach.sum(axis=2, keepdims=True)
    salt_g, water_g = ((reach * each).sum(axis=2).T for each in (strips.salt_g_100g, strips.water_g_100g))
    holds_kg_m2 = strips.raw_g_m2 * strips.mean(strips.water_g_100g) / 1e5
    solids = strips.composition.dry_pct - strips.composition.fat_pct

    rungs = np.linspace(0.0, 1.0, 65)[:, None, None]
    kept = activity_of(salt_g, water_g * rungs, solids) / counted_on
    here, per_kg_m2 = np.arange(strips.thickness_mm.size), 64 / holds_kg_m2

    def activity(lost_kg_m2: Array) -> Array:
        at = np.maximum(64 - (lost_kg_m2[:, 0] + lost_kg_m2[:, 1]) * per_kg_m2, 0.0)
        low = np.minimum(at.astype(int), 63)
        under = kept[low, here]
        return np.asarray(under + (at - low)[:, None] * (kept[low + 1, here] - under))

    return activity


def _both_faces(faces: tuple[Face, Face]) -> Callable[[Array, Array, Array, float], tuple[Array, Array]]:
    """Return the formula of two faces at once: heat in and water out, a column each."""
    flesh, skin = faces
    if dataclasses.replace(skin, wetness=flesh.wetness) == flesh:
        both = flows_of(flesh, flesh.h_w_m2_k, np.array([flesh.wetness, skin.wetness]))
        return lambda temp, lost, wet_pa, time_s: both(temp, lost, wet_pa, np.exp, time_s)[:2]
    one, other = kept_flows(flesh), kept_flows(skin)

    def apart(temp: Array, lost: Array, wet_pa: Array, time_s: float) -> tuple[Array, Array]:
        columns = [
            flows(temp[:, side], lost[:, side], wet_pa[:, side], np.exp, time_s)[:2]
            for side, flows in enumerate((one, other))
        ]
        heat, gone = (
            np.stack([np.broadcast_to(each[n], temp[:, 0].shape) for each in columns], 1) for n in (0, 1)
        )
        return heat, gone

    return apart
