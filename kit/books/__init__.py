"""The files that pass between people: the answer book."""

from kit.books.book import Book, Clock, local_now
from kit.books.entry import (
    KINDS,
    MAX_ANSWER_BYTES,
    SCHEMA,
    Entry,
    Header,
    storable,
)
from kit.books.errors import BookRefused, NotSaved, saving
from kit.books.reading import BookProblem, BookReading, Relation, read, read_bytes, relation, stepped_back

__all__ = [
    "KINDS",
    "MAX_ANSWER_BYTES",
    "SCHEMA",
    "Book",
    "BookProblem",
    "BookReading",
    "BookRefused",
    "Clock",
    "Entry",
    "Header",
    "NotSaved",
    "Relation",
    "local_now",
    "read",
    "read_bytes",
    "relation",
    "saving",
    "stepped_back",
    "storable",
]
