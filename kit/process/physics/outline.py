"""A fillet seen from above: outline, thickness from place to place, loin, belly and tail, and its strips."""

from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray

from kit.basics.errors import UnknownName, check_range
from kit.process.physics.food import Composition, properties

Array = NDArray[np.float64]

ALONG, ACROSS = 60, 30
"""Places of the map: from head to tail, and from back to belly."""
STRIPS = 6
"""Strips of like thickness into which the map is sorted, each with its share of the area."""
TAIL_FROM, BELLY_UP_TO, BELLY_FROM = 0.75, 0.6, 0.62
"""Where the parts begin: tail along, belly along and across, as shares of length and width. [1]"""


@dataclass(frozen=True)
class OutlineShape:
    """One shape of ``fillets.toml``; see its head."""

    name: str
    length_per_width: float
    along: tuple[float, ...]
    width: tuple[float, ...]
    loin: tuple[float, ...]
    across: tuple[float, ...]
    front: tuple[float, ...]
    back: tuple[float, ...]
    source: str
    seen: bool


@lru_cache(maxsize=1)
def shapes() -> tuple[OutlineShape, ...]:
    """Return the shapes of a fillet that the kit knows.

    Examples
    --------
    >>> [each.name for each in shapes()]
    ['salmon', 'trout']
    """
    from kit.basics.data_files import shipped

    return shipped("kit.process.physics", "fillets.toml", dict[str, tuple[OutlineShape, ...]])["shape"]


@dataclass(frozen=True, eq=False)
class Outline:
    """A fillet seen from above, to scale. The map runs from head to tail (rows) and back to belly (columns).

    Parameters
    ----------
    length_mm, width_mm : float
        Length, and width at the widest place. [mm]
    area_cm2 : float
        Of one face. [cm²]
    thickness_mm : array of shape (60, 30)
        FULL thickness at each place. [mm]
    place_cm2 : array of shape (60, 30)
        Area that each place stands for. [cm²]
    """

    length_mm: float
    width_mm: float
    area_cm2: float
    thickness_mm: Array
    place_cm2: Array

    @property
    def mean_mm(self) -> float:
        """Mean thickness: volume over area. [mm]"""
        return float((self.thickness_mm * self.place_cm2).sum()) / self.area_cm2

    @cached_property
    def part(self) -> NDArray[np.str_]:
        """Name of the part at each place: loin, belly or tail."""
        along, across = _middles(ALONG)[:, None], _middles(ACROSS)[None, :]
        belly = (along < BELLY_UP_TO) & (across > BELLY_FROM)
        return np.where(along > TAIL_FROM, "tail", np.where(belly, "belly", "loin"))

    @cached_property
    def strips_mm(self) -> Array:
        """Thickness of each strip, thinnest first; all have the same area. [mm]"""
        order = np.argsort(self.thickness_mm, axis=None)
        area = self.place_cm2.ravel()[order]
        thick = self.thickness_mm.ravel()[order]
        volume = np.concatenate([[0.0], np.cumsum(thick * area)])
        ends = np.linspace(0, 1, STRIPS + 1) * self.area_cm2
        at = np.interp(ends, np.concatenate([[0.0], np.cumsum(area)]), volume)
        return np.asarray(np.diff(at) / np.diff(ends))

    def over_the_map(self, by_strip: Array) -> Array:
        """Return a figure known for each strip at every place of the map, by its thickness there."""
        return np.asarray(np.interp(self.thickness_mm, self.strips_mm, by_strip))

    def mean_of(self, by_place: Array, part: str = "") -> float:
        """Return the mean of a figure over the area, or over one part of it."""
        weight = self.place_cm2 if not part else self.place_cm2 * (self.part == part)
        return float((weight * by_place).sum() / weight.sum())


def outline(shape: str, thickness_mm: float, mass_g: float, composition: Composition) -> Outline:
    """Return the outline of a fillet of this mass whose thickest place, in the loin, measures this much.

    A fillet is no board: it has a half to two thirds more area than a slab of its thickest part, so it dries,
    cures and loses by that much more.

    Parameters
    ----------
    shape : str
        A name of :func:`shapes`.
    thickness_mm : float
        FULL thickness at the thickest place, above 0 and up to 150. [mm]
    mass_g : float
        Of the raw fillet, above 0 and up to 20,000. [g]
    composition : Composition
        Of the flesh, for its density.

    Raises
    ------
    UnknownName
        If there is no such shape.

    Notes
    -----
    Source: ``memory-sizes`` (from memory, confirm): measure the house's own fish on squared paper.

    Examples
    --------
    >>> trout, side = (Composition(71, 19, 10), Composition(64, 20, 16))
    >>> round(outline("trout", 19, 250, trout).area_cm2), round(outline("salmon", 30, 1400, side).area_cm2)
    (200, 911)
    """
    check_range("thickness_mm", thickness_mm, above=0, at_most=150)
    check_range("mass_g", mass_g, above=0, at_most=20_000)
    found = next((each for each in shapes() if each.name == shape), None)
    if found is None:
        raise UnknownName("shape of a fillet", shape, [each.name for each in shapes()])
    share, width = _shares(found)
    density = properties(composition, 3.0).density_kg_m3
    weight = np.repeat(width[:, None], ACROSS, axis=1)
    mean_mm = thickness_mm * float((share * weight).sum() / weight.sum())
    area_cm2 = mass_g / 1000 / density / (mean_mm / 1000) * 1e4
    width_mm = 10 * float(np.sqrt(area_cm2 / found.length_per_width / width.mean()))
    return Outline(
        length_mm=width_mm * found.length_per_width,
        width_mm=width_mm,
        area_cm2=area_cm2,
        thickness_mm=thickness_mm * share,
        place_cm2=area_cm2 * weight / weight.sum(),
    )


def _middles(count: int) -> Array:
    return (np.arange(count) + 0.5) / count


def _shares(shape: OutlineShape) -> tuple[Array, Array]:
    """Return thickness over the map and width along it, as shares of the largest."""
    along, across = _middles(ALONG), _middles(ACROSS)
    front, back = (np.interp(across, shape.across, row) for row in (shape.front, shape.back))
    behind = np.clip((along - 0.5) / 0.2, 0, 1)[:, None]
    loin = np.interp(along, shape.along, shape.loin)[:, None]
    share = loin * ((1 - behind) * front + behind * back)
    return share / share.max(), np.interp(along, shape.along, shape.width)
