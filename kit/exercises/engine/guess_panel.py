"""A panel that knows nothing: how far an exercise can be guessed.

Each member of the panel answers by a rule of thumb that has nothing to do with fish: the longest option, the
first place, a number of the text, what was right another time. An exercise that one of them gets right is not
evidence of knowledge, so the rule of knowledge weighs each exercise by what the best of them reaches.
"""

import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from statistics import median
from typing import Any

from kit.exercises.engine import registry
from kit.exercises.engine.fingerprints import content_print, texts_of, truth_of
from kit.marking import mark
from kit.marking.model import (
    DECISIONS,
    Control,
    Controls,
    Match,
    Number,
    One,
    Option,
    Order,
    Places,
    Question,
    Recommend,
    Several,
)

SEEDS = 120
"""How many seeds the panel answers, if nothing else is asked for."""
SLOW_SEEDS = 16
"""How many where each answer runs a whole batch."""
LEAST_CHANCE = 0.02
MOST_GUESSED, MOST_REMEMBERED, MOST_BY_THREE = 0.5, 0.9, 0.8
FEWEST_CONTENTS, FEWEST_TRUTHS = 8, 3

Guess = Any


@dataclass(frozen=True)
class PanelFigures:
    """What the panel reaches on one exercise.

    ``contents`` and ``truths`` are how many different questions and answers the seeds drew. ``by_member`` is
    the share of questions that each member got right [0 to 1]; ``remembers_one`` and ``remembers_three`` the
    same for somebody who kept the answers of 1 and of 3 other questions of the exercise, and knows no more;
    ``remembers_eight`` of 8.
    """

    exercise: str
    kind: str
    questions: int
    contents: int
    truths: int
    by_member: Mapping[str, float]
    remembers_one: float
    remembers_three: float
    remembers_eight: float

    @property
    def best(self) -> tuple[str, float]:
        """The best member that remembers nothing, and its share of right answers."""
        return max(self.by_member.items(), key=lambda one: one[1], default=("none", 0.0))

    @property
    def guess_chances(self) -> tuple[float, ...]:
        """How often somebody who knows nothing is right, after each number of other questions in ``SEEN``.

        Without memory it is the best of the panel; with memory, the better of the two.
        """
        least = max(self.best[1], LEAST_CHANCE)
        by_memory = (self.remembers_one, self.remembers_three, self.remembers_eight)
        return (least, *(max(least, one) for one in by_memory))

    @property
    def faults(self) -> tuple[str, ...]:
        """What makes the exercise easier to guess, or poorer in questions, than the bank allows."""
        found = {
            f"guessed by {self.best[0]!r}": self.best[1] > MOST_GUESSED,
            "remembered from one other": self.remembers_one >= MOST_REMEMBERED,
            "remembered from three others": self.remembers_three >= MOST_BY_THREE,
            "few contents": self.contents < FEWEST_CONTENTS,
            "few truths": self.truths < FEWEST_TRUTHS,
        }
        return tuple(fault for fault, true in found.items() if true)


def panel_figures(exercise: str, seeds: int = SEEDS, profile: str = "") -> PanelFigures:
    """Return how far an exercise can be guessed.

    Parameters
    ----------
    exercise : str
        Its id.
    seeds : int
        How many variants are drawn, from seed 0; fewer where each answer runs a whole batch.
    profile : str
        The rules they are drawn under; by default those of ``kit.rules.DEFAULT``.

    Raises
    ------
    UnknownName
        If there is no such exercise.

    Examples
    --------
    >>> found = panel_figures("brine-degrees", 12)
    >>> found.kind, found.questions, found.best[1] < 0.5
    ('number', 12, True)
    """
    first = registry.question(exercise, 0, profile)
    count = min(seeds, SLOW_SEEDS) if isinstance(first.kind, Controls) else seeds
    questions = [registry.question(exercise, seed, profile) for seed in range(count)]
    right: Counter[str] = Counter()
    for question in questions:
        right.update(name for name, guess in guesses(question) if _is_right(question, guess))
    right.update(_constants(questions))
    return PanelFigures(
        exercise,
        first.kind_name,
        count,
        len({content_print(one) for one in questions}),
        len({truth_of(one) for one in questions}),
        {name: times / count for name, times in right.items()},
        _remembering(questions, 1),
        _remembering(questions, 3),
        _remembering(questions, 8),
    )


def _is_right(question: Question, guess: Guess) -> bool:
    return mark(question, guess).verdict == "right"


def guesses(question: Question) -> Iterator[tuple[str, Guess]]:
    """Yield what each member of the panel answers, by its name."""
    kind = question.kind
    match kind:
        case One() | Several() | Order() | Recommend():
            yield from _picks(question, kind)
        case Match():
            yield from _joins(kind)
        case Number():
            yield from _numbers(question, kind)
        case Places():
            yield from _spots(kind)
        case Controls():
            yield "as it stands", {one.key: one.start for one in kind.controls}
            yield "the middle", {one.key: _middle(one) for one in kind.controls}
            yield "all high", {one.key: one.high for one in kind.controls}
            yield "all low", {one.key: one.low for one in kind.controls}
        case _:
            return


def _picks(question: Question, kind: One | Several | Order | Recommend) -> Iterator[tuple[str, Guess]]:
    options = kind.reasons if isinstance(kind, Recommend) else kind.options
    rules = [*_ranked(options, question.text), ("turned round", list(options)[::-1])]
    if isinstance(kind, One | Recommend):
        rules += [(f"place {n}", [one]) for n, one in enumerate(options, start=1)]
    for name, chosen in rules:
        keys = [one.key for one in chosen]
        if isinstance(kind, One):
            yield name, keys[0]
        elif isinstance(kind, Order):
            yield name, keys
        elif isinstance(kind, Several):
            yield from ((f"{name} {k}", keys[:k]) for k in range(1, len(keys) + 1))
        else:
            yield from ((f"{one}, {name}", {"decision": one, "reason": keys[0]}) for one in DECISIONS)


def _ranked(options: Sequence[Option], text: str) -> Iterator[tuple[str, list[Option]]]:
    """Yield the options by length, and by how much they are like the others and like the question."""
    yield "longest", sorted(options, key=lambda one: -len(one.text))
    yield "shortest", sorted(options, key=lambda one: len(one.text))
    alike = {one.key: sum(_alike(one.text, other.text) for other in options) for one in options}
    yield "most like the others", sorted(options, key=lambda one: -alike[one.key])
    yield "most like the question", sorted(options, key=lambda one: -_alike(one.text, text))


def _words(text: str) -> set[str]:
    return set(re.findall(r"[a-zà-ÿ]{3,}|\d+", text.lower()))


def _alike(one: str, other: str) -> float:
    mine, theirs = _words(one), _words(other)
    return len(mine & theirs) / len(mine | theirs) if mine | theirs else 0.0


def _joins(kind: Match) -> Iterator[tuple[str, Guess]]:
    right = kind.right
    yield "straight across", {a.key: right[n % len(right)].key for n, a in enumerate(kind.left)}
    yield "crosswise", {a.key: right[-1 - n % len(right)].key for n, a in enumerate(kind.left)}
    yield "most alike", {a.key: max(right, key=lambda b: _alike(a.text, b.text)).key for a in kind.left}
    by_length = sorted(right, key=lambda one: len(one.text))
    left = sorted(kind.left, key=lambda one: len(one.text))
    yield "long to long", {a.key: by_length[n % len(right)].key for n, a in enumerate(left)}
    for n, one in enumerate(right, start=1):
        yield f"all to place {n}", {a.key: one.key for a in kind.left}


_NUMBER = re.compile(r"[-−]?\d+(?:[.,]\d+)?")


def _numbers(question: Question, kind: Number) -> Iterator[tuple[str, Guess]]:
    said = [float(one.replace("−", "-").replace(",", ".")) for one in _NUMBER.findall(question.text)]
    if kind.plausible is not None:
        yield "the middle", sum(kind.plausible) / 2
    if not said:
        return
    yield from ((f"number {n} of the text", value) for n, value in enumerate(said[:8], start=1))
    yield from (("the least", min(said)), ("the most", max(said)), ("the middle number", median(said)))
    yield from (("the sum", sum(said)), ("the difference", abs(said[0] - said[-1])))
    yield "the product", said[0] * said[-1]


def _spots(kind: Places) -> Iterator[tuple[str, Guess]]:
    middle = [[0.5 + 0.08 * n, 0.5] for n in range(kind.count)]
    yield "the middle", middle
    for name, x in (("left", 0.25), ("right", 0.75)):
        yield name, [[x + 0.08 * n, 0.5] for n in range(kind.count)]
    yield "spread out", [[(n + 0.5) / kind.count, 0.5] for n in range(kind.count)]


def _middle(control: Control) -> float:
    steps = round((control.high - control.low) / control.step / 2)
    return control.low + steps * control.step


def _constants(questions: Sequence[Question]) -> dict[str, int]:
    """Return how often the most frequent truth, or one constant number, is right."""
    if all(isinstance(one.kind, Number) for one in questions):
        tried = {f"{one.answer:.4g}": one.answer for one in questions}
        best = max(sum(_is_right(one, value) for one in questions) for value in tried.values())
        return {"one constant number": best}
    if all(isinstance(one.kind, One | Recommend | Several | Order | Match) for one in questions):
        return {"the most frequent truth": max(Counter(truth_of(one) for one in questions).values())}
    return {}


def _remembering(questions: Sequence[Question], kept: int) -> float:
    """Return the share right of somebody who kept the answers of so many other questions, and knows no more.

    The others ask something else: the same question never counts twice for anybody.
    """
    prints = [content_print(one) for one in questions]
    right = asked = 0
    for place, question in enumerate(questions):
        others = [
            questions[(place + step) % len(questions)]
            for step in range(1, len(questions))
            if prints[(place + step) % len(questions)] != prints[place]
        ]
        if len(others) >= kept:
            asked += 1
            right += _is_right(question, from_memory(question, others[:kept]))
    return right / asked if asked else 1.0


def from_memory(question: Question, kept: Sequence[Question]) -> Guess:
    """Return what somebody answers who kept these other questions with their answers, and nothing else.

    Words that were right before are taken again; words that were wrong are left.
    """
    kind = question.kind
    match kind:
        case One():
            return _picked(kind.options, *_right_and_wrong(kept))
        case Several():
            good, bad = _right_and_wrong(kept)
            found = [one.key for one in kind.options if one.text in good]
            return found or [one.key for one in kind.options if one.text not in bad][:1]
        case Order():
            places = {text: n for old in kept for n, text in enumerate(_in_order(old))}
            return [one.key for one in sorted(kind.options, key=lambda one: places.get(one.text, 0))]
        case Match():
            return _joined(kind, kept)
        case Recommend():
            good, bad = _right_and_wrong(kept)
            decided = Counter(old.answer["decision"] for old in kept).most_common(1)[0][0]
            reason = _picked(kind.reasons, good, bad)
            return {"decision": good.get(texts_of(question)[reason], decided), "reason": reason}
        case _:
            return kept[0].answer if len(kept) < 3 else _typical(kept)


def _right_and_wrong(kept: Sequence[Question]) -> tuple[dict[str, str], set[str]]:
    """Return the words that were right, each with the decision it went with, and those that were not."""
    good: dict[str, str] = {}
    every: set[str] = set()
    for old in kept:
        words, answer = texts_of(old), old.answer
        every |= set(words.values())
        if isinstance(answer, Mapping):
            good[words[answer["reason"]]] = answer["decision"]
        else:
            good |= {words[key]: "" for key in ([answer] if isinstance(answer, str) else answer)}
    return good, every - good.keys()


def _picked(options: Sequence[Option], good: Mapping[str, str], bad: set[str]) -> str:
    return min(options, key=lambda one: (one.text not in good, one.text in bad)).key


def _in_order(old: Question) -> list[str]:
    words = texts_of(old)
    return [words[key] for key in old.answer]


def _joined(kind: Match, kept: Sequence[Question]) -> dict[str, str]:
    joins: dict[str, str] = {}
    for old in kept:
        words = texts_of(old)
        joins |= {words[f"left {a}"]: words[f"right {b}"] for a, b in old.answer.items()}
    keys = {one.text: one.key for one in kind.right}
    known = {one.key: keys[joins[one.text]] for one in kind.left if joins.get(one.text) in keys}
    free = [one.key for one in kind.right if one.key not in known.values()] or list(keys.values())
    rest = [one.key for one in kind.left if one.key not in known]
    return known | {key: free[n % len(free)] for n, key in enumerate(rest)}


def _typical(kept: Sequence[Question]) -> Guess:
    """Return the middle one of the answers that were kept, where they are numbers; else the first."""
    answers = [old.answer for old in kept]
    if all(isinstance(each, int | float) and not isinstance(each, bool) for each in answers):
        return median(answers)
    return answers[0]
