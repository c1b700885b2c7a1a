"""The files that pass between people: the answer book."""

from kit.files.answer_book import Book, Clock, local_now
from kit.files.book_entry import KINDS, MAX_ANSWER_BYTES, SCHEMA, Entry, Header, storable
from kit.files.book_reading import (
    BookProblem,
    BookReading,
    Relation,
    read,
    read_bytes,
    relation,
    stepped_back,
)
from kit.files.refusals import BookRefused, NotSaved, saving

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
