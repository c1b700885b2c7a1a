import tomllib
from collections import Counter
from graphlib import TopologicalSorter
from importlib.resources import files

import pytest

from kit import criteria
from kit.basics.errors import UnknownName

# The set that must all be met. Ours, for a tutor to confirm; a change here is a decision, not a slip.
SAFETY_CRITICAL = {
    *("INT-P03", "INT-P06", "CUR-P02", "CUR-P05", "PEL-P05", "COK-P01", "COK-P02", "COK-P05", "COK-K01"),
    *("COK-K03", "CHL-P01", "CHL-P03", "CHL-P04", "CHL-K01", "PLS-P02", "PLS-P03", "PLS-K01", "PLS-K02"),
    *("REC-P01", "REC-P03", "HAS-P01", "HAS-P02", "HAS-K02"),
}

# Ids never change, so their count by prefix never does.
COUNTS = {
    **{"INT-P": 7, "INT-K": 4, "TPB-P": 7, "TPB-K": 3, "CUR-P": 5, "CUR-K": 6, "RIN-P": 3, "RIN-K": 1},
    **{"PEL-P": 5, "PEL-K": 2, "WDS-P": 5, "WDS-K": 5, "COK-P": 6, "COK-K": 5, "CHL-P": 4, "CHL-K": 2},
    **{"PLS-P": 4, "PLS-K": 6, "CLN-P": 4, "CLN-K": 3, "REC-P": 5, "REC-K": 9, "HAS-P": 5, "HAS-K": 3},
}


def test_there_are_60_to_do_and_49_to_know():
    kinds = Counter(criterion.kind for criterion in criteria.load())
    assert kinds == {"performance": 60, "knowledge": 49}


def test_ids_are_unique_in_the_file_itself():
    # the loader keys by id, so a doubled id would vanish there
    data = tomllib.loads((files("kit.criteria") / "data" / "criteria.toml").read_text("utf-8"))
    ids = [record["id"] for record in data["criterion"]]
    assert len(ids) == len(set(ids)) == 109


def test_ids_run_without_a_hole_under_each_prefix():
    expected = {f"{prefix}{n:02}" for prefix, count in COUNTS.items() for n in range(1, count + 1)}
    assert {criterion.id for criterion in criteria.load()} == expected


def test_the_letter_in_the_id_is_the_kind():
    for criterion in criteria.load():
        assert criterion.kind == {"P": "performance", "K": "knowledge"}[criterion.id[4]]


def test_safety_critical_set():
    assert {criterion.id for criterion in criteria.safety_critical()} == SAFETY_CRITICAL


def test_observations_are_asked_for_skill_only():
    for criterion in criteria.load():
        if criterion.kind == "knowledge":
            assert criterion.observations_needed == 0
        else:
            assert criterion.observations_needed == (3 if criterion.safety_critical else 2)
        assert criterion.review_months == (6 if criterion.safety_critical else 12)


def test_every_criterion_has_a_step_with_a_title_a_source_and_a_plain_sentence():
    for criterion in criteria.load():
        assert criterion.step_title[0].isupper()
        assert len(criterion.source) > 5
        assert criterion.text.endswith(".")
        assert len(criterion.text.split()) <= 22, criterion.id


def test_by_step_and_by_kind_cover_all():
    assert [c for step in criteria.steps() for c in criteria.at(step)] == list(criteria.load())
    assert {c for kind in criteria.KINDS for c in criteria.of_kind(kind)} == set(criteria.load())


@pytest.mark.parametrize(
    ("call", "wrong"), [(criteria.get, "COK-K33"), (criteria.at, "cooking"), (criteria.of_kind, "skill")]
)
def test_an_unknown_name_lists_the_known_ones(call, wrong):
    with pytest.raises(UnknownName, match="Known: "):
        call(wrong)


def test_what_a_criterion_builds_on_is_there_and_goes_round_in_no_circle():
    by_id = {one.id: one for one in criteria.load()}
    ground = {name: set(one.builds_on) for name, one in by_id.items()}
    assert sum(map(bool, ground.values())) >= 20
    for name, bases in ground.items():
        assert all(by_id[base].kind == by_id[name].kind == "knowledge" for base in bases), name
    assert list(TopologicalSorter(ground).static_order())  # raises CycleError at a circle
