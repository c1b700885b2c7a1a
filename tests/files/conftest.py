"""Helpers for the tests of the answer book."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta, timezone
from pathlib import Path
from typing import Any

import pytest

from kit.files import Book

FACTS: dict[str, Any] = {
    "exercise": "cook-hold",
    "version": 1,
    "occasion": 1,
    "seed": 2**62 + 11,
    "fingerprint": "f" * 16,
    "profile": "ie",
    "profile_fingerprint": "a" * 16,
    "read_as": "63 °C",
    "score": 1.0,
    "of": 1.0,
    "verdict": "right",
    "slip": "",
    "hints": 0,
}


class SteppingClock:
    """A clock that goes on by a minute at each look, in a zone two hours ahead of UTC."""

    def __init__(self) -> None:
        self.now = datetime(2026, 3, 2, 23, 30, tzinfo=timezone(timedelta(hours=2)))

    def __call__(self) -> datetime:
        self.now += timedelta(minutes=1)
        return self.now


@pytest.fixture
def clock() -> SteppingClock:
    return SteppingClock()


@pytest.fixture
def book(tmp_path: Path, clock: SteppingClock) -> Book:
    return Book.make(tmp_path / "ana" / "answers.book", person="p-ana", name="Ana Ó Briain", clock=clock)


@pytest.fixture
def attempt() -> Callable[..., Any]:
    """Append an attempt with plausible facts, some of them changed."""

    def append(book: Book, answer: Any = "63", **changes: Any) -> Any:
        return book.append("attempt", **{**FACTS, "answer": answer, **changes})

    return append


@pytest.fixture
def filled(book: Book, attempt: Callable[..., Any]) -> Book:
    """A book with six entries of several kinds."""
    attempt(book, "63 °C")
    book.append("hint", **{name: FACTS[name] for name in list(FACTS)[:5]}, hints=1)
    attempt(book, {"decision": "hold", "reason": "b"}, verdict="partly", score=0.5)
    attempt(book, [[0.25, 0.75]], verdict="not yet", score=0.0, slip="skin side")
    book.append(
        "dispute", **{k: FACTS[k] for k in list(FACTS)[:7]}, answer="63", verdict="right", text="Ask me"
    )
    attempt(book, "Køl straks: µ, 鮭")
    return book
