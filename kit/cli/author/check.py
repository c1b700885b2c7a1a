"""What is still wrong with one exercise, rule or explorer, found in seconds before the whole suite runs."""

from __future__ import annotations

import difflib
import json
import re
from collections.abc import Iterable, Iterator
from itertools import chain
from pathlib import Path
from typing import TYPE_CHECKING, Any

from kit.basics.errors import KitError, UnknownName
from kit.cli.author.new_lesson import faults_of_lesson

if TYPE_CHECKING:
    from kit.marking.model import Question
    from kit.rules import Rule

TO_WRITE = "WRITE"
"""A skeleton's lines begin with it until they are written."""

SEEDS, LOOKED_AT = 60, 8
OF_A_RULE = 30
"""A rule names its conditions in one sentence, so it may be a little longer than what a learner reads."""


def faults_of(name: str, *, home: Path | None = None) -> list[str]:
    """Return what is wrong with the exercise, rule or explorer of that name, a sentence each.

    Parameters
    ----------
    name : str
        The id of an exercise or a rule, the name of an explorer, or the number of a lesson.
    home : Path, optional
        The folder with ``lessons`` and ``answers``; the clone that the kit stands in.

    Raises
    ------
    UnknownName
        If nothing is called that.

    Examples
    --------
    >>> faults_of("brine-degrees"), faults_of("uk-cook-equal")
    ([], [])
    """
    from kit import exercises
    from kit.cli.author.look import all_rules
    from kit.views.pictures.register import explorer_names

    rules = all_rules()
    if name.isdigit():
        return faults_of_lesson(int(name), home or Path(__file__).resolve().parents[3])
    if name in exercises.ids():
        return list(dict.fromkeys([*_of_exercise(name), *_places(name, "task", home)]))
    if name in rules:
        return list(_of_rule(rules[name]))
    if name in explorer_names():
        return list(dict.fromkeys([*_of_explorer(name), *_places(name, "explore", home)]))
    every = sorted((*exercises.ids(), *rules, *explorer_names()))
    raise UnknownName(
        "exercise, rule or explorer", name, difflib.get_close_matches(name, every, n=8, cutoff=0.4) or every
    )


def _of_exercise(name: str) -> Iterator[str]:
    from kit import exercises
    from kit.exercises.engine.bank_walk import walk
    from kit.exercises.engine.guess_panel import panel_figures
    from kit.exercises.engine.measured import measured
    from kit.exercises.engine.silence import silent

    try:
        questions = [exercises.question(name, seed) for seed in range(LOOKED_AT)]
    except KitError as error:
        yield str(error)
        return
    if unwritten := _unwritten([exercises.info(name).title], questions):
        yield f"still to write: {unwritten!r}"
        return
    found, _ = walk((name,), SEEDS)
    yield from (fault.removeprefix(f"{name}: ") for fault in found)
    if any(not question.hints or not question.worked for question in questions):
        yield "a variant has no hint, or no worked answer"
    for question in questions:
        yield from (f"a wrong {each.sort} is met with silence: {each.line!r}" for each in silent(question))
    yield from panel_figures(name, seeds=SEEDS).faults
    yield from _hard(text for question in questions for text in _texts(question))
    if name not in measured():
        yield f"the panel has not measured it: python tests/benchmarks/guess_panel.py --id {name} --write"


def _texts(question: Question) -> Iterator[str]:
    from kit.cli.author.plain_words import question_texts

    return question_texts(question)


def _unwritten(first: list[str], questions: Iterable[Question]) -> str:
    texts = chain(first, (text for question in questions for text in _texts(question)))
    return next((text for text in texts if text.startswith(TO_WRITE)), "")


def _hard(texts: Iterable[str]) -> Iterator[str]:
    from kit.cli.author.plain_words import hard_to_read

    yield from (f"hard to read: {each}" for each in hard_to_read(list(dict.fromkeys(texts))))


def _of_rule(rule: Rule) -> Iterator[str]:
    from kit import rules
    from kit.cli.author.look import values_of
    from kit.cli.author.plain_words import measure

    if rule.says.startswith(TO_WRITE):
        yield f"still to write: {rule.says!r}"
        return
    for word, wanted in (("passes", "met"), ("fails", "not met")):
        if rule.has_number and word not in rule.example:
            yield f"it has no example that {word}"
        elif rule.has_number:
            verdict = rules.judge_rule(values_of(rule, rule.example[word]), rule, purpose=rule.purpose)
            if verdict.outcome != wanted:
                yield f"its example that {word} is judged {verdict.outcome!r}"
    if (found := measure([rule.says])).longest_words > OF_A_RULE:
        yield f"a sentence of {found.longest_words} words: {found.longest!r}"


def _of_explorer(name: str) -> Iterator[str]:
    from kit.views.pictures.register import explorer_named

    spec = explorer_named(name)
    for settings in _ends(spec):
        try:
            drawing = spec.draw(spec.settle(settings))
        except KitError as error:
            yield f"set to {settings}: {error}"
            continue
        if drawing.text.startswith(TO_WRITE):
            yield f"still to write: {drawing.text!r}"
            return
        if not drawing.text or not drawing.facts:
            yield f"set to {settings}: it says nothing in words"
        yield from _hard([drawing.text, *drawing.facts])


def _ends(spec: Any) -> Iterator[dict[str, Any]]:
    """Yield the start of an explorer, and each control at both of its ends."""
    yield {}
    for control in spec.controls:
        ends = (control.low, control.high) if hasattr(control, "low") else tuple(control.options)
        yield from ({control.key: end} for end in ends)


def _places(name: str, call: str, home: Path | None) -> Iterator[str]:
    """Yield where in the clone it is missing: each stands in one lesson, and an exercise in its answers."""
    root = home or Path(__file__).resolve().parents[3]
    if not (root / "lessons").is_dir():
        return
    pattern = rf'lesson\.{call}\(\s*"{re.escape(name)}"'
    if not any(re.search(pattern, code) for code in _code_of(root / "lessons")):
        yield f'it stands in no lesson: put lesson.{call}("{name}") into a cell of its own'
    if call == "task" and not any(f'show("{name}"' in code for code in _code_of(root / "answers")):
        yield f'it stands in no answers: put show("{name}") into a cell of its own'


def _code_of(folder: Path) -> Iterator[str]:
    for path in sorted(folder.glob("[0-9]*.ipynb")):
        for cell in json.loads(path.read_text(encoding="utf-8"))["cells"]:
            if cell["cell_type"] == "code":
                yield "".join(cell["source"])
