"""Everything a learner reads is plain English: short sentences, easy words, British spelling."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
from functools import cache
from pathlib import Path

import pytest

from kit import exercises
from kit.basics.terms import terms
from kit.cli.author import plain_words
from kit.cli.author.plain_words import (
    RIGHT_WORDS,
    SPELLINGS,
    hard_to_read,
    pronounced,
    question_texts,
    reading_grade,
    sentences,
    syllables,
)

ROOT = Path(__file__).resolve().parents[2]
SEEDS = (1, 2, 3)


def lesson_texts(path: Path) -> list[str]:
    """Return the prose of a lesson, without the titles and names in its list of sources."""
    cells = json.loads(path.read_text(encoding="utf-8"))["cells"]
    texts = ["".join(cell["source"]) for cell in cells if cell["cell_type"] == "markdown"]
    return [re.sub(r"(## Sources\n)(?:\n|- [^\n]*\n?)*", r"\1\n", text) for text in texts]


@cache
def exercise_texts(exercise: str) -> list[str]:
    """Return all a learner may read in an exercise, in a few variants."""
    return list(
        dict.fromkeys(text for seed in SEEDS for text in question_texts(exercises.question(exercise, seed)))
    )


@cache
def batch_texts() -> list[str]:
    """Return all a learner may read in the whole-batch game: its choices, and two batches to their end."""
    from kit.exercises.lesson_08 import batch as game
    from kit.exercises.lesson_08 import batch_story as story
    from kit.exercises.lesson_08.batch_report import report
    from kit.views.workbook.batch import page_of

    texts = [text for stage in story.STAGES for text in (stage.intro, *dict(stage.fixes).values())]
    texts += [text for each in story.FINDINGS.values() for text in (each.reason, each.why)]
    script = (ROOT / "kit" / "views" / "front" / "batch.js").read_text(encoding="utf-8")
    texts += [text.replace("\\n", "\n") for text in re.findall(r'prose\("([^"]+)"\)', script)]
    texts += story.LAST_REASONS.values()
    for seed, call in ((19, "carry on"), (441, "hold")):
        play = game.start(seed)
        while play.phase != "end":
            page = page_of(play)
            texts += [page["order"], page.get("card", ""), *page.get("evidence", ()), *page["news"]]
            if play.phase == "set":
                starts = {dial.key: dial.start for dial in play.stage.dials}
                play = game.set_dials(play, starts)
            elif play.phase == "decide":
                play = game.decide(play, call, "fine")
            else:
                play = game.recommend(play, "hold", "missed")
        told = report(play)
        texts += [*told.account, told.unsafe, told.chef, *(each.words for each in told.bands)]
        texts += [text for each in told.marks for text in (each.called_for, each.why)]
    return texts


LESSONS = sorted((ROOT / "lessons").glob("*.ipynb"))
EXERCISES = [*exercises.ids(), *exercises.explain_ids()]


@pytest.mark.slow
@pytest.mark.parametrize(
    "path",
    [
        *LESSONS,
        *(
            ROOT / "answers" / f"{name}.ipynb"
            for name in ("training_manager", "question_numbers", "crew_over_time")
        ),
    ],
    ids=lambda path: path.stem,
)
def test_a_lesson_is_easy_to_read(path: Path):
    assert not hard_to_read(lesson_texts(path))


@pytest.mark.parametrize("exercise", EXERCISES)
def test_an_exercise_is_easy_to_read(exercise: str):
    assert not hard_to_read(exercise_texts(exercise))


def test_explorers_are_easy_to_read():
    from kit.views.pictures.register import explorer_named, explorer_names

    for name in explorer_names():
        spec = explorer_named(name)
        texts = [spec.title, spec.intro]
        if spec.predict is not None:
            texts += [spec.predict.question, *spec.predict.choices, spec.predict.look]
            texts += [each for each in spec.predict.off if each]
        assert not hard_to_read(texts), name


@pytest.mark.slow
def test_the_whole_batch_game_is_easy_to_read():
    assert not hard_to_read(batch_texts())


# Worked by others; of both pages an excerpt was seen. An encyclopaedia's article on the test of Flesch and
# Kincaid: this sentence has 24 syllables in 13 words and is an 11.3. The README of a library for the formula
# (npm, flesch-kincaid 2.0.1) takes 26 and gives 13.08. The tolerance is half a unit in the last place.
PLATYPUS = "The Australian platypus is seemingly a hybrid of a mammal and reptilian creature."


def test_the_grade_is_the_published_one(monkeypatch: pytest.MonkeyPatch):
    words = PLATYPUS.lower().rstrip(".").split()
    assert (len(words), sum(map(syllables, words))) == (13, 24)
    assert reading_grade([PLATYPUS]) == pytest.approx(11.3, abs=0.05)
    monkeypatch.setattr(plain_words, "syllables", lambda word: 2)
    assert reading_grade([PLATYPUS]) == pytest.approx(13.08, abs=0.005)


def test_a_word_without_an_entry_is_counted_by_its_vowels():
    # Counted by ear, not from a source. None of them stands in the dictionary.
    by_ear = {"pellicle": 3, "smoulders": 2, "salometer": 4, "flavoured": 2, "disinfected": 4, "wets": 1}
    assert not set(by_ear) & set(pronounced())
    assert {word: syllables(word) for word in by_ear} == by_ear
    assert (
        syllables("smokehouse") == 3
    )  # one too many: a silent e inside a word is counted, so we err to hard


def test_the_measure_can_fail():
    hard = (
        "Notwithstanding considerable microbiological heterogeneity, organoleptic acceptability deteriorates."
    )
    assert any(fault.startswith("grade") for fault in hard_to_read([hard]))
    assert any("a sentence of" in fault for fault in hard_to_read(["fish " * 30 + "."]))


@pytest.mark.parametrize("what", ["lessons", pytest.param("the batch game", marks=pytest.mark.slow)])
def test_words_are_spelled_as_in_britain(what: str):
    if shutil.which("hunspell") is None:
        if os.environ.get("SMOKEHOUSE_REQUIRE_SPELLING"):
            pytest.fail("hunspell is not installed")
        pytest.skip("hunspell is not installed")
    if what == "lessons":
        texts = [text for path in LESSONS for text in lesson_texts(path)]
        texts += [text for exercise in EXERCISES for text in exercise_texts(exercise)]
        texts += [each.means for each in terms().values()]
    else:
        texts = batch_texts()
    known = {part.lower() for s in SPELLINGS for part in re.split(r"[\s-]", s)} | {
        w.lower() for w in RIGHT_WORDS
    }
    plain = "\n".join(sentence for text in texts for sentence in sentences(text))
    run = subprocess.run(
        ["hunspell", "-d", "en_GB", "-i", "utf-8", "-l"],
        input=plain,
        capture_output=True,
        text=True,
        check=True,
    )
    wrong = sorted({word for word in run.stdout.split() if word.lower().strip("'’") not in known})
    assert not wrong, f"not in the dictionary: {wrong}"
