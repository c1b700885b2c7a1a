"""Teaching pictures of lessons 5 and 6: the cook and its probe, the chilling, the store, the label."""

from __future__ import annotations

from kit.views.pictures import ink, parts, pen
from kit.views.pictures.pen import Pen
from kit.views.pictures.teaching import teaching

_SMOKE = "#5d666b"


def _smoke(p: Pen, x: float, y: float) -> None:
    for dx in (-14, 0, 14):
        p.way(f"M{x + dx} {y} q-7 -8 0 -15 q7 -7 0 -14", edge=_SMOKE, width=3)


@teaching("smoke-words", 284)
def _smoke_words(p: Pen) -> None:
    kinds = (
        ("Hot-smoked", "cooked through,\nit flakes", pen.GOLD),
        ("Cold-smoked", "cool smoke,\nslices like raw", "#ee8f68"),
        ("Smoke-dried", "dry, keeps in\na cupboard", "#8a5a34"),
        ("Smoke-flavoured", "flavour from\na bottle", "#e8c39f"),
    )
    for place, (name, says, face) in enumerate(kinds):
        x, y = 100 + 200 * (place % 2), 64 + 138 * (place // 2)
        p.put(parts.piece(face=face), x - 56, y, size=0.75)
        p.say(x, y + 26, name, bold=True)
        p.say(x, y + 44, says)
    _smoke(p, 24, 62)
    p.put(parts.thermometer(0.9), 178, 58, size=0.5)
    _smoke(p, 224, 62)
    p.put(parts.thermometer(0.25, ink.ACCENT), 378, 58, size=0.5)
    _smoke(p, 24, 200)
    p.arrow(166, 182, 194, 182)
    p.way("M368 168 l10 0 l0 8 l6 8 l0 18 l-22 0 l0 -18 l6 -8 Z", "#f4d58a")
    p.dots("350,178 344,186 352,190", 2, ink.INK)


@teaching("probe-right-and-wrong", 276)
def _probe_right_and_wrong(p: Pen) -> None:
    for place, (words, tip, turn) in enumerate(
        (
            ("in the core", (50, -23), -24),
            ("in the thin tail", (128, -6), -64),
            ("just under the face", (64, -41), -16),
            ("down to the rack", (50, 6), -52),
        )
    ):
        x, y = 14 + 190 * (place % 2), 86 + 134 * (place // 2)
        p.put(parts.piece(), x, y)
        p.put(parts.rack(150), x, y + 3)
        p.put(parts.probe(76), x + tip[0], y + tip[1], turn=turn)
        p.dot(x + tip[0], y + tip[1], 4, pen.GOOD if place == 0 else pen.BAD, "#ffffff", 1.4)
        (p.bad if place else p.good)(x + 4, y - 62)
        p.say(x + 78, y + 38, words, bold=place == 0)


@teaching("probe-the-load", 268)
def _probe_the_load(p: Pen) -> None:
    p.box(20, 16, 236, 240)
    for row, tint in enumerate(("#f5d3b8", "#f8e7d3", "#dfeaee")):
        p.box(24, 20 + 78 * row, 228, 76, tint, "none", 0, 2)
        p.put(parts.rack(200), 38, 78 + 76 * row)
    p.box(20, 16, 236, 240, "none")
    p.line(20, 40, 20, 232, edge=pen.FISH_DARK, width=8)
    for row in range(3):
        for column in range(3):
            thick = 0.62 if (row, column) == (2, 0) else 0.34
            p.put(parts.piece(), 40 + 74 * column, 76 + 76 * row, size=0.4 if thick < 0.5 else 0.48)
    p.put(parts.probe(70), 64, 218, turn=-40)
    p.point(272, 48, "warm air above", 236, 44, anchor="start")
    p.point(272, 140, "thin pieces", 226, 146, anchor="start")
    p.say(272, 200, "thickest piece,\ncoolest place:\nprobe here", anchor="start", bold=True)
    p.arrow(266, 194, 122, 194)
    p.say(46, 36, "door", size=pen.SMALL, ground="#f5d3b8")


@teaching("hot-probe", 270)
def _hot_probe(p: Pen) -> None:
    steps = ("wash, disinfect", "slant in, hold the grip", "needle hot: glove", "wash, disinfect")
    for place, words in enumerate(steps):
        x, y = 8 + 196 * (place % 2), 8 + 130 * (place // 2)
        p.box(x, y, 188, 94)
        p.dot(x + 18, y + 18, 11, ink.ACCENT)
        p.say(x + 18, y + 23, str(place + 1), bold=True, colour="#ffffff", ground=ink.ACCENT)
        p.say(x + 94, y + 113, words)
        if place in (0, 3):
            p.put(parts.probe(100), x + 48, y + 64, turn=-8)
            for dx in (60, 84, 108):
                p.put(parts.drop(), x + dx, y + 42, size=0.8)
    p.put(parts.piece(), 218, 92, size=0.72)
    p.put(parts.probe(86), 252, 76, turn=-26)
    p.put(parts.hand(), 318, 44, size=0.5, turn=-26)
    p.put(parts.probe(110), 32, 206, turn=-8)
    p.put(parts.hand(glove="#7fa6ad"), 122, 194, size=0.52, turn=-8)
    p.way("M50 188 q-5 -6 0 -11 q5 -5 0 -10 M68 186 q-5 -6 0 -11 q5 -5 0 -10", edge=pen.HOT, width=2.6)


@teaching("heat-and-what", 252)
def _heat_and_what(p: Pen) -> None:
    p.put(parts.flame(), 34, 52)
    p.say(62, 40, "Heat, held in the core", bold=True, anchor="start")
    rows = (
        (76, "living germs", "killed", True),
        (118, "parasite larvae", "killed", True),
        (160, "spores", "live on: salt and cold", False),
        (202, "histamine, poisons", "stay: cold from the start", False),
    )
    for y, what, says, sure in rows:
        p.box(8, y, 384, 36, pen.FINE_TINT if sure else pen.BAD_TINT, ink.FAINT, pen.FINE)
        ground = pen.FINE_TINT if sure else pen.BAD_TINT
        p.say(50, y + 23, what, anchor="start", ground=ground, bold=True)
        p.say(214, y + 23, says, anchor="start", ground=ground)
        (p.good if sure else p.bad)(196, y + 18)
    p.put(parts.germs(9), 28, 94, size=0.8)
    p.way("M20 138 q6 -12 12 -2 q4 10 8 0", edge=pen.BAD, width=3)
    p.dot(28, 178, 9, "#efe6d3", ink.INK, 3)
    p.dot(28, 178, 3.4, pen.HOT)
    p.way("M20 226 l8 -14 l8 14 Z", "#f0b83c", ink.INK, pen.FINE)


@teaching("limit-two-parts", 214)
def _limit_two_parts(p: Pen) -> None:
    curves = (
        ("met", "M14 150 C44 110 60 62 76 58 C96 54 110 56 122 74", True),
        ("too cool", "M14 150 C44 120 60 98 76 94 C96 92 110 94 122 106", False),
        ("too short", "M14 150 C44 130 62 84 80 62 C88 58 92 66 98 86 L122 132", False),
    )
    for place, (name, way, sure) in enumerate(curves):
        one = Pen(0)
        one.line(12, 40, 12, 154, 124, 154, edge=ink.FAINT)
        one.line(12, 78, 124, 78, dash="4 4", width=pen.FINE)
        one.way(way, edge="#0072B2", width=3)
        p.put(one, 6 + 128 * place, 0)
        (p.good if sure else p.bad)(24 + 128 * place, 24)
        p.say(42 + 128 * place, 29, name, bold=True, anchor="start")
    for low, high, colour in ((68, 128, pen.GOOD), (329, 350, pen.BAD)):
        p.line(low, 166, high, 166, width=4, edge=colour)
    p.say(44, 73, "limit", size=pen.SMALL)
    p.say(200, 192, "Reach the line, and stay over it long enough.")


@teaching("chill-clock", 244)
def _chill_clock(p: Pen) -> None:
    p.line(16, 52, 388, 52, edge=ink.FAINT, width=5)
    marks = (
        (38, "out of\nthe heat"),
        (122, "into the\nchiller"),
        (206, "57 °C"),
        (284, "21 °C"),
        (366, "3 °C"),
    )
    for x, says in marks:
        p.dot(x, 52, 7, "#ffffff", ink.INK, pen.LINE)
        p.say(x, 20 if "\n" in says else 36, says)
    for y, x, end, name, to, colour in (
        (108, 38, 366, "Ireland", 366, pen.GOOD),
        (158, 122, 366, "UK, in the chiller", 366, ink.ACCENT),
        (208, 206, 284, "US, first part", 398, pen.HOT),
    ):
        p.line(x, 60, x, y, edge=colour, width=pen.FINE, dash="3 4")
        p.arrow(x, y, end, y, colour, 5)
        p.say(to - 4, y + (5 if to > 366 else -10), name, anchor="end")


@teaching("chill-layouts", 226)
def _chill_layouts(p: Pen) -> None:
    ways = (
        ("fast", "one layer,\nmoving air"),
        ("slow", "stacked\non a tray"),
        ("slowest", "deep box, lid,\nno moving air"),
    )
    for place, (name, says) in enumerate(ways):
        x = 10 + 130 * place
        p.box(x, 44, 120, 112, "#eaf2f5" if place < 2 else "#f8e7d3")
        (p.bad if place else p.good)(x + 14, 22)
        p.say(x + 66, 27, name, bold=True)
        p.say(x + 60, 180, says)
    for y in (86, 136):
        for x in (22, 74):
            p.put(parts.piece(face=pen.GOLD), x, y, size=0.27)
        p.put(parts.rack(100), 20, y + 2)
    for y in (62, 108):
        p.arrow(16, y, 60, y)
        p.arrow(70, y, 114, y)
    for x, y in ((158, 134), (196, 134), (166, 120), (186, 107), (172, 94)):
        p.put(parts.piece(face=pen.GOLD), x, y, size=0.32)
    p.line(152, 136, 248, 136, width=4, edge=ink.FAINT)
    p.line(288, 78, 294, 142, 366, 142, 372, 78, fill=pen.STEEL)
    p.line(282, 76, 378, 76, width=6, edge="#4d5a60")
    for y in (100, 118, 136):
        p.put(parts.piece(face=pen.GOLD), 304, y, size=0.34)


@teaching("cold-store", 250)
def _cold_store(p: Pen) -> None:
    for x, wide, words in ((10, 86, "ready"), (104, 86, "raw")):
        p.box(x, 44, wide, 150, "#eaf2f5")
        p.say(x + wide / 2, 214, words, bold=True)
    p.box(226, 44, 160, 150, "#eaf2f5")
    for x in (10, 104):
        p.line(x + 4, 118, x + 82, 118, edge=ink.FAINT, width=4)
    p.line(230, 112, 382, 112, edge=ink.FAINT, width=4)
    for y in (116, 190):
        p.put(parts.pack(62, 40), 22, y - 44)
    for y in (116, 190):
        p.put(parts.crate(), 115, y - 30, size=0.54)
        p.put(parts.fish(), 122, y - 16, size=0.17)
    p.put(parts.crate(iced=False), 246, 66, size=0.8)
    p.put(parts.fish(), 256, 84, size=0.27)
    for x in (262, 296, 330):
        p.put(parts.drop(), x, 138, size=0.8)
    p.put(parts.piece(face=pen.GOLD), 246, 188, size=0.74)
    p.good(24, 24)
    p.bad(240, 24)
    p.say(100, 240, "each in its own store")
    p.say(306, 214, "raw over ready:\ndrops carry germs")


@teaching("ten-days", 236)
def _ten_days(p: Pen) -> None:
    for place, (says, days) in enumerate(
        (
            ("cold", "10 days\nat most"),
            ("cold, and 3.5 % salt\nin every piece", "more may\nbe asked for"),
            ("not cold", "no days"),
        )
    ):
        x = 66 + 134 * place
        p.put(parts.pack(92, 60), x - 46, 16)
        p.say(x, 146 if place != 1 else 138, says, size=pen.SMALL)
        p.say(x, 190, days, bold=True)
        (p.bad if place == 2 else p.good)(x + 40, 22)
    for x in (66, 184):
        p.put(parts.flake(), x, 104)
    for x in (206, 218, 230):
        p.box(x, 98, 9, 9, "#ffffff", ink.INK, pen.FINE, 1)
    p.put(parts.thermometer(0.9), 334, 124, size=0.5)
    p.say(200, 230, "UK advice for vacuum packs", size=pen.SMALL)


@teaching("days-need-a-text", 206)
def _days_need_a_text(p: Pen) -> None:
    for place, (days, says, sure) in enumerate(
        (
            ("8 days", "the text\nallows 10", True),
            ("12 days", "the text\nallows 10", False),
            ("8 days", "it smelled\ngood", False),
        )
    ):
        x = 10 + 130 * place
        p.box(x + 8, 16, 104, 46, "#ffffff", ink.INK, pen.LINE, 2)
        p.say(x + 60, 45, days, bold=True, ground="#ffffff")
        p.arrow(x + 60, 66, x + 60, 88)
        if place < 2:
            p.put(parts.paper(70, 58, 3), x + 25, 94)
        else:
            p.say(x + 60, 138, "?", size=34, bold=True, colour=pen.BAD)
        (p.good if sure else p.bad)(x + 104, 104)
        p.say(x + 60, 176, says)


@teaching("pack-label", 268)
def _pack_label(p: Pen) -> None:
    p.box(12, 12, 236, 244, "#ffffff", ink.INK, pen.LINE, 2)
    lines = (
        (40, "Hot-smoked char", True),
        (66, "FISH", True),
        (92, "150 g", False),
        (120, "Use by 14 May", True),
        (146, "Keep at 0 to 3 °C", False),
        (172, "Batch 118", False),
        (198, "Harbour Lane", False),
        (216, "1 Quay Row, Saltport", False),
    )
    for y, words, bold in lines:
        p.say(28, y, words, anchor="start", bold=bold, ground="#ffffff")
    p.say(76, 66, "(char), salt, smoke", anchor="start", ground="#ffffff")
    p.line(28, 232, 232, 232, edge=ink.FAINT, width=pen.FINE)
    for y, to_y, to_x, words in (
        (40, 36, 160, "what it is"),
        (72, 62, 216, "allergen in bold"),
        (104, 88, 74, "how much"),
        (136, 116, 142, "last day"),
        (168, 142, 160, "how cold"),
        (200, 168, 104, "which batch"),
        (232, 202, 184, "who made it"),
    ):
        p.point(268, y, words, to_x, to_y, anchor="start")
