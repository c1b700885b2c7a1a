"""Lesson 5, what the limits mean, which hazards heat deals with, and what to do with the batch."""

from kit.exercises.engine import exercise
from kit.marking.authored import AuthoredOption, Joined, option, right, some, wrong
from kit.marking.build import explain, match, several
from kit.marking.draw import Draw
from kit.marking.model import Question
from kit.rules import judge_rule, load

_PARASITES, _SMOKED, _RESTAURANT, _UK, _IRELAND = (
    "EU and UK law, larvae in fish",
    "US rule, smoked fish (Michigan)",
    "US code, fish on a plate",
    "UK cooking advice",
    "Irish cook-chill guide",
)
_LIMITS = {  # whose rule (each seen in its source): what it asks of the core
    _PARASITES: "60 °C for 1 min",
    _SMOKED: "62.8 °C for 30 min without a break",
    _RESTAURANT: "63 °C for 15 s",
    _UK: "70 °C for 2 min, or an equal hold",
    _IRELAND: "75 °C, or an equal treatment",
}
_MEETS, _COOL, _SHORT = "The rule is met", "Missed: the core was too cool", "Missed: the hold was too short"
_HELD: dict[
    str, dict[str, tuple[str, ...]]
] = {  # readings that meet a rule, and that miss it: clear of the limit by more than a probe's error
    _PARASITES: {
        _MEETS: ("61 °C for 2 min", "62 °C for 90 s"),
        _COOL: ("57 °C for 3 min", "58 °C for 2 min"),
        _SHORT: ("62 °C for 20 s", "61 °C for 30 s"),
    },
    _SMOKED: {
        _MEETS: ("64 °C for 32 min", "65 °C for 40 min"),
        _COOL: ("60 °C for 35 min", "61 °C for 45 min"),
        _SHORT: ("64 °C for 20 min", "66 °C for 10 min", "65 °C for 2 min"),
    },
    _RESTAURANT: {
        _MEETS: ("64 °C for 20 s", "65 °C for 1 min"),
        _COOL: ("60 °C for 1 min", "61 °C for 40 s"),
        _SHORT: ("64 °C for 5 s", "65 °C for 8 s"),
    },
    _UK: {
        _MEETS: ("71 °C for 3 min", "72 °C for 4 min"),
        _SHORT: ("71 °C for 30 s", "70.6 °C for 1 min"),
    },
    _IRELAND: {_MEETS: ("76 °C for 1 min", "77 °C for 30 s"), _COOL: ("58 °C for 2 min", "59 °C for 1 min")},
}
_OF_A_HOLD = {
    _MEETS: "This core was as hot as that, and for long enough.",
    _COOL: "This core never came to that heat, so its minutes count for nothing.",
    _SHORT: "This core was hot enough, but not for long enough.",
}


@exercise("Whose limit is it?", criteria=["COK-K01"], prepares_for=["COK-P02"], version=2)
def rule_and_limit(draw: Draw) -> Question:
    """Say of four cores, each under a rule that is named, whether that rule is met."""
    chosen = draw.sample(list(_LIMITS), 4)
    pairs: dict[str, str] = {}
    for rule in chosen:
        truth = draw.pick(list(_HELD[rule]))
        pairs[f"{rule}: {draw.pick(_HELD[rule][truth])}"] = truth
    return match(
        draw,
        "Four cores, each under another rule. The probe’s error was taken off already. Join each with what "
        "that rule says of it.",
        pairs,
        [
            Joined(left, other, f"{_asks(left)} {_OF_A_HOLD[truth]}")
            for left, truth in pairs.items()
            for other in _OF_A_HOLD
            if other != truth
        ],
        extra=list(_OF_A_HOLD),
        hints=[
            "What does each rule ask of the core: how hot, and for how long?",
            "The rule for larvae is the lowest. The fish that is kept needs a long hold.",
        ],
        worked="Each rule has its own purpose. " + " ".join(f"{rule}: {_LIMITS[rule]}." for rule in chosen),
    )


def _asks(left: str) -> str:
    rule = left.split(": ")[0]
    return f"{rule}: it asks for {_LIMITS[rule]}."


_IN_PLACE = (
    right(
        "A plan in writing, approved for this kitchen",
        "Nobody lowers a limit alone. A competent person must approve a written plan first.",
        safety=True,
    ),
    right(
        "A store at 3 °C or colder, on record",
        "More germs live through a low finish. Only cold keeps them from growing.",
        safety=True,
    ),
    right(
        "A short use-by date, kept to the day",
        "Even in the cold some germs grow slowly. A short life stops them in time.",
        safety=True,
    ),
    right(
        "A log of the core, for every batch of it",
        "The plan names a core. Only a log shows that the batch had it.",
        safety=True,
    ),
    wrong("A darker colour, from a longer smoke", "Colour says nothing about the core.", safety=True),
    wrong(
        "A vacuum pack, as it shuts out the air",
        "It does not make up for a low finish. It helps the botulism germ, which lives without air.",
        safety=True,
    ),
    wrong(
        "A cook who has done it for many years",
        "A habit is no control. The plan, the cold and the papers are.",
        safety=True,
    ),
    wrong(
        "A taste of each batch before it is sold", "Taste and smell show no larva and no germ.", safety=True
    ),
    wrong("A hotter store for the first day", "Warmth lets the germs grow that lived.", safety=True),
    wrong(
        "A good flake and a clear, set colour",
        "Protein sets well below the heat that kills. Looks prove nothing.",
        safety=True,
    ),
)


@exercise(
    "What must stand beside a low finish",
    criteria=["COK-K01", "COK-K03"],
    prepares_for=["COK-P05"],
    version=2,
)
def low_finish_controls(draw: Draw) -> Question:
    """A finish below 60 °C: every control together, or not at all."""
    low_c, wild = draw.step(56, 59, 1), draw.chance(0.5)
    fish = draw.pick(["wild char", "wild trout"] if wild else ["farmed trout", "farmed char"])
    frozen = option(
        "A record: all parts at −20 °C for 24 h",
        right=wild,
        safety=wild,
        says=f"{low_c} °C does not kill parasites. Wild fish must be frozen first, and a record must show it."
        if wild
        else "These papers already exempt this farmed fish. Freezing is the way for fish without them.",
        name="freezing record",
    )
    papers = option(
        "The supplier's papers for exempt fish",
        right=not wild,
        safety=True,
        says="Those papers are for farmed fish. This fish is wild, so they cannot cover it."
        if wild
        else f"{low_c} °C does not kill parasites. Farmed fish is exempt only with the supplier's papers.",
        name="farm papers",
    )
    return several(
        draw,
        f"Someone asks for a softer finish in Ireland: a core of {low_c} °C for {fish}"
        f"{'' if wild else ', with no freezing planned'}. No published limit covers that core. It is only "
        "ever done with all its controls together. Which of these must be in place first?",
        [frozen, papers, *some(draw, _IN_PLACE, draw.pick([1, 2]), draw.pick([2, 3]))],
        hints=[
            "Think of parasites, of germs that live on, and of who decides.",
            "Which paper fits this fish: wild or farmed?",
        ],
        worked="Parasites: "
        + ("the freezing record. " if wild else "the supplier's papers. ")
        + "Germs that live on: cold and a short life. Who decides: a competent person, in writing. "
        "If one of these is missing, the low finish is not done.",
    )


_KILLED = "Killed by that core and time"
_LIVES = "Not proven to be killed"
_INJURED = "Only injured: salt and cold must hold it back"
_STAYS = "Not removed by heat: keep it cold from the start"
_LARVAE, _LISTERIA = "Parasite larvae", "Listeria, the living germ"
_ENOUGH = {_LARVAE: load("ie")["eu-parasite-heat"], _LISTERIA: load("uk").answering("cook")[0]}
"""The rule that says when each is dead: EU law on larvae, United Kingdom advice on a cook."""
_BY_HEAT = {
    (_LARVAE, _LIVES): "The law on larvae asks for 60 °C for 1 min. This core had that and more.",
    (_LARVAE, _KILLED): "The law on larvae asks for 60 °C. This core stayed below it.",
    (_LISTERIA, _LIVES): "70 °C for 2 min is the advice for living germs. This core had that and more.",
    (_LISTERIA, _KILLED): "That is not proven. Living Listeria takes more, such as 70 °C for 2 min.",
}


@exercise("What the heat does to each hazard", criteria=["COK-K03"], version=2)
def heat_and_hazards(draw: Draw) -> Question:
    """Join five hazards, each after a cook of its own, with what the heat did to it."""
    pairs = {}
    for hazard, lows in ((_LARVAE, (50, 56)), (_LISTERIA, (50, 56)), (_LISTERIA, (61, 63))):
        low_c, high_c = draw.pick([lows, (71, 76)])
        core_c, minutes = draw.step(low_c, high_c, 1), draw.whole(3, 6)
        told = judge_rule({"core_temp_c": core_c, "hold_min": minutes}, _ENOUGH[hazard], probe_error_c=0)
        pairs[f"{hazard}: core {core_c:g} °C for {minutes} min"] = (
            _KILLED if told.outcome == "met" else _LIVES
        )
    last_c, poison = draw.step(71, 76, 1), draw.pick(["Histamine", "Staphylococcus toxin"])
    spores = f"Spores of Clostridium botulinum: core {last_c:g} °C for {draw.whole(3, 6)} min"
    made = f"{poison} already in the fish: core {last_c:g} °C for {draw.whole(3, 6)} min"
    pairs |= {spores: _INJURED, made: _STAYS}
    rights = (_KILLED, _LIVES, _INJURED, _STAYS)
    joined = [
        Joined(left, other, _of_heat(left, other))
        for left, truth in pairs.items()
        for other in rights
        if other != truth
    ]
    return match(
        draw,
        "Five fish, five cooks. What did the heat do to what was in each fish?",
        pairs,
        joined,
        extra=[each for each in rights if each not in pairs.values()],
        must=[spores],
        hints=[
            "Which one is a seed-like form that lives through every hot smoke? Which one is a poison?",
            "Larvae: 60 °C for 1 min. Living germs: 70 °C for 2 min, or an equal hold.",
        ],
        worked="Larvae die at 60 °C for 1 min. Living Listeria dies at 70 °C for 2 min, or an equal hold. "
        "Spores are only injured. A poison that is already made stays.",
    )


def _of_heat(left: str, other: str) -> str:
    """Return what to tell somebody who joined this hazard with that wrong end."""
    hazard = left.split(":")[0]
    if hazard.startswith("Spores"):
        return (
            "A poison stays as it was. Spores are alive: salt and cold must hold them back."
            if other == _STAYS
            else "Spores live through these temperatures. They need about 90 °C for 10 min, far above that."
        )
    if hazard not in _ENOUGH:
        return "This is a poison, not a germ. It is already made, and heat leaves it there."
    if other == _STAYS:
        return "That is true of a poison. This one is alive, so enough heat kills it."
    if other == _INJURED:
        return "Only spores live on like that. A living germ or a larva dies, if the core is held."
    return _BY_HEAT[hazard, other]


@exercise("What holds spores back after the cook", criteria=["COK-K03"], prepares_for=["COK-P05"], version=2)
def after_the_spores(draw: Draw) -> Question:
    """Pick what protects against spores that lived through the cook, and leave what does not."""
    rights = [
        right(
            "Chill it fast and keep it at 3 °C or colder",
            "Cold is the first control. Spores wake and grow in warm fish.",
            safety=True,
        ),
        right(
            "Enough salt in the water of the flesh, measured",
            "Salt in the water of the flesh holds spores back. It must be measured, not guessed.",
        ),
        right(
            "A short use-by date",
            "Even at 3 °C this germ can grow in some weeks. A short life stops it in time.",
        ),
        right(
            "Keep it cold in the van and in the shop too",
            "Cold must hold until the pack is opened, not only with us.",
            safety=True,
        ),
        right(
            "A label that says: keep cold, and until when", "The guest at home keeps the last of the cold."
        ),
    ]
    wrongs = draw.sample(
        [
            wrong(
                "Ten more minutes at a 63 °C core",
                "Spores live through that. The benchmark for these spores is 90 °C for 10 min.",
            ),
            wrong(
                "A vacuum pack with no air",
                "This germ likes to grow without air. A vacuum pack alone helps it.",
            ),
            wrong("A thicker smoke", "Smoke on the surface does not reach spores inside the flesh."),
            wrong(
                "Smelling the fish before it is sold",
                "Fish can carry this poison and smell of nothing. Your nose is no control.",
            ),
        ],
        3,
    )
    return several(
        draw,
        "Some spores of Clostridium botulinum live through every hot smoke. "
        "Pick everything that holds them back afterwards.",
        [rights[0], *draw.sample(rights[1:], draw.pick([1, 2])), *wrongs],
        hints=[
            "Not everything here is a real control.",
            "What do germs need: warmth, time, and water that is not salty.",
        ],
        worked="Cold, salt and a short life hold spores back. The hot smoke does not.",
    )


_CASES: tuple[tuple[str, str], ...] = (
    (
        "The card asks for {limit} °C for {need} min. The thickest core shows {low} °C, and it is still "
        "rising. A waiter wants the fish in 10 min.",
        "still rising",
    ),
    (
        "The card asks for {limit} °C for {need} min. After {part} min of the hold the probe slips out of "
        "the fish. You notice it {gap} min later.",
        "probe out",
    ),
    (
        "The card asks for {limit} °C for {need} min. After {part} min of the hold the cabinet trips, "
        "and the core falls to {low} °C. Then the heat comes back.",
        "cabinet tripped",
    ),
)
_EXTEND: dict[str, tuple[AuthoredOption, ...]] = {
    "still rising": (
        right("Leave the fish in the heat", "It can still reach the limit."),
        right("Go on logging the core", "What is not in the log did not happen."),
        right("Tell Chef that the batch is late", "Chef tells the guest, not you."),
    ),
    "probe out": (
        right("Put the probe back into the core", "Without it nothing is measured."),
        right("Start the hold again from 0", "Nobody knows what happened in the gap."),
        right("Write down the gap, and tell Chef", "A record says what was not measured too."),
    ),
    "cabinet tripped": (
        right("Wait until the core is at the limit again", "The hold counts from there."),
        right("Start the hold again from 0", "It was broken."),
        right("Write down the fall, and tell Chef", "A competent person judges the whole record."),
    ),
}
_NOT_NOW = (
    wrong("Take it out now: it will carry over", "You hope. Only what is logged at the core counts."),
    wrong("Write the limit down: it will get there", "Never write what you did not measure."),
    wrong("Turn the heat to full, and go elsewhere", "Nobody watches the core then. Stay, log, tell Chef."),
    wrong("Look at the colour, and go by that", "Colour tells nothing of the core."),
)
_NOT_THEN = {
    "still rising": wrong("Serve the thin pieces now", "Nobody measured them. Chef decides."),
    "probe out": wrong("Go on as if the probe had been in", "No reading, no proof. It is not held."),
    "cabinet tripped": wrong("Count the minutes before the fall too", "The hold was broken. Start from 0."),
}


@exercise(
    "What to do when the limit is not met yet", criteria=["COK-K04"], prepares_for=["COK-P05"], version=2
)
def what_do_you_do_now(draw: Draw) -> Question:
    """A cook goes wrong while the fish is still in the heat: extend and report."""
    text, case = draw.pick(_CASES)
    limit, need = draw.pick([(62.8, 30), (65, 10), (70, 2)])
    filled = text.format(
        limit=f"{limit:g}",
        need=need,
        low=f"{limit - draw.step(1.5, 3.0, 0.1):.1f}",
        part=max(1, need // 2),
        gap=draw.step(6, 9, 1),
    )
    return several(
        draw,
        f"{filled} What do you do? Pick all that is right.",
        [*draw.sample(_EXTEND[case], 2), *some(draw, (*_NOT_NOW, _NOT_THEN[case]), 0, 3, never=True)],
        hints=[
            "Is there proof, at the core, for the whole hold?",
            "While it is still hot, it can still be put right.",
        ],
        worked="The fish is still in the heat, so it can be put right. Extend, start the hold clock again "
        "where it was broken, log it, and tell Chef at once. Chef decides what happens to the batch.",
    )


@exercise(
    "Explain why done is not the same as safe",
    criteria=["COK-K03"],
    prepares_for=["COK-P05"],
    marked_by="tutor",
)
def explain_low_finish(draw: Draw) -> Question:
    """Say in own words why a fillet that looks done may not have had its hold."""
    core_c = draw.step(57, 59, 1)
    return explain(
        f"At {core_c} °C a fillet flakes and is juicy. A new friend in the kitchen says that it is done. "
        "Explain to them, in 3 or 4 sentences, why done is not the same as safe. Use the words core "
        "and hold.",
        [
            "Protein sets below the temperatures that the rules count.",
            "Kill needs both heat and time: the core must be held, not only reached.",
            "Spores and poisons are left over in any case: cold, salt, short life.",
            "A lower finish needs all its controls and the approval of a competent person.",
        ],
        hints=["What sets first, the flesh or the rule?", "What does a hold add?"],
    )
