"""Lesson 8, the whole batch: find what went wrong, work out what is left, and recommend."""

from kit.exercises.engine import exercise
from kit.exercises.engine.fish import any_fish
from kit.exercises.lesson_08.days import FISH, MM, notes, picture, record
from kit.marking.authored import Joined, Turned, right, wrong
from kit.marking.build import match, number, one, order
from kit.marking.draw import Draw
from kit.marking.model import Question, Slip
from kit.process.faults import FAULTS
from kit.process.physics import salt
from kit.process.steps import trim

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
    "Find what went wrong",
    criteria=["WDS-K04", "REC-K01"],
    prepares_for=["REC-P03", "WDS-P05"],
    model=True,
    version=3,
)
def find_what_went_wrong(draw: Draw) -> Question:
    """A drawn day with one fault: which one do the records show?"""
    fault = draw.pick(sorted(_LOOK_AT))
    day = record(draw.pick(FISH), draw.pick(MM), (fault,))
    others = draw.sample([name for name in sorted(_LOOK_AT) if name != fault], 3)
    return one(
        draw,
        "One thing went wrong with this batch. The card asks for a cure of 6 h at 4 °C, a weight loss of "
        f"1 to 3 % in the drying, alder, and a store of 2.5 °C. The batch sheet says: {notes(day)} "
        "The picture shows the cabinet and the chiller. What went wrong?",
        [
            right(_LOOK_AT[fault][0], name=fault),
            *(wrong(_LOOK_AT[name][0], _LOOK_AT[name][1], name=name) for name in others),
        ],
        picture=picture(day),
        hints=[
            "Hold each line of the batch sheet against the card.",
            "Then follow the air in the picture: hot, then cold, with no dip and no wait.",
        ],
        worked=f"{FAULTS[fault].title}. {FAULTS[fault].signature}",
    )


_PROOF = {
    "Bones left in a fillet": "A second look with the finger, counts written down",
    "Too little salt": "The laboratory's figure for the salt of the loin",
    "No pellicle": "Weight loss in the drying",
    "Core not held": "The logger in the core of the thickest piece",
    "Chilled too slowly": "The logger from the cabinet to 3 °C",
    "A wood that is not on the list": "The name and lot of the wood, from the sack",
    "Fish that came in too warm": "The core at the door, before the driver left",
    "A probe that reads wrong": "The check in ice water, with its date",
    "A night that was too warm for the packs": "The logger of the cold store, hour by hour",
    "Larvae that lived in wild fish": "The freezing record of the lot",
}


@exercise("Which record would show it?", criteria=["REC-K01"], prepares_for=["REC-P01"], version=3)
def which_record_proves_it(draw: Draw) -> Question:
    """Join four faults with the record that would show each."""
    pairs = {fault: _PROOF[fault] for fault in draw.sample(sorted(_PROOF), 4)}
    spare = draw.pick([fault for fault in sorted(_PROOF) if fault not in pairs])
    smell = "The smell at the pass"
    joined = [
        Joined(fault, proof, f"That record looks for another fault: {_in_line(owner)}.")
        for fault in pairs
        for owner, proof in (*pairs.items(), (spare, _PROOF[spare]))
        if owner != fault
    ]
    joined += [Joined(fault, smell, "A smell is no record, and it shows none of these.") for fault in pairs]
    return match(
        draw,
        "A record is only useful if it would show the fault. Join each fault with the record that shows it.",
        pairs,
        joined,
        extra=[_PROOF[spare], smell],
        hints=["Ask for each fault: in which step does it happen?", "Which record looks at just that?"],
        worked=" ".join(f"{fault}: {_in_line(proof)}." for fault, proof in pairs.items()),
    )


def _in_line(words: str) -> str:
    return words[0].lower() + words[1:]


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


@exercise("Put the batch in order", criteria=["REC-K01"], prepares_for=["REC-P02"], version=2)
def order_of_the_batch(draw: Draw) -> Question:
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


@exercise("What is left to sell?", criteria=["TPB-K02"], prepares_for=["TPB-P03"], version=2)
def yield_of_the_batch(draw: Draw) -> Question:
    """Chain three yields and give the whole."""
    trimmed, dried, cooked = draw.step(86, 93, 1), draw.step(92, 96, 1), draw.step(83, 90, 1)
    bought_kg = draw.step(8.0, 20.0, 0.5)
    whole = float(trim.chain_yield([trimmed, dried, cooked]))
    out = bought_kg * whole / 100
    losses = 300 - trimmed - dried - cooked
    return number(
        f"You start with {bought_kg:g} kg of {any_fish(draw)} fillets. The trim keeps {trimmed} %. Cure and "
        f"drying keep {dried} % of that. Smoke and cook keep {cooked} % of that. How many kg are left? Give "
        "2 decimals.",
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


@exercise("The salt that germs meet", criteria=["CUR-K05"], prepares_for=["CUR-P05"], version=2)
def salt_the_germs_meet(draw: Draw) -> Question:
    """Work out water-phase salt from the laboratory's two numbers."""
    salt_pct, moisture = draw.step(1.8, 3.0, 0.1), draw.step(58, 68, 1)
    truth = float(salt.water_phase_salt(salt_pct, moisture))
    return number(
        f"The laboratory finds {salt_pct:.1f} % salt and {moisture} % moisture in the loin of a "
        f"{any_fish(draw)}. What is the "
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
