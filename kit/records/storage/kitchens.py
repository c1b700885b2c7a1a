"""One schema and three roles a kitchen, so that on a server no kitchen reaches another's rows, even by SQL.

The owner makes and changes the tables. The app's role works with them every day; it owns none, so it cannot
lift a rule that keeps rows. The reader only looks: for an inspector. A row policy on a name that a session
may set would not hold this: rights do.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from kit.basics.errors import BadData
from kit.records.storage.postgres import shown
from kit.records.storage.store import engine_for, said_plainly

_A_NAME = re.compile(r"[a-z][a-z0-9_]{0,40}")
KITS = ("owner", "app", "reader")


def kitchen_sql(name: str, database: str) -> Iterator[str]:
    """Yield the SQL that makes a kitchen's schema and roles; who runs it may make roles and schemas.

    The roles can log in and have no password yet: set each by ``\\password ROLE`` in psql, so that it stands
    in no file. What the owner makes later is open to the app and the reader by itself.

    Parameters
    ----------
    name : str
        The kitchen: small letters a to z, digits and _, a letter first, at most 41.
    database : str
        The database on the server.

    Raises
    ------
    BadData
        If the name is none.

    Examples
    --------
    >>> list(kitchen_sql("quay", "records"))[0]
    'CREATE ROLE quay_owner LOGIN NOINHERIT'
    """
    if not _A_NAME.fullmatch(name) or name.startswith("pg_") or name == "public":
        raise BadData(repr(name[:60]), "this is no name for a kitchen", "letters a to z, digits and _")
    owner, app, reader = (f"{name}_{kind}" for kind in KITS)
    quoted = '"' + database.replace('"', '""') + '"'
    for role in (owner, app, reader):
        yield f"CREATE ROLE {role} LOGIN NOINHERIT"
    yield f"REVOKE ALL ON DATABASE {quoted} FROM PUBLIC"
    yield "REVOKE ALL ON SCHEMA public FROM PUBLIC"
    yield f"GRANT CONNECT, TEMPORARY ON DATABASE {quoted} TO {owner}, {app}, {reader}"
    yield f"GRANT {owner} TO CURRENT_USER"  # who makes a schema for another must be able to act as them
    yield f"CREATE SCHEMA {name} AUTHORIZATION {owner}"
    yield f"REVOKE {owner} FROM CURRENT_USER"
    yield f"GRANT USAGE ON SCHEMA {name} TO {app}, {reader}"
    for role in (owner, app, reader):
        yield f"ALTER ROLE {role} SET search_path = {name}"
    yield f"ALTER ROLE {reader} SET default_transaction_read_only = on"
    given = f"ALTER DEFAULT PRIVILEGES FOR ROLE {owner} IN SCHEMA {name} GRANT"
    yield f"{given} SELECT, INSERT, UPDATE, DELETE ON TABLES TO {app}"
    yield f"{given} USAGE, SELECT ON SEQUENCES TO {app}"
    yield f"{given} SELECT ON TABLES TO {reader}"


def make_kitchen(address: str, words: Iterable[str]) -> None:
    """Run the SQL of ``kitchen_sql`` in one transaction, as the role in the address.

    Raises
    ------
    BadData
        If the role may not do that, or the kitchen is there already.
    """
    engine = engine_for(address)
    try:
        with said_plainly(shown(address)), engine.begin() as connection:
            for each in words:
                connection.exec_driver_sql(each, execution_options={"no_parameters": True})
    finally:
        engine.dispose()
