"""Money: what a kilo sold costs, what one point of yield is worth, and the price of a plate and a pack."""

from collections.abc import Iterable
from dataclasses import dataclass

from numpy.typing import ArrayLike

from kit.basics.errors import check_range
from kit.process.steps.trim import chain_yield


@dataclass(frozen=True)
class Invoice:
    """One line of cost of a batch: what for, and how much in all. [money]"""

    what: str
    cost: float


@dataclass(frozen=True)
class KiloCost:
    """What a kilo sold costs, and each part of it. [money per kg sold]"""

    sold_kg: float
    fish: float
    parts: dict[str, float]
    total: float


def kilo_cost(
    bought_kg: float,
    price_per_kg: float,
    yields_pct: ArrayLike,
    others: Iterable[Invoice] = (),
    *,
    sold_pct: float = 100.0,
) -> KiloCost:
    """Return what a kilo sold costs: the fish through its yields, and every other invoice of the batch.

    The kilo that is thrown away has cost as much as the kilo that is sold, so the kilos sold pay for both.

    Parameters
    ----------
    bought_kg : float
        Fish bought, above 0. [kg]
    price_per_kg : float
        Its price, 0 or more. [money per kg bought]
    yields_pct : array
        Yield of each step, above 0 to 100. [%]
    others : iterable of Invoice
        Salt, wood, energy, labour, packing, carting waste away: each for this batch, 0 or more.
    sold_pct : float
        Of what is finished, what is sold and not thrown away, above 0 to 100. [%]

    Notes
    -----
    Source: ``definition``.

    Examples
    --------
    >>> cost = kilo_cost(40, 9.0, [60, 80], [Invoice("labour", 96), Invoice("wood", 9.6)], sold_pct=95)
    >>> round(cost.sold_kg, 2), round(cost.fish, 2), round(cost.total, 2)
    (18.24, 19.74, 25.53)
    """
    check_range("bought_kg", bought_kg, above=0)
    check_range("price_per_kg", price_per_kg, at_least=0)
    check_range("yields_pct", yields_pct, above=0, at_most=100)
    check_range("sold_pct", sold_pct, above=0, at_most=100)
    sold = bought_kg * chain_yield(yields_pct) / 100 * sold_pct / 100
    parts: dict[str, float] = {}
    for one in others:
        check_range(f"cost of {one.what}", one.cost, at_least=0)
        parts[one.what] = parts.get(one.what, 0.0) + one.cost / sold
    fish = bought_kg * price_per_kg / sold
    return KiloCost(sold, fish, parts, fish + sum(parts.values()))


def worth_of_a_point(price_per_kg: float, yield_pct: float) -> float:
    """Return what a finished kilo costs less in fish when the whole yield rises by one point.

    It is worth more where the yield is low: from 40 to 41 saves more than from 60 to 61.

    Parameters
    ----------
    price_per_kg : float
        Price of the fish as bought, 0 or more. [money per kg bought]
    yield_pct : float
        The yield now, from bought to finished, above 0 to 99. [%]

    Returns
    -------
    float
        [money per kg finished]

    Notes
    -----
    Source: ``definition``.

    Examples
    --------
    >>> round(worth_of_a_point(9, 44), 3), round(worth_of_a_point(9, 60), 3)
    (0.455, 0.246)
    """
    check_range("price_per_kg", price_per_kg, at_least=0)
    check_range("yield_pct", yield_pct, above=0, at_most=99)
    return price_per_kg * (100 / yield_pct - 100 / (yield_pct + 1))


def plate_price(cost: float, food_share_pct: float) -> float:
    """Return the price of a plate, before tax, so that its food is a given share of it. [money]

    Dividing by the share is not adding it: food of 3 at 30 % makes 10, not 3.90.

    Parameters
    ----------
    cost : float
        All food on the plate, 0 or more. [money]
    food_share_pct : float
        What share of the price the food may be, above 0 to 100. [%]

    Notes
    -----
    Source: ``definition``.

    Examples
    --------
    >>> round(plate_price(3.0, 30), 2)
    10.0
    """
    check_range("cost", cost, at_least=0)
    check_range("food_share_pct", food_share_pct, above=0, at_most=100)
    return 100 * cost / food_share_pct


def pack_price(kilo: float, net_g: float, pack: float, margin_pct: float, tax_pct: float = 0.0) -> float:
    """Return the price of a pack in the shop: cost, then margin on the price, then tax on that. [money]

    Parameters
    ----------
    kilo : float
        Cost of a kilo sold, 0 or more. [money per kg]
    net_g : float
        Net weight, above 0. [g]
    pack : float
        Bag, card and label, 0 or more. [money]
    margin_pct : float
        What share of the price before tax is left after cost, 0 to below 100. [%]
    tax_pct : float
        Tax on sales, 0 or more; ask which rate counts where you sell. [% of the price before tax]

    Notes
    -----
    Source: ``definition``.

    Examples
    --------
    >>> round(pack_price(24.0, 150, 0.40, 50), 2), round(pack_price(24.0, 150, 0.40, 50, 10), 2)
    (8.0, 8.8)
    """
    check_range("kilo", kilo, at_least=0)
    check_range("net_g", net_g, above=0)
    check_range("pack", pack, at_least=0)
    check_range("margin_pct", margin_pct, at_least=0, below=100)
    check_range("tax_pct", tax_pct, at_least=0)
    before_tax = (kilo * net_g / 1000 + pack) / (1 - margin_pct / 100)
    return before_tax * (1 + tax_pct / 100)
