"""Everything a learner reads is plain English: short sentences, easy words, British spelling.

The measures are those of a readability library that works offline. A word of the trade counts as one
syllable, because `kit.words` explains it once. A technical word that is not in that list counts in full.
"""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
import textstat

from kit import exercises
from kit.words import words

ROOT = Path(__file__).resolve().parents[2]
SEEDS = (1, 2, 3)

_SPELLINGS = sorted((s for w in words().values() for s in w.spellings), key=len, reverse=True)
_TERM = re.compile(r"(?<!\w)(?:" + "|".join(map(re.escape, _SPELLINGS)) + r")(?!\w)", re.IGNORECASE)
# A full stop ends a sentence unless it stands in a number, an initial ("L. monocytogenes") or "e.g.".
_END = re.compile(r"(?:(?<![A-Z])|(?<=°C))(?<!\be\.g)(?<!\bNo)[.!?:;](?=\s|$)|\n")


@dataclass(frozen=True)
class Measure:
    """How hard a text is: words in a sentence (mean and most), and the school grade."""

    mean_words: float
    longest: str
    longest_words: int
    grade: float


def sentences(text: str) -> list[str]:
    """Split a text into sentences; a heading, a list item and a table cell each count as one."""
    text = re.sub(r"```.*?```", " ", text, flags=re.S)
    text = re.sub(r"\$[^$]*\$", " ", text)
    text = re.sub(r"!?\[([^\]]*)\]\([^)]*\)", r"\1", text)
    text = re.sub(r"<[^>]+>|`[^`]*`", " ", text)
    text = re.sub(r"[*_#>]+|^\s*(?:[-+]|\d+\.)\s", " ", text, flags=re.M)
    text = text.replace("|", "\n").replace("…", ".").replace("—", "\n")
    found = [re.sub(r"\s+", " ", part).strip(" -–") for part in _END.split(text)]
    return [part for part in found if len(re.findall(r"[A-Za-z]{2,}", part)) >= 2]


def word_count(sentence: str) -> int:
    """Count words; a number with its unit is one word."""
    return len(
        re.findall(
            r"[A-Za-z0-9](?:[\w.,'’×/%°-]*\w)?", re.sub(r"(\d)\s+(?=[°%a-zA-Z]{1,4}\b)", r"\1", sentence)
        )
    )


def measure(texts: Iterable[str]) -> Measure:
    """Measure texts together. Words of the trade count as one syllable, as they are explained."""
    every = [sentence for text in texts for sentence in sentences(text)]
    counts = [word_count(sentence) for sentence in every]
    longest = max(range(len(every)), key=counts.__getitem__)
    plain = ". ".join(_TERM.sub("fish", re.sub(r"[^A-Za-z'’ -]", " ", sentence)) for sentence in every) + "."
    grade = textstat.textstat.flesch_kincaid_grade(plain)
    return Measure(sum(counts) / len(counts), every[longest], counts[longest], grade)


def lesson_texts(path: Path) -> list[str]:
    """Return the prose of a lesson."""
    cells = json.loads(path.read_text(encoding="utf-8"))["cells"]
    return ["".join(cell["source"]) for cell in cells if cell["cell_type"] == "markdown"]


def exercise_texts(exercise: str) -> list[str]:
    """Return all a learner may read in an exercise, in a few variants."""
    return list(
        dict.fromkeys(text for seed in SEEDS for text in _question_texts(exercises.question(exercise, seed)))
    )


def _question_texts(question: Any) -> Iterator[str]:
    yield question.text
    yield from question.hints
    yield question.worked
    for slip in question.slips:
        yield slip.says
    for name in ("options", "left", "right", "reasons"):
        for option in getattr(question.kind, name, ()):
            yield option.text
    if question.picture is not None:
        yield question.picture.text


def batch_texts() -> list[str]:
    """Return all a learner may read in the whole-batch game: its choices, and two batches to their end."""
    from kit.exercises import batch_08 as game
    from kit.exercises import batch_08_story as story
    from kit.exercises.batch_08_report import report
    from kit.views.batch import page_of

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

MEAN_WORDS, MOST_WORDS, GRADE = 12.0, 25, 7.0

# Words that are right and not in the dictionary, each with its reason.
RIGHT_WORDS = {
    "Tomasz": "an invented person",
    "mL": "unit",
    "kJ": "unit",
    "Femi": "an invented person",
    "Oisín": "an invented person",
    "Taxine": "the poison of yew",
    "°C": "unit",
    "commis": "the trade's word for a junior cook",
    "smokehouse": "the trade's word",
    "pin": "trade",
    "deskins": "trade",
}


def hard_to_read(texts: list[str]) -> list[str]:
    found = measure(texts)
    faults = []
    if found.mean_words > MEAN_WORDS:
        faults.append(f"mean sentence {found.mean_words:.1f} words, at most {MEAN_WORDS:g}")
    if found.longest_words > MOST_WORDS:
        faults.append(f"a sentence of {found.longest_words} words: {found.longest!r}")
    if found.grade > GRADE:
        faults.append(f"grade {found.grade:.1f}, at most {GRADE:g}")
    return faults


@pytest.mark.parametrize("path", LESSONS, ids=lambda path: path.stem)
def test_a_lesson_is_easy_to_read(path: Path):
    assert not hard_to_read(lesson_texts(path))


@pytest.mark.parametrize("exercise", EXERCISES)
def test_an_exercise_is_easy_to_read(exercise: str):
    assert not hard_to_read(exercise_texts(exercise))


def test_explorers_are_easy_to_read():
    from kit.views.spec import explorer_named, explorer_names

    for name in explorer_names():
        spec = explorer_named(name)
        texts = [spec.title, spec.intro]
        if spec.predict is not None:
            texts += [spec.predict.question, *spec.predict.choices, spec.predict.look]
        assert not hard_to_read(texts), name


def test_the_whole_batch_game_is_easy_to_read():
    assert not hard_to_read(batch_texts())


def test_the_measure_can_fail():
    hard = (
        "Notwithstanding considerable microbiological heterogeneity, organoleptic acceptability deteriorates."
    )
    assert any(fault.startswith("grade") for fault in hard_to_read([hard]))
    assert any("a sentence of" in fault for fault in hard_to_read(["fish " * 30 + "."]))


def test_words_are_spelled_as_in_britain():
    if shutil.which("hunspell") is None:
        if os.environ.get("SMOKEHOUSE_REQUIRE_SPELLING"):
            pytest.fail("hunspell is not installed")
        pytest.skip("hunspell is not installed")
    texts = [text for path in LESSONS for text in lesson_texts(path)]
    texts += [text for exercise in EXERCISES for text in exercise_texts(exercise)]
    texts += [each.means for each in words().values()]
    texts += batch_texts()
    known = {part.lower() for s in _SPELLINGS for part in re.split(r"[\s-]", s)} | {
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
