"""From a book's entries to tries: the one place that says which answers had help."""

from collections.abc import Iterable, Iterator
from datetime import date

from kit.criteria.knowledge import Try
from kit.files.book_entry import Entry


def with_help(entries: Iterable[Entry]) -> Iterator[tuple[Entry, bool]]:
    """Yield each entry, and whether a hint or the worked answer of its variant was seen by then."""
    seen: set[tuple[str, int, int]] = set()
    for entry in entries:
        place = (entry.exercise, entry.version, entry.occasion)
        if entry.what in ("hint", "worked"):
            seen.add(place)
        yield entry, place in seen or entry.hints > 0


def try_of(entry: Entry, verdict: str, helped: bool, key: int, day: date | None = None) -> Try:
    """Return an attempt as the rule of knowledge sees it, with a verdict that the caller answers for.

    Where the line does not say what was asked, its fingerprint stands for it. ``day`` is the one that counts,
    by default its own.
    """
    right = verdict == "right"
    return Try(
        entry.exercise, entry.content or entry.fingerprint, entry.at, day or entry.day, right, helped, key
    )


def tries_of(entries: Iterable[Entry]) -> tuple[Try, ...]:
    """Return the attempts in a book by the marks it claims. ``key`` is the entry's number."""
    return tuple(
        try_of(entry, entry.verdict, helped, entry.n)
        for entry, helped in with_help(entries)
        if entry.what == "attempt"
    )
