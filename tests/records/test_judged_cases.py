"""Ten cases judged alone: one signed act a tutor, and nothing of the others before it stands."""

from __future__ import annotations

import pytest

from kit.basics.errors import BadData
from kit.records.competence.judged_cases import judge_cases, judgements
from kit.records.ledger.acts import NotAllowed
from kit.records.upkeep.whole_check import check_all
from kit.statistics.invented_cases import beside, cases_print, invented_cases

KNOWN = [each.id for each in invented_cases()]
PRINT = cases_print()
ALL_MET = dict.fromkeys(KNOWN, "met")


def test_it_is_judged_once_signed_and_the_records_are_whole(kitchen):
    act = judge_cases(kitchen.tutor, PRINT, KNOWN, ALL_MET | {"case-02": "not met"})
    assert act.signature and act.person is None and act.facts["ratings"]["case-02"] == "not met"
    with pytest.raises(NotAllowed, match="judged once, alone"):
        judge_cases(kitchen.tutor, PRINT, KNOWN, ALL_MET)
    judge_cases(kitchen.tutor, "another set", KNOWN, ALL_MET)  # other words are other cases
    with kitchen.records.reading() as connection:
        assert judgements(connection, PRINT) == {kitchen.tutor.person: dict(act.facts["ratings"])}
    assert check_all(kitchen.records).whole


def test_only_who_judges_at_work_judges_here(kitchen):
    judge_cases(kitchen.verifier, PRINT, KNOWN, ALL_MET)
    with pytest.raises(NotAllowed, match="needs a tutor or verifier"):
        judge_cases(kitchen.manager, PRINT, KNOWN, ALL_MET)


@pytest.mark.parametrize(
    ("ratings", "said"),
    [({}, "no case was rated"), ({"case-77": "met", "case-01": "perhaps"}, "case-77.*perhaps")],
)
def test_a_bad_judgement_is_one_line_with_every_fault(kitchen, ratings, said):
    with pytest.raises(BadData, match=said) as refused:
        judge_cases(kitchen.tutor, PRINT, KNOWN, ratings)
    assert "\n" not in str(refused.value)
    with kitchen.records.reading() as connection:
        assert judgements(connection, PRINT) == {}


def test_nothing_of_the_others_shows_before_ones_own_or_of_one_alone():
    one = {"a": ALL_MET}
    assert beside(one, "b").lines() == ["1 tutor judged them. Judge them alone first, then look."]
    two = one | {"b": ALL_MET | {"case-04": "not met"}}
    assert beside(two, "b").lines() == ["1 other judged them. What they said shows from 2 on."]
    three = two | {"c": {name: word for name, word in ALL_MET.items() if name != "case-01"}}
    found = beside(three, "b")
    assert found.says == "You said the same as most of 2 others in 9 of 10 cases."
    kappa, alpha = found.figures
    assert not kappa.shown and kappa.n == 9  # a gap: too few whole cases
    assert alpha.shown and alpha.n == 10
    parts = [case.id for case, _, _, apart in found.cases if apart]
    assert parts == ["case-04"]
    assert not any(name in line for line in found.lines() for name in ("a,", "c,"))
