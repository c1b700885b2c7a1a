"""A whole sheet under one signature: several lines, one password, and the rules still argue."""

from __future__ import annotations

import io
from datetime import time

from PIL import Image

from kit.records.ledger import acts
from kit.records.ledger.projection import check_chain
from tests.views.test_tutor_desk import PASSWORD, at_desk, blocks, text

__all__ = ["at_desk"]


def seen_since(seat, number):
    with seat.records.reading() as connection:
        return [act for act in acts.read(connection, after=number) if act.kind == "observed"]


def line_of(seat, criterion):
    return seat.panel.fields[f"point {criterion}"]


def test_a_sheet_of_many_lines_is_signed_once(at_desk):
    seat = at_desk()
    before = seat.head()
    seat.open("bench", "Niamh", step="chill")
    lines = [name for name in seat.panel.fields if name.startswith("point ")]
    assert len(lines) >= 4 and not any("-K" in name for name in lines)  # nobody sees knowledge at the bench
    for place, name in enumerate(lines):
        widget = seat.panel.fields[name]
        assert [text for _, text in widget.options] == ["met", "not met", "not seen"] and widget.value == ""
        widget._hear(widget, {"do": "choose", "value": ("met", "not met", "not seen", "met")[place % 4]}, [])
    seat.fill(batch="C-7", declared=True, core_temp_c="2.5", chill_min="80", read_at=time(14, 5))
    assert "Recorded as act" in seat.sign()
    (act,) = seen_since(seat, before)
    assert len(act.facts["points"]) == len(lines) and act.signature
    assert act.facts["read_at"] == "14:05" and act.facts["day"] == "2026-11-25"
    assert check_chain(seat.records).whole


def test_a_line_that_was_left_is_not_recorded_and_one_can_be_taken_back(at_desk):
    seat = at_desk()
    before = seat.head()
    seat.open("bench", "Niamh", step="cook")
    seat.fill(batch="C-7", declared=True)
    widget = line_of(seat, "COK-P03")
    for turn, value in enumerate(("met", "nonsense", ""), 1):
        widget._hear(widget, {"do": "choose", "value": value, "turn": turn}, [])
    assert widget.turn == 3  # the page knows which press this answers, and lets no later one be undone
    seat.press(seat.panel.look)
    assert "criteria looked at" in text(seat.panel.result) and seat.head() == before
    line_of(seat, "COK-P04").value = "met"
    seat.sign()
    assert seen_since(seat, before)[0].facts["points"] == {"COK-P04": "met"}


def test_each_contradicted_line_asks_a_reason_of_its_own(at_desk):
    seat = at_desk()
    before = seat.head()
    seat.open("observe", "Niamh", step="cook")
    for name in ("COK-P01", "COK-P02", "COK-P03"):
        line_of(seat, name).value = "met"
    seat.fill(batch="C-7", declared=True, core_temp_c="41")
    reasons = [seat.panel.fields[f"despite {name}"] for name in ("COK-P01", "COK-P02")]
    assert [one.layout.display for one in reasons] == ["none", "none"]
    assert "despite COK-P03" not in seat.panel.fields
    seat.press(seat.panel.look)
    said = text(seat.panel.result)
    assert "COK-P01: a core of 41 °C" in said and "COK-P02: a core of 41 °C" in said
    assert [one.layout.display for one in reasons] == ["", ""] and seat.panel.proposal is None
    reasons[0].value = "A second probe read 78 °C."
    seat.press(seat.panel.look)
    said = text(seat.panel.result)
    assert "COK-P02" in said and "COK-P01" not in said
    reasons[1].value = "The same, read twice."
    seat.press(seat.panel.look)
    assert "3 acts, signed at once" in text(seat.panel.preview)
    assert f"acts {before + 1} to {before + 3}" in seat.sign()
    made = seen_since(seat, before)
    assert [list(act.facts["points"]) for act in made] == [["COK-P03"], ["COK-P01"], ["COK-P02"]]
    assert ["against" in act.facts for act in made] == [False, True, True]
    assert check_chain(seat.records).whole


def test_one_line_that_may_not_be_recorded_holds_back_the_whole_sheet(at_desk):
    seat = at_desk()
    seat.open("bench", "Niamh", step="cook")
    line_of(seat, "COK-P03").value = "met"
    seat.fill(batch="C-7", declared=True)
    before = seat.head()
    assert "does not open" in seat.sign("not the password")
    assert seat.head() == before and line_of(seat, "COK-P03").value == "met"
    assert "Recorded" in seat.sign(PASSWORD)


def picture(name="bench.jpg", side=40):
    made = io.BytesIO()
    Image.new("RGB", (side, side), (200, 120, 40)).save(made, "JPEG")
    return name, made.getvalue()


def test_a_photo_from_the_page_is_kept_with_the_observation(at_desk):
    seat = at_desk()
    before = seat.head()
    seat.open("bench", "Niamh", step="cook")
    line_of(seat, "COK-P03").value = "met"
    seat.fill(batch="C-7", declared=True)
    widget, (name, data) = seat.panel.fields["photo"], picture()
    widget._hear(widget, {"do": "photo", "name": f"../../{name}", "size": len(data)}, [])
    widget._hear(widget, {"do": "piece"}, [memoryview(data[:100])])
    seat.press(seat.panel.look)
    assert "still being read" in text(seat.panel.result)
    widget._hear(widget, {"do": "piece"}, [memoryview(data[100:])])
    seat.press(seat.panel.look)
    assert "bench.jpg" in text(seat.panel.preview) and ".." not in text(seat.panel.preview)
    assert "Recorded" in seat.sign()
    (act,) = seen_since(seat, before)
    assert len(act.facts["files"]) == 1
    seat.open("bench", "Niamh", step="cook")
    line_of(seat, "COK-P03").value = "met"
    seat.fill(batch="C-8", declared=True)
    widget = seat.panel.fields["photo"]
    widget._hear(widget, {"do": "photo", "name": "list.jpg", "size": 4}, [])
    widget._hear(widget, {"do": "piece"}, [b"MZ.."])
    seat.press(seat.panel.look)
    assert seat.panel.proposal is None


def test_everything_that_is_ready_is_decided_under_one_signature(at_desk):
    seat = at_desk()
    who = seat.id("Eithne")
    seat.ask(seat.person, do="person", person=who)
    (row,) = blocks(seat.person, "buttons")
    (ask,) = [one["ask"] for one in row["buttons"] if one["ask"].get("form") == "decide all"]
    seat.ask(seat.person, **ask)
    lines = [name for name in seat.panel.fields if name.startswith("decide ")]
    assert len(lines) >= 2
    seat.press(seat.panel.look)
    assert "no line is decided" in text(seat.panel.result)
    for name in lines[:-1]:
        seat.panel.fields[name].value = "competent"
    seat.panel.fields[lines[-1]].value = "not yet competent"
    seat.fill(reason="Seen on 3 batches; talked about.")
    before = seat.head()
    assert "under one signing" in seat.sign()
    with seat.records.reading() as connection:
        made = [act for act in acts.read(connection, after=before) if act.kind == "decided"]
    assert [act.criterion for act in made] == [name.removeprefix("decide ") for name in lines]
    assert all(act.signature for act in made)
    assert check_chain(seat.records).whole


def test_several_decisions_are_all_recorded_or_none(at_desk):
    seat, other = at_desk(), at_desk("Wilma Tack")
    seat.open("decide all", "Eithne")
    lines = [name for name in seat.panel.fields if name.startswith("decide ")]
    for name in lines:
        seat.panel.fields[name].value = "competent"
    seat.fill(reason="Seen on 3 batches.")
    seat.press(seat.panel.look)
    other.open("decide", "Eithne", criterion=lines[-1].removeprefix("decide "))
    other.fill(decision="not yet competent", reason="One more batch.")
    assert "Recorded" in other.sign()
    before = seat.head()
    seat.panel.password.value = PASSWORD
    seat.press(seat.panel.sign)
    assert "since you looked" in text(seat.panel.result) and seat.head() == before
