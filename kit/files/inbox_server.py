"""The inbox of a server: books are handed in over a socket, into a folder that only its owner may open.

The system says which account is at the other end: nobody hands in as another. A book is written once, under
a name made of account, person and content. A person's id belongs to the account that handed it in first.
Linux only: other systems say the account in other ways.
"""

from __future__ import annotations

import hashlib
import json
import os
import re
import socket
import socketserver
import stat
import struct
import threading
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from kit.basics.atomic_files import create_private, make_private_folder, sync, write_private
from kit.basics.data_files import json_of
from kit.basics.errors import BadData, KitError
from kit.basics.quantities import count_of
from kit.files.book_reading import MAX_BOOK_BYTES, read_bytes
from kit.files.inbox import WAIT_S
from kit.files.kitchen_number import number_text

MOST_BOOKS = 400
"""So many files one account may leave: a full disk would stop everybody."""
_OWNERS = "owners.json"
_PERSON = re.compile(r"[a-z0-9][a-z0-9-]{0,39}")
_Request = socket.socket | tuple[bytes, socket.socket]
_MOST_HEAD_BYTES, _AT_ONCE = 200, 8


@dataclass(frozen=True)
class Inbox:
    """A folder for books, and the account that handed each person's in."""

    folder: Path
    lock: threading.Lock

    def take(self, data: bytes, account: int) -> str:
        """Keep a book, and return in a sentence what became of it.

        Raises
        ------
        BadData
            If it is no whole book, belongs to another account, or the account left too many.
        """
        reading = read_bytes(data, where="the book")
        person = reading.header.person
        if not _PERSON.fullmatch(person):
            raise BadData("the book", "its person has no id of ours", "a book that the workbook wrote")
        if reading.problems:
            raise BadData("the book", f"it is not whole: {reading.problems[0].says}", "a whole book")
        name = f"{account}-{person}-{hashlib.sha256(data).hexdigest()[:16]}.book"
        with self.lock:
            self._check_owner(person, account)
            if (self.folder / name).exists():
                return "This book lies in the inbox already."
            if sum(1 for _ in self.folder.glob(f"{account}-*.book")) >= MOST_BOOKS:
                raise BadData(
                    "the inbox", f"{MOST_BOOKS} books of this account lie there", "an emptier inbox"
                )
            draft = self.folder / f".{name}.new"
            with suppress(FileNotFoundError):
                draft.unlink()
            with create_private(draft) as file:
                file.write(data)
                file.flush()
                os.fsync(file.fileno())
            draft.rename(self.folder / name)
            sync(self.folder)
        return f"Handed in: {count_of(len(reading.entries), 'line')}."

    def _check_owner(self, person: str, account: int) -> None:
        file = self.folder / _OWNERS
        owners = json_of(file.read_bytes(), file.name) if file.exists() else {}
        if owners.setdefault(person, account) != account:
            raise BadData(
                "the book", "another account handed this person's in before", "one account a person"
            )
        write_private(file, json.dumps(owners, sort_keys=True).encode())


def open_inbox(folder: Path) -> Inbox:
    """Return the inbox in a folder, made where it is missing.

    Raises
    ------
    BadData
        If others may look into it, or it is not ours.
    """
    make_private_folder(folder)
    found = folder.lstat()
    if not stat.S_ISDIR(found.st_mode) or found.st_uid != os.geteuid() or found.st_mode & 0o077:
        raise BadData(
            str(folder), "others may look into this folder, or it is not yours", "a folder, mode 0700"
        )
    return Inbox(folder, threading.Lock())


class InboxServer(socketserver.ThreadingUnixStreamServer):
    """Listens on a socket that every account may speak to, and keeps what it is sent."""

    daemon_threads = True

    def __init__(self, path: Path, inbox: Inbox) -> None:
        self.inbox, self._room = inbox, threading.BoundedSemaphore(_AT_ONCE)
        with suppress(FileNotFoundError):
            if stat.S_ISSOCK(path.lstat().st_mode):
                path.unlink()  # left by a server that was killed
        super().__init__(str(path), _Handing)
        path.chmod(0o666)  # who may come in is said by the account, not by the file

    def process_request(
        self, request: socket.socket | tuple[bytes, socket.socket], client_address: object
    ) -> None:
        """Hear a sender in a thread of its own; with too many at once the newest is sent away."""
        if self._room.acquire(blocking=False):
            super().process_request(request, client_address)
        else:
            self.shutdown_request(request)

    def process_request_thread(self, request: _Request, client_address: object) -> None:
        """Hear one sender to the end."""
        try:
            super().process_request_thread(request, client_address)
        finally:
            self._room.release()


class _Handing(socketserver.StreamRequestHandler):
    timeout = WAIT_S
    server: InboxServer

    def handle(self) -> None:
        try:
            told = {"taken": True, "says": self._hear(), "number": number_text(self.server.inbox.folder)}
        except KitError as error:
            told = {"taken": False, "says": str(error)}
        except OSError:
            told = {"taken": False, "says": "The inbox could not keep the book. Nothing was handed in."}
        with suppress(OSError):
            self.wfile.write(json.dumps(told).encode() + b"\n")

    def _hear(self) -> str:
        head = json_of(self.rfile.readline(_MOST_HEAD_BYTES), "what was sent")
        size = head.get("bytes")
        if not isinstance(size, int) or isinstance(size, bool) or not 0 < size <= MAX_BOOK_BYTES:
            raise BadData("what was sent", "it names no size of a book", f"1 to {MAX_BOOK_BYTES} bytes")
        data = self.rfile.read(size)
        if len(data) < size:
            raise BadData("the book", "it was cut off on the way", "a whole book")
        return self.server.inbox.take(data, account_of(self.connection))


def account_of(connection: socket.socket) -> int:
    """Return the number of the account at the other end, as the system says it."""
    told = connection.getsockopt(socket.SOL_SOCKET, socket.SO_PEERCRED, struct.calcsize("3i"))
    return int(struct.unpack("3i", told)[1])
