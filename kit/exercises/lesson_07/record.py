"""Lesson 7, record: hazards and the plan, tests of the product, who decides, deviations, botulinum."""

from dataclasses import dataclass

from kit.exercises.engine import exercise
from kit.marking.authored import Joined, right, wrong
from kit.marking.build import match, one
from kit.marking.draw import Draw
from kit.marking.model import Question

_GERM, _CHEM, _BIT, _ALLERGEN = "Germ hazard", "Chemical hazard", "Hard-object hazard", "Allergen hazard"
_HAZARDS = {
    _GERM: [
        "Listeria on a slicing knife",
        "Spores of botulinum in a pack kept too warm",
        "Salmonella from hands after the toilet",
    ],
    _CHEM: [
        "Disinfectant left on the packing bench",
        "PAH from wood that burnt with a flame",
        "Histamine in fish that stood warm",
    ],
    _BIT: ["A pin bone left in the loin", "The broken tip of a knife", "A wire from an old brush"],
    _ALLERGEN: [
        "A pack of trout with no word “fish” on it",
        "A mustard glaze that the label does not name",
        "Crab meat on a board that is then used for char",
    ],
}


@exercise("Four kinds of hazard", criteria=["REC-K01"], prepares_for=["REC-P03"])
def hazard_kinds(draw: Draw) -> Question:
    """Join one drawn hazard of each kind with its kind."""
    germ, chemical, bit, allergen = (draw.pick(each) for each in _HAZARDS.values())
    return match(
        draw,
        "A plan looks for four kinds of hazard. Join each hazard with its kind.",
        {germ: _GERM, chemical: _CHEM, bit: _BIT, allergen: _ALLERGEN},
        [
            Joined(
                chemical,
                _GERM,
                "Nothing here is alive now. It is a substance, and heat does not remove it.",
                "chemical taken for a germ",
            ),
            Joined(
                allergen,
                _GERM,
                "This food is clean. It makes ill only people who are allergic, and nobody warned them.",
                "allergen taken for a germ",
            ),
            Joined(
                germ,
                _CHEM,
                "This one is alive and can grow. So cold, heat, salt and cleaning are its controls.",
                "germ taken for a chemical",
            ),
            Joined(
                bit,
                _CHEM,
                "It cuts or chokes. It does not poison.",
                "object taken for a chemical",
            ),
        ],
        hints=[
            "Ask: is it alive, a substance, a thing that cuts, or a food that some must not eat?",
            "Which one harms only people who are allergic?",
        ],
        worked=f"{germ}: it is alive. {chemical}: a substance. {bit}: it cuts or chokes. "
        f"{allergen}: a danger for those who are allergic.",
    )


_PLAN = {  # column of the plan: examples from this process
    "Critical limit": [
        "Core 71 °C or more for 6 min",
        "At 3 °C or colder within the time on the card",
        "A cold store at 3 °C or colder",
        "Not one bone of 12 mm or longer in 1 kg",
    ],
    "Check while you work": [
        "Read the core every 2 min",
        "Log the fridge every 10 min",
        "Count the bones of each sample",
        "Probe every box at the door",
    ],
    "Corrective action": [
        "Extend the cook, and start the hold again",
        "Put the batch on hold, and tell Chef",
        "Feel through the whole lot again",
        "Move the packs to a colder store, and report it",
    ],
    "Proof that the plan works": [
        "The probe is checked in ice water",
        "Chef reads the records each week",
        "A laboratory tests packs each month",
        "A second person looks over the logs",
    ],
}


@exercise(
    "Read the columns of the plan", criteria=["REC-K01"], prepares_for=["REC-P01", "REC-P04"], version=3
)
def columns_of_the_plan(draw: Draw) -> Question:
    """Join lines of the plan with the column they belong in."""
    limit, check, action, proof = (draw.pick(each) for each in _PLAN.values())
    names = list(_PLAN)
    return match(
        draw,
        "Each of these lines stands in the HACCP plan. Join each with its column.",
        dict(zip((limit, check, action, proof), names, strict=True)),
        [
            Joined(check, names[0], "This is something you do. The limit is the value that it must meet."),
            Joined(limit, names[1], "This is the value to meet. The check is how you find out."),
            Joined(action, names[1], "This is done only when the limit was missed."),
            Joined(
                proof,
                names[1],
                "This does not watch one batch. It shows that the checks themselves can be trusted.",
            ),
            Joined(proof, names[2], "Nothing was missed here. This shows that the plan can be trusted."),
        ],
        hints=["Which line is only a value?", "Which line is done only when something went wrong?"],
        worked=f"The limit: {limit}. The check: {check}. When it is missed: {action}. The proof: {proof}.",
    )


_TESTS = {  # test of the finished product: what it looks for
    "Listeria test on the pack": "A germ that can grow in the cold",
    "Salt and moisture of the flesh": "Salt in the water of the flesh, against spores",
    "PAH test of the flesh": "Harmful substances from wood that burnt too hot",
    "Histamine test": "A poison from fish kept too warm before the cook",
    "Metal detector": "Bits of knives or machines",
    "Count of all germs on the last day": "Whether the shelf life on the label holds",
}
_FINDS = {  # each test: what it would show, in the words of the day
    "Listeria test on the pack": (
        "The drain under the slicer got into the packs",
        "A germ that grows at 3 °C is on the slices",
        "Something grave for a pregnant guest is in it",
        "The bench of ready fish was wet overnight",
    ),
    "Salt and moisture of the flesh": (
        "The middle of a thick loin took up too little",
        "Spores have too weak a brine around them",
        "The new cure is too short for vacuum packs",
        "A drier loin is stronger than its cure says",
    ),
    "PAH test of the flesh": (
        "Fat dripped on the glow and burned",
        "The chips stood in flames, not in a glow",
        "Old tar went up again with the heat",
        "Resin wood was burned under the fish",
    ),
    "Histamine test": (
        "The mackerel stood on a warm deck",
        "The tuna was thawed at the stove, for hours",
        "Herring lay in the sun before the ice came",
        "Sardines came in warm, and were then chilled",
    ),
    "Metal detector": (
        "A tip of the knife is gone since noon",
        "The wire brush lost bristles",
        "A screw of the skinner is missing",
        "A chip of the slicer's blade is in a pack",
    ),
    "Count of all germs on the last day": (
        "It is sour two days before its date",
        "Slime forms in the pack before its date",
        "Two more days are wanted on the label",
        "The warm shop fridge spoils it too soon",
    ),
}


@exercise("What does each test look for?", criteria=["REC-K02"], version=2)
def tests_of_the_product(draw: Draw) -> Question:
    """Join four things that may have happened with the test that would show each."""
    tests = [*draw.sample(list(_FINDS), 3), draw.pick(list(_FINDS))]
    pairs: dict[str, str] = {}
    for test in tests:
        pairs[draw.pick([each for each in _FINDS[test] if each not in pairs])] = test
    return match(
        draw,
        "Which test of the packs would show each of these? A test may serve twice, and some serve for none.",
        pairs,
        [
            Joined(
                seen,
                other,
                f"This test looks for something else: {_TESTS[other][0].lower()}{_TESTS[other][1:]}.",
                f"{test}, taken for: {other}",
            )
            for seen, test in dict(sorted(pairs.items())).items()
            for other in _FINDS
            if other != test
        ],
        extra=[test for test in _FINDS if test not in tests],
        hints=["Is it a germ, a substance, a thing, or time?", "One germ by name, or all germs together?"],
        worked=" ".join(f"{seen}: {test[0].lower()}{test[1:]}." for seen, test in pairs.items()),
    )


@dataclass(frozen=True)
class _Asked:
    question: str
    test: str


_ASKED = (
    _Asked("Fat dripped on the embers for {n} min, and flames licked the char.", "PAH test of the flesh"),
    _Asked("The smoke maker ran {n} h with its glow far too hot.", "PAH test of the flesh"),
    _Asked("Black soot lies on {n} salmon. Is more on them than soot?", "PAH test of the flesh"),
    _Asked(
        "Nobody heats it again at home. In {n} slices of each lot: has anything that grows in a fridge "
        "come from the bench?",
        "Listeria test on the pack",
    ),
    _Asked(
        "The slicer was mended and stood wet for {n} h. May a germ of drains now be in what we sell?",
        "Listeria test on the pack",
    ),
    _Asked(
        "A swab of the drain was positive {n} h ago. Did it reach food that is sold ready to eat?",
        "Listeria test on the pack",
    ),
    _Asked(
        "A new cure is in use since {n} weeks. Is every loin still protected where no air is?",
        "Salt and moisture of the flesh",
    ),
    _Asked(
        "A thick piece lay {n} h in brine. Is its middle strong enough to hold back spores?",
        "Salt and moisture of the flesh",
    ),
    _Asked(
        "We dry for {n} h less than before. Is the brine inside still strong enough?",
        "Salt and moisture of the flesh",
    ),
    _Asked(
        "We want to write {n} more days on it. Is it still good by then?",
        "Count of all germs on the last day",
    ),
    _Asked(
        "A shop keeps it for {n} days at 4 °C. How far has it spoiled when its date ends?",
        "Count of all germs on the last day",
    ),
    _Asked(
        "We opened one after {n} days: a little sour. How much grew in it until its date?",
        "Count of all germs on the last day",
    ),
    _Asked("Tuna for smoking came in warm, and stood for {n} h more.", "Histamine test"),
    _Asked("Ice ran out at sea: mackerel lay {n} h in the sun.", "Histamine test"),
    _Asked("{n} guests had red faces and headaches after smoked mackerel.", "Histamine test"),
    _Asked("A blade of the slicer lost {n} mm of its tip.", "Metal detector"),
    _Asked("{n} screws of the skinning machine are gone since noon.", "Metal detector"),
    _Asked("A wire brush was used, and {n} bristles are missing.", "Metal detector"),
)


@exercise("Which test answers the question?", criteria=["REC-K02"], version=3)
def which_test_answers(draw: Draw) -> Question:
    """Choose the test that answers what a drawn event asks."""
    asked = draw.pick(_ASKED)
    others = draw.sample([test for test in _TESTS if test != asked.test], 3)
    return one(
        draw,
        f"{asked.question.format(n=draw.step(4, 8, 1))} What does Harbour Lane send for or run?",
        [
            right(asked.test),
            *(
                wrong(
                    test, f"That test looks for something else: {_TESTS[test][0].lower()}{_TESTS[test][1:]}."
                )
                for test in others
            ),
        ],
        hints=["Say in one word what is looked for.", "Which test names that, or measures it?"],
        worked=f"{asked.test}: {_TESTS[asked.test][0].lower()}{_TESTS[asked.test][1:]}. "
        "A test speaks for the packs that were tested. Clean packs do not prove a whole lot.",
    )


_YOU, _CHEF, _PLANNER = (
    "You do it, and write it down",
    "You stop, keep it safe, and ask Chef first",
    "Only a competent person, with a written plan",
)
_DECISIONS = {
    "Check the probe in ice water": _YOU,
    "Write down the core every 2 min": _YOU,
    "Put a batch on hold when a limit was missed": _YOU,
    "Clean as you go, and tick the list": _YOU,
    "Use the fish of a batch that is on hold": _CHEF,
    "Pack a batch when its record has a gap": _CHEF,
    "Go home when you have been sick at work": _CHEF,
    "Change the core temperature on the card": _PLANNER,
    "Give the packs two more days on the label": _PLANNER,
    "Start to use vacuum packs": _PLANNER,
}


@exercise("Whose decision is it?", criteria=["REC-K03"], prepares_for=["REC-P01", "REC-P03"])
def whose_decision(draw: Draw) -> Question:
    """Join five jobs with who may decide."""
    mine, chefs, plans = (
        [job for job, who in _DECISIONS.items() if who == each and "sick" not in job]
        for each in (_YOU, _CHEF, _PLANNER)
    )
    own, ask, plan = draw.sample(mine, 2), draw.sample(chefs, 1), draw.sample(plans, 2)
    return match(
        draw,
        "You are a commis at Harbour Lane. Join each job with who may decide.",
        {job: _DECISIONS[job] for job in (*own, *ask, *plan)},
        [
            *(
                Joined(
                    job,
                    _YOU,
                    "This changes the plan. A written plan and a competent person stand behind such a "
                    "change.",
                    f"alone: {job}",
                )
                for job in plan
            ),
            Joined(
                ask[0],
                _YOU,
                "You do not release fish. Keep it safe, and let Chef decide on the record.",
                f"alone: {ask[0]}",
            ),
            *(
                Joined(
                    job,
                    _CHEF,
                    "This is your own duty. Do it at once, and tell Chef what you did.",
                    f"waited: {job}",
                )
                for job in own
            ),
        ],
        must=[*ask, *plan],
        hints=[
            "Does it make things safer at once, or does it let fish go on?",
            "Does it change the plan itself?",
        ],
        worked="You may always stop, hold, measure and write. You never release. The plan is not yours to "
        "change.",
    )
