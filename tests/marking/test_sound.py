"""Every way a variant can teach badly is found, and a good one is left alone."""

from dataclasses import replace

import pytest

from kit.marking.model import Number, Option, Region, Slip
from kit.marking.variant_check import sound


def test_every_kind_can_be_sound(question):
    assert sound(question) == []


def test_an_explanation_can_be_sound(make):
    assert sound(make.explain()) == []
    assert sound(replace(make.explain(), text=" ")) == ["the text is empty"]


@pytest.mark.parametrize(
    ("changes", "reason"),
    [
        ({"answer": 53.5}, "slip 'of the total' is marked as right"),
        ({"slips": (Slip("low", 30.0, "a"), Slip("high", 30.5, "b"))}, "cannot be told apart"),
        ({"slips": (Slip("x", 30.0, "a"), Slip("x", 80.0, "b"))}, "two slips have one name"),
        ({"slips": (Slip("x", 30.0, " "),)}, "nothing to say"),
        ({"slips": (Slip("x", float("nan"), "a"),)}, "not a finite number"),
        ({"slips": (Slip("x", "thirty", "a"),)}, "not a finite number"),
        ({"answer": float("inf")}, "not a finite number"),
        ({"edges": (50.9,)}, "on an edge"),
        ({"plausible": (60, 90)}, "not plausible"),
        ({"answer": 50.25, "rel_tol": 0.0}, "needs a tolerance"),
        ({"rel_tol": 0.0, "abs_tol": 0.04, "decimals": 1}, "finer than the decimals"),
        ({"text": "How much salt for 2000 g, with 50 g at hand?"}, "shows the answer's number"),
        ({"text": "How much salt for 0.30000000000000004 kg?"}, "silly number"),
        ({"worked": "nan g"}, "silly number"),
        ({"text": ""}, "text is empty"),
    ],
)
def test_a_number_that_teaches_badly_is_found(make, changes, reason):
    found = sound(make.salt(**changes))
    assert any(reason in each for each in found), found


@pytest.mark.parametrize(
    "changes", [{"edges": (51.1, 48.9)}, {"plausible": (50, 50)}, {"text": "At 2.50 %, or 500?"}]
)
def test_a_near_miss_is_left_alone(make, changes):
    assert sound(make.salt(**changes)) == []


def test_the_text_may_show_the_number_if_the_author_says_so(make):
    assert sound(make.salt(text="Which is it: 45 g, 50 g or 55 g?", number_in_text=True)) == []


def test_an_answer_that_its_own_limit_refuses_is_found(make):
    limit = make.limit()
    refusing = replace(limit, kind=Number("min", one_sided="at least", far=2.0))
    assert "its own answer does not earn full marks" in sound(refusing)


def test_a_choice_that_teaches_badly_is_found(make):
    question = make.one()
    options = question.kind.options
    same = replace(question.kind, options=(*options[:2], Option("c", options[0].text)))
    assert "two options read the same" in sound(replace(question, kind=same))
    empty = replace(question.kind, options=(*options[:2], Option("c", " ")))
    assert "an option is empty" in sound(replace(question, kind=empty))
    assert "a wrong option is not explained" in sound(replace(question, slips=question.slips[:1]))
    single = replace(question.kind, options=options[:1])
    assert "there is nothing to choose from" in sound(replace(question, kind=single))


def test_unexplained_options_are_found_in_every_choice(make):
    for question in (make.several(), make.recommend()):
        assert "a wrong option is not explained" in sound(replace(question, slips=()))


def test_a_slip_that_marking_does_not_recognise_is_found(make):
    controls = make.controls()
    stray = Slip("too hot", controls.slips[0].value, "Too hot.")
    assert "slip 'too hot' is not recognised" in sound(replace(controls, slips=(stray,)))
    unreadable = Slip("too cool", {"air_c": 500}, "Too cool.")
    assert "slip 'too cool' has a value that cannot be read" in sound(replace(controls, slips=(unreadable,)))


def test_regions_must_lie_on_the_picture(make):
    places = make.places()
    off = replace(places.kind, targets=(*places.kind.targets, Region("off", 1.2, 0.5, 0.1, 0.1)))
    assert "a region lies off the picture" in sound(replace(places, kind=off))
    few = replace(places.kind, count=3)
    assert "fewer targets than marks asked for" in sound(replace(places, kind=few))
