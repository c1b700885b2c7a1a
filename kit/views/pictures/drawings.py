"""Line drawings as SVG: a fillet from the side, and a loaded cabinet."""

from collections.abc import Mapping
from html import escape
from typing import Any

from kit.exercises.lesson_05.shapes import BASE_Y, PLACE_NAMES, FilletShape, place_at
from kit.views.pictures import ink
from kit.views.pictures.register import Drawing, picture

FLESH, FLESH_EDGE, SKIN, STEEL = "#f3c3ab", "#7d4630", "#46545c", "#8b8273"
WIDE, TALL = 760, 300
_FONT = 'font-family="system-ui, sans-serif"'


@picture("fillet-side")
def fillet_side(data: Mapping[str, Any]) -> Drawing:
    """Draw a fillet from the side, on the rack. Used as a question: nothing on it says where the core is.

    Parameters
    ----------
    data : mapping
        ``outline``, ``base_y`` and ``head_left`` as `FilletShape.data` gives them; perhaps ``words``.

    Examples
    --------
    >>> fillet_side(FilletShape(0.3, 0.5).data()).figure.startswith("<svg")
    True
    """
    head_x = 30 if data["head_left"] else WIDE - 30
    anchors = ("start", "end") if data["head_left"] else ("end", "start")
    body = [
        _flesh(data),
        _rack(float(data["base_y"]) * TALL),
        svg_text(head_x, 30, "head end", anchor=anchors[0]),
        svg_text(WIDE - head_x, 30, "tail end", anchor=anchors[1]),
    ]
    words = (
        data.get("words")
        or "A fillet from the side, skin down on a rack: thick towards the head, thin at the tail."
    )
    return Drawing(svg_drawing(WIDE, TALL, body, words), words)


@picture("fillet-anatomy")
def fillet_anatomy(data: Mapping[str, Any]) -> Drawing:
    """Draw a fillet from the side with its parts named, and a probe with its tip in the core.

    Examples
    --------
    >>> "core" in fillet_anatomy({}).text
    True
    """
    shape = FilletShape(peak=0.34, height=0.46)
    core_x, core_y = shape.core[0] * WIDE, shape.core[1] * TALL
    top_y, skin_y = (BASE_Y - shape.height) * TALL, BASE_Y * TALL
    body = [
        _flesh(shape.data()),
        _rack(skin_y),
        _arrow(core_x - 72, skin_y, top_y + 9),
        svg_text(core_x - 80, core_y - 2, "full", anchor="end", size=15),
        svg_text(core_x - 80, core_y + 16, "thickness", anchor="end", size=15),
        svg_probe(core_x, core_y, core_x + 300, core_y - 96),
        f'<circle cx="{core_x:.0f}" cy="{core_y:.0f}" r="11" fill="none" stroke="{ink.INK}" '
        'stroke-width="2.2"/>',
        svg_text(core_x - 2, core_y + 36, "core", anchor="middle", weight="700"),
        _leader(585, skin_y - 3, 640, 178, "skin"),
        svg_text(core_x, top_y - 14, "flesh side", anchor="middle", size=15),
        svg_text(core_x + 316, core_y - 92, "probe", anchor="start"),
        svg_text(WIDE - 30, skin_y + 46, "rack", anchor="end", size=15),
        svg_text(32, skin_y + 46, "head end", anchor="start", size=15),
    ]
    words = (
        "A fillet from the side, skin down on a rack. The core is the middle of the thickest part, "
        "half way from the flesh side to the skin. A probe goes in at a slant and its tip ends in the core. "
        "It does not touch the skin or the rack."
    )
    return Drawing(svg_drawing(WIDE, TALL, body, words), words)


@picture("loaded-cabinet")
def loaded_cabinet(data: Mapping[str, Any]) -> Drawing:
    """Draw a cabinet with nine pieces, each with its thickness, and the air measured at each place.

    Parameters
    ----------
    data : mapping
        ``pieces``: a list of ``{"column", "row", "thickness_mm", "air_c"}``; ``door``: ``left`` or ``right``;
        perhaps ``words``.

    Examples
    --------
    >>> load = {"door": "left", "pieces": [{"column": 0, "row": 2, "thickness_mm": 28, "air_c": 66}]}
    >>> loaded_cabinet(load).text
    'A cabinet with its door on the left. Bottom shelf, left: 28 mm thick, air 66 °C.'
    """
    wide, tall = 760, 500
    door_x = 60 if data["door"] == "left" else wide - 60
    body = [
        f'<rect x="60" y="34" width="{wide - 120}" height="{tall - 60}" rx="10" fill="#ffffff" '
        f'stroke="{STEEL}" stroke-width="3"/>',
        f'<line x1="{door_x}" y1="60" x2="{door_x}" y2="{tall - 52}" stroke="{SKIN}" stroke-width="9"/>',
        svg_text(door_x, 26, "door", anchor="middle", size=15),
    ]
    for row in range(3):
        shelf_y = place_at(0, row)[1] * tall + 24
        body.append(svg_line(84, shelf_y, wide - 84, shelf_y, STEEL, 3, "10 4"))
    told = []
    for piece in data["pieces"]:
        x, y = place_at(piece["column"], piece["row"])
        body.append(_piece(x * wide, y * tall + 22, piece["thickness_mm"]))
        body.append(
            svg_text(x * wide, y * tall + 46, f"{piece['thickness_mm']:g} mm", anchor="middle", weight="700")
        )
        body.append(svg_text(x * wide, y * tall - 34, f"air {piece['air_c']:g} °C", anchor="middle", size=15))
        name = PLACE_NAMES[(piece["column"], piece["row"])]
        told.append(
            f"{name[0].upper()}{name[1:]}: {piece['thickness_mm']:g} mm thick, air {piece['air_c']:g} °C."
        )
    words = data.get("words") or " ".join([f"A cabinet with its door on the {data['door']}.", *told])
    return Drawing(svg_drawing(wide, tall, body, words), words)


def svg_drawing(wide: int, tall: int, body: list[str], words: str) -> str:
    """Return a whole drawing, with what it shows in words for who cannot see it."""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide} {tall}" role="img" '
        f'aria-label="{escape(words, quote=True)}" style="width:100%;height:auto;background:{ink.PAPER}">'
        + "".join(body)
        + "</svg>"
    )


def svg_text(
    x: float, y: float, words: str, *, anchor: str = "start", size: int = 17, weight: str = "400"
) -> str:
    """Return a line of text at a place of the drawing."""
    return (
        f'<text x="{x:.0f}" y="{y:.0f}" {_FONT} font-size="{size}" font-weight="{weight}" '
        f'text-anchor="{anchor}" fill="{ink.INK}">{escape(words)}</text>'
    )


def _flesh(data: Mapping[str, Any]) -> str:
    points = [(x * WIDE, y * TALL) for x, y in data["outline"]]
    base = float(data["base_y"]) * TALL
    path = f"M{points[0][0]:.1f} {base:.1f} " + " ".join(f"L{x:.1f} {y:.1f}" for x, y in points)
    path += f" L{points[-1][0]:.1f} {base:.1f} Z"
    flakes = []
    for x, y in points[3:-6:5]:
        lean = 12 if data["head_left"] else -12
        flakes.append(
            f'<path d="M{x:.1f} {y + 6:.1f} Q{x + lean:.1f} {(y + base) / 2:.1f} {x:.1f} {base - 7:.1f}" '
            'fill="none" stroke="#dfa385" stroke-width="1.6"/>'
        )
    return (
        f'<path d="{path}" fill="{FLESH}" stroke="{FLESH_EDGE}" stroke-width="2" stroke-linejoin="round"/>'
        + "".join(flakes)
        + f'<line x1="{points[0][0]:.1f}" y1="{base:.1f}" x2="{points[-1][0]:.1f}" y2="{base:.1f}" '
        f'stroke="{SKIN}" stroke-width="5"/>'
    )


def _rack(skin_y: float) -> str:
    bars = "".join(
        f'<circle cx="{x}" cy="{skin_y + 12:.0f}" r="6" fill="#ffffff" stroke="{STEEL}" stroke-width="2.5"/>'
        for x in range(40, WIDE, 40)
    )
    return bars + svg_line(20, skin_y + 20, WIDE - 20, skin_y + 20, STEEL, 3)


def svg_line(x1: float, y1: float, x2: float, y2: float, colour: str, width: float, dash: str = "") -> str:
    """Return a straight line, dashed if so given."""
    return (
        f'<line x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}" stroke="{colour}" '
        f'stroke-width="{width:g}" stroke-dasharray="{dash}" stroke-linecap="{"butt" if dash else "round"}"/>'
    )


def svg_probe(tip_x: float, tip_y: float, end_x: float, end_y: float) -> str:
    """Return a probe: its tip in the fish, its grip outside."""
    grip_x, grip_y = end_x - 0.28 * (end_x - tip_x), end_y - 0.28 * (end_y - tip_y)
    needle = svg_line(tip_x, tip_y, grip_x, grip_y, "#3b464d", 5)
    return needle + svg_line(grip_x, grip_y, end_x, end_y, ink.ACCENT, 15)


def _arrow(x: float, low_y: float, high_y: float) -> str:
    heads = "".join(
        f'<path d="M{x:.0f} {y:.0f} l-5 {8 * way} l10 0 Z" fill="{ink.INK}"/>'
        for y, way in ((low_y - 2, -1), (high_y, 1))
    )
    return svg_line(x, low_y, x, high_y, ink.INK, 1.8) + heads


def _leader(to_x: float, to_y: float, text_x: float, text_y: float, words: str) -> str:
    line = svg_line(to_x, to_y, text_x - 4, text_y + 4, ink.INK, 1.4)
    return line + svg_text(text_x, text_y, words, size=15)


def _piece(x: float, base_y: float, thickness_mm: float) -> str:
    high, half = 1.35 * thickness_mm, 66.0
    return (
        f'<path d="M{x - half:.0f} {base_y:.0f} C{x - half:.0f} {base_y - high * 1.2:.0f} '
        f'{x:.0f} {base_y - high * 1.15:.0f} {x + half:.0f} {base_y - 4:.0f} L{x + half:.0f} {base_y:.0f} Z" '
        f'fill="{FLESH}" stroke="{FLESH_EDGE}" stroke-width="2"/>'
    )
