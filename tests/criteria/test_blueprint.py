"""What a criterion of knowledge takes: two exercises of two kinds, one worked out where it says so."""

import re

import pytest

from kit import criteria, exercises
from kit.exercises.catalogue import Catalogue

CATALOGUE = Catalogue()
KNOWLEDGE = {one.id: one for one in criteria.load() if one.kind == "knowledge"}
ONE_KIND = {
    "COK-K02": "an equal hold is read off a table and worked out: each exercise does it another way",
}
"""Served by one kind of question on purpose, each with the reason; at most these."""
LISTS = {"PLS-K05": "what a label must say is worked out as a list of words, not as a number"}
"""To work out, and still only picked; each with the reason."""
WORKED_OUT = {"number", "chart", "controls"}
SAYS_WORK_OUT = re.compile(r"^(Work out|Use a table|Read )|\bchange between\b")


def kinds(criterion):
    return {CATALOGUE.facts_of[name].kind for name in CATALOGUE.exercises_for[criterion]}


@pytest.mark.parametrize("criterion", KNOWLEDGE)
def test_a_criterion_has_two_exercises_of_two_kinds(criterion):
    assert len(CATALOGUE.exercises_for[criterion]) >= 2
    assert (len(kinds(criterion)) >= 2) is (criterion not in ONE_KIND)


def test_what_is_to_be_worked_out_or_read_is_not_only_picked():
    asked = [one.id for one in KNOWLEDGE.values() if SAYS_WORK_OUT.search(one.text)]
    assert {"CUR-K02", "CUR-K06", "TPB-K02", "COK-K02", "COK-K04", "CHL-K01"} <= set(asked)
    for criterion in asked:
        assert bool(kinds(criterion) & WORKED_OUT) is (criterion not in LISTS), criterion


def test_no_criterion_rests_on_what_eight_remembered_answers_give_away():
    """Else right answers would soon show nothing, however much somebody knows."""
    for criterion, serving in CATALOGUE.exercises_for.items():
        lasting = [name for name in serving if CATALOGUE.facts_of[name].chance_after(8) <= 0.6]
        assert lasting, (criterion, [exercises.info(name).title for name in serving])
