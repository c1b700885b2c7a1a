"""Lesson 9, money: a kilo sold, a point of yield, a plate and a pack."""

from kit.exercises.engine import exercise
from kit.marking.authored import Joined, right, wrong
from kit.marking.build import match, number, one
from kit.marking.draw import Draw
from kit.marking.model import Question, Slip
from kit.process.selling.money import Invoice, kilo_cost, pack_price, plate_price, worth_of_a_point

_FISH = ("trout", "salmon", "char", "sea trout")


@exercise("What does a kilo sold cost?", criteria=["PLS-K04", "TPB-K02"], prepares_for=["REC-P05"])
def a_kilo_sold(draw: Draw) -> Question:
    """Work out the cost of a kilo sold from invoices, yields and waste."""
    bought, price = draw.step(20, 60, 5), draw.step(8, 17, 0.5)
    trim, smoke, sold_pct = draw.step(58, 70, 2), draw.step(76, 84, 2), draw.pick([90, 92, 94, 95, 96])
    labour_h, wage = draw.step(4, 9, 1), draw.pick([16, 18, 20])
    wood, energy, packing = draw.step(4, 9, 1), draw.step(8, 18, 1), draw.step(12, 30, 2)
    others = [
        Invoice("labour", labour_h * wage),
        Invoice("wood", wood),
        Invoice("energy", energy),
        Invoice("packing", packing),
    ]
    cost = kilo_cost(bought, price, [trim, smoke], others, sold_pct=sold_pct)
    extra = sum(each.cost for each in others)
    in_all = bought * price + extra
    return number(
        f"{bought} kg of {draw.pick(_FISH)} at {price:g} € a kilo. After the trim {trim} % are left, and of "
        f"that {smoke} % after smoking. {sold_pct} % of the finished fish is sold; the rest is thrown away. "
        f"Work: {labour_h} h at {wage} €. Wood: {wood} €. Energy: {energy} €. Packs: {packing} €. What "
        "does a kilo sold cost?",
        round(cost.total, 4),
        "€/kg",
        rel_tol=0.01,
        slips=[
            Slip(
                "divided by what was bought",
                round(in_all / bought, 4),
                "You divided by the kilos bought. Only the kilos sold bring money.",
            ),
            Slip(
                "forgot what is thrown away",
                round(in_all / (bought * trim * smoke / 1e4), 4),
                f"Only {sold_pct} % is sold. What is thrown away has cost the same: the rest pays for it.",
            ),
            Slip(
                "fish alone",
                round(cost.fish, 4),
                "That is the fish alone. Work, wood, energy and packs cost too.",
            ),
            Slip(
                "took the losses off the price",
                round(price * trim * smoke * sold_pct / 1e6 + extra / cost.sold_kg, 4),
                "You multiplied the price by the yield. The kilo gets dearer, not cheaper: divide.",
            ),
            Slip(
                "added the losses",
                round(in_all / (bought * (trim + smoke + sold_pct - 200) / 100), 4),
                "Losses are not added up. Each comes off what was left: multiply the yields.",
            ),
        ],
        hints=[
            "First the kilos sold: kilos bought × yield × yield × share sold.",
            "Then add all invoices, with the fish, and divide by the kilos sold.",
        ],
        worked=f"Sold: {bought} × {trim} % × {smoke} % × {sold_pct} % = {cost.sold_kg:.2f} kg. Paid: "
        f"{bought * price:g} + {extra} = {in_all:g} €. {in_all:g} ÷ {cost.sold_kg:.2f} = "
        f"{cost.total:.2f} €/kg.",
    )


@exercise("What is one point of yield worth?", criteria=["PLS-K04"], prepares_for=["REC-P05", "TPB-P03"])
def one_point_of_yield(draw: Draw) -> Question:
    """Work out what one more point of yield saves in a week."""
    price, yield_pct, sold = draw.step(8, 18, 0.5), draw.step(38, 62, 1), draw.step(20, 90, 5)
    saved = worth_of_a_point(price, yield_pct) * sold
    now, then = price * 100 / yield_pct, price * 100 / (yield_pct + 1)
    return number(
        f"{draw.pick(_FISH).capitalize()} costs {price:g} € a kilo as bought. The yield from bought to "
        f"finished is {yield_pct} %. You finish {sold} kg a week. How much does one more point, so "
        f"{yield_pct + 1} %, save in a week?",
        round(saved, 4),
        "€",
        rel_tol=0.03,
        slips=[
            Slip(
                "one percent of the price",
                round(price * sold / 100, 4),
                "That is 1 % of the price of the bought fish. A finished kilo holds more than one of them.",
            ),
            Slip(
                "one percent of the cost",
                round(now * sold / 100, 4),
                f"One point is not one percent: from {yield_pct} to {yield_pct + 1} is "
                f"{100 / yield_pct:.1f} % more fish.",
            ),
            Slip(
                "for one kilo", round(saved / sold, 4), f"That is for one kilo. You finish {sold} kg a week."
            ),
        ],
        hints=[
            "What does the fish in one finished kilo cost at each yield? Price ÷ yield.",
            f"Take the difference, times {sold} kg. Round at the end only.",
        ],
        worked=f"{price:g} ÷ {yield_pct} % = {now:.3f} €/kg. {price:g} ÷ {yield_pct + 1} % = {then:.3f}. "
        f"{now - then:.3f} × {sold} = {saved:.2f} € a week.",
    )


@exercise("The price of a plate", criteria=["PLS-K04"], prepares_for=["REC-P05"])
def price_of_a_plate(draw: Draw) -> Question:
    """Price a plate from its food cost and the share that food may be."""
    kilo, gram = draw.step(22, 40, 1), draw.step(80, 140, 10)
    rest, share = draw.step(0.6, 1.8, 0.2), draw.pick([25, 28, 30, 32, 35])
    food = kilo * gram / 1000 + rest
    price = plate_price(food, share)
    return number(
        f"A kilo of your smoked {draw.pick(_FISH)} costs {kilo} €. A plate holds {gram} g of it, and garnish "
        f"for {rest:.2f} €. Chef wants food to be {share} % of the price before tax. What is that price?",
        round(price, 4),
        "€",
        rel_tol=0.01,
        slips=[
            Slip(
                "added the share",
                round(food * (1 + share / 100), 4),
                f"You added {share} % to the food. The food must be {share} % of the price: divide by it.",
            ),
            Slip(
                "took the rest of the share",
                round(food / (1 - share / 100), 4),
                f"You let the food be {100 - share} % of the price. It may be {share} %.",
            ),
            Slip(
                "left out the garnish",
                round(plate_price(kilo * gram / 1000, share), 4),
                "The garnish is food too. Add it before you divide.",
            ),
            Slip(
                "food alone",
                round(food, 4),
                "That is what the food costs. Work, rent and light must be paid too.",
            ),
        ],
        hints=[
            "First the food on the plate, in €: fish and garnish.",
            f"The food is {share} % of the price. So what is 100 %?",
        ],
        worked=f"{kilo} × {gram} ÷ 1000 + {rest:.2f} = {food:.2f} €. {food:.2f} ÷ {share} % = {price:.2f} €. "
        "Tax comes on top.",
    )


@exercise("The price of a pack", criteria=["PLS-K04"], prepares_for=["REC-P05", "PLS-P02"])
def price_of_a_pack(draw: Draw) -> Question:
    """Price a pack from cost, margin and tax."""
    kilo, net = draw.step(22, 40, 1), draw.pick([100, 120, 150, 200, 250])
    bag, margin, tax = draw.step(0.3, 0.8, 0.1), draw.pick([30, 35, 40, 45]), draw.pick([5, 8, 10, 13, 15])
    cost = kilo * net / 1000 + bag
    price = pack_price(kilo, net, bag, margin, tax)
    return number(
        f"A kilo of smoked {draw.pick(_FISH)} costs {kilo} €. A pack holds {net} g; bag and label cost "
        f"{bag:.2f} €. {margin} % of the price before tax must be left after these costs. Tax of {tax} % "
        "comes on top. What does the pack cost in the shop?",
        round(price, 4),
        "€",
        rel_tol=0.01,
        slips=[
            Slip(
                "margin added to the cost",
                round(cost * (1 + margin / 100) * (1 + tax / 100), 4),
                f"You added {margin} % of the cost. It is {margin} % of the price: cost ÷ {100 - margin} %.",
            ),
            Slip(
                "left out the tax",
                round(pack_price(kilo, net, bag, margin), 4),
                "That is the price before tax. The guest pays tax on top.",
            ),
            Slip(
                "left out the bag",
                round(pack_price(kilo, net, 0, margin, tax), 4),
                "Bag and label cost money too, on each pack.",
            ),
            Slip(
                "margin and tax in one",
                round(cost / (1 - (margin + tax) / 100), 4),
                "Tax is a share of the price before tax, not of the price with it. Do it last.",
            ),
        ],
        hints=[
            "First what one pack costs you: fish, bag and label.",
            f"That is {100 - margin} % of the price before tax. Then tax on top.",
        ],
        worked=f"{kilo} × {net} ÷ 1000 + {bag:.2f} = {cost:.2f} €. ÷ {100 - margin} % = "
        f"{cost / (1 - margin / 100):.2f} €. × {1 + tax / 100:g} = {price:.2f} €. "
        "Ask which tax counts where you sell.",
    )


@exercise("Which change saves most?", criteria=["PLS-K04", "TPB-K02"], prepares_for=["REC-P05"])
def which_change_saves_most(draw: Draw) -> Question:
    """Compare what four changes save on a kilo sold."""
    bought, price, yield_pct, sold_pct = (
        draw.pick([40, 50, 60]),
        draw.step(8, 16, 1),
        draw.step(42, 56, 2),
        92,
    )
    hours, wage, wood = draw.pick([6, 7, 8]), draw.pick([16, 18, 20]), draw.pick([10, 12, 14])

    def total(
        price: float = price, points: float = 0, kept: float = 0, less_h: float = 0, wood: float = wood
    ) -> float:
        paid = [Invoice("labour", (hours - less_h) * wage), Invoice("wood", wood)]
        return kilo_cost(bought, price, [yield_pct + points], paid, sold_pct=sold_pct + kept).total

    now = total()
    points, kept = draw.pick([1, 2, 3]), draw.pick([1, 2, 4])
    less, cheaper = draw.pick([0.5, 1, 2]), draw.pick([10, 20, 30, 40])
    saves = {
        f"{points} {_points(points)} more yield in the trim": now - total(points=points),
        f"{kept} {_points(kept)} less thrown away": now - total(kept=kept),
        f"{less:g} h less work on the batch": now - total(less_h=less),
        f"Fish that is {cheaper} cents a kilo cheaper": now - total(price=price - cheaper / 100),
        "Wood at half the price": now - total(wood=wood / 2),
    }
    kinds = dict(zip(saves, ("yield", "waste", "work", "price", "wood"), strict=True))
    chosen = dict(sorted(draw.sample(list(saves.items()), 4), key=lambda each: -each[1]))
    (best, most), (_, second), *_ = chosen.items()
    if most < 1.12 * second:  # too near to tell apart: the cheapest wood never wins, so it makes room
        chosen = {best: most, **{text: saved for text, saved in saves.items() if saved < most / 1.12}}
    options = [right(best, name=kinds[best])]
    options += [
        wrong(text, f"That saves {saved:.2f} €/kg. Something else on the list saves more.", name=kinds[text])
        for text, saved in list(chosen.items())[1:4]
    ]
    return one(
        draw,
        f"A batch: {bought} kg of {draw.pick(_FISH)} at {price:g} € a kilo, a yield of {yield_pct} %, and "
        f"{sold_pct} % of it sold. Work: {hours} h at {wage} €. Wood: {wood} €. Which change saves most on a "
        "kilo sold?",
        options,
        hints=[
            "Work out the kilos sold first. A small change may touch all of them.",
            "Two points of yield are two more kilos from each hundred.",
        ],
        worked=f"{best}: it saves {most:.2f} € on each kilo sold. A kilo costs {now:.2f} € now.",
    )


def _points(count: int) -> str:
    return "point" if count == 1 else "points"


_LOT, _MONTH, _NOT = "Cost of this batch", "A share, spread over the month", "No cost of the fish"
_BILLS = {
    "The fish on today’s delivery note": _LOT,
    "Bags and labels for these packs": _LOT,
    "The wood that was burned today": _LOT,
    "Hours of trimming and packing today": _LOT,
    "The bin for heads and frames of today": _LOT,
    "Salt for this cure": _LOT,
    "The rent of the smokehouse": _MONTH,
    "The yearly check of the gas alarm": _MONTH,
    "Wear of the kiln and its fans": _MONTH,
    "The insurance of the business": _MONTH,
    "The bill for the cold store’s power": _MONTH,
    "Tax on sales that the guest pays": _NOT,
    "Tips that guests leave for the crew": _NOT,
    "The deposit on the fish boxes, paid back": _NOT,
    "A fine for the van’s parking": _NOT,
}


@exercise("Where does the bill belong?", criteria=["PLS-K04"], prepares_for=["REC-P05"])
def where_the_bill_belongs(draw: Draw) -> Question:
    """Join five bills with how they belong to the cost of a kilo."""
    kinds = [_LOT, _LOT, _MONTH, _MONTH, _NOT] if draw.chance(0.5) else [_LOT, _LOT, _MONTH, _NOT, _NOT]
    pairs: dict[str, str] = {}
    for kind in kinds:
        bill = draw.pick([text for text, owner in _BILLS.items() if owner == kind and text not in pairs])
        pairs[bill] = kind
    joined = [
        Joined(bill, other, _wrong_bill(kind, other), f"{bill}: {other}")
        for bill, kind in pairs.items()
        for other in (_LOT, _MONTH, _NOT)
        if other != kind
    ]
    return match(
        draw,
        "Five bills lie on Chef’s desk. How does each belong to the cost of a kilo of today’s fish?",
        pairs,
        joined,
        hints=[
            "Ask of each: would it be there if this batch had not been smoked?",
            "Not all money that moves is a cost.",
        ],
        worked=" ".join(f"{bill}: {kind[0].lower()}{kind[1:]}." for bill, kind in pairs.items()),
    )


def _wrong_bill(kind: str, other: str) -> str:
    if kind == _NOT:
        return "It is no cost of making the fish: it goes through your hands, or has no part in it."
    if other == _NOT:
        return "It is paid to make and keep this fish. Left out, the price is too low."
    if other == _LOT:
        return "It comes whether you smoke today or not. Each batch carries a share."
    return "This batch alone causes it. Count it here in full."
