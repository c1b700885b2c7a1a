"""One pen for every teaching picture: its canvas, its lines, its labels, and the signs for good and bad."""

from __future__ import annotations

from html import escape

from kit.views.pictures import ink

WIDE, INSIDE = 400, 6  # a canvas that a phone shows at nearly its own size; the margin that stays empty
LINE, FINE, LEAD = 2.2, 1.4, 1.1  # widths of an outline, of a detail, of a leader to a label
LABEL, SMALL = 14.0, 13.2  # sizes of type: a phone shows the smaller at 11 px

FISH, FISH_DARK, BELLY, FLESH, FLESH_OLD = "#b9c4c2", "#6d7d80", "#e8ebe6", "#f3c3ab", "#d9b79c"
GOLD, CRUST, FAT, BLOOD = "#dda35c", "#7c4a22", "#fbe6da", "#a3262f"
STEEL, WATER, ICE, WOOD, BRICK, SKIN, CLOTH = (
    *("#c9c5bb", "#cfe4ee", "#eef6f9", "#d9b489", "#f6dccf", "#f2cdb4", "#c6d6d8"),
)
FINE_TINT, BAD_TINT, HOT, GOOD, BAD = "#d8e8e4", "#f6dccf", "#c4500a", "#0f6a45", "#a3262f"
"""The tints. Those below ``STEEL`` are light enough for ink; a label over another says its own ground."""


class Pen:
    """What is drawn so far on a canvas ``WIDE`` across and ``tall`` down.

    Examples
    --------
    >>> pen = Pen(60)
    >>> pen.say(200, 30, "loin")
    >>> "loin" in pen.svg("The loin of a fillet.")
    True
    """

    def __init__(self, tall: int) -> None:
        self.tall, self._body = tall, list[str]()
        self._over: list[str] = []

    def svg(self, words: str) -> str:
        """Return the drawing, its labels above everything, with its words for who does not see it."""
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDE} {self.tall}" role="img" '
            f'aria-label="{escape(words, quote=True)}" style="display:block;width:100%;max-width:480px;'
            f'height:auto;margin:auto;background:{ink.PAPER}">' + "".join(self._body + self._over) + "</svg>"
        )

    def way(
        self, way: str, fill: str = "none", edge: str = ink.INK, width: float = LINE, dash: str = ""
    ) -> None:
        """Draw along an SVG path, filled and edged."""
        dashed = f' stroke-dasharray="{dash}"' if dash else ""
        self._body.append(
            f'<path d="{way}" fill="{fill}" stroke="{edge}" stroke-width="{width:g}" stroke-linecap="round" '
            f'stroke-linejoin="round"{dashed}/>'
        )

    def line(
        self, *points: float, edge: str = ink.INK, width: float = LINE, dash: str = "", fill: str = "none"
    ) -> None:
        """Draw straight from point to point: across, down, across, down."""
        pairs = [f"{x:g} {y:g}" for x, y in zip(points[::2], points[1::2], strict=True)]
        self.way("M" + " L".join(pairs) + ("" if fill == "none" else " Z"), fill, edge, width, dash)

    def box(
        self,
        x: float,
        y: float,
        wide: float,
        tall: float,
        fill: str = "#ffffff",
        edge: str = ink.INK,
        width: float = LINE,
        r: float = 4,
    ) -> None:
        """Draw a box with round corners from its upper left corner."""
        self._body.append(
            f'<rect x="{x:g}" y="{y:g}" width="{wide:g}" height="{tall:g}" rx="{r:g}" fill="{fill}" '
            f'stroke="{edge}" stroke-width="{width:g}"/>'
        )

    def dot(
        self, x: float, y: float, r: float = 3, fill: str = ink.INK, edge: str = "none", width: float = FINE
    ) -> None:
        """Draw a round spot."""
        self._body.append(
            f'<circle cx="{x:g}" cy="{y:g}" r="{r:g}" fill="{fill}" stroke="{edge}" '
            f'stroke-width="{width:g}"/>'
        )

    def dots(self, places: str, r: float = 3, fill: str = ink.INK, edge: str = "none") -> None:
        """Draw spots of one size at places written as "10,20 30,40"."""
        for place in places.split():
            x, y = place.split(",")
            self.dot(float(x), float(y), r, fill, edge)

    def put(
        self, part: Pen, x: float, y: float, *, size: float = 1, flip: bool = False, turn: float = 0
    ) -> None:
        """Put what another pen drew here: moved, sized, turned about its own corner, perhaps mirrored."""
        across = -size if flip else size
        turned = f" rotate({turn:g})" if turn else ""
        body = "".join(part._body)
        self._body.append(
            f'<g transform="translate({x:g} {y:g}){turned} scale({across:g} {size:g})">{body}</g>'
        )

    def raw(self, svg: str) -> None:
        """Draw a piece of SVG that another module made."""
        self._body.append(svg)

    def say(
        self,
        x: float,
        y: float,
        words: str,
        *,
        anchor: str = "middle",
        size: float = LABEL,
        bold: bool = False,
        colour: str = ink.INK,
        ground: str = ink.PAPER,
    ) -> None:
        """Write a label, its lines one below the other, with a rim of the ground that it stands on."""
        weight = "700" if bold else "400"
        for row, line in enumerate(words.split("\n")):
            self._over.append(
                f'<text x="{x:g}" y="{y + row * (size + 3):g}" text-anchor="{anchor}" font-size="{size:g}" '
                f'font-weight="{weight}" style="font-family:{ink.FONT}" fill="{colour}" stroke="{ground}" '
                f'stroke-width="3" stroke-linejoin="round" paint-order="stroke">{escape(line)}</text>'
            )

    def point(
        self,
        x: float,
        y: float,
        words: str,
        to_x: float,
        to_y: float,
        *,
        anchor: str = "middle",
        bold: bool = False,
    ) -> None:
        """Write a label and lead a thin line from it to what it names, with a spot at the end."""
        rows = words.count("\n") + 1
        low = y + (rows - 1) * (LABEL + 3)
        from_y = y - 5 + (rows - 1) * (LABEL + 3) / 2
        from_x = x + {"start": -4, "middle": 0, "end": 4}[anchor]
        if anchor == "middle":
            from_y = low + 5 if to_y > low else y - LABEL + 1
        self.line(from_x, from_y, to_x, to_y, width=LEAD)
        self.dot(to_x, to_y, 2.6, ink.INK, "#ffffff", 1)
        self.say(x, y, words, anchor=anchor, bold=bold)

    def arrow(
        self, x1: float, y1: float, x2: float, y2: float, colour: str = ink.ACCENT, width: float = 2.6
    ) -> None:
        """Draw an arrow."""
        long = max(((x2 - x1) ** 2 + (y2 - y1) ** 2) ** 0.5, 1e-9)
        ux, uy = (x2 - x1) / long, (y2 - y1) / long
        self.line(x1, y1, x2 - 4 * ux, y2 - 4 * uy, edge=colour, width=width)
        left, right = ((x2 - 9 * ux + side * 5 * uy, y2 - 9 * uy - side * 5 * ux) for side in (1, -1))
        self.line(x2, y2, *left, *right, edge=colour, width=1, fill=colour)

    def good(self, x: float, y: float) -> None:
        """Draw the sign for right: a tick in a ring."""
        self.dot(x, y, 10, "#ffffff", GOOD, 2.2)
        self.line(x - 5, y, x - 1, y + 4.5, x + 5.5, y - 4.5, edge=GOOD, width=2.8)

    def bad(self, x: float, y: float) -> None:
        """Draw the sign for wrong: a cross in a ring."""
        self.dot(x, y, 10, "#ffffff", BAD, 2.2)
        self.way(f"M{x - 4.5:g} {y - 4.5:g} l9 9 m0 -9 l-9 9", edge=BAD, width=2.8)
