"""Lesson 6, chilling: where each clock starts, how to read a record, and why slow is dangerous."""

import math
from itertools import pairwise

import numpy as np

from kit import rules
from kit.exercises.engine import exercise
from kit.exercises.engine.cache import simulated
from kit.exercises.engine.whose_rule import by_that_text, texts_named
from kit.marking.authored import Joined, Turned, option, right, some, wrong
from kit.marking.build import chart, explain, go_on_if, match, number, order, several
from kit.marking.draw import Draw
from kit.marking.model import Picture, Question, Slip
from kit.process.microbes.spores import perfringens_rate
from kit.process.physics.trace import Trace
from kit.process.steps import chill, fillet
from kit.process.steps.chill import Chilled

_IE, _US = (rules.load(name).answering("chill")[0] for name in ("ie", "us-retail"))
_START, _UK = rules.load("uk").answering("chill")[:2]  # two clocks: to the chiller, then in it
CHILL_C, IE_MIN, UK_MIN = float(_IE.maximum or 0), float(_IE.minutes or 0), float(_UK.minutes or 0)
START_MIN = float(_START.minutes or 0)
FROM_C, FIRST_C, FIRST_MIN = float(_US.from_c or 0), float(_US.maximum or 0), float(_US.minutes or 0)
HOT_C = 66.0
WAYS = {
    "blast": "Blast chiller, open racks",
    "walk-in": "Walk-in fridge, open racks",
    "still tray": "On a tray in a still fridge",
    "stacked trays": "In a fridge, trays stacked",
}
"""Ways to chill, by the name of their figures in the science."""


@simulated
def chilled(chiller: str, thickness_mm: float, wait_min: float, target_c: float = CHILL_C) -> Chilled:
    """Return what a piece from the heat becomes in a chiller; run once, then kept."""
    hot = fillet.raw("char, farmed", thickness_mm, 180, temp_c=HOT_C)
    return chill.chill(hot, chiller, core_target_c=target_c, max_min=900.0, wait_min=wait_min)


def rows(done: Chilled, every_min: float = 4.0) -> tuple[list[float], list[float], list[float]]:
    """Return minutes, core and air, every few minutes."""
    trace = done.trace
    end = float(trace.time_min[-1])
    time = np.append(np.arange(0.0, end - 0.5, every_min), end)
    given = np.asarray(trace.air_c, dtype=float)
    return (
        [round(float(t), 1) for t in time],
        [round(float(c), 1) for c in np.interp(time, trace.time_min, trace.core_c)],
        [round(float(a), 1) for a in np.interp(time, trace.time_min, given)],
    )


def record(done: Chilled, gap: tuple[float, float] | None = None) -> Picture:
    """Return the record as a picture; nothing was written in the gap."""
    time, core, air = rows(done)
    shown = [None if gap and gap[0] < t < gap[1] else c for t, c in zip(time, core, strict=True)]
    step = max(1, len(time) // 12)
    told = "; ".join(
        f"{t:g} min: {'no reading' if c is None else f'{c:g} °C'}"
        for t, c in [*zip(time, shown, strict=True)][::step]
    )
    words = f"Core after the heat. {told}; last {core[-1]:g} °C at {time[-1]:g} min."
    return Picture("chill-record", {"time_min": time, "core_c": shown, "air_c": air, "words": words}, words)


_US_TO_5 = rules.load("us-retail").answering("chill")[1]
_CLOCKS = {  # each rule: the line of the log that starts its clock
    f"Ireland: {CHILL_C:g} °C within {IE_MIN:g} min": "heat",
    f"United Kingdom: into the chiller within {START_MIN:g} min": "heat",
    f"United Kingdom: then {CHILL_C:g} °C within {UK_MIN:g} min": "chiller",
    f"United States, shops: {FROM_C:g} to {FIRST_C:g} °C within {FIRST_MIN:g} min": "warm",
    f"United States, shops: {FROM_C:g} to {_US_TO_5.maximum:g} °C within {_US_TO_5.minutes:g} min": "warm",
}
_NAMED = {
    "Ireland": (_IE, rules.load("ie")),
    "United Kingdom": (_UK, rules.load("uk")),
    "United States, shops": (_US, rules.load("us-retail")),
}
_STARTS = {
    "heat": "This clock starts when the fish leaves the heat. The wait counts too.",
    "chiller": "This clock starts in the chiller. The wait before it has a limit of its own.",
    "warm": f"This rule names two temperatures. Its clock starts at the first, {FROM_C:g} °C.",
}


@exercise("Where does the clock start?", criteria=["CHL-K01"], prepares_for=["CHL-P01"], version=3)
def which_clock_starts(draw: Draw, profile: rules.Profile) -> Question:
    """Join each cooling rule with the time in a log at which its clock starts."""
    out = int(draw.step(11 * 60, 16 * 60, 5))
    wait, to_warm = draw.sample([8, 11, 14, 17, 21, 24, 27], 2)
    at = {"heat": out, "chiller": out + wait, "warm": out + to_warm}
    at["cool"] = max(at.values()) + draw.whole(24, 48)
    at["cold"] = at["cool"] + draw.whole(28, 50)
    log = {
        "heat": "out of the heat",
        "chiller": "into the chiller",
        "warm": f"core at {FROM_C:g} °C",
        "cool": f"core at {FIRST_C:g} °C",
        "cold": f"core at {CHILL_C:g} °C",
    }
    told = "; ".join(f"{_clock(at[line])} {log[line]}" for line in sorted(at, key=at.__getitem__))
    chosen = [*draw.sample([each for each, line in _CLOCKS.items() if line == "heat"], 1)]
    chosen += [each for each, line in _CLOCKS.items() if line == "chiller"]
    chosen += draw.sample([each for each in _CLOCKS if each not in chosen], 1)
    return match(
        draw,
        f"The log of a batch: {told}. Join each text with the time at which its clock starts. "
        f"{texts_named([_NAMED[each.split(':')[0]] for each in chosen], profile)}",
        {each: _clock(at[_CLOCKS[each]]) for each in chosen},
        [
            Joined(
                each,
                _clock(at[line]),
                f"At {_clock(at[line])}: {log[line]}. {_STARTS[_CLOCKS[each]]}",
                f"{each} at {line}",
            )
            for each in chosen
            for line in at
            if line != _CLOCKS[each]
        ],
        extra=[_clock(minute) for minute in at.values()],
        hints=["Which rule names two temperatures?", "Does the wait before the chiller count in this rule?"],
        worked=" ".join(
            f"{each}: from {_clock(at[_CLOCKS[each]])}, {log[_CLOCKS[each]]}." for each in chosen
        ),
    )


@exercise("How long to the cold?", criteria=["CHL-K01"], prepares_for=["CHL-P01", "CHL-P02"], model=True)
def read_the_chill_record(draw: Draw) -> Question:
    """Read the minutes on the clock of the chiller."""
    wait = draw.pick([20.0, 30.0, 40.0])
    done = chilled("blast", draw.pick([22.0, 26.0, 30.0]), wait)
    whole = float(done.minutes_to_target or 0.0)
    return chart(
        f"The air in the record falls when the fish goes into the chiller. How many minutes from there until "
        f"the core is at {CHILL_C:g} °C? Read to about 8 min.",
        whole - wait,
        "min",
        record(done),
        abs_tol=8,
        slips=[
            Slip("from the heat", whole, "You counted from the heat. This clock starts in the chiller."),
            Slip("gave the wait", wait, "That is the wait before the chiller."),
        ],
        hints=["Find where the air falls.", f"The record ends where the core is at {CHILL_C:g} °C."],
        worked=f"In the chiller at {wait:g} min, cold at {whole:.0f} min: {whole - wait:.0f} min.",
    )


@exercise("Count the minutes", criteria=["CHL-K01"], prepares_for=["CHL-P02"], version=2)
def count_on_the_clock(draw: Draw, profile: rules.Profile) -> Question:
    """Count minutes on a clock that starts at the heat."""
    out, wait, cold = draw.step(13 * 60, 15 * 60, 5), draw.step(15, 35, 5), draw.step(65, 125, 5)
    out_m, in_m, cold_m = int(out), int(out + wait), int(out + wait + cold)
    return number(
        f"The fish left the heat at {_clock(out_m)}. It went into the chiller at {_clock(in_m)}. The core "
        f"was at {CHILL_C:g} °C at {_clock(cold_m)}. How many minutes count for the Irish limit of "
        f"{IE_MIN:g} min? {by_that_text(*_NAMED['Ireland'], profile)}",
        float(wait + cold),
        "min",
        abs_tol=0.5,
        slips=[
            Slip("from the chiller", float(cold), "You left out the wait. This clock starts at the heat."),
            Slip("gave the wait", float(wait), "That is only the wait. Count until the core is cold."),
        ],
        hints=["Which of the three times starts the Irish clock?", "Count from the heat to the cold core."],
        worked=f"From {_clock(out_m)} to {_clock(cold_m)}: {wait + cold:g} min.",
    )


def _clock(minute: int) -> str:
    return f"{minute // 60:02d}:{minute % 60:02d}"


_CLEAR_C = CHILL_C - 1.0
"""Cold enough that the error of a probe cannot hide a miss. [°C]"""
_CASES = {
    "met": ("blast", 20.0, _CLEAR_C),
    "slow": ("walk-in", 30.0, CHILL_C),
    "gap": ("blast", 20.0, _CLEAR_C),
}
GAP_MIN = (46.0, 74.0)
_WHY = {
    "met": "The record proves the limit, with no gap",
    "slow": "The record shows that it took too long",
    "gap": "The record has a gap, so the limit is not proven",
}


def verdict(case: str, thickness_mm: float) -> str:
    """Return what the rule says of the record of a case: met, not met or cannot tell."""
    way, wait, target_c = _CASES[case]
    trace = chilled(way, thickness_mm, wait, target_c).trace
    kept = np.ones(trace.time_min.size, dtype=bool)
    if case == "gap":
        kept = (trace.time_min <= GAP_MIN[0]) | (trace.time_min >= GAP_MIN[1])
    seen = Trace(trace.time_min[kept], trace.core_c[kept], phases=trace.phases)
    return rules.judge_rule(seen, _IE).outcome


@exercise("What do you recommend?", criteria=["CHL-K01"], prepares_for=["CHL-P03"], version=5, model=True)
def fish_after_the_chill(draw: Draw, profile: rules.Profile) -> Question:
    """A record that meets the limit, misses it, or does not prove it: recommend."""
    case, mm = draw.pick(sorted(_CASES)), draw.pick([18.0, 20.0, 22.0, 24.0, 26.0])
    way, wait, target_c = _CASES[case]
    return go_on_if(
        case == "met",
        draw,
        f"A kitchen in Ireland. Its card: {CHILL_C:g} °C in the core within {IE_MIN:g} min of leaving the "
        "heat. "
        f"{by_that_text(*_NAMED['Ireland'], profile)} The probe sat in the thickest piece. It "
        "was checked today. A break in the core line means no reading. The fish is cold now. Allow for a "
        "probe error of 0.5 °C. What do you recommend?",
        [
            option(
                text, right=name == case, says="Look at the line again, from the heat to the cold.", name=name
            )
            for name, text in _WHY.items()
        ]
        + [wrong("It smells good and feels cold", "Germs that hurt people often have no smell.")],
        proven="Read it again. The limit is proven.",
        unproven="A limit that is missed or not proven never goes on. Hold it and report.",
        picture=record(chilled(way, mm, wait, target_c), GAP_MIN if case == "gap" else None),
        hints=["Is the core line whole?", f"Is the core cold before {IE_MIN:g} min?"],
        worked=f"{_WHY[case]}. You recommend. A competent person decides.",
    )


_SLOW = (
    right("Some spores live through the cook", "The cook kills germs, but not all spores."),
    right("Warm fish wakes the spores", "Spores wake when the fish is warm and moist."),
    right("C. perfringens grows fast in warm food", "Few germs in a kitchen grow faster."),
    right("A later chill does not undo the growth", "Cold stops growth. It does not take germs away."),
    right("The middle stays warm the longest", "The face may be cold while the core still feeds germs."),
    right("No germ that could slow them is left", "The cook killed the others, so spores grow alone."),
    right("Some of them leave a poison behind", "Some germs make a poison that no later heat takes away."),
    wrong("The skin becomes tough", "That is a question of taste, not of danger."),
    wrong("The smoke goes out of the fish", "Slow cooling does not take the smoke out."),
    wrong("Any germ in it would smell", "Germs that hurt people often have no smell."),
    wrong("The cook made the fish free of spores", "The cook of hot-smoked fish leaves spores alive."),
    wrong("The flesh loses all of its salt", "Salt stays in the flesh, slow or fast."),
    wrong("Germs grow best below 3 °C", "Below 3 °C most grow slowly or not at all. Warmth is the danger."),
    wrong("The salt grows weaker in warm fish", "Salt does not fade. It is only not enough by itself."),
)


@exercise("Why is slow dangerous?", criteria=["CHL-K02"], prepares_for=["CHL-P01"], version=2)
def why_slow_is_dangerous(draw: Draw) -> Question:
    """Pick the reasons why slow cooling is dangerous."""
    reasons = some(draw, _SLOW, draw.pick([2, 3]), 3)
    return several(
        draw,
        "Cooked fish stood on a tray for hours and cooled slowly. Which reasons make this dangerous?",
        reasons,
        hints=["What survives the cook?", "What does it do in warm fish?"],
        worked=" ".join(f"{each.text}." for each in reasons if each.right),
    )


@exercise("How many could there be?", criteria=["CHL-K02"], prepares_for=["CHL-P01"], model=True)
def how_many_doublings(draw: Draw) -> Question:
    """Work out how many germs one could become, as a ceiling."""
    temp, times = draw.pick([45.0, 40.0, 35.0, 30.0]), draw.whole(3, 7)
    double = round(60 * math.log(2) / float(perfringens_rate(temp)))
    return number(
        f"At {temp:g} °C, C. perfringens can double about every {double} min once it is awake. The fish "
        f"stays at {temp:g} °C for {double * times} min. How many germs can one germ become? Take no time to "
        "wake: this is a ceiling.",
        float(2**times),
        "",
        abs_tol=0.5,
        slips=[
            Slip("times two", 2.0 * times, "You added two each time. Every germ doubles: 2, 4, 8."),
            Slip("counted doublings", float(times), "That is how often it doubles. Now double one so often."),
        ],
        hints=[f"How many times does {double} go into {double * times}?", f"Double 1, {times} times."],
        worked=f"It doubles {times} times. One becomes {2**times}. A real number is lower.",
    )


_INTO = {"blast": "blast chiller", "walk-in": "walk-in fridge", "still tray": "still fridge"}
_FASTER = {
    "blast": "Fast, colder air takes far more heat than slow air. It soon makes up for a wait.",
    "walk-in": "Still air and a tray hold the heat in. Open racks in moving air win.",
}


@exercise("Which fish is cold first?", criteria=["CHL-K02"], prepares_for=["CHL-P01"], version=3, model=True)
def fastest_way_to_cold(draw: Draw) -> Question:
    """Put four lots in the order in which they are cold: way, thickness and wait all count."""
    trays = [(way, mm, wait) for way in _INTO for mm in (16.0, 22.0, 28.0) for wait in (5.0, 60.0, 120.0)]
    cold_min = {tray: chilled(*tray).minutes_to_target or math.inf for tray in trays}
    picked: list[tuple[str, float, float]] = []
    for tray in draw.shuffle(trays):
        others = [cold_min[each] for each in picked]
        if len(picked) < 4 and all(
            abs(math.log(min(cold_min[tray], 1e4) / min(other, 1e4))) > 0.2 for other in others
        ):
            picked.append(tray)
    fast = sorted(picked, key=cold_min.__getitem__)
    names = {(way, mm, wait): f"{mm:g} mm, {wait:g} min in the room, {_INTO[way]}" for way, mm, wait in fast}
    return order(
        draw,
        "Four lots of hot fish leave the heat at one moment: so thick, so long in the room, then the cold. "
        "Blast chiller and walk-in have fans and open racks; the still fridge has trays and no fan. Put "
        f"the lots in order: the one whose core is at {CHILL_C:g} °C first stands first.",
        [names[tray] for tray in fast],
        [Turned(names[late], names[early], _why_later(early, late)) for early, late in pairwise(fast)],
        hints=[
            "Moving air takes heat faster than still air.",
            "A thin piece is cold first, and a wait counts.",
        ],
        worked=". Then: ".join(
            f"{names[tray]}: {f'{cold_min[tray]:.0f} min' if cold_min[tray] < math.inf else 'not in 15 h'}"
            for tray in fast
        )
        + ".",
    )


def _why_later(early: tuple[str, float, float], late: tuple[str, float, float]) -> str:
    """Return why one lot is cold before another one."""
    if early[0] != late[0]:
        return _FASTER[early[0]]
    if early[1] < late[1]:
        return "In the same air a thin piece is cold long before a thick one."
    return "The clock starts at the heat. The other fish stood in the room for longer."


@exercise("Explain it to a new colleague", criteria=["CHL-K02"], prepares_for=["CHL-P03"], marked_by="tutor")
def explain_slow_cooling(draw: Draw) -> Question:
    """Explain in the learner's own words why slow cooling is dangerous."""
    asks = draw.pick(["We cooked it, so why hurry?", "It is cold now, so why hold it?"])
    return explain(
        f"The fish cooled too slowly. A new colleague asks: “{asks}” Answer in 4 or 5 sentences.",
        [
            "Says that spores live through the cook.",
            "Says that they grow in warm fish, and fast.",
            "Says that cold stops growth and does not undo it.",
            "Says to hold the fish and report it. A competent person decides.",
        ],
    )
