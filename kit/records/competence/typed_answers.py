"""Answers that were written on paper, typed in by a tutor: read into what marking takes."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, time
from pathlib import Path
from typing import Any

from kit.basics.data_files import build, toml_of
from kit.basics.errors import BadData, OutOfRange
from kit.basics.given_files import read_given
from kit.marking.model import DECISIONS, Match, Number, One, Order, Question, Recommend, Several
from kit.records.competence.papers import TestPaper
from kit.records.competence.sitting import SatPaper

_MOST_BYTES = 256 * 1024
HOW = {
    "number": "a number with its unit, as it stands on the paper",
    "chart": "a number with its unit, as it stands on the paper",
    "one": "one letter",
    "several": "the letters, such as a c",
    "order": "the letters, first to last, such as c a b",
    "match": "each number with its letter, such as 1b 2a 3c",
    "recommend": "on, hold or reject, then the letter of the reason, such as hold b",
}
"""How to type the answer of each kind of task."""
_DECIDED = {"on": "go on", "go": "go on", "hold": "hold", "reject": "reject"}


@dataclass(frozen=True)
class _AnswerFile:
    schema_version: int
    paper: str
    day: str
    started: str
    ended: str
    declared: bool
    answers: dict[str, str]
    despite: str = ""
    person: str = field(default="")


def raw_answer(question: Question, typed: str) -> Any:
    """Return what was typed as marking takes it; None for an empty answer.

    What cannot be read is handed on as it is: marking then says so, and it earns nothing.

    Examples
    --------
    >>> from kit.marking.model import Option
    >>> two = (Option("a", "first"), Option("b", "second"))
    >>> raw_answer(Question("x", 1, 0, "?", Several(two), ["a"]), "A, b")
    ['a', 'b']
    >>> left = (Option("1", "salt"), Option("2", "smoke"))
    >>> raw_answer(Question("x", 1, 0, "?", Match(left, two), {"1": "b", "2": "a"}), "1 B, 2-a")
    {'1': 'b', '2': 'a'}
    """
    text = typed.strip()
    if not text:
        return None
    match question.kind:
        case Number():
            return text
        case One():
            return text.casefold()
        case Several() | Order():
            return re.findall(r"[a-z]", text.casefold())
        case Match():
            return dict(re.findall(r"(\d+)\W*([a-z])", text.casefold()))
        case Recommend():
            return _recommended(text)
    return text


def _recommended(text: str) -> dict[str, str]:
    words = re.findall(r"[a-z]+", text.casefold())
    decision = next((_DECIDED[word] for word in words if word in _DECIDED), "")
    return {"decision": decision, "reason": words[-1] if words and words[-1] not in _DECIDED else ""}


def answer_file(paper: TestPaper, questions: tuple[Question, ...]) -> str:
    """Return the text of a file to type answers into, with a word on each task how."""
    lines = [
        "# The answers on one test paper. An empty answer earns nothing.",
        "schema_version = 1",
        f'paper = "{paper.id}"',
        f'day = "{paper.day}"  # when it was sat',
        'started = ""  # such as 10:05',
        'ended = ""',
        "declared = false  # true once the apprentice signed that this is their own work",
        'despite = ""  # why answers after the time count, if any do; it is printed',
        "",
        "[answers]",
    ]
    for task, question in zip(paper.tasks, questions, strict=True):
        lines.append(f'{task.place} = ""  # {HOW[question.kind_name]}')
    return "\n".join(lines) + "\n"


def read_answers(path: Path) -> tuple[SatPaper, dict[int, str]]:
    """Return a sat paper without its answers, and those as they were typed, by place.

    Raises
    ------
    BadData, OutOfRange
        If it is no such file, or a day or time makes no sense.
    """
    data = read_given(path, "a file of `smokehouse paper answers`", _MOST_BYTES)
    told = build(_AnswerFile, toml_of(data, str(path)), str(path))
    typed = {}
    for place, text in told.answers.items():
        if not place.isdigit():
            raise BadData(str(path), f"{place[:20]!r} is no task", "the number of a task")
        typed[int(place)] = text
    used = used_minutes(_time(told.started, "started"), _time(told.ended, "ended"))
    sat = SatPaper(
        told.paper,
        _day(told.day),
        used,
        {},
        person=told.person,
        declared=told.declared,
        despite=told.despite,
    )
    return sat, typed


def used_minutes(started: time, ended: time) -> int:
    """Return the whole minutes between two times of one day, over midnight if need be.

    Examples
    --------
    >>> used_minutes(time(23, 50), time(0, 20))
    30
    """
    minutes = (ended.hour * 60 + ended.minute) - (started.hour * 60 + started.minute)
    return minutes % (24 * 60)


def typed_all(questions: tuple[Question, ...], typed: Mapping[int, str]) -> dict[int, Any]:
    """Return every typed answer as marking takes it, by place."""
    return {
        place: raw_answer(question, typed.get(place, "")) for place, question in enumerate(questions, start=1)
    }


def decision_words() -> str:
    """Return the three recommendations, as they stand on the paper."""
    return "   ".join(DECISIONS.values())


def _time(text: str, name: str) -> time:
    try:
        return time.fromisoformat(text.strip())
    except ValueError:
        raise OutOfRange(name, repr(text[:20]), "a time such as 10:05") from None


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        raise OutOfRange("day", repr(text[:20]), "a day such as 2026-03-02") from None
