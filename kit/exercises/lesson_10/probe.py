"""Lesson 10, the probe: what a reading surely stands for, its error between two checks, batches in doubt."""

from kit.exercises.engine import exercise
from kit.marking.authored import right, wrong
from kit.marking.build import number, several
from kit.marking.draw import Draw
from kit.marking.model import Question, Slip
from kit.process.physics.probe_check import (
    ProbeCheck,
    ProbedBatch,
    ProbeError,
    batches_in_doubt,
    combined_uncertainty,
    error_between,
    surely_reached,
)

_FISH = ("salmon", "salmon", "trout", "char")


@exercise("What may you count on?", criteria=["REC-K07"], prepares_for=["REC-P04", "COK-P02"], version=2)
def what_you_may_count_on(draw: Draw) -> Question:
    """Take the error and the uncertainty of a check off a core reading."""
    reference, high = draw.step(62, 70, 0.1), draw.step(0.3, 1.2, 0.1)
    parts = draw.shuffle([draw.pick([0.2, 0.3, 0.4]), draw.pick([0.1, 0.2]), draw.pick([0.1, 0.3])])
    core = draw.step(64, 74, 0.1)
    unsure = combined_uncertainty(parts)
    truth = surely_reached(core, ProbeError(high, unsure))
    return number(
        f"Warm water in a flask: the reference shows {reference:.1f} °C, your probe {reference + high:.1f} "
        f"°C. Each part of this check is sure to: reference ±{parts[0]:g} °C, water ±{parts[1]:g} °C, "
        f"display ±{parts[2]:g} °C. None of them goes with another. Later the probe shows {core:.1f} °C in "
        f"the core of a {draw.pick(_FISH)}. What is the least that this core surely is? Give 1 decimal.",
        round(truth, 3),
        "°C",
        abs_tol=0.06,
        decimals=1,
        slips=[
            Slip(
                "left out the uncertainty",
                round(core - high, 2),
                f"You took off the error. The check itself is sure only to ±{unsure:.2f} °C: take that off "
                "too.",
            ),
            Slip(
                "left out the error",
                round(core - unsure, 2),
                f"You took off what is unsure. This probe also shows {high:.1f} °C too much: take that off.",
            ),
            Slip(
                "added up the parts",
                round(core - high - sum(parts), 2),
                "You added the parts. They rarely all push one way: square each, add, and take the root.",
            ),
            Slip(
                "corrected the wrong way",
                round(core + high - unsure, 2),
                "The probe shows more than the reference. Bring its readings down, not up.",
            ),
            Slip(
                "credited what is unsure",
                round(core - high + unsure, 2),
                "What is unsure counts against you. Take it off; never add it.",
            ),
        ],
        hints=[
            "First the error: what the probe shows, less what the reference shows.",
            f"Then the ±: square {parts[0]:g}, {parts[1]:g} and {parts[2]:g}, add them, take the root.",
        ],
        worked=f"Error: {high:.1f} °C too much. Unsure: √({' + '.join(f'{each:g}²' for each in parts)}) = "
        f"{unsure:.2f} °C. {core:.1f} − {high:.1f} − {unsure:.2f} = {truth:.1f} °C. A card's limit must be "
        "met by this number, not by the display.",
    )


@exercise("The error between two checks", criteria=["REC-K07"], prepares_for=["REC-P04"])
def error_between_two_checks(draw: Draw) -> Question:
    """Work out a probe's error at the core, from a check in ice and one in warm water."""
    at_ice = draw.step(-0.4, 0.4, 0.1)
    warm = draw.pick([72, 75, 80, 84])
    at_warm = round(at_ice + draw.pick([-1, 1, 1]) * draw.step(0.8, 1.8, 0.1), 1)
    core = draw.step(round(0.55 * warm), round(0.85 * warm), 1)
    found = error_between(ProbeCheck(0, at_ice, 0.3), ProbeCheck(warm, warm + at_warm, 0.3), core)
    return number(
        f"In ice water, 0.0 °C, your probe shows {_signed(at_ice)} °C. In water that is {warm} °C by the "
        f"reference it shows {warm + at_warm:.1f} °C. Take a straight line between the two. How much too "
        f"high does it show in a core near {core:g} °C? Too low is below 0. Give 2 decimals.",
        round(found.error_c, 3),
        "°C",
        abs_tol=0.03,
        difference=True,
        slips=[
            Slip(
                "took the ice check",
                at_ice,
                f"That is the error in ice. A core at {core:g} °C is far from it.",
            ),
            Slip(
                "took the warm check",
                at_warm,
                f"That is the error at {warm} °C. At {core:g} °C you are only part of the way there.",
            ),
            Slip(
                "took the mean",
                round((at_ice + at_warm) / 2, 3),
                f"The mean is right half-way, at {warm / 2:g} °C. The core is nearer to the warm check.",
            ),
            Slip(
                "counted from the warm end",
                round(at_warm + (at_ice - at_warm) * core / warm, 3),
                "You went the share from the warm check down. Start at the ice.",
            ),
            Slip(
                "forgot where it began",
                round((at_warm - at_ice) * core / warm, 3),
                f"That is how much the error changes. It began at {_signed(at_ice)} °C.",
            ),
        ],
        hints=[
            f"How far from 0 to {warm} °C is the core? {core:g} ÷ {warm}.",
            "The error goes the same share of its way, from the ice check to the warm one.",
        ],
        worked=f"{core:g} ÷ {warm} = {core / warm:.2f} of the way. {_signed(at_ice)} + {core / warm:.2f} × "
        f"({_signed(at_warm)} − {_signed(at_ice)}) = {_signed(found.error_c, 2)} °C. An error may only count "
        "against you.",
    )


def _signed(value: float, digits: int = 1) -> str:
    return f"{value:+.{digits}f}".replace("-", "−") if round(value, digits) else f"{0:.{digits}f}"


@exercise("Which batches are in doubt?", criteria=["REC-K07"], prepares_for=["REC-P03", "REC-P04"])
def which_batches_in_doubt(draw: Draw) -> Question:
    """Pick the past batches that a failed check puts in doubt."""
    limit, high, unsure = draw.step(64, 74, 1), draw.step(0.8, 2.4, 0.2), draw.pick([0.3, 0.4, 0.5])
    good, found = draw.step(3, 8, 1), draw.step(19, 26, 1)
    error = ProbeError(high, unsure)
    edge = limit + high + unsure
    days = sorted([draw.step(1, good - 1, 1), good, *draw.sample(range(good + 1, found), 5)])
    above = [draw.step(0.1, high + unsure - 0.2, 0.1), draw.step(0.1, high, 0.1), high + unsure + 0.4]
    above += [draw.step(0.2, high, 0.1), high + unsure + draw.step(0.3, 2, 0.1)]
    tops = [draw.step(0.1, high, 0.1), draw.step(0.1, 1.5, 0.1), *draw.shuffle(above)]
    read = [
        ProbedBatch(f"day {day}", day, round(limit + top, 1)) for day, top in zip(days, tops, strict=True)
    ]
    doubted = batches_in_doubt(read, good, limit, error)
    kept = set(draw.sample(days[2:], 4))
    shown = [each for each in read if each.day <= good or each.day in kept]
    options = []
    for place, each in enumerate(shown, start=1):
        text, sure = f"Day {each.day:g}: core {each.shown_c:.1f} °C", surely_reached(each.shown_c, error)
        if each.code in doubted:
            says = f"It surely had only {sure:.1f} °C, below {limit} °C."
            options.append(right(text, says, name=f"in doubt ({place})", safety=True))
        elif each.day <= good:
            says = f"It was read before the good check of day {good} was over. Its reading stands."
            options.append(wrong(text, says, name=f"before the good check ({place})"))
        else:
            says = f"Even with all that off it had {sure:.1f} °C. That is above {limit} °C."
            options.append(wrong(text, says, name=f"high enough all the same ({place})"))
    if not {each.day for each in read if each.code in doubted} & kept:
        return which_batches_in_doubt(draw)
    return several(
        draw,
        f"Day {found}: the check finds that the probe shows {high:.1f} °C too much, sure to ±{unsure:g} °C. "
        f"The last good check was on the evening of day {good}. A made-up card asks for {limit} °C in the "
        f"core. These batches of {draw.pick(_FISH)} were read with this probe. Pick every one that is in "
        "doubt.",
        options,
        hints=[
            f"Nobody knows when it went wrong: any day after day {good} may be too high.",
            f"Take {high:.1f} and {unsure:g} °C off each reading. Is {limit} °C still there?",
        ],
        worked=f"After day {good} a reading must be {edge:.1f} °C or more: {limit} + {high:.1f} + "
        f"{unsure:g}. In doubt: "
        f"{', '.join(each.code for each in read if each.code in doubted and each.day in kept)}. Hold what "
        "is still here, and tell Chef at once: a competent person decides, on what was sold too.",
    )
