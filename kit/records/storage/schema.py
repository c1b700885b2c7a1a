"""The tables of the tutor's records, as SQLAlchemy Core.

A name stands apart from the evidence, so it can go alone. Nothing in `entries` is ever changed: a book's line
is recorded once, by position and hash. `marks`, `first_tries` and `standings` follow from it and can be
worked out again. In the same way `acts` is the chain of what people did and decided: rows are only ever
added, and triggers stop anything else. `roles`, `signing_keys`, `assessors`, `points` and `decided` follow
from it.
"""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from sqlalchemy import (
    JSON,
    BigInteger,
    Boolean,
    Column,
    Date,
    DateTime,
    Dialect,
    Float,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    PrimaryKeyConstraint,
    String,
    Table,
    Text,
    TypeDecorator,
    UniqueConstraint,
)


class Utc(TypeDecorator[datetime]):
    """A moment in UTC. A time without a zone is refused, so that no local time slips in."""

    impl = DateTime
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """Turn any zone into UTC for the database."""
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError(f"a time without a zone cannot be recorded: {value.isoformat()}")
        return value.astimezone(UTC).replace(tzinfo=None)

    def process_result_value(self, value: Any, dialect: Dialect) -> datetime | None:
        """Give the time back as UTC."""
        return None if value is None else value.replace(tzinfo=UTC)


metadata = MetaData()

upgrades = Table(
    "upgrades",
    metadata,
    Column("change", String(8), primary_key=True),
    Column("kit_version", String(32), nullable=False),
    Column("done_at", Utc, nullable=False),
)

people = Table(
    "people",
    metadata,
    Column("key", Integer, primary_key=True),
    Column("person_id", String(64), nullable=False, unique=True),
    Column("first_taken_at", Utc, nullable=False),
)

names = Table(
    "names",
    metadata,
    Column("key", Integer, primary_key=True),
    Column("person", ForeignKey("people.key"), nullable=False, index=True),
    Column("name", Text, nullable=False),
    Column("folded", Text, nullable=False, index=True),  # for "does anyone bear this name?"
    Column("since", Utc, nullable=False),
)

exercises = Table(
    "exercises",
    metadata,
    Column("key", Integer, primary_key=True),
    Column("exercise_id", String(120), nullable=False, unique=True),
)

takings = Table(
    "takings",
    metadata,
    Column("key", Integer, primary_key=True),
    Column("person", ForeignKey("people.key"), nullable=False, index=True),
    Column("taken_at", Utc, nullable=False),
    Column("kit_version", String(32), nullable=False),
    Column("file_name", Text, nullable=False),
    Column("first_position", Integer, nullable=False),
    Column("entries", Integer, nullable=False),
)

entries = Table(
    "entries",
    metadata,
    Column("key", Integer, primary_key=True),
    Column("person", ForeignKey("people.key"), nullable=False),
    Column("position", Integer, nullable=False),  # 0 is the header line
    Column("taking", ForeignKey("takings.key"), nullable=False),
    Column("hash", String(64), nullable=False),
    Column("what", String(16), nullable=False),
    Column("at", Utc, nullable=True),
    Column("local_day", Date, nullable=True),
    Column("exercise", ForeignKey("exercises.key"), nullable=True),
    Column("version", Integer, nullable=True),
    Column("occasion", Integer, nullable=True),
    Column("seed", BigInteger, nullable=True),
    Column("profile", String(32), nullable=True),
    Column("fingerprint", String(64), nullable=True),
    Column("said", JSON, nullable=True),  # the raw answer, the words of a dispute or of an explanation
    UniqueConstraint("person", "position"),
    Index("ix_entries_what_person", "what", "person"),
)

marks = Table(
    "marks",
    metadata,
    Column("entry", ForeignKey("entries.key"), primary_key=True),
    Column("score", Float, nullable=True),  # null: not marked (another version, unknown exercise)
    Column("of", Float, nullable=True),
    Column("verdict", String(16), nullable=False),
    Column("slip", Text, nullable=False),
    Column("claimed_score", Float, nullable=True),
    Column("claimed_verdict", String(16), nullable=False),
    Column("counts", Boolean, nullable=False),  # false: kept, but no evidence until a tutor says so
)

first_tries = Table(
    "first_tries",
    metadata,
    Column("person", ForeignKey("people.key"), nullable=False),
    Column("exercise", ForeignKey("exercises.key"), nullable=False),
    Column("variant", String(64), nullable=False),  # content print; before change 0003 the fingerprint
    Column("entry", ForeignKey("entries.key"), nullable=False),
    Column("position", Integer, nullable=False),
    Column("at", Utc, nullable=False),
    Column("local_day", Date, nullable=False),
    Column("right", Boolean, nullable=False),
    Column("assisted", Boolean, nullable=False),  # a hint or the worked answer came first
    PrimaryKeyConstraint("person", "exercise", "variant"),
)

standings = Table(
    "standings",
    metadata,
    Column("person", ForeignKey("people.key"), nullable=False),
    Column("criterion", String(16), nullable=False),
    Column("held", Boolean, nullable=False),
    Column("days_right", Integer, nullable=False),
    Column("days_needed", Integer, nullable=False),
    Column("tries", Integer, nullable=False),
    Column("last_day", Date, nullable=True),
    Column("held_until", Date, nullable=True),  # without more practice
    Column("first_held", Date, nullable=True),
    Column("lost_on", Date, nullable=True),  # later misses took it away
    Column("still", Integer, nullable=False),  # about how many more right answers it takes
    Column("notches", Integer, nullable=False),  # how far it has come, of ``days_needed``
    Column("evidence", Float, nullable=False),  # the sum of the knowledge rule
    Column("counted", JSON, nullable=False),  # keys of the entries that count
    Column("missed", JSON, nullable=False),  # keys of the entries that set it back
    PrimaryKeyConstraint("person", "criterion"),
)

basis = Table(
    "basis",
    metadata,
    Column("name", String(32), primary_key=True),
    Column("value", String(64), nullable=False),
)

flags = Table(
    "flags",
    metadata,
    Column("key", Integer, primary_key=True),
    Column("person", ForeignKey("people.key"), nullable=False),
    Column("taking", ForeignKey("takings.key"), nullable=False),
    Column("position", Integer, nullable=True),
    Column("kind", String(32), nullable=False),
    Column("says", Text, nullable=False),
    Index("ix_flags_person_position_kind", "person", "position", "kind"),
)

acts = Table(
    "acts",
    metadata,
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("kind", String(24), nullable=False),
    Column("at", Utc, nullable=False),
    Column("by", String(64), nullable=False),  # a person's opaque id
    Column("person", String(64), nullable=True),  # whom it is about
    Column("criterion", String(16), nullable=True),
    Column("batch", String(40), nullable=True),
    Column("facts", Text, nullable=False),  # JSON, exactly as it was hashed
    Column("key_id", String(16), nullable=True),
    Column("prev", String(64), nullable=False),
    Column("hash", String(64), nullable=False, unique=True),
    Column("signature", String(128), nullable=True),
    Index("ix_acts_person_kind", "person", "kind"),
    Index("ix_acts_batch", "batch"),
    Index("ix_acts_kind", "kind"),
    Index("ix_acts_at", "at"),
)

words = Table(
    "words",
    metadata,
    Column("mark", String(64), primary_key=True),  # SHA-256 of salt and text; an act holds only this
    Column("person", String(64), nullable=False, index=True),  # whose words may be erased with them
    Column("salt", String(32), nullable=False),
    Column("text", Text, nullable=False),
)

files = Table(
    "files",
    metadata,
    Column("sha256", String(64), primary_key=True),
    Column("media_type", String(80), nullable=False),
    Column("size", Integer, nullable=False),
    Column("kept_at", Utc, nullable=False),
    Column("erased_at", Utc, nullable=True),
)

roles = Table(
    "roles",
    metadata,
    Column("person", String(64), nullable=False),
    Column("role", String(16), nullable=False),
    Column("since", Utc, nullable=False),
    Column("until", Utc, nullable=True),
    PrimaryKeyConstraint("person", "role", "since"),
)

signing_keys = Table(
    "signing_keys",
    metadata,
    Column("key_id", String(16), primary_key=True),
    Column("person", String(64), nullable=False, index=True),
    Column("public", String(64), nullable=False),
    Column("since", Utc, nullable=False),
    Column("until", Utc, nullable=True),
)

assessors = Table(
    "assessors",
    metadata,
    Column("act", ForeignKey("acts.number"), primary_key=True),
    Column("person", String(64), nullable=False, index=True),
    Column("what", String(80), nullable=False),
    Column("since", Date, nullable=False),
    Column("until", Date, nullable=False),
)

points = Table(
    "points",
    metadata,
    Column("act", ForeignKey("acts.number"), nullable=False),
    Column("person", String(64), nullable=False),
    Column("criterion", String(16), nullable=False),
    Column("outcome", String(8), nullable=False),
    Column("day", Date, nullable=False),
    Column("method", String(24), nullable=False),
    PrimaryKeyConstraint("act", "criterion"),
    Index("ix_points_person_criterion", "person", "criterion"),
)

decided = Table(
    "decided",
    metadata,
    Column("person", String(64), nullable=False),
    Column("criterion", String(16), nullable=False),
    Column("act", ForeignKey("acts.number"), nullable=False),
    Column("decision", String(20), nullable=False),
    Column("day", Date, nullable=False),
    Column("review_on", Date, nullable=True),
    Column("by", String(64), nullable=False),
    Column("second", String(12), nullable=False),  # '', 'to draw', 'wanted', 'agreed', 'disagreed'
    Column("second_act", Integer, nullable=True),
    Column("appeal", Integer, nullable=True),  # the act that opened it again
    PrimaryKeyConstraint("person", "criterion"),
)
