"""Teaching pictures: one of its own before each task that names or places, and labels that can be read."""

from __future__ import annotations

import re
from itertools import combinations
from xml.etree import ElementTree

import pytest
from matplotlib.font_manager import FontProperties
from matplotlib.textpath import TextPath

from kit import exercises
from kit.marking.model import Match, Places
from kit.process.physics.salt import SATURATED_PCT
from kit.rules import load
from kit.rules.judging.verdicts import PROBE_ERROR_C
from kit.views.pictures import pen
from kit.views.pictures.register import draw_picture
from kit.views.pictures.teaching import pictures_before, teaching_pictures
from kit.views.workbook.task import look_first

SVG = "{http://www.w3.org/2000/svg}"
NAMES = [one.name for one in teaching_pictures()]
PHONE_PX = 335  # measured in Chromium: how wide a picture stands in a lesson on a screen of 390 px
Box = tuple[float, float, float, float]


def labels(name: str) -> list[ElementTree.Element]:
    return ElementTree.fromstring(str(draw_picture(name, {}).figure)).findall(f"{SVG}text")


def box(label: ElementTree.Element) -> Box:
    """Left, top, right and low end of a label, set in DejaVu Sans, which runs wider than the page's types."""
    size, weight = float(label.attrib["font-size"]), label.get("font-weight", "400")
    font = FontProperties(family="DejaVu Sans", weight="bold" if weight == "700" else "normal")
    wide = TextPath((0, 0), label.text or "", size=size, prop=font).get_extents().width
    x, y = float(label.attrib["x"]), float(label.attrib["y"])
    left = x - wide * {"start": 0.0, "middle": 0.5, "end": 1.0}[label.attrib["text-anchor"]]
    return left, y - 0.76 * size, left + wide, y + 0.22 * size


def luminance(colour: str) -> float:
    """The relative luminance of WCAG 2.2 (from memory: the sRGB curve and 0.2126, 0.7152, 0.0722)."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (
        each / 12.92 if each <= 0.04045 else ((each + 0.055) / 1.055) ** 2.4 for each in parts
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_the_contrast_of_black_on_white_is_21():
    assert contrast("#000000", "#ffffff") == pytest.approx(21)


def test_two_boxes_that_meet_are_found():
    pair = [
        ElementTree.Element("text", {"x": "50", "y": at, "font-size": "14", "text-anchor": "middle"})
        for at in "56"
    ]
    for one in pair:
        one.text = "loin"
    assert meet(box(pair[0]), box(pair[1]))


def meet(one: Box, other: Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


@pytest.mark.parametrize("name", exercises.ids())
def test_a_task_that_names_or_places_something_has_its_picture(name: str):
    if isinstance(exercises.question(name, 1).kind, Match | Places):
        assert pictures_before(name), f"{name} has no teaching picture: write it into teaching.toml"


@pytest.mark.parametrize("one", teaching_pictures(), ids=NAMES)
def test_a_picture_stands_before_exercises_that_there_are(one):
    assert one.before
    assert set(one.before) <= {*exercises.ids(), *exercises.explain_ids()}
    assert one.title == one.title.strip() and len(one.title) <= 44


@pytest.mark.parametrize("name", NAMES)
def test_a_picture_says_itself_in_words(name: str):
    drawing = draw_picture(name, {})
    assert len(drawing.text) >= 20
    assert ElementTree.fromstring(str(drawing.figure)).attrib["aria-label"] == drawing.text


@pytest.mark.parametrize("name", NAMES)
def test_labels_stand_inside_apart_and_large_enough(name: str):
    tall = float(ElementTree.fromstring(str(draw_picture(name, {}).figure)).attrib["viewBox"].split()[3])
    said = labels(name)
    assert said
    boxes = {id(one): box(one) for one in said}
    for one in said:
        left, top, right, low = boxes[id(one)]
        assert left >= 2 and top >= 2 and right <= pen.WIDE - 2 and low <= tall - 2, one.text
        assert float(one.attrib["font-size"]) * PHONE_PX / pen.WIDE >= 11, one.text
    for one, other in combinations(said, 2):
        assert not meet(boxes[id(one)], boxes[id(other)]), (one.text, other.text)


@pytest.mark.parametrize("name", NAMES)
def test_labels_have_contrast_to_their_ground(name: str):
    for one in labels(name):
        assert contrast(one.attrib["fill"], one.attrib["stroke"]) >= 4.5, one.text


@pytest.mark.parametrize("name", NAMES)
def test_the_ground_that_a_label_names_is_drawn_in_its_picture(name: str):
    drawn = set(re.findall(r'(?:fill|background)[=:]"?(#[0-9a-f]{6})', str(draw_picture(name, {}).figure)))
    assert {one.attrib["stroke"] for one in labels(name)} <= drawn


def test_a_lesson_shows_the_pictures_and_the_round_of_the_day_does_not():
    assert [one["label"] for one in look_first("where-the-bones-sit")][:1] == ["The parts of a fillet"]
    assert look_first("brine-that-is-not-there") == []


# Whatever number of the law or of the probe is drawn stands in the rules with its source: here is which.
DRAWN_FROM_RULES = {
    "kill-the-larvae": [("eu", "{minimum:g} °C"), ("eu", "for {minutes:g} min")],
    "chill-clock": [("us", "{from_c:g} °C"), ("us", "{maximum:g} °C"), ("ie", "{maximum:g} °C")],
    "ten-days": [("uk-days", "{maximum:g} days"), ("uk-salt", "{minimum:g} %")],
    "probe-band": [("ie-store", "limit {maximum:g} °C")],
}
RULES = {
    "eu": ("ie", "eu-parasite-heat"),
    "us": ("us-retail", "us-retail-cool-57-21"),
    "ie": ("ie", "ie-chill-150"),
    "ie-store": ("ie", "ie-store-3"),
    "uk-days": ("uk", "uk-vacuum-10-days"),
    "uk-salt": ("uk", "uk-vacuum-salt"),
}


def written_on(name: str) -> str:
    root = ElementTree.fromstring(str(draw_picture(name, {}).figure))
    return " ".join(" ".join(each.itertext()) for each in root.iter() if each.tag.endswith("text"))


@pytest.mark.parametrize("name", DRAWN_FROM_RULES)
def test_a_number_of_the_law_in_a_picture_is_that_of_the_rules(name: str):
    said = written_on(name)
    for which, words in DRAWN_FROM_RULES[name]:
        profile, rule = RULES[which]
        told = words.format(**vars(load(profile)[rule]))
        assert told in said, (told, said)


def test_the_probe_and_the_full_brine_are_those_of_the_sums():
    assert f"±{PROBE_ERROR_C:g} °C" in written_on("probe-band")
    assert f"{SATURATED_PCT:.1f} %" in written_on("read-the-salometer")
