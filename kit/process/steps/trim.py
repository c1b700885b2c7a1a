"""Trimming: yields, where the weight went, and what a portion costs."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from kit.basics.errors import UnknownName, check_range
from kit.process.physics.numeric import as_given, check_whole


@dataclass(frozen=True)
class PublishedYield:
    """A published yield: mean and standard deviation (NaN if none was given). [% of what it is cut from]"""

    what: str
    of: str
    pct: float
    sd: float
    source: str
    seen: bool


_UNKNOWN = float("nan")
PUBLISHED_YIELDS: dict[str, PublishedYield] = {
    "trout, gutted": PublishedYield("gutted", "whole trout", 87.56, 3.43, "abdollahi-2014", True),
    "trout, skin-on fillet": PublishedYield("fillet", "whole trout", 56.69, 3.26, "abdollahi-2014", True),
    "trout, skinless fillet": PublishedYield("fillet", "whole trout", 45.36, 2.37, "abdollahi-2014", True),
    "trout, head": PublishedYield("head", "whole trout", 15.52, 2.00, "abdollahi-2014", True),
    "trout, guts": PublishedYield("guts", "whole trout", 12.62, 2.61, "abdollahi-2014", True),
    "small trout, gutted": PublishedYield("gutted", "whole trout", 83.00, _UNKNOWN, "souza-2015", True),
    "small trout, head": PublishedYield("head", "whole trout", 13.27, _UNKNOWN, "souza-2015", True),
    "salmon, fillet": PublishedYield("fillet", "gutted salmon", 75.0, _UNKNOWN, "seafood-council", True),
    "pin bones pulled": PublishedYield("fillet", "fillet", 99.25, _UNKNOWN, "memory-trim", False),
    "pin bones cut out": PublishedYield("fillet", "fillet", 95.5, _UNKNOWN, "memory-trim", False),
}
"""Typical figures. Your own scale beats all of them."""


@dataclass(frozen=True)
class PublishedLoss:
    """A published loss of weight through smoking, on the weight before; one figure or a range. [%]"""

    what: str
    low_pct: float
    high_pct: float
    source: str


PUBLISHED_LOSSES = (
    PublishedLoss("trout fillets, steamed with liquid smoke", 23.7, 23.7, "besharati"),
    PublishedLoss("trout fillets, dried 4 h, then the same", 28.8, 28.8, "besharati"),
    PublishedLoss("salmon sides, cold-smoked, salting and kiln", 16.0, 18.0, "fao-torry-82"),
    PublishedLoss("salmon sides, in the cold kiln", 7.0, 9.0, "fao-torry-82"),
)


def published_yield(name: str) -> PublishedYield:
    """Return a published yield by name.

    Raises
    ------
    UnknownName
        If there is none of that name.

    Notes
    -----
    Source: the key in each entry.

    Examples
    --------
    >>> published_yield("trout, skin-on fillet").pct
    56.69
    """
    try:
        return PUBLISHED_YIELDS[name]
    except KeyError:
        raise UnknownName("published yield", name, PUBLISHED_YIELDS) from None


def yield_pct(after_g: ArrayLike, before_g: ArrayLike) -> Any:
    """Return what is left as a share of what there was. [%]

    Say of what: a fillet is 57 % of a whole trout and 65 % of a gutted one.

    Parameters
    ----------
    after_g, before_g : float or array
        Mass after, 0 or more; before, above 0 and not less than after. [g]

    Raises
    ------
    OutOfRange
        If a mass is missing or outside its range, or there is more after than before.

    Notes
    -----
    Source: ``definition``.

    Examples
    --------
    >>> yield_pct(455, 700)
    65.0
    """
    check_range("after_g", after_g, at_least=0)
    check_range("before_g", before_g, above=0)
    share = 100 * np.asarray(after_g, dtype=float) / np.asarray(before_g, dtype=float)
    check_range("the yield in %", share, at_most=100, likely_cause="Were the two weights swapped?")
    return as_given(share)


def chain_yield(steps_pct: ArrayLike) -> float:
    """Return the yield of steps one after the other. [%]

    Yields multiply, losses do not add: 10 % lost twice is 19 %, because the second comes off less fish.

    Parameters
    ----------
    steps_pct : array
        Yield of each step, 0 to 100. [% of what went into that step]

    Notes
    -----
    Source: ``definition``.

    Examples
    --------
    >>> round(chain_yield([65, 97, 80]), 2)
    50.44
    """
    check_range("steps_pct", steps_pct, at_least=0, at_most=100, likely_cause="Are these losses, not yields?")
    return float(100 * np.prod(np.atleast_1d(np.asarray(steps_pct, dtype=float)) / 100))


def to_buy(portions: int, portion_g: float, yield_in_all_pct: float) -> float:
    """Return the fish to buy for a number of finished portions. [g]

    Parameters
    ----------
    portions : int
        1 or more.
    portion_g : float
        Finished, above 0. [g]
    yield_in_all_pct : float
        From what you buy to what you serve, above 0 to 100. [%]

    Notes
    -----
    Source: ``definition``.

    Examples
    --------
    >>> round(to_buy(30, 90, 45))
    6000
    """
    check_whole("portions", portions, at_least=1)
    check_range("portion_g", portion_g, above=0)
    check_range("yield_in_all_pct", yield_in_all_pct, above=0, at_most=100)
    return portions * portion_g * 100 / yield_in_all_pct


@dataclass(frozen=True)
class Piece:
    """Something cut off: name, mass [g], and what it is worth [money per kg]: 0 for waste."""

    name: str
    mass_g: float
    worth_per_kg: float = 0.0


@dataclass(frozen=True)
class TrimSheet:
    """Where the weight went. Shares are of the start. ``missing_g`` is drip, or a mistake on the scale."""

    start_g: float
    kept_g: float
    kept_pct: float
    shares_pct: dict[str, float]
    missing_g: float
    missing_pct: float
    worth_of_pieces: float
    note: str


def trim_sheet(
    start_g: float, kept_g: float, pieces: Iterable[Piece] = (), drip_pct: float = 2.0
) -> TrimSheet:
    """Return where the weight went while trimming; every gram has a place or is missing.

    Weigh what you cut off, too. What the pieces do not explain is drip, or a scale that was not set to zero.

    Parameters
    ----------
    start_g, kept_g : float
        Before trimming, above 0; what is kept, 0 or more. [g]
    pieces : iterable of Piece
        What was cut off, each 0 or more.
    drip_pct : float
        Missing weight that still passes as drip, 0 to 10; common practice, no source. [% of the start]

    Raises
    ------
    OutOfRange
        If a mass is missing or negative, or the parts weigh more than the whole.

    Notes
    -----
    Source: ``definition``.

    Examples
    --------
    >>> sheet = trim_sheet(1000, 640, [Piece("head and frame", 270), Piece("belly", 75, 4.0)])
    >>> sheet.kept_pct, round(sheet.missing_pct, 1), round(sheet.worth_of_pieces, 2)
    (64.0, 1.5, 0.3)
    """
    check_range("start_g", start_g, above=0)
    check_range("kept_g", kept_g, at_least=0)
    check_range("drip_pct", drip_pct, at_least=0, at_most=10)
    shares: dict[str, float] = {}
    worth = off = 0.0
    for one in pieces:
        check_range(f"mass of {one.name}", one.mass_g, at_least=0)
        check_range(f"worth of {one.name}", one.worth_per_kg, at_least=0)
        shares[one.name] = shares.get(one.name, 0.0) + 100 * one.mass_g / start_g
        off += one.mass_g
        worth += one.mass_g / 1000 * one.worth_per_kg
    missing = start_g - kept_g - off
    cause = "The parts weigh more than the whole: was something weighed twice, or in its tray?"
    check_range("missing weight", missing, at_least=-1e-6 * start_g, likely_cause=cause)
    missing_pct = 100 * missing / start_g
    note = "" if missing_pct <= drip_pct else "More is missing than drip explains: weigh again."
    return TrimSheet(start_g, kept_g, 100 * kept_g / start_g, shares, missing, missing_pct, worth, note)


@dataclass(frozen=True)
class Cost:
    """What a portion costs: whole portions only; the rest is left over, not sold. [money, g]"""

    portions: int
    cost_per_portion: float
    cost_per_kg_finished: float
    finished_g: float
    left_over_g: float
    total: float


def portion_cost(
    bought_g: float,
    price_per_kg: float,
    yields_pct: ArrayLike,
    portion_g: float,
    *,
    other_costs: float = 0.0,
    worth_of_pieces: float = 0.0,
) -> Cost:
    """Return what a finished portion costs in fish and in other costs. [money]

    The price of the fillet on the plate is the price of the whole fish over its yield. Half a portion of
    yield is half a portion of money.

    Parameters
    ----------
    bought_g : float
        Above 0. [g]
    price_per_kg : float
        0 or more. [money per kg bought]
    yields_pct : array
        Yield of each step from bought to finished, above 0 to 100. [%]
    portion_g : float
        Finished, above 0. [g]
    other_costs : float
        Salt, wood, work, packing for all of it, 0 or more. [money]
    worth_of_pieces : float
        What bellies, trimmings and bones bring in, 0 or more. [money]

    Raises
    ------
    OutOfRange
        If a number is missing or outside its range, or not one whole portion comes out.

    Notes
    -----
    Source: ``definition``.

    Examples
    --------
    >>> cost = portion_cost(10_000, 11.0, [57, 97, 82], 90)
    >>> cost.portions, round(cost.cost_per_portion, 2), round(cost.left_over_g)
    (50, 2.2, 34)
    """
    check_range("bought_g", bought_g, above=0)
    check_range("price_per_kg", price_per_kg, at_least=0)
    check_range("yields_pct", yields_pct, above=0, at_most=100)
    check_range("portion_g", portion_g, above=0)
    check_range("other_costs", other_costs, at_least=0)
    check_range("worth_of_pieces", worth_of_pieces, at_least=0)
    finished = bought_g * chain_yield(yields_pct) / 100
    check_range(
        "finished fish in portions", finished / portion_g, at_least=1, likely_cause="Is the portion in g?"
    )
    portions = int(finished / portion_g + 1e-9)
    total = bought_g / 1000 * price_per_kg + other_costs - worth_of_pieces
    return Cost(
        portions, total / portions, total / finished * 1000, finished, finished - portions * portion_g, total
    )
