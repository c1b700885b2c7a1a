"""Explorers of lesson 9: how far one lot spreads, and what a kilo sold costs."""

from collections.abc import Mapping
from functools import cache
from typing import Any

import numpy as np

from kit.process.selling.money import Invoice, KiloCost, kilo_cost, worth_of_a_point
from kit.process.selling.tracing import LotMove, Recall, recall
from kit.views.pictures import ink
from kit.views.pictures.register import Drawing, Predict, Slider, explorer

DELIVERIES, DELIVERY_KG, FINISHED_PCT, DAYS_TO_SELL = 8, 24.0, 50.0, 6


@cache
def _called_back(mixed: int, day: int) -> tuple[Recall, dict[str, float], dict[str, float]]:
    """Return the recall of one delivery, and what each batch has sold and still in the house. [kg]"""
    made = DELIVERY_KG * FINISHED_PCT / 100
    gone = min(day, DAYS_TO_SELL) / DAYS_TO_SELL
    moves, sold, left = [], {}, {}
    for place in range(DELIVERIES):
        batch = f"B{place + 1}"
        for step in range(mixed):
            moves.append(LotMove(f"D{(place + step) % DELIVERIES + 1}", batch, DELIVERY_KG / mixed))
        sold[batch], left[batch] = made * gone, made * (1 - gone)
        for customer in (2 * place, 2 * place + 1):
            moves.append(LotMove(batch, f"customer {customer + 1}", made * gone / 2))
    customers = [f"customer {number}" for number in range(1, 2 * DELIVERIES + 1)]
    return recall(moves, "D4", customers, left), sold, left


@explorer(
    "how-far-a-lot-spreads",
    title="How far does one bad delivery spread?",
    intro=f"{DELIVERIES} deliveries of {DELIVERY_KG:g} kg make {DELIVERIES} batches. Delivery D4 is called "
    "back. Set how many deliveries go into one batch, and the day on which you hear of it.",
    controls=(
        Slider("mixed", "Deliveries in one batch", "", 1, 4, 1, 1),
        Slider("day", "Days since packing", "days", 0, DAYS_TO_SELL, 1, 2),
    ),
    predict=Predict(
        "A batch is made from two deliveries, not from one. How much fish is called back?",
        ("Twice as much", "As much as before", "Half as much"),
        "Move “deliveries in one batch” from 1 to 2, and count the bars that say “call back”.",
        ("", "One delivery is now in 2 batches, and both come back", "It is spread out, so more comes back"),
    ),
)
def how_far_a_lot_spreads(settings: Mapping[str, Any]) -> Drawing:
    """Draw every batch with what is sold and what is left; those to call back are dark.

    Examples
    --------
    >>> how_far_a_lot_spreads({"mixed": 2, "day": 3}).facts[0]
    'One delivery of 24 kg: 24 kg of finished fish in 2 batches come back.'
    """
    mixed, day = int(settings["mixed"]), int(settings["day"])
    found, sold, left = _called_back(mixed, day)
    figure, axis = ink.sheet(3.4)
    for place, batch in enumerate(sold):
        bad = batch in found.lots
        edge, color = ink.INK, ("#D55E00" if bad else "#e4ddcf")
        axis.barh(place, left[batch], color=color, edgecolor=edge, linewidth=0.8)
        axis.barh(
            place,
            sold[batch],
            left=left[batch],
            color=color,
            edgecolor=edge,
            linewidth=0.8,
            hatch="////" if bad else "//",
        )
        if bad:
            axis.text(12.25, place, "call back", va="center", fontsize=ink.WORDS_PT, color=ink.INK)
    axis.grid(False, axis="y")
    axis.set(yticks=range(DELIVERIES), yticklabels=list(sold), xlim=(0, 14.5))
    axis.invert_yaxis()
    axis.set_xlabel("Finished fish [kg]\nplain: in the house; hatched: sold")
    facts = (
        f"One delivery of {DELIVERY_KG:g} kg: {found.to_find_kg:g} kg of finished fish in "
        f"{_counted(len(found.lots) - 1, 'batch', 'batches')} come back.",
        f"{found.in_house_kg:g} kg are still in the house, {found.sold_kg:g} kg are with "
        f"{_counted(len(found.customers) if found.sold_kg else 0, 'customer')}.",
        "One delivery in one batch keeps a recall small. Each day costs more phone calls.",
    )
    return Drawing(figure, " ".join(facts), facts)


def _counted(count: int, one: str, more: str = "") -> str:
    return f"{count} {one if count == 1 else more or one + 's'}"


_BOUGHT_KG, _WAGE, _WOOD, _ENERGY, _PACKS = 40.0, 18.0, 8.0, 14.0, 20.0
"""An invented batch: its prices are nobody's."""


def _cost(price: float, yield_pct: float, hours: float, thrown_pct: float) -> KiloCost:
    others = [
        Invoice("work", hours * _WAGE),
        Invoice("wood and energy", _WOOD + _ENERGY),
        Invoice("packs", _PACKS),
    ]
    return kilo_cost(_BOUGHT_KG, price, [yield_pct], others, sold_pct=100 - thrown_pct)


@explorer(
    "cost-of-a-kilo",
    title="What does a kilo sold cost?",
    intro=f"A batch of {_BOUGHT_KG:g} kg as bought. Work costs {_WAGE:g} € an hour, wood {_WOOD:g} €, energy "
    f"{_ENERGY:g} € and packs {_PACKS:g} €. All prices are invented: put in your own.",
    controls=(
        Slider("price", "Price of the fish as bought", "€/kg", 5, 20, 0.5, 10),
        Slider("yield_pct", "Yield, bought to finished", "%", 35, 65, 1, 46),
        Slider("hours", "Hours of work on the batch", "h", 2, 12, 0.5, 7),
        Slider("thrown_pct", "Finished, then thrown away", "%", 0, 20, 1, 5),
    ),
    predict=Predict(
        "Fish costs 10 € a kilo, and 46 % of it is left when it is finished. What does the fish in a "
        "finished kilo cost?",
        ("About 10 €", "About 15 €", "About 22 €"),
        "Look at the part of the bar that says fish.",
        ("A finished kilo holds more than 2 kg of bought fish", "It takes 10 ÷ 46 %, not 10 + 46 %", ""),
    ),
)
def cost_of_a_kilo(settings: Mapping[str, Any]) -> Drawing:
    """Draw the cost of a kilo sold over the yield, and its parts at the yield that is set.

    Examples
    --------
    >>> cost_of_a_kilo({"price": 10, "yield_pct": 46, "hours": 7, "thrown_pct": 5}).facts[0]
    'A kilo sold costs 32.49 €: fish 22.88, work 7.21, wood and energy 1.26, packs 1.14.'
    """
    price, yield_pct = float(settings["price"]), float(settings["yield_pct"])
    hours, thrown = float(settings["hours"]), float(settings["thrown_pct"])
    cost = _cost(price, yield_pct, hours, thrown)
    parts = {"fish": cost.fish, **cost.parts}
    figure, axes = ink.sheet(3.5, columns=2, width_ratios=[3, 2])
    curve, bars = axes
    over = np.arange(35, 65.1, 1)
    curve.plot(over, [_cost(price, each, hours, thrown).total for each in over], **ink.LINES[0])
    curve.plot([yield_pct], [cost.total], "o", markersize=9, color="#D55E00", markeredgecolor=ink.INK)
    curve.set(xlabel="Yield, bought to finished [%]", ylabel="Cost of a kilo sold [€]")
    curve.set_ylim(0, 1.1 * _cost(price, 35, hours, thrown).total)
    bars.barh(list(parts), list(parts.values()), color="#0072B2", edgecolor=ink.INK, linewidth=0.8)
    bars.grid(False, axis="y")
    bars.invert_yaxis()
    bars.set(xlabel="[€ for a kilo sold]", xlim=(0, 1.25 * max(parts.values())))
    for place, value in enumerate(parts.values()):
        bars.text(value, place, f" {value:.2f}", va="center", fontsize=ink.WORDS_PT, color=ink.INK)
    told = ", ".join(f"{name} {value:.2f}" for name, value in parts.items())
    point = worth_of_a_point(price, yield_pct) / (1 - thrown / 100)
    facts = (
        f"A kilo sold costs {cost.total:.2f} €: {told}.",
        f"One more point of yield saves {point:.2f} € of fish on each kilo sold.",
        f"{cost.sold_kg:.1f} kg of the {_BOUGHT_KG:g} kg bought are sold. They pay for the rest too.",
    )
    return Drawing(figure, " ".join(facts), facts)
