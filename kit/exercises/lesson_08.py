"""Lesson 8, the whole batch: find what went wrong, work out what is left, and recommend."""

from __future__ import annotations

import numpy as np

from kit.exercises import exercise
from kit.exercises.lesson_08_days import CHILL_C, CHILL_MIN, in_the_heat, notes, picture, record
from kit.marking.build import (
    Joined,
    Parts,
    Turned,
    chart,
    explain,
    match,
    number,
    one,
    option,
    order,
    places,
    recommend,
    several,
)
from kit.marking.draw import Draw
from kit.marking.model import Decision, Picture, Region, Slip
from kit.process import salt, trim
from kit.process.faults import FAULTS

_FISH = ("char, farmed", "trout, farmed")
_MM = (22.0, 26.0, 30.0)

_LOOK_AT = {  # fault: (as an option, what to say to who picks it wrongly)
    "fans off": ("The fans stood still overnight", "Still fans leave no weight loss. Read the drying line."),
    "door open": ("The cabinet door stood open", "An open door shows as a dip in the air. Look at the air."),
    "late chilling": (
        "The fish waited before the chiller",
        "A wait shows as air of about 20 °C after the cook.",
    ),
    "full chiller": (
        "The chiller was too full",
        "A full chiller has warm air. Look at the air after the cook.",
    ),
    "warm cure": ("The cure stood in a warm place", "Read the air of the cure on the batch sheet."),
    "short cure": ("The fish left the salt too early", "Read the hours of the cure on the batch sheet."),
    "warm store": ("The cold store was warm", "Read the store temperature on the batch sheet."),
    "resinous wood": ("Somebody burned a wood with resin", "Read the name of the wood on the batch sheet."),
}


@exercise(
    "find-what-went-wrong",
    lesson=8,
    criteria=["WDS-K04", "REC-K01"],
    prepares_for=["REC-P03", "WDS-P05"],
    title="Find what went wrong",
)
def find_what_went_wrong(draw: Draw) -> Parts:
    """A drawn day with one fault: which one do the records show?"""
    wrong = draw.pick(sorted(_LOOK_AT))
    day = record(draw.pick(_FISH), draw.pick(_MM), (wrong,))
    others = draw.sample([name for name in sorted(_LOOK_AT) if name != wrong], 3)
    return one(
        draw,
        "One thing went wrong with this batch. The card asks for a cure of 6 h at 4 °C, a weight loss of "
        f"1 to 3 % in the drying, alder, and a store of 2.5 °C. The batch sheet says: {notes(day)} "
        "The picture shows the cabinet and the chiller. What went wrong?",
        [
            option(_LOOK_AT[wrong][0], right=True, name=wrong),
            *(option(_LOOK_AT[name][0], says=_LOOK_AT[name][1], name=name) for name in others),
        ],
        picture=picture(day),
        hints=[
            "Hold each line of the batch sheet against the card.",
            "Then follow the air in the picture: hot, then cold, with no dip and no wait.",
        ],
        worked=f"{FAULTS[wrong].title}. {FAULTS[wrong].signature}",
    )


_PROOF = {
    "Bones left in a fillet": "A second look with the finger, counts written down",
    "Too little salt": "Hours in the salt, and the weight before and after",
    "No pellicle": "Weight loss in the drying",
    "Core not held": "The logger in the core of the thickest piece",
    "Chilled too slowly": "The logger from the cabinet to 3 °C",
}


@exercise(
    "which-record-proves-it",
    lesson=8,
    criteria=["REC-K01"],
    prepares_for=["REC-P01"],
    title="Which record would show it?",
)
def which_record_proves_it(draw: Draw) -> Parts:
    """Join four faults with the record that would show each."""
    pairs = {fault: _PROOF[fault] for fault in draw.sample(sorted(_PROOF), 4)}
    joined = [
        Joined("Core not held", _PROOF["Chilled too slowly"], "That record starts after the cook."),
        Joined(
            "Chilled too slowly", _PROOF["Core not held"], "In the heat the logger says nothing of the cold."
        ),
        Joined("No pellicle", _PROOF["Too little salt"], "Salt hours say nothing about the drying air."),
        Joined("Too little salt", _PROOF["No pellicle"], "Drying takes water. It adds no salt."),
    ]
    return match(
        draw,
        "A record is only useful if it would show the fault. Join each fault with the record that shows it.",
        pairs,
        [each for each in joined if each.left in pairs and each.right in pairs.values()],
        extra=["The smell at the pass"],
        hints=["Ask for each fault: in which step does it happen?", "Which record is written in that step?"],
        worked=" ".join(f"{fault}: {proof.lower()}." for fault, proof in pairs.items()),
    )


_STEPS = (
    "Check the pin bones by hand",
    "Cure in dry salt, in the cold",
    "Rinse and rest",
    "Dry in moving air to a pellicle",
    "Smoke by time",
    "Cook by the core",
    "Chill fast",
    "Pack, label and store cold",
)


@exercise(
    "order-of-the-batch",
    lesson=8,
    criteria=["REC-K01"],
    prepares_for=["REC-P02"],
    title="Put the batch in order",
)
def order_of_the_batch(draw: Draw) -> Parts:
    """Put six of the eight steps in order."""
    left_out = draw.sample(range(len(_STEPS)), 2)
    steps = [step for place, step in enumerate(_STEPS) if place not in left_out]
    turned = [
        Turned(
            "Smoke by time", "Dry in moving air to a pellicle", "Smoke on wet fish runs off. Dry it first."
        ),
        Turned(
            "Pack, label and store cold",
            "Chill fast",
            "Warm fish in a pack cools slowly. Chill it first.",
            True,
        ),
        Turned("Cook by the core", "Smoke by time", "Once the fish is cooked, little smoke goes in."),
        Turned(
            "Cure in dry salt, in the cold",
            "Check the pin bones by hand",
            "Pull bones before salt firms the flesh.",
        ),
        Turned(
            "Dry in moving air to a pellicle", "Cure in dry salt, in the cold", "The cure makes it wet again."
        ),
    ]
    return order(
        draw,
        "Put these steps of the batch in order.",
        steps,
        [each for each in turned if each.early in steps and each.late in steps],
        hints=["What must the surface be like before the smoke?", "Which steps need the fish to be cold?"],
        worked=" Then: ".join(steps) + ".",
    )


@exercise(
    "yield-of-the-batch",
    lesson=8,
    criteria=["TPB-K02"],
    prepares_for=["TPB-P03"],
    title="What is left to sell?",
)
def yield_of_the_batch(draw: Draw) -> Parts:
    """Chain three yields and give the whole."""
    trimmed, dried, cooked = draw.step(86, 93, 1), draw.step(92, 96, 1), draw.step(83, 90, 1)
    bought_kg = draw.step(8.0, 20.0, 0.5)
    whole = float(trim.chain_yield([trimmed, dried, cooked]))
    out = bought_kg * whole / 100
    losses = 300 - trimmed - dried - cooked
    return number(
        f"You start with {bought_kg:g} kg of fillets. The trim keeps {trimmed} %. Cure and drying keep "
        f"{dried} % of that. Smoke and cook keep {cooked} % of that. How many kg are left? Give 2 decimals.",
        round(out, 4),
        "kg",
        abs_tol=0.02,
        decimals=2,
        slips=[
            Slip(
                "added the losses",
                bought_kg * (100 - losses) / 100,
                "You added the three losses. Each step only loses a share of what it gets. Multiply.",
            ),
            Slip(
                "took the mean",
                bought_kg * (trimmed + dried + cooked) / 300,
                "You took the mean of the three. Every step takes its own share, one after the other.",
            ),
            Slip(
                "forgot the trim",
                bought_kg * dried * cooked / 10_000,
                "You left out the trim. Start with what was bought.",
            ),
        ],
        hints=["Do one step at a time.", f"After the trim you have {bought_kg * trimmed / 100:.2f} kg."],
        worked=f"{bought_kg:g} × {trimmed} ÷ 100 × {dried} ÷ 100 × {cooked} ÷ 100 = {out:.2f} kg.",
    )


@exercise(
    "salt-the-germs-meet",
    lesson=8,
    criteria=["CUR-K05"],
    prepares_for=["CUR-P05"],
    title="The salt that germs meet",
)
def salt_the_germs_meet(draw: Draw) -> Parts:
    """Work out water-phase salt from the laboratory's two numbers."""
    salt_pct, moisture = draw.step(1.8, 3.0, 0.1), draw.step(58, 68, 1)
    truth = float(salt.water_phase_salt(salt_pct, moisture))
    return number(
        f"The laboratory finds {salt_pct:.1f} % salt and {moisture} % moisture in the loin. What is the "
        "water-phase salt in %? Give 2 decimals.",
        truth,
        "%",
        abs_tol=0.02,
        decimals=2,
        slips=[
            Slip(
                "left the salt out below",
                100 * salt_pct / moisture,
                "You divided by the moisture alone. The water phase is salt and moisture together.",
            ),
            Slip(
                "gave the salt of the whole",
                salt_pct,
                "That is the salt in the whole fish. Germs live in its water, and that is stronger.",
            ),
            Slip(
                "upside down",
                100 * moisture / (salt_pct + moisture),
                "That is the share of water. The question asks for the salt in the water.",
            ),
        ],
        hints=["Salt and moisture together are the water phase.", "Divide the salt by both together."],
        worked=f"100 × {salt_pct:.1f} ÷ ({salt_pct:.1f} + {moisture}) = {truth:.2f} %.",
    )


@exercise(
    "read-the-chilling",
    lesson=8,
    criteria=["CHL-K01"],
    prepares_for=["CHL-P01", "CHL-P02"],
    title="How long did the chilling take?",
)
def read_the_chilling(draw: Draw) -> Parts:
    """Read from the record how many minutes lie between the heat and 3 °C."""
    day = record(draw.pick(_FISH), draw.pick(_MM), draw.pick([(), ("late chilling",)]))
    time, core, air = in_the_heat(day)
    left = max(t for t, a in zip(time, air, strict=True) if a > 60)
    cold = next(t for t, c in zip(time, core, strict=True) if t > left and c <= CHILL_C + 0.05)
    in_chiller = next(t for t, a in zip(time, air, strict=True) if t > left and a < 10)
    truth = cold - left
    return chart(
        f"The rule for cook-chill food in Ireland asks for {CHILL_C:g} °C in the core within "
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
                "started at the chiller",
                cold - in_chiller if in_chiller - left > 25 else cold - left + 200,
                "You started at the chiller. The wait before it counts as well.",
            ),
        ],
        hints=[
            "Find where the air falls: the fish has left the heat.",
            "Then find where the core is at 3 °C.",
        ],
        worked=f"It left the heat at about {left:.0f} min. The core was at {CHILL_C:g} °C at about "
        f"{cold:.0f} min. That is about {truth:.0f} min. The limit is {CHILL_MIN:g} min.",
    )


_GO = "Cook and chilling both met their limits, on the record"
_LATE = "The chilling took longer than the limit"
_NOT_HELD = "The core was not held long enough"
_SMELL = "It smells and looks right"
_USUAL = "It was a day like any other"


@exercise(
    "what-do-you-recommend",
    lesson=8,
    criteria=["CHL-K01", "REC-K03"],
    prepares_for=["CHL-P03", "REC-P03"],
    title="What do you recommend?",
)
def what_do_you_recommend(draw: Draw) -> Parts:
    """A day with or without a late chilling: recommend."""
    wrong = draw.pick([(), ("late chilling",)])
    fish = draw.pick(_FISH)
    day = record(fish, draw.pick(_MM), wrong)
    met = not wrong
    held = day.cook.held_min
    text = (
        f"Your batch of {fish.split(',')[0]} at Harbour Lane. The card: 62.8 °C or more for 30 min, then "
        "3 °C within 150 min of leaving the heat. The logger sat in the core of the thickest piece. "
        f"It proves a hold of {held:.0f} min. The picture shows the rest. The fish is cold now. "
        "What do you recommend?"
    )
    wrong_says: dict[Decision, str] = {
        "go on": "The chilling missed its limit. A batch that missed a limit does not go on by itself.",
        "hold": "Read it again. Both limits are proven, with nothing missing.",
        "reject": "Read it again. Both limits are proven, with nothing missing.",
    }
    return recommend(
        draw,
        text,
        "go on" if met else "hold",
        [
            option(_GO, right=met, says="Count the minutes from the heat to 3 °C once more."),
            option(_LATE, right=not met, says="Count the minutes from the heat to 3 °C once more."),
            option(_NOT_HELD, says="The logger proves the hold. It was longer than 30 min."),
            option(_SMELL, says="Germs that hurt people often leave no smell."),
            option(_USUAL, says="A usual day proves nothing about this batch."),
        ],
        {
            each: says
            for each, says in wrong_says.items()
            if each not in (("go on",) if met else ("hold", "reject"))
        },
        also=() if met else ("reject",),
        picture=picture(day),
        hints=["First the hold: 30 min or more?", "Then the chilling: from where the air falls to 3 °C."],
        worked=(
            "Both limits are met on the record. You recommend to go on."
            if met
            else "The chilling missed its limit. Hold the batch and report it, or recommend to reject it."
        )
        + " A competent person decides.",
    )


_MAY = (
    (
        "Leave the fish in and go on logging when the core is late",
        True,
        "That is yours to do, and to write down.",
    ),
    (
        "Put a batch apart, label it and tell Chef",
        True,
        "You may always hold a batch. Nobody is cross about it.",
    ),
    (
        "Write down a fault that you made",
        True,
        "A fault in the record can be put right. A hidden one cannot.",
    ),
    ("Release a batch whose record has a gap", False, "Nobody below the competent person releases a batch."),
    ("Change a number in the record so that it fits", False, "A changed record is worse than a lost batch."),
    (
        "Lower the target because service is waiting",
        False,
        "The target comes from the card, not from the clock.",
    ),
    ("Use a new wood because it smells good", False, "A wood that is not on the list is refused."),
    ("Mix a doubtful batch with a good one", False, "Then both are doubtful, and nobody can trace them."),
)


@exercise(
    "yours-to-decide",
    lesson=8,
    criteria=["REC-K03"],
    prepares_for=["REC-P03"],
    title="What is yours to decide?",
)
def yours_to_decide(draw: Draw) -> Parts:
    """Pick what an apprentice may do alone."""
    yours = draw.sample([each for each in _MAY if each[1]], 2)
    not_yours = draw.sample([each for each in _MAY if not each[1]], 3)
    return several(
        draw,
        "You are alone at the cabinet. Which of these may you do without asking first?",
        [
            option(text, right=right, says=says, safety=not right)
            for text, right, says in (*yours, *not_yours)
        ],
        hints=["You may always make a batch safer.", "You never make a doubtful batch pass."],
        worked=" ".join(f"{text}: yes. {says}" for text, _, says in yours),
    )


@exercise(
    "mark-the-open-door",
    lesson=8,
    criteria=["COK-K04"],
    prepares_for=["WDS-P05"],
    title="Mark where the door opened",
)
def mark_the_open_door(draw: Draw) -> Parts:
    """Mark on a record where the cabinet lost its heat."""
    day = record(draw.pick(_FISH), draw.pick(_MM), ("door open",))
    shown = picture(day)
    time, _, air = in_the_heat(day)
    dip = [t for t, a in zip(time, air, strict=True) if a < 60 and t < 60 and t > 5]
    middle, end = float(np.mean(dip)), max(time)
    left = max(t for t, a in zip(time, air, strict=True) if a > 60)
    wide = max(0.03, (max(dip) - min(dip)) / end / 2 + 0.02)
    return places(
        "The door was opened in the middle of this cook. Mark where in the record you see it.",
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


@exercise(
    "explain-one-fault",
    lesson=8,
    criteria=["REC-K03"],
    prepares_for=["REC-P03"],
    title="Tell Chef what happened",
    marked_by="tutor",
)
def explain_one_fault(draw: Draw) -> Parts:
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
