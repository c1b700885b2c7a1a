"""A fillet from above: to mark where pin bones sit, and on the inspection bench."""

from collections.abc import Mapping
from typing import Any

from kit.exercises.lesson_01 import bench
from kit.views.pictures.register import Drawing, picture


@picture("fillet-top")
def fillet_top(data: Mapping[str, Any]) -> Drawing:
    """Draw a fillet from above, skin down.

    Parameters
    ----------
    data : mapping
        ``head_left`` (bool), ``words``, and perhaps ``scale`` (of the fillet, up to 1).

    Examples
    --------
    >>> fillet_top({"head_left": True, "words": "A fillet."}).text
    'A fillet.'
    """
    body = fillet_body(head_left=bool(data.get("head_left", True)), scale=float(data.get("scale", 1.0)))
    svg = f'<svg viewBox="0 0 600 240" width="600" height="240">{body}</svg>'
    return Drawing(svg, str(data.get("words", "A fillet from above, skin down.")))


def fillet_body(*, head_left: bool, scale: float = 1.0, flesh: str = "#f6b8a2") -> str:
    """Return the SVG of a fillet from above on a board of 600 by 240, shrunk about the board's middle.

    Examples
    --------
    >>> fillet_body(head_left=True, scale=0.8)[:58]
    '<g transform="translate(60,24) scale(0.8,0.8)"><path d="M3'
    """
    across = f"translate({300 - 300 * scale:g},{120 - 120 * scale:g}) scale({scale:.4g},{scale:.4g})"
    if not head_left:
        across = f"translate({300 + 300 * scale:g},{120 - 120 * scale:g}) scale({-scale:.4g},{scale:.4g})"
    lines = "".join(
        f'<path d="M{x} {64 + 0.03 * (x - 300) ** 2 / 100:.0f} q18 52 0 108" fill="none" stroke="#d98a70" '
        'stroke-width="1.6"/>'
        for x in range(98, 450, 40)
    )
    return (
        f'<g transform="{across}"><path d="M30 120 C40 50 150 28 300 44 C420 56 520 88 575 112 L575 130 '
        "C520 158 430 196 300 206 "
        f'C150 216 44 196 30 120 Z" fill="{flesh}" stroke="#a9553b" stroke-width="2.5"/>'
        f'<path d="M40 116 C160 104 420 106 574 121" fill="none" stroke="#c9755a" stroke-width="2"/>{lines}'
        '<path d="M84 173 C180 197 330 195 428 174" fill="none" stroke="#e9cfc0" '
        'stroke-width="10"/></g>'
    )


_FLESH = {"Arctic char": "#f0a184", "Rainbow trout": "#f6b8a2", "Sea trout": "#f7cdb6"}


@picture("bench-fillet")
def bench_fillet(data: Mapping[str, Any]) -> Drawing:
    """Draw a fillet of the inspection bench; with its bones only once a look at it is given too.

    Parameters
    ----------
    data : mapping
        ``fillet`` (a ``BenchFillet``) and, afterwards, ``look`` (a ``FilletInspection``).

    Examples
    --------
    >>> fish = bench.draw_fillet(4, with_bones=True)
    >>> before = bench_fillet({"fillet": fish})
    >>> before.text == fish.words(), "<circle" in before.figure
    (True, False)
    >>> bench_fillet({"fillet": fish, "look": bench.FilletInspection((), False)}).text.count("none")
    2
    """
    fillet = data.get("fillet") or bench.draw_fillet(1, with_bones=True)
    done = data.get("look")
    body = fillet_body(head_left=fillet.head_left, scale=fillet.scale, flesh=_FLESH[fillet.fish])
    shown, text = "", fillet.words()
    if done is not None:
        after = bench.score(fillet, done)
        signs = {
            "Bones you found": (after.found, _found),
            "Bones you missed": (after.missed, _missed),
            "Marks with no bone near": (after.false_alarms, _false_alarm),
        }
        for name, (places, sign) in signs.items():
            shown += "".join(sign(600 * x, 240 * y) for x, y in places)
            where = "; ".join(f"{100 * x:.0f} % across, {100 * y:.0f} % down" for x, y in places)
            text += f" {name}: {where or 'none'}."
    return Drawing(f'<svg viewBox="0 0 600 240" width="600" height="240">{body}{shown}</svg>', text)


def _found(x: float, y: float) -> str:
    return f'<circle cx="{x:.1f}" cy="{y:.1f}" r="9" fill="#0c3841" stroke="#fff" stroke-width="2.5"/>'


def _missed(x: float, y: float) -> str:
    cross = f"M{x - 9:.1f} {y - 9:.1f} l18 18 m0 -18 l-18 18"
    return "".join(
        f'<path d="{cross}" fill="none" stroke="{colour}" stroke-width="{width}" stroke-linecap="round"/>'
        for colour, width in (("#fff", 8), ("#221d17", 4))
    )


def _false_alarm(x: float, y: float) -> str:
    return "".join(
        f'<circle cx="{x:.1f}" cy="{y:.1f}" r="9" fill="none" stroke="{colour}" stroke-width="{width}"/>'
        for colour, width in (("#fff", 7), ("#221d17", 3))
    )
