"""Lesson 5, what the limits mean, whose they are, and what to do with the batch."""

from kit.exercises.engine import exercise
from kit.exercises.engine.fish import any_fish
from kit.exercises.engine.kitchen_rules import numbered
from kit.exercises.engine.whose_rule import cook_card, freezing, texts_named
from kit.marking.authored import AuthoredOption, Joined, option, right, some, wrong
from kit.marking.build import explain, match, several
from kit.marking.draw import Draw
from kit.marking.model import Question
from kit.rules import HoldRow, Profile, Rule, load, minutes_words

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
_IE, _UK_RULES, _PROCESSOR, _RETAIL = (load(name) for name in ("ie", "uk", "us-processor", "us-retail"))
_AGAINST_LARVAE = next(rule for rule in _IE if rule.purpose == "parasites" and rule.minimum is not None)
_TEXTS: dict[str, tuple[Rule, Profile]] = {
    _PARASITES: (_AGAINST_LARVAE, _IE),
    _SMOKED: (_PROCESSOR.answering("cook")[0], _PROCESSOR),
    _RESTAURANT: (numbered(_RETAIL.answering("cook", plate=True))[0], _RETAIL),
    _UK: (_UK_RULES.answering("cook")[0], _UK_RULES),
    _IRELAND: (_IE.answering("cook")[0], _IE),
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
        _COOL: ("59 °C for 1 min", "61 °C for 40 s"),
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


@exercise("Whose limit is it?", criteria=["COK-K01"], prepares_for=["COK-P02"], version=4)
def rule_and_limit(draw: Draw, profile: Profile) -> Question:
    """Say of four cores, each under a rule that is named, whether that rule is met."""
    chosen = draw.sample(list(_LIMITS), 4)
    pairs: dict[str, str] = {}
    for rule in chosen:
        truth = draw.pick(list(_HELD[rule]))
        pairs[f"{rule}: {draw.pick(_HELD[rule][truth])}"] = truth
    return match(
        draw,
        "Four cores, each under the text that stands before it. The probe’s error was taken off already. "
        f"What does that text say of that core? {texts_named([_TEXTS[rule] for rule in chosen], profile)}",
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
        "A store as cold as the plan asks, on record",
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


def _cold(row: HoldRow) -> str:
    """Return a freezing treatment in short: −20 °C for 24 h."""
    hours = row.minutes / 60
    return f"{row.temp_c:g} °C for {f'{hours:g} h' if hours <= 48 else minutes_words(row.minutes)}".replace(
        "-", "−"
    )


@exercise(
    "What must stand beside a low finish",
    criteria=["COK-K01", "COK-K03"],
    prepares_for=["COK-P05"],
    version=4,
)
def low_finish_controls(draw: Draw, profile: Profile) -> Question:
    """A finish below 60 °C: every control together, or not at all."""
    low_c, wild = draw.step(56, 59, 1), draw.chance(0.5)
    fish = f"{'wild' if wild else 'farmed'} {any_fish(draw)}"
    lent = freezing(profile)
    frozen = option(
        f"A record: all parts at {_cold(lent.rule.holds[0])}",
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
        f"Someone asks for a softer finish: a core of {low_c} °C for {fish}"
        f"{'' if wild else ', with no freezing planned'}. Freezing goes by the rules of "
        f"{lent.lender.title}. {lent.says} No published limit covers that core. It is only "
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
    "What to do when the limit is not met yet", criteria=["COK-K04"], prepares_for=["COK-P05"], version=3
)
def what_do_you_do_now(draw: Draw, profile: Profile) -> Question:
    """A cook goes wrong while the fish is still in the heat: extend and report."""
    text, case = draw.pick(_CASES)
    card = cook_card(draw, profile, least_min=4)
    limit, need = card.core_c, int(card.minutes)
    filled = text.format(
        limit=f"{limit:g}",
        need=need,
        low=f"{limit - draw.step(1.5, 3.0, 0.1):.1f}",
        part=max(1, need // 2),
        gap=draw.step(6, 9, 1),
    )
    return several(
        draw,
        f"{filled} {card.whose} What do you do? Pick all that is right.",
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
