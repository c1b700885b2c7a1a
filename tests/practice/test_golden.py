"""The folder of a person, as version 0.1.0 wrote it, is at work again."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from kit.files import joined_kitchen
from kit.practice import check_pin, get, own_terms, start
from kit.practice.pins import unlock

GOLDEN = Path(__file__).resolve().parents[1] / "data" / "golden_0_1"
FACTS = json.loads((GOLDEN / "facts.json").read_text(encoding="utf-8"))
PERSON = FACTS["books"]["long"]["person"]


@pytest.fixture
def home(tmp_path):
    folder = tmp_path / "people" / PERSON
    folder.mkdir(parents=True)
    shutil.copy(GOLDEN / "long.book", folder / "answers.book")
    for name in ("person.toml", "own_words.json"):
        shutil.copy(GOLDEN / name, folder)
    joined_kitchen.join(GOLDEN / "kitchen.toml", home=tmp_path)
    return tmp_path


def test_the_person_and_their_words_are_there(home):
    person = get(PERSON, home)
    assert (person.name, person.profile, person.language) == ("Elva Norrström", "ie", "Swedish")
    assert check_pin(person, "2719")
    assert not check_pin(person, "2718")
    words = own_terms.read(person.folder)
    assert (words.language, words.words, words.notice) == ("svenska", {"core": "kärna"}, "")


@pytest.mark.slow
def test_the_lesson_goes_on_where_it_was(home):
    assert not start(PERSON, home=home).recorded  # a PIN was set: nobody writes here without it
    session = start(PERSON, home=home, private=unlock(get(PERSON, home), "2719"))
    assert session.recorded
    assert session.notice == ""
    assert session.kitchen is not None
    assert session.kitchen.stamp == FACTS["kitchen"]["mark"]
    last = session.book.entries[-4]  # then the dispute, the explanation, and the key of today
    assert (last.what, last.exercise) == ("attempt", "water-phase-salt")
    task = session.current("water-phase-salt")
    if task.question.version == last.version:  # a question that was changed since opens a new variant
        assert (task.occasion, task.last_answer) == (last.occasion, last.answer)
        assert len(task.disputes) == 1
