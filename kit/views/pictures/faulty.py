"""Drawings of finished pieces with their faults: a smoked fillet seen from above."""

from collections.abc import Callable, Mapping
from typing import Any

from kit.views.pictures import ink
from kit.views.pictures.drawings import WIDE, svg_drawing, svg_text
from kit.views.pictures.register import Drawing, picture

TALL = 280
_GOLD, _EDGE, _DEEP = "#dc9350", "#8a4b1c", "#c67a38"
_SPREAD = ((-1.0, -0.1), (-0.55, 0.8), (-0.35, -0.75), (0.05, 0.15), (0.45, -0.85), (0.6, 0.75), (1.0, 0.0))


_OUTLINE = (
    "M40 150 C48 70 150 50 300 54 C480 58 640 96 722 138 C640 196 480 238 300 240 C150 240 52 228 40 150 Z"
)


@picture("faulty-piece")
def faulty_piece(data: Mapping[str, Any]) -> Drawing:
    """Draw a smoked fillet from above, with faults at given places. Nothing on it names them.

    Parameters
    ----------
    data : mapping
        ``faults``: a list of [name, x, y], places in fractions; ``head_left``; and ``words``.

    Examples
    --------
    >>> piece = {"faults": [["blood spots", 0.3, 0.4]], "head_left": True, "words": "Spots."}
    >>> faulty_piece(piece).figure.count("<circle")
    7
    """
    dark = {name for name, _, _ in data["faults"]} & {"tarry smoke", "crust"}
    body = [_piece(bool(data["head_left"]), dark)]
    for name, x, y in data["faults"]:
        body += _MARKS[name](float(x) * WIDE, float(y) * TALL)
    ends = ("head end", "tail end") if data["head_left"] else ("tail end", "head end")
    body.append(svg_text(24, 28, ends[0], size=22))
    body.append(svg_text(WIDE - 24, 28, ends[1], anchor="end", size=22))
    body.append(svg_text(WIDE / 2, TALL - 8, "belly side", anchor="middle", size=22))
    return Drawing(svg_drawing(WIDE, TALL, body, data["words"]), data["words"])


def _piece(head_left: bool, dark: set[str]) -> str:
    """Return the outline and its flakes, with a darker face where the whole face is dark."""
    turn = "" if head_left else f' transform="translate({WIDE} 0) scale(-1 1)"'
    fill, flake = ("#4a2c17", "#6b4427") if "tarry smoke" in dark else (_GOLD, _DEEP)
    if "crust" in dark:
        fill, flake = "#8a5023", "#75421b"
    arcs = "".join(
        f'<path d="M{x} {78 + abs(x - 260) * 0.06:.0f} q24 66 0 {134 - abs(x - 260) * 0.15:.0f}" '
        f'fill="none" stroke="{flake}" stroke-width="2"/>'
        for x in range(110, 600, 46)
    )
    shape = f'<path d="{_OUTLINE}" fill="{fill}" stroke="{_EDGE}" stroke-width="2.5"/>'
    return f"<g{turn}>{shape}{arcs}</g>"


def _gaping(x: float, y: float) -> list[str]:
    return [
        f'<path d="M{x + dx:.0f} {y - 30:.0f} q13 30 0 60 q-11 -30 0 -60 Z" fill="#5f2f10"/>'
        for dx in (-44, -15, 15, 44)
    ]


def _soft_belly(x: float, y: float) -> list[str]:
    """Return a pale place at the belly edge, torn from below, with ribs that show."""
    torn = "l9 -24 l10 15 l9 -26 l11 19 l10 -22 l9 17 l10 -25 l9 20 l8 -16 l9 42"
    return [
        f'<ellipse cx="{x:.0f}" cy="{y:.0f}" rx="62" ry="34" fill="#f3d2b4" opacity="0.95"/>',
        *(
            f'<line x1="{x + dx:.0f}" y1="{y - 20:.0f}" x2="{x + dx + 7:.0f}" y2="{y + 14:.0f}" '
            f'stroke="#a87350" stroke-width="3" stroke-linecap="round"/>'
            for dx in (-34, -12, 10, 32)
        ),
        f'<path d="M{x - 48:.0f} {y + 48:.0f} {torn} Z" fill="{ink.PAPER}"/>',
        f'<path d="M{x - 48:.0f} {y + 48:.0f} {torn}" fill="none" stroke="{_EDGE}" stroke-width="2" '
        'stroke-linejoin="round"/>',
    ]


def _salt_burn(x: float, y: float) -> list[str]:
    patch = f'<ellipse cx="{x:.0f}" cy="{y:.0f}" rx="58" ry="34" fill="#ead9c0" opacity="0.9"/>'
    return [
        patch,
        *(
            f'<rect x="{x + 42 * dx - 5:.0f}" y="{y + 22 * dy - 5:.0f}" width="10" height="10" '
            f'fill="#ffffff" stroke="{ink.FAINT}" stroke-width="1.2"/>'
            for dx, dy in _SPREAD
        ),
    ]


def _streaks(x: float, y: float) -> list[str]:
    return [
        f'<path d="M{x + dx:.0f} {y - 40:.0f} q6 24 0 {44 + long} q-4 14 4 18" fill="none" '
        f'stroke="{colour}" stroke-width="{width}" stroke-linecap="round"/>'
        for dx, long, colour, width in (
            (-42, 14, "#6b3a15", 6),
            (-20, 0, "#f1c995", 5),
            (4, 20, "#6b3a15", 7),
            (28, 6, "#f1c995", 5),
            (48, 10, "#6b3a15", 5),
        )
    ]


def _crust(x: float, y: float) -> list[str]:
    return [
        f'<path d="M{x - 60:.0f} {y + dy:.0f} l24 -8 l20 10 l26 -9 l22 11 l28 -7" fill="none" '
        'stroke="#2a1306" stroke-width="3.5" stroke-linejoin="round"/>'
        for dy in (-22, 6, 32)
    ]


def _tarry(x: float, y: float) -> list[str]:
    return [
        f'<ellipse cx="{x + 46 * dx:.0f}" cy="{y + 26 * dy:.0f}" rx="26" ry="9" fill="#17100a"/>'
        f'<ellipse cx="{x + 46 * dx - 6:.0f}" cy="{y + 26 * dy - 3:.0f}" rx="8" ry="2.5" fill="#a08c78"/>'
        for dx, dy in _SPREAD
    ]


def _albumin(x: float, y: float) -> list[str]:
    film = f'<ellipse cx="{x:.0f}" cy="{y:.0f}" rx="56" ry="26" fill="#ffffff" opacity="0.45"/>'
    return [film, *_dots(x, y, "#fffef9", "#b9ab98", (9, 7, 11, 8, 10, 6, 7))]


def _blood(x: float, y: float) -> list[str]:
    return _dots(x, y, "#7d0f16", "#4a0509", (8, 5, 7, 9, 6, 4, 5))


def _dots(x: float, y: float, fill: str, edge: str, sizes: tuple[int, ...]) -> list[str]:
    return [
        f'<circle cx="{x + 46 * dx:.0f}" cy="{y + 26 * dy:.0f}" r="{size}" fill="{fill}" stroke="{edge}" '
        'stroke-width="1.5"/>'
        for (dx, dy), size in zip(_SPREAD, sizes, strict=True)
    ]


_MARKS: dict[str, Callable[[float, float], list[str]]] = {
    "gaping": _gaping,
    "soft belly": _soft_belly,
    "salt burn": _salt_burn,
    "streaks": _streaks,
    "crust": _crust,
    "tarry smoke": _tarry,
    "white albumin": _albumin,
    "blood spots": _blood,
}


def fault_marks(x: float, y: float) -> dict[str, list[str]]:
    """Return each fault by its name, as pieces of SVG about a place.

    Examples
    --------
    >>> sorted(fault_marks(150, 100))[:3]
    ['blood spots', 'crust', 'gaping']
    """
    return {name: marks(x, y) for name, marks in _MARKS.items()}
