"""How sure practice makes: what the sequential test of knowledge says beside held or not."""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"


def upgrade() -> None:
    """Empty the standings, which are worked out again, and give them what the new rule says.

    A first try is told by what was asked, whatever the order of the options. Older rows keep the fingerprint.
    """
    op.execute("ALTER TABLE first_tries RENAME COLUMN fingerprint TO variant")
    op.execute("DELETE FROM standings")
    op.execute("DELETE FROM basis")
    for name in ("held_until", "first_held", "lost_on"):
        op.add_column("standings", sa.Column(name, sa.Date(), nullable=True))
    for name in ("still", "notches"):
        op.add_column("standings", sa.Column(name, sa.Integer(), nullable=False, server_default="0"))
    op.add_column("standings", sa.Column("evidence", sa.Float(), nullable=False, server_default="0"))
