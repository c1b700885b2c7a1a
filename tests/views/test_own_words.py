"""The list of words: what reaches the page, what is kept and where, and what is said when it is not."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from kit.basics.terms import terms
from kit.practice import create, start
from kit.practice.own_terms import FILE, read
from kit.views import Lesson
from kit.views.pictures.word_sketches import SKETCHES
from kit.views.workbook.own_terms import WordList


class Heard(WordList):
    """A list that keeps what it sends."""

    def __init__(self, session: Any, lesson: int = 0) -> None:
        self.sent: list[dict[str, Any]] = []
        super().__init__(session, lesson=lesson)

    def send(self, content: Any, buffers: Any = None) -> None:
        self.sent.append(content)

    def do(self, word: Any, text: Any) -> dict[str, Any]:
        self._hear(self, {"do": "keep", "word": word, "text": text, "serial": len(self.sent) + 1}, [])
        return self.sent[-1]


@pytest.fixture
def ana(throw_away_home: Path) -> Any:
    return create("Ana Ó Briain", language="Czech")


def test_it_has_every_word_once_with_its_meaning():
    page = Heard(start("")).form
    assert [(each["word"], each["means"]) for each in page["words"]] == [
        (word.word, word.means) for word in terms().values()
    ]
    assert {each["lesson"] for each in page["words"]} == {each["number"] for each in page["lessons"]}


def test_every_sketch_belongs_to_a_word_and_many_words_have_one():
    assert set(SKETCHES) <= set(terms())
    drawn = [each for each in Heard(start("")).form["words"] if each["sketch"]]
    assert len(drawn) == len(SKETCHES) >= 40
    assert all(each["sketch"].startswith("<svg") and "text" not in each["sketch"][:20] for each in drawn)


def test_what_is_typed_is_kept_and_there_again(ana: Any):
    first = Heard(start(ana.id))
    assert first.kept == {"language": "Czech", "words": {}, "notice": ""}
    assert first.do("core", "  jádro ") == {"reply": "kept", "word": "core", "serial": 1, "text": "jádro"}
    assert first.do("", "čeština")["text"] == "čeština"
    again = Heard(start(ana.id))
    assert again.kept == {"language": "čeština", "words": {"core": "jádro"}, "notice": ""}
    assert again.do("core", "")["text"] == ""
    assert read(ana.folder).words == {}


def test_the_note_says_whether_it_is_kept(ana: Any):
    assert "kept on this machine" in Heard(start(ana.id)).form["note"]
    nobody = Heard(start(""))
    assert nobody.form["note"].startswith("Not recorded:")
    assert nobody.do("core", "jádro")["text"] == "jádro"
    assert nobody.kept["words"] == {"core": "jádro"}


def test_the_answer_book_is_not_touched(ana: Any):
    before = ana.book_path.read_bytes()
    Heard(start(ana.id)).do("core", "jádro")
    assert ana.book_path.read_bytes() == before


def test_a_text_that_is_too_long_is_said_beside_its_word_and_the_old_one_stays(ana: Any):
    page = Heard(start(ana.id))
    page.do("core", "jádro")
    reply = page.do("core", "x" * 500)
    assert (reply["word"], "text" in reply) == ("core", False)
    assert "500 characters long; it must be 80 or fewer" in reply["error"]
    assert page.kept["words"] == {"core": "jádro"}


@pytest.mark.parametrize(("word", "text"), [(7, "x"), (None, "x"), ("core", ["x"]), ("bicycle", "kolo")])
def test_nonsense_from_a_page_is_refused(word: Any, text: Any, ana: Any):
    assert Heard(start(ana.id)).do(word, text)["error"]
    assert not (ana.folder / FILE).exists()


def test_a_damaged_file_is_said_and_the_list_works(ana: Any):
    (ana.folder / FILE).write_bytes(b"{")
    page = Heard(start(ana.id))
    assert "damaged" in page.kept["notice"]
    page.do("core", "jádro")
    assert "damaged" in page.kept["notice"] and page.kept["words"] == {"core": "jádro"}


def test_a_newer_kits_file_is_said_and_left_alone(ana: Any):
    newer = json.dumps({"schema": 9}).encode()
    (ana.folder / FILE).write_bytes(newer)
    page = Heard(start(ana.id))
    assert "newer kit" in page.kept["notice"]
    assert "newer kit" in page.do("core", "jádro")["error"]
    assert (ana.folder / FILE).read_bytes() == newer


def test_a_lesson_shows_its_own_words_first():
    assert Lesson(3).words().form["start"] == 3
    assert Lesson(8).words().form["start"] == 0  # lesson 8 has no words of its own
