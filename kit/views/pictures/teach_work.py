"""Teaching pictures of lessons 0 and 7 to 9: ice, cleaning, hazards, people, records, faults, lots."""

from __future__ import annotations

from kit.views.pictures import ink, parts, pen
from kit.views.pictures.faulty import fault_marks
from kit.views.pictures.pen import Pen
from kit.views.pictures.teaching import teaching


def _number(p: Pen, x: float, y: float, number: int) -> None:
    p.dot(x, y, 11, ink.ACCENT)
    p.say(x, y + 5, str(number), bold=True, colour="#ffffff", ground=ink.ACCENT)


@teaching("tip-in-the-middle", 226)
def _tip_in_the_middle(p: Pen) -> None:
    tips = (("middle", 0, 128), ("at the wall", -30, 128), ("on the bottom", 0, 178), ("in the air", 0, 78))
    for place, (words, dx, y) in enumerate(tips):
        x = 52 + 98 * place
        p.line(x - 36, 84, x - 30, 182, x + 30, 182, x + 36, 84, edge="none", fill=pen.WATER)
        for row in range(4):
            for column in range(3):
                left, top = x - 28 + 19 * column + 3 * (row % 2), 88 + 23 * row
                p.box(left, top, 15, 15, "#ffffff", "#7aa3b6", 1.2, 3)
        p.line(x - 38, 66, x - 31, 184, x + 31, 184, x + 38, 66)
        p.put(parts.probe(66), x + dx, y, turn=-74)
        p.dot(x + dx, y, 4, pen.BAD if place else pen.GOOD, "#ffffff", 1.4)
        (p.bad if place else p.good)(x - 34, 24)
        p.say(x, 210, words, size=pen.SMALL, bold=not place)


@teaching("probe-band", 200)
def _probe_band(p: Pen) -> None:
    p.box(14, 70, 160, 44, pen.FINE_TINT, "none", 0, 0)
    p.box(174, 70, 72, 44, "#d9d4c8", "none", 0, 0)
    p.box(246, 70, 140, 44, pen.BAD_TINT, "none", 0, 0)
    p.line(14, 114, 386, 114)
    p.line(210, 58, 210, 114, dash="4 4")
    p.say(210, 30, "limit 3 °C")
    p.say(210, 50, "probe ±0.5 °C", size=pen.SMALL)
    for x, words, ground in ((92, "met", pen.FINE_TINT), (316, "missed", pen.BAD_TINT)):
        p.say(x, 97, words, bold=True, ground=ground)
    for x, words in ((66, "2.0"), (174, "2.5"), (246, "3.5"), (354, "4.5")):
        p.line(x, 110, x, 118)
        p.say(x, 136, words)
    p.arrow(210, 152, 210, 122)
    p.say(210, 170, "too close to tell:", bold=True)
    p.say(210, 190, "hold and report")


@teaching("clean-steps", 214)
def _clean_steps(p: Pen) -> None:
    steps = ("scrape,\nrinse", "detergent,\nscrub", "rinse", "disinfect\nby label", "wait\nby label")
    for place, words in enumerate(steps):
        x = 8 + 78 * place
        p.box(x, 26, 72, 110)
        _number(p, x + 36, 26, place + 1)
        p.say(x + 36, 162, words, size=pen.SMALL)
        p.box(x + 8, 110, 56, 8, pen.STEEL, ink.INK, pen.FINE, 2)
    p.line(28, 104, 52, 70, width=5, edge="#4d5a60")
    p.dots("28,104 24,98 36,106", 3, pen.FLESH, "#7d4630")
    p.dots("110,100 122,94 134,101 116,86 128,82", 6, "#ffffff", ink.ACCENT)
    for x in (186, 200, 214):
        p.put(parts.drop(), x, 96 - 10 * (x == 200))
    p.way("M266 60 l20 0 l4 40 l-28 0 Z M270 60 l0 -10 l14 0", "#f4d58a")
    p.dot(356, 78, 22, "#ffffff", ink.INK, pen.LINE)
    p.line(356, 78, 356, 62)
    p.line(356, 78, 367, 84)
    p.say(200, 208, "First clean, then disinfect, then wait.", bold=True)


@teaching("clean-or-more", 210)
def _clean_or_more(p: Pen) -> None:
    groups = (
        ("for ready food", "clean,\nthen disinfect"),
        ("far from food", "clean:\nthat is enough"),
        ("breaks, sheds", "out of use,\nreport it"),
    )
    for place, (what, do) in enumerate(groups):
        x = 8 + 130 * place
        p.box(x, 32, 124, 92, (pen.FINE_TINT, "#ffffff", pen.BAD_TINT)[place])
        p.say(x + 62, 22, what, size=pen.SMALL, bold=True)
        p.say(x + 62, 152, do)
    p.put(parts.knife(90), 24, 64)
    p.put(parts.probe(84), 28, 98)
    for row in range(3):
        for column in range(4):
            p.box(146 + 26 * column + 8 * (row % 2), 54 + 16 * row, 24, 14, pen.BRICK, ink.INK, 1.2, 1)
    p.box(288, 62, 88, 13, pen.WOOD)
    for x in range(294, 374, 7):
        p.line(x, 76, x, 92, width=pen.FINE)
    p.line(318, 108, 331, 102, width=pen.FINE)
    p.line(346, 106, 358, 111, width=pen.FINE)
    p.say(200, 200, "The cleaning card says which.", size=pen.SMALL)


@teaching("one-way", 230)
def _one_way(p: Pen) -> None:
    p.box(8, 20, 136, 124, pen.BAD_TINT)
    p.box(144, 20, 100, 124, "#ece3d2")
    p.box(244, 20, 148, 124, pen.FINE_TINT)
    for x, words, ground in (
        (76, "RAW", pen.BAD_TINT),
        (194, "KILN", "#ece3d2"),
        (318, "READY", pen.FINE_TINT),
    ):
        p.say(x, 44, words, bold=True, ground=ground)
    p.put(parts.fish(), 22, 92, size=0.3)
    p.put(parts.piece(face=pen.GOLD), 276, 108, size=0.6)
    p.arrow(118, 88, 172, 88)
    p.arrow(214, 88, 268, 88)
    p.arrow(262, 128, 150, 128, pen.BAD)
    p.bad(206, 128)
    p.put(parts.person(0, arms=(14, 26)), 60, 216, size=0.5)
    p.arrow(84, 190, 120, 190)
    p.say(200, 180, "change the coat,\nwash the hands")
    p.arrow(280, 190, 316, 190)
    p.put(parts.person(0, arms=(14, 26)), 340, 216, size=0.5)
    p.say(200, 220, "people may cross", size=pen.SMALL)


@teaching("bins", 196)
def _bins(p: Pen) -> None:
    kinds = (
        ("fish waste,\nraw side", "#c0504d"),
        ("card,\npaper", "#5b87a8"),
        ("packs,\nfilm", "#b9b4a8"),
        ("ash: metal,\noutside", pen.STEEL),
    )
    for place, (words, colour) in enumerate(kinds):
        x = 52 + 99 * place
        p.put(parts.bucket(colour), x - 32, 24)
        p.say(x, 126, words)
    p.dots("336,68 350,82 358,62", 3.6, pen.HOT)
    p.say(200, 184, "Harbour Lane's colours. Yours may differ.", size=pen.SMALL)


@teaching("four-hazards", 250)
def _four_hazards(p: Pen) -> None:
    kinds = (
        ("Germ", "something living"),
        ("Chemical", "poison, cleaner"),
        ("Hard object", "metal, glass, bone"),
        ("Allergen", "not on the label"),
    )
    for place, (name, says) in enumerate(kinds):
        x, y = 10 + 194 * (place % 2), 8 + 120 * (place // 2)
        p.box(x, y, 186, 112)
        p.say(x + 93, y + 80, name, bold=True, ground="#ffffff")
        p.say(x + 93, y + 100, says, ground="#ffffff")
    p.put(parts.germs(26), 103, 36)
    p.way("M284 18 l26 0 l0 10 l10 14 l0 22 l-46 0 l0 -22 l10 -14 Z", "#f4d58a")
    p.say(297, 58, "!", bold=True, ground="#f4d58a")
    p.way("M76 180 l20 -26 l10 22 Z M112 182 l14 -18 l6 14 Z", "#e9eceb")
    p.put(parts.fish(), 240, 160, size=0.26)
    p.box(326, 144, 46, 32, "#ffffff", ink.INK, pen.FINE, 2)
    p.say(349, 165, "?", bold=True, ground="#ffffff")


@teaching("plan-line", 250)
def _plan_line(p: Pen) -> None:
    rows = (
        ("Hazard", "germs live on in the core"),
        ("Limit", "a number that must be met"),
        ("Check", "what you do while you work"),
        ("Action", "what you do when it is missed"),
        ("Record", "what you write, at once"),
        ("Proof", "a second look: the plan works"),
    )
    for row, (name, says) in enumerate(rows):
        y = 10 + 39 * row
        p.box(10, y, 100, 34, "#ece3d2", ink.INK, pen.FINE, 2)
        p.box(114, y, 276, 34, "#ffffff", ink.INK, pen.FINE, 2)
        p.say(20, y + 22, name, anchor="start", bold=True, ground="#ece3d2")
        p.say(124, y + 22, says, anchor="start", ground="#ffffff")


@teaching("tests-of-packs", 226)
def _tests_of_packs(p: Pen) -> None:
    rows = (
        ("metal detector", "a bit of metal"),
        ("Listeria test", "germs from drain, slicer"),
        ("salt and moisture", "salt in the water"),
        ("PAH test", "chips stood in flames"),
        ("histamine test", "fish stood warm"),
    )
    for row, (test, shows) in enumerate(rows):
        y = 8 + 43 * row
        p.box(8, y, 158, 36, pen.FINE_TINT, ink.FAINT, pen.FINE)
        p.say(18, y + 23, test, anchor="start", bold=True, ground=pen.FINE_TINT)
        p.arrow(172, y + 18, 202, y + 18)
        p.say(212, y + 23, shows, anchor="start")


@teaching("fit-for-work", 224)
def _fit_for_work(p: Pen) -> None:
    cases = (
        ("ill gut,\nyellow skin", "stay off food,\ntell Chef first"),
        ("small\nclean cut", "cover, tell,\nwear a glove"),
        ("sore\nmuscles", "work by the\nusual rules"),
    )
    for place, (case, do) in enumerate(cases):
        x = 70 + 130 * place
        p.put(
            parts.person(0.25 if place == 0 else 0, arms=(8, 34) if place == 0 else (26, 26)),
            x - 8,
            132,
            size=0.92,
        )
        p.say(x, 156, case, bold=True)
        p.say(x, 198, do)
    p.bad(28, 24)
    p.dot(216, 70, 7, "#7fa6ad", ink.INK)
    p.good(292, 24)
    p.say(158, 29, "!", bold=True, colour=pen.BAD, size=22)


@teaching("skin-care", 176)
def _skin_care(p: Pen) -> None:
    steps = ("gloves on", "rinse", "pat dry", "cream", "look, tell")
    for place, words in enumerate(steps):
        x = 8 + 78 * place
        p.box(x, 26, 72, 96)
        _number(p, x + 36, 26, place + 1)
        p.put(parts.hand(glove="#7fa6ad" if place == 0 else pen.SKIN), x + 6, 92, size=0.5)
        p.say(x + 36, 144, words, size=pen.SMALL)
    for x in (108, 122, 136):
        p.put(parts.drop(), x, 72, size=0.8)
    p.box(176, 52, 48, 24, pen.CLOTH, ink.INK, pen.FINE, 2)
    p.box(262, 50, 32, 22, "#f4d58a", ink.INK, pen.FINE, 4)
    p.dots("346,90 356,94 366,88", 2.6, pen.BAD)
    p.say(200, 168, "Red or cracked? Tell Chef.", size=pen.SMALL)


@teaching("fire-first", 220)
def _fire_first(p: Pen) -> None:
    steps = ("all out,\nwarn", "door stays\nshut", "power off,\nif safe", "call from\noutside")
    for place, words in enumerate(steps):
        x = 8 + 98 * place
        p.box(x, 26, 90, 116)
        _number(p, x + 45, 26, place + 1)
        p.say(x + 45, 166, words)
    p.put(parts.person(0.2, arms=(22, 8)), 40, 134, size=0.66)
    p.arrow(58, 126, 92, 126)
    p.box(124, 52, 54, 82, pen.STEEL)
    p.put(parts.flame(), 151, 116, size=1.1)
    p.box(224, 60, 48, 62, "#ffffff", ink.INK, pen.LINE)
    p.line(248, 106, 248, 80, width=6, edge="#4d5a60")
    p.say(248, 76, "0", bold=True, ground="#ffffff")
    p.put(parts.person(0, arms=(10, -12)), 340, 134, size=0.66)
    p.box(350, 58, 7, 14, ink.INK, ink.INK, 1, 2)
    p.say(200, 212, "Never water on a cable.", bold=True)


@teaching("record-shows", 226)
def _record_shows(p: Pen) -> None:
    rows = (
        ("warm at the door", "core read at the door"),
        ("bones left", "count of a second look"),
        ("chilled too slowly", "logger, cabinet to 3 °C"),
        ("a wrong wood", "name and lot, from the sack"),
    )
    for row, (fault, record) in enumerate(rows):
        y = 10 + 54 * row
        p.box(8, y, 154, 44, pen.BAD_TINT, ink.FAINT, pen.FINE)
        p.say(85, y + 27, fault, ground=pen.BAD_TINT, bold=True, size=pen.SMALL)
        p.arrow(168, y + 22, 192, y + 22)
        p.put(parts.paper(196, 44), 196, y)
        p.say(294, y + 27, record, ground="#ffffff", size=pen.SMALL)


@teaching("open-door", 226)
def _open_door(p: Pen) -> None:
    p.box(176, 36, 44, 148, "#ece3d2", "none", 0, 0)
    p.line(36, 20, 36, 184, 388, 184, edge=ink.FAINT)
    p.way(
        "M36 60 L176 60 C184 124 198 124 206 96 C212 76 218 62 226 60 L384 60",
        edge="#000000",
        width=2.4,
        dash="8 4 2 4",
    )
    p.way("M36 172 C90 150 130 112 190 100 C250 92 320 84 384 82", edge="#0072B2", width=3)
    p.say(90, 50, "air", bold=True)
    p.say(96, 124, "core", bold=True)
    p.point(308, 134, "air falls,\nthen comes back:\nthe door was open", 206, 104)
    p.say(212, 208, "minutes in the cabinet")


@teaching("faults-seen", 288)
def _faults_seen(p: Pen) -> None:
    for place, (name, marks) in enumerate(fault_marks(150, 100).items()):
        x, y = 8 + 98 * (place % 4), 10 + 140 * (place // 4)
        dark = {"tarry smoke": "#4a2c17", "crust": "#8a5023"}.get(name, "#dc9350")
        one = Pen(0)
        one.box(76, 42, 148, 116, dark, "#8a4b1c", 3, 8)
        one.raw("".join(marks))
        p.put(one, x - 46, y - 26, size=0.61)
        p.say(x + 45, y + 94, name.replace(" ", "\n", 1))


@teaching("lot-both-ways", 236)
def _lot_both_ways(p: Pen) -> None:
    for x, words in ((58, "delivery"), (200, "batch"), (342, "customer")):
        p.say(x, 146, words, bold=True)
    p.put(parts.crate(), 12, 80, size=0.78)
    p.put(parts.fish(), 24, 96, size=0.22)
    p.put(parts.paper(70, 58, 3), 165, 70)
    p.put(parts.pack(86, 54), 299, 72)
    p.arrow(24, 50, 376, 50)
    p.say(200, 34, "forward: whom do I call?")
    p.arrow(376, 172, 24, 172, pen.HOT)
    p.say(200, 196, "back: where did it come from?")
    p.say(200, 226, "The lot code is on all three.", size=pen.SMALL)


@teaching("three-bills", 196)
def _three_bills(p: Pen) -> None:
    trays = (
        ("this batch", "salt, wood,\nwaste today"),
        ("share of a month", "rent, wear\nof the kiln"),
        ("no cost", "deposit that\nis paid back"),
    )
    for place, (name, what) in enumerate(trays):
        x = 70 + 130 * place
        for step in (0, 1):
            p.put(parts.paper(74, 56, 3), x - 40 + 8 * step, 46 - 8 * step)
        p.line(x - 56, 88, x - 50, 112, x + 50, 112, x + 56, 88, fill=pen.WOOD)
        p.say(x, 136, name, bold=True, size=pen.SMALL)
        p.say(x, 158, what)
