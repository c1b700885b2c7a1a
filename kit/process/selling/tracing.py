"""Tracing: which lots went into which, who holds them, and whether every kilo has a place."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter

from kit.basics.errors import BadData, UnknownName, check_range


@dataclass(frozen=True)
class LotMove:
    """Kilos that went from one lot into another lot, or to a customer. Codes are compared as written."""

    source: str
    into: str
    mass_kg: float


def went_into(moves: Iterable[LotMove], lot: str) -> tuple[str, ...]:
    """Return every lot and customer that may hold some of this lot, in alphabetical order.

    One step forward, and the next, until the last door. A lot that took one kilo of a suspect lot is suspect
    as a whole: nobody can take the kilo out again.

    Parameters
    ----------
    moves : iterable of LotMove
        The records: deliveries into batches, batches into packs, packs to customers.
    lot : str
        The code to follow.

    Raises
    ------
    UnknownName
        If no record names this lot.
    BadData
        If the records go round in a circle.

    Notes
    -----
    Source: ``definition``.

    Examples
    --------
    >>> records = [LotMove("D1", "B1", 20), LotMove("D2", "B1", 5), LotMove("D2", "B2", 15),
    ...     LotMove("B1", "Café Ost", 9), LotMove("B2", "Inn", 8)]
    >>> went_into(records, "D1")
    ('B1', 'Café Ost')
    >>> went_into(records, "D2")
    ('B1', 'B2', 'Café Ost', 'Inn')
    """
    return _reached(tuple(moves), lot, forward=True)


def came_from(moves: Iterable[LotMove], lot: str) -> tuple[str, ...]:
    """Return every lot that this lot or customer got some of, in alphabetical order: the steps back.

    Raises
    ------
    UnknownName
        If no record names this lot.
    BadData
        If the records go round in a circle.

    Notes
    -----
    Source: ``definition``.

    Examples
    --------
    >>> came_from([LotMove("D1", "B1", 20), LotMove("D2", "B1", 5), LotMove("B1", "Inn", 9)], "Inn")
    ('B1', 'D1', 'D2')
    """
    return _reached(tuple(moves), lot, forward=False)


def _reached(moves: tuple[LotMove, ...], lot: str, *, forward: bool) -> tuple[str, ...]:
    steps: dict[str, set[str]] = defaultdict(set)
    named: set[str] = set()
    for move in moves:
        check_range(f"kilos of {move.source} into {move.into}", move.mass_kg, at_least=0)
        here, there = (move.source, move.into) if forward else (move.into, move.source)
        steps[here].add(there)
        named |= {here, there}
    if lot not in named:
        raise UnknownName("lot", lot, named)
    try:
        TopologicalSorter(steps).prepare()
    except CycleError as error:
        raise BadData(
            "the records of lots", f"they go round in a circle: {' → '.join(error.args[1])}"
        ) from None
    found: set[str] = set()
    waiting = [lot]
    while waiting:
        new = steps.get(waiting.pop(), set()) - found
        found |= new
        waiting += new
    return tuple(sorted(found))


@dataclass(frozen=True)
class Recall:
    """What a recall of one lot must find.

    ``lots`` are in the house, ``customers`` hold packs of them, with the kilos each got. ``in_house_kg`` is
    what stands in the house of what was made of those lots.
    """

    lots: tuple[str, ...]
    customers: Mapping[str, float]
    sold_kg: float
    in_house_kg: float

    @property
    def to_find_kg(self) -> float:
        """All kilos that must be found: in the house and with customers. [kg]"""
        return self.sold_kg + self.in_house_kg


def recall(
    moves: Iterable[LotMove], lot: str, customers: Iterable[str], stock_kg: Mapping[str, float]
) -> Recall:
    """Return what must be found when a lot is called back.

    Parameters
    ----------
    moves : iterable of LotMove
        The records, as for :func:`went_into`.
    lot : str
        The suspect lot.
    customers : iterable of str
        Which of the names are customers; all others are lots.
    stock_kg : mapping
        What stands in the house of each lot, 0 or more. [kg]

    Raises
    ------
    UnknownName
        If no record names the lot.
    BadData
        If the records go round in a circle.

    Notes
    -----
    Source: ``definition``.

    Examples
    --------
    >>> records = [LotMove("D1", "B1", 20), LotMove("B1", "Inn", 9), LotMove("B1", "Shop", 4)]
    >>> found = recall(records, "D1", ["Inn", "Shop"], {"B1": 2.5})
    >>> dict(found.customers), found.to_find_kg
    ({'Inn': 9, 'Shop': 4}, 15.5)
    """
    records, outside = tuple(moves), set(customers)
    reached = {lot, *went_into(records, lot)}
    lots = reached - outside
    given: dict[str, float] = {}
    for move in records:
        if move.source in lots and move.into in outside:
            given[move.into] = given.get(move.into, 0) + move.mass_kg
    left = 0.0
    for name in sorted(lots & stock_kg.keys()):
        check_range(f"stock of {name} in kg", stock_kg[name], at_least=0)
        left += stock_kg[name]
    return Recall(tuple(sorted(lots)), given, sum(given.values()), left)


@dataclass(frozen=True)
class MassBalance:
    """What came in against what can be shown. ``missing_kg`` below 0: there is more than came in."""

    in_kg: float
    shown_kg: float
    missing_kg: float
    missing_pct: float
    closes: bool
    note: str


def mass_balance(
    in_kg: float,
    out_kg: float,
    waste_kg: float,
    stock_kg: float,
    *,
    water_lost_kg: float = 0.0,
    allowed_pct: float = 2.0,
) -> MassBalance:
    """Return whether every kilo of a lot has a place: in = out + waste + water lost + stock.

    A gap says that a record is missing or wrong. More than came in says that another lot is mixed in.

    Parameters
    ----------
    in_kg : float
        What was delivered, above 0. [kg]
    out_kg, waste_kg, stock_kg : float
        What was sold, what was thrown away and what stands in the house, each 0 or more. [kg]
    water_lost_kg : float
        What drying and cooking took, worked out from weights before and after, 0 or more. [kg]
    allowed_pct : float
        The gap that the house still calls closed, 0 to 10. 2 is common practice, no source. [% of in]

    Notes
    -----
    Source: ``definition``.

    Examples
    --------
    >>> found = mass_balance(50, 21, 18, 3, water_lost_kg=7.5)
    >>> found.missing_kg, found.missing_pct, found.closes
    (0.5, 1.0, True)
    >>> mass_balance(50, 26, 18, 3, water_lost_kg=7.5).note
    'More is shown than came in: another lot may be mixed in, or something was weighed twice.'
    """
    check_range("in_kg", in_kg, above=0)
    parts = {"out_kg": out_kg, "waste_kg": waste_kg, "stock_kg": stock_kg, "water_lost_kg": water_lost_kg}
    for name, value in parts.items():
        check_range(name, value, at_least=0)
    check_range("allowed_pct", allowed_pct, at_least=0, at_most=10)
    shown = sum(parts.values())
    missing = in_kg - shown
    missing_pct = 100 * missing / in_kg
    closes = abs(missing_pct) <= allowed_pct + 1e-9
    if closes:
        note = "Every kilo has a place, within what the house allows."
    elif missing > 0:
        note = "Kilos are missing: a sale, a pack or waste was not written down."
    else:
        note = "More is shown than came in: another lot may be mixed in, or something was weighed twice."
    return MassBalance(in_kg, shown, missing, missing_pct, closes, note)


def found_pct(found_kg: float, to_find_kg: float) -> float:
    """Return the share of a recalled lot that was found, in a recall or a drill. [%]

    Parameters
    ----------
    found_kg : float
        What is known to be apart, eaten or destroyed, 0 or more, at most what is to be found. [kg]
    to_find_kg : float
        All kilos of the lot, above 0. [kg]

    Notes
    -----
    Source: ``definition``.

    Examples
    --------
    >>> found_pct(11.7, 13)
    90.0
    """
    check_range("to_find_kg", to_find_kg, above=0)
    cause = "Was something counted twice?"
    check_range("found_kg", found_kg, at_least=0, at_most=to_find_kg, likely_cause=cause)
    return 100 * found_kg / to_find_kg
