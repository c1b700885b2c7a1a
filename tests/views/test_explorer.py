"""An explorer's wiring, and the figures it sends."""

from __future__ import annotations

import json
from types import ModuleType
from typing import Any

import pytest

from kit.basics.errors import OutOfRange, UnknownName
from kit.views.pictures import ink
from kit.views.pictures.register import (
    Choice,
    Drawing,
    ExplorerSpec,
    Slider,
    draw_picture,
    explorer,
    explorer_named,
    picture,
)
from kit.views.workbook.explorer import Explorer


class Heard(Explorer):
    """An explorer that keeps what it sends."""

    def __init__(self, *arguments: Any, **keywords: Any) -> None:
        self.sent: list[tuple[dict[str, Any], list[bytes]]] = []
        super().__init__(*arguments, **keywords)

    def send(self, content: Any, buffers: Any = None) -> None:
        self.sent.append((content, list(buffers or [])))


@pytest.fixture
def curve(stage: ModuleType) -> Heard:
    return Heard(explorer_named("stage-curve"), start={"thickness_mm": 30})


def test_nothing_is_drawn_before_the_page_asks(curve: Heard):
    assert curve.sent == []
    assert curve.spec["start"] == {"thickness_mm": 30.0, "cabinet_c": 80.0, "surface": "wet"}
    assert curve.spec["predict"]["choices"]


def test_a_request_gets_a_picture_its_words_and_its_own_serial(curve: Heard):
    curve._hear(curve, {"do": "draw", "serial": 7, "settings": {"thickness_mm": 40, "surface": "dry"}}, [])
    reply, buffers = curve.sent[0]
    assert (reply["serial"], reply["settings"]["thickness_mm"]) == (7, 40.0)
    assert "40 mm" in reply["text"] and "Surface: dry" in reply["facts"]
    assert reply["svg"].startswith("<svg") and buffers == []


@pytest.mark.parametrize(
    "settings",
    [None, "x", {"thickness_mm": "NaN"}, {"thickness_mm": 1e9}, {"surface": ["wet"]}, {"other": 1}],
)
def test_settings_that_make_no_sense_are_brought_into_range(settings: Any, curve: Heard):
    curve._hear(curve, {"do": "draw", "serial": 1, "settings": settings}, [])
    used = curve.sent[0][0]["settings"]
    assert 10 <= used["thickness_mm"] <= 50
    assert used["surface"] == "wet"


def test_a_setting_the_science_refuses_is_said_on_the_page():
    def refuse(_: Any) -> Drawing:
        raise OutOfRange("thickness_mm", 9, "10 or more")

    spec = ExplorerSpec("refuses", "Refuses", (), refuse)
    widget = Heard(spec, start={})
    widget._hear(widget, {"do": "draw", "serial": 3, "settings": {}}, [])
    reply = widget.sent[0][0]
    assert (reply["serial"], reply["error"]) == (3, "thickness_mm is 9; it must be 10 or more.")


def test_an_svg_goes_as_text():
    spec = ExplorerSpec("svg", "SVG", (), lambda _: Drawing("<svg viewBox='0 0 1 1'></svg>", "Nothing."))
    widget = Heard(spec, start={})
    widget._hear(widget, {"do": "draw", "serial": 1, "settings": {}}, [])
    reply, buffers = widget.sent[0]
    assert reply["svg"].startswith("<svg") and buffers == []


def test_a_narrow_page_gets_a_figure_drawn_narrow():
    wide, _ = ink.sheet(3.0)
    assert wide.get_size_inches()[0] == ink.WIDE_IN
    ink.svg(wide, narrow=True)
    assert wide.get_size_inches()[0] == ink.NARROW_IN


def test_a_slider_must_start_within_its_range_and_a_choice_at_an_option():
    with pytest.raises(OutOfRange, match="start of x"):
        Slider("x", "X", "mm", 1, 5, 1, 6)
    with pytest.raises(UnknownName, match="wet"):
        Choice("s", "S", (("wet", "Wet"),), "damp")


def test_two_things_cannot_bear_one_name(stage: ModuleType):
    with pytest.raises(ValueError, match="stage-curve"):
        explorer("stage-curve", title="Other", controls=())(lambda _: Drawing("", ""))
    with pytest.raises(ValueError, match="stage-fish"):
        picture("stage-fish")(lambda _: Drawing("", ""))


def test_a_picture_is_found_by_name(stage: ModuleType):
    assert "char" in draw_picture("stage-fish", {"fish": "char"}).text


def test_the_spec_is_plain_json(curve: Heard):
    assert json.loads(json.dumps(curve.spec)) == curve.spec
