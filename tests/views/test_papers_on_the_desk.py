"""A test paper that was drawn and never marked stands on the person's page until it is marked."""

from __future__ import annotations

from dataclasses import replace

from kit import rules
from kit.cli.demo.desk_story import PASSWORD
from kit.exercises.catalogue import Catalogue
from kit.files.paper_plan import PaperPlan
from kit.records.competence import papers, sitting
from kit.records.competence.sitting import SatPaper
from kit.records.people.keys import open_key
from kit.records.people.staff import Hand
from tests.views.conftest import NOW
from tests.views.test_tutor_desk import at_desk, text

__all__ = ["at_desk"]


def test_it_stands_there_until_it_is_marked_and_on_nobody_elses_page(at_desk):
    seat, profile = at_desk("Osric Vane"), rules.load("ie")
    key = open_key(seat.records, seat.me, "Osric Vane", lambda: PASSWORD)
    hand, who = Hand(seat.records, seat.me, key, clock=lambda: NOW), seat.id("Niamh Shevlin")
    paper = papers.draw(hand, PaperPlan(1, {"COK-K01": 1}, 20), [who], profile=profile)[0]
    seat.ask(seat.person, do="person", person=who)
    assert "A paper not marked yet" in text(seat.person) and paper.id in text(seat.person)
    seat.ask(seat.person, do="person", person=seat.id("Linh Pham"))
    assert paper.id not in text(seat.person)
    asked = papers.questions_of(paper, Catalogue(), profile)
    right = {place: each.answer for place, each in enumerate(asked, 1)}
    sat = SatPaper(paper.id, NOW.astimezone().date(), answers=right, used_min=5, declared=True)
    sitting.sign(replace(hand, clock=lambda: NOW), sat, profile)
    seat.ask(seat.person, do="person", person=who)
    assert "A paper not marked yet" not in text(seat.person)
