"""The pellicle: water leaving a wet surface, the skin that forms, and the clock that runs meanwhile."""

from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from kit.basics.errors import OutOfRange, check_range
from kit.process.physics import air
from kit.process.physics.draught import Draught, WetSurface, rh_at_fish, wet_surface
from kit.process.physics.food import Composition, properties
from kit.process.physics.trace import Phase, Trace
from kit.process.steps import migration
from kit.process.steps.cure import salt_diffusivity
from kit.process.steps.fillet import Fillet
from kit.process.steps.migration import Slab, activity_of
from kit.process.steps.shed import DRYING_DEPTH_MM

Array = NDArray[np.float64]

__all__ = [
    "Draught",
    "Dried",
    "WetSurface",
    "dry",
    "face_activity",
    "flesh_activity",
    "minutes_above",
    "rh_at_fish",
    "wet_surface",
]

WATER_DIFFUSIVITY = 2.5e-10
"""Of water in salted, drying muscle at 2 °C. [m²/s]"""

NOTE = (
    "Humidity decides: 10 points change the loss by about half, so measure it at the fish. Heat transfer is "
    "known to about 30 %. A real fillet has thin edges and loses more than this slab of its thickest part."
)


def flesh_activity(fillet: Fillet) -> Array:
    """Return the water activity over the depth of a fillet: salt binds water, and so does dry protein. [-]

    Notes
    -----
    Source: ``pitzer-1973`` for the salt, capped at saturation; ``memory-sorption`` (from memory) for the
    protein: it matters below about 1 g of water per g of dry, fat-free flesh; ``ross-1975`` multiplies them.

    Examples
    --------
    >>> from kit.process.steps import fillet
    >>> round(float(flesh_activity(fillet.raw("trout, farmed", 20, 150))[0]), 3)
    0.999
    """
    solids = fillet.composition.dry_pct - fillet.composition.fat_pct
    return activity_of(fillet.salt_g_100g, fillet.water_g_100g, solids)


def face_activity(fillet: Fillet) -> float:
    """Return the water activity of the flesh that dries in the heat: the first 2 mm below the flesh face. [-]

    A cured face is a strong brine and gives its water off slowly.

    Notes
    -----
    Source: as :func:`flesh_activity`; the depth is ``shed.DRYING_DEPTH_MM``.

    Examples
    --------
    >>> from kit.process.steps import fillet
    >>> round(face_activity(fillet.raw("trout, farmed", 20, 150)), 3)
    0.999
    """
    reach = fillet.weight * np.exp(-fillet.depth_mm / DRYING_DEPTH_MM)
    salt_g, water_g = (
        np.atleast_1d(reach @ each / reach.sum()) for each in (fillet.salt_g_100g, fillet.water_g_100g)
    )
    solids = fillet.composition.dry_pct - fillet.composition.fat_pct
    return float(activity_of(salt_g, water_g, solids)[0])


@dataclass
class DryingAir:
    """The draught as the solver meets it. Keeps the fish's temperature, as one lump, from step to step.

    Of one slab the temperature is one figure; of several that stand end to end, one each.
    """

    flesh: Composition
    slab: Slab
    draught: Draught
    faces: int
    start_c: float | Array
    thickness_m: float | Array
    temp_c: Any = 0.0
    temps: list[list[Any]] = field(default_factory=list)
    fluxes: list[list[Any]] = field(default_factory=list)

    def __post_init__(self) -> None:
        state = air.moist_air(self.draught.air_c, self.draught.rh_pct)
        known = properties(self.flesh, 3.0)
        convection = self.draught.heat_transfer_w_m2_k
        self.wet_bulb_c = float(state.wet_bulb_c)
        film = 0.5 * (self.draught.air_c + self.wet_bulb_c)
        self.mass_speed = air.mass_transfer(convection, film)
        self.vapour = float(state.vapour_kg_m3)
        self.heat = (2 if self.draught.rack else 1) * (convection + self.draught.radiation_w_m2_k)
        self.stored = known.density_kg_m3 * known.specific_heat_j_kg_k * self.thickness_m
        self.per_100g = 100 / (known.density_kg_m3 * self.thickness_m)
        self.solids = self.flesh.dry_pct - self.flesh.fat_pct
        self.points = np.array([self.slab.first, self.slab.last]).squeeze()
        self.saturation = air.saturation_pressure_at if self.points.ndim == 1 else air.saturation_pressure

    def __call__(self, start: float, step: float, salts: Array, missing: Array) -> tuple[Array, Array]:
        """Return water leaving each face and its slope, after moving the temperature on."""
        if start == 0:
            self.temp_c = self.start_c
            self.temps.append([self.start_c])
            self.fluxes.append([])
        edge = self.points
        now = self.activity(salts[edge], missing[edge], edge)
        later = self.activity(salts[edge], missing[edge] + 0.5, edge)
        flux, warm = self._flux(self.temp_c, now), self._flux(self.temp_c + 0.1, now)
        latent = air.latent_heat(self.temp_c)
        gain = self.heat * (self.draught.air_c - self.temp_c) - latent * flux.sum(axis=0)
        slope = -self.heat - latent * (warm - flux).sum(axis=0) / 0.1
        self.temp_c = self.temp_c + step * gain / (self.stored - step * slope)
        leaving = self._flux(self.temp_c, now)
        self.temps[-1].append(self.temp_c)
        if not self.fluxes[-1]:
            self.fluxes[-1].append(flux.sum(axis=0))
        self.fluxes[-1].append(leaving.sum(axis=0))
        rate = (self._flux(self.temp_c, later) - leaving) / 0.5
        return self.per_100g * leaving, self.per_100g * rate

    def activity(self, salts: Array, missing: Array, index: Array) -> Array:
        """Return the water activity at some points of the grid."""
        water = self.slab.bound_g[index] - self.slab.water_per_salt * salts - missing
        return activity_of(salts, water, self.solids)

    def _flux(self, temp_c: Any, activity: Array) -> Array:
        wet = self.saturation(temp_c) / (air.WATER_VAPOUR_J_KG_K * (temp_c + air.ZERO_C_K))
        flux = self.mass_speed * (activity * wet - self.vapour)
        if self.faces == 1:
            flux[1] = 0.0
        return np.asarray(flux)


@dataclass(frozen=True)
class Dried:
    """A dried fillet, its trace, and how its surface fared. Arrays run along ``trace.time_min``.

    ``activity_gap`` is inside less surface. ``case_hardened`` is our own reading, no source: the surface is
    drier than the inside by more than 0.1, and evaporation has fallen below half of its peak.
    """

    fillet: Fillet
    trace: Trace
    water_lost_g: float
    loss_pct: float
    loss_g_m2_h: Array
    surface_activity: Array
    inside_activity: Array
    wet_bulb_c: float
    faces: int
    note: str = NOTE

    @property
    def activity_gap(self) -> float:
        """Water activity inside less that of the flesh face, at the end. [-]"""
        return float(self.inside_activity[-1] - self.surface_activity[-1])

    @property
    def case_hardened(self) -> bool:
        """Whether a dry crust now holds the water in."""
        return self.activity_gap > 0.1 and bool(self.loss_g_m2_h[-1] < 0.5 * self.loss_g_m2_h.max())


def dry(
    fillet: Fillet,
    hours: float,
    draught: Draught,
    *,
    faces: int | None = None,
    water_per_salt: float = 2.5,
    water_diffusivity_m2_s: float = WATER_DIFFUSIVITY,
) -> Dried:
    """Return a fillet after hanging in moving air: lighter, colder than its room, with a skin on its flesh.

    While the surface is wet the air sets the pace: its dryness first, then its speed. Once the surface is dry
    the flesh sets it, and hotter or faster air only makes a crust. Salt creeps inwards all the while.

    Parameters
    ----------
    fillet : Fillet
        After curing and rinsing.
    hours : float
        0.05 to 96. [h]
    draught : Draught
        The air at the fish.
    faces : int, optional
        Faces that give off water: 1, or 2 without skin on a rack, which are also the defaults.
    water_per_salt : float
        As in ``cure.equalise``, -3 to 5. [g/g]
    water_diffusivity_m2_s : float
        Of water in the flesh, 1e-12 to 1e-8. [m²/s]

    Notes
    -----
    Source: ``chilton-colburn-1934``, ``incropera``, ``sintef-1288910``. The fish is one lump of heat: good
    to a degree in the first hour of warm drying.

    Examples
    --------
    >>> from kit.process.steps import fillet
    >>> night = dry(fillet.raw("trout, farmed", 24, 180), 10, Draught(3.0, 75, 1.5))
    >>> round(night.loss_pct, 1), night.case_hardened
    (1.7, False)
    """
    check_range("hours", hours, at_least=0.05, at_most=96, likely_cause="Give hours, not minutes.")
    check_range("water_per_salt", water_per_salt, at_least=-3, at_most=5)
    check_range("water_diffusivity_m2_s", water_diffusivity_m2_s, at_least=1e-12, at_most=1e-8)
    usual = 2 if draught.rack and not fillet.skin_on else 1
    chosen = usual if faces is None else faces
    if chosen not in (1, 2):
        raise OutOfRange("faces", chosen, "1 or 2")
    slab = migration.slab_of(fillet, water_per_salt)
    start_c = float(fillet.weight @ fillet.temp_c)
    around = DryingAir(fillet.composition, slab, draught, chosen, start_c, fillet.thickness_mm / 1000)
    times = migration.square_root_times(hours * 3600)
    path = migration.migrate(
        slab,
        fillet.salt_g_100g,
        times,
        salt_diffusivity=salt_diffusivity(min(draught.air_c, 25.0)).middle,
        water_diffusivity=water_diffusivity_m2_s,
        surface=around,
    )
    warmth = np.array(around.temps[0])[::2]
    cause = "Air this cold and dry would freeze the fish: warm it, or damp it."
    check_range("the coldest the fish gets", warmth, at_least=-2, likely_cause=cause)
    after = migration.finished(fillet, slab, path, np.full(fillet.temp_c.shape, warmth[-1]))
    shown = np.array([0, fillet.depth_mm.size // 2])
    activity = around.activity(path.salt_g_100g[:, shown], path.missing_g_100g[:, shown], shown)
    trace = Trace(
        path.time_s / 60,
        warmth,
        surface_c=warmth,
        air_c=np.full(warmth.shape, draught.air_c),
        mass_g=migration.masses_g(fillet, slab, path),
        phases=(Phase("dry", 0.0, hours * 60),),
    )
    lost = fillet.mass_g - after.mass_g
    return Dried(
        after,
        trace,
        lost,
        100 * lost / fillet.mass_g,
        loss_g_m2_h=3.6e6 * np.array(around.fluxes[0])[::2],
        surface_activity=activity[:, 0],
        inside_activity=activity[:, 1],
        wet_bulb_c=around.wet_bulb_c,
        faces=chosen,
    )


def minutes_above(trace: Trace, limit_c: float) -> float:
    """Return how long a core was above a temperature in all, in a trace without gaps. [min]

    Drying is not a rest from the clock: hours at 12 °C are hours for germs. The limit comes from the rules.

    Parameters
    ----------
    trace : Trace
        Of any step.
    limit_c : float
        -40 to 120. [°C]

    Raises
    ------
    OutOfRange
        If the limit is outside its range, or the trace has a gap.

    Notes
    -----
    Source: ``definition``: straight lines between rows.

    Examples
    --------
    >>> minutes_above(Trace(np.array([0.0, 10.0, 20.0]), np.array([2.0, 8.0, 2.0])), 5.0)
    10.0
    """
    check_range("limit_c", limit_c, at_least=-40, at_most=120)
    cause = "The trace has a gap. A gap is never filled in: judge it as unknown."
    check_range("core_c", trace.core_c, likely_cause=cause)
    over = trace.core_c - limit_c
    first, second, step = over[:-1], over[1:], np.diff(trace.time_min)
    crosses = (first > 0) != (second > 0)
    height = np.where(crosses, np.abs(second - first), 1.0)
    share = np.where(crosses, np.maximum(first, second) / height, (first > 0).astype(float))
    return float(np.sum(step * share))
