"""Lesson 7, when something went wrong: what to recommend, and why the plan looks to the last day."""

from dataclasses import dataclass

from kit.exercises.engine import exercise
from kit.exercises.engine.fish import any_fish
from kit.marking.authored import option, right, some, wrong
from kit.marking.build import explain, recommend, several
from kit.marking.draw import Draw
from kit.marking.model import Decision, Question


@dataclass(frozen=True)
class _FaultCase:
    says: str
    decision: Decision
    reason: str
    wrong: dict[Decision, str]


_GAP = "It is not known whether the limit was met"
_BIT_LOST = "A hard, sharp bit may be in any of the pieces"
_SPLASHED = "A poison is on the fish, and nothing takes it off"
_TOLD = "The limit was met, and the record proves it"
_LABEL = "People who are allergic are not warned"
_REASONS = {
    _GAP: "Read again. Is something not known, or is it known and bad?",
    _BIT_LOST: "Read again. Is there anything sharp in this story?",
    _SPLASHED: "Read again. Is there a chemical on the fish?",
    _TOLD: "Read again. Does a record prove the limit here?",
    _LABEL: "Read again. Is the label the trouble here?",
}
_NO_GO = "Something is wrong or not known. So it never goes on by your word."
_TOO_FAR = "It may still be put right. Keep it apart and cold, and let Chef decide."
_DEVIATIONS = (
    _FaultCase(
        "{kg} kg of {fish} chilled overnight. The logger stopped for {hours} h. In the morning it shows 2 "
        "°C.",
        "hold",
        _GAP,
        {"go on": "Cold now says nothing about the hours that are missing. " + _NO_GO, "reject": _TOO_FAR},
    ),
    _FaultCase(
        "After {kg} kg of {fish} were sliced, the tip of the knife is missing. It was whole this morning.",
        "hold",
        _BIT_LOST,
        {"go on": "Somebody could bite on it. " + _NO_GO, "reject": "It may still be found. " + _TOO_FAR},
    ),
    _FaultCase(
        "{kg} kg of {fish} are packed, and still in the fridge. The labels do not name fish.",
        "hold",
        _LABEL,
        {
            "go on": "Fish must be named for those who are allergic. " + _NO_GO,
            "reject": "New labels may put it right. " + _TOO_FAR,
        },
    ),
    _FaultCase(
        "Disinfectant from a bottle was sprayed over {kg} kg of open, cooked {fish}. It is seen on each "
        "piece.",
        "reject",
        _SPLASHED,
        {
            "go on": "A chemical on food can burn and poison. Cooked fish is never washed clean of it.",
            "hold": "Holding is for fish that may be put right. Here the poison is seen on each piece.",
        },
    ),
    _FaultCase(
        "{kg} kg of {fish}: the log has a reading every 2 min. The card was met with 8 min to spare. "
        "The ice check of the probe was good.",
        "go on",
        _TOLD,
        {
            "hold": "Nothing is missing here: the log, the limit and the ice check are all there.",
            "reject": "Nothing is wrong here. Good fish is not thrown away.",
        },
    ),
)


@exercise(
    "What do you recommend, and why?", criteria=["REC-K01", "REC-K03"], prepares_for=["REC-P03"], version=3
)
def what_happened_today(draw: Draw) -> Question:
    """A drawn deviation: recommend, and give the reason."""
    case = draw.pick(_DEVIATIONS)
    said = case.says.format(kg=draw.step(4, 12, 1), fish=any_fish(draw), hours=draw.step(3, 6, 1))
    return recommend(
        draw,
        f"{said} What do you recommend to Chef, and why?",
        case.decision,
        [option(text, right=text == case.reason, says=says) for text, says in _REASONS.items()],
        case.wrong,
        hints=[
            "Is it known to be good, known to be bad, or not known?",
            "Can it still be put right or found?",
        ],
        worked=f"{case.reason}. So: "
        + {"go on": "fit to go on", "hold": "hold and report", "reject": "reject"}[case.decision]
        + ". Write what happened, when, and whom you told. A competent person decides.",
    )


_TO_THE_LAST_DAY = [
    right("Spores live through the cook", "Hot smoking does not kill them."),
    right("Spores can wake on any day until it is eaten", "The danger does not end with the cook."),
    right("A pack without air suits this germ", "It grows where there is no air."),
    right("One warm day in a shop can be enough", "Where it is warm, toxin is made sooner."),
    right("The toxin may have no smell and no look", "So nobody notices in time."),
    right("Some kinds grow in the fridge too, slowly", "Cold slows them. Days count."),
    wrong("The law wants the same words on each label", "It is about the toxin, not about words."),
    wrong("The smoke wears off, and germs creep in", "A sound pack lets none in. This one was inside."),
    wrong(
        "The toxin grows weaker with each day",
        "It does not. It is made later, where it is warm.",
        safety=True,
    ),
    wrong("It smells first, so nobody would eat it", "It can be there with no bad smell.", safety=True),
    wrong("Only fish that was cooked too little has it", "Spores live through a good cook too.", safety=True),
]


@exercise("Why the plan looks to the last day", criteria=["REC-K04"], prepares_for=["REC-P03"], version=3)
def botulinum_in_the_plan(draw: Draw) -> Question:
    """Find why botulinum must be controlled up to the last day of the shelf life."""
    days, fish = draw.step(7, 12, 1), any_fish(draw)
    return several(
        draw,
        f"A vacuum pack of hot-smoked {fish} has a shelf life of {days} days. Why must the plan control "
        f"botulinum up to day {days}, and not only on the day of the cook? Pick every true reason.",
        some(draw, _TO_THE_LAST_DAY, draw.pick([2, 3]), 3),
        hints=["What lives through the cook?", "What can it do, on which day, when the pack gets warm?"],
        worked="Spores survive hot smoking. Without air they can grow and make toxin, even in a cold fridge, "
        "slowly. So salt, cold and a short life must hold until the last day, in the shop and at home too.",
    )


@exercise(
    "What must stand in the plan against botulinum",
    criteria=["REC-K04", "REC-K02"],
    prepares_for=["REC-P01"],
    version=2,
)
def hold_it_to_the_last_day(draw: Draw) -> Question:
    """Pick the controls of botulinum that last through the shelf life."""
    rights = [
        right(
            "Enough salt in the water of the flesh, measured",
            "Enough salt in the water holds the spores. It stays in the fish to the last day.",
            safety=True,
        ),
        right(
            "Cold in each step, in van and shop too",
            "The cold must hold until the pack is opened, not only in your own fridge.",
            safety=True,
        ),
        right(
            "A label with the cold and the last day",
            "The guest at home must know it too, or the cold chain ends at the door.",
        ),
        right("A short life, set by a competent person", "Days count: some kinds grow in the cold, slowly."),
        right("Records of the store's cold, each day", "What is not written down cannot be shown."),
    ]
    wrongs = draw.sample(
        [
            wrong(
                "A pack with no air in it, sealed at once",
                "This germ likes that. The pack is the reason for the plan.",
            ),
            wrong("A better smell test at the counter", "The toxin can be there with no smell at all."),
            wrong(
                "A longer time in a thicker smoke", "Smoke stays near the surface. Spores are inside as well."
            ),
            wrong(
                "One clean test of one pack",
                "One pack says little about the others, and nothing about a warm day in a shop.",
            ),
        ],
        3,
    )
    return several(
        draw,
        "Packs with little air inside are sold in shops. Pick every control of botulinum that "
        "works until the last day.",
        [*draw.sample(rights, draw.pick([2, 3])), *wrongs],
        hints=[
            "Not everything here works on the last day.",
            "Think of salt, cold, and the person who opens the pack.",
        ],
        worked="Salt in the water of the flesh, cold in every step, and a label that asks for both cold "
        "and a day.",
    )


@exercise(
    "Explain why a record is never made nicer",
    criteria=["REC-K03"],
    prepares_for=["REC-P01", "REC-P03"],
    marked_by="tutor",
)
def explain_a_true_record(draw: Draw) -> Question:
    """Say in own words why a missed limit is written down as it was."""
    missed = draw.pick(["71.1 °C", "71.3 °C", "71.6 °C"])
    return explain(
        f"The card asks for 72 °C. The log says {missed}. Your friend says: “Write 72, it is almost the "
        "same.” Explain in 3 or 4 sentences what you do, and why. Use the words record and corrective "
        "action.",
        [
            "Writes what was measured, with time and name; does not change it.",
            "Takes the corrective action of the plan: extend, or hold and report.",
            "Tells Chef at once; a competent person decides.",
            "Says who could be hurt, and that a false record ends all trust in the true ones.",
        ],
        hints=["Who reads the record after you?", "What does the plan say when a limit is missed?"],
    )
