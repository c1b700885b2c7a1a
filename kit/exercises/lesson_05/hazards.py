"""Lesson 5, which hazards the heat deals with, and what holds back what it leaves."""

from kit.exercises.engine import exercise
from kit.exercises.engine.whose_rule import texts_named
from kit.marking.authored import Joined, right, wrong
from kit.marking.build import match, several
from kit.marking.draw import Draw
from kit.marking.model import Question
from kit.rules import Profile, judge_rule, load

_KILLED = "Killed by that core and time"
_LIVES = "Not proven to be killed"
_INJURED = "Only injured: salt and cold must hold it back"
_STAYS = "Not removed by heat: keep it cold from the start"
_LARVAE, _LISTERIA = "Parasite larvae", "Listeria, the living germ"
_IE, _UK = load("ie"), load("uk")
_ENOUGH = {
    _LARVAE: next(rule for rule in _IE if rule.purpose == "parasites" and rule.minimum is not None),
    _LISTERIA: _UK.answering("cook")[0],
}
"""The rule that says when each is dead: EU law on larvae, United Kingdom advice on a cook."""
_BY_HEAT = {
    (_LARVAE, _LIVES): "The text on larvae asks for 60 °C for 1 min. This core had that and more.",
    (_LARVAE, _KILLED): "The text on larvae asks for 60 °C. This core stayed below it.",
    (_LISTERIA, _LIVES): "70 °C for 2 min is the advice for living germs. This core had that and more.",
    (_LISTERIA, _KILLED): "That is not proven. Living Listeria takes more, such as 70 °C for 2 min.",
}


@exercise("What the heat does to each hazard", criteria=["COK-K03"], version=3)
def heat_and_hazards(draw: Draw, profile: Profile) -> Question:
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
    named = [(_ENOUGH[_LARVAE], _IE), (_ENOUGH[_LISTERIA], _UK)]
    joined = [
        Joined(left, other, _of_heat(left, other))
        for left, truth in pairs.items()
        for other in rights
        if other != truth
    ]
    return match(
        draw,
        "Five fish, five cooks. What did the heat do to what was in each fish? A kill is proven here by the "
        f"text on larvae and by that on living germs. {texts_named(named, profile)}",
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


@exercise("What holds spores back after the cook", criteria=["COK-K03"], prepares_for=["COK-P05"], version=3)
def after_the_spores(draw: Draw) -> Question:
    """Pick what protects against spores that lived through the cook, and leave what does not."""
    rights = [
        right(
            "Chill it fast, and keep it as cold as the card asks",
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
