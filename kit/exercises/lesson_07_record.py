"""Lesson 7, record: hazards and the plan, tests of the product, who decides, deviations, botulinum."""

from __future__ import annotations

from dataclasses import dataclass

from kit.exercises import exercise
from kit.marking.build import Joined, Parts, explain, match, one, option, recommend, several
from kit.marking.draw import Draw
from kit.marking.model import Decision

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


@exercise(
    "hazard-kinds", lesson=7, criteria=["REC-K01"], prepares_for=["REC-P03"], title="Four kinds of hazard"
)
def hazard_kinds(draw: Draw) -> Parts:
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
    "Critical limit": ["Core 62.8 °C or more for 30 min", "At 3 °C or colder within the time on the card"],
    "Check while you work": ["Read the core every 2 min", "Log the fridge every 10 min"],
    "Corrective action": [
        "Extend the cook, and start the hold again",
        "Put the batch on hold, and tell Chef",
    ],
    "Proof that the plan works": ["The probe is checked in ice water", "Chef reads the records each week"],
}


@exercise(
    "columns-of-the-plan",
    lesson=7,
    criteria=["REC-K01"],
    prepares_for=["REC-P01", "REC-P04"],
    title="Read the columns of the plan",
)
def columns_of_the_plan(draw: Draw) -> Parts:
    """Join lines of the plan with the column they belong in."""
    limit, check, action, proof = (draw.pick(each) for each in _PLAN.values())
    names = list(_PLAN)
    return match(
        draw,
        "These lines fell out of the HACCP plan. Join each with its column.",
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
_TEST_SLIPS = (
    (
        "Listeria test on the pack",
        "Whether the shelf life on the label holds",
        "This test looks for one germ by name. The count of all germs speaks for the shelf life.",
    ),
    (
        "Count of all germs on the last day",
        "A germ that can grow in the cold",
        "A count of all germs names none of them. Listeria needs its own test.",
    ),
    (
        "Salt and moisture of the flesh",
        "A germ that can grow in the cold",
        "This test finds no germ. It shows how strong the salt in the water of the flesh is.",
    ),
    (
        "Histamine test",
        "Harmful substances from wood that burnt too hot",
        "Histamine comes from warm fish, not from smoke.",
    ),
    (
        "PAH test of the flesh",
        "A poison from fish kept too warm before the cook",
        "PAHs come from the smoke, not from warm fish.",
    ),
    (
        "Metal detector",
        "Harmful substances from wood that burnt too hot",
        "A detector finds metal only. It finds no substance, no bone and no glass.",
    ),
)


@exercise("tests-of-the-product", lesson=7, criteria=["REC-K02"], title="What does each test look for?")
def tests_of_the_product(draw: Draw) -> Parts:
    """Join four or five tests with what each looks for."""
    chosen = draw.sample(list(_TESTS), draw.pick([4, 5]))
    pairs = {test: _TESTS[test] for test in chosen}
    left_out = [_TESTS[test] for test in _TESTS if test not in chosen]
    return match(
        draw,
        "Harbour Lane sends packs to a laboratory. Join each test with what it looks for.",
        pairs,
        [
            Joined(left, right, says)
            for left, right, says in _TEST_SLIPS
            if left in chosen and (right in pairs.values() or right in left_out)
        ],
        extra=left_out,
        hints=["Start with the tests that name what they find.", "One germ by name, or all germs together?"],
        worked=" ".join(f"{test}: {aim[0].lower()}{aim[1:]}." for test, aim in pairs.items()),
    )


@dataclass(frozen=True)
class _Asked:
    question: str
    test: str


_ASKED = (
    _Asked(
        "The fire flared for {n} min with a flame under the char. What should the laboratory look for?",
        "PAH test of the flesh",
    ),
    _Asked(
        "{n} packs per lot are checked: can the germ that grows in the fridge be found in them?",
        "Listeria test on the pack",
    ),
    _Asked(
        "The cure was changed {n} days ago. Is the salt still strong enough to hold back spores?",
        "Salt and moisture of the flesh",
    ),
    _Asked(
        "The label is to say {n} days. Is the fish still good on that day?",
        "Count of all germs on the last day",
    ),
    _Asked(
        "A delivery of tuna for smoking came in warm, and stood for {n} h. Which poison may be in it?",
        "Histamine test",
    ),
)


@exercise("which-test-answers", lesson=7, criteria=["REC-K02"], title="Which test answers the question?")
def which_test_answers(draw: Draw) -> Parts:
    """Choose the test that answers a drawn question."""
    asked = draw.pick(_ASKED)
    others = draw.sample([test for test in _TESTS if test != asked.test], 3)
    return one(
        draw,
        asked.question.format(n=draw.step(4, 8, 1)),
        [
            option(asked.test, right=True),
            *(
                option(
                    test,
                    says=f"That test looks for something else: {_TESTS[test][0].lower()}{_TESTS[test][1:]}.",
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


@exercise(
    "whose-decision",
    lesson=7,
    criteria=["REC-K03"],
    prepares_for=["REC-P01", "REC-P03"],
    title="Whose decision is it?",
)
def whose_decision(draw: Draw) -> Parts:
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


@dataclass(frozen=True)
class _Case:
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
    _Case(
        "{kg} kg of {fish} chilled overnight. The logger stopped for {hours} h. In the morning it shows 2 "
        "°C.",
        "hold",
        _GAP,
        {"go on": "Cold now says nothing about the hours that are missing. " + _NO_GO, "reject": _TOO_FAR},
    ),
    _Case(
        "After {kg} kg of {fish} were sliced, the tip of the knife is missing. It was whole this morning.",
        "hold",
        _BIT_LOST,
        {"go on": "Somebody could bite on it. " + _NO_GO, "reject": "It may still be found. " + _TOO_FAR},
    ),
    _Case(
        "{kg} kg of {fish} are packed, and still in the fridge. The labels do not name fish.",
        "hold",
        _LABEL,
        {
            "go on": "Fish must be named for those who are allergic. " + _NO_GO,
            "reject": "New labels may put it right. " + _TOO_FAR,
        },
    ),
    _Case(
        "Disinfectant from a bottle was sprayed over {kg} kg of open, cooked {fish}. It is seen on each "
        "piece.",
        "reject",
        _SPLASHED,
        {
            "go on": "A chemical on food can burn and poison. Cooked fish is never washed clean of it.",
            "hold": "Holding is for fish that may be put right. Here the poison is seen on each piece.",
        },
    ),
    _Case(
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
    "what-happened-today",
    lesson=7,
    criteria=["REC-K01", "REC-K03"],
    prepares_for=["REC-P03"],
    title="What do you recommend, and why?",
)
def what_happened_today(draw: Draw) -> Parts:
    """A drawn deviation: recommend, and give the reason."""
    case = draw.pick(_DEVIATIONS)
    said = case.says.format(
        kg=draw.step(4, 12, 1), fish=draw.pick(["char", "trout"]), hours=draw.step(3, 6, 1)
    )
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


@exercise(
    "botulinum-in-the-plan",
    lesson=7,
    criteria=["REC-K04"],
    prepares_for=["REC-P03"],
    title="Why the plan looks to the last day",
)
def botulinum_in_the_plan(draw: Draw) -> Parts:
    """Find why botulinum must be controlled up to the last day of the shelf life."""
    days = draw.step(7, 12, 1)
    fish = draw.pick(["char", "trout"])
    return one(
        draw,
        f"A vacuum pack of hot-smoked {fish} has a shelf life of {days} days. Why must the plan control "
        f"botulinum up to day {days}, and not only on the day of the cook?",
        [
            option(
                "Spores live through the cook. They can wake and make toxin on any day until the pack is "
                "eaten.",
                right=True,
                name="right",
            ),
            option(
                "The law wants the same words on every label.",
                says="It is about the toxin, not about words. Think of what is still in the pack after "
                "the cook.",
            ),
            option(
                "The smoke wears off, and then new germs creep in through the film.",
                says="A sound pack lets no germ in. This one was inside already, as a spore.",
            ),
            option(
                "Toxin is there from the first day, and grows weaker with time.",
                says="A good pack has no toxin at first. Toxin is made later, where it is warm enough.",
            ),
            option(
                "It spoils and smells first, so nobody would eat it after that.",
                says="This toxin can be there with no bad smell. A nose is no control.",
            ),
        ],
        hints=["What lives through the cook?", "What can it do, on which day, when the pack gets warm?"],
        worked="Spores survive hot smoking. Without air they can grow and make toxin, even in a cold "
        "fridge, slowly. "
        "So salt, cold and a short life must hold until the last day, in the shop and at home too.",
    )


@exercise(
    "hold-it-to-the-last-day",
    lesson=7,
    criteria=["REC-K04", "REC-K02"],
    prepares_for=["REC-P01"],
    title="What must stand in the plan against botulinum",
)
def hold_it_to_the_last_day(draw: Draw) -> Parts:
    """Pick the controls of botulinum that last through the shelf life."""
    rights = [
        option(
            "Salt in the water of the flesh, measured for the strength in the plan",
            right=True,
            safety=True,
            says="Enough salt in the water holds the spores. It stays in the fish to the last day.",
        ),
        option(
            "Cold in each step: here, in the van, in the shop",
            right=True,
            safety=True,
            says="The cold must hold until the pack is opened, not only in your own fridge.",
        ),
        option(
            "A label that says: keep cold, and use by this day",
            right=True,
            says="The guest at home must know it too, or the cold chain ends at the door.",
        ),
    ]
    wrongs = draw.sample(
        [
            option(
                "A pack with no air in it", says="This germ likes that. The pack is the reason for the plan."
            ),
            option("A better smell test", says="The toxin can be there with no smell at all."),
            option(
                "A longer time in the smoke", says="Smoke stays near the surface. Spores are inside as well."
            ),
            option(
                "One clean test of one pack",
                says="One pack says little about the others, and nothing about a warm day in a shop.",
            ),
        ],
        2,
    )
    return several(
        draw,
        "Packs with little air inside are sold in shops. Pick every control of botulinum that "
        "works until the last day.",
        [*rights, *wrongs],
        hints=[
            "Three of these work on the last day.",
            "Think of salt, cold, and the person who opens the pack.",
        ],
        worked="Salt in the water of the flesh, cold in every step, and a label that asks for both cold "
        "and a day.",
    )


@exercise(
    "explain-a-true-record",
    lesson=7,
    criteria=["REC-K03"],
    prepares_for=["REC-P01", "REC-P03"],
    marked_by="tutor",
    title="Explain why a record is never made nicer",
)
def explain_a_true_record(draw: Draw) -> Parts:
    """Say in own words why a missed limit is written down as it was."""
    missed = draw.pick(["61.9 °C", "62.1 °C", "62.4 °C"])
    return explain(
        f"The card asks for 62.8 °C. The log says {missed}. Your friend says: “Write 62.8, it is almost "
        f"the same.” "
        "Explain in 3 or 4 sentences what you do, and why. Use the words record and corrective action.",
        [
            "Writes what was measured, with time and name; does not change it.",
            "Takes the corrective action of the plan: extend, or hold and report.",
            "Tells Chef at once; a competent person decides.",
            "Says who could be hurt, and that a false record ends all trust in the true ones.",
        ],
        hints=["Who reads the record after you?", "What does the plan say when a limit is missed?"],
    )
