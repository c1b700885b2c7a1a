"""Many rows at once: the server's own COPY where there is one, and every row from one database to another."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import zip_longest
from typing import Any

from sqlalchemy import JSON, Column, Connection, Integer, String, Table, Text, cast, collate, insert, select
from sqlalchemy import bindparam as bind
from sqlalchemy.exc import DatabaseError

from kit.basics.errors import BadData
from kit.records.storage import schema
from kit.records.storage.postgres import is_server
from kit.records.storage.triggers import RULES, trigger_words

LEAST = 40
"""From so many rows on a COPY is worth its own round trip."""
_AT_ONCE = 5000


def insert_rows(connection: Connection, table: Table, rows: Sequence[Mapping[str, Any]]) -> None:
    """Add rows that all name the same columns, by COPY where there are many and the server knows it."""
    if not rows:
        return
    if is_server(connection) and len(rows) >= LEAST:
        columns = [table.c[name] for name in rows[0]]
        _copy(connection, columns, ([row[c.name] for c in columns] for row in rows), as_kept=False)
    else:
        connection.execute(insert(table), rows)


def _copy(
    connection: Connection, columns: Sequence[Column[Any]], rows: Iterable[Sequence[Any]], *, as_kept: bool
) -> None:
    dialect, quote = connection.dialect, connection.dialect.identifier_preparer.quote
    to_kept = [
        None
        if as_kept and isinstance(column.type, JSON)
        else column.type.dialect_impl(dialect).bind_processor(dialect)
        for column in columns
    ]
    words = f"COPY {quote(columns[0].table.name)} ({', '.join(quote(c.name) for c in columns)}) FROM STDIN"
    driver: Any = connection.connection.driver_connection
    try:
        with driver.cursor() as cursor, cursor.copy(words) as copy:
            for row in rows:
                pairs = zip(row, to_kept, strict=True)
                copy.write_row([value if to is None else to(value) for value, to in pairs])
    except driver_errors() as error:
        raise DatabaseError("COPY", {}, error) from error


def driver_errors() -> tuple[type[Exception], ...]:
    """Return the parent of the errors that PostgreSQL's driver raises, where it is installed."""
    from psycopg import Error

    return (Error,)


def carry(source: Connection, target: Connection, *, rules: bool = True) -> dict[str, int]:
    """Bring every row of one database into another, empty one, as it is kept; return how many of each table.

    ``rules`` false lifts the triggers of a target file for the time: a backup also keeps what is wrong. Call
    it inside a transaction on both.

    Raises
    ------
    BadData
        If the target holds rows already, or a row did not arrive as it was.
    """
    check_empty(target)
    target.execute(schema.upgrades.delete())
    if not rules:
        for rule in RULES:
            target.exec_driver_sql(f"DROP TRIGGER {rule.name}")
    counts = {table.name: _carry_table(source, target, table) for table in schema.metadata.sorted_tables}
    if not rules:
        for words in trigger_words("sqlite"):
            target.exec_driver_sql(words)
    _set_counters(target)
    for problem in differences(source, target):
        raise BadData("the copy of the records", problem, "every row as it was")
    return counts


def check_empty(target: Connection) -> None:
    """Raise ``BadData`` if there are rows already, apart from the notes of upgrades."""
    for table in schema.metadata.sorted_tables:
        if table is not schema.upgrades and target.execute(select(table).limit(1)).first() is not None:
            raise BadData(
                "the place to move to", f"it holds rows already, in {table.name!r}", "empty records"
            )


def _carry_table(source: Connection, target: Connection, table: Table) -> int:
    count, columns = 0, list(table.c)

    def counted() -> Iterator[Sequence[Any]]:
        nonlocal count
        for row in _rows(source, table):
            count += 1
            yield row

    if is_server(target):
        _copy(target, columns, counted(), as_kept=True)
        return count
    kept = {c.name: bind(c.name, type_=Text() if isinstance(c.type, JSON) else c.type) for c in columns}
    names, batch = list(kept), list[dict[str, Any]]()
    for row in counted():
        batch.append(dict(zip(names, row, strict=True)))
        if len(batch) == _AT_ONCE:
            target.execute(insert(table).values(kept), batch)
            batch = []
    if batch:
        target.execute(insert(table).values(kept), batch)
    return count


def _rows(connection: Connection, table: Table) -> Iterator[Sequence[Any]]:
    """Yield the rows of a table in the order of their keys; JSON as the text it is kept in."""
    wanted = [cast(c, Text).label(c.name) if isinstance(c.type, JSON) else c for c in table.c]
    plain = is_server(connection)
    order = [
        collate(c, "C") if plain and isinstance(c.type, String) else c for c in table.primary_key.columns
    ]
    query, some = select(*wanted).order_by(*order), {"yield_per": _AT_ONCE}
    with connection.execute(query, execution_options=some) as found:
        for row in found:
            yield tuple(row)


def differences(one: Connection, other: Connection) -> Iterator[str]:
    """Yield, table by table, the first row in which two databases differ."""
    for table in schema.metadata.sorted_tables:
        pairs = zip_longest(_rows(one, table), _rows(other, table))
        for number, (mine, theirs) in enumerate(pairs, start=1):
            if mine != theirs:
                yield f"row {number} of the table {table.name!r} is not the same"
                break


def _set_counters(target: Connection) -> None:
    """Let the server count on from the keys that came in."""
    if not is_server(target):
        return
    quote = target.dialect.identifier_preparer.quote
    for table in schema.metadata.sorted_tables:
        key = table.autoincrement_column
        if key is not None and isinstance(key.type, Integer) and not key.foreign_keys:
            target.exec_driver_sql(
                f"SELECT setval(pg_get_serial_sequence('{quote(table.name)}', '{key.name}'), MAX(key)) "
                f"FROM {quote(table.name)} HAVING MAX(key) IS NOT NULL"
            )
