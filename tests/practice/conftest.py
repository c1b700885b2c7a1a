"""A small bank of three exercises, and a clock that a test sets."""

from __future__ import annotations

from datetime import datetime, timedelta, timezone
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from kit.basics.errors import UnknownName
from kit.criteria.knowledge import Bounds
from kit.exercises import Info
from kit.exercises.catalogue import Catalogue
from kit.marking.draw import Draw
from kit.marking.model import Explain, Number, Outcome, Question
from kit.practice import Learner, Session, create, start
from kit.rules import Profile


class SmallBank(Catalogue):
    """Doubling a drawn mass. Pure and quick; ``version`` and ``salt`` stand for a kit that was updated."""

    # So little evidence is enough that a story of two or three days can be told.
    ordinary = Bounds(shown=0.7, kept=0.35, lowest=0, highest=2, days=2)
    safety = Bounds(shown=1.1, kept=0.8, lowest=0, highest=2, days=3)

    def __init__(self) -> None:
        self.version = 1
        self.salt = ""

    def info(self, exercise: str) -> Info:
        known = {"char": ("K-1",), "trout": ("K-1", "K-2"), "why": ("K-2",)}
        if exercise not in known:
            raise UnknownName("exercise", exercise, known)
        by = "tutor" if exercise == "why" else "kit"
        return Info(exercise, 5, exercise.title(), known[exercise], (), self.version, by)

    def ids(self) -> tuple[str, ...]:
        return ("char", "trout")

    def question(self, exercise: str, seed: int, profile: Profile) -> Question:
        grams = Draw(seed).step(100, 9900, 1)
        kind = Explain() if exercise == "why" else Number("g")
        return Question(
            exercise, self.version, seed, f"Double {grams} g of {exercise}.", kind, 2 * grams,
            hints=("Twice.", "Add it to itself."), worked=f"2 × {grams} g", profile=profile,
        )  # fmt: skip

    def fingerprint(self, question: Question) -> str:
        return f"{question.text}{self.salt}{question.profile.id}"

    def mark(self, question: Question, answer: Any) -> Outcome:
        if isinstance(question.kind, Explain):
            if not answer.strip():
                return Outcome(0, 0, "not read", "Write a sentence.")
            return Outcome(0, 0, "kept", "Kept.", "", f"{len(answer.split())} words")
        try:
            given = float(answer)
        except (TypeError, ValueError):
            return Outcome(0, 1, "not read", "Type a number.")
        right = given == question.answer
        return Outcome(
            float(right), 1, "right" if right else "not yet", "Yes." if right else "No.", "", f"{given:g} g"
        )

    @property
    def criteria(self) -> Any:
        made = (
            ("K-1", "Doubles.", False, "knowledge"),
            ("K-2", "Doubles trout.", True, "knowledge"),
            ("P-1", "Lifts.", False, "performance"),
        )
        names = ("id", "text", "safety_critical", "kind")
        return {row[0]: SimpleNamespace(step="cook", **dict(zip(names, row, strict=True))) for row in made}


class SetClock:
    """A clock at 9:00 in a zone two hours ahead of UTC, moved on by the test."""

    def __init__(self) -> None:
        self.now = datetime(2026, 3, 2, 9, tzinfo=timezone(timedelta(hours=2)))

    def __call__(self) -> datetime:
        self.now += timedelta(seconds=1)
        return self.now

    def days_on(self, days: int) -> None:
        self.now += timedelta(days=days)


@pytest.fixture
def bank() -> SmallBank:
    return SmallBank()


@pytest.fixture
def clock() -> SetClock:
    return SetClock()


@pytest.fixture
def ana(throw_away_home: Path, clock: SetClock) -> Learner:
    return create("Ana Ó Briain", clock=clock)


@pytest.fixture
def work(ana: Learner, bank: SmallBank, clock: SetClock) -> Session:
    """Ana at work."""
    return start(ana.id, catalogue=bank, clock=clock)
