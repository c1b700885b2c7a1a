"""Lesson 3, the pellicle: what it does, how the fish is set out and weighed, and the clock that runs."""

import numpy as np

from kit.exercises.engine import exercise
from kit.exercises.engine.fish import any_fish
from kit.marking.authored import AuthoredOption, Joined, option, right, some, wrong
from kit.marking.build import chart, go_on_if, match, number, several
from kit.marking.draw import Draw
from kit.marking.model import Picture, Question, Slip
from kit.process.physics.trace import Trace
from kit.process.steps.pellicle import minutes_above

LIMIT_C, LIMIT_MIN = 8.0, 60.0
"""The card of Harbour Lane: above this temperature for at most so long, in all. Ours, no source."""


_DOES = {
    "Smoke": (
        "Sticks to a face that is dry and a little tacky",
        "Does not run off in sour drops",
        "Holds evenly where no water stands",
    ),
    "Colour": (
        "Comes out even, with no pale runs",
        "Is one clear gold, with no streaks",
        "Shows no light spots where drops hung",
    ),
    "Moisture": (
        "Is held in a little by the skin",
        "Leaves more slowly through the set face",
        "Stays in the flesh better in the cook",
    ),
    "White beads of protein": (
        "Fewer of them show on the face",
        "Come out less through the set skin",
        "Are less seen on the cooked loin",
    ),
}
_NO_HELP = (
    "Are killed by it, so the fish may stay warm",
    "Need no cook and no cold after it",
)


@exercise("What does a pellicle do?", criteria=["PEL-K01"], prepares_for=["PEL-P03"], version=3)
def what_a_pellicle_does(draw: Draw) -> Question:
    """Join what we want of smoked fish with what a good pellicle does for it."""
    chosen = draw.sample(sorted(_DOES), 3)
    pairs = {each: draw.pick(_DOES[each]) for each in chosen}
    safe = draw.pick(_NO_HELP)
    germs = "Germs"
    pairs[germs] = "Live on: it kills none of them"
    return match(
        draw,
        f"{any_fish(draw).capitalize()} hung in moving air and now has a good pellicle. Join each word with "
        "what is true of it then.",
        pairs,
        [
            Joined(
                each,
                safe,
                "A pellicle kills no germs. It takes the cook, and then the cold.",
                f"{each}: kills germs",
            )
            for each in pairs
        ]
        + [
            Joined(
                word,
                pairs[other],
                f"That is told of {other.lower()}. Ask what you would see of {word.lower()}.",
                f"{word} as {other}",
            )
            for word in pairs
            for other in pairs
            if word != other
        ],
        extra=[safe],
        must=[germs],
        hints=["Think of paint on a wet wall.", "One line is about safety. A pellicle gives none."],
        worked=" ".join(f"{each}: {what[0].lower()}{what[1:]}." for each, what in pairs.items()),
    )


def _tray(draw: Draw, sort: str) -> AuthoredOption:
    """Return a tray of one sort: ready for smoke, or what is wrong with it."""
    loss, warm = draw.step(1.2, 2.3, 0.1), draw.step(0, 10, 2)
    face = draw.pick(["dry, shiny, a little sticky", "dull and dry, slightly sticky"])
    why = ""
    if sort == "still wet":
        loss, face, why = (
            draw.step(0.1, 0.6, 0.1),
            "wet, drops hang below",
            "The smoke would run off in streaks.",
        )
    elif sort == "a crust":
        face, why = "hard as a shell, wet inside", "That is a crust, not a pellicle. It locks the water in."
    elif sort == "too dry":
        loss, why = draw.step(3.2, 4.8, 0.1), "It lost more than the card allows. Tell Chef."
    elif sort == "too long warm":
        warm, why = draw.step(75, 150, 5), "It looks right, but it was warm for too long. Stop and report."
    text = f"Loss {loss:.1f} %; {face}; {f'too warm for {warm:g} min' if warm else 'never too warm'}"
    return option(text, right=not why, says=why, name=sort, safety=sort == "too long warm")


@exercise("Which tray is ready?", criteria=["PEL-K01"], prepares_for=["PEL-P03", "PEL-P04"], version=3)
def ready_for_the_kiln(draw: Draw) -> Question:
    """Five trays, each with its weight loss, its feel and its warm minutes: which are ready?"""
    ready = draw.pick([1, 2])
    trays = [_tray(draw, "ready") for _ in range(ready)]
    trays += [
        _tray(draw, sort) for sort in draw.sample(["still wet", "a crust", "too long warm", "too dry"], 3)
    ]
    return several(
        draw,
        "The card asks for a weight loss of 1 to 2.5 % and a dry, slightly sticky face. The fish may be "
        f"above {LIMIT_C:g} °C for at most {LIMIT_MIN:g} min in all. Pick every tray that is ready.",
        trays,
        hints=["Look at the clock first, then at the face.", "Shiny and sticky is right. Hard is not."],
        worked=f"{'; '.join(each.text for each in trays if each.right)}: the right face, the right loss and "
        "a cold record.",
    )


@exercise("How much water has gone?", criteria=["WDS-K04"], prepares_for=["PEL-P03", "PEL-P04"], version=2)
def weight_loss_of_a_tray(draw: Draw) -> Question:
    """Work out the weight loss in percent of the fish, with the rack on the scale."""
    fish_g, rack_g = draw.step(2400, 4800, 100), draw.step(1400, 2200, 50)
    lost_g = round(fish_g * draw.step(1.0, 3.0, 0.1) / 100)
    loss = 100 * lost_g / fish_g
    before, after = fish_g + rack_g, fish_g + rack_g - lost_g
    return number(
        f"An empty rack weighs {rack_g} g. With the cured {any_fish(draw)} it weighs {before} g. After the "
        f"night in moving air it weighs {after} g. What is the weight loss in % of the fish? Give 1 decimal.",
        loss,
        "%",
        abs_tol=0.06,
        decimals=1,
        slips=[
            Slip(
                "counted the rack as fish",
                100 * lost_g / before,
                "You counted the rack as fish. Take its weight off first.",
            ),
            Slip(
                "gave what is left",
                100 - loss,
                "That is what is left. The question asks for what has gone.",
            ),
            Slip(
                "gave the grams", float(lost_g), "Those are the grams. Divide them by the fish at the start."
            ),
        ],
        hints=["How much did the fish weigh at the start, without the rack?", f"The fish lost {lost_g} g."],
        worked=f"Fish at the start: {before} − {rack_g} = {fish_g} g. Lost: {lost_g} g. "
        f"100 × {lost_g} ÷ {fish_g} = {loss:.1f} %.",
    )


_SET_OUT = (
    right("Leave a gap between all the pieces", "Without a gap no air gets between them."),
    right("Put thick pieces together and thin ones together", "Then one rack is ready at one time."),
    right("Weigh one marked rack before and after", "Without a weight, the loss is a guess."),
    right(
        "Hang the logger's sensor beside the fish", "The number on the door is not the number at the fish."
    ),
    wrong("Lay the tails over each other to save room", "Where they touch they stay wet, with no smoke."),
    wrong("Hang wet fish above fish that is nearly dry", "It drips, and the dry fish is wet again."),
    wrong("Cover the rack tightly with film", "Under film no air moves. The fish stays wet."),
    wrong("Stand the rack against the wall, with no gap", "Air needs a way in and a way out."),
)


@exercise("Set out the rack", criteria=["WDS-K04"], prepares_for=["PEL-P01", "PEL-P02"], version=2)
def set_out_the_rack(draw: Draw) -> Question:
    """Pick the right ways to set fish out for drying."""
    ways = some(draw, _SET_OUT, 2, 3)
    return several(
        draw,
        f"Tonight 40 fillets of cured {any_fish(draw)} go on the racks. What do you do?",
        ways,
        hints=[
            "Ask of each: does it help the air to get there?",
            "Think of what drips, what touches and what you will measure.",
        ],
        worked=" ".join(f"{each.text}: yes. {each.says}" for each in ways if each.right),
    )


def _warm_twice(first_min: float, second_min: float, peak_c: float) -> Trace:
    """Return a record that is warm twice: up in 30 min, warm for a while, and down in 30 min."""
    steps = np.array([0.0, 60, 30, first_min, 30, 60, 30, second_min, 30, 60])
    core = np.array([4.0, 4, peak_c, peak_c, 4, 4, peak_c, peak_c, 4, 4])
    return Trace(np.cumsum(steps), core)


@exercise("Count the warm minutes", criteria=["REC-K01"], prepares_for=["PEL-P05"])
def count_the_warm_minutes(draw: Draw) -> Question:
    """Add up on a record how long the fish was above the card's limit."""
    first, second, peak = draw.step(15, 30, 15), draw.step(60, 120, 15), draw.pick([12.0, 14.0])
    record = _warm_twice(first, second, peak)
    truth = minutes_above(record, LIMIT_C)
    middle = float(record.time_min[5])
    later = minutes_above(record.between(middle, float(record.time_min[-1])), LIMIT_C)
    grid = np.append(np.arange(0.0, record.time_min[-1], 15.0), record.time_min[-1])
    core = np.interp(grid, record.time_min, record.core_c)
    words = (
        "Core in the drying room. "
        + "; ".join(f"{t:g} min: {c:.1f} °C" for t, c in zip(grid, core, strict=True))
        + f". Dashed line: {LIMIT_C:g} °C."
    )
    shown = Picture(
        "cook-record",
        {
            "time_min": [float(t) for t in grid],
            "core_c": [round(float(c), 2) for c in core],
            "limit_c": LIMIT_C,
            "words": words,
        },
        words,
    )
    return chart(
        f"The fans failed twice in the drying. The card counts all minutes above {LIMIT_C:g} °C, the dashed "
        "line. How many minutes is that in all? Read to about 10 min.",
        truth,
        "min",
        shown,
        abs_tol=12,
        slips=[
            Slip("only the longer time", later, "You counted one warm time. The minutes add up: count both."),
            Slip(
                "up to the end of the record",
                float(record.time_min[-1]),
                "That is the whole record. Count only what lies above the dashed line.",
            ),
        ],
        hints=["Where does the core cross the dashed line? There are 4 places.", "Add both warm times."],
        worked=f"First {truth - later:.0f} min, then {later:.0f} min: {truth:.0f} min in all. The card "
        f"allows {LIMIT_MIN:g} min, so stop and report.",
    )


@exercise("Stop, or go on?", criteria=["REC-K01", "WDS-K04"], prepares_for=["PEL-P04", "PEL-P05"], version=3)
def stop_or_go_on(draw: Draw) -> Question:
    """The clock of the drying was kept, missed, or not recorded: recommend."""
    how = draw.pick(["kept", "missed", "gap"])
    minutes = draw.step(15, 45, 5) if how == "kept" else draw.step(75, 140, 5)
    loss = draw.step(1.3, 2.3, 0.1)
    record = {
        "kept": f"The logger shows {minutes} min above {LIMIT_C:g} °C in all, with no gap.",
        "missed": f"The logger shows {minutes} min above {LIMIT_C:g} °C in all, with no gap.",
        "gap": f"The logger stopped for {minutes} min in the night. The room was found at 13 °C.",
    }[how]
    met = how == "kept"
    return go_on_if(
        met,
        draw,
        f"{any_fish(draw).capitalize()} after the drying: loss {loss:.1f} %, dry, shiny, a little sticky. "
        f"The card allows {LIMIT_MIN:g} min above {LIMIT_C:g} °C in all. {record} The fish is cold now. "
        "What do you recommend?",
        [
            option("The record proves that the limit is met", right=met, says="Read the record once more."),
            option(
                "The fish was above the limit for too long",
                right=how == "missed",
                says="Read the record once more. Does it show that?",
            ),
            option(
                "The record has a gap, so nothing is proven",
                right=how == "gap",
                says="This record has no gap." if how != "gap" else "",
            ),
            wrong("The pellicle looks perfect", "A good face says nothing about germs."),
            wrong("The cook kills everything later", "Some toxins and spores live through the cook."),
        ],
        proven="Read it again. The limit is met, with no gap.",
        unproven="The limit is missed or not proven. Such a batch does not go on by itself.",
        hints=["Leave the look aside. What does the record prove?", "A gap proves nothing."],
        worked=(
            f"{minutes} min is not more than {LIMIT_MIN:g} min, and there is no gap. You recommend to go on."
            if met
            else "The limit is not shown to be met. Keep the fish cold, hold it, label it and report it."
        )
        + " A competent person decides.",
    )
