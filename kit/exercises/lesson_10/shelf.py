"""Lesson 10, shelf life: a log from store to home, what five packs prove, and when no date can be set."""

from kit.exercises.engine import exercise
from kit.marking.authored import right, wrong
from kit.marking.build import number, one
from kit.marking.draw import Draw
from kit.marking.model import Question, Slip
from kit.process.microbes.growth import listeria_growth
from kit.process.sampling.few_packs import tolerance_factor

_SALT_PCT = 3.0


@exercise("From the store to the fridge at home", criteria=["PLS-K06"], prepares_for=["PLS-P03"], model=True)
def from_store_to_home(draw: Draw) -> Question:
    """Add up what Listeria may do in the store, in the van and at home."""
    temps = (draw.pick([2, 3, 4]), draw.pick([10, 12, 14]), draw.pick([7, 8, 9]))
    days = (draw.step(3, 6, 1), draw.step(4, 10, 1) / 24, draw.step(1, 4, 1))
    ten = [round(listeria_growth(each, _SALT_PCT).days_per_log10.middle, 1) for each in temps]
    parts = [each / tenfold for each, tenfold in zip(days, ten, strict=True)]
    truth, hours = sum(parts), round(days[1] * 24)
    return number(
        f"A pack of smoked salmon is {days[0]} days in the store at {temps[0]} °C. Then it is {hours} h in "
        f"a van at {temps[1]} °C, and {days[2]} days in a fridge at home at {temps[2]} °C. These figures "
        f"are from memory, and a ceiling. Listeria grows tenfold in {ten[0]:g} days at {temps[0]} °C. At "
        f"{temps[1]} °C it takes {ten[1]:g} days, at {temps[2]} °C {ten[2]:g} days. How many times tenfold "
        "is that in all? Give 2 decimals.",
        round(truth, 4),
        "",
        abs_tol=0.03,
        slips=[
            Slip(
                "left out the van",
                round(parts[0] + parts[2], 4),
                f"You left out the van: {hours} h at {temps[1]} °C count too.",
            ),
            Slip(
                "left out the home",
                round(parts[0] + parts[1], 4),
                "The guest's fridge belongs to the life too.",
            ),
            Slip(
                "only the store",
                round(parts[0], 4),
                "That is the store alone. Growth goes on in the van and at home.",
            ),
            Slip(
                "hours taken as days",
                round(parts[0] + hours / ten[1] + parts[2], 4),
                f"You took {hours} h for {hours} days. Divide by 24 first.",
            ),
            Slip(
                "all at the store's cold",
                round(sum(days) / ten[0], 4),
                f"You took {temps[0]} °C for the whole way. Van and home are warmer.",
            ),
            Slip(
                "the mean of the figures",
                round(sum(days) / (sum(ten) / 3), 4),
                "Each stage has its own pace. Work out each, then add.",
            ),
        ],
        hints=[
            "For each stage: its days ÷ the days for tenfold there.",
            f"{hours} h are {hours} ÷ 24 days. Then add the three.",
        ],
        worked=" + ".join(f"{parts[n]:.2f}" for n in range(3)) + f" = {truth:.2f} times tenfold: from 1 "
        f"germ to {10**truth:.0f} at the most. It may be 1.5 times more or less, and sets no date: a "
        "competent person does.",
    )


@exercise("What a few packs prove", criteria=["PLS-K06"], prepares_for=["PLS-P03"])
def what_a_few_packs_prove(draw: Draw) -> Question:
    """Work out below which count most packs lie, from a few that were counted."""
    packs = draw.pick([5, 6, 8, 10])
    mean, spread = draw.step(0.3, 1.2, 0.1), draw.step(0.12, 0.38, 0.02)
    factor = round(tolerance_factor(packs), 1)
    truth = mean + factor * spread
    return number(
        f"{packs} packs of smoked salmon were counted on their last day. The mean is {mean:.1f} log, and "
        f"the spread from pack to pack is {spread:.2f} log. For {packs} packs a table gives the factor "
        f"{factor:g}: then 95 of 100 packs lie below, and you are 95 % sure. Below which count? Give 2 "
        "decimals, in log.",
        round(truth, 4),
        "",
        abs_tol=0.02,
        slips=[
            Slip("took the mean", mean, "Half of all packs lie above the mean. Guests eat those too."),
            Slip(
                "mean and one spread",
                round(mean + spread, 3),
                "With one spread about one pack in six lies above, and so few packs tell the spread badly.",
            ),
            Slip(
                "mean and two spreads",
                round(mean + 2 * spread, 3),
                f"Two spreads would do for hundreds of packs. For {packs} the factor is {factor:g}.",
            ),
            Slip(
                "divided by the packs",
                round(mean + factor * spread / packs**0.5, 3),
                "You made the spread small, as for a mean. A guest eats one pack, not the mean.",
            ),
            Slip("left out the spread", round(mean + factor, 3), "The factor counts spreads: multiply it."),
        ],
        hints=[
            "How far above the mean? The factor times the spread.",
            f"{factor:g} × {spread:.2f}, then + mean.",
        ],
        worked=f"{mean:.1f} + {factor:g} × {spread:.2f} = {truth:.2f} log. Hold this against the limit, "
        "never the mean. More packs, and the factor falls.",
    )


_PROPOSE = "Propose this date and its figures to a competent person"
_GAP = "No date can be set: nobody knows the missing hours; ask"
_COUNTS = "No date can be set: the counts with their error pass it; ask"
_SPORES = "No date can be set: nothing holds botulinum back; ask"
_MEAN = "Set this date: the mean of the counts is below the limit"
_LOOKS = "Set this date: the packs looked and smelled right on it"
_HALF = "Set half of the days: a shorter date is always safe"
_SAYS = {
    _PROPOSE: "Hold each line against the plan once more: one of them does not stand.",
    _GAP: "Read the log again: it has no gap.",
    _COUNTS: "Read the counts again: with their error they stay below the limit.",
    _SPORES: "Read salt and store again: one of the two holds botulinum back here.",
    _MEAN: "A mean is below what half of the packs hold. And you do not set a date.",
    _LOOKS: "Neither Listeria nor botulinum toxin can be seen or smelled.",
    _HALF: "Half of a number without proof has no proof. And you do not set a date.",
}


@exercise(
    "Can a date be set?", criteria=["PLS-K06", "REC-K04"], prepares_for=["PLS-P03", "REC-P03"], version=3
)
def can_a_date_be_set(draw: Draw) -> Question:
    """Hold log, counts and salt against a plan, and say whether a date may be proposed."""
    truth = draw.pick([_PROPOSE, _GAP, _COUNTS, _SPORES])
    days, least = draw.step(7, 12, 1), draw.pick([3.2, 3.4, 3.6])
    cold = draw.chance(0.5) and truth != _SPORES
    salt = least + draw.step(0.1, 0.4, 0.1) if not cold else least - draw.step(0.2, 0.8, 0.1)
    warmest = draw.pick([2.2, 2.5, 2.8]) if cold else draw.pick([4.2, 4.8, 5.5, 6.1])
    if truth == _SPORES:
        salt = least - draw.step(0.2, 0.8, 0.1)
    mean = draw.step(0.4, 0.9, 0.1)
    top = draw.pick([2.2, 2.4, 2.7, 3.0]) if truth == _COUNTS else draw.pick([1.4, 1.5, 1.7, 1.8])
    gap = draw.step(5, 30, 1)
    log = f"The logger has no reading for {gap} h." if truth == _GAP else "The log has no gap."
    others = draw.sample([each for each in (_PROPOSE, _GAP, _COUNTS, _SPORES) if each != truth], 2)
    others += draw.sample([_MEAN, _LOOKS, _HALF], 2)
    because = {
        _PROPOSE: "Log, counts and spores: all three stand.",
        _GAP: f"{gap} h without a reading are unknown, not cold.",
        _COUNTS: f"{top:.1f} log is above 2. The mean of {mean:.1f} log hides it.",
        _SPORES: f"{salt:.1f} % is below {least:.1f} %, and {warmest:.1f} °C is above 3 °C.",
    }[truth]
    return one(
        draw,
        "Vacuum packs of smoked salmon. A made-up plan: on the last day Listeria is below 2 log, once "
        f"the error of the counts is added; and against botulinum {least:.1f} % salt or more in the water of "
        f"the weakest part, or never above 3 °C. Five packs went through store, van and home for {days} "
        f"days. {log} The warmest reading was {warmest:.1f} °C. Counts: mean {mean:.1f} log, and {top:.1f} "
        f"log with their error added. Weakest salt: {salt:.1f} %. What do you say to {days} days?",
        [right(truth), *(wrong(text, _SAYS[text]) for text in others)],
        hints=["Three things must stand: the log, the counts with their error, and one hold on botulinum.",
               "One that does not stand is enough."],
        worked=f"{because} {truth}. An apprentice never sets a date.",
    )  # fmt: skip
