"""Lesson 4, what the smoke brings: PAH to keep low, germs that it slows, and all that it does not do."""

from kit.exercises.engine import exercise
from kit.exercises.engine.fish import any_fish
from kit.marking.authored import Joined, right, some, wrong
from kit.marking.build import match, several
from kit.marking.draw import Draw
from kit.marking.model import Question

_PAH = (
    right("Let the chips glow, without flames", "A glow is cooler than a flame, and makes less PAH."),
    right("Keep fat from dripping on the glow", "Burning fat makes PAH, and the smoke carries it up."),
    right("Make the smoke away from the fish", "On its way it cools, and tar stays behind in the pipe."),
    right("Clean tar and soot out of the kiln", "Old tar drips, and goes up again with the heat."),
    right("Smoke no longer than the card says", "Each minute of smoke leaves a little more on the fish."),
    right("Lead the smoke through a filter or water", "Tar drops out there, and not on the fish."),
    right("Give the glow less air, so that it cools", "A cooler glow makes less PAH."),
    right("Use dry, clean wood without resin", "Resin and wet wood make sooty smoke."),
    wrong("Open the draught until the chips flame", "Flames make hotter smoke, and it holds more PAH."),
    wrong("Use pine, for it burns fast", "Resin gives soot, bitter tar and more PAH."),
    wrong("Smoke twice as long for more colour", "More smoke brings more PAH with it."),
    wrong("Hang the fish right above the glow", "There the smoke is hottest, and fat drips into it."),
    wrong("Let the fat drip on the chips for taste", "Burning fat makes PAH, and the smoke carries it up."),
    wrong("Wipe the black off the fish at the end", "PAH sit in the fish too, and nobody sees them."),
    wrong("Cook the fish longer to drive PAH out", "Heat does not take PAH out of the fish."),
    wrong("Leave the old tar: it seals the kiln", "Old tar drips, and goes up again with the heat."),
)


@exercise("Keep PAH low", criteria=["WDS-K05", "WDS-K04"], prepares_for=["WDS-P03", "WDS-P04"], version=2)
def keep_pah_low(draw: Draw) -> Question:
    """Pick what keeps PAH low in the fish."""
    lines = some(draw, _PAH, draw.pick([2, 3]), 3)
    return several(
        draw,
        "PAH are harmful substances in smoke. The law limits them in smoked fish. "
        "Pick all that helps to keep them low.",
        lines,
        hints=["Hotter smoke is dirtier smoke.", "Less smoke, less soot and less dripping fat all help."],
        worked=" ".join(f"{each.text}: yes. {each.says}" for each in lines if each.right)
        + " Only a laboratory can measure PAH.",
    )


_OF_SMOKE = [
    right("Smoke slows germs at the surface only", "It does not go deep."),
    right("A dry face helps the smoke to hold germs back", "Germs need water."),
    right("Hot-smoked fish must stay cold, smoke or not", "Germs that are left grow in the warm."),
    right("Heat in the core kills germs, not the smoke", "So the cook goes by the core."),
    right("Salt and cold go on working after the smoke", "They hold back what is left."),
    wrong("Smoke keeps it safe without a fridge", "It does not. Keep the fish cold.", safety=True),
    wrong(
        "Smoke kills all germs down to the core",
        "It stays near the surface. Heat does the core.",
        safety=True,
    ),
    wrong("More colour shows that it keeps for longer", "Colour is no proof of anything but colour."),
    wrong("Smoke does nothing at all to the germs", "It slows some at the face. It is a small help."),
    wrong("A strong smell of smoke proves a safe fish", "Nobody can smell that germs are dead.", safety=True),
    wrong(
        "Smoked fish needs no last day on its label",
        "It needs one: Listeria grows in the cold too.",
        safety=True,
    ),
]


@exercise("Does smoke keep fish?", criteria=["WDS-K03"], prepares_for=["WDS-P04"], version=3)
def what_smoke_does(draw: Draw) -> Question:
    """How far smoke helps fish to keep."""
    fish, days = any_fish(draw), draw.pick([3, 5, 7])
    return several(
        draw,
        f"A guest wants to keep hot-smoked {fish} on a shelf for {days} days. “The smoke preserves it,” she "
        "says. Pick all that is true.",
        some(draw, _OF_SMOKE, draw.pick([2, 3]), 3),
        hints=["How deep does smoke go?", "What else keeps smoked fish: salt, heat, cold?"],
        worked="Smoke and a dry surface slow germs a little. Salt, heat and cold do the rest.",
    )


_KEEPS = {
    "Salt": "Makes the water less useful to germs",
    "Heat": "Kills many germs, if the core holds it long enough",
    "Cold storage": "Keeps the germs that are left slow",
    "Drying": "Takes water from the face, so germs find less",
    "A short life": "Ends before slow germs have become many",
    "Clean hands and boards": "Bring no new germs to fish that is cooked",
}
_SMOKE_KEEPS = "Slows germs at the surface only"
_KEEPS_NOTHING = "Makes the fish safe without a fridge"


@exercise("What keeps the fish?", criteria=["WDS-K03"], prepares_for=["WDS-P04"], version=2)
def what_keeps_the_fish(draw: Draw) -> Question:
    """Join each help with what it does, smoke among them."""
    pairs = {"Smoke": _SMOKE_KEEPS} | {name: _KEEPS[name] for name in draw.sample(list(_KEEPS), 3)}
    joined = [
        Joined("Smoke", pairs[name], f"That is what {name.lower()} does.", name=f"smoke as {name.lower()}")
        for name in pairs
        if name != "Smoke"
    ]
    joined += [Joined(name, _KEEPS_NOTHING, "Nothing here does that. It must stay cold.") for name in pairs]
    return match(
        draw,
        "Each of these helps smoked fish to keep. Join each with what it does.",
        pairs,
        joined,
        extra=[_KEEPS_NOTHING],
        hints=["Smoke does not go deep.", "One of these belongs to none."],
        worked=" ".join(f"{name}: {what[0].lower()}{what[1:]}." for name, what in pairs.items()),
    )


_PACK_SAYS = {
    "Heat, cold and days are as the card asks": "Core, store and day are all as the card asks. Look again.",
    "The heat is missing": "Nothing shows that the core was held. Smoke kills nothing inside.",
    "The cold is missing": "The store is too warm. What is left grows there, however dark the smoke.",
    "It is past its last day": "Its days are over. Slow germs have had their time, smoke or not.",
}
_KEPT, _HEAT, _COLD, _DATE = _PACK_SAYS
STORE_C, DAYS = 3, 5
"""The card of Harbour Lane: how cold the store is, and the last day of a pack; made up."""


@exercise("Does this pack still keep?", criteria=["WDS-K03"], prepares_for=["WDS-P04"])
def does_this_pack_keep(draw: Draw) -> Question:
    """Say of four packs what is missing; the smoke differs, and never makes up for it."""
    pairs: dict[str, str] = {}
    for truth in [draw.pick([_HEAT, _COLD, _DATE]), *(draw.pick(list(_PACK_SAYS)) for _ in range(3))]:
        smoke, hold = draw.step(10, 120, 5), "no hold on the log" if truth == _HEAT else "core held"
        store_c = draw.step(6, 14, 1) if truth == _COLD else draw.pick([1, 2, STORE_C])
        day = draw.step(DAYS + 2, 14, 1) if truth == _DATE else draw.step(1, DAYS, 1)
        pairs[f"{smoke} min of smoke; {hold}; store {store_c} °C; day {day}"] = truth
    return match(
        draw,
        f"What is true of each pack? The card: the core is held, the store at {STORE_C} °C or colder, the "
        f"pack sold by day {DAYS}.",
        pairs,
        [
            Joined(
                pack,
                other,
                says,
                f"{truth}, taken for: {other} (pack {place})",
            )
            for place, (pack, truth) in enumerate(pairs.items(), start=1)
            for says in (_PACK_SAYS[truth],)
            for other in _PACK_SAYS
            if other != truth
        ],
        extra=list(_PACK_SAYS),
        must=[pack for pack, truth in pairs.items() if truth != _KEPT],
        hints=["Leave the minutes of smoke aside.", "Heat, cold, days: is each of them there?"],
        worked=" ".join(f"{pack}: {truth[0].lower()}{truth[1:]}." for pack, truth in pairs.items())
        + " No smoke makes up for what is missing.",
    )
