"""Rows that are only ever added: one list of rules, printed in the words of each database."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass


@dataclass(frozen=True)
class RowRule:
    """What is refused on a table: at which moment, when, and what is said.

    ``changed`` are columns of which any change is refused; none means any change. ``at_the_end`` refuses
    a row that does not follow the last one.
    """

    name: str
    table: str
    moment: str
    says: str
    changed: tuple[str, ...] = ()
    at_the_end: bool = False


RULES = (
    RowRule("acts_keep_every_row", "acts", "DELETE", "an act is never deleted"),
    RowRule("acts_keep_every_word", "acts", "UPDATE", "an act is never changed"),
    RowRule("acts_grow_at_the_end", "acts", "INSERT", "an act follows the last one", at_the_end=True),
    RowRule("entries_keep_every_row", "entries", "DELETE", "a line of a book is never deleted"),
    RowRule(
        "entries_keep_their_place",
        "entries",
        "UPDATE",
        "a line of a book is never changed",
        ("person", "position", "hash", "what"),
    ),
)

_GROWS = (
    "NEW.number <> (SELECT COALESCE(MAX(number), 0) + 1 FROM acts) "
    "OR NEW.prev <> COALESCE((SELECT hash FROM acts ORDER BY number DESC LIMIT 1), '')"
)
_REFUSE = """CREATE FUNCTION refuse() RETURNS trigger LANGUAGE plpgsql SET search_path = pg_catalog AS $$
BEGIN
  RAISE EXCEPTION '%', TG_ARGV[0] USING ERRCODE = 'integrity_constraint_violation';
END $$"""
# The table is named by the trigger, never by the search path: a session may set that.
_REFUSE_UNLESS_NEXT = """CREATE FUNCTION refuse_unless_next() RETURNS trigger LANGUAGE plpgsql
SET search_path = pg_catalog AS $$
DECLARE last_number integer; last_hash text;
BEGIN
  EXECUTE format(
    'SELECT number, hash FROM %I.%I ORDER BY number DESC LIMIT 1', TG_TABLE_SCHEMA, TG_TABLE_NAME
  ) INTO last_number, last_hash;
  IF NEW.number <> COALESCE(last_number, 0) + 1 OR NEW.prev <> COALESCE(last_hash, '') THEN
    RAISE EXCEPTION '%', TG_ARGV[0] USING ERRCODE = 'integrity_constraint_violation';
  END IF;
  RETURN NEW;
END $$"""


def trigger_words(dialect: str, space: str = "") -> Iterator[str]:
    """Yield the statements that make the triggers, for ``sqlite`` or ``postgresql``.

    ``space`` is the quoted schema that they are made in: PostgreSQL finds no function of a temporary one by
    its bare name.

    Examples
    --------
    >>> next(trigger_words("sqlite"))
    "CREATE TRIGGER acts_keep_every_row BEFORE DELETE ON acts BEGIN SELECT RAISE(ABORT, 'an act is never ...
    >>> len(list(trigger_words("sqlite"))), len(list(trigger_words("postgresql")))
    (5, 9)
    """
    if dialect == "sqlite":
        yield from map(_for_file, RULES)
        return
    yield from (_REFUSE, _REFUSE_UNLESS_NEXT)
    within = f"{space}." if space else ""
    yield from (_for_server(rule, within) for rule in RULES)
    for rule in RULES:
        if rule.moment == "DELETE":  # emptying passes the row rules by
            yield (
                f"CREATE TRIGGER {rule.table}_never_emptied BEFORE TRUNCATE ON {rule.table} "
                f"FOR EACH STATEMENT EXECUTE FUNCTION {within}refuse('{rule.says}')"
            )


def _for_file(rule: RowRule) -> str:
    condition = _GROWS if rule.at_the_end else _differs(rule, "<>")
    when = f"WHEN {condition} " if condition else ""
    return (
        f"CREATE TRIGGER {rule.name} BEFORE {rule.moment} ON {rule.table} {when}"
        f"BEGIN SELECT RAISE(ABORT, '{rule.says}'); END"
    )


def _for_server(rule: RowRule, within: str) -> str:
    condition = _differs(rule, "IS DISTINCT FROM")
    when = f"WHEN ({condition}) " if condition else ""
    function = "refuse_unless_next" if rule.at_the_end else "refuse"
    return (
        f"CREATE TRIGGER {rule.name} BEFORE {rule.moment} ON {rule.table} FOR EACH ROW {when}"
        f"EXECUTE FUNCTION {within}{function}('{rule.says}')"
    )


def _differs(rule: RowRule, sign: str) -> str:
    return " OR ".join(f"NEW.{name} {sign} OLD.{name}" for name in rule.changed)
