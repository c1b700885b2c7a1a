"""Lesson 5, reaching is not holding: tables, equal treatments, credit for minutes, a record to read."""

from itertools import pairwise
from math import ceil

from kit import rules
from kit.exercises.engine import exercise
from kit.exercises.engine.whose_rule import by_that_text, cook_card
from kit.marking.build import chart, number
from kit.marking.draw import Draw
from kit.marking.model import Picture, Question, Slip
from kit.process.microbes.inactivation import heat_table
from kit.rules import Profile

UK_LIST = ((60, 45.0), (65, 10.0), (70, 2.0), (75, 0.5), (80, 0.1))
"""Core [°C] and minutes that the UK cooking advice (`uk-cooking-advice`) counts as equal."""

_UK = rules.load("uk")
_UK_RULE = _UK.answering("cook")[0]
_EQUAL = rules.load("ie").answering("cook")[0].equal
TABLE_FROM_C = _EQUAL.table_from_c if _EQUAL else 70.0
"""Where the published table of Listeria begins: no kill is proven below. [°C]"""

_UNREAD = "" if heat_table("listeria").seen else f" ({rules.FROM_MEMORY})"
_LIST_WORDS = "60 °C for 45 min, 65 °C for 10 min, 70 °C for 2 min, 75 °C for 30 s, 80 °C for 6 s"


def on_the_line(core_c: float) -> float:
    """Return what a straight line between two rows of the UK list would say. [min]

    It is a slip, not a method: the true line bends.

    Examples
    --------
    >>> on_the_line(62.5)
    27.5
    """
    for (low_c, low_min), (high_c, high_min) in pairwise(UK_LIST):
        if low_c <= core_c <= high_c:
            return low_min + (core_c - low_c) / (high_c - low_c) * (high_min - low_min)
    raise ValueError(core_c)


@exercise("Find a safe hold in a table", criteria=["COK-K02"], prepares_for=["COK-P02"], version=4)
def hold_from_the_list(draw: Draw, profile: Profile) -> Question:
    """The core sits between two rows: the row below is the one that the table proves."""
    (low_c, low_min), (high_c, high_min) = draw.pick([*pairwise(UK_LIST)])
    core_c = low_c + draw.step(1.0, high_c - low_c - 0.5, 0.5)
    line = on_the_line(core_c)
    return number(
        f"In the United Kingdom, advice on cooking lists equal holds: {_LIST_WORDS}. "
        f"{by_that_text(_UK_RULE, _UK, profile)} The core stays at {core_c:g} °C, and no row says that. "
        "How many minutes of hold does the list, as it stands, ask for?",
        low_min,
        "min",
        one_sided="at least",
        far=low_min * 1.2,
        slips=[
            Slip(
                "took the row above",
                high_min,
                f"That row is for a hotter core. At {core_c:g} °C the kill is slower, so you need the "
                "longer time.",
            ),
            Slip(
                "straight line between rows",
                round(line, 2),
                "You drew a straight line between two rows. Kill does not follow a straight line, "
                "and the list does not show that number. Use the row below.",
            ),
        ],
        hints=[
            "Find the two rows around your temperature.",
            "Hotter kills faster. Which of the two rows is surely long enough?",
        ],
        worked=f"{core_c:g} °C lies above {low_c} °C. The core was always hotter than {low_c} °C, "
        f"so the {low_c} °C row is surely enough: {low_min:g} min.",
    )


@exercise("Work out an equal hold", criteria=["COK-K02"], prepares_for=["COK-P02"], version=3, model=True)
def equal_hold(draw: Draw) -> Question:
    """Move 2 min at 70 °C to a lower core, by ten times for each 7.5 °C."""
    from kit.process.microbes.death import six_d_minutes

    core_c = draw.pick([63.0, 63.5, 64.0, 64.5, 65.5, 66.0, 66.5, 67.0, 67.5])
    exact = six_d_minutes("listeria", core_c, extrapolate=True)
    need = float(ceil(exact))
    return number(
        f"A sum from a model, no rule: a target is as good as 2 min at 70 °C. Your core will stay at "
        f"{core_c:g} °C. Each 7.5 °C below 70 °C needs 10 times as many minutes. "
        "How many whole minutes is that? Round up. You may use the explorer or a calculator.",
        need,
        "min",
        one_sided="at least",
        far=need + 0.5,
        decimals=0,
        slips=[
            Slip(
                "rounded down",
                need - 1,
                "You rounded down. One minute short is short: a hold is always rounded up.",
            ),
            Slip(
                "straight line between rows",
                round(on_the_line(core_c), 1),
                "You read a straight line between two rows of a table. The minutes do not fall in a straight "
                "line. They fall ten times for each 7.5 °C.",
            ),
            Slip(
                "no change",
                2.0,
                "2 min is the hold at 70 °C. A cooler core kills more slowly, so it needs longer.",
            ),
        ],
        hints=[
            f"How many degrees below 70 °C is {core_c:g} °C? Divide that by 7.5.",
            "Raise 10 to that power, then multiply by 2 min. Or set the explorer to your core temperature.",
        ],
        worked=f"(70 − {core_c:g}) ÷ 7.5 = {(70 - core_c) / 7.5:.2f}. "
        f"2 min × 10 to the power {(70 - core_c) / 7.5:.2f} = {exact:.1f} min. Rounded up: {need:g} min. "
        "This is a sum from a model. Your card still needs a limit that someone competent has approved.",
    )


@exercise(
    "Add up what each minute is worth", criteria=["COK-K02"], prepares_for=["COK-P02"], version=4, model=True
)
def credit_each_minute(draw: Draw) -> Question:
    """Three steps of a log, each minute credited at its own temperature, and none below the table."""
    from kit.process.microbes.death import lethal_rate

    temps = draw.pick([(60, 64, 65), (60, 64, 67), (61, 64, 66), (62, 65, 67), (64, 66, 67), (64, 65, 68)])
    minutes = (draw.step(6, 14, 2), draw.step(4, 8, 1), draw.step(2, 5, 1))
    worth = [round(lethal_rate(temp, 70.0, 7.5), 2) for temp in temps]
    proven = [each if temp >= TABLE_FROM_C else 0.0 for temp, each in zip(temps, worth, strict=True)]
    total, below = (
        sum(each * value for each, value in zip(minutes, credit, strict=True)) for credit in (proven, worth)
    )
    mean_c = sum(t * m for t, m in zip(temps, minutes, strict=True)) / sum(minutes)
    rows = "; ".join(
        f"{m} min at {t} °C, where 1 min counts as {w:.2f} min"
        for t, m, w in zip(temps, minutes, worth, strict=True)
    )
    sums = " + ".join(f"{m} × {w:.2f}" for m, w in zip(minutes, proven, strict=True) if w)
    return number(
        f"A minute at a lower core counts for less than a minute at 70 °C. The log shows: {rows}. "
        f"The published table behind this model begins at {TABLE_FROM_C:g} °C{_UNREAD}. "
        "How many minutes at 70 °C does this log prove in all, by that table alone? Give 2 decimals.",
        round(total, 2),
        "min",
        abs_tol=0.03,
        decimals=2,
        edges=(2.0,),
        slips=[
            Slip(
                "counted every minute in full",
                float(sum(minutes)),
                "You counted every minute in full. At a lower core a minute kills less, so it counts "
                "for less.",
            ),
            Slip(
                "averaged the temperature first",
                round(sum(minutes) * lethal_rate(mean_c, 70.0, 7.5), 2),
                "You averaged the temperatures first. The hot minutes do far more than the cool ones. "
                "Work out each step, then add.",
            ),
            Slip(
                "only the hottest step",
                round(minutes[-1] * worth[-1], 2),
                "You counted the hottest step only. Each step that the table covers counts for a little.",
            ),
            *(
                [
                    Slip(
                        "credited below the table",
                        round(below, 2),
                        f"You counted minutes below {TABLE_FROM_C:g} °C. No published figure stands behind "
                        "them: they prove nothing.",
                    )
                ]
                if below > total
                else []
            ),
        ],
        hints=[
            "Which steps does the table cover? For each: minutes × what 1 min counts for.",
            "Then add the results.",
        ],
        worked=f"{'' if below == total else f'Below {TABLE_FROM_C:g} °C nothing is proven. '}"
        f"{sums} = {total:.2f} min at 70 °C. "
        + (
            "That is 2 min or more."
            if total >= 2
            else "That is less than 2 min, so it is not equal to 2 min at 70 °C."
        ),
    )


@exercise("Read the longest hold off a record", criteria=["COK-K04"], prepares_for=["COK-P02"], version=3)
def longest_hold(draw: Draw, profile: Profile) -> Question:
    """Two stretches above the limit with a dip between them: only the longer one counts."""
    card = cook_card(draw, profile, least_min=8)
    limit_c, need = card.core_c, card.minutes
    come_up, dip = int(draw.step(25, 45, 5)), draw.pick([10, 15])
    longest = draw.pick([each for each in (15, 20, 25, 30, 35, 40, 45, 50) if each != need])
    shorter = int(draw.step(10, longest - 5, 5))
    first, second = draw.shuffle([longest, shorter])
    time, core = _two_stretches(draw, limit_c, come_up, first, dip, second)
    data = {"time_min": time, "core_c": core, "limit_c": limit_c, "y_from_c": limit_c - 9}
    return chart(
        f"The card says: {card.words}. {card.whose} The logger writes the core every 5 min. "
        f"What is the longest time without a break at or above {limit_c:g} °C? "
        "Count from the first reading at or above the limit to the last one before it drops.",
        float(longest),
        "min",
        Picture("cook-record", data, _record_text(time, core, limit_c)),
        abs_tol=1.0,
        edges=(float(need),),
        slips=[
            Slip(
                "added both stretches",
                float(first + second),
                "You added the two stretches. The core fell below the limit between them, so the clock "
                "starts again.",
            ),
            Slip(
                "counted over the dip",
                float(first + dip + second),
                "You counted from the first reading above to the last, dip and all. Below the limit "
                "nothing counts.",
            ),
            Slip(
                "took the shorter one",
                float(shorter),
                "That is one of the two stretches. The other one is longer.",
            ),
            Slip(
                "clock from the wrong start",
                float(come_up + first),
                "You started the clock when the fish went in. The hold starts when the core reaches "
                "the limit.",
            ),
        ],
        hints=[
            "Put your finger on the dashed line. Where does the core cross it, up and down?",
            "There are two stretches above the line. Measure each one. Do not add them.",
        ],
        worked=f"Above the line there are {first} min, then a dip of {dip} min, then {second} min. "
        f"The longest hold is {longest} min. The card asks for {need:g} min.",
    )


def _two_stretches(
    draw: Draw, limit_c: float, come_up: int, first: int, dip: int, second: int
) -> tuple[list[float], list[float]]:
    """Return a record every 5 min: below until ``come_up``, above, a dip, above again, and then below."""
    end = come_up + first + dip + second
    time = [float(minute) for minute in range(0, end + 11, 5)]
    core = []
    for minute in time:
        lift = draw.step(0.7, 1.9, 0.1)
        if minute < come_up:
            low = limit_c - 58 * ((come_up - minute) / come_up) ** 1.5
            core.append(round(min(low, limit_c - 1.2), 1))
        elif minute <= come_up + first or come_up + first + dip <= minute <= end:
            core.append(round(limit_c + lift, 1))
        else:
            core.append(round(limit_c - lift - 0.4, 1))
    return time, core


def _record_text(time: list[float], core: list[float], limit_c: float) -> str:
    told = "; ".join(f"{value:g} °C at {minute:g} min" for minute, value in zip(time, core, strict=True))
    return f"A core record every 5 min: {told}. A dashed line marks {limit_c:g} °C."
