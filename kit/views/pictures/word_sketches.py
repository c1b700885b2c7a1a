"""Small sketches beside the words of the trade, where a picture says it better than a sentence."""

from kit.views.pictures import ink
from kit.views.pictures.drawings import FLESH, FLESH_EDGE, SKIN, STEEL

_HOT, _WATER, _WOOD, _LEAF = "#D55E00", "#cfe4ee", "#c79a63", "#7fa06b"


def word_sketch(word: str) -> str:
    """Return the sketch of a word as an SVG, or an empty text where there is none.

    Examples
    --------
    >>> word_sketch("pin bone")[:4], word_sketch("criterion")
    ('<svg', '')
    """
    body = SKETCHES.get(word)
    if body is None:
        return ""
    return f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 72 48" aria-hidden="true">{body}</svg>'


def _path(way: str, colour: str = ink.INK, width: float = 2, fill: str = "none", dash: str = "") -> str:
    return (
        f'<path d="{way}" fill="{fill}" stroke="{colour}" stroke-width="{width:g}" stroke-linecap="round" '
        f'stroke-linejoin="round"{f" stroke-dasharray={chr(34)}{dash}{chr(34)}" if dash else ""}/>'
    )


def _dots(*places: tuple[float, float], size: float = 1.6, fill: str = ink.INK) -> str:
    return "".join(f'<circle cx="{x:g}" cy="{y:g}" r="{size:g}" fill="{fill}"/>' for x, y in places)


def _box(x: float, y: float, wide: float, tall: float, fill: str = "#ffffff", edge: str = ink.INK) -> str:
    return (
        f'<rect x="{x:g}" y="{y:g}" width="{wide:g}" height="{tall:g}" rx="3" fill="{fill}" '
        f'stroke="{edge}" stroke-width="2"/>'
    )


def _says(x: float, y: float, words: str, size: int = 12) -> str:
    return (
        f'<text x="{x:g}" y="{y:g}" font-family="system-ui, sans-serif" font-size="{size}" font-weight="700" '
        f'text-anchor="middle" fill="{ink.INK}">{words}</text>'
    )


def _arrow(x1: float, y1: float, x2: float, y2: float, colour: str = ink.ACCENT) -> str:
    """Return an arrow that goes straight across or straight up or down."""
    if y1 == y2:
        back = -5 if x2 > x1 else 5
        head = f"M{x2 + back:g} {y2 - 5:g} L{x2:g} {y2:g} L{x2 + back:g} {y2 + 5:g}"
    else:
        back = -5 if y2 > y1 else 5
        head = f"M{x2 - 5:g} {y2 + back:g} L{x2:g} {y2:g} L{x2 + 5:g} {y2 + back:g}"
    return _path(f"M{x1:g} {y1:g} L{x2:g} {y2:g} {head}", colour, 2.4)


_OUTLINE = "M6 24 C9 9 30 8 44 13 C56 17 64 21 68 23 C62 28 52 36 38 38 C22 40 8 36 6 24 Z"
_FILLET = _path(_OUTLINE, FLESH_EDGE, 2, FLESH)
_SEAM = _path("M9 23 C26 21 48 21 66 23", "#c9755a", 1.6)
_SIDE = _path("M6 38 C6 16 24 10 40 20 C52 28 62 34 68 38 Z", FLESH_EDGE, 2, FLESH) + _path(
    "M6 38 L68 38", SKIN, 4
)
_BONES = _path("".join(f"M{x} 19 L{x + 5} 24 " for x in range(16, 44, 5)), ink.INK, 1.8)
_CROSS = _path("M52 6 L66 20 M66 6 L52 20", _HOT, 4)
_AXES = _path("M9 6 L9 42 L68 42", STEEL, 2)
_LIMIT = _path("M10 17 L67 17", ink.INK, 1.4, dash="3 3")
_FLAKE = _path("M58 4 L58 20 M51 8 L65 16 M65 8 L51 16", ink.ACCENT, 2)
_STEAM = _path(
    "M20 20 q-5 -5 0 -9 q5 -4 0 -9 M36 20 q-5 -5 0 -9 q5 -4 0 -9 M52 20 q-5 -5 0 -9 q5 -4 0 -9", STEEL, 2.2
)
_CHIPS = _path("M10 44 L24 36 L32 44 Z M28 44 L40 35 L50 44 Z M46 44 L56 38 L64 44 Z", "#7a5426", 1.8, _WOOD)
_POUCH = _path("M8 8 L64 8 L60 24 L64 40 L8 40 L12 24 Z", ink.INK, 2, "#f4f7f7") + _path(
    "M8 12 L64 12", STEEL, 1.4, dash="2 2"
)
_SMALL_FISH = _path(
    "M18 26 C26 17 42 17 50 26 C42 34 26 34 18 26 Z M50 26 L57 20 L57 32 Z", FLESH_EDGE, 1.8, FLESH
)
_BOOK = _path(
    "M10 10 C20 6 30 8 36 12 C42 8 52 6 62 10 L62 40 C52 36 42 38 36 42 C30 38 20 36 10 40 Z",
    ink.INK,
    2,
    "#ffffff",
) + _path("M36 12 L36 42 M16 18 L30 20 M16 25 L30 27 M42 20 L56 18 M42 27 L56 25", ink.INK, 1.6)
_GLASS = _path("M20 6 L24 44 L48 44 L52 6", ink.INK, 2, _WATER)

SKETCHES: dict[str, str] = {
    "altitude": _path("M4 44 L28 10 L42 30 L50 20 L68 44 Z", STEEL, 2, "#e9e3d5") + _arrow(60, 42, 60, 6),
    "answer book": _BOOK,
    "hand in": _path("M8 12 L34 12 L34 42 L8 42 Z", ink.INK, 2, "#ffffff")
    + _path("M13 20 L29 20 M13 27 L29 27 M13 34 L24 34", ink.INK, 1.6)
    + _arrow(40, 27, 66, 27),
    "batch": _box(6, 22, 26, 20, "#efe6d3")
    + _box(38, 22, 26, 20, "#efe6d3")
    + _box(22, 3, 26, 18, "#efe6d3")
    + _says(19, 37, "A", 12)
    + _says(51, 37, "A", 12)
    + _says(35, 17, "A", 12),
    "fillet": _FILLET + _SEAM,
    "loin": _FILLET
    + _path("M7 22 C10 9 30 8 44 13 C56 17 62 20 66 22 C48 20 26 20 7 22 Z", ink.ACCENT, 2, "#8fb7bd"),
    "belly": _FILLET
    + _path("M10 31 C22 34 40 34 52 31 C46 37 38 38 30 38.5 C20 39 12 36 10 31 Z", ink.ACCENT, 2, "#8fb7bd"),
    "pin bone": _FILLET + _SEAM + _BONES,
    "trim": _FILLET + _path("M8 33 C24 34 42 33 62 26", ink.INK, 2, dash="4 3") + _arrow(30, 34, 30, 47),
    "candling": _path("M10 18 C24 10 48 10 64 18 C50 26 24 26 10 18 Z", FLESH_EDGE, 2, FLESH)
    + _path("M36 44 L36 34 M26 44 L20 33 M46 44 L52 33", "#b8860b", 2.4)
    + _path("M24 46 L48 46", ink.INK, 3),
    "parasite": _path(
        "M24 34 C12 30 14 14 28 14 C44 14 46 32 34 32 C26 32 26 22 34 22 C42 22 54 30 60 18", _HOT, 3.4
    ),
    "cold chain": _box(4, 24, 16, 16, _WATER)
    + _box(29, 24, 16, 16, _WATER)
    + _box(54, 24, 16, 16, _WATER)
    + _path("M20 32 L29 32 M45 32 L54 32", ink.INK, 2.6)
    + _path("M37 2 L37 18 M30 6 L44 14 M44 6 L30 14", ink.ACCENT, 2),
    "brine": _path("M8 12 L12 42 L60 42 L64 12", ink.INK, 2.2, _WATER)
    + _path("M10 18 q6 -4 13 0 t13 0 t13 0 t13 0", ink.ACCENT, 2)
    + _dots((22, 28), (32, 34), (44, 27), (52, 35), (38, 25), (26, 37), (48, 38)),
    "dry cure": _SIDE
    + _dots((14, 16), (22, 10), (30, 11), (38, 14), (46, 19), (54, 26), (26, 6), (18, 9), (42, 12)),
    "rinse": _path("M24 4 L40 4 L40 12", STEEL, 5)
    + _path("M36 16 L36 24 M40 16 L40 26 M44 16 L44 24", ink.ACCENT, 2.2)
    + _path("M10 36 C22 26 50 26 64 36 C50 44 22 44 10 36 Z", FLESH_EDGE, 2, FLESH),
    "salometer": _GLASS
    + _path("M36 10 L36 22", ink.INK, 3)
    + _path("M32 22 L40 22 L39 36 L33 36 Z", ink.INK, 2, "#f4d58a")
    + _path("M22 16 L50 16", ink.ACCENT, 1.6),
    "pellicle": _FILLET + _path("M16 18 C22 12 30 12 36 13 M18 24 C22 20 26 19 30 19", "#ffffff", 3),
    "evaporate": _path("M8 44 C24 34 48 34 64 44 Z", FLESH_EDGE, 2, FLESH)
    + _arrow(22, 30, 22, 8)
    + _arrow(36, 28, 36, 4)
    + _arrow(50, 30, 50, 8),
    "condensation": _path("M6 8 L66 8", STEEL, 6)
    + _path(
        "M18 16 q-5 8 0 10 q5 -2 0 -10 M36 20 q-6 10 0 12 q6 -2 0 -12 M54 15 q-5 8 0 10 q5 -2 0 -10",
        ink.ACCENT,
        2,
        _WATER,
    ),
    "wet bulb": _path("M36 6 L36 30", ink.INK, 4)
    + _path("M30 26 L42 26 L44 42 L28 42 Z", ink.ACCENT, 2, _WATER)
    + _arrow(4, 34, 22, 34, STEEL),
    "smoulder": _CHIPS + _STEAM + _dots((22, 42), (40, 41), (55, 43), size=2.4, fill=_HOT),
    "hardwood": _path(
        "M36 44 L36 30 M36 6 C20 10 14 26 36 34 C58 26 52 10 36 6 Z M36 10 L36 32 M36 20 L28 15 M36 20"
        " L44 15 M36 27 L27 22 M36 27 L45 22",
        "#3f5a33",
        2,
        _LEAF,
    ),
    "softwood": _path(
        "M8 40 L64 10 M18 35 L14 24 M18 35 L28 41 M30 28 L26 17 M30 28 L40 34 M42 22 L38 11 M42 22"
        " L52 28 M54 15 L52 5 M54 15 L63 20",
        "#3f5a33",
        2.6,
    ),
    "resin": _path("M6 14 L66 14 L66 30 L6 30 Z", "#7a5426", 2, _WOOD)
    + _path("M36 30 q-7 10 0 14 q7 -4 0 -14", "#b8860b", 2, "#f0b83c"),
    "carbon monoxide": _path(
        "M14 38 C2 36 6 20 18 22 C20 8 42 6 46 18 C62 14 70 36 56 38 Z", ink.INK, 2, "#ece7db"
    )
    + _says(36, 33, "CO", 15),
    "hot smoking": _CHIPS.replace("44", "46")
    + _path("M12 24 C22 15 46 15 58 24 C46 32 22 32 12 24 Z", FLESH_EDGE, 2, FLESH)
    + _arrow(24, 12, 24, 2, _HOT)
    + _arrow(36, 12, 36, 2, _HOT)
    + _arrow(48, 12, 48, 2, _HOT),
    "cabinet": _box(14, 4, 44, 40)
    + _path("M18 16 L54 16 M18 26 L54 26 M18 36 L54 36", STEEL, 2)
    + _path("M24 15 h8 M38 15 h10 M22 25 h10 M40 25 h8 M28 35 h10", FLESH_EDGE, 4),
    "core": _SIDE
    + f'<circle cx="30" cy="27" r="6" fill="none" stroke="{ink.INK}" stroke-width="2"/>'
    + _dots((30, 27), size=2.4),
    "probe": _SIDE + _path("M30 27 L52 13", "#3b464d", 3) + _path("M52 13 L66 4", ink.ACCENT, 7),
    "stall": _AXES + _path("M10 40 C16 28 20 24 26 23 L46 22 C54 20 58 14 64 8", "#0072B2", 2.6),
    "hold": _AXES
    + _LIMIT
    + _path("M10 40 C16 24 22 16 28 14 L54 13 C60 14 64 20 67 26", "#0072B2", 2.6)
    + _path("M26 46 L57 46", ink.INK, 3),
    "carry-over": _AXES
    + _path("M40 6 L40 42", ink.INK, 1.4, dash="3 3")
    + _path("M10 40 C20 34 30 24 40 18", "#0072B2", 2.6)
    + _path("M40 18 C46 13 54 12 64 16", _HOT, 2.6),
    "logger": _box(8, 6, 56, 36) + _path("M14 36 C24 34 28 16 38 16 S52 14 58 12", "#0072B2", 2.4),
    "spore": f'<circle cx="36" cy="24" r="17" fill="#efe6d3" stroke="{ink.INK}" stroke-width="5"/>'
    + _dots((36, 24), size=6, fill=_HOT),
    "reject": _SMALL_FISH + _CROSS,
    "false alarm": _FILLET
    + f'<circle cx="40" cy="24" r="8" fill="none" stroke="{ink.INK}" stroke-width="2.6"/>'
    + _says(40, 28.5, "?", 12),
    "miss": _FILLET + _BONES + _CROSS,
    "sample": "".join(
        _box(x, y, 11, 11, "#8fb7bd" if (x, y) in ((19, 3), (49, 33)) else "#ffffff")
        for x in (4, 19, 34, 49)
        for y in (3, 18, 33)
    ),
    "lot": "".join(_box(x, y, 11, 11, "#8fb7bd") for x in (4, 19, 34, 49) for y in (3, 18, 33)),
    "blast chiller": _box(4, 4, 40, 40)
    + _path(
        "M24 24 C24 12 34 14 24 24 C36 24 34 34 24 24 C24 36 14 34 24 24 C12 24 14 14 24 24",
        ink.ACCENT,
        1.8,
        _WATER,
    )
    + _FLAKE,
    "vacuum pack": _POUCH + _SMALL_FISH,
    "use-by date": _box(14, 8, 44, 36)
    + _path("M14 18 L58 18 M24 4 L24 12 M48 4 L48 12", ink.INK, 2.4)
    + _says(36, 37, "14", 17),
    "allergen": _SMALL_FISH + _path("M4 44 L4 4 L68 4 L68 44 Z", ink.INK, 2) + _says(62, 18, "!", 15),
    "detergent": _path("M26 18 L46 18 L50 44 L22 44 Z M31 18 L31 8 L41 8 L41 18", ink.INK, 2, _WATER)
    + _path("M28 30 q4 -5 8 0 t8 0", ink.ACCENT, 2),
    "cross-contamination": _path("M4 30 C10 22 20 22 26 30 C20 36 10 36 4 30 Z", FLESH_EDGE, 1.8, FLESH)
    + _arrow(29, 30, 44, 30, _HOT)
    + _box(48, 20, 20, 20, "#efe6d3")
    + _dots((32, 22), (38, 19), (36, 25), size=2, fill=_HOT),
    "dermatitis": _path(
        "M14 44 L14 24 C14 18 20 18 20 24 L20 10 C20 5 26 5 26 10 L26 8 C26 3 32 3 32 8 L32 10"
        " C32 5 38 5 38 10 L38 26 C42 18 48 20 46 26 L38 44 Z",
        FLESH_EDGE,
        2,
        "#f7d9c8",
    )
    + _dots((22, 30), (28, 26), (32, 34), (24, 38), size=2.4, fill=_HOT),
}
"""Each sketch by its word, drawn on 72 by 48."""
