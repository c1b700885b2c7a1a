"""The panel that knows nothing, on questions whose figures are known; and the print of a content."""

import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kit import exercises
from kit.exercises.engine.fingerprints import content_print, fingerprint, truth_of
from kit.exercises.engine.guess_panel import from_memory, guesses
from kit.exercises.engine.measured import measured
from kit.marking import mark
from kit.marking.model import Match, One, Option, Order, Question, Several

PANEL = Path(__file__).resolve().parents[1] / "benchmarks" / "guess_panel.py"
WORDS = ("Salt it", "Dry it by the fans", "Smoke it", "Chill it fast and note the time")


def options(texts):
    return tuple(Option("abcdefgh"[place], text) for place, text in enumerate(texts))


def one(texts, right):
    made = options(texts)
    return Question("x", 1, 0, "What now?", One(made), next(each.key for each in made if each.text == right))


@given(st.permutations(WORDS))
def test_a_shuffle_is_the_same_content_and_another_print_of_the_page(order):
    first, again = one(WORDS, "Smoke it"), one(order, "Smoke it")
    assert content_print(first) == content_print(again)
    assert truth_of(first) == truth_of(again) == "Smoke it"
    assert (fingerprint(first) == fingerprint(again)) == (tuple(order) == WORDS)


def test_another_option_another_text_and_another_truth_are_other_contents():
    first = one(WORDS, "Smoke it")
    others = [
        one((*WORDS[:3], "Bag it"), "Smoke it"),
        replace(first, text="What next?"),
        one(WORDS, "Salt it"),
    ]
    assert len({content_print(each) for each in (first, *others)}) == 4


@pytest.mark.parametrize(
    ("right", "member"),
    [("Chill it fast and note the time", "longest"), ("Salt it", "shortest"), ("Smoke it", "place 3")],
)
def test_a_member_finds_what_its_rule_of_thumb_finds(right, member):
    question = one(WORDS, right)
    found = {name for name, guess in guesses(question) if mark(question, guess).verdict == "right"}
    assert member in found


@pytest.mark.slow
def test_every_guess_can_be_read():
    for name in exercises.ids():
        question = exercises.question(name, 3)
        for member, guess in guesses(question):
            shown = [option.key for option in getattr(question.kind, "options", ())]
            if question.kind_name == "order" and guess == shown:
                continue  # steps left as they were shown are no try
            assert mark(question, guess).verdict != "not read", (name, member)


def test_memory_takes_what_was_right_and_leaves_what_was_wrong():
    kept = [one(WORDS, "Smoke it"), one(WORDS, "Salt it")]
    assert from_memory(one(("Bag it", "Smoke it", "Weigh it"), "Smoke it"), kept) == "b"
    assert from_memory(one(("Dry it by the fans", "Weigh it"), "Weigh it"), kept) == "b"


def test_memory_joins_and_orders_as_before():
    left, right = options(("salt", "smoke")), options(("draws water", "gives taste"))
    old = Question("x", 1, 0, "Join.", Match(left, right), {"a": "a", "b": "b"})
    turned = Question("x", 1, 1, "Join.", Match(left[::-1], right), {"b": "b", "a": "a"})
    assert from_memory(turned, [old]) == {"a": "a", "b": "b"}
    steps = options(WORDS)
    ordered = Question("x", 1, 0, "Order.", Order(steps), ["a", "b", "c", "d"])
    again = Question("x", 1, 1, "Order.", Order(options(WORDS[::-1])), ["d", "c", "b", "a"])
    assert from_memory(again, [ordered]) == again.answer
    picked = Question("x", 1, 0, "Which?", Several(steps), ["a", "c"])
    assert from_memory(picked, [picked]) == ["a", "c"]


@pytest.mark.slow
def test_every_exercise_was_measured_and_no_other():
    kept = measured()
    assert set(kept) == set(exercises.ids())
    for name, one_measured in kept.items():
        assert 0 < one_measured.guess_chance <= 1
        assert one_measured.remembering[0] == one_measured.guess_chance
        assert all(one_measured.guess_chance <= each <= 1 for each in one_measured.remembering)
        assert one_measured.kind == exercises.question(name, 0).kind_name


@pytest.mark.slow
def test_an_error_in_a_worker_ends_the_script_with_one_line():
    done = subprocess.run(
        [sys.executable, str(PANEL), "--id", "no-such-exercise"], capture_output=True, text=True, timeout=60
    )
    assert done.returncode == 1
    assert len(done.stderr.splitlines()) == 1 and "no-such-exercise" in done.stderr, done.stderr
