"""One fillet: how thick it is, what it is made of, and its temperature, salt and water over the depth."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from kit.basics.errors import BadData, OutOfRange, check_range
from kit.process.physics import food
from kit.process.physics.brine import SATURATED_PCT
from kit.process.physics.food import Composition
from kit.process.physics.species import flesh

Array = NDArray[np.float64]

NODES = 81
"""Points over the full depth. Odd, so that one of them is the core."""
_CROWDING = 0.5
"""How strongly points crowd towards the faces: 0 is even spacing, 1 would put two on the face itself."""


@dataclass(frozen=True, eq=False)
class Fillet:
    """A fillet as a flat slab of its thickest section, with profiles from the flesh face to the skin face.

    Every step of the day takes a fillet and gives back a new one. Salt and water are counted on the
    raw flesh, so that a gram which enters or leaves is a gram in the mass.

    Parameters
    ----------
    thickness_mm : float
        FULL thickness at the thickest section, above 0 and up to 150. [mm]
    composition : Composition
        Of the raw flesh.
    raw_mass_g : float
        Mass before anything was done to it, above 0. [g]
    skin_on : bool
        Skin lets heat through but hardly any salt or water.
    depth_mm : array of shape (n,)
        Depth of each point: 0 is the flesh face, ``thickness_mm`` the skin or second face. [mm]
    weight : array of shape (n,)
        Share of the slab that each point stands for; sums to 1.
    temp_c, salt_g_100g, water_g_100g : array of shape (n,)
        Temperature [°C]; salt and water [g per 100 g of RAW flesh].

    Raises
    ------
    BadData
        If the profiles do not belong to one grid.

    Examples
    --------
    >>> piece = raw("trout, farmed", thickness_mm=22, mass_g=180)
    >>> round(piece.mass_g, 6), piece.core_temp_c
    (180.0, 3.0)
    """

    thickness_mm: float
    composition: Composition
    raw_mass_g: float
    skin_on: bool
    depth_mm: Array
    weight: Array
    temp_c: Array
    salt_g_100g: Array
    water_g_100g: Array

    def __post_init__(self) -> None:
        check_range(
            "thickness_mm",
            self.thickness_mm,
            above=0,
            at_most=150,
            likely_cause="Give the full thickness, in mm.",
        )
        check_range("raw_mass_g", self.raw_mass_g, above=0, at_most=20_000)
        for name in ("depth_mm", "weight", "temp_c", "salt_g_100g", "water_g_100g"):
            column = np.array(getattr(self, name), dtype=float)
            column.flags.writeable = False
            object.__setattr__(self, name, column)
            if column.shape != self.depth_mm.shape or column.ndim != 1:
                raise BadData("fillet", f"{name} has shape {column.shape}", f"shape {self.depth_mm.shape}")
        check_range("temp_c", self.temp_c, at_least=-60, at_most=150)
        check_range("salt_g_100g", self.salt_g_100g, at_least=0, at_most=60)
        check_range("water_g_100g", self.water_g_100g, at_least=0, at_most=200)
        if abs(float(self.weight.sum()) - 1) > 1e-9 or np.any(np.diff(self.depth_mm) <= 0):
            raise BadData("fillet", "the grid is broken", "rising depths and weights that sum to 1")

    def replace(self, **changes: Any) -> Fillet:
        """Return a copy with some fields changed."""
        return dataclasses.replace(self, **changes)

    @property
    def mass_g(self) -> float:
        """Mass as it is now. [g]"""
        present = self.composition.dry_pct + self.water_g_100g + self.salt_g_100g
        return self.raw_mass_g * float(self.weight @ present) / 100

    @property
    def core_temp_c(self) -> float:
        """Temperature at mid depth. [°C]"""
        return self.temp_at(0.5)

    def temp_at(self, depth: float) -> float:
        """Return the temperature at a depth given as a fraction: 0 the flesh face, 1 the other. [°C]"""
        check_range("depth", depth, at_least=0, at_most=1, likely_cause="Give a fraction of the thickness.")
        return float(np.interp(depth * self.thickness_mm, self.depth_mm, self.temp_c))

    @property
    def dissolved_g_100g(self) -> Array:
        """Salt in the water; what saturated brine cannot hold is crystals. [g per 100 g of RAW flesh]"""
        most = self.water_g_100g * (SATURATED_PCT / (100 - SATURATED_PCT))
        return np.minimum(self.salt_g_100g, most)

    @property
    def wps_pct(self) -> Array:
        """Water-phase salt over the depth, without crystals. [g per 100 g of salt + water]"""
        salt = self.dissolved_g_100g
        both = salt + self.water_g_100g
        return 100 * salt / np.where(both > 0, both, 1.0)

    @property
    def mean_wps_pct(self) -> float:
        """Water-phase salt of the whole piece, without crystals. [g per 100 g of salt + water]"""
        salt, water = float(self.weight @ self.dissolved_g_100g), float(self.weight @ self.water_g_100g)
        return 100 * salt / (salt + water) if salt + water > 0 else 0.0

    @property
    def salt_g(self) -> float:
        """Salt in the piece as it is now. [g]"""
        return self.raw_mass_g * float(self.weight @ self.salt_g_100g) / 100

    @property
    def salt_pct(self) -> float:
        """Salt in the piece as it is now. [g per 100 g]"""
        return 100 * self.salt_g / self.mass_g

    @property
    def moisture_pct(self) -> float:
        """Water in the piece as it is now. [g per 100 g]"""
        return self.raw_mass_g * float(self.weight @ self.water_g_100g) / self.mass_g

    @property
    def area_cm2(self) -> float:
        """Area of ONE face of a slab of this mass and thickness. [cm²]

        A real fillet thins out towards the tail and the belly, so it has more area than this.
        """
        density = food.properties(self.composition, 3.0).density_kg_m3
        return float(self.raw_mass_g / 1000 / density / (self.thickness_mm / 1000) * 1e4)

    @property
    def present_composition(self) -> Composition:
        """Composition as it is now; salt counts as ash. Rounded to 0.1 so that tables are shared."""
        share = self.raw_mass_g / self.mass_g
        water = float(self.weight @ self.water_g_100g) * share
        salt = float(self.weight @ self.salt_g_100g) * share
        kept = self.composition
        return Composition(
            round(water, 1),
            round(kept.protein_pct * share, 1),
            round(kept.fat_pct * share, 1),
            round(kept.carbohydrate_pct * share, 1),
            round(kept.fibre_pct * share, 1),
            round(kept.ash_pct * share + salt, 1),
        )


def raw(
    species: str | Composition,
    thickness_mm: float,
    mass_g: float,
    temp_c: ArrayLike = 3.0,
    *,
    skin_on: bool = True,
    nodes: int = NODES,
) -> Fillet:
    """Return a raw fillet, at one temperature through its whole depth.

    Measure the thickness at the thickest section: that is the part which is done last.

    Parameters
    ----------
    species : str or Composition
        A fish of ``species.fish_book``, or a composition of your own.
    thickness_mm : float
        FULL thickness at the thickest section, above 0 and up to 150. [mm]
    mass_g : float
        Mass of the piece, above 0. [g]
    temp_c : float
        Temperature, -60 to 150. [°C]
    skin_on : bool
        Whether the skin is on.
    nodes : int
        Points over the depth: odd, 11 to 401.

    Raises
    ------
    UnknownName
        If the fish is not on the list.

    Examples
    --------
    >>> raw("char, farmed", 20, 150).skin_on
    True
    """
    composition = species if isinstance(species, Composition) else flesh(species)
    check_range(
        "thickness_mm", thickness_mm, above=0, at_most=150, likely_cause="Give the full thickness, in mm."
    )
    fraction, weight = grid(nodes)
    flat = np.ones_like(fraction)
    return Fillet(
        thickness_mm=float(thickness_mm),
        composition=composition,
        raw_mass_g=float(mass_g),
        skin_on=skin_on,
        depth_mm=fraction * thickness_mm,
        weight=weight,
        temp_c=flat * np.asarray(temp_c, dtype=float),
        salt_g_100g=0 * flat,
        water_g_100g=flat * composition.water_pct,
    )


@lru_cache(maxsize=32)
def grid(nodes: int = NODES) -> tuple[Array, Array]:
    """Return depths as fractions (0 to 1) and the share of the slab that each point stands for.

    Points sit on both faces and on the core, and crowd towards the faces, where things change fastest.

    Parameters
    ----------
    nodes : int
        Points over the full depth: odd, 11 to 401.

    Returns
    -------
    fraction, weight : arrays of shape (nodes,)
        Read-only.

    Raises
    ------
    OutOfRange
        If ``nodes`` is even or outside its range.

    Examples
    --------
    >>> fraction, weight = grid(11)
    >>> float(fraction[5]), round(float(weight.sum()), 12)
    (0.5, 1.0)
    """
    if not 11 <= nodes <= 401 or nodes % 2 == 0:
        raise OutOfRange("nodes", nodes, "an odd whole number from 11 to 401")
    step = np.linspace(0, 1, nodes)
    fraction = step - _CROWDING * np.sin(2 * np.pi * step) / (2 * np.pi)
    fraction[0], fraction[nodes // 2], fraction[-1] = 0.0, 0.5, 1.0
    width = np.diff(fraction)
    weight = np.concatenate([[width[0] / 2], (width[1:] + width[:-1]) / 2, [width[-1] / 2]])
    weight /= weight.sum()
    fraction.flags.writeable = weight.flags.writeable = False
    return fraction, weight
