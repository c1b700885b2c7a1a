"""Pictures of lesson 4: the wood list on its rack, a smouldering tray, and how long its smoke lasts."""

from collections.abc import Mapping, Sequence
from textwrap import wrap
from typing import Any

from kit.process.physics.wood import Wood, woods
from kit.views.pictures import ink
from kit.views.pictures.drawings import STEEL, svg_drawing, svg_line, svg_text
from kit.views.pictures.ink import AIR, CORE, name_line
from kit.views.pictures.register import Drawing, picture

WIDE = 760
USE, REFUSE = "#d8e8e4", "#f6dccf"


@picture("wood-rack")
def wood_rack(data: Mapping[str, Any]) -> Drawing:
    """Draw the wood list as two racks of labels: what to use, and what to refuse.

    Examples
    --------
    >>> text = wood_rack({}).text
    >>> "beech" in text.split("Refuse")[0], "yew" in text.split("Refuse")[1]
    (True, True)
    """
    use, refuse = (tuple(each for each in woods() if each.usable is fit) for fit in (True, False))
    left, low_left = _rack(14, 330, "USE, if dry, clean and untreated", use, USE, 40)
    right, low_right = _rack(358, 388, "REFUSE", refuse, REFUSE, 47)
    low = max(low_left, low_right) + 34
    rule = "Not on the list? Refuse it."
    body = [*left, *right, svg_text(WIDE / 2, low, rule, anchor="middle", weight="700")]
    words = (
        f"The wood list. Use, if dry, clean and untreated: {_told(use)}. Refuse: {_told(refuse)}. "
        "A wood that is not on the list is refused."
    )
    return Drawing(svg_drawing(WIDE, int(low + 20), body, words), words)


def _told(listed: Sequence[Wood]) -> str:
    return "; ".join(", ".join(each.names) for each in listed)


def _rack(
    x: float, wide: float, title: str, listed: Sequence[Wood], colour: str, letters: int
) -> tuple[list[str], float]:
    body, top = [svg_text(x, 32, title, weight="700")], 44.0
    for each in listed:
        lines = wrap(", ".join(each.names), letters)
        tall = 10 + 19 * len(lines)
        body.append(
            f'<rect x="{x:.0f}" y="{top:.0f}" width="{wide:.0f}" height="{tall}" rx="4" fill="{colour}" '
            f'stroke="{STEEL}" stroke-width="1"/>'
        )
        for row, line in enumerate(lines):
            body.append(svg_text(x + 12, top + 20 + 19 * row, line, size=15))
        top += tall + 5
    return body, top


@picture("smoulder-zones")
def smoulder_zones(data: Mapping[str, Any]) -> Drawing:
    """Draw chips on a tray: ash, the glow, the zone that makes smoke, the zone that dries, fresh chips.

    Examples
    --------
    >>> smoulder_zones({}).text.startswith("Chips on a tray")
    True
    """
    zones = (
        ("ash", "burnt out", "#e6e2da"),
        ("glow", "hottest, no flame", "#e0793f"),
        ("smoke zone", "wood breaks up", "#8a6a4d"),
        ("drying zone", "water leaves", "#c9ab84"),
        ("fresh chips", "not hot yet", "#ead9ba"),
    )
    wide, body = 140, [svg_text(WIDE / 2, 34, "The glow creeps this way", anchor="middle", size=15)]
    body += [
        svg_line(240, 50, 512, 50, ink.INK, 2.5),
        f'<path d="M522 50 l-12 -6 l0 12 Z" fill="{ink.INK}"/>',
    ]
    for place, (name, says, colour) in enumerate(zones):
        x = 30 + wide * place
        body.append(f'<rect x="{x}" y="130" width="{wide}" height="62" fill="{colour}" stroke="#ffffff"/>')
        body.append(svg_text(x + wide / 2, 228, name, anchor="middle", size=15, weight="700"))
        body.append(svg_text(x + wide / 2, 250, says, anchor="middle", size=15))
    for x, colour, rises in ((380, "#5d666b", "smoke"), (520, "#7fa3b5", "steam")):
        for shift in (-26, 0, 26):
            body.append(
                f'<path d="M{x + shift} 124 q-9 -12 0 -24 q9 -12 0 -22" fill="none" stroke="{colour}" '
                'stroke-width="3"/>'
            )
        body.append(svg_text(x + 42, 104, rises, size=15))
    body.append(svg_line(24, 197, WIDE - 24, 197, STEEL, 7))
    words = "Chips on a tray, from the side. From behind: " + "; ".join(
        f"{name}, {says}" for name, says, _ in zones
    )
    words += ". Steam rises where chips dry. Smoke rises next to the glow."
    return Drawing(svg_drawing(WIDE, 270, body, words), words)


@picture("chips-for-time")
def chips_for_time(data: Mapping[str, Any]) -> Drawing:
    """Draw the chips to weigh against minutes of smoke, a line for each tray with its name at its end.

    Parameters
    ----------
    data : mapping
        ``time_min`` (the axis), ``curves`` (a list of ``{"name", "values"}``) and ``words``.

    Examples
    --------
    >>> line = {"name": "100 cm²", "values": [0, 200]}
    >>> chips_for_time({"time_min": [0, 90], "curves": [line], "words": "It rises."}).text
    'It rises.'
    """
    figure, ax = ink.sheet(4.2)
    end = float(data["time_min"][-1])
    for curve, line in zip(data["curves"], ink.LINES, strict=False):
        ax.plot(data["time_min"], curve["values"], **line)
        name_line(ax, end * 1.015, curve["values"][-1], curve["name"])
    top = 100 * (1 + max(max(curve["values"]) for curve in data["curves"]) // 100)
    ax.set(xlim=(0, end * 1.16), ylim=(0, top), xticks=range(0, int(end) + 1, 30))
    ax.set_xticks(range(0, int(end) + 1, 10), minor=True)
    ax.set_yticks(range(0, int(top) + 1, 100))
    ax.set_yticks(range(0, int(top) + 1, 20), minor=True)
    ax.grid(True, which="minor", linewidth=0.5, color=ink.FAINT, alpha=0.3)
    ax.grid(True, which="major", linewidth=0.8, color=ink.FAINT, alpha=0.6)
    ax.set(xlabel="Smoke [min]", ylabel="Chips [g]")
    return Drawing(figure, str(data["words"]))


@picture("smoke-window")
def smoke_window(data: Mapping[str, Any]) -> Drawing:
    """Draw how long a tray may smoke, as a band of time between what is wanted and when it must be out.

    Parameters
    ----------
    data : mapping
        ``low_min`` and ``high_min`` of the smoke, ``wanted_min``, and ``words``.

    Examples
    --------
    >>> smoke_window({"low_min": 65, "high_min": 96, "wanted_min": 60, "words": "It lasts."}).text
    'It lasts.'
    """
    low, high, wanted = (float(data[name]) for name in ("low_min", "high_min", "wanted_min"))
    figure, ax = ink.sheet(2.4)
    ax.axvspan(wanted, 2 * wanted, color="#e6efee", zorder=0)
    ax.barh([0], [low], height=0.34, color=CORE["color"])
    ax.barh([0], [high - low], left=[low], height=0.34, color=CORE["color"], alpha=0.35)
    for at, words in ((wanted, "wanted"), (2 * wanted, "must be out")):
        ax.axvline(at, color=ink.INK, linewidth=1.4, linestyle=AIR["linestyle"])
        name_line(ax, at, 0.62, words, ha="center")
    end = max(2.5 * wanted, 1.1 * high)
    ax.set(xlim=(0, end), ylim=(-0.4, 0.85), yticks=[])
    ax.set(xlabel="Smoke [min]\nDark: even if the chips burn fast. Light: only if they burn slowly.")
    return Drawing(figure, str(data["words"]))
