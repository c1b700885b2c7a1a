"""Explorer of lesson 5: core and surface over time, for any thickness, cabinet, humidity and surface."""

from collections.abc import Mapping
from typing import Any

import numpy as np

from kit.process.steps.cook import first_reached
from kit.views.pictures import ink
from kit.views.pictures.ink import AIR, CORE, SURFACE, name_line
from kit.views.pictures.register import Choice, Drawing, Predict, Slider, explorer
from kit.views.pictures.simulated import steady_cook

MINUTES = 120.0


@explorer(
    "core-and-surface",
    title="How does the heat reach the core?",
    intro="A piece of char at 4 °C goes into a hot cabinet. Change one thing at a time.",
    controls=(
        Slider("thickness_mm", "Thickness", "mm", 12, 40, 1, 26),
        Slider("cabinet_c", "Cabinet", "°C", 60, 95, 1, 72),
        Slider("rh_pct", "Relative humidity", "%", 15, 75, 5, 30),
        Choice(
            "surface", "Surface", (("wet", "wet"), ("pellicle", "with a pellicle"), ("dry", "dry")), "wet"
        ),
    ),
    predict=Predict(
        "The cabinet is at 72 °C with 30 % humidity. The fish is wet. How hot is its core after 2 h?",
        ("About 72 °C", "About 63 °C", "About 50 °C"),
        "Look where the core stops. Then choose the dry surface, or raise the humidity.",
        ("About 23 °C too high", "About 14 °C too high", ""),
    ),
)
def core_and_surface(settings: Mapping[str, Any]) -> Drawing:
    """Draw the core, the surface and the air over 2 h.

    Examples
    --------
    >>> start = {"thickness_mm": 26, "cabinet_c": 72, "rh_pct": 30, "surface": "wet"}
    >>> core_and_surface(start).facts[0]
    'Core after 2 h: 49 °C.'
    """
    thickness_mm, cabinet_c, rh_pct = (
        float(settings[key]) for key in ("thickness_mm", "cabinet_c", "rh_pct")
    )
    dry = settings["surface"] == "dry"
    done = steady_cook(thickness_mm, cabinet_c, rh_pct, settings["surface"], MINUTES)
    time, core, surface = done.trace.time_min, done.trace.core_c, done.trace.surface_c
    assert surface is not None  # a simulated trace has its surface
    figure, ax = ink.sheet(3.8)
    ax.axhline(cabinet_c, **AIR)
    ax.plot(time, surface, **SURFACE)
    ax.plot(time, core, **CORE)
    name_line(ax, MINUTES + 2, cabinet_c, "cabinet")
    low, high = sorted((float(core[-1]), float(surface[-1])))
    apart = max(0.0, 5.0 - (high - low)) / 2
    core_first = core[-1] <= surface[-1]
    name_line(ax, MINUTES + 2, low - apart, "core" if core_first else "surface")
    name_line(ax, MINUTES + 2, min(high + apart, cabinet_c - 5), "surface" if core_first else "core")
    ax.set(xlim=(0, MINUTES * 1.16), ylim=(0, 100), yticks=range(0, 101, 10), xticks=range(0, 121, 20))
    ax.set(xlabel="Minutes in the cabinet", ylabel="Temperature [°C]")
    reached = first_reached(time, core, 63.0)
    stall = "A dry surface can go on to the temperature of the cabinet."
    if not dry:
        stall = f"While it is this wet, the surface cannot pass {done.ceiling_c:.0f} °C in this air."
    facts = (
        f"Core after 2 h: {core[-1]:.0f} °C.",
        f"Core at 63 °C after {reached:.0f} min." if reached else "The core does not reach 63 °C in 2 h.",
        f"{stall} This is a model, not your cabinet: use the probe.",
    )
    told = "; ".join(
        f"at {at} min the core is at {np.interp(at, time, core):.0f} °C "
        f"and the surface at {np.interp(at, time, surface):.0f} °C"
        for at in (15, 30, 60, 90, 120)
    )
    return Drawing(figure, f"A {thickness_mm:g} mm piece in a cabinet at {cabinet_c:g} °C: {told}.", facts)
