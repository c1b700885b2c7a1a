"""The desk's numbers: planted faults are named, too few show nothing, a tutor reads about themselves."""

from __future__ import annotations

import json

import pytest

from kit import statistics
from kit.records.people.pseudonyms import pseudonyms
from kit.statistics import invented_crew as crew_of
from kit.statistics.mending import HARM
from kit.views.tutor import numbers_page
from tests.views.test_tutor_desk import at_desk, blocks, crew, text

__all__ = ["at_desk", "crew"]
BAD = [
    crew_of.Planted(crew_of.exercise_name(n), fault)
    for n, fault in zip((6, 9, 12, 16), crew_of.FAULTS, strict=True)
]


@pytest.fixture(scope="module")
def attempts():
    return crew_of.invented_attempts(300, 40, planted=BAD, seed=2)


def table_of(made, place=0):
    return [each for each in made if each["kind"] == "table"][place]


def test_every_fault_has_words():
    assert set(numbers_page.FAULT_WORDS) == set(HARM)


def test_the_planted_questions_are_named_with_n_interval_and_the_authors_command(attempts):
    found = table_of(numbers_page.mend_blocks(attempts, crew_of.invented_bank(40)))
    named = {row[0] for row in found["rows"]}
    ranked = statistics.questions_to_mend(attempts, crew_of.invented_bank(40))
    assert named <= {one.exercise for one in BAD} and named  # planted, and no false alarm
    assert [row[0] for row in found["rows"]] == ranked["exercise"].head(numbers_page.MOST_ROWS).tolist()
    assert all("), n " in row[2] and row[3] == f"smokehouse author look {row[0]}" for row in found["rows"])


def test_of_twelve_people_no_figure_is_shown():
    few = crew_of.invented_attempts(9, 40, planted=BAD, seed=2)
    said = json.dumps(numbers_page.mend_blocks(few, crew_of.invented_bank(40)))
    assert "No question stands out. 9 people have practised." in said
    assert "nothing is shown" in json.dumps(numbers_page.message_blocks(statistics.second_tries(few)))


def test_messages_are_counted_and_the_worst_stands_first(attempts):
    tries = statistics.second_tries(attempts)
    made = numbers_page.message_blocks(tries)
    rows = table_of(made[-1]["blocks"])["rows"]
    worst = tries.loc[tries["gain"].idxmin()]
    assert rows[0][:2] == [worst["exercise"], worst["slip"]] and "surely help" in made[1]["text"]


def test_the_desk_reads_only_when_asked_and_shows_a_tutor_about_themselves_alone(at_desk):
    seat = at_desk("Osric Vane")
    part = seat.desk.numbers()
    assert blocks(part, "table") == []
    seat.ask(part, do="numbers")
    assert "Questions to mend" in text(part) and "How much do I agree with others?" in text(part)
    with seat.records.reading() as connection:
        others = {word for person, word in pseudonyms(connection).items() if person != seat.me}
    assert not any(word in text(part) for word in others)
    nobody = numbers_page.numbers_blocks(seat.records, "")
    assert "How much do I agree" not in json.dumps(nobody)
