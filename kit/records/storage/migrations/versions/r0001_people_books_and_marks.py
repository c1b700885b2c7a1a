"""People, their books line by line, marks, first tries, standings and flags."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None


def _moment(name: str, nullable: bool = False) -> sa.Column[object]:
    return sa.Column(name, sa.DateTime(), nullable=nullable)


def _person() -> sa.Column[object]:
    return sa.Column("person", sa.Integer(), sa.ForeignKey("people.key"), nullable=False)


def upgrade() -> None:
    """Make the first tables."""
    _people()
    _books()
    _evidence()


def _people() -> None:
    op.create_table(
        "upgrades",
        sa.Column("change", sa.String(8), primary_key=True),
        sa.Column("kit_version", sa.String(32), nullable=False),
        _moment("done_at"),
    )
    op.create_table(
        "people",
        sa.Column("key", sa.Integer(), primary_key=True),
        sa.Column("person_id", sa.String(64), nullable=False, unique=True),
        _moment("first_taken_at"),
    )
    op.create_table(
        "names",
        sa.Column("key", sa.Integer(), primary_key=True),
        _person(),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("folded", sa.Text(), nullable=False),
        _moment("since"),
    )
    op.create_index("ix_names_person", "names", ["person"])
    op.create_index("ix_names_folded", "names", ["folded"])
    op.create_table(
        "exercises",
        sa.Column("key", sa.Integer(), primary_key=True),
        sa.Column("exercise_id", sa.String(120), nullable=False, unique=True),
    )


def _books() -> None:
    op.create_table(
        "takings",
        sa.Column("key", sa.Integer(), primary_key=True),
        _person(),
        _moment("taken_at"),
        sa.Column("kit_version", sa.String(32), nullable=False),
        sa.Column("file_name", sa.Text(), nullable=False),
        sa.Column("first_position", sa.Integer(), nullable=False),
        sa.Column("entries", sa.Integer(), nullable=False),
    )
    op.create_index("ix_takings_person", "takings", ["person"])
    op.create_table(
        "entries",
        sa.Column("key", sa.Integer(), primary_key=True),
        _person(),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("taking", sa.Integer(), sa.ForeignKey("takings.key"), nullable=False),
        sa.Column("hash", sa.String(64), nullable=False),
        sa.Column("what", sa.String(16), nullable=False),
        _moment("at", nullable=True),
        sa.Column("local_day", sa.Date(), nullable=True),
        sa.Column("exercise", sa.Integer(), sa.ForeignKey("exercises.key"), nullable=True),
        sa.Column("version", sa.Integer(), nullable=True),
        sa.Column("occasion", sa.Integer(), nullable=True),
        sa.Column("seed", sa.BigInteger(), nullable=True),
        sa.Column("profile", sa.String(32), nullable=True),
        sa.Column("fingerprint", sa.String(64), nullable=True),
        sa.Column("said", sa.JSON(), nullable=True),
        sa.UniqueConstraint("person", "position"),
    )
    op.create_index("ix_entries_what_person", "entries", ["what", "person"])


def _evidence() -> None:
    op.create_table(
        "marks",
        sa.Column("entry", sa.Integer(), sa.ForeignKey("entries.key"), primary_key=True),
        sa.Column("score", sa.Float(), nullable=True),
        sa.Column("of", sa.Float(), nullable=True),
        sa.Column("verdict", sa.String(16), nullable=False),
        sa.Column("slip", sa.Text(), nullable=False),
        sa.Column("claimed_score", sa.Float(), nullable=True),
        sa.Column("claimed_verdict", sa.String(16), nullable=False),
        sa.Column("counts", sa.Boolean(), nullable=False),
    )
    op.create_table(
        "first_tries",
        _person(),
        sa.Column("exercise", sa.Integer(), sa.ForeignKey("exercises.key"), nullable=False),
        sa.Column("fingerprint", sa.String(64), nullable=False),
        sa.Column("entry", sa.Integer(), sa.ForeignKey("entries.key"), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        _moment("at"),
        sa.Column("local_day", sa.Date(), nullable=False),
        sa.Column("right", sa.Boolean(), nullable=False),
        sa.Column("assisted", sa.Boolean(), nullable=False),
        sa.PrimaryKeyConstraint("person", "exercise", "fingerprint"),
    )
    op.create_table(
        "standings",
        _person(),
        sa.Column("criterion", sa.String(16), nullable=False),
        sa.Column("held", sa.Boolean(), nullable=False),
        sa.Column("days_right", sa.Integer(), nullable=False),
        sa.Column("days_needed", sa.Integer(), nullable=False),
        sa.Column("tries", sa.Integer(), nullable=False),
        sa.Column("last_day", sa.Date(), nullable=True),
        sa.Column("counted", sa.JSON(), nullable=False),
        sa.Column("missed", sa.JSON(), nullable=False),
        sa.PrimaryKeyConstraint("person", "criterion"),
    )
    op.create_table(
        "basis",
        sa.Column("name", sa.String(32), primary_key=True),
        sa.Column("value", sa.String(64), nullable=False),
    )
    op.create_table(
        "flags",
        sa.Column("key", sa.Integer(), primary_key=True),
        _person(),
        sa.Column("taking", sa.Integer(), sa.ForeignKey("takings.key"), nullable=False),
        sa.Column("position", sa.Integer(), nullable=True),
        sa.Column("kind", sa.String(32), nullable=False),
        sa.Column("says", sa.Text(), nullable=False),
    )
    op.create_index("ix_flags_person_position_kind", "flags", ["person", "position", "kind"])
