"""Lesson 3, the pellicle: what it does, the air that makes it, the crust that spoils it, and the clock."""

from __future__ import annotations

import numpy as np

from kit.exercises import exercise
from kit.exercises.cache import simulated
from kit.marking.build import (
    Joined,
    Parts,
    Turned,
    chart,
    explain,
    match,
    number,
    one,
    option,
    order,
    recommend,
    several,
)
from kit.marking.draw import Draw
from kit.marking.model import Decision, Picture, Slip
from kit.process import cure, fillet
from kit.process.fillet import Fillet
from kit.process.pellicle import Draught, Dried, dry, minutes_above, wet_surface
from kit.process.trace import Trace

LIMIT_C, LIMIT_MIN = 8.0, 60.0
"""The card of Harbour Lane: above this temperature for at most so long, in all. Ours, no source."""

_FISH = ("char, farmed", "trout, farmed")


@simulated
def cured(species: str, thickness_mm: float) -> Fillet:
    """Return a fillet after 4 h in dry salt and 12 h of cold rest."""
    raw = fillet.raw(species, thickness_mm, 180)
    return cure.equalise(cure.cure(raw, 4).fillet, 12).fillet


@simulated
def dried(
    species: str, thickness_mm: float, air_c: float, rh_pct: float, speed_m_s: float, hours: float
) -> Dried:
    """Return a cured fillet after hours on a rack in this air."""
    return dry(cured(species, thickness_mm), hours, Draught(air_c, rh_pct, speed_m_s))


_DOES = {
    "Smoke": "It sticks to a dry, slightly sticky face",
    "Colour": "It comes out even, with no pale runs",
    "Moisture": "The skin helps to keep the juice in",
    "White beads of protein": "Fewer of them show on the face",
}


@exercise(
    "what-a-pellicle-does",
    lesson=3,
    criteria=["PEL-K01"],
    prepares_for=["PEL-P03"],
    title="What does a pellicle do?",
)
def what_a_pellicle_does(draw: Draw) -> Parts:
    """Join what we want of smoked fish with what the pellicle does for it."""
    chosen = draw.sample(sorted(_DOES), 3)
    pairs = {each: _DOES[each] for each in chosen}
    wrong = "It kills the germs on the fish"
    return match(
        draw,
        "Char hung in moving air and now has a good pellicle. Join each word with what the pellicle does.",
        pairs,
        [
            Joined(chosen[0], wrong, "A pellicle kills no germs. Only the cook does that.", "kills germs"),
            Joined(
                chosen[1],
                _DOES[chosen[2]],
                f"That belongs to another word. Ask what you would see: {chosen[1].lower()}, not "
                f"{chosen[2].lower()}.",
                "mixed up",
            ),
        ],
        extra=[wrong],
        hints=["Think of paint on a wet wall.", "One line is about safety. A pellicle gives none."],
        worked=" ".join(f"{each}: {what[0].lower()}{what[1:]}." for each, what in pairs.items()),
    )


@exercise(
    "ready-for-the-kiln",
    lesson=3,
    criteria=["PEL-K01"],
    prepares_for=["PEL-P03", "PEL-P04"],
    title="Which tray is ready?",
)
def ready_for_the_kiln(draw: Draw) -> Parts:
    """Four trays, each with its weight loss and its feel: which is ready?"""
    good, damp, hard, late = (
        draw.step(1.2, 2.2, 0.1),
        draw.step(0.1, 0.5, 0.1),
        draw.step(1.2, 2.2, 0.1),
        draw.step(1.2, 2.2, 0.1),
    )
    over = draw.step(75, 150, 5)
    return one(
        draw,
        "The card asks for a weight loss of 1 to 2.5 % and a dry, slightly sticky face. The fish may be "
        f"above {LIMIT_C:g} °C for at most {LIMIT_MIN:g} min in all. Which tray is ready for smoke?",
        [
            option(f"Loss {good:.1f} %. Dry, shiny, a little sticky. Never above 5 °C.", right=True),
            option(
                f"Loss {damp:.1f} %. Wet, and drops hang below. Never above 5 °C.",
                says="It is still wet. The smoke would run off in streaks.",
                name="still wet",
            ),
            option(
                f"Loss {hard:.1f} %. Hard as a shell, soft and wet inside. Never above 5 °C.",
                says="That is a crust, not a pellicle. The water is locked in.",
                name="a crust",
            ),
            option(
                f"Loss {late:.1f} %. Dry, shiny, a little sticky. Above {LIMIT_C:g} °C for {over} min.",
                says="It looks right, but it was warm for too long. Stop and report.",
                name="too long warm",
            ),
        ],
        hints=["Look at the clock first, then at the face.", "Shiny and sticky is right. Hard is not."],
        worked=f"The tray with {good:.1f} % loss has the right face, the right loss and a cold record.",
    )


@exercise(
    "weight-loss-of-a-tray",
    lesson=3,
    criteria=["WDS-K04"],
    prepares_for=["PEL-P03", "PEL-P04"],
    title="How much water has gone?",
)
def weight_loss_of_a_tray(draw: Draw) -> Parts:
    """Work out the weight loss in percent of the fish, with the rack on the scale."""
    fish_g, rack_g = draw.step(2400, 4800, 100), draw.step(1400, 2200, 50)
    lost_g = round(fish_g * draw.step(1.0, 3.0, 0.1) / 100)
    loss = 100 * lost_g / fish_g
    before, after = fish_g + rack_g, fish_g + rack_g - lost_g
    return number(
        f"An empty rack weighs {rack_g} g. With the cured fish it weighs {before} g. After the night in "
        f"moving air it weighs {after} g. What is the weight loss in % of the fish? Give 1 decimal.",
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


_RH_PCT = (50.0, 60.0, 70.0, 80.0, 90.0)
_AXIS_PCT = tuple(float(each) for each in range(50, 91, 5))


@exercise(
    "read-the-drying-chart",
    lesson=3,
    criteria=["WDS-K04"],
    prepares_for=["PEL-P03"],
    title="Read the loss off the chart",
)
def read_the_drying_chart(draw: Draw) -> Parts:
    """Read the weight loss of a night off a chart of humidity, for one of two air speeds."""
    fish, rh, slow = draw.pick(_FISH), draw.pick([65.0, 75.0, 85.0]), draw.pick([0.5, 1.0])
    asked = draw.pick([slow, 2 * slow])
    curves = {
        speed: [dried(fish, 22.0, 3.0, each, speed, 10.0).loss_pct for each in _AXIS_PCT]
        for speed in (slow, 2 * slow)
    }
    at = _AXIS_PCT.index(rh)
    truth, other = curves[asked][at], curves[3 * slow - asked][at]
    aside = -2 if asked > slow else 2
    wrong_rh = curves[asked][at + aside] if at + aside < len(_AXIS_PCT) else curves[asked][at - 2]
    told = " ".join(
        f"At {speed:g} m/s: "
        + ", ".join(
            f"{loss:.1f} % at {each:g} %"
            for each, loss in zip(_AXIS_PCT, line, strict=True)
            if each in _RH_PCT
        )
        + "."
        for speed, line in curves.items()
    )
    words = f"Weight loss in 10 h at 3 °C, against humidity at the fish. {told}"
    shown = Picture(
        "over-humidity",
        {
            "rh_pct": list(_AXIS_PCT),
            "curves": [
                {"name": f"{speed:g} m/s", "values": [round(v, 3) for v in line]}
                for speed, line in curves.items()
            ],
            "y_label": "Weight loss in 10 h [%]",
            "from_zero": True,
            "words": words,
        },
        words,
    )
    return chart(
        f"The chart shows {fish.split(',')[0]} after 10 h at 3 °C. The air at the fish has {rh:g} % humidity "
        f"and moves at {asked:g} m/s. What weight loss do you expect in %? Give 1 decimal.",
        truth,
        "%",
        shown,
        abs_tol=0.08,
        slips=[
            Slip("read the other line", other, "You read the line of the other air speed. Read its name."),
            Slip(
                "read at another humidity",
                wrong_rh,
                "You read 10 points beside the question. Those 10 points change a lot.",
            ),
        ],
        hints=["First find the line of your air speed.", f"Then go up from {rh:g} % on the axis."],
        worked=f"On the line of {asked:g} m/s, above {rh:g} %, the loss is about {truth:.1f} %.",
    )


@exercise(
    "what-changes-most",
    lesson=3,
    criteria=["WDS-K04"],
    prepares_for=["PEL-P03"],
    title="Which change dries most?",
)
def what_changes_most(draw: Draw) -> Parts:
    """One change to the air at a time: which gives the largest loss?"""
    fish, rh, speed = draw.pick(_FISH), draw.pick([75.0, 80.0, 85.0]), draw.pick([0.8, 1.0, 1.6])
    start = dried(fish, 22.0, 3.0, rh, speed, 10.0).loss_pct
    changes = {
        f"Bring the humidity down by 10 points, to {rh - 10:g} %": (
            "drier air",
            dried(fish, 22.0, 3.0, rh - 10, speed, 10.0).loss_pct,
        ),
        f"Raise the air speed by a quarter, to {1.25 * speed:g} m/s": (
            "faster air",
            dried(fish, 22.0, 3.0, rh, 1.25 * speed, 10.0).loss_pct,
        ),
        "Let the fish hang for 1 h longer": ("more time", dried(fish, 22.0, 3.0, rh, speed, 11.0).loss_pct),
        f"Set the room at 4 °C, with {rh:g} % humidity again": (
            "warmer air",
            dried(fish, 22.0, 4.0, rh, speed, 10.0).loss_pct,
        ),
    }
    best = max(changes, key=lambda each: changes[each][1])
    return one(
        draw,
        f"The drying room is at 3 °C, with {rh:g} % humidity at the fish and air at {speed:g} m/s. "
        f"After 10 h the loss is only {start:.1f} %. Which one change raises it most?",
        [
            option(
                text,
                right=text == best,
                says=f"That gives about {loss:.1f} %. Another change gives about {changes[best][1]:.1f} %.",
                name=name,
            )
            if text != best
            else option(text, right=True, name=name)
            for text, (name, loss) in changes.items()
        ],
        hints=[
            "What decides first how fast water leaves a wet face?",
            "Ask how much room for water the air has left.",
        ],
        worked=f"{best}: the loss goes from {start:.1f} to {changes[best][1]:.1f} %. Humidity comes first.",
    )


@exercise(
    "colder-than-the-room",
    lesson=3,
    criteria=["WDS-K04"],
    prepares_for=["PEL-P04"],
    title="Colder than the room",
)
def colder_than_the_room(draw: Draw) -> Parts:
    """Read off a chart how far a wet face lies below its room."""
    cold_c, warm_c, rh = 4.0, draw.pick([12.0, 14.0, 16.0]), draw.pick([55.0, 65.0])
    lines = {
        room: [wet_surface(Draught(room, each, 1.0)).temp_c for each in _AXIS_PCT]
        for room in (cold_c, warm_c)
    }
    at = _AXIS_PCT.index(rh)
    face, other = lines[warm_c][at], lines[cold_c][at]
    told = " ".join(
        f"Room at {room:g} °C: "
        + ", ".join(
            f"{temp:.1f} °C at {each:g} %"
            for each, temp in zip(_AXIS_PCT, line, strict=True)
            if each in _RH_PCT
        )
        + "."
        for room, line in lines.items()
    )
    words = f"Temperature of a wet face in moving air, against humidity. {told}"
    shown = Picture(
        "over-humidity",
        {
            "rh_pct": list(_AXIS_PCT),
            "curves": [
                {"name": f"room {room:g} °C", "values": [round(v, 3) for v in line]}
                for room, line in lines.items()
            ],
            "y_label": "Temperature of the wet face [°C]",
            "from_zero": True,
            "words": words,
        },
        words,
    )
    return chart(
        f"A fan blows on wet fish in a room of {warm_c:g} °C with {rh:g} % humidity. How many °C is the wet "
        "face colder than the room, once it has settled? Give 1 decimal.",
        warm_c - face,
        "°C",
        shown,
        abs_tol=0.4,
        difference=True,
        slips=[
            Slip(
                "gave the face",
                face,
                "That is the temperature of the face. The question asks how far it is below the room.",
            ),
            Slip(
                "read the other room", cold_c - other, "You read the line of the other room. Read its name."
            ),
        ],
        hints=["Find the temperature of the face on the chart.", f"Take it from {warm_c:g} °C."],
        worked=f"The face settles at about {face:.1f} °C. {warm_c:g} − {face:.1f} = {warm_c - face:.1f} °C. "
        "This is no safety: in a warm room the face is still warm.",
    )


_CAUSES = (
    ("Air that is very dry", True, "Dry air takes water faster than the inside can give it."),
    ("Air that is too warm", True, "Warm air takes water fast, and it lets germs grow."),
    ("Fans far too fast for dry, warm air", True, "Fast air takes the water off as soon as it comes."),
    ("A thin tail end at the fan, turned up high", True, "The end at the fan dries first and hardest."),
    ("Damp air", False, "Damp air leaves the fish wet. It makes no crust."),
    ("A room of 3 °C with gentle, damp air", False, "Cold, damp air dries slowly. The inside keeps up."),
    ("Fish that lie in a pile", False, "Fish in a pile stay wet where they touch. That is another fault."),
    ("Fans that stand still", False, "Still air dries too little. It makes no crust."),
)


@exercise(
    "what-makes-a-crust",
    lesson=3,
    criteria=["PEL-K02"],
    prepares_for=["PEL-P04"],
    title="What makes a crust?",
)
def what_makes_a_crust(draw: Draw) -> Parts:
    """Pick the causes of case hardening."""
    causes = draw.sample([each for each in _CAUSES if each[1]], 2)
    others = draw.sample([each for each in _CAUSES if not each[1]], 3)
    return several(
        draw,
        "A tray has case hardening: a dry crust outside, wet flesh inside. Which of these can cause it?",
        [option(text, right=right, says=says) for text, right, says in (*causes, *others)],
        hints=["The face dried faster than the inside could follow.", "Think: too dry, too warm, too fast."],
        worked=" ".join(f"{text}: yes. {says}" for text, _, says in causes),
    )


_HARD_AIR = ((25.0, 20.0, 5.0), (27.0, 22.0, 5.0), (30.0, 25.0, 5.0))
_GENTLE_AIR = ((3.0, 70.0, 1.0), (4.0, 75.0, 1.5), (3.0, 80.0, 2.0), (5.0, 65.0, 1.0), (4.0, 85.0, 0.5))
_WARM_DAMP = ((18.0, 85.0, 1.0), (20.0, 88.0, 0.5))
CRUST_H = 14.0


@exercise(
    "which-air-hardens",
    lesson=3,
    criteria=["PEL-K02", "WDS-K04"],
    prepares_for=["PEL-P03", "PEL-P05"],
    title="Which air makes a crust?",
)
def which_air_hardens(draw: Draw) -> Parts:
    """One of four simulated rooms gives a crust: which?"""
    fish, mm = draw.pick(_FISH), draw.pick([22.0, 26.0])
    hard = draw.pick(_HARD_AIR)
    gentle, warm = draw.sample(_GENTLE_AIR, 2), draw.pick(_WARM_DAMP)
    crust = dried(fish, mm, *hard, CRUST_H)

    def told(air: tuple[float, float, float]) -> str:
        return f"{air[0]:g} °C, {air[1]:g} % humidity, {air[2]:g} m/s"

    return one(
        draw,
        f"A {mm:g} mm fillet of {fish.split(',')[0]} hangs for {CRUST_H:g} h. Which room gives it a crust, "
        "with the inside still wet?",
        [
            option(told(hard), right=True),
            *(
                option(
                    told(each),
                    says=f"This room takes {dried(fish, mm, *each, CRUST_H).loss_pct:.1f} %. The inside can "
                    "follow, so no crust forms.",
                    name=f"gentle {place}",
                )
                for place, each in enumerate(gentle, start=1)
            ),
            option(
                told(warm),
                says="The air is damp, so no crust forms. But it is far too warm, and germs grow.",
                name="warm and damp",
            ),
        ],
        hints=["Look for dry, warm and fast at once.", "Damp air never makes a crust."],
        worked=f"{told(hard)}: the face is down to {crust.surface_activity[-1]:.2f}, the inside is at "
        f"{crust.inside_activity[-1]:.2f}. On this scale 1.00 is pure water. A crust has formed. And the "
        "fish was far too warm.",
    )


_CRUST_STEPS = (
    "The air takes water off the face very fast",
    "The inside cannot send water out so fast",
    "The face dries to a crust",
    "The crust holds the water in",
    "The fish looks done, but it is wet inside",
)


@exercise(
    "how-a-crust-forms",
    lesson=3,
    criteria=["PEL-K02"],
    prepares_for=["PEL-P04"],
    title="How a crust forms",
)
def how_a_crust_forms(draw: Draw) -> Parts:
    """Put four of five steps to case hardening in order."""
    left_out = draw.pick([1, 3, 4])
    steps = [each for place, each in enumerate(_CRUST_STEPS) if place != left_out]
    turned = [
        Turned(_CRUST_STEPS[2], _CRUST_STEPS[0], "There is no crust before the air has taken the water."),
        Turned(_CRUST_STEPS[3], _CRUST_STEPS[2], "A crust must be there before it can hold water in."),
        Turned(_CRUST_STEPS[4], _CRUST_STEPS[2], "It looks done because the crust has formed."),
    ]
    return order(
        draw,
        "The drying room was too dry, too warm and too fast. Put in order what happened to the fish.",
        steps,
        [each for each in turned if each.early in steps and each.late in steps],
        hints=["Start with the air.", "End with what fools you."],
        worked=". Then: ".join(steps) + ".",
    )


_SET_OUT = (
    ("Leave a gap between all the pieces", True, "Without a gap no air gets between them."),
    ("Put thick pieces together and thin ones together", True, "Then one rack is ready at one time."),
    ("Weigh one marked rack before and after", True, "Without a weight, the loss is a guess."),
    (
        "Hang the logger's sensor beside the fish",
        True,
        "The number on the door is not the number at the fish.",
    ),
    ("Lay the tails over each other to save room", False, "Where they touch they stay wet, with no smoke."),
    ("Hang wet fish above fish that is nearly dry", False, "It drips, and the dry fish is wet again."),
    ("Cover the rack tightly with film", False, "Under film no air moves. The fish stays wet."),
    ("Stand the rack against the wall, with no gap", False, "Air needs a way in and a way out."),
)


@exercise(
    "set-out-the-rack",
    lesson=3,
    criteria=["WDS-K04"],
    prepares_for=["PEL-P01", "PEL-P02"],
    title="Set out the rack",
)
def set_out_the_rack(draw: Draw) -> Parts:
    """Pick the right ways to set fish out for drying."""
    right = draw.sample([each for each in _SET_OUT if each[1]], 2)
    wrong = draw.sample([each for each in _SET_OUT if not each[1]], 3)
    return several(
        draw,
        "Tonight 40 fillets of cured trout go on the racks. What do you do?",
        [option(text, right=good, says=says) for text, good, says in (*right, *wrong)],
        hints=[
            "Ask of each: does it help the air to get there?",
            "Think of what drips, what touches and what you will measure.",
        ],
        worked=" ".join(f"{text}: yes. {says}" for text, _, says in right),
    )


def _warm_twice(first_min: float, second_min: float, peak_c: float) -> Trace:
    """Return a record that is warm twice: up in 30 min, warm for a while, and down in 30 min."""
    steps = np.array([0.0, 60, 30, first_min, 30, 60, 30, second_min, 30, 60])
    core = np.array([4.0, 4, peak_c, peak_c, 4, 4, peak_c, peak_c, 4, 4])
    return Trace(np.cumsum(steps), core)


@exercise(
    "count-the-warm-minutes",
    lesson=3,
    criteria=["REC-K01"],
    prepares_for=["PEL-P05"],
    title="Count the warm minutes",
)
def count_the_warm_minutes(draw: Draw) -> Parts:
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


@exercise(
    "stop-or-go-on",
    lesson=3,
    criteria=["REC-K01", "WDS-K04"],
    prepares_for=["PEL-P04", "PEL-P05"],
    title="Stop, or go on?",
)
def stop_or_go_on(draw: Draw) -> Parts:
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
    wrong: dict[Decision, str] = (
        {
            "hold": "Read it again. The limit is met, with no gap.",
            "reject": "Read it again. The limit is met, with no gap.",
        }
        if met
        else {"go on": "The limit is missed or not proven. Such a batch does not go on by itself."}
    )
    return recommend(
        draw,
        f"Char after the drying: loss {loss:.1f} %, dry, shiny, a little sticky. The card allows "
        f"{LIMIT_MIN:g} min above {LIMIT_C:g} °C in all. {record} The fish is cold now. "
        "What do you recommend?",
        "go on" if met else "hold",
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
            option("The pellicle looks perfect", says="A good face says nothing about germs."),
            option("The cook kills everything later", says="Some toxins and spores live through the cook."),
        ],
        wrong,
        also=() if met else ("reject",),
        hints=["Leave the look aside. What does the record prove?", "A gap proves nothing."],
        worked=(
            f"{minutes} min is not more than {LIMIT_MIN:g} min, and there is no gap. You recommend to go on."
            if met
            else "The limit is not shown to be met. Keep the fish cold, hold it, label it and report it."
        )
        + " A competent person decides.",
    )


@exercise(
    "explain-a-crust",
    lesson=3,
    criteria=["PEL-K02"],
    prepares_for=["PEL-P04"],
    title="Tell the new commis",
    marked_by="tutor",
)
def explain_a_crust(draw: Draw) -> Parts:
    """Explain why hurry makes a crust, in the learner's own words."""
    wish = draw.pick(
        ["wants to put a heater in the drying room", "wants to set the dryer and the fans to their highest"]
    )
    return explain(
        f"The fish is still wet, and smoke should start in 2 h. A new commis {wish}. Tell them in 4 or 5 "
        "sentences why not. What would happen to the face? What to the inside? What do you do instead?",
        [
            "The face dries faster than water comes from the inside: a crust.",
            "The crust holds water in, and the fish looks ready too early.",
            "Warm air also starts the clock for germs.",
            "Instead: cold air, humidity checked at the fish, steady fans, more time, and tell Chef.",
        ],
    )
