"""The page form holds what is needed to ask, and nothing that gives the answer away."""

import json
from dataclasses import replace

import numpy as np

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
