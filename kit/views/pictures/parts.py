"""The parts that teaching pictures share: fish, fillet, slice, hand, knife, probe, rack, pack, person."""

from __future__ import annotations

from kit.views.pictures import ink
from kit.views.pictures.intake import fillet_body
from kit.views.pictures.pen import (
    BELLY,
    CLOTH,
    FINE,
    FISH,
    FISH_DARK,
    FLESH,
    HOT,
    ICE,
    LINE,
    SKIN,
    STEEL,
    WATER,
    Pen,
)

_EDGE = "#7d4630"


def fish(*, side: str = FISH, back: str = FISH_DARK, marks: str = "", mark: str = "", rim: str = "") -> Pen:
    """Return a whole fish of the salmon kind, head left, 300 long, its middle line at 0.

    ``marks`` are the places of spots on its side, all in the colour ``mark``; ``rim`` edges the
    lower fins in front.
    """
    pen = Pen(0)
    pen.way("M256 -9 C272 -16 284 -32 300 -38 C290 -12 290 12 300 38 C284 32 272 16 256 9 Z", back)
    pen.way("M122 -36 C130 -58 152 -60 162 -54 L176 -33 Z", back)
    pen.way("M212 -22 C217 -36 231 -38 233 -33 C228 -29 228 -22 230 -17 Z", back)
    pen.way("M196 27 C204 43 218 49 226 45 L228 17 Z", side)
    pen.way("M140 35 C146 51 160 55 168 50 L164 33 Z", side)
    body = (
        "M0 6 C18 -20 66 -37 130 -37 C190 -37 236 -17 262 -9 L262 9 C236 19 190 36 130 36 C66 36 18 25 0 6 Z"
    )
    pen.way(body, side, "none")
    pen.way("M0 6 C18 -20 66 -37 130 -37 C190 -37 236 -17 262 -9 C190 -20 80 -20 0 6 Z", back, "none")
    pen.way("M4 10 C60 34 190 30 262 8 C236 19 190 36 130 36 C66 36 22 26 4 10 Z", BELLY, "none")
    pen.dots(marks, 2.6, mark)
    pen.way(body)
    pen.way("M62 -31 C78 -12 76 14 60 30 M62 -2 C130 -10 200 -5 258 0", width=FINE)
    pen.way("M74 10 C92 12 106 22 102 28 C90 31 78 24 73 17 Z", side, width=FINE)
    if rim:
        pen.way(
            "M142 38 C148 50 158 52 164 49 M198 30 C205 42 216 46 222 44 M76 20 C84 27 92 29 99 27",
            edge=rim,
            width=4,
        )
    pen.line(1, 6, 22, 10, width=FINE)
    pen.dot(32, -9, 6, "#ffffff", ink.INK, FINE)
    pen.dot(32, -9, 3.2)
    return pen


def fillet() -> Pen:
    """Return a fillet from above on 600 by 240, head left, loin above and belly below."""
    pen = Pen(0)
    pen.raw(fillet_body(head_left=True))
    return pen


def piece(*, face: str = FLESH, skin: str = FISH_DARK) -> Pen:
    """Return a piece from the side, skin down, 150 long and 46 high, thick end left; its skin lies at 0."""
    pen = Pen(0)
    pen.way("M0 0 C-4 -34 22 -48 58 -45 C94 -42 126 -20 150 -6 L150 0 Z", face, _EDGE)
    pen.way("M30 -8 q8 -14 0 -28 M62 -8 q8 -14 0 -30 M96 -6 q6 -10 0 -20", edge=_EDGE, width=FINE)
    pen.line(0, 0, 150, 0, edge=skin, width=5)
    return pen


def rack(wide: float = 180) -> Pen:
    """Return a rack from the side: bars with gaps, on a rail; fish lies at 0."""
    pen = Pen(0)
    for step in range(int(wide // 20) + 1):
        pen.dot(step * 20, 6, 4, "#ffffff", ink.FAINT, LINE)
    pen.line(-6, 12, wide // 20 * 20 + 6, 12, edge=ink.FAINT)
    return pen


def probe(long: float = 90) -> Pen:
    """Return a probe that points left: its tip at 0, its grip right."""
    pen = Pen(0)
    pen.line(0, 0, long * 0.66, 0, edge="#3b464d", width=4)
    pen.box(long * 0.62, -6, long * 0.38, 12, ink.ACCENT, ink.INK, FINE, 5)
    return pen


def knife(long: float = 120) -> Pen:
    """Return a filleting knife that points left: its tip at 0, its edge below."""
    pen = Pen(0)
    blade = long * 0.68
    pen.way(
        f"M0 2 C{blade * 0.3:g} -7 {blade * 0.6:g} -9 {blade:g} -9 L{blade:g} 5 C{blade * 0.6:g} 8 "
        f"{blade * 0.2:g} 7 0 2 Z",
        "#e9eceb",
    )
    pen.box(blade, -10, long - blade, 16, ink.ACCENT, ink.INK, FINE, 5)
    return pen


def hand(*, glove: str = SKIN) -> Pen:
    """Return a hand from above that points left, a finger out: its tip at 0, its sleeve right, 120 long."""
    pen = Pen(0)
    pen.way(
        "M0 0 C-2 -7 6 -9 12 -8 L46 -8 C52 -20 70 -22 84 -18 L104 -16 L104 18 L82 20 C66 24 50 22 46 12 "
        "L10 8 C4 8 0 5 0 0 Z",
        glove,
    )
    pen.way("M46 12 C54 14 62 14 68 12 M48 4 C56 7 64 7 70 5 M46 -8 C58 -4 66 -4 72 -6", width=FINE)
    pen.box(102, -20, 22, 42, CLOTH, ink.INK, FINE, 3)
    return pen


def crate(*, iced: bool = True) -> Pen:
    """Return a fish box from the side, 120 by 54, its upper left corner at 0, with holes to drain."""
    pen = Pen(0)
    pen.line(0, 0, 8, 54, 112, 54, 120, 0, fill=ICE if iced else "#ffffff")
    pen.line(0, 0, 120, 0)
    for x in (34, 60, 86):
        pen.dot(x, 54, 2.6, ink.INK)
    return pen


def ice_bits(wide: float) -> Pen:
    """Return a heap of crushed ice ``wide`` across; its foot at 0."""
    pen = Pen(0)
    for step in range(int(wide // 13)):
        pen.box(step * 13, -9 - (step * 7) % 4, 11, 9, "#ffffff", "#7aa3b6", FINE, 2)
    return pen


def pack(wide: float = 110, tall: float = 70) -> Pen:
    """Return a sealed vacuum pack with a piece of fish in it; its upper left corner at 0."""
    pen = Pen(0)
    pen.box(0, 0, wide, tall, "#f4f7f7")
    pen.line(4, 8, wide - 4, 8, edge=ink.FAINT, width=FINE, dash="3 3")
    pen.put(piece(face="#dda35c"), wide * 0.16, tall * 0.72, size=wide / 220)
    return pen


def thermometer(full: float, colour: str = HOT) -> Pen:
    """Return a thermometer 80 high, ``full`` of it filled; its bulb's middle at 0."""
    pen = Pen(0)
    pen.box(-6, -76, 12, 74, "#ffffff", ink.INK, FINE, 6)
    pen.dot(0, 0, 10, colour, ink.INK, FINE)
    pen.line(0, 0, 0, -8 - 62 * full, edge=colour, width=5)
    return pen


def flame() -> Pen:
    """Return a flame 40 high; its foot's middle at 0."""
    pen = Pen(0)
    pen.way("M0 0 C-18 -2 -18 -20 -6 -28 C-6 -20 0 -20 0 -40 C14 -30 20 -4 0 0 Z", "#f0b83c", HOT)
    return pen


def drop() -> Pen:
    """Return a drop of water 22 high; its foot at 0."""
    pen = Pen(0)
    pen.way("M0 0 C-10 0 -9 -10 0 -22 C9 -10 10 0 0 0 Z", WATER, ink.ACCENT, FINE)
    return pen


def flake(colour: str = ink.ACCENT) -> Pen:
    """Return the sign for cold, 24 across; its middle at 0."""
    pen = Pen(0)
    pen.way("M0 -12 L0 12 M-10.4 -6 L10.4 6 M-10.4 6 L10.4 -6", edge=colour, width=LINE)
    return pen


def germs(spread: float = 26) -> Pen:
    """Return a few germs about 0."""
    pen = Pen(0)
    for x, y in ((-1, -0.4), (0.1, 0.5), (1, -0.1), (0.3, -0.9), (-0.6, 0.9)):
        pen.way(f"M{spread * x - 5:g} {spread * y * 0.6:g} l10 3", edge=HOT, width=5)
    return pen


def person(bend: float = 0, *, knees: float = 0, arms: tuple[float, float] = (26, 30)) -> Pen:
    """Return a person from the side who faces right, 120 high; the feet at 0.

    ``bend`` leans the back forward and ``knees`` bends the knees, each from 0 to 1; ``arms`` is where the
    hands are, from the shoulder: across and down.
    """
    pen = Pen(0)
    hip = (-22.0 * knees - 4 * bend, -52 + 26 * knees)
    knee = (12.0 * knees, -26 + 2 * knees)
    shoulder = (hip[0] + 42 * bend + 8 * knees, hip[1] - 42 + 22 * bend)
    head = (shoulder[0] + 8 + 12 * bend, shoulder[1] - 14 + 6 * bend)
    pen.line(*hip, *knee, 0, 0, 12, 0, width=8, edge="#4d5a60")
    pen.line(*hip, *shoulder, width=14, edge="#8fa9ad")
    pen.line(*shoulder, shoulder[0] + arms[0], shoulder[1] + arms[1], width=7, edge="#8fa9ad")
    pen.dot(shoulder[0] + arms[0], shoulder[1] + arms[1], 4.5, SKIN, ink.INK, FINE)
    pen.dot(*head, 11, SKIN, ink.INK, FINE)
    pen.way(f"M{head[0] - 11:g} {head[1] - 2:g} a11 11 0 0 1 22 0 Z", "#ffffff", ink.INK, FINE)
    return pen


def paper(wide: float, tall: float, lines: int = 0) -> Pen:
    """Return a sheet of paper with ``lines`` of writing on it; its upper left corner at 0."""
    pen = Pen(0)
    pen.box(0, 0, wide, tall, "#ffffff", ink.INK, LINE, 2)
    for row in range(lines):
        y = (row + 1) * tall / (lines + 1)
        pen.line(8, y, wide - 8 - 14 * (row % 3), y, edge=ink.FAINT, width=FINE)
    return pen


def bucket(colour: str) -> Pen:
    """Return a bin with a lid, 64 by 76, in a colour; its upper left corner at 0."""
    pen = Pen(0)
    pen.line(4, 14, 10, 76, 54, 76, 60, 14, fill=colour)
    pen.box(0, 4, 64, 11, colour)
    pen.box(24, 0, 16, 5, STEEL, ink.INK, FINE, 2)
    return pen
