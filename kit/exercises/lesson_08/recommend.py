"""Lesson 8, reading and recommending: the chilling, the door, and what is yours to decide."""

from typing import Any

import numpy as np

from kit.exercises.engine import exercise
from kit.exercises.engine.cache import simulated
from kit.exercises.lesson_08.days import (
    CARD_WORDS,
    CHILL_C,
    CHILL_MIN,
    FISH,
    MM,
    card,
    in_the_heat,
    picture,
    record,
)
from kit.marking.authored import option, right, some, wrong
from kit.marking.build import chart, explain, go_on_if, places, several
from kit.marking.draw import Draw
from kit.marking.model import Picture, Question, Region, Slip
from kit.process.day import BatchDay
from kit.process.day import run as run_day


@exercise(
    "How long did the chilling take?",
    criteria=["CHL-K01"],
    prepares_for=["CHL-P01", "CHL-P02"],
    version=5,
    model=True,
)
def read_the_chilling(draw: Draw) -> Question:
    """Read from the record how many minutes lie between the heat and 3 °C."""
    day = record(draw.pick(FISH), draw.pick(MM), draw.pick([(), ("late chilling",)]))
    time, core, air = in_the_heat(day)
    left = max(t for t, a in zip(time, air, strict=True) if a > 60)
    cold = next(t for t, c in zip(time, core, strict=True) if t > left and c <= CHILL_C + 0.05)
    in_chiller = next(t for t, a in zip(time, air, strict=True) if t > left and a < 10)
    truth = cold - left
    return chart(
        f"The card of Harbour Lane is made up. It asks for {CHILL_C:g} °C in the core within "
        f"{CHILL_MIN:g} min of leaving the heat. How many minutes did this batch take? Read to about 8 min.",
        truth,
        "min",
        picture(day),
        abs_tol=9,
        slips=[
            Slip(
                "started at the fire",
                cold,
                "You counted from the start of the record. The clock starts when the fish leaves the heat.",
            ),
            Slip(
                "stopped at the cold air",
                in_chiller - left,
                "You stopped when the air was cold. The rule is about the core, which is cold much later.",
            ),
            *(
                [
                    Slip(
                        "started at the chiller",
                        cold - in_chiller,
                        "You started at the chiller. The wait before it counts as well.",
                    )
                ]
                if in_chiller - left > 25
                else []
            ),
        ],
        hints=[
            "Find where the air falls: the fish has left the heat.",
            "Then find where the core is at 3 °C.",
        ],
        worked=f"It left the heat at about {left:.0f} min. The core was at {CHILL_C:g} °C at about "
        f"{cold:.0f} min. That is about {truth:.0f} min. The limit is {CHILL_MIN:g} min.",
    )


_WHY = {
    "met": "Every limit of the card is proven",
    "late": "The chilling took longer than its limit",
    "short": "The core was not held for long enough",
    "salt": "Nothing proves the salt of this pack",
}
_READ_AGAIN = {
    "met": "Read all three again: the hold, the minutes from the heat to 3 °C, and the salt.",
    "late": "Count the minutes from the heat to 3 °C once more.",
    "short": "The logger proves the hold: it was 30 min or more.",
    "salt": "The laboratory has sent its figure, and it is enough.",
}
_NO_REASON = (
    wrong("The fish smells and looks as it should", "Germs that hurt people often leave no smell."),
    wrong("The day went like any other day here", "A usual day proves nothing about this batch."),
    wrong("The fish in the store is cold by now", "Cold now says nothing of the hours before."),
)


@exercise(
    "What do you recommend?",
    criteria=["CHL-K01", "REC-K03"],
    prepares_for=["CHL-P03", "REC-P03"],
    version=7,
    model=True,
)
def what_do_you_recommend(draw: Draw) -> Question:
    """A day on which all limits are proven, or one is not: recommend."""
    case, fish = draw.pick(["met", "met", "late", "short", "salt"]), draw.pick(FISH)
    mm, hold_min = draw.pick(MM), draw.pick([8.0, 12.0, 16.0, 20.0])
    day = record(fish, mm, ("late chilling",) if case == "late" else ())
    if case == "short":
        day = _done_otherwise(fish, mm, ("hold_min", hold_min))
    held = int(day.cook.held_min)
    salt = (
        draw.pick(
            ["The laboratory has not sent its figure of the salt yet.", "No salt of this pack was measured."]
        )
        if case == "salt"
        else "The laboratory has proven the salt of this pack."
    )
    return go_on_if(
        case == "met",
        draw,
        f"Your batch of {fish.split(',')[0]} at Harbour Lane. {CARD_WORDS}, and the salt of the pack proven. "
        f"The logger sat in the core of the thickest piece. It proves a hold of {held} min. {salt} The "
        "picture shows the rest. The fish is cold now. What do you recommend?",
        [
            *(
                option(text, right=name == case, says=_READ_AGAIN[name], name=name)
                for name, text in _WHY.items()
            ),
            draw.pick(_NO_REASON),
        ],
        proven="Read it again. Every limit is proven, with nothing missing.",
        unproven="A batch that missed a limit, or has not proven it, does not go on by itself.",
        picture=picture(day),
        hints=["First the hold: 30 min or more?", "Then the chilling: from where the air falls to 3 °C."],
        worked=(
            "Every limit is met on the record. You recommend to go on."
            if case == "met"
            else f"{_WHY[case]}. Hold the batch and report it, or recommend to reject it."
        )
        + " A competent person decides.",
    )


_MAY = (
    right("Leave the fish in and log on, when the core is late", "That is yours to do, and to write down."),
    right("Put a batch apart, label it and tell Chef", "You may always hold a batch. Nobody minds it."),
    right("Write down a fault that you made", "A fault in the record can be put right. A hidden one cannot."),
    right("Stop the work when somebody may get hurt", "Everybody may stop work that is not safe."),
    right("Check the probe in ice once more", "A check more is always yours to make."),
    right("Move fish to a cold store when a fridge is warm", "That keeps it safe while somebody decides."),
    wrong("Release a batch whose record has a gap", "Nobody below the competent person releases a batch."),
    wrong("Change a number in the record so that it fits", "A changed record is worse than a lost batch."),
    wrong("Lower the target, as service is waiting", "The target comes from the card, not from the clock."),
    wrong("Use a new wood because it smells good", "A wood that is not on the list is refused."),
    wrong("Mix a doubtful batch with a good one", "Then both are doubtful, and nobody can trace them."),
    wrong("Give a pack one more day on its label", "A date is never made longer by who packs."),
    wrong("Take the label “on hold” off, as it looks fine", "Only who decides takes it off, on the record."),
)


@exercise("What is yours to decide?", criteria=["REC-K03"], prepares_for=["REC-P03"], version=2)
def yours_to_decide(draw: Draw) -> Question:
    """Pick what an apprentice may do alone."""
    acts = some(draw, _MAY, draw.pick([2, 3]), 3, never=True)
    return several(
        draw,
        "You are alone at the cabinet. Which of these may you do without asking first?",
        acts,
        hints=["You may always make a batch safer.", "You never make a doubtful batch pass."],
        worked=" ".join(f"{each.text}: yes. {each.says}" for each in acts if each.right),
    )


_DOOR_AT_MIN, _DOOR_MIN = (5.0, 15.0, 25.0, 35.0, 45.0), (6.0, 12.0)
"""When the door may open, counted from the end of the smoke, and for how long. [min]"""


@simulated
def _done_otherwise(species: str, thickness_mm: float, change: tuple[str, Any]) -> BatchDay:
    """Return the day of a card on which one setting was another; run once, then kept."""
    meant = card(species, thickness_mm)
    return run_day(meant, meant.replace(**dict([change])))


@exercise("Mark where the door opened", criteria=["COK-K04"], prepares_for=["WDS-P05"], version=4, model=True)
def mark_the_open_door(draw: Draw) -> Question:
    """Mark on a record where the cabinet lost its heat."""
    day = _done_otherwise(
        draw.pick(FISH), draw.pick(MM), ("doors", ((draw.pick(_DOOR_AT_MIN), draw.pick(_DOOR_MIN)),))
    )
    shown = picture(day)
    time, _, air = in_the_heat(day)
    hot = [t for t, a in zip(time, air, strict=True) if a > 60]
    left = max(hot)
    dip = [t for t, a in zip(time, air, strict=True) if min(hot) < t < left and a < 60]
    middle, end = float(np.mean(dip)), max(time)
    wide = max(0.03, (max(dip) - min(dip)) / end / 2 + 0.02)
    return places(
        "The door was opened once in this cook. Mark where in the record you see it.",
        Picture(
            shown.name, {**shown.data, "plain": True}, "Core and air over time, from the cabinet to the cold."
        ),
        [Region("the dip", _across(middle, end), 0.5, wide, 0.5)],
        [
            (
                Region("the end of the heat", _across(left + 4, end), 0.5, 0.03, 0.5),
                "Here the air falls for good: the fish has left the cabinet. Look for a dip that comes back.",
            ),
        ],
        slack=0.0,
        hints=["Follow the air, not the core.", "Look for hot air that falls and comes back."],
        worked=f"The air falls at about {min(dip):.0f} min and is back at about {max(dip) + 3:.0f} min.",
    )


PLOT_LEFT, PLOT_RIGHT = 0.075, 0.985
"""Where the picture's time axis begins and ends, as fractions of its width."""


def _across(minute: float, end: float) -> float:
    return PLOT_LEFT + (PLOT_RIGHT - PLOT_LEFT) * minute / end


@exercise("Tell Chef what happened", criteria=["REC-K03"], prepares_for=["REC-P03"], marked_by="tutor")
def explain_one_fault(draw: Draw) -> Question:
    """Report a fault in the learner's own words."""
    told = draw.pick(
        ["the chiller was full and the fish cooled slowly", "the cabinet door stood open in the cook"]
    )
    return explain(
        f"On your batch {told}. Tell Chef in 4 or 5 sentences. What did you see, and on which record? What "
        "did you do at once? What do you recommend? What do you not know?",
        [
            "Names the record and the time, not a feeling.",
            "Says what was done at once: extend, hold, label, keep cold.",
            "Recommends, and leaves the decision to the competent person.",
            "Says openly what is not known.",
        ],
    )
