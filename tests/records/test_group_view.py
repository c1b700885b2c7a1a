"""Kitchens side by side: figures that agree with the kitchen's own decisions, and no name among them."""

from __future__ import annotations

from dataclasses import asdict
from datetime import timedelta

import pytest

from kit.basics.errors import BadData
from kit.cli.manager.site_group import group_command, group_rows
from kit.records.competence import deciding
from kit.records.competence.decision_state import decisions
from kit.records.competence.kitchen_figures import KitchenFigures, kitchen_figures
from tests.cli.typed import run


def figures(kitchen):
    with kitchen.records.reading() as connection:
        return kitchen_figures(connection, kitchen.clock.now.date())


def test_the_figures_follow_a_decision_through_its_life(kitchen):
    empty = figures(kitchen)
    assert (empty.learners, empty.tutors, empty.competent, empty.appeals) == (1, 2, 0, 0)
    for day in (1, 2, 3):
        kitchen.see(day)
    lapses = deciding.decide(kitchen.tutor, kitchen.apprentice, "COK-P01", "competent", "Seen on 3 batches.")
    assert lapses.facts["second_wanted"] and figures(kitchen).competent == 1
    kitchen.clock.now += timedelta(days=40)
    with kitchen.records.reading() as connection:
        now = decisions(connection, kitchen.tutor.catalogue, kitchen.clock.now.date())
    assert [one.state for each in now.values() for one in each.values()] == ["lapsed"]
    assert figures(kitchen).competent == 0
    for day in (45, 46, 47):
        kitchen.see(day)
    act = deciding.decide(kitchen.tutor, kitchen.apprentice, "COK-P01", "competent", "Seen on 3 batches.")
    signed = figures(kitchen)
    assert signed.competent == 1 and signed.second_wanted == int(bool(act.facts.get("second_wanted")))
    deciding.verify(kitchen.verifier, act.number, True, "Read the sheets.")
    verified = figures(kitchen)
    assert verified.competent == 1
    assert (verified.seconds, verified.disagreed, verified.agreed_pct) == (1, 0, None)
    kitchen.clock.now += timedelta(days=150)
    soon = figures(kitchen)
    assert soon.soon == 1 and soon.overdue == 0
    kitchen.clock.now += timedelta(days=60)
    late = figures(kitchen)
    assert (late.competent, late.overdue) == (0, 1)
    with kitchen.records.reading() as connection:
        standing = decisions(connection, kitchen.tutor.catalogue, kitchen.clock.now.date())
    assert [one.state for each in standing.values() for one in each.values()] == ["over"]
    deciding.appeal(kitchen.tutor, act.number, "I was rushed.")
    assert (figures(kitchen).appeals, figures(kitchen).overdue) == (1, 0)


def test_agreement_is_hidden_below_five_and_told_from_there():
    few = KitchenFigures(1, 1, 0, 0, 0, 0, 0, 4, 1, 0, 9)
    assert few.agreed_pct is None and KitchenFigures(**asdict(few) | {"seconds": 8}).agreed_pct == 87.5
    told = {row[0]: row[1:] for row in group_rows({"quay": few})}
    assert told["kitchen"] == ["quay"] and told["agreed [%]"] == ["too few"]


def test_a_kitchen_that_is_not_there_is_named_and_the_others_are_shown(kitchen, tmp_path):
    place = kitchen.records
    where = str(place.path)
    if place.address:
        where = place.engine.url.render_as_string(hide_password=False) + "&schema=kitchen"
    asked = ("--kitchen", "quay", where, "--kitchen", "brook", str(tmp_path / "none.db"))
    said = run(group_command, *asked, "--out", str(tmp_path / "group.csv"), code=1)
    assert "learners" in said and "brook:" in said and "no records here" in said
    for name in ("Tam", "Osric", "Berit"):
        assert name not in said
    assert (tmp_path / "group.csv").read_text(encoding="utf-8-sig").startswith("kitchen,quay\n")
    with pytest.raises(BadData, match="two bear one name"):
        run(group_command, *asked[:3], *asked[:3])
