"""A PostgreSQL server for the tests alone: a folder of its own, a socket, a password, no network."""

from __future__ import annotations

import os
import pwd
import secrets
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import psycopg
import pytest

ROOM_BYTES = 2_000_000_000
REQUIRED = "SMOKEHOUSE_REQUIRE_DATABASE"
# Nothing here has to outlive a power cut.
_QUICK = (
    "fsync=off",
    "synchronous_commit=off",
    "full_page_writes=off",
    "autovacuum=off",
    "wal_level=minimal",
    "max_wal_senders=0",
    "shared_buffers=64MB",
    "max_connections=200",
    "listen_addresses=''",
)


def programs() -> Path | None:
    """Return the folder of PostgreSQL's programs, the newest version's, or None."""
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"), key=lambda p: int(p.parts[-3]))
    if found:
        return found[-1].parent
    on_path = shutil.which("initdb")
    return Path(on_path).parent if on_path else None


class Server:
    """The running server. ``address`` is of a role that owns its databases and is no superuser."""

    def __init__(self, folder: Path, password: str) -> None:
        self.folder, self._password, self._made = folder, password, 0

    def address(self, database: str, role: str = "suite", password: str = "", schema: str = "kitchen") -> str:
        return (
            f"postgresql://{role}:{password or self._password}@/{database}?host={self.folder}&schema={schema}"
        )

    def run(self, *statements: str, database: str = "postgres", role: str = "postgres") -> None:
        """Run SQL, by default as the superuser, each statement by itself."""
        with self.connect(database, role) as connection:
            for words in statements:
                connection.execute(words)

    def connect(self, database: str, role: str = "postgres", password: str = "") -> psycopg.Connection:
        return psycopg.connect(
            host=str(self.folder),
            dbname=database,
            user=role,
            password=password or self._password,
            autocommit=True,
        )

    def database(self, like: str = "template0") -> str:
        """Make a new database as a copy of another that nobody has open, and return its name."""
        self._made += 1
        name = f"d{self._made}"
        self.run(f"CREATE DATABASE {name} OWNER suite TEMPLATE {like}")
        if like == "template0":
            self.run("CREATE SCHEMA kitchen", database=name, role="suite")
        return name

    def replace(self, name: str, like: str) -> None:
        """Make a database anew as a copy of another."""
        self.drop(name)
        self.run(f"CREATE DATABASE {name} OWNER suite TEMPLATE {like}")

    def drop(self, name: str) -> None:
        self.run(f"DROP DATABASE IF EXISTS {name} WITH (FORCE)")


@contextmanager
def started() -> Iterator[Server]:
    """Start a server and stop it again. Where there is none, skip or, if it is required, fail."""
    where = programs()
    if where is None:
        if os.environ.get(REQUIRED) == "1":
            pytest.fail("there is no PostgreSQL here, and SMOKEHOUSE_REQUIRE_DATABASE=1")
        pytest.skip("there is no PostgreSQL here")
    memory = os.access("/dev/shm", os.W_OK) and shutil.disk_usage("/dev/shm").free > ROOM_BYTES
    folder = Path(
        tempfile.mkdtemp(prefix="pg-", dir="/dev/shm" if memory else "/tmp")
    )  # a socket's path is short
    password, other = secrets.token_hex(16), {}
    if os.geteuid() == 0:  # the server refuses to run as root
        user = next((pwd.getpwnam(n) for n in ("postgres", "nobody") if _known(n)), None)
        assert user is not None
        other = {"user": user.pw_uid, "group": user.pw_gid, "extra_groups": []}
    (folder / "password").write_text(password)
    (folder / "password").chmod(0o600)
    for each in (folder, folder / "password"):
        if other:
            os.chown(each, other["user"], other["group"])
    data, log = str(folder / "data"), str(folder / "log")
    options = " ".join(f"-c {each}" for each in _QUICK) + f" -k {folder}"
    make = [where / "initdb", "-D", data, "-A", "scram-sha-256", "-U", "postgres", "-E", "UTF8", "--no-sync"]
    make += ["--locale=C.UTF-8", f"--pwfile={folder / 'password'}"]
    quiet = {"check": True, "stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL, "cwd": "/tmp"}
    control = [where / "pg_ctl", "-D", data, "-w"]
    try:
        subprocess.run(make, **quiet, **other)
        subprocess.run([*control, "-l", log, "-o", options, "start"], **quiet, **other)
        server = Server(folder, password)
        server.run(f"CREATE ROLE suite LOGIN PASSWORD '{password}'")
        try:
            yield server
        finally:
            subprocess.run([*control, "-m", "immediate", "stop"], **quiet, **other)
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _known(name: str) -> bool:
    try:
        return bool(pwd.getpwnam(name))
    except KeyError:
        return False
