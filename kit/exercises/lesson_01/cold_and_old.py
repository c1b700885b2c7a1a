"""Lesson 1, cold and old: what warm hours cost, where histamine may be, and a box at the door."""

from kit.exercises.engine import exercise
from kit.exercises.engine.fish import any_fish
from kit.marking.authored import Joined, option
from kit.marking.build import go_on_if, match, number
from kit.marking.draw import Draw
from kit.marking.model import Question, Slip
from kit.process.microbes.growth import spoilage_rate


@exercise("What warm hours cost", criteria=["INT-K02"], prepares_for=["INT-P05"], model=True, version=2)
def what_warm_hours_cost(draw: Draw) -> Question:
    """Turn hours in the warm into hours on ice, by the square-root rule of spoilage."""
    hours, warm_c = draw.step(2, 9, 1), draw.step(4, 14, 2)
    fish, place = any_fish(draw), draw.pick(["on the quay", "in the van", "by the back door"])
    rate = float(spoilage_rate(warm_c))
    truth = round(hours * rate, 2)
    return number(
        f"How many hours of its life on ice did it lose? A box of {fish} stood {hours} h {place} at {warm_c} "
        "°C. There fish spoils faster than on melting ice, so many times: 1 + temperature ÷ 10, multiplied "
        "by itself. Give 1 decimal.",
        truth,
        "h",
        rel_tol=0.01,
        abs_tol=0.06,
        decimals=1,
        slips=[
            Slip(
                "not times itself",
                round(hours * (1 + warm_c / 10), 2),
                f"You took {1 + warm_c / 10:g} once. It goes times itself: warmth costs more than it seems.",
            ),
            Slip(
                "forgot the 1",
                round(hours * (warm_c / 10) ** 2, 2),
                "You left out the 1. On ice, at 0 °C, fish spoils too: once as fast.",
            ),
            Slip("gave the rate", round(rate, 2), f"That is how many times as fast. It lasted {hours} h."),
            Slip("as if on ice", float(hours), "That is its time on the clock. In the warm it loses more."),
        ],
        hints=[
            f"1 + {warm_c} ÷ 10 is {1 + warm_c / 10:g}. Times itself: how fast?",
            f"It lasted {hours} h. Each of them costs so many hours on ice.",
        ],
        worked=f"{1 + warm_c / 10:g} × {1 + warm_c / 10:g} = {rate:.2f} times as fast. {hours} h × "
        f"{rate:.2f} = {truth:.1f} h of life on ice. Smoke does not bring them back.",
    )


_FORMS_IT = ("Mackerel", "Tuna", "Herring", "Sardine", "Anchovy", "Sprat")  # EU 2073/2005, from memory
_NOT_KNOWN_FOR_IT = ("Trout", "Char", "Salmon", "Cod", "Haddock", "Pike")
_MAY, _COLD, _OTHER = (
    "Histamine may be in it: hold and report",
    "Its kind can form it, but cold held it back",
    "Not known for histamine; look at the rest",
)
_OF_THE_BOX = {
    _MAY: "This kind can form histamine, and it stood warm. Neither heat nor ice takes it out again.",
    _COLD: "This kind can form histamine. Its record shows that it was never warm, so none could form.",
    _OTHER: "This kind is not known for histamine. If it stood warm it spoils all the same.",
}


@exercise("Can histamine be in it?", criteria=["INT-K03"], prepares_for=["INT-P03", "INT-P05"])
def can_histamine_be_in_it(draw: Draw) -> Question:
    """Say of four boxes, each with its kind and its record, whether histamine may have formed."""
    pairs: dict[str, str] = {}
    for truth in [_MAY, draw.pick([_COLD, _OTHER]), *(draw.pick(list(_OF_THE_BOX)) for _ in range(2))]:
        kinds = [
            each
            for each in (_NOT_KNOWN_FOR_IT if truth == _OTHER else _FORMS_IT)
            if not any(box.startswith(each) for box in pairs)
        ]
        pairs[f"{draw.pick(kinds)}: {_record(draw, warm=truth != _COLD)}"] = truth
    return match(
        draw,
        "What do you say of each box?",
        pairs,
        [
            Joined(
                box,
                other,
                _OF_THE_BOX[truth],
                f"{_SHORT[truth]} taken for {_SHORT[other]}: {box.split(':')[0]}",
            )
            for box, truth in pairs.items()
            for other in _OF_THE_BOX
            if other != truth
        ],
        extra=list(_OF_THE_BOX),
        must=[box for box, truth in pairs.items() if truth == _MAY],
        hints=["First the kind: is it one that can form histamine?", "Then the record: was it ever warm?"],
        worked=" ".join(f"{box}: {truth[0].lower()}{truth[1:]}." for box, truth in pairs.items()),
    )


_SHORT = {_MAY: "warm", _COLD: "cold", _OTHER: "another kind"}


def _record(draw: Draw, *, warm: bool) -> str:
    hours, cold_c = draw.step(5, 14, 1), draw.pick([0, 1, 2])
    if not warm:
        return draw.pick(
            [
                f"{hours} h at sea, logged at {cold_c} °C or colder",
                f"iced at once, {cold_c} °C for {hours} h",
                f"{hours * 3} h old, log never above {cold_c} °C",
            ]
        )
    warm_c = draw.step(14, 26, 2)
    return draw.pick(
        [
            f"{hours} h on deck at {warm_c} °C, then iced",
            f"{hours} h at {warm_c} °C, then cooked right through",
            f"at {warm_c} °C for {hours} h, then frozen",
            f"{warm_c} °C in the van for {hours} h; it looks fine",
        ]
    )


_SIGNS = {  # what is looked at: fresh, old
    "eyes": (("clear and full", "bright, standing out"), ("flat and milky", "sunken, grey")),
    "gills": (("bright red", "pink and clean"), ("brown and sticky", "grey, with thick slime")),
    "flesh": (("springs back", "firm all over"), ("keeps a dent", "soft, and tears at the belly")),
    "smell": (("of the sea", "clean, hardly any"), ("sour at the gills", "like old cabbage")),
}
_FRESH, _WARM = "Every sign and the core are as they should be", "The core is too warm"
INTAKE_C = 2.0
"""The warmest core that Harbour Lane takes in; made up, as its card is. [°C]"""


@exercise("A box at the door", criteria=["INT-K01"], prepares_for=["INT-P02", "INT-P06"], version=2)
def a_box_at_the_door(draw: Draw) -> Question:
    """Recommend over a box: all fresh, one sign of age, or too warm."""
    truth = draw.pick([_FRESH, _FRESH, _WARM, *_SIGNS])
    fish, boxes = any_fish(draw), draw.step(2, 9, 1)
    core = draw.step(3.6, 7.6, 0.4) if truth == _WARM else draw.step(0.2, 1.4, 0.2)
    seen = "; ".join(f"{sign}: {draw.pick(words[sign == truth])}" for sign, words in _SIGNS.items())
    reasons = {_FRESH: "Read each sign once more. One of them is not as it should be."}
    reasons |= {_WARM: f"The probe shows {core:.1f} °C. Put that beside {INTAKE_C:g} °C."}
    reasons |= {
        f"{sign.capitalize()} of old fish": f"Look at the {sign} again: so it is with fresh fish."
        for sign in _SIGNS
    }
    right_one = truth if truth in reasons else f"{truth.capitalize()} of old fish"
    others = draw.sample(
        [text for text in reasons if text not in (right_one, _FRESH)], 3 if truth == _FRESH else 2
    )
    shown = list(dict.fromkeys([right_one, _FRESH, *others]))
    return go_on_if(
        truth == _FRESH,
        draw,
        f"May this delivery go on to the board? {boxes} boxes of whole {fish}. {seen[0].upper()}{seen[1:]}. "
        f"The core is {core:.1f} °C; Harbour Lane takes fish at {INTAKE_C:g} °C or colder.",
        [option(text, right=text == right_one, says=reasons[text]) for text in shown],
        proven="Every sign is that of fresh fish, and the core is cold.",
        unproven="One sign is wrong. What comes in poor goes out poor: set it apart, cold, and tell Chef.",
        hints=["Go through the signs one by one.", "Then put the core beside the limit."],
        worked=f"{right_one}. "
        + ("It may go on. " if truth == _FRESH else "Set it apart, cold and labelled. ")
        + "A competent person decides.",
    )
