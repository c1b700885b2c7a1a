"""Lesson 5, smoke by time and cook by temperature: the words, the order, the stall, and a cook to run."""

from dataclasses import replace
from functools import cache
from typing import Any

from kit.exercises.engine import exercise
from kit.exercises.engine.fish import any_fish
from kit.exercises.engine.whose_rule import cook_card
from kit.marking.authored import Joined, Turned, right, some, wrong
from kit.marking.build import chart, match, order, several
from kit.marking.draw import Draw
from kit.marking.model import Picture, Question, Slip
from kit.process.physics.air import moist_air
from kit.rules import Profile

_HOT, _COLD = "Hot-smoked fish", "Cold-smoked fish"
_FLAVOURED, _DRIED = "Smoke-flavoured fish", "Smoke-dried fish"
_OF_THE_WORDS = {  # Codex CXS 311-2013, in our own words; the fish are ours
    _HOT: (
        "Char in warm smoke until it flaked all through",
        "Salmon smoked, then heated until no part was glassy",
        "A loin in smoke, with its core held and set",
        "Whole trout, smoked and cooked to the bone at once",
        "Tails in smoke over heat: white and firm right through",
    ),
    _COLD: (
        "Char in cool smoke for a night, still glassy",
        "Salted salmon in smoke at 24 °C: it slices like raw",
        "A loin in smoke, kept so cool that nothing set",
        "Two days of cool smoke; it bends, and light shines through",
        "Cured char, smoked in the frost: raw to the bite",
    ),
    _FLAVOURED: (
        "Char dipped in a smoke flavour, then baked",
        "Trout with a smoke extract in its brine, unsmoked",
        "A loin brushed with liquid smoke in a plain oven",
        "Salmon steamed, then sprayed with a smoke flavour",
        "Char with smoke powder in its salt, from the grill",
    ),
    _DRIED: (
        "Strips in smoke and wind until a cupboard kept them",
        "Char smoked, then dried until it needed no fridge",
        "Hard smoked salmon that keeps on a shelf for months",
        "Whole small fish, smoked hard and brittle for the winter",
        "Char in smoke for a week, so dry that it snaps",
    ),
}
_ASK_OF_THE_WORDS = {
    _HOT: "Hot-smoked fish has been in smoke, and heat has set it all through.",
    _COLD: "Cold-smoked fish has been in smoke, and its protein has not set.",
    _FLAVOURED: "Smoke-flavoured fish has a flavour of smoke, and was not smoked.",
    _DRIED: "Smoke-dried fish is so dry that it keeps without a fridge.",
}


@exercise("Hot-smoked, cold-smoked, smoke-flavoured", criteria=["WDS-K02"], version=4)
def smoking_words(draw: Draw) -> Question:
    """Join four fish with the word of the standard for each."""
    words = [*draw.sample(list(_OF_THE_WORDS), 3)]
    words.append(draw.pick(list(_OF_THE_WORDS)))
    pairs: dict[str, str] = {}
    for word in words:
        pairs[draw.pick([each for each in _OF_THE_WORDS[word] if each not in pairs])] = word
    return match(
        draw,
        "Join each fish with its word in the Codex standard for smoked fish. A word may serve twice.",
        pairs,
        [
            Joined(fish, other, f"{_ASK_OF_THE_WORDS[other]} This is {word.lower()}.")
            for fish, word in pairs.items()
            for other in _OF_THE_WORDS
            if other != word
        ],
        extra=list(_OF_THE_WORDS),
        hints=[
            "Ask first: was it in smoke? Then: did the heat set the flesh?",
            "Set protein is what hot smoking adds.",
        ],
        worked=" ".join(f"{fish}: {word.lower()}." for fish, word in pairs.items()),
    )


_BATCHES = (  # what was done, whether that is hot smoking, what to say
    wrong(
        "Char: {h} h in smoke at {cool} °C; the flesh is firm, and still glassy at the core",
        "Glassy flesh has not set. This is cold-smoked.",
    ),
    right(
        "Salmon: {m} min in smoke, then cooked until the core was set right through",
        "It was in smoke and the protein set right through. That is hot-smoked.",
    ),
    right(
        "Salmon: smoked in the hot cabinet at {hot} °C until the flesh flaked at the core",
        "The flesh flakes at the core, so the protein has set. That is hot-smoked.",
    ),
    wrong(
        "Trout: poached until set right through, then brushed with a liquid smoke",
        "It was never in smoke. It is smoke-flavoured.",
    ),
    wrong(
        "Salmon: {m} min in hot smoke at {hot} °C; the outside flakes, the core is raw",
        "A raw core has not set. Hot air alone does not make it hot-smoked.",
    ),
    right(
        "Whole char: dried, then smoked and cooked in one run, set to the bone",
        "Set to the bone, in smoke: that is hot-smoked.",
    ),
    right(
        "Char: {m} min of smoke in the morning, then heat in the same kiln until no part was glassy",
        "Smoke and heat need not come at once. It was smoked, and it set all through.",
    ),
    right(
        "Trout tails: smoked over a hot glow, white and firm to the middle in {m} min",
        "It was in smoke, and its middle is set. That is hot-smoked.",
    ),
    right(
        "Salmon loins: {h} h of cool smoke, then cooked by the core until they were set right through",
        "The cool smoke was a first step. Heat has set it since, so it is hot-smoked.",
    ),
    wrong(
        "Trout: dried and smoked for {h} days, until it was hard and needed no fridge",
        "It was dried to keep without a fridge. That is smoke-dried.",
    ),
    wrong(
        "Char: {m} min in the hot cabinet at {hot} °C without smoke, set right through",
        "It is cooked, and it never met smoke. So it is not smoked at all.",
    ),
    wrong(
        "Salmon: cured, then {h} h in smoke at {cool} °C, sliced thin, with a clear, glassy cut",
        "The cut is glassy: nothing has set. This is cold-smoked.",
    ),
    wrong(
        "Trout: a smoke extract in the brine, then {m} min in an oven, set right through",
        "The taste came out of a bottle. It is smoke-flavoured.",
    ),
)


@exercise("Which batches are hot-smoked?", criteria=["WDS-K02"], version=4)
def which_is_hot_smoked(draw: Draw) -> Question:
    """Pick the batches that the standard would call hot-smoked."""
    numbers = {
        "h": draw.step(8, 14, 1),
        "m": draw.step(15, 30, 5),
        "cool": draw.step(20, 26, 1),
        "hot": draw.step(74, 84, 2),
    }
    return several(
        draw,
        "Pick every batch that is hot-smoked fish in the sense of the Codex standard.",
        [replace(each, text=each.text.format(**numbers)) for each in some(draw, _BATCHES, 2, 2)],
        hints=[
            "Hot air is not the test. What happened to the flesh is.",
            "Look for smoke, and for flesh set all through.",
        ],
        worked="Hot-smoked means two things together: it was in smoke, and heat set the protein all through.",
    )


@exercise("Put the cook in order", criteria=["COK-K01"], prepares_for=["COK-P02", "COK-P03"], version=4)
def order_of_the_cook(draw: Draw, profile: Profile) -> Question:
    """Six steps of a cook, from the ice check to the clean probe."""
    smoke_min, card = draw.step(15, 30, 5), cook_card(draw, profile)
    limit, need = f"{card.core_c:g} °C", f"{card.minutes:g} min"
    check = "Check the probe in ice water"
    load = "Load the racks, pieces of one thickness together, with air between them"
    probe = "Put the tip of the probe in the core of the thickest piece"
    smoke = f"Smoke for {smoke_min} min by the clock"
    reach = f"Cook until the core reaches {limit}"
    hold = f"Start the hold clock, and log the core for {need}"
    clean = "Clean and disinfect the probe"
    steps = [load, check, probe, smoke, reach, hold, clean]
    steps.remove(draw.pick([check, clean]))
    early = f"The hold clock starts when the core is at {limit}, not before."
    turned = [
        Turned(hold, reach, early, safety=True, name="clock too early"),
        Turned(
            reach,
            smoke,
            "The smoke comes first, by the clock. A moist raw surface takes smoke best.",
            name="cook before smoke",
        ),
        Turned(
            probe, check, "A probe that you have not checked may be wrong all day.", name="check after use"
        )
        if check in steps
        else Turned(
            probe, load, "Put the piece in its place first. Then probe it there.", name="probe first"
        ),
    ]
    return order(
        draw,
        f"Put these steps in order. Today’s card: {card.words}. {card.whose}",
        steps,
        turned,
        free=[(load, check)] if check in steps else [],  # a probe checked first is as good
        hints=[
            "Which step goes by the clock, and which by the core?",
            "The hold clock can only start after one of the others.",
        ],
        worked=(
            "Smoke ends by the clock. The cook ends by the core. The hold clock starts when the core is "
            "there."
        ),
    )


@cache  # a few hundred settings in all, and taking a crew in draws them again and again
def _wet_bulb_c(air_c: float, rh_pct: float) -> float:
    return float(moist_air(air_c, rh_pct).wet_bulb_c)


@exercise("Where will a wet fillet stall?", criteria=["WDS-K04"], prepares_for=["COK-P05"])
def read_the_stall(draw: Draw) -> Question:
    """Read the wet-bulb temperature for a cabinet and a humidity off a chart."""
    cabinet_c = draw.pick([68, 72, 76, 80])
    rh_pct = draw.pick([25, 30, 35, 40])
    other_c = cabinet_c + draw.pick([12, 14, 16])
    wet, other = (_wet_bulb_c(air, rh_pct) for air in (cabinet_c, other_c))
    axis = list(range(15, 71, 5))
    curves: list[dict[str, Any]] = [
        {"air_c": air, "wet_bulb_c": [round(_wet_bulb_c(air, rh), 2) for rh in axis]}
        for air in (other_c, cabinet_c)
    ]
    words = "How hot a wet surface can get, by humidity. " + " ".join(
        f"Cabinet at {curve['air_c']} °C: "
        + "; ".join(f"{value:.0f} °C at {rh} %" for rh, value in zip(axis, curve["wet_bulb_c"], strict=True))
        + "."
        for curve in curves
    )
    return chart(
        f"The cabinet runs at {cabinet_c} °C with {rh_pct} % relative humidity. The fillets are still wet. "
        "Read the chart: about which temperature can a wet surface reach? That is where the core will stall.",
        round(wet, 1),
        "°C",
        Picture("wet-bulb-chart", {"rh_pct": axis, "curves": curves, "words": words}, words),
        abs_tol=1.5,
        slips=[
            Slip(
                "took the air",
                float(cabinet_c),
                "That is the air. A wet surface stays cooler, because drying takes heat.",
            ),
            Slip(
                "read the other curve",
                round(other, 1),
                f"You read the line for {other_c} °C. Your cabinet runs at {cabinet_c} °C.",
            ),
            Slip(
                "read the humidity",
                float(rh_pct),
                "That is the humidity in %. Go up from it to the line, then left.",
            ),
            Slip(
                "gave Fahrenheit",
                round(wet * 1.8 + 32, 1),
                "That is the number in °F. The chart and the card are in °C.",
            ),
        ],
        hints=[
            f"Find {rh_pct} % at the bottom. Go straight up.",
            f"Stop at the line named {cabinet_c} °C. Then go left.",
        ],
        worked=f"At {rh_pct} % and {cabinet_c} °C the wet surface reaches about {wet:.0f} °C. "
        "Until it dries, or the air gets wetter, the core cannot pass that.",
    )


_OF_A_STALL = [
    right("Water that leaves the face takes the heat away", "Drying takes heat."),
    right("The core goes on when the face has dried", "A dry face comes nearer to the air."),
    right("Wetter air would let the core go on", "Then less water leaves, and less heat with it."),
    right("You stay, go on logging, and wait for the core", "The cook ends by the core, not by the clock."),
    right("A wet face stays near the wet-bulb temperature", "So the core stands there too."),
    wrong(
        "The fish is done: it gets no hotter than this", "It is the wet face that holds it back.", safety=True
    ),
    wrong("The cabinet is broken and must be switched off", "Only a dry face comes near the air."),
    wrong("The smoke is too thin to carry the heat", "Smoke hardly carries heat. The hot air does."),
    wrong("The heat is in the middle, so the core soon jumps", "A core does not jump. It follows the face."),
    wrong("The time of the cook may be counted from now", "No limit is reached yet.", safety=True),
]


@exercise(
    "Why does the core stand still?", criteria=["WDS-K04", "COK-K05"], prepares_for=["COK-P05"], version=3
)
def why_it_stalled(draw: Draw) -> Question:
    """The core stands still well below the cabinet: say what is true of it."""
    cabinet_c, rh_pct = draw.pick([70, 74, 78]), draw.pick([25, 30, 35])
    stuck_c = round(_wet_bulb_c(cabinet_c, rh_pct)) + 1
    minutes, fish = draw.step(25, 45, 5), any_fish(draw)
    return several(
        draw,
        f"The cabinet is at {cabinet_c} °C with {rh_pct} % relative humidity. The {fish} went in wet. "
        f"Its core has stood at {stuck_c} °C for {minutes} min. The probe was checked and sits well. "
        "Pick all that is true.",
        some(draw, _OF_A_STALL, draw.pick([2, 3]), 3),
        hints=[
            "How do you feel when you step out of a shower into dry air?",
            "Where does the heat go that does not warm the fish?",
        ],
        worked=f"Drying takes heat. At {cabinet_c} °C and {rh_pct} % a wet surface stays near {stuck_c - 1} "
        "°C. It moves on when the surface has dried, when the air is wetter, or when the air is hotter.",
    )
