"""Teaching pictures of lessons 2 to 4: the cure, the pellicle, wood and smoke."""

from __future__ import annotations

from kit.views.pictures import ink, parts, pen
from kit.views.pictures.pen import Pen
from kit.views.pictures.teaching import teaching

_EDGE = "#7d4630"


@teaching("brine-parts", 204)
def _brine_parts(p: Pen) -> None:
    for x, wide, fill, words, grams in (
        (16, 80, "#ffffff", "salt", "180 g"),
        (134, 100, pen.WATER, "water", "820 g"),
        (272, 112, pen.WATER, "brine", "1000 g"),
    ):
        p.line(x, 40, x + 8, 122, x + wide - 8, 122, x + wide, 40, fill=fill)
        p.say(x + wide / 2, 74, words, ground=fill, bold=True)
        p.say(x + wide / 2, 96, grams, ground=fill)
    p.say(115, 86, "+", size=22, bold=True)
    p.say(253, 86, "=", size=22, bold=True)
    p.say(200, 160, "180 g of 1000 g = 18 % salt", bold=True)
    p.say(200, 184, "The salt is part of the brine.")


@teaching("read-the-salometer", 236)
def _salometer(p: Pen) -> None:
    p.way("M131.5 96 L138 216 L262 216 L268.5 96 Z", pen.WATER, "none")
    p.way("M126 30 L138 216 L262 216 L274 30")
    p.line(130, 96, 270, 96, edge=ink.ACCENT)
    p.box(192, 22, 16, 110, "#ffffff", ink.INK, pen.FINE, 3)
    for step in range(9):
        p.line(192, 34 + 11 * step, 200 if step % 2 else 204, 34 + 11 * step, width=pen.FINE)
    p.way("M192 130 L182 160 C182 190 218 190 218 160 L208 130 Z", "#f4d58a")
    p.point(326, 60, "read here", 202, 96)
    p.dot(60, 96, 9, "#ffffff", ink.INK, pen.LINE)
    p.dot(64, 96, 4)
    p.line(78, 96, 124, 96, edge=ink.FAINT, dash="4 4", width=pen.FINE)
    p.say(60, 128, "eye level")
    p.say(334, 152, "stronger brine:\nit floats higher")
    p.say(60, 196, "100° = full\nof salt: 26.4 %")


@teaching("salt-on-a-rack", 212)
def _salt_on_a_rack(p: Pen) -> None:
    p.put(parts.piece(), 76, 132, size=1.6)
    p.put(parts.rack(280), 60, 138)
    for x, y, many in ((94, 74, 5), (130, 58, 6), (168, 51, 6), (206, 57, 3), (248, 79, 2), (286, 102, 1)):
        for row in range(many):
            p.box(x - 12 + 9 * (row % 3), y - 7 * (row // 3), 6, 6, "#ffffff", ink.INK, 1.1, 1)
    p.line(50, 168, 56, 188, 350, 188, 356, 168, fill=pen.WATER)
    for x in (120, 200, 280):
        p.put(parts.drop(), x, 168, size=0.7)
    p.say(150, 22, "thick loin: much salt", bold=True)
    p.point(332, 66, "thin tail:\nlittle salt", 292, 104)
    p.point(36, 92, "skin\ndown", 80, 130)
    p.say(200, 206, "drip tray")


@teaching("salt-goes-in", 226)
def _salt_goes_in(p: Pen) -> None:
    for x, tall, words in ((24, 44, "10 mm"), (216, 88, "20 mm")):
        p.box(x, 150 - tall, 160, tall, pen.FLESH, _EDGE)
        p.box(x, 150 - tall, 160, tall / 2, "#f7e3d6", "none")
        p.box(x, 150 - tall, 160, tall, "none", _EDGE)
        p.line(x, 150, x + 160, 150, edge=pen.FISH_DARK, width=5)
        for step in range(4):
            p.arrow(x + 26 + 36 * step, 150 - tall - 18, x + 26 + 36 * step, 150 - tall / 2 - 3)
        p.say(x + 80, 143, words, ground=pen.FLESH, bold=True)
    p.say(104, 176, "salt in the middle\nafter 1 part of time")
    p.say(296, 176, "salt in the middle\nafter 4 parts of time")
    p.say(200, 220, "A cold rest moves salt. It adds none.", size=pen.SMALL)


@teaching("pellicle-three", 252)
def _pellicle_three(p: Pen) -> None:
    faces = (("too wet", pen.FLESH, False), ("good", "#eab489", True), ("crust", "#a8693c", False))
    for place, (name, face, sure) in enumerate(faces):
        x = 12 + 128 * place
        (p.good if sure else p.bad)(x + 14, 24)
        p.say(x + 66, 29, name, bold=True)
        p.box(x, 42, 120, 92, face, _EDGE)
        p.way(" ".join(f"M{x + dx} 52 q8 36 0 72" for dx in (24, 60, 94)), edge=_EDGE, width=0.8)
        p.box(x, 150, 120, 30, "#f0a184" if place == 2 else face, _EDGE)
    for x, y in ((36, 76), (70, 98), (98, 70), (52, 122), (106, 120)):
        p.put(parts.drop(), x, y, size=0.8)
    p.way("M160 64 q20 -12 44 -4 M172 82 q14 -8 28 -3", edge="#ffffff", width=5)
    p.way("M274 74 l24 10 l18 -14 l22 16 l20 -8 M286 118 l26 -12 l16 10 l30 -16", edge="#3d1f0c", width=2.6)
    p.line(13, 150, 131, 150, edge=ink.ACCENT, width=5)
    p.line(141, 150, 259, 150, edge="#b97b33", width=5)
    p.line(269, 152, 387, 152, edge="#5b3013", width=10)
    p.say(72, 204, "drops stand,\na finger slides")
    p.say(200, 204, "dry, shiny,\na little sticky")
    p.say(328, 204, "hard, cracked,\nwet below")
    p.say(200, 246, "None of them makes fish safe.", size=pen.SMALL)


@teaching("rack-gaps", 236)
def _rack_gaps(p: Pen) -> None:
    for x, sure in ((14, True), (210, False)):
        p.box(x, 40, 176, 130, "#ffffff", ink.FAINT)
        for row in range(6):
            p.line(x + 4, 54 + 21 * row, x + 172, 54 + 21 * row, edge="#d6d0c4", width=pen.FINE)
        (p.good if sure else p.bad)(x + 12, 22)
    for x, y in ((26, 62), (110, 62), (26, 108), (110, 108), (26, 154), (110, 154)):
        p.put(parts.piece(), x, y, size=0.42)
    for x, y in ((214, 78), (256, 70), (304, 82), (222, 118), (262, 112), (308, 122), (216, 160), (262, 154)):
        p.put(parts.piece(), x, y, size=0.5)
    for y in (78, 124):
        p.arrow(6, y, 190, y)
    p.box(150, 28, 36, 24, "#f7ecd0", ink.INK, pen.FINE)
    p.say(168, 45, "No 3", size=pen.SMALL, ground="#f7ecd0", bold=True)
    p.say(102, 196, "a gap on every side,\none rack marked")
    p.say(298, 196, "pieces touch,\nno air between")


@teaching("crust-in-section", 240)
def _crust_in_section(p: Pen) -> None:
    for x, sure in ((16, True), (212, False)):
        p.box(x, 92, 172, 76, "#efa98b", _EDGE)
        if sure:
            p.box(x, 92, 172, 24, "#f4c4a9", "none")
        p.line(x, 168, x + 172, 168, edge=pen.FISH_DARK, width=5)
        (p.good if sure else p.bad)(x + 12, 24)
    p.box(16, 92, 172, 76, "none", _EDGE)
    p.box(212, 92, 172, 16, "#5b3013", _EDGE)
    for x in (52, 102, 152):
        p.arrow(x, 152, x, 66)
    for x in (248, 298, 348):
        p.arrow(x, 156, x, 116)
        p.put(parts.drop(), x + 20, 152, size=0.6)
    p.say(112, 29, "cool, moist, moving", bold=True)
    p.say(310, 29, "dry, warm, fast", bold=True)
    p.point(336, 66, "hard shell", 336, 100)
    p.say(102, 196, "water comes up\nas fast as it leaves")
    p.say(298, 196, "water is shut in:\nwet inside")


@teaching("wet-face", 210)
def _wet_face(p: Pen) -> None:
    blade = Pen(0)
    blade.way("M0 0 C0 -18 14 -18 12 -8 C10 -2 4 0 0 0 Z", pen.STEEL, width=pen.FINE)
    for y in (52, 76, 100):
        p.arrow(58, y, 116, y)
    p.dot(32, 76, 24, "#ffffff", ink.INK, pen.LINE)
    for turn in range(0, 360, 90):
        p.put(blade, 32, 76, turn=turn)
    p.put(parts.piece(), 132, 132, size=1.3)
    p.put(parts.rack(200), 128, 138)
    for x in (168, 204, 240):
        p.arrow(x, 70, x, 30)
    p.put(parts.thermometer(0.35, ink.ACCENT), 346, 128, size=0.9)
    p.put(parts.thermometer(0.7), 52, 186, size=0.6)
    p.say(112, 186, "air 12 °C")
    p.say(312, 166, "wet face 10 °C", bold=True)
    p.say(300, 30, "water leaves\nand takes heat")
    p.say(290, 196, "Only a probe tells.", size=pen.SMALL)


@teaching("wood-by-look", 302)
def _wood_by_look(p: Pen) -> None:
    names = ("split hardwood", "clean chips", "paint", "glued board", "pallet", "mould", "resin", "no name")
    for place, name in enumerate(names):
        x, y = (10 + 195 * place, 30) if place < 2 else (10 + 130 * ((place - 2) % 3), 134 + 96 * (place > 4))
        wide = 185 if place < 2 else 120
        p.box(x, y - 18, wide, 64, pen.FINE_TINT if place < 2 else pen.BAD_TINT, ink.FAINT, pen.FINE)
        (p.good if place < 2 else p.bad)(x + 14, y - 4)
        p.say(x + wide / 2, y + 64, name)
    for x in (78, 104, 130):
        p.way(f"M{x} 24 l22 -4 l0 44 l-22 4 Z", pen.WOOD)
        p.line(x + 6, 30, x + 6, 62, edge="#8a6a3f", width=pen.FINE)
    for x, y in ((272, 60), (296, 46), (318, 62), (340, 48), (286, 34), (330, 30)):
        p.way(f"M{x} {y} l18 -5 l4 8 l-19 6 Z", pen.WOOD)
    p.box(42, 130, 66, 26, pen.WOOD)
    p.way("M42 130 h66 v11 q-8 12 -16 0 q-8 8 -16 0 q-8 14 -16 0 q-8 6 -18 0 Z", "#5b87a8")
    p.box(172, 130, 66, 26, "#d8bd92")
    p.dots("180,138 190,146 198,136 210,148 220,140 230,146 186,152 206,142", 2.4, "#8a6a3f")
    for y in (126, 140, 154):
        p.box(304, y, 66, 8, pen.WOOD, ink.INK, pen.FINE, 1)
    p.dots("312,130 360,130 312,144 360,144 312,158 360,158", 1.6, ink.INK)
    p.box(42, 226, 66, 26, pen.WOOD)
    p.dots("56,236 66,244 78,234 90,246 98,236", 5, "#a9b8a4", "#5f7a5c")
    p.box(172, 226, 66, 26, pen.WOOD)
    p.put(parts.drop(), 196, 258, size=0.9)
    p.put(parts.drop(), 216, 252, size=0.7)
    p.way(
        "M312 258 C306 236 312 226 322 224 L318 216 L352 216 L348 224 C358 226 364 236 358 258 Z", "#efe6d3"
    )
    p.say(335, 247, "?", bold=True, ground="#efe6d3", size=18)


@teaching("four-helpers", 256)
def _four_helpers(p: Pen) -> None:
    for place, (name, words) in enumerate(
        (
            ("Salt", "binds the water\nthat germs need"),
            ("Heat in the core", "held long enough:\nkills living germs"),
            ("Cold", "slows what is left,\nstops nothing"),
            ("Smoke", "only at the surface,\nnever enough alone"),
        )
    ):
        x, y = 10 + 194 * (place % 2), 10 + 122 * (place // 2)
        p.box(x, y, 186, 112)
        p.say(x + 92, y + 24, name, bold=True, ground="#ffffff")
        p.say(x + 92, y + 82, words, ground="#ffffff")
    for x in (82, 96, 110):
        p.box(x, 46, 9, 9, "#ffffff", ink.INK, pen.FINE, 1)
    p.put(parts.flame(), 296, 74, size=0.85)
    p.put(parts.flake(), 102, 180)
    p.way(
        "M280 194 q-7 -8 0 -15 q7 -7 0 -14 M296 194 q-7 -8 0 -15 q7 -7 "
        "0 -14 M312 194 q-7 -8 0 -15 q7 -7 0 -14",
        edge="#5d666b",
        width=3,
    )


@teaching("smoke-tray", 232)
def _smoke_tray(p: Pen) -> None:
    p.line(40, 150, 48, 176, 300, 176, 308, 150, fill=pen.STEEL)
    for x in range(56, 296, 22):
        p.way(f"M{x} 150 l9 -11 l11 11 Z", "#e0793f" if 76 < x < 110 else "#d6d0c4" if x < 80 else pen.WOOD)
    for x in (98, 112, 126):
        p.way(f"M{x} 128 q-8 -10 0 -20 q8 -10 0 -20 q-6 -8 0 -14", edge="#5d666b", width=3)
    p.arrow(132, 74, 218, 62, "#5d666b")
    p.line(214, 60, 214, 8, edge=ink.FAINT)
    p.line(242, 60, 242, 8, edge=ink.FAINT)
    p.arrow(228, 52, 228, 10, "#5d666b")
    p.arrow(12, 196, 60, 184)
    p.say(292, 40, "flue open")
    p.point(64, 108, "ash", 66, 146)
    p.point(196, 112, "glow", 96, 144, anchor="start")
    p.point(274, 120, "fresh chips", 250, 144)
    p.say(84, 214, "a little air")
    p.arrow(120, 192, 210, 192, pen.HOT)
    p.say(262, 197, "it creeps")
    p.put(parts.flame(), 356, 180, size=1.2)
    p.bad(356, 116)
    p.say(352, 210, "no flame")


@teaching("gas-get-out", 208)
def _gas_get_out(p: Pen) -> None:
    for place, words in enumerate(
        ("all go out\nto fresh air", "call for help\nfrom outside", "nobody\ngoes back in")
    ):
        x = 10 + 130 * place
        p.box(x, 12, 120, 134)
        p.dot(x + 18, 30, 11, ink.ACCENT)
        p.say(x + 18, 35, str(place + 1), bold=True, colour="#ffffff", ground=ink.ACCENT)
        p.say(x + 60, 170, words)
    p.box(26, 58, 34, 80, pen.BAD_TINT)
    p.put(parts.person(0.15, arms=(20, 10)), 88, 138, size=0.72)
    p.arrow(98, 46, 124, 46)
    p.put(parts.person(0, arms=(10, -12)), 194, 138, size=0.72)
    p.box(204, 54, 7, 15, ink.INK, ink.INK, 1, 2)
    p.box(296, 58, 40, 80, pen.BAD_TINT)
    p.say(316, 102, "CO", bold=True, ground=pen.BAD_TINT)
    p.bad(358, 98)
