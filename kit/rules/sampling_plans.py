"""Sampling plans and the bone defect: data with their sources, and the plan that fits a lot."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from kit.basics.data_files import build, shipped
from kit.basics.errors import OutOfRange, UnknownName, check_range
from kit.process.physics.numeric import check_whole
from kit.rules.model import FROM_MEMORY

CAUTION = "A plan for quality. Its own scope leaves out hazards to health: no lot is safe because it passed."


@dataclass(frozen=True)
class SamplingPlan:
    """How many packs to take from a lot, and the most defective ones that still accept it.

    ``over_kg`` to ``to_kg`` is the net weight of one pack, ``lot_from`` to ``lot_to`` the packs in the lot;
    an upper end of None is open. ``seen`` is False where the row is from memory.
    """

    table: str
    n: int
    c: int
    over_kg: float
    to_kg: float | None
    lot_from: int
    lot_to: int | None
    seen: bool
    source: str
    locator: str
    use: str
    caution: str = CAUTION

    @property
    def label(self) -> str:
        """Words to show wherever the plan is shown: empty if it was read."""
        return "" if self.seen else FROM_MEMORY


@dataclass(frozen=True)
class BoneDefect:
    """When a bone counts and when a sample is defective, for ``kit.process.sampling.bones.bone_defects``."""

    id: str
    source: str
    locator: str
    seen: bool
    counted_length_mm: float
    counted_diameter_mm: float
    ignored_length_mm: float
    ignored_diameter_mm: float
    ignored_foot_mm: float
    allowed_per_kg: float
    applies: str
    says: str

    @property
    def label(self) -> str:
        """Words to show wherever the limit is shown: empty if it was read."""
        return "" if self.seen else FROM_MEMORY

    def limits(self) -> dict[str, float]:
        """Return the limits by the names that ``kit.process.sampling.bones.bone_defects`` gives them."""
        names = ("counted_length_mm", "counted_diameter_mm", "ignored_length_mm", "ignored_diameter_mm")
        return {name: getattr(self, name) for name in (*names, "allowed_per_kg")}


@dataclass(frozen=True)
class _PlanTable:
    id: str
    title: str
    use: str
    source: str
    locator: str
    rows: tuple[dict[str, Any], ...]


@dataclass(frozen=True)
class _SamplingFile:
    table: tuple[_PlanTable, ...]
    bone_defect: BoneDefect


@lru_cache(maxsize=1)
def _file() -> _SamplingFile:
    return shipped("kit.rules", "data/sampling.toml", _SamplingFile)


@lru_cache(maxsize=1)
def tables() -> dict[str, tuple[SamplingPlan, ...]]:
    """Return every table of plans by its id, rows in the order of the text.

    Raises
    ------
    BadData
        If the data file is broken.

    Examples
    --------
    >>> sorted(tables())
    ['attributes-normal-2', 'codex-233-1', 'codex-233-2']
    """
    found: dict[str, tuple[SamplingPlan, ...]] = {}
    for table in _file().table:
        shared = {"table": table.id, "source": table.source, "locator": table.locator, "use": table.use}
        rows = [{**shared, "to_kg": None, "lot_to": None, **row} for row in table.rows]
        found[table.id] = build(tuple[SamplingPlan, ...], rows, f"sampling.toml, {table.id}")
    return found


def plan_for(lot: int, table: str = "codex-233-1", pack_kg: float = 0.5) -> SamplingPlan:
    """Return the plan of a table that fits a lot.

    Parameters
    ----------
    lot : int
        Packs in the lot, 1 or more. [packs]
    table : str
        Id of a table: ``tables()``.
    pack_kg : float
        Net weight of one pack, above 0. [kg]

    Raises
    ------
    OutOfRange
        If a number is missing or outside its range, or the table has no row for such a lot.
    UnknownName
        If there is no such table.

    Examples
    --------
    >>> plan = plan_for(400)
    >>> plan.n, plan.c, plan.label
    (6, 1, 'from memory: confirm')
    """
    check_whole("lot", lot, at_least=1, likely_cause="A lot has at least one pack.")
    check_range("pack_kg", pack_kg, above=0, likely_cause="Was it given in grams?")
    if table not in tables():
        raise UnknownName("table of sampling plans", table, sorted(tables()))
    for plan in tables()[table]:
        heavy = plan.over_kg < pack_kg and (plan.to_kg is None or pack_kg <= plan.to_kg)
        if heavy and plan.lot_from <= lot and (plan.lot_to is None or lot <= plan.lot_to):
            return plan
    known = tables()[table]
    ends = f"from {known[0].lot_from} to {known[-1].lot_to} packs in this table"
    raise OutOfRange("lot", lot, ends, "Choose another table, or look at every pack.")


@lru_cache(maxsize=1)
def bone_defect() -> BoneDefect:
    """Return the bone defect of the Codex standard for frozen fillets, flagged as from memory.

    Raises
    ------
    BadData
        If the data file is broken.

    Examples
    --------
    >>> bone_defect().allowed_per_kg, bone_defect().seen
    (1.0, False)
    """
    return _file().bone_defect
