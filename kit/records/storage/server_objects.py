"""What a schema on a PostgreSQL server is made of, in words that can be compared with another's."""

from __future__ import annotations

import re
from collections.abc import Iterator

from sqlalchemy import Connection

_SPACE = "(SELECT oid FROM pg_namespace WHERE nspname = current_schema())"
_QUERIES = (
    # Temporary tables differ from lasting ones in nothing that is read here.
    f"""SELECT 'table', c.relname, string_agg(concat_ws(' ', a.attname, format_type(a.atttypid, a.atttypmod),
        CASE WHEN a.attnotnull THEN 'NOT NULL' END, pg_get_expr(d.adbin, d.adrelid)), ', ' ORDER BY a.attnum)
        || CASE WHEN c.relrowsecurity THEN ' with row security' ELSE '' END
        FROM pg_class c JOIN pg_attribute a ON a.attrelid = c.oid AND a.attnum > 0 AND NOT a.attisdropped
        LEFT JOIN pg_attrdef d ON d.adrelid = c.oid AND d.adnum = a.attnum
        WHERE c.relnamespace = {_SPACE} AND c.relkind IN ('r', 'p', 'f') GROUP BY c.oid, c.relname""",
    f"""SELECT 'view', relname, 'a view' FROM pg_class
        WHERE relnamespace = {_SPACE} AND relkind IN ('v', 'm')""",
    f"""SELECT 'index', c.relname, pg_get_indexdef(c.oid) || CASE WHEN i.indisvalid THEN '' ELSE ' broken' END
        FROM pg_class c JOIN pg_index i ON i.indexrelid = c.oid WHERE c.relnamespace = {_SPACE}""",
    f"""SELECT 'constraint', conname, pg_get_constraintdef(oid)
        || CASE WHEN convalidated THEN '' ELSE ' not checked' END
        FROM pg_constraint WHERE connamespace = {_SPACE}""",
    f"""SELECT 'trigger', t.tgname, pg_get_triggerdef(t.oid) || ' ' || t.tgenabled::text
        FROM pg_trigger t JOIN pg_class c ON c.oid = t.tgrelid
        WHERE c.relnamespace = {_SPACE} AND NOT t.tgisinternal""",
    f"""SELECT 'trigger', 'of the links of ' || c.relname, 'switched off'
        FROM pg_trigger t JOIN pg_class c ON c.oid = t.tgrelid
        WHERE c.relnamespace = {_SPACE} AND t.tgisinternal AND t.tgenabled <> 'O'""",
    f"""SELECT 'function', proname, pg_get_functiondef(oid) FROM pg_proc
        WHERE pronamespace = {_SPACE} AND prokind IN ('f', 'p')""",
    f"""SELECT 'rule', r.rulename, pg_get_ruledef(r.oid) FROM pg_rewrite r
        JOIN pg_class c ON c.oid = r.ev_class WHERE c.relnamespace = {_SPACE} AND c.relkind IN ('r', 'p')""",
)


def server_objects(connection: Connection) -> Iterator[tuple[str, str]]:
    """Yield what the current schema is made of, from tables to rules, each with its words.

    The name of the schema is taken out of them: each kitchen has its own.
    """
    space = str(connection.exec_driver_sql("SELECT current_schema()").scalar())
    named = re.compile(rf'(?<![\w"])(?:{re.escape(space)}|"{re.escape(space)}"|pg_temp)\.')
    for query in _QUERIES:
        for kind, name, words in connection.exec_driver_sql(f"{query} ORDER BY 2"):
            yield f"the {kind} {name}", " ".join(named.sub("", str(words)).split())
    for (change,) in connection.exec_driver_sql("SELECT version_num FROM alembic_version"):
        yield "the number of the last change", str(change)
