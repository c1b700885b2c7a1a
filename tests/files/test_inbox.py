"""Handing in on a server: the account is the system's word, a book is written once, nobody looks in."""

from __future__ import annotations

import json
import os
import socket
import subprocess
import tempfile
import threading
from contextlib import contextmanager
from pathlib import Path

import pytest

from kit.basics.errors import BadData
from kit.files import Book, inbox_server
from kit.files.inbox import SOCKET_VARIABLE, send_book
from kit.files.inbox_server import InboxServer, open_inbox
from kit.files.refusals import NotSaved
from kit.practice import create
from kit.practice.handing_in import hand_in_here

LINE = {
    "exercise": "salt-on-fish",
    "version": 1,
    "occasion": 1,
    "seed": 1,
    "profile": "ie",
    "fingerprint": "f",
}


@contextmanager
def serving(path, folder):
    server = InboxServer(path, open_inbox(folder))
    threading.Thread(target=server.serve_forever, daemon=True).start()
    try:
        yield server
    finally:
        server.shutdown()
        server.server_close()


@pytest.fixture
def place(tmp_path):
    with serving(tmp_path / "s", tmp_path / "inbox"):
        yield tmp_path


@pytest.fixture
def ana():
    person = create("Ana Lind")
    book = Book(person.book_path)
    facts = LINE | {"answer": "1", "score": 1.0, "of": 1.0, "verdict": "right", "slip": "", "read_as": ""}
    book.append("attempt", **facts, hints=0, profile_fingerprint="p")
    return person


def kept(place):
    return sorted(each.name for each in (place / "inbox").glob("*.book"))


def test_the_button_hands_in_to_the_inbox_once(place, ana, monkeypatch):
    monkeypatch.setenv(SOCKET_VARIABLE, str(place / "s"))
    assert hand_in_here(ana)[0] == "Handed in: 1 line."
    assert "already" in hand_in_here(ana)[0]
    (name,) = kept(place)
    assert name.startswith(f"{os.getuid()}-{ana.id}-")
    there = place / "inbox" / name
    assert there.read_bytes() == ana.book_path.read_bytes() and there.stat().st_mode & 0o077 == 0
    assert (place / "inbox").stat().st_mode & 0o777 == 0o700


def test_a_book_of_somebody_elses_account_is_refused(place, ana):
    data = ana.book_path.read_bytes()
    inbox = open_inbox(place / "inbox")
    inbox.take(data, 2001)
    with pytest.raises(BadData, match="another account"):
        send_book(data, str(place / "s"))
    assert len(kept(place)) == 1


@pytest.mark.parametrize(
    ("sent", "says"),
    [
        (b"no json\n", "not a whole object"),
        (b'{"bytes": -1}\n', "no size"),
        (b'{"bytes": true}\n', "no size"),
        (b'{"bytes": 99999999999}\n', "no size"),
        (b'{"bytes": 5}\nhel', "cut off"),
        (b'{"bytes": 6}\nhello\n', ""),
        (b"x" * 5000, ""),
    ],
)
def test_what_is_no_book_is_refused_and_nothing_is_kept(place, sent, says):
    with socket.socket(socket.AF_UNIX) as line:
        line.connect(str(place / "s"))
        line.sendall(sent)
        line.shutdown(socket.SHUT_WR)
        told = json.loads(line.makefile("rb").readline())
    assert told["taken"] is False and says in told["says"]
    assert not kept(place)


def test_an_edited_book_and_an_odd_id_are_refused(place, ana):
    data = ana.book_path.read_bytes()
    with pytest.raises(BadData, match="not whole"):
        send_book(data.replace(b'"right"', b'"wrong"'), str(place / "s"))
    odd = place / "odd.book"
    Book.make(odd, person="../../etc/x", name="Odd")
    with pytest.raises(BadData, match="no id of ours"):
        send_book(odd.read_bytes(), str(place / "s"))
    assert not kept(place)


def test_one_account_cannot_fill_the_disk(place, ana, monkeypatch):
    monkeypatch.setattr(inbox_server, "MOST_BOOKS", 0)
    with pytest.raises(BadData, match="of this account lie there"):
        send_book(ana.book_path.read_bytes(), str(place / "s"))


def test_an_inbox_that_does_not_answer_says_the_book_is_safe(tmp_path, ana):
    with pytest.raises(NotSaved, match="does not answer"):
        send_book(b"x", str(tmp_path / "nobody"))


def test_an_inbox_that_others_may_look_into_is_not_used(tmp_path):
    (tmp_path / "open").mkdir(mode=0o755)
    with pytest.raises(BadData, match="mode 0700"):
        open_inbox(tmp_path / "open")
    (tmp_path / "link").symlink_to(tmp_path)
    with pytest.raises(BadData, match="mode 0700"):
        open_inbox(tmp_path / "link")


@pytest.mark.slow
@pytest.mark.skipif(os.geteuid() != 0, reason="only root can be several accounts")
def test_two_accounts_over_the_real_socket(ana):
    with tempfile.TemporaryDirectory(dir="/tmp") as name:  # the path of a socket is short
        folder = Path(name)
        folder.chmod(0o711)
        book = folder / "b"
        book.write_bytes(ana.book_path.read_bytes())
        book.chmod(0o644)
        told = []
        with serving(folder / "s", folder / "inbox"):
            for account in (65534, 2002):
                run = ["/usr/bin/python3", "-I", "-c", SENDS, folder / "s", book, folder / "inbox"]
                quiet = {"capture_output": True, "text": True, "cwd": "/"}
                done = subprocess.run(run, user=account, group=65534, extra_groups=[], **quiet)
                assert "kept out" in done.stdout, done.stderr
                told.append(json.loads(done.stdout.splitlines()[0]))
    assert told[0]["taken"] is True
    assert told[1]["taken"] is False and "another account" in told[1]["says"]


SENDS = """
import json, os, socket, sys
line = socket.socket(socket.AF_UNIX)
line.connect(sys.argv[1])
data = open(sys.argv[2], "rb").read()
line.sendall(json.dumps({"bytes": len(data)}).encode() + bytes([10]) + data)
print(line.makefile().readline().strip())
try:
    print(os.listdir(sys.argv[3]))
except PermissionError:
    print("kept out")
"""
