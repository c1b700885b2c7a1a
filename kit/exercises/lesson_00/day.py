"""Lesson 0, the day, the house rules, what marking is, and who decides."""

from dataclasses import dataclass

from kit.exercises.engine import exercise
from kit.exercises.engine.fish import any_fish
from kit.marking.authored import Joined, Turned, option, right, some, wrong
from kit.marking.build import explain, match, order, recommend, several
from kit.marking.draw import Draw
from kit.marking.model import Decision, Question

_DAY = (
    "Take the fish in and probe it",
    "Trim, and pull the pin bones",
    "Cure with salt",
    "Rinse off the salt",
    "Dry until the pellicle has formed",
    "Smoke by the clock",
    "Cook until the core has had its hold",
    "Chill fast",
    "Pack and label",
)
_RINSE, _DRY, _SMOKE, _COOK, _CHILL, _PACK = _DAY[3:]


@exercise("Put the day in order", criteria=["REC-K01"], prepares_for=["REC-P01"], version=3)
def order_of_the_day(draw: Draw) -> Question:
    """Put seven of nine steps of the day in order."""
    out = draw.sample([*_DAY[:4], _PACK], 2)
    steps = [step for step in _DAY if step not in out]
    turned = [
        Turned(
            _SMOKE,
            _DRY,
            "On a wet surface smoke turns to sour drops. Dry first, until the pellicle is there.",
            name="smoked wet",
        ),
        Turned(
            _PACK,
            _CHILL,
            "Warm fish in a pack stays warm for hours. Germs like that. Chill first.",
            safety=True,
            name="packed warm",
        ),
        Turned(
            _CHILL,
            _COOK,
            "Chilled fish that is cooked again has to be chilled again. The chill follows the hold.",
            safety=True,
            name="chilled before the cook",
        ),
        Turned(_COOK, _SMOKE, "Raw, dry fish takes smoke best. The heat comes after.", name="cooked first"),
    ]
    return order(
        draw,
        "This is a day at Harbour Lane. Put the steps in order.",
        steps,
        [each for each in turned if each.early in steps],
        hints=["What makes the surface ready for smoke?", "What must be cold before it is packed?"],
        worked="; ".join(f"{place}) {step}" for place, step in enumerate(steps, start=1)) + ".",
    )


_OF_MARKING = (
    right("A wrong answer tells you why it is wrong", "That is how you learn here."),
    right("After a miss you may try again with other numbers", "A new try is a new question."),
    right("A hint is there to be used, and never held against you", "Hints are part of learning."),
    right("Your tutor marks your answer book once more", "So the record does not rest on one screen."),
    right("You may dispute a mark, and a person reads why", "The kit can be wrong. A person looks."),
    right("What you can do is seen at the bench, and signed", "A screen cannot see your hands."),
    right("What you do not use for long has to be shown again", "Knowledge fades. So it is asked again."),
    wrong(
        "When all tasks are right, you may run a batch alone",
        "Tasks show what you know. Your tutor must see what you can do, and sign it.",
    ),
    wrong(
        "A good score makes up for a safety limit you missed",
        "Safety is never averaged. A missed limit scores nothing.",
    ),
    wrong("The kit decides if a batch is safe to sell", "No program releases fish. A person decides."),
    wrong("It is best to guess fast, as the time is measured", "Nobody measures your speed. Read and think."),
    wrong("A task that was right once never comes back", "It does: what is not asked again is forgotten."),
    wrong("A photo of your fish is marked by the kit", "The kit marks answers. A person looks at your work."),
    wrong("One right answer shows that you know a step", "It may be luck. It takes more, on other days."),
)


@exercise("What marking is, and what it is not", criteria=["REC-K03"], prepares_for=["REC-P01"], version=2)
def what_marking_is(draw: Draw) -> Question:
    """Pick the true sentences about marking."""
    return several(
        draw,
        "Pick every sentence that is true of this workbook.",
        some(draw, _OF_MARKING, draw.pick([2, 3]), 3),
        hints=["What can a screen see, and what can it not see?", "Who decides about fish, and about you?"],
        worked="The workbook shows what you know. What you can do is seen by your tutor, at the bench, "
        "and signed.",
    )


_DO, _ASK, _STOP = "Do it now, and write it down", "Ask Chef first", "Stop, get safe, and warn everyone"
_FIRST_DAY = {
    "The probe has not been checked today": _DO,
    "There is water on the floor": _DO,
    "The fridge shows 9 °C": _DO,
    "The soap at the hand sink is empty": _DO,
    "Raw fish stands above ready fish": _DO,
    "The ice under the trout has melted away": _DO,
    "A waiter wants fish from the batch on hold": _ASK,
    "The card says 30 min, and you want to stop at 20": _ASK,
    "You would like to try another wood": _ASK,
    "The record has a gap, and the packs wait": _ASK,
    "You want to put two batches in one box": _ASK,
    "A pack has no date, and the van waits": _ASK,
    "The gas alarm sounds": _STOP,
    "Smoke comes out of a plug": _STOP,
    "Two people by the kiln feel sick": _STOP,
    "Flames come out of the top of the kiln": _STOP,
    "A bare cable at the kiln sparks": _STOP,
    "Somebody lies on the floor by the kiln": _STOP,
}


@exercise("Do it, ask, or stop?", criteria=["REC-K03", "HAS-K01"], prepares_for=["REC-P03"], version=2)
def first_day(draw: Draw) -> Question:
    """Join five things that happen on a first day with what to do."""
    do, ask, stop = (
        draw.sample([said for said, does in _FIRST_DAY.items() if does == each], count)
        for each, count in ((_DO, 2), (_ASK, 1), (_STOP, 2))
    )
    fridge = "For the fridge this means: move the fish to a cold one, and tell Chef. "
    return match(
        draw,
        "It is your first day. What do you do in each case?",
        {said: _FIRST_DAY[said] for said in (*do, *ask, *stop)},
        [
            *(
                Joined(
                    said,
                    _ASK,
                    "Asking takes too long here. Warn everyone and get out, then call Chef.",
                    f"asked: {said}",
                )
                for said in stop
            ),
            Joined(
                ask[0],
                _DO,
                "This lets fish go on, or changes the plan. It is not yours to decide.",
                f"decided: {ask[0]}",
            ),
            *(
                Joined(
                    said, _ASK, "This makes things safer at once. Do it, then tell Chef.", f"waited: {said}"
                )
                for said in do
            ),
        ],
        must=[*ask, *stop],
        hints=["Is somebody in danger now?", "Does it make things safer, or does it let fish go on?"],
        worked="Danger to people: stop and warn. What makes things safer: do it. What lets fish go on, or "
        f"changes the card: ask. {fridge if 'The fridge shows 9 °C' in do else ''}".strip(),
    )


_RULES = {
    "A probe just out of the kiln": "It is hot and sharp: dry glove, tip away from you",
    "A box of wet char": "Heavy and slippery: load close, or two people",
    "The kiln door": "Steam and heat: stand aside, and open it slowly",
    "A kiln that smoulders": "Gas with no smell: alarm on, air open, never alone",
    "A pack with no air inside": "The botulism germ likes it: cold, by the plan",
    "A guest who asks what is in it": "Some get very ill: read the label, ask Chef",
    "The filleting knife": "Blade away from the body; let it fall",
    "Two cleaners in one bucket": "They may give off poison gas: never mix",
    "Ash from the smoke maker": "It glows for hours: metal bin with a lid, outside",
    "A wet floor by the sink": "Feet slide: wipe it at once, put up the sign",
    "A cable with bare copper": "Power kills: leave it alone, warn the others",
    "Fat in the drip tray": "It can catch fire: empty it cold, after each run",
    "Disinfectant from the can": "It burns skin and eyes: gloves and goggles on",
    "A rack on wheels, fully loaded": "It tips and rolls: push it low, brake it",
    "The cold store door": "It shuts behind you: know the handle inside",
    "The slicer with its guard off": "It takes fingers: power off before you touch it",
}


@exercise("House rules", criteria=["HAS-K01", "HAS-K02"], prepares_for=["HAS-P04", "HAS-P05"], version=2)
def house_rules(draw: Draw) -> Question:
    """Join four or five things with the rule that goes with each."""
    chosen = draw.sample(list(_RULES), draw.pick([4, 5]))
    pairs = {thing: _RULES[thing] for thing in chosen}
    others = draw.sample([rule for thing, rule in _RULES.items() if thing not in chosen], 2)
    return match(
        draw,
        "Join each thing with its house rule. Two rules belong to none.",
        pairs,
        extra=others,
        hints=["How can each of these hurt somebody?", "Burns, backs, gas, germs, allergy: which is which?"],
        worked=" ".join(f"{thing}: {rule[0].lower()}{rule[1:]}." for thing, rule in pairs.items()),
    )


@dataclass(frozen=True)
class _Check:
    says: str
    decision: Decision
    reason: str


_GOOD, _OFF, _NONE = (
    "The probe was checked and is good, so its log can be trusted",
    "The probe is too far off, so its log proves nothing yet",
    "The probe was not checked, so nobody knows how far off it is",
)
_CHECKS = (
    _Check("The ice check this morning showed {good} °C.", "go on", _GOOD),
    _Check("The ice check this morning showed {bad} °C, and nobody looked at the list.", "hold", _OFF),
    _Check("The box for the ice check on today's list is empty. So is yesterday's.", "hold", _NONE),
)


@exercise(
    "Can the log be trusted?", criteria=["COK-K04", "REC-K03"], prepares_for=["REC-P04", "COK-P05"], version=3
)
def can_the_log_be_trusted(draw: Draw) -> Question:
    """A complete log, and an ice check that was good, bad or not done: recommend."""
    case = draw.pick(_CHECKS)
    good = draw.pick(["0.3", "−0.2", "0.1", "−0.3"])
    bad = draw.pick(["2.1", "−1.8", "2.6", "1.9"])
    kg, fish = draw.step(5, 14, 1), any_fish(draw)
    no: dict[Decision, str] = (
        {
            "hold": "Here the check is good and the log is whole. Nothing is open.",
            "reject": "Nothing is wrong here. Good fish is not thrown away.",
        }
        if case.decision == "go on"
        else {
            "go on": "A log is only as good as its probe. What is not proven never goes on.",
            "reject": "It may still be shown to be good. Hold it, keep it safe, and let Chef decide.",
        }
    )
    reasons = {
        _GOOD: "Look again at the ice check. Is it there, and within 1 °C of 0 °C?",
        _OFF: "Look again at the ice check. How far is it from 0 °C?",
        _NONE: "Look again. Is there a figure for the ice check?",
        "The log has no gap, so it must be right": "A log can be whole and wrong: think of the probe "
        "behind it.",
        "The fish looks well cooked": "Looks prove nothing about the core.",
    }
    return recommend(
        draw,
        f"{kg} kg of {fish}. The log shows that the card was met by 2 °C, with no gap. "
        f"{case.says.format(good=good, bad=bad)} Good probes show −1 to +1 °C in ice water. "
        "What do you recommend to Chef, and why?",
        case.decision,
        [option(text, right=text == case.reason, says=says) for text, says in reasons.items()],
        no,
        hints=[
            "What stands behind every number of a log?",
            "Is the ice check there, and is it within its limits?",
        ],
        worked=f"{case.reason}. You recommend. A competent person decides.",
    )


@exercise(
    "Explain what you may decide, and what not",
    criteria=["REC-K03"],
    prepares_for=["REC-P03"],
    marked_by="tutor",
)
def explain_your_place(draw: Draw) -> Question:
    """Say in own words what an apprentice decides."""
    who = draw.pick(["A friend at home", "A new dishwasher", "Your little brother"])
    return explain(
        f"{who} asks: “You do all the work. So why can you not say that the fish is ready to sell?” "
        "Answer in 3 or 4 sentences. Use the words record and competent.",
        [
            "May stop, hold, measure and write at any time.",
            "Recommends; a competent person decides on the record.",
            "Says who could be hurt when an unproven batch is sold.",
            "Knows that signed observation, not a score, shows what one can do.",
        ],
        hints=["What may you always do?", "Who signs, and what do they look at?"],
    )
