"""Teaching pictures of lessons 0 and 1: the house, the fish as it comes in, the trim, the bones."""

from __future__ import annotations

from kit.views.pictures import ink, parts, pen
from kit.views.pictures.pen import Pen
from kit.views.pictures.teaching import teaching

_BACK, _SPOT = "#58727c", "#f0e9c8"


@teaching("house-dangers", 300)
def _house_dangers(p: Pen) -> None:
    names = ("wet floor", "heavy box", "bare cable", "CO gas", "hot ash", "strong mix", "cold room")
    for place, name in enumerate(names):
        x, y = 56 + 96 * (place % 4), 26 + 146 * (place // 4)
        x += 48 if place > 3 else 0
        p.box(x - 42, y, 84, 84)
        p.say(x, y + 106, name)
    p.put(parts.drop(), 40, 70, size=1.4)
    p.put(parts.drop(), 68, 84, size=1.4)
    p.line(22, 96, 90, 96, edge=ink.FAINT)
    p.put(parts.person(0.3, knees=0.5, arms=(22, 22)), 144, 100, size=0.6)
    p.box(158, 70, 24, 20, pen.ICE)
    p.way("M214 78 C230 40 240 100 252 62 l14 0", width=5, edge="#4d5a60")
    p.way("M266 62 l12 -6 m-12 6 l14 2 m-14 -2 l10 8", edge=pen.HOT)
    p.way("M318 88 C306 86 308 70 322 72 C324 52 352 50 356 68 C372 64 376 88 362 88 Z", "#e7e3da")
    p.say(340, 82, "CO", bold=True, ground="#e7e3da")
    p.put(parts.bucket(pen.STEEL), 76, 184, size=0.8)
    p.dots("92,222 106,232 112,214", 3.4, pen.HOT)
    p.way("M186 196 l28 0 l8 50 l-44 0 Z M192 196 l0 -14 l16 0 l0 14", pen.WATER)
    p.put(parts.drop(), 200, 236, size=0.9)
    p.box(270, 180, 52, 70, "#e3eaec")
    p.put(parts.flake(), 296, 204, size=0.8)
    p.dot(312, 228, 4, pen.BAD)


@teaching("who-is-asked", 236)
def _who_is_asked(p: Pen) -> None:
    rows = (
        ("People in danger", "Stop. Get safe. Warn all.", pen.BAD_TINT, pen.BAD),
        ("A batch on hold, a limit,\na change of the card", "Keep it safe. Ask Chef.", "#f7ecd0", "#7a5426"),
        ("Your work on the card", "Do it. Write it down.", pen.FINE_TINT, pen.GOOD),
    )
    for row, (case, road, ground, colour) in enumerate(rows):
        y = 12 + 74 * row
        p.box(10, y, 178, 62)
        p.box(222, y, 168, 62, ground, colour)
        p.arrow(190, y + 31, 218, y + 31, colour)
        p.say(99, y + (36 if "\n" not in case else 28), case, ground="#ffffff", bold=True, size=pen.SMALL)
        p.say(306, y + 36, road, ground=ground, size=pen.SMALL)


@teaching("lift-a-box", 204)
def _lift_a_box(p: Pen) -> None:
    for x, words in ((104, "knees bend,\nbox close"), (298, "back bends,\narms reach far")):
        p.line(x - 80, 146, x + 84, 146, edge=ink.FAINT)
        p.say(x, 172, words)
    p.put(parts.person(0.25, knees=0.9, arms=(26, 34)), 84, 142)
    p.put(parts.crate(), 96, 118, size=0.5)
    p.put(parts.person(1.3, arms=(34, 42)), 266, 142)
    p.put(parts.crate(), 322, 118, size=0.5)
    p.good(24, 28)
    p.bad(222, 28)


@teaching("outside-of-a-fish", 216)
def _outside(p: Pen) -> None:
    p.put(parts.fish(), 50, 108)
    p.point(64, 44, "eye", 82, 99)
    p.point(118, 22, "gill cover", 124, 94)
    p.point(204, 22, "back fin", 196, 58)
    p.point(294, 36, "adipose fin", 274, 76)
    p.point(366, 56, "tail", 336, 90)
    p.point(48, 176, "mouth", 62, 117)
    p.point(366, 168, "side line", 284, 106)
    p.point(118, 204, "belly fin", 200, 154)
    p.point(222, 204, "vent", 238, 139)
    p.point(306, 204, "anal fin", 266, 150)


@teaching("four-fish", 292)
def _four_fish(p: Pen) -> None:
    dark = (
        "90,-24 110,-18 130,-26 150,-14 170,-22 190,-12 210,-8 230,-4 "
        "120,8 160,6 200,6 282,-18 284,16 142,-46"
    )
    light = "90,-16 110,-6 134,-18 156,-2 178,-14 200,0 222,-8 120,10 150,12 188,12 240,2"
    few = "84,-22 112,-26 140,-24 168,-22 196,-16 52,-14"
    p.put(parts.fish(marks=dark, mark="#39424a"), 14, 64, size=0.58)
    p.way("M52 66 C90 60 130 62 164 64", edge="#d8758a", width=7)
    p.put(
        parts.fish(side="#7d8a72", back="#4f5f52", marks=light, mark=_SPOT, rim="#ffffff"), 212, 64, size=0.58
    )
    p.put(parts.fish(marks=few, mark="#2b3338"), 14, 206, size=0.58)
    p.put(_mackerel(), 212, 206, size=0.58)
    for x, y, name, sign in (
        (101, 116, "Rainbow trout", "pink band, dark spots"),
        (301, 116, "Arctic char", "pale spots, white edges"),
        (101, 260, "Atlantic salmon", "few spots, up high"),
        (301, 260, "Mackerel", "stripes, finlets"),
    ):
        p.say(x, y, name, bold=True)
        p.say(x, y + 18, sign)


def _mackerel() -> Pen:
    one = Pen(0)
    one.way("M262 -5 C276 -12 286 -30 300 -36 C286 -8 286 8 300 36 C286 30 276 12 262 5 Z", _BACK)
    one.way("M92 -30 L100 -48 L128 -30 Z M186 -24 L194 -38 L206 -20 Z M186 24 L194 36 L206 19 Z", _BACK)
    one.way(
        "M216 -16 l6 -7 l3 9 M232 -12 l6 -7 l3 9 M248 -8 l6 -6 l3 8 M216 16 l6 7 l3 -9 M232 12 l6 7 l3 -9",
        _BACK,
    )
    body = (
        "M0 3 C30 -22 80 -31 130 -31 C190 -31 236 -12 266 -5 L266 5 C236 12 190 30 130 30 C80 30 30 20 0 3 Z"
    )
    one.way(body, pen.BELLY, "none")
    one.way("M0 3 C30 -22 80 -31 130 -31 C190 -31 236 -12 266 -5 C190 -6 90 -6 0 3 Z", _BACK, "none")
    for x in range(70, 232, 18):
        one.way(f"M{x} -{28 - max(0, x - 130) * 0.13:.0f} q9 8 1 14 q-6 6 2 10", width=pen.LINE)
    one.way(body)
    one.way("M58 -25 C70 -10 70 10 58 25", width=pen.FINE)
    one.dot(32, -6, 6, "#ffffff", ink.INK, pen.FINE)
    one.dot(32, -6, 3.2)
    return one


@teaching("eyes-and-gills", 300)
def _eyes_and_gills(p: Pen) -> None:
    for x, name, sure in ((104, "FRESH", True), (298, "OLD", False)):
        p.box(x - 88, 10, 176, 280, pen.FINE_TINT if sure else pen.BAD_TINT, ink.FAINT, pen.FINE)
        ground = pen.FINE_TINT if sure else pen.BAD_TINT
        p.say(x, 34, name, bold=True, ground=ground)
        (p.good if sure else p.bad)(x - 70, 30)
        p.dot(x, 84, 34, "#ffffff" if sure else "#d8d6cc", ink.INK, pen.LINE)
        p.dot(x, 84, 17, ink.INK if sure else "#8d9089")
        p.dot(x - 7, 76, 5 if sure else 0, "#ffffff")
        p.say(x, 138, "clear, stands out" if sure else "cloudy, sunken", ground=ground)
        tint, edge = ("#d23b3f", "#7d0f16") if sure else ("#8d6a4e", "#4f3a29")
        for fold in range(7):
            p.way(f"M{x - 40 + 13 * fold} 176 q12 34 0 68", edge=edge, width=9)
            p.way(f"M{x - 40 + 13 * fold} 176 q12 34 0 68", edge=tint, width=6)
        if not sure:
            p.dots("266,196 292,216 312,188 330,222 282,234", 5, "#d9d3a6", "#8d8a5f")
        p.say(x, 274, "bright red, clean" if sure else "brown, slime", ground=ground)


@teaching("press-the-flesh", 196)
def _press(p: Pen) -> None:
    for x, sure in ((14, True), (212, False)):
        way = "q22 0 44 0" if sure else "q10 0 16 14 q6 6 12 0 q6 -14 16 -14"
        p.way(f"M{x} 106 q30 -10 56 -8 {way} q40 4 74 10 l0 34 l-174 0 Z", pen.FLESH, "#7d4630")
        p.put(parts.hand(), x + 82, 92 if sure else 84, size=0.62, turn=-48)
        (p.good if sure else p.bad)(x + 14, 24)
        p.say(x + 87, 168, "springs back: fresh" if sure else "the dent stays: old")
    p.arrow(64, 92, 64, 66)


@teaching("box-on-ice", 220)
def _box_on_ice(p: Pen) -> None:
    for x, sure in ((40, True), (240, False)):
        p.put(parts.crate(iced=sure), x, 76)
        if not sure:
            p.line(244, 102, 247, 128, 352, 128, 356, 102, edge="none", fill="#c9b59d")
        p.put(parts.fish(), x + 14, 106, size=0.3)
        (p.good if sure else p.bad)(x + 4, 28)
    p.put(parts.ice_bits(100), 50, 88)
    p.put(parts.ice_bits(92), 54, 128)
    for x in (74, 100, 126):
        p.put(parts.drop(), x, 160, size=0.8)
    p.put(parts.probe(74), 112, 100, turn=-42)
    p.say(100, 186, "ice under and over,\nwater drains")
    p.say(300, 186, "in its own water,\nno ice above")
    p.point(184, 24, "probe", 158, 58)


@teaching("histamine-clock", 214)
def _histamine(p: Pen) -> None:
    p.put(_mackerel(), 12, 60, size=0.34)
    p.arrow(122, 60, 150, 60)
    p.put(parts.thermometer(0.9), 184, 92, size=0.9)
    p.put(parts.germs(12), 210, 48, size=0.8)
    p.arrow(230, 60, 258, 60)
    p.put(parts.flame(), 288, 82)
    p.put(parts.flake(), 330, 62)
    p.bad(370, 62)
    p.say(62, 118, "dark, fat fish")
    p.say(190, 118, "warm hours\nmake histamine")
    p.say(322, 118, "heat or freezing\ndo not take it out")
    p.box(60, 158, 280, 44, pen.FINE_TINT, pen.GOOD)
    p.put(parts.flake(), 84, 180, size=0.9)
    p.say(212, 185, "Cold from the start stops it.", bold=True, ground=pen.FINE_TINT)


@teaching("kill-the-larvae", 214)
def _larvae(p: Pen) -> None:
    p.box(142, 70, 116, 66, pen.FLESH, "#7d4630")
    p.way(
        "M176 110 C160 104 166 84 184 86 C206 88 206 114 190 112 C182 110 186 98 196 100",
        edge=pen.BAD,
        width=4,
    )
    p.say(200, 156, "larva in the flesh")
    p.put(parts.flame(), 50, 62)
    p.put(parts.flake(), 50, 134)
    for x, y, words in ((66, 84, "core 60 °C\nfor 1 min"), (66, 166, "deep freezing\nby the rule")):
        p.say(x, y, words)
    p.good(92, 44)
    p.good(92, 134)
    for y, words in ((50, "cold smoke"), (112, "salt alone"), (174, "looking: finds")):
        p.say(326, y, words)
        p.bad(326, y - 28 if y > 60 else y - 26)
    p.say(326, 192, "some, kills none")


@teaching("fillet-parts", 224)
def _fillet_parts(p: Pen) -> None:
    p.put(parts.fillet(), 26, 40, size=0.58)
    p.point(206, 24, "loin: thick, highest", 220, 84)
    p.point(56, 24, "head end", 52, 94)
    p.point(352, 44, "tail: narrow", 342, 106)
    p.line(64, 104, 214, 101, edge=pen.BAD, width=2.4, dash="2 6")
    p.point(284, 196, "pin-bone line", 200, 102)
    p.point(120, 214, "belly: soft, fat", 150, 148)
    p.point(356, 166, "seam", 300, 110)


@teaching("pin-bone-line", 240)
def _pin_bone_line(p: Pen) -> None:
    p.put(parts.fillet(), 34, 8, size=0.5)
    for step in range(13):
        p.line(64 + 11 * step, 63, 70 + 11 * step, 68, width=2.2)
    p.put(parts.hand(), 92, 56, size=0.5, turn=-46)
    p.arrow(196, 48, 232, 48)
    p.say(280, 24, "feel head to tail", size=pen.SMALL)
    p.point(318, 124, "about the vent", 208, 68)
    p.way("M120 222 C110 168 150 152 210 158 C262 164 300 196 306 222 Z", pen.FLESH, "#7d4630")
    p.line(120, 222, 306, 222, edge=pen.FISH_DARK, width=5)
    p.line(206, 206, 194, 172, width=3)
    p.point(78, 196, "loin: thick", 148, 192, anchor="end")
    p.point(352, 188, "belly", 282, 206)
    p.point(86, 156, "bone", 196, 178)
    p.say(352, 234, "cut across")


@teaching("pull-with-the-grain", 196)
def _pull(p: Pen) -> None:
    p.way("M20 120 C120 108 280 108 380 120 L380 152 L20 152 Z", pen.FLESH, "#7d4630")
    for x in (120, 160, 200, 240, 280):
        p.line(x, 138, x - 22, 112, width=2.6)
    p.line(178, 112, 168, 96, width=2.6)
    p.way("M172 100 L128 44 M166 102 L114 52", edge="#4d5a60", width=5)
    p.put(parts.hand(), 206, 108, size=0.56, turn=-40)
    p.arrow(100, 88, 62, 52)
    p.say(64, 38, "to the head")
    p.say(180, 40, "tweezers")
    p.say(328, 40, "a finger holds\nthe flesh")
    p.say(200, 178, "head end on the left")


@teaching("trim-cuts", 232)
def _trim_cuts(p: Pen) -> None:
    p.put(parts.fillet(), 26, 32, size=0.58)
    p.line(62, 60, 62, 148, edge=pen.BAD, dash="6 4", width=2.6)
    p.way("M66 142 C130 154 220 150 300 128", edge=pen.BAD, dash="6 4", width=2.6)
    p.way("M76 66 C130 56 210 60 280 76", edge=pen.BAD, dash="6 4", width=2.6)
    p.line(326, 82, 326, 122, edge=pen.BAD, dash="6 4", width=2.6)
    p.dots("182,116 192,120", 4, pen.BLOOD)
    p.put(parts.knife(90), 64, 58, turn=-58, size=0.62)
    for number, x, y in ((1, 40, 104), (2, 132, 136), (3, 210, 72), (4, 346, 102), (5, 206, 112)):
        p.dot(x, y, 10, "#ffffff", ink.INK)
        p.say(x, y + 5, str(number), bold=True, ground="#ffffff")
    p.say(22, 196, "1 collar\n2 belly edge, ribs", anchor="start")
    p.say(176, 196, "3 back edge\n4 thin tail", anchor="start")
    p.say(296, 196, "5 blood spots", anchor="start")


@teaching("knife-hand", 196)
def _knife_hand(p: Pen) -> None:
    p.box(30, 122, 340, 14, pen.WOOD)
    p.box(60, 137, 280, 7, pen.CLOTH, ink.INK, pen.FINE, 2)
    p.put(parts.piece(), 120, 118, size=1.2)
    p.way("M60 62 L104 52 C130 48 148 62 148 80 C148 90 140 94 132 92 L104 94 C90 94 78 92 60 90 Z", pen.SKIN)
    p.way(
        "M132 60 C126 70 126 84 132 92 M118 58 C112 68 112 84 118 93 M104 60 C98 70 98 84 104 94",
        width=pen.FINE,
    )
    p.box(34, 60, 28, 34, pen.CLOTH, ink.INK, pen.FINE, 3)
    p.put(parts.knife(130), 226, 88, turn=-14)
    p.arrow(246, 52, 300, 40)
    p.say(88, 40, "finger tips bent back")
    p.say(316, 28, "cut away")
    p.point(200, 176, "damp cloth: the board stands still", 300, 141)


@teaching("hold-label", 214)
def _hold_label(p: Pen) -> None:
    p.line(12, 160, 170, 160, edge=ink.FAINT, width=5)
    p.put(parts.crate(), 32, 104)
    p.put(parts.fish(), 48, 106, size=0.28)
    p.box(58, 118, 66, 26, pen.BAD_TINT, pen.BAD)
    p.say(91, 136, "HOLD", bold=True, colour=pen.BAD, ground=pen.BAD_TINT)
    p.say(90, 186, "its own shelf")
    p.box(196, 16, 192, 184, pen.BAD_TINT, pen.BAD)
    p.say(292, 42, "HOLD: do not use", bold=True, colour=pen.BAD, ground=pen.BAD_TINT)
    for row, words in enumerate(
        ("what: char, 12 kg", "delivery: D-14", "why: core 7 °C", "when: Mon, 06:50", "name: Oisín")
    ):
        p.say(212, 72 + 26 * row, words, anchor="start", ground=pen.BAD_TINT)
