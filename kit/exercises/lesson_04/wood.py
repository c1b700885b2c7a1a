"""Lesson 4, wood and smoke: which wood, how much of it, what the smoke does, and the gas without a smell."""

from itertools import combinations

from kit.exercises.engine import exercise
from kit.exercises.engine.fish import any_fish
from kit.marking.authored import Joined, Turned, option, right, some, wrong
from kit.marking.build import explain, go_on_if, match, number, order, several
from kit.marking.draw import Draw
from kit.marking.model import Question, Slip
from kit.process.physics.smoke import exposure
from kit.process.physics.wood import look_up, moisture_from_weights, soaking

_FIT = ("beech", "oak", "maple", "ash", "hawthorn", "hickory")
_UNFIT = ("yew", "laburnum", "oleander", "cherry laurel", "pine", "pallet", "mouldy wood", "workshop sawdust")
_UNLISTED = ("lilac", "horse chestnut", "eucalyptus")
_NOT_LISTED = "It is not on the list. Nobody has shown that it is safe, so it is refused."


@exercise("Choose wood from the rack", criteria=["WDS-K01"], prepares_for=["WDS-P01"])
def choose_from_the_rack(draw: Draw) -> Question:
    """Pick the woods of a labelled rack that may make smoke for food."""
    fit = draw.sample(_FIT, 2)
    rack = [
        right(f"{name.capitalize()}, dry, clean, from a known supplier", "It is on the list, dry and clean.")
        for name in fit
    ]
    rack += [
        wrong(text, f"Refuse it. {look_up(name).why}", name=f"picked {name}", safety=True)
        for name in draw.sample(_UNFIT, 3)
        for text in (f"{name.capitalize()}, dry, from a known supplier",)
    ]
    unlisted = draw.pick(_UNLISTED)
    rack.append(
        wrong(
            f"{unlisted.capitalize()}, dry, from a known supplier",
            _NOT_LISTED,
            name="picked a wood that is not listed",
            safety=True,
        )
    )
    return several(
        draw,
        "These labels are on the rack at Harbour Lane. Pick every wood that you may use for smoke. "
        "Use the wood list of this lesson.",
        rack,
        hints=["Look up each name on the list.", "What if the name is not on the list?"],
        worked=f"Use {fit[0]} and {fit[1]}. Refuse the others. {unlisted.capitalize()} is not on the list, "
        "so it is refused too.",
    )


_WHY_UNFIT = {
    "Pine": "Resin makes soot and bitter tar",
    "Yew": "A poison to the heart is in wood and needles",
    "Laburnum": "Every part of the tree is poisonous",
    "Painted wood": "Metals and paint go into the smoke",
    "Chipboard": "Glue holds its grains together",
    "Pallet": "Nobody knows what it was treated with",
    "Mouldy wood": "Mould poisons go into the smoke",
    "Sawdust from a workshop": "It may hold saw oil or laminate",
    "Lilac": "Nobody has shown that it is safe",
}


@exercise("Say why you refuse it", criteria=["WDS-K01"], prepares_for=["WDS-P01"], version=2)
def why_refuse_it(draw: Draw) -> Question:
    """Join each refused wood with the reason."""
    pairs = {name: _WHY_UNFIT[name] for name in draw.sample(list(_WHY_UNFIT), 4)}
    joined = [
        Joined(name, reason, f"{name} is refused for another reason: {_in_line(why)}.")
        for name, why in pairs.items()
        for reason in (*pairs.values(), "It smells too mild")
        if reason != why
    ]
    return match(
        draw,
        "You refuse these. Join each with its main reason. Use the wood list of this lesson.",
        pairs,
        joined,
        extra=["It smells too mild"],
        hints=["Ask what is in the wood, or on it.", "One of these reasons belongs to none."],
        worked=" ".join(f"{name}: {_in_line(why)}." for name, why in pairs.items()),
    )


def _in_line(sentence: str) -> str:
    return sentence[0].lower() + sentence[1:]


_AT_THE_DOOR = [
    right("Refuse it for now", "Not on the list means refused, until somebody competent adds it."),
    right("Keep it apart, with a label on it", "A sack without a label is used by somebody in the end."),
    right("Tell the head of the smokehouse", "Only a competent person adds a wood to the list."),
    right(
        "Smoke with a listed wood, or wait", "The batch can wait cold. A wrong smoke cannot be taken back."
    ),
    right("Write down who brought it, and when", "Then the next sack of this kind is found at once."),
    wrong("Use it, because it is dry", f"Dry is not enough. {_NOT_LISTED}"),
    wrong("Use half of it, mixed with oak", f"Mixing does not make it safe. {_NOT_LISTED}"),
    wrong("Burn a little and smell the smoke", "Your nose cannot find poison. You breathe it."),
    wrong("Soak it first, then use it", "Water does not take the doubt away. It wets the wood."),
    wrong("Use it for fish that only staff eat", "Poison is no better in the fish of the staff."),
    wrong("Use it at the end, for a short time", "A short time over an unknown wood is unknown smoke too."),
]


@exercise(
    "A new wood at the door", criteria=["WDS-K01", "WDS-K05"], prepares_for=["WDS-P01", "WDS-P05"], version=2
)
def new_wood_at_the_door(draw: Draw) -> Question:
    """A supplier sends a wood that is not on the list: what do you do?"""
    wood, name = draw.pick(_UNLISTED), draw.pick(["Oisín", "Marta", "Femi"])
    return several(
        draw,
        f"The beech has run out. {name} brings a sack marked “{wood}, dry”. It is not on your list. "
        "Pick all that you do.",
        some(draw, _AT_THE_DOOR, draw.pick([2, 3]), 3, never=True),
        hints=["Is a wood allowed until it is refused, or the other way round?", "Who may add to the list?"],
        worked=f"{_NOT_LISTED} A competent person decides if it can join the list.",
    )


@exercise("How moist are the chips?", criteria=["WDS-K01", "WDS-K04"], prepares_for=["WDS-P01"])
def moisture_of_the_chips(draw: Draw) -> Question:
    """Find the moisture of chips on dry basis from two weighings."""
    dry_g = draw.step(160, 240, 10)
    water_g = draw.step(24, 60, 4)
    wet_g = dry_g + water_g
    moisture = float(moisture_from_weights(wet_g, dry_g))
    return number(
        f"You weigh {wet_g} g of chips. After drying in the oven they weigh {dry_g} g. "
        "How moist were they, in g of water per 100 g of dry wood? Give it in %, to 1 decimal.",
        round(moisture, 1),
        "%",
        abs_tol=0.2,
        decimals=1,
        slips=[
            Slip("wet basis", round(100 * water_g / wet_g, 1), "You divided by the wet weight. Use the dry."),
            Slip("gave the water", float(water_g), "That is the water in grams. Divide it by the dry wood."),
            Slip("wet over dry", round(100 * wet_g / dry_g, 1), "Take the dry weight away first."),
        ],
        hints=["How many grams of water left in the oven?", "Divide the water by the dry wood, times 100."],
        worked=f"{wet_g} - {dry_g} = {water_g} g water. {water_g} ÷ {dry_g} × 100 = {moisture:.1f} %.",
    )


_SOAKED = [
    right("Steam comes first, and the smoke starts later", "The heat drives the water off first."),
    right("The chips glow only after the water is gone", "Wet wood cannot glow."),
    right("What they gained in weight is water, not wood", "So there is no more smoke in them."),
    right("The air in the cabinet gets damper at first", "The steam goes where the smoke goes."),
    right("More heat is needed before there is any smoke", "Water takes heat to leave."),
    wrong("They give more smoke, for they weigh more", "Only water was added. The wood is the same."),
    wrong(
        "The smoke starts sooner than with dry chips", "Later. The water must leave before the wood glows."
    ),
    wrong("An unfit wood is fit once it was soaked", "Water does not make an unfit wood fit.", safety=True),
    wrong("The tray needs less heat than with dry chips", "More. The water takes heat to leave."),
    wrong("The smoke is proven to be low in PAH now", "Only a laboratory can show that.", safety=True),
]


@exercise("Soak the chips?", criteria=["WDS-K04", "WDS-K05"], prepares_for=["WDS-P03"], version=3)
def soaked_chips(draw: Draw) -> Question:
    """What soaking does to the start of the smoke."""
    chips_g = draw.step(300, 600, 50)
    soaked = soaking(chips_g, draw.pick([6, 10, 15]))
    return several(
        draw,
        f"Someone soaks {chips_g} g of chips. Drained, they weigh {chips_g + soaked.water_g:.0f} g. "
        f"It takes about {soaked.heat_kj:.0f} kJ more to drive that water off. Pick all that is true.",
        some(draw, _SOAKED, draw.pick([2, 3]), 3),
        hints=["Where does the heat go first?", "Can wood glow while it is wet?"],
        worked="The heat drives off the water first. That is steam, not smoke. Smoke starts when wood dries.",
    )


_OUT = "Leave at once, and take the others with you"
_COUNT, _CALL = "Meet at the agreed place, and count heads", "Call for help, and tell the person in charge"
_KEEP_OUT, _TELL = "Keep everyone out", "Tell those who come where the kiln is, and who was in there"
_AIR, _DOCTOR = "Sit whoever feels sick in the fresh air", "Let a doctor see whoever felt sick"
_BACK, _WRITE = (
    "Go back only when a competent person says that it is safe",
    "Write down what happened, and when",
)
_ALARM = (_OUT, _COUNT, _AIR, _CALL, _KEEP_OUT, _TELL, _DOCTOR, _BACK, _WRITE)
_EITHER = (  # those who are out may do these in any order
    *combinations((_COUNT, _AIR), 2),
    *combinations((_AIR, _CALL, _KEEP_OUT, _TELL), 2),
    (_COUNT, _KEEP_OUT),
    *combinations((_KEEP_OUT, _TELL, _DOCTOR), 2),
    (_DOCTOR, _BACK),
    (_DOCTOR, _WRITE),
)
_NOT_FREE = ((_CALL, _TELL), (_AIR, _TELL))


@exercise("The alarm sounds at the kiln", criteria=["HAS-K02"], prepares_for=["WDS-P05"], version=4)
def alarm_at_the_kiln(draw: Draw) -> Question:
    """Put five of nine steps of a carbon monoxide alarm in order."""
    who = draw.pick(["Oisín", "Marta", "Femi"])
    chosen = draw.sample([each for each in _ALARM if each not in (_OUT, _BACK)], 3)
    steps = [each for each in _ALARM if each in (_OUT, _BACK, *chosen)]
    turned = [
        Turned(_CALL, _OUT, "Get out first. Call from the fresh air.", safety=True, name="call first"),
        Turned(_COUNT, _OUT, "Count outside, in clean air.", safety=True, name="count inside"),
        Turned(_AIR, _OUT, "Fresh air is outside. Get them out first.", safety=True, name="sat inside"),
        Turned(_KEEP_OUT, _OUT, "You stand in the gas. Get out first.", safety=True, name="stayed inside"),
        Turned(_CALL, _COUNT, "Count first: those who help must know who is missing.", name="not counted"),
        *(
            Turned(
                _BACK, each, "Nobody goes back before it is safe, you neither.", True, f"back before: {each}"
            )
            for each in (_COUNT, _AIR, _CALL, _KEEP_OUT, _TELL)
        ),
    ]
    free = [pair for pair in _EITHER if pair not in _NOT_FREE and set(pair) <= set(steps)]
    return order(
        draw,
        f"The carbon monoxide alarm sounds. {who} has a headache. Put your steps in order.",
        steps,
        [each for each in turned if {each.early, each.late} <= set(steps)],
        free=free,
        hints=["What can the gas do while you stand in it?", "Who may say that the room is safe?"],
        worked=f"{'. Then: '.join(steps)}. You cannot see or smell carbon monoxide.",
    )


@exercise("What a faint leak adds up to", criteria=["HAS-K02"])
def carbon_monoxide_sum(draw: Draw) -> Question:
    """Spread a steady reading over 8 hours: arithmetic, never a reason to stay."""
    ppm, hours = draw.step(12, 40, 4), draw.pick([2, 3, 5])
    mean = exposure(range(0, 60 * hours + 1, 10), [ppm] * (6 * hours + 1)).eight_hour_ppm
    return number(
        f"A log in the kiln room shows {ppm} ppm of carbon monoxide for {hours} h, then clean air. "
        "What is the mean over 8 h, in ppm? This is a sum only. It never says that you may stay.",
        round(mean, 2),
        "ppm",
        abs_tol=0.15,
        slips=[
            Slip("gave the reading", float(ppm), "That is the reading. Spread it over 8 h."),
            Slip("forgot to divide", float(ppm * hours), "That is ppm times hours. Now divide by 8."),
            Slip("divided only", round(ppm / 8, 2), f"You left out the {hours} h. Multiply by them first."),
        ],
        hints=["Multiply the reading by its hours.", "Then divide by 8."],
        worked=f"{ppm} × {hours} ÷ 8 = {mean:.1f} ppm. If the alarm sounds: leave, whatever the sum says.",
    )


_OF_WOOD = {
    "listed": "The papers prove a listed wood",
    "refused": "Its smoke may carry poison",
    "unknown": "Nothing proves which wood it was",
}
_OF_WOOD_SAYS = {
    "listed": "Look again. Label, record and chips do not all name a listed wood here.",
    "refused": "Look again. Is the wood known at all, and is it one that is refused?",
    "unknown": "Look again. What was in the tray is known here, and on paper.",
}
_HOPES = (
    wrong("The fish smells as it always does", "A nose cannot find poison from smoke."),
    wrong("The colour of the fish is too pale", "Colour is not the danger here."),
    wrong("The fish looks good, and it flakes", "Looks cannot show poison. Papers can."),
    wrong("The cook kills what is in the smoke", "Heat kills germs. It takes no poison away."),
)


@exercise("Was the wrong wood used?", criteria=["WDS-K01"], prepares_for=["WDS-P05"], version=5)
def wrong_wood_was_used(draw: Draw) -> Question:
    """Recommend what happens to a batch: over a listed wood, a refused one, or one that nobody knows."""
    truth = draw.pick(["listed", "refused", "unknown"])
    wood, fit = draw.pick(["painted wood", "yew", "laburnum", "mouldy wood"]), draw.pick(_FIT)
    fish, minutes, lot = any_fish(draw), draw.step(10, 40, 5), draw.whole(100, 999)
    seen = {
        "listed": f"Someone thinks that {wood} was in the tray. You check. The batch record says {fit}, lot "
        f"{lot}. The label of the open sack says {fit}, lot {lot}, dry, from the usual supplier. The chips "
        "left in the tray match it. No other wood was in the room.",
        "refused": draw.pick(
            [
                f"You find that {wood} was in the tray for {minutes} min. The record says {fit}.",
                f"The sack of {fit} is whole. Beside the tray lies what burnt for {minutes} min: {wood}.",
            ]
        ),
        "unknown": draw.pick(
            [
                f"The record says {fit}, lot {lot}. The open sack has no label, and the tray is burnt out.",
                f"The record has no wood in it. There is a sack of {fit} in the room, lot {lot}, not opened.",
                f"Someone used “chips from the corner” for {minutes} min. That sack has no label.",
            ]
        ),
    }[truth]
    return go_on_if(
        truth == "listed",
        draw,
        f"{seen} The {fish} met its card, and it looks and smells good. What do you recommend?",
        [
            *(
                option(text, right=name == truth, says=_OF_WOOD_SAYS[name], name=name)
                for name, text in _OF_WOOD.items()
            ),
            draw.pick(_HOPES),
        ],
        proven="Nothing is missing. Label, record and tray all name a listed wood.",
        unproven="You cannot see or smell whether poison from the smoke is on the fish.",
        hints=["What was in the tray? Look for proof.", "Look up the wood on the list."],
        worked=f"The label, the record and the tray all say {fit}, and it is on the list. Tell Chef. "
        "A competent person decides."
        if truth == "listed"
        else f"{_OF_WOOD[truth]}. Hold it, or reject it, and report. A competent person decides.",
    )


@exercise("Why is an unlisted wood refused?", criteria=["WDS-K01"], marked_by="tutor")
def why_an_unlisted_wood_is_refused(draw: Draw) -> Question:
    """Explain the rule in one's own words."""
    wood = draw.pick(_UNLISTED)
    return explain(
        f"A new commis asks: “Nobody says that {wood} is bad. Why refuse it?” Answer in your own words.",
        ["Not listed does not mean safe", "Smoke carries what is in the wood", "A competent person decides"],
        hints=["Who would have to prove what?"],
        worked=_NOT_LISTED,
    )
