"""Explorer of lesson 3: what the air of the drying room does to the weight and the face of a fillet."""

from collections.abc import Mapping
from typing import Any

import numpy as np

from kit.exercises.lesson_03.air import dried
from kit.exercises.lesson_03.pellicle import LIMIT_C
from kit.process.day import wetness
from kit.process.steps.pellicle import Dried
from kit.views.pictures import ink
from kit.views.pictures.ink import name_line
from kit.views.pictures.register import Drawing, Predict, Slider, explorer

SET_AT = 0.6
"""Wetness of the face at or below which we call the pellicle set. Ours, no source."""

CRUST_STARTS_AT = 0.1
"""Water activity of the inside less that of the face: one half of what `Dried.case_hardened` asks for."""


@explorer(
    "drying-air",
    title="What does the air do to the fish?",
    intro="A 22 mm char fillet hangs on a rack. Set the air and the hours. Water activity 1 is pure water.",
    controls=(
        Slider("rh_pct", "Humidity at the fish", "%", 20, 90, 5, 80),
        Slider("speed_m_s", "Air speed", "m/s", 0.5, 5, 0.5, 1),
        Slider("hours", "Hours in moving air", "h", 1, 16, 1, 10, plays=True),
        Slider("air_c", "Air temperature", "°C", 4, 30, 1, 4),
    ),
    predict=Predict(
        "The humidity is 80 %. What dries the fish more?",
        ("Air of 70 %", "Fans half as fast again", "Both the same"),
        "Set 70 % and read the loss. Go back to 80 %, then set 1.5 m/s.",
        ("", "The drier air took 1.7 %, the fans 1.2 %", "The drier air took 1.7 %, the fans 1.2 %"),
    ),
)
def drying_air(settings: Mapping[str, Any]) -> Drawing:
    """Draw weight loss over the hours, and how wet the face and the inside are.

    Examples
    --------
    >>> start = {"rh_pct": 80, "speed_m_s": 1, "hours": 10, "air_c": 4}
    >>> drying_air(start).facts[1]
    'Face: the pellicle is set.'
    """
    rh, speed, hours, air_c = (float(settings[key]) for key in ("rh_pct", "speed_m_s", "hours", "air_c"))
    night = dried("char, farmed", 22.0, air_c, rh, speed, hours)
    figure, (left, right) = ink.sheet(3.6, columns=2)
    time = night.trace.time_min / 60
    mass = np.asarray(night.trace.mass_g, dtype=float)
    loss = 100 * (mass[0] - mass) / mass[0]
    left.plot(time, loss, **ink.LINES[0])
    left.set_ylim(min(0.0, float(loss.min()) * 1.1), max(3.0, float(loss.max()) * 1.1))
    left.set_ylabel("Weight loss [%]")
    right.plot(time, night.inside_activity, **ink.LINES[1])
    right.plot(time, night.surface_activity, **ink.LINES[0])
    name_line(right, 0.97 * hours, night.inside_activity[-1] + 0.06, "inside", ha="right")
    name_line(right, 0.97 * hours, night.surface_activity[-1] - 0.08, "face", ha="right")
    right.set(ylim=(0, 1.15), ylabel="Water activity")
    for ax in (left, right):
        ax.set(xlim=(0, hours), xlabel="Hours in moving air")
        ax.xaxis.get_major_locator().set_params(integer=True)
    fish_c = float(night.trace.core_c[-1])
    facts = (
        f"Weight loss: {night.loss_pct:.1f} %."
        if night.loss_pct > -0.05
        else f"Water settles on the fish: {-night.loss_pct:.1f} % heavier.",
        f"Face: {face(night)}.",
        f"The fish is at {fish_c:.1f} °C in air of {air_c:g} °C"
        + (": too warm, and the clock runs." if fish_c > LIMIT_C else "."),
        "This is a model. Feel the face, and weigh a marked rack.",
    )
    words = f"A fillet after {hours:g} h in air of {air_c:g} °C, {rh:g} % humidity and {speed:g} m/s."
    return Drawing(figure, f"{words} {' '.join(facts)}", facts)


def face(night: Dried) -> str:
    """Return in words how the face is: still wet, a pellicle, or a crust.

    Examples
    --------
    >>> face(dried("char, farmed", 22.0, 4.0, 80.0, 1.0, 1.0))
    'still wet'
    """
    if night.case_hardened:
        return "a crust, with a wet inside"
    if night.activity_gap > CRUST_STARTS_AT:
        return "far drier than the inside, and a crust begins"
    return "the pellicle is set" if wetness(night) <= SET_AT else "still wet"
