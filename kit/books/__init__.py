"""The files that pass between people: the answer book."""

from kit.books.book import Book, Clock, local_now, write_new
from kit.books.entry import (
    KINDS,
    MAX_ANSWER_BYTES,
    SCHEMA,
    Entry,
    Header,
    storable,
)
from kit.books.errors import BookRefused, NotSaved, disk_reason
from kit.books.reading import Problem, Reading, Relation, read, read_bytes, relation, stepped_back

__all__ = [
    "KINDS",
    "MAX_ANSWER_BYTES",
    "SCHEMA",
    "Book",
    "BookRefused",
    "Clock",
    "Entry",
    "Header",
    "NotSaved",
    "Problem",
    "Reading",
    "Relation",
    "disk_reason",
    "local_now",
    "read",
    "read_bytes",
    "relation",
    "stepped_back",
    "storable",
    "write_new",
]
