"""What a tutor sees behind a disputed mark and an explanation."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from kit.records import take_in
from kit.records.intake.disputed_mark import OTHER_VERSION, matter

LATER = datetime(2026, 3, 12, tzinfo=UTC)


@pytest.fixture
def disputed(records, bank, write):
    """A wrong answer, a right one to the same question, one to another, and a dispute of the first."""
    book = write("p-ana", "Ana Lind")
    book.attempt("core-hold", right=False, day=0)
    book.attempt("core-hold", right=True, occasion=1)
    book.attempt("core-hold", right=True)
    entry = book.book.entries[0]
    book.note("dispute", "core-hold", fingerprint=entry.fingerprint, verdict="not yet", text="It was held.")
    take_in(records, [book.path], now=LATER, catalogue=bank)
    return len(book.book.entries) + 1  # line 1 is the header


def test_the_question_is_drawn_again_with_the_answers_given_to_it(records, bank, disputed):
    found = matter(records, "p-ana", disputed, bank)
    assert found.question.startswith("How much? (")
    assert [(one.line, one.verdict, one.slip) for one in found.answers] == [
        (2, "not yet", "any slip"),
        (3, "right", ""),
    ]
    assert found.answers[0].said == "0" and found.right == found.answers[1].said


def test_a_question_of_another_version_is_not_shown_as_if_it_were_the_same(records, bank, disputed):
    bank.fingerprint = lambda question: "another"
    assert matter(records, "p-ana", disputed, bank).question == OTHER_VERSION
    assert matter(records, "p-ana", 99, bank).question == OTHER_VERSION
    assert matter(records, "p-who", disputed, bank).answers == ()
