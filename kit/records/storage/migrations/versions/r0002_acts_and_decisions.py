"""The chain of acts: people and roles, keys, observations, decisions, and what follows from them."""

import sqlalchemy as sa
from alembic import op

from kit.records.storage.triggers import trigger_words

revision = "0002"
down_revision = "0001"


def _moment(name: str, nullable: bool = False) -> sa.Column[object]:
    return sa.Column(name, sa.DateTime(), nullable=nullable)


def _text(name: str, length: int, nullable: bool = False) -> sa.Column[object]:
    return sa.Column(name, sa.String(length), nullable=nullable)


def upgrade() -> None:
    """Make the chain, what is kept apart from it, and what follows from it."""
    _chain()
    _apart()
    _staff()
    _standing()
    _triggers(op.get_bind())


def _triggers(connection: sa.Connection) -> None:
    name, space = connection.dialect.name, ""
    if name != "sqlite":
        space = connection.exec_driver_sql("SELECT quote_ident(current_schema())").scalar_one()
    for words in trigger_words(name, space):
        connection.exec_driver_sql(words, execution_options={"no_parameters": True})


def _chain() -> None:
    op.create_table(
        "acts",
        sa.Column("number", sa.Integer(), primary_key=True, autoincrement=False),
        _text("kind", 24),
        _moment("at"),
        _text("by", 64),
        _text("person", 64, nullable=True),
        _text("criterion", 16, nullable=True),
        _text("batch", 40, nullable=True),
        sa.Column("facts", sa.Text(), nullable=False),
        _text("key_id", 16, nullable=True),
        _text("prev", 64),
        sa.Column("hash", sa.String(64), nullable=False, unique=True),
        _text("signature", 128, nullable=True),
    )
    op.create_index("ix_acts_person_kind", "acts", ["person", "kind"])
    op.create_index("ix_acts_batch", "acts", ["batch"])
    op.create_index("ix_acts_kind", "acts", ["kind"])
    op.create_index("ix_acts_at", "acts", ["at"])


def _apart() -> None:
    op.create_table(
        "words",
        sa.Column("mark", sa.String(64), primary_key=True),
        _text("person", 64),
        _text("salt", 32),
        sa.Column("text", sa.Text(), nullable=False),
    )
    op.create_index("ix_words_person", "words", ["person"])
    op.create_table(
        "files",
        sa.Column("sha256", sa.String(64), primary_key=True),
        _text("media_type", 80),
        sa.Column("size", sa.Integer(), nullable=False),
        _moment("kept_at"),
        _moment("erased_at", nullable=True),
    )


def _staff() -> None:
    op.create_table(
        "roles",
        _text("person", 64),
        _text("role", 16),
        _moment("since"),
        _moment("until", nullable=True),
        sa.PrimaryKeyConstraint("person", "role", "since"),
    )
    op.create_table(
        "signing_keys",
        sa.Column("key_id", sa.String(16), primary_key=True),
        _text("person", 64),
        _text("public", 64),
        _moment("since"),
        _moment("until", nullable=True),
    )
    op.create_index("ix_signing_keys_person", "signing_keys", ["person"])
    op.create_table(
        "assessors",
        sa.Column("act", sa.Integer(), sa.ForeignKey("acts.number"), primary_key=True),
        _text("person", 64),
        _text("what", 80),
        sa.Column("since", sa.Date(), nullable=False),
        sa.Column("until", sa.Date(), nullable=False),
    )
    op.create_index("ix_assessors_person", "assessors", ["person"])


def _standing() -> None:
    op.create_table(
        "points",
        sa.Column("act", sa.Integer(), sa.ForeignKey("acts.number"), nullable=False),
        _text("person", 64),
        _text("criterion", 16),
        _text("outcome", 8),
        sa.Column("day", sa.Date(), nullable=False),
        _text("method", 24),
        sa.PrimaryKeyConstraint("act", "criterion"),
    )
    op.create_index("ix_points_person_criterion", "points", ["person", "criterion"])
    op.create_table(
        "decided",
        _text("person", 64),
        _text("criterion", 16),
        sa.Column("act", sa.Integer(), sa.ForeignKey("acts.number"), nullable=False),
        _text("decision", 20),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("review_on", sa.Date(), nullable=True),
        _text("by", 64),
        _text("second", 12),
        sa.Column("second_act", sa.Integer(), nullable=True),
        sa.Column("appeal", sa.Integer(), nullable=True),
        sa.PrimaryKeyConstraint("person", "criterion"),
    )
