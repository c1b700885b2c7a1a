"""The page form holds what is needed to ask, and nothing that gives the answer away."""

import json
from dataclasses import replace

import numpy as np
import pytest

from kit import exercises
from kit.marking import page_form
from kit.marking.model import Number, Picture

ALLOWED = {
    "exercise",
    "version",
    "kind",
    "text",
    "of",
    "unit",
    "decimals",
    "options",
    "left",
    "right",
    "count",
    "controls",
    "decisions",
    "reasons",
    "words",
    "least",
}


def test_the_page_form_is_json_and_holds_only_what_is_named(question):
    form = page_form(question)
    assert set(form) <= ALLOWED
    assert json.loads(json.dumps(form, allow_nan=False)) == form
    for option in (*form.get("options", ()), *form.get("left", ()), *form.get("reasons", ())):
        assert set(option) == {"key", "text"}


def test_nothing_that_marking_needs_is_on_the_page(question):
    marked = replace(question, worked="WORKED-SECRET", hints=("HINT-SECRET",), seed=987654321987)
    text = json.dumps(page_form(marked), ensure_ascii=False)
    for secret in ("WORKED-SECRET", "HINT-SECRET", "987654321987", *(slip.says for slip in question.slips)):
        assert secret not in text


def test_two_questions_with_other_truths_have_one_page_form(question):
    """The page cannot depend on the truth if changing it changes nothing there."""
    other = replace(question, answer="another", slips=(), facts={"other": 1})
    if isinstance(question.kind, Number):
        other = replace(other, kind=Number(question.kind.unit, rel_tol=0.5, decimals=question.kind.decimals))
    assert page_form(other) == page_form(question)


def test_safety_keys_targets_and_runs_stay_behind(make):
    for question, hidden in (
        (make.several(), {"must": (), "never": ()}),
        (make.order(), {"must": ()}),
        (make.match(), {"must": ()}),
        (make.places(), {"targets": (), "traps": (), "slack": 0.5}),
        (make.controls(), {"run": "other"}),
        (make.recommend(), {"also": ()}),
    ):
        other = replace(question, kind=replace(question.kind, **hidden))
        assert page_form(other) == page_form(question)


def test_no_data_of_a_picture_is_on_the_page(make):
    picture = Picture("trace", {"core": np.array([1.0, np.nan])}, "A line.")
    assert page_form(make.salt(picture=picture)) == page_form(make.salt())


def test_a_plain_number_shows_no_unit(make):
    assert page_form(make.salt(unit="1"))["unit"] == ""


def listed(options):
    return [{"key": option.key, "text": option.text} for option in options]


def test_the_whole_page_form_of_every_kind(make):
    def form(question):
        found = page_form(replace(question, exercise="salt", version=4))
        assert {"exercise": "salt", "version": 4, "text": question.text}.items() <= found.items()
        return {key: value for key, value in found.items() if key not in ("exercise", "version", "text")}

    core, one, several, order, match = make.core(), make.one(), make.several(), make.order(), make.match()
    assert form(core) == {"kind": "number", "of": 1.0, "unit": "°C", "decimals": 1}
    assert form(make.chart()) == {"kind": "chart", "of": 1.0, "unit": "min", "decimals": None}
    assert form(one) == {"kind": "one", "of": 1.0, "options": listed(one.kind.options)}
    assert form(several) == {"kind": "several", "of": 1.0, "options": listed(several.kind.options)}
    assert form(order) == {"kind": "order", "of": 1.0, "options": listed(order.kind.options)}
    assert form(match) == {
        "kind": "match",
        "of": 1.0,
        "left": listed(match.kind.left),
        "right": listed(match.kind.right),
    }
    assert form(make.places()) == {"kind": "places", "of": 1.0, "count": 2}
    air = {
        "key": "air_c",
        "label": "cabinet air",
        "unit": "°C",
        "low": 50,
        "high": 100,
        "step": 5,
        "start": 60,
    }
    time = {
        "key": "time_min",
        "label": "cook time",
        "unit": "min",
        "low": 0,
        "high": 120,
        "step": 10,
        "start": 20,
    }
    assert form(make.controls()) == {"kind": "controls", "of": 2, "controls": [air, time]}
    decisions = [
        {"key": "go on", "text": "Fit to go on"},
        {"key": "hold", "text": "Hold and report"},
        {"key": "reject", "text": "Reject"},
    ]
    reasons = listed(make.recommend().kind.reasons)
    assert form(make.recommend()) == {
        "kind": "recommend",
        "of": 1.0,
        "decisions": decisions,
        "reasons": reasons,
    }
    assert form(make.explain()) == {"kind": "explain", "of": 0.0, "words": [], "least": 1}


@pytest.mark.parametrize(
    ("exercise", "asked"),
    [
        ("explain-your-place", {"words": ["record", "competent"], "least": 3}),
        ("explain-set-aside", {"words": [], "least": 3}),
        ("explain-salt", {"words": ["water", "germs"], "least": 3}),
        ("explain-a-crust", {"words": [], "least": 4}),
        ("why-an-unlisted-wood-is-refused", {"words": [], "least": 1}),
        ("explain-low-finish", {"words": ["core", "hold"], "least": 3}),
        ("explain-slow-cooling", {"words": [], "least": 4}),
        ("explain-a-true-record", {"words": ["record", "corrective action"], "least": 3}),
        ("explain-one-fault", {"words": [], "least": 4}),
    ],
)
def test_what_an_explanation_asks_for_is_read_from_its_prompt(exercise, asked):
    for seed in range(5):
        form = page_form(exercises.question(exercise, seed))
        assert {name: form[name] for name in ("words", "least")} == asked


def test_no_explanation_is_left_out_above():
    assert len(exercises.explain_ids()) == 9
