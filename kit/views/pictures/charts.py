"""Charts of a cook: the record off a logger, the wet-bulb chart, the limits of each rule, two clocks.

Each takes plain data and returns a drawing. A question's picture brings its own words in ``words``, made
where its numbers were drawn; the others make their words here, from the numbers they draw.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

import numpy as np

from kit.views.pictures import ink
from kit.views.pictures.ink import AIR, CORE, SURFACE, limit_line, name_line
from kit.views.pictures.register import Drawing, picture

if TYPE_CHECKING:
    from matplotlib.axes import Axes


_ZOOMED: dict[str, Any] = {"height_ratios": (2, 1), "sharex": True}


@picture("cook-record")
def cook_record(data: Mapping[str, Any]) -> Drawing:
    """Draw a cook record: core over time, with the cabinet's air, the stated limit and notes where given.

    Parameters
    ----------
    data : mapping
        ``time_min`` and ``core_c``; and, where there are any, ``air_c``, ``surface_c``, ``limit_c``,
        ``notes`` (a list of ``{"time_min", "core_c", "says"}``), ``y_from_c`` (the lowest temperature to
        show) and ``words``. A ``None`` or NaN in a column is a gap, and is drawn as one.

    Examples
    --------
    >>> drawing = cook_record({"time_min": [0, 10, 20], "core_c": [4, 30, None], "limit_c": 60})
    >>> drawing.text
    'A cook record. Core: 4 °C at 0 min, 30 °C at 10 min, no reading at 20 min. Dashed line: limit 60 °C.'
    """
    limit_c = None if data.get("limit_c") is None else float(data["limit_c"])
    from_c = data.get("y_from_c")
    low = float(np.nanmin(np.asarray(data["core_c"], dtype=float)) if from_c is None else from_c)
    near = limit_c is not None and limit_c - low > 12 and ink.comes_near(data["core_c"], limit_c)
    figure, axes = ink.sheet(5.0 if near else 3.7, rows=2 if near else 1, **(_ZOOMED if near else {}))
    ax, below = axes if near else (axes, axes)
    time = np.asarray(data["time_min"], dtype=float)
    columns = (("air_c", "cabinet", AIR), ("surface_c", "surface", SURFACE), ("core_c", "core", CORE))
    for key, words, line in columns:
        if data.get(key) is not None:
            column = np.asarray(data[key], dtype=float)
            for each in (ax, below) if near and key == "core_c" else (ax,):
                each.plot(time, column, **line, marker="o" if time.size <= 60 else "", markersize=3.2)
            last = int(np.flatnonzero(np.isfinite(column))[-1])
            name_line(ax, time[last] + 0.015 * np.ptp(time), column[last], words)
    ax.set_xlim(time[0], time[-1] + 0.14 * np.ptp(time))
    below.set_xlabel("Minutes since the fish went in")
    ax.set_ylim(bottom=from_c)
    if limit_c is not None:
        limit_line(ax, limit_c)
    temperature_axis(ax, from_c)
    minutes_axis(ax)
    if near and limit_c is not None:
        ink.near_limit(below, limit_c)
    for note in data.get("notes", ()):
        ax.annotate(
            note["says"],
            (note["time_min"], note["core_c"]),
            xytext=(0, -44),
            textcoords="offset points",
            ha="center",
            va="top",
            fontsize=ink.WORDS_PT,
            arrowprops={"arrowstyle": "->", "color": ink.INK, "linewidth": 1.1},
        )
    return Drawing(figure, data.get("words") or record_words(data))


def record_words(data: Mapping[str, Any]) -> str:
    """Return a record's core column in words, at most about fifteen readings, and its limit.

    Examples
    --------
    >>> record_words({"time_min": [0, 5], "core_c": [4.0, 9.5]})
    'A cook record. Core: 4 °C at 0 min, 9.5 °C at 5 min.'
    """
    rows = list(zip(data["time_min"], data["core_c"], strict=True))
    shown = rows[:: max(1, len(rows) // 15)]
    told = ", ".join(
        f"{core:.3g} °C at {minute:g} min"
        if core is not None and core == core
        else f"no reading at {minute:g} min"
        for minute, core in shown
    )
    limit = f" Dashed line: limit {data['limit_c']:g} °C." if data.get("limit_c") is not None else ""
    return f"A cook record. Core: {told}.{limit}"


@picture("wet-bulb-chart")
def wet_bulb_chart(data: Mapping[str, Any]) -> Drawing:
    """Draw how hot a wet surface can get, against humidity, for one to three cabinet temperatures.

    Parameters
    ----------
    data : mapping
        ``rh_pct`` (the axis) and ``curves``: a list of ``{"air_c", "wet_bulb_c"}``; perhaps ``words``.

    Examples
    --------
    >>> chart = wet_bulb_chart({"rh_pct": [20, 60], "curves": [{"air_c": 72, "wet_bulb_c": [43.2, 61.4]}]})
    >>> chart.text
    'How hot a wet surface can get. In a cabinet at 72 °C: 43 °C at 20 % humidity, 61 °C at 60 % humidity.'
    """
    figure, ax = ink.sheet(3.7)
    rh = np.asarray(data["rh_pct"], dtype=float)
    told = ["How hot a wet surface can get."]
    for curve, line in zip(data["curves"], ink.LINES, strict=False):
        wet = np.asarray(curve["wet_bulb_c"], dtype=float)
        ax.plot(rh, wet, **line)
        name_line(ax, rh[-1] + 1, wet[-1], f"cabinet\n{curve['air_c']:g} °C")
        readings = ", ".join(
            f"{w:.0f} °C at {r:g} % humidity" for r, w in zip(rh, wet, strict=True) if r % 10 == 0
        )
        told.append(f"In a cabinet at {curve['air_c']:g} °C: {readings}.")
    ax.set_xlim(rh[0], rh[-1] + 0.17 * float(np.ptp(rh)))
    ax.set_xticks(np.arange(np.ceil(rh[0] / 10) * 10, rh[-1] + 1, 10))
    ax.set_xlabel("Relative humidity in the cabinet [%]")
    temperature_axis(ax, None)
    ax.set_ylabel("A wet surface can reach [°C]")
    return Drawing(figure, data.get("words") or " ".join(told))


@picture("limits-at-a-glance")
def limits_at_a_glance(data: Mapping[str, Any]) -> Drawing:
    """Draw each rule as a point (temperature, hold) beside the line of equal kill of Listeria.

    Parameters
    ----------
    data : mapping
        Nothing is needed: the line comes from `kit.process.microbes`, the points are those of the rules.

    Examples
    --------
    >>> "62.8 °C for 30 min" in limits_at_a_glance({}).text
    True
    """
    from kit.process.microbes import death

    figure, ax = ink.sheet(4.4)
    for low, high, dash in ((60.0, 72.0, "-"), (57.0, 60.0, (0, (3, 2)))):
        temp = np.linspace(low, high, 60)
        minutes = [death.six_d_minutes("listeria", float(t), extrapolate=True) for t in temp]
        ax.plot(temp, minutes, color=CORE["color"], linewidth=2.2, linestyle=dash)
    for words, at_c, hold_min, says, place in RULES_AT_A_GLANCE:
        ax.plot([at_c], [hold_min], marker="D", markersize=9, color=SURFACE["color"], mec=ink.INK, ls="")
        right = place in ("right", "under")
        ax.annotate(
            f"{words}\n{says}",
            (at_c, hold_min),
            xytext=(11 if right else -11, {"right": 0, "under": -13}.get(place, -12)),
            textcoords="offset points",
            ha="left" if right else "right",
            va="center",
            fontsize=ink.WORDS_PT,
            linespacing=1.3,
        )
    ax.set(xlim=(56.5, 72), yscale="log", ylim=(0.15, 220))
    ax.set_yticks(
        [0.25, 1, 2, 5, 10, 30, 60, 120],
        ["15 s", "1 min", "2 min", "5 min", "10 min", "30 min", "1 h", "2 h"],
    )
    ax.minorticks_off()
    ax.set(xlabel="Core temperature [°C]", ylabel="Kept for")
    ax.annotate(
        "blue line: the same kill\nof Listeria everywhere",
        (58.4, 74),
        xytext=(60.4, 130),
        va="center",
        fontsize=ink.WORDS_PT,
        color=CORE["color"],
        fontweight="bold",
        arrowprops={"arrowstyle": "->", "color": CORE["color"]},
    )
    points = "; ".join(f"{words}: {says}" for words, _, _, says, _ in RULES_AT_A_GLANCE)
    line = ", ".join(
        f"{death.six_d_minutes('listeria', t, extrapolate=True):.0f} min at {t:g} °C"
        for t in (57.0, 60.0, 63.0, 70.0)
    )
    return Drawing(
        figure,
        f"Rules as points: {points}. A line joins holds that kill Listeria equally: {line}. "
        "It is dashed below 60 °C, where no published table was seen.",
    )


RULES_AT_A_GLANCE = (  # whose, core [°C], hold [min], in words, where the words go
    ("EU and UK, parasites", 60.0, 1.0, "60 °C for 1 min", "under"),
    ("US, smoked fish (Michigan)", 62.8, 30.0, "62.8 °C for 30 min", "right"),
    ("US, restaurant fish", 63.0, 0.25, "63 °C for 15 s", "right"),
    ("UK, cooking advice", 70.0, 2.0, "70 °C for 2 min", "left"),
)


@picture("two-clocks")
def two_clocks(data: Mapping[str, Any]) -> Drawing:
    """Draw one cook of a thin and a thick piece: smoke ends by the clock, the cook by the core.

    Parameters
    ----------
    data : mapping
        Nothing is needed: the cook is simulated. ``limit_c`` moves the dashed line (63 °C if not given).

    Examples
    --------
    >>> two_clocks({}).text.startswith("A cook of two pieces")
    True
    """
    from kit.views.pictures.simulated import pair_of_cooks

    limit_c, smoke_min = float(data.get("limit_c", 63.0)), 25.0
    figure, ax = ink.sheet(3.7)
    ax.axvspan(0, smoke_min, color=ink.WINDOW, zorder=0)
    told = [f"A cook of two pieces. Smoke until {smoke_min:g} min, then cook."]
    for (name, time, core), line in zip(pair_of_cooks(smoke_min), (SURFACE, CORE), strict=True):
        ax.plot(time, core, **line)
        name_line(ax, time[-1] + 1, core[-1] + (1.6 if line is SURFACE else -1.6), name)
        over = np.flatnonzero(core >= limit_c)
        if over.size:
            ax.plot(
                [time[over[0]]], [core[over[0]]], marker="o", markersize=9, color=line["color"], mec=ink.INK
            )
            told.append(f"The {name} piece reaches {limit_c:g} °C at {time[over[0]]:.0f} min.")
    ax.set(xlim=(0, time[-1] * 1.17), xlabel="Minutes since the fish went in")
    temperature_axis(ax, 0)
    minutes_axis(ax)
    limit_line(ax, limit_c)
    top = ax.get_ylim()[1]
    ax.text(smoke_min / 2, top, "SMOKE\nby clock", ha="center", va="top", fontsize=ink.WORDS_PT)
    ax.text(smoke_min + 2, top, "COOK\nby core", ha="left", va="top", fontsize=ink.WORDS_PT)
    return Drawing(figure, " ".join(told))


def temperature_axis(ax: Axes, from_c: float | None) -> None:
    """Name the upright axis, leave room at the top, and set ticks at steps a cook can read."""
    ax.set_ylabel("Temperature [°C]")
    low, high = ax.get_ylim()
    low = low if from_c is None else from_c
    ax.set_ylim(low, high + 0.1 * (high - low))
    low, high = ax.get_ylim()
    step = next(step for most, step in ((12, 1), (24, 2), (50, 5), (1e9, 10)) if high - low <= most)
    ax.set_yticks(np.arange(np.ceil(low / step) * step, high, step))


def minutes_axis(ax: Axes) -> None:
    """Set ticks at 5, 10 or 20 minutes, by the length of the record; a long one gets hours."""
    low, high = ax.get_xlim()
    step = next(step for most, step in ((65, 5), (140, 10), (300, 20), (1e9, 60)) if high - low <= most)
    ax.set_xticks(np.arange(np.ceil(low / step) * step, high, step))
    if step == 60:
        ax.set_xticks(np.arange(np.ceil(low / 20) * 20, high, 20), minor=True)
        ax.grid(True, which="minor", axis="x", color="#e4ddcf", linewidth=0.7)
