"""Explorer of lesson 7: what loading and ash clearing add to the carbon monoxide of a shift."""

from collections.abc import Mapping
from typing import Any

from kit import rules
from kit.exercises.lesson_07.gas_rule import gas_limit
from kit.exercises.lesson_07.safe import steady_log
from kit.process.physics import smoke
from kit.views.pictures import ink
from kit.views.pictures.ink import CORE, name_line
from kit.views.pictures.register import Drawing, Predict, Slider, explorer

SHIFT_MIN, BEFORE_MIN = 480, 60


@explorer(
    "breathing-the-smoke",
    title="What does one smoky job add to a shift?",
    intro="A shift of 8 h with one smoky job in it. Set how long it takes, and how much gas is in the air.",
    controls=(
        Slider("job_min", "The smoky job takes", "min", 0, 120, 5, 30),
        Slider("job_ppm", "Carbon monoxide in the job", "ppm", 0, 300, 10, 120),
        Slider("rest_ppm", "For the rest of the shift", "ppm", 0, 30, 1, 3),
    ),
    predict=Predict(
        "A job of 30 min at 120 ppm, and 3 ppm for the rest of the 8 h. Which limit is broken?",
        ("Neither", "Only the one over 15 min", "Only the one over 8 h", "Both"),
        "Compare the two averages with their limits. One bad half hour is enough.",
        (
            "One is: 120 ppm over 15 min, and the limit is 100 ppm",
            "",
            "That average is 10 ppm, and the limit is 20 ppm",
            "Only one is: the average over 8 h is 10 ppm of 20 ppm",
        ),
    ),
)
def breathing_the_smoke(settings: Mapping[str, Any]) -> Drawing:
    """Draw the level over a shift, and its two averages beside their limits.

    Examples
    --------
    >>> breathing_the_smoke({"job_min": 30.0, "job_ppm": 120.0, "rest_ppm": 3.0}).facts[0]
    'Worst 15 min: 120 ppm on average. Limit 100 ppm: broken.'
    """
    job_min, job_ppm, rest_ppm = (float(settings[key]) for key in ("job_min", "job_ppm", "rest_ppm"))
    after = SHIFT_MIN - BEFORE_MIN - job_min
    stretches = [(float(BEFORE_MIN), rest_ppm), (job_min, job_ppm), (after, rest_ppm)]
    time, level = steady_log([each for each in stretches if each[0] > 0])
    found = smoke.exposure(time, level)
    figure, (above, below) = ink.sheet(4.4, rows=2, height_ratios=(1.5, 1.0))
    hours = [minute / 60 for minute in time]
    above.plot(hours, level, **CORE)
    above.fill_between(hours, level, color=CORE["color"], alpha=0.15)
    above.set(xlim=(0, 8), xticks=range(9), ylim=(0, max(60.0, 1.15 * max(level))))
    above.set(xlabel="Hours of the shift", ylabel="In the air [ppm]")
    facts = _averages(below, found)
    facts.append("A sum, not a measurement. Alarm or headache: get out, warn all, and stay out.")
    words = (
        f"A shift of 8 h. A job of {job_min:g} min at {job_ppm:g} ppm, and {rest_ppm:g} ppm for the rest. "
        + " ".join(facts)
    )
    return Drawing(figure, words, tuple(facts))


def _averages(ax: Any, found: smoke.Exposure) -> list[str]:
    """Draw both averages as shares of their limits, and say how each stands."""
    facts: list[str] = []
    for row, (start, mean, average) in enumerate(
        (("Over 8 h", found.eight_hour_ppm, "8h"), ("Worst 15 min", found.fifteen_min_ppm, "15min"))
    ):
        limit, _ = gas_limit(average, rules.load("ie"))
        broken = round(mean, 1) > limit
        bar = min(mean / limit, 2.9)
        colour = ink.LINES[1 if broken else 2]["color"]
        ax.barh(row, bar, height=0.5, color=colour, hatch="//" if broken else "", edgecolor=ink.INK)
        name_line(ax, max(bar, 1.0) + 0.05, row, f"{mean:.0f} of {limit:g} ppm")
        verdict = "broken" if broken else "not broken, by this sum"
        facts.insert(0, f"{start}: {mean:.0f} ppm on average. Limit {limit:g} ppm: {verdict}.")
    ax.axvline(1, color=ink.INK, linewidth=1.4, linestyle=(0, (2, 2)))
    ax.set_yticks([0, 1], ["8 h", "worst\n15 min"])
    ax.set(xlim=(0, 3.6), ylim=(-0.6, 1.6))
    ax.set_xticks([0, 1, 2, 3], ["0", "limit", "2 times", "3 times"])
    ax.set_xlabel("Average against its limit in Ireland")
    return facts
