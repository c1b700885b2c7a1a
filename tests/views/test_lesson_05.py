"""What lesson 5 draws: pictures and explorers, their words and facts made from the numbers they show."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest

from kit import exercises
from kit.views.pictures import ink
from kit.views.pictures.register import draw_picture, explorer_named

PICTURES = ("two-clocks", "fillet-anatomy", "limits-at-a-glance")
EXPLORERS = ("core-and-surface", "hold-and-kill", "where-to-probe")


@pytest.mark.parametrize("name", PICTURES)
def test_a_picture_of_the_lesson_draws_with_words(name: str):
    drawing = draw_picture(name, {})
    assert len(drawing.text.split()) > 15
    if isinstance(drawing.figure, str):
        assert ElementTree.fromstring(drawing.figure).attrib["aria-label"] == drawing.text
    else:
        assert ink.png(drawing.figure, narrow=True).startswith(b"\x89PNG")


@pytest.mark.parametrize("name", exercises.ids(5))
def test_the_picture_of_a_question_draws_with_the_same_words(name: str):
    for seed in range(3):
        picture = exercises.question(name, seed).picture
        if picture is None:
            continue
        drawing = draw_picture(picture.name, picture.data)
        if isinstance(drawing.figure, str):
            assert ElementTree.fromstring(drawing.figure).tag.endswith("svg")
            assert drawing.text == picture.text
        else:
            assert ink.png(drawing.figure).startswith(b"\x89PNG")
        for value in re.findall(r"\d+(?:\.\d+)? °C", picture.text)[:3]:
            assert value in drawing.text or value.split()[0] in str(picture.data)


@pytest.mark.slow
@pytest.mark.parametrize("name", EXPLORERS)
def test_an_explorer_draws_at_both_ends_of_every_control(name: str):
    spec = explorer_named(name)
    assert spec.predict is not None
    for control in spec.controls:
        ends = [control.low, control.high] if hasattr(control, "low") else [key for key, _ in control.options]
        for end in ends:
            drawing = spec.draw(spec.settle({control.key: end}))
            assert drawing.facts and drawing.text


def facts(name: str, **settings: object) -> str:
    spec = explorer_named(name)
    return " ".join(spec.draw(spec.settle(settings)).facts)


def test_a_wet_fillet_stalls_and_a_dry_one_does_not():
    wet = facts("core-and-surface", surface="wet")
    assert "Core after 2 h: 49 °C." in wet and "does not reach 63 °C" in wet and "cannot pass 49 °C" in wet
    dry = facts("core-and-surface", surface="dry")
    assert "Core at 63 °C after" in dry
    assert "Core at 63 °C after" in facts("core-and-surface", cabinet_c=85, rh_pct=60, surface="wet")


@pytest.mark.parametrize(
    # z 7.5 °C and 2 min at 70 °C, written out: 2 x 10^((70 - T)/7.5)
    ("core_c", "minutes"),
    [(57, "108.2"), (60, "43.1"), (63, "17.2"), (65, "9.3"), (70, "2.0")],
)
def test_the_hold_that_is_equal(core_c: float, minutes: str):
    said = facts("hold-and-kill", core_c=core_c, hold_min=1)
    assert f"As good as 2 min at 70 °C from {minutes} min." in said
    assert ("extrapolated" in said) == (core_c < 60)


def test_touching_a_temperature_meets_no_hold():
    assert "62.8 °C for 30 min" not in facts("hold-and-kill", core_c=63, hold_min=29)
    assert "62.8 °C for 30 min" in facts("hold-and-kill", core_c=63, hold_min=30)
    assert "none of the four" in facts("hold-and-kill", core_c=58, hold_min=60)


@pytest.mark.slow
def test_only_the_core_of_the_thick_piece_in_the_cool_place_is_right():
    right = facts("where-to-probe", piece="cool", along=34, deep=50)
    assert "This is the right place" in right
    for wrong in (
        {"piece": "cool", "along": 34, "deep": 5},
        {"piece": "cool", "along": 90, "deep": 50},
        {"piece": "warm", "along": 34, "deep": 50},
        {"piece": "thin", "along": 34, "deep": 50},
    ):
        early = re.search(r"about (\d+) min too early", facts("where-to-probe", **wrong))
        assert early and int(early[1]) >= 2
