"""Handing a book in over the socket of a server's inbox. ``inbox_server`` is the other end."""

from __future__ import annotations

import json
import socket

from kit.basics.data_files import json_of
from kit.basics.errors import BadData
from kit.files.kitchen_number import hear
from kit.files.refusals import NotSaved

SOCKET_VARIABLE = "SMOKEHOUSE_INBOX"
"""Names the socket, in the environment of a lesson on a server."""
WAIT_S = 20.0
_MOST_ANSWER_BYTES = 8192


def send_book(data: bytes, path: str) -> str:
    """Hand a book in over a socket, and return what the inbox says.

    It also tells the kitchen's newest number, if there is one: this machine keeps it for the next questions.

    Raises
    ------
    BadData
        If the inbox refuses it.
    NotSaved
        If the inbox does not answer.
    """
    try:
        with socket.socket(socket.AF_UNIX) as line:
            line.settimeout(WAIT_S)
            line.connect(path)
            line.sendall(json.dumps({"bytes": len(data)}).encode() + b"\n" + data)
            with line.makefile("rb") as answers:
                answer = answers.readline(_MOST_ANSWER_BYTES)
        told = json_of(answer, "the inbox")
    except (OSError, BadData):
        advice = "Your own book is safe. Try again, then tell your tutor."
        raise NotSaved("the inbox of this server does not answer", advice, what="The hand-in") from None
    if told.get("taken") is not True:
        raise BadData("the inbox", str(told.get("says", "it refused the book")).rstrip("."))
    hear(str(told.get("number", "")))
    return str(told.get("says"))
