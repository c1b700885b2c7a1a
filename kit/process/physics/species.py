"""The fish of the house: what each is made of, by part, season and state, and where that was read."""

from dataclasses import dataclass
from functools import lru_cache

from kit.basics.errors import UnknownName
from kit.process.physics.food import Composition

WHOLE, YEAR, FRESH = "whole", "year", "fresh"
"""Of a whole fillet, over the year, never frozen: what a fish is where nothing else is said."""


@dataclass(frozen=True)
class Species:
    """A fish the kit knows. Shares are those of typical raw flesh. [g per 100 g]

    ``word`` is what the kitchen calls it, ``common`` and ``latin`` what a label does; ``shape`` names the
    outline of its fillet, empty where the kit has none.
    """

    name: str
    word: str
    common: str
    latin: str
    raised: str
    water_pct: float
    protein_pct: float
    fat_pct: float
    ash_pct: float
    source: str
    seen: bool
    note: str
    shape: str

    @property
    def composition(self) -> Composition:
        """Of the whole fillet, over the year."""
        return Composition(self.water_pct, self.protein_pct, self.fat_pct, ash_pct=self.ash_pct)


@dataclass(frozen=True)
class FatPart:
    """How fat a part of the fillet is against the whole of it. [1]"""

    name: str
    fat_factor: float
    source: str
    seen: bool


@dataclass(frozen=True)
class FatSeason:
    """How fat a fish is in a season against its year, for one way it is raised. [1]"""

    raised: str
    name: str
    fat_factor: float
    source: str
    seen: bool


@dataclass(frozen=True)
class FishState:
    """What ice does: weight dripped off before the cure [%]; juice in the heat against fresh fish [1]."""

    name: str
    drip_low_pct: float
    drip_pct: float
    drip_high_pct: float
    juice_factor: float
    source: str
    seen: bool


@dataclass(frozen=True)
class FishBook:
    """All of ``fishes.toml``."""

    fish: tuple[Species, ...]
    part: tuple[FatPart, ...]
    season: tuple[FatSeason, ...]
    state: tuple[FishState, ...]


@lru_cache(maxsize=1)
def fish_book() -> FishBook:
    """Return the list of fish, parts, seasons and states.

    Notes
    -----
    Source: the key in each entry of ``fishes.toml``.

    Examples
    --------
    >>> [each.name for each in fish_book().fish if each.word == "salmon"]
    ['salmon, farmed', 'salmon, wild']
    """
    from kit.basics.data_files import shipped

    return shipped("kit.process.physics", "fishes.toml", FishBook)


@lru_cache(maxsize=64)
def species(name: str) -> Species:
    """Return a fish of the list, with its source.

    Raises
    ------
    UnknownName
        If the fish is not on the list.

    Examples
    --------
    >>> species("char, farmed").seen, species("salmon, farmed").latin
    (False, 'Salmo salar')
    """
    for entry in fish_book().fish:
        if entry.name == name:
            return entry
    raise UnknownName("fish", name, [entry.name for entry in fish_book().fish])


def state(name: str) -> FishState:
    """Return what being fresh or thawed does to a fish.

    Raises
    ------
    UnknownName
        If it is neither.

    Examples
    --------
    >>> state("thawed").juice_factor > state("fresh").juice_factor
    True
    """
    for entry in fish_book().state:
        if entry.name == name:
            return entry
    raise UnknownName("state of a fish", name, [entry.name for entry in fish_book().state])


@lru_cache(maxsize=256)
def flesh(name: str, *, part: str = WHOLE, season: str = YEAR, state_name: str = FRESH) -> Composition:
    """Return the flesh of a fish by part, season and state: water gives way to fat, and thawed fish drips.

    A fat belly takes up less salt and warms more slowly than the lean tail of the same fish.

    Parameters
    ----------
    name : str
        A fish of the list.
    part : str
        ``whole``, ``loin``, ``belly`` or ``tail``.
    season : str
        ``year``, ``winter``, ``spring``, ``summer`` or ``autumn``.
    state_name : str
        ``fresh`` or ``thawed``: thawed fish has lost more of its water than fresh fish.

    Raises
    ------
    UnknownName
        If a name is not on its list.

    Notes
    -----
    Source: the key in each entry of ``fishes.toml``; that water and fat add up to one figure in a fish is
    ``memory-composition``.

    Examples
    --------
    >>> [round(flesh("salmon, farmed", part=part).fat_pct) for part in ("tail", "loin", "belly")]
    [9, 14, 28]
    >>> flesh("salmon, farmed") == species("salmon, farmed").composition
    True
    """
    whole, ice = species(name), state(state_name)
    factor = _part_factor(part) * _season_factor(season, whole.raised)
    fat_pct = min(whole.fat_pct * factor, whole.fat_pct + whole.water_pct - 30)
    water_pct = whole.water_pct + whole.fat_pct - fat_pct
    dripped_pct = ice.drip_pct - state(FRESH).drip_pct
    left = 1 - dripped_pct / 100
    return Composition(
        (water_pct - dripped_pct) / left,
        whole.protein_pct / left,
        fat_pct / left,
        ash_pct=whole.ash_pct / left,
    )


def _part_factor(part: str) -> float:
    factors = {WHOLE: 1.0} | {entry.name: entry.fat_factor for entry in fish_book().part}
    if part not in factors:
        raise UnknownName("part of a fillet", part, factors)
    return factors[part]


def _season_factor(season: str, raised: str) -> float:
    rows = fish_book().season
    factors = {YEAR: 1.0} | {row.name: row.fat_factor for row in rows if row.raised == raised}
    if season not in factors:
        raise UnknownName("season", season, factors)
    return factors[season]
