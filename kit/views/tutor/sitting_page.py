"""The page on which one person sits a test paper. It is served on this machine only, and knows no answer.

It is handed what a page may show and nothing else: no question object, no truth, no slip, no seed. It marks
nothing. Each answer is kept at once, in a file that only its owner can read.
"""

from __future__ import annotations

import asyncio
import secrets
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from tornado.httpserver import HTTPServer
from tornado.web import Application, HTTPError, RequestHandler

from kit.basics.errors import KitError
from kit.views.workbook.plain_pages import HEADERS, check_asker, language_values, spoken_on, template
from kit.views.workbook.server import LOCAL, free_port


@dataclass(frozen=True)
class SittingTask:
    """What the page may show of one task: its form, and its picture with the words for it."""

    form: Mapping[str, Any]
    png: bytes = b""
    picture_words: str = ""


@dataclass
class SittingPage:
    """One sitting.

    Parameters
    ----------
    name, paper : str
        Who sits, and the id of the paper.
    tasks : sequence of SittingTask
        What is asked.
    answers : mapping of int to object
        What was answered before a break, by place from 1.
    ends : callable
        When the time is over, from the start on; None before it.
    begin : callable
        Starts the time.
    keep : callable
        Keeps an answer by its place; it raises if it could not, or if the time is over.
    """

    name: str
    paper: str
    tasks: Sequence[SittingTask]
    answers: dict[int, Any]
    ends: Callable[[], datetime | None]
    begin: Callable[[], None]
    keep: Callable[[int, Any], None]
    port: int | None = None
    key: str = field(default_factory=lambda: secrets.token_urlsafe(24))
    handed_in: asyncio.Event = field(default_factory=asyncio.Event)
    _server: HTTPServer | None = field(default=None, init=False)

    @property
    def address(self) -> str:
        """The address of the page, with its key."""
        return f"http://{LOCAL}:{self.port}/{self.key}/"

    def open(self) -> None:
        """Begin to listen."""
        self.port = free_port(self.port)
        routes: list[Any] = [
            (rf"/{self.key}/", _FirstSheet, {"page": self}),
            (rf"/{self.key}/task/(\d+)", _TaskSheet, {"page": self}),
            (rf"/{self.key}/picture/(\d+)\.png", _PictureSheet, {"page": self}),
            (rf"/{self.key}/end", _LastSheet, {"page": self}),
        ]
        self._server = Application(routes, log_function=lambda _: None).listen(self.port, LOCAL)

    async def shut(self) -> None:
        """Stop listening, and close what a browser keeps open."""
        if self._server is not None:
            self._server.stop()
            await self._server.close_all_connections()

    def over(self) -> bool:
        """Whether the time is over."""
        end = self.ends()
        return end is not None and datetime.now(end.tzinfo) >= end


class _Sheet(RequestHandler):
    """What all parts of the page share."""

    def initialize(self, page: SittingPage) -> None:
        self.page = page

    def prepare(self) -> None:
        check_asker(self.request, self.page.port)

    def set_default_headers(self) -> None:
        for name, value in HEADERS.items():
            self.set_header(name, value)

    def show(self, part: str, **values: Any) -> None:
        page, end = self.page, self.page.ends()
        until = "" if end is None else f"{end.astimezone():%H:%M}"
        said = language_values(spoken_on(self))
        told = {"page": page, "until": until, "over": page.over(), **said, **values}
        self.finish(template("sitting.html").render(part=part, **told))

    def place(self, given: str) -> int:
        place = int(given)
        if not 1 <= place <= len(self.page.tasks) or self.page.ends() is None:
            raise HTTPError(404)
        return place


class _FirstSheet(_Sheet):
    def get(self) -> None:
        if self.page.handed_in.is_set():
            self.show("done")
        else:
            self.show("start" if self.page.ends() is None else "end")

    def post(self) -> None:
        if self.page.ends() is None:
            self.page.begin()
        self.redirect(f"/{self.page.key}/task/1", status=303)


class _TaskSheet(_Sheet):
    def get(self, given: str) -> None:
        place = self.place(given)
        self.show("task", place=place, task=self.page.tasks[place - 1], words="")

    def post(self, given: str) -> None:
        place = self.place(given)
        task = self.page.tasks[place - 1]
        try:
            self.page.keep(place, _given(task.form, self.get_body_arguments))
        except KitError as error:
            self.set_status(409)
            self.show("task", place=place, task=task, words=str(error))
            return
        last = place == len(self.page.tasks)
        self.redirect(f"/{self.page.key}/" + ("" if last else f"task/{place + 1}"), status=303)


class _PictureSheet(_Sheet):
    def get(self, given: str) -> None:
        self.set_header("Content-Type", "image/png")
        self.finish(self.page.tasks[self.place(given) - 1].png)


class _LastSheet(_Sheet):
    def post(self) -> None:
        if self.page.ends() is None:
            raise HTTPError(404)
        self.page.handed_in.set()
        self.show("done")


def _given(form: Mapping[str, Any], field_of: Callable[[str], list[str]]) -> Any:
    """Return what a form sent, as marking takes it; None for nothing."""
    kind = form["kind"]
    if kind in ("number", "chart"):
        return (field_of("answer") or [""])[0].strip() or None
    if kind == "one":
        return (field_of("answer") or [""])[0] or None
    if kind == "several":
        return field_of("answer") or None
    if kind == "order":
        keys = [key for key in field_of("answer") if key]
        return keys or None
    if kind == "match":
        joined = {one["key"]: (field_of(f"for-{one['key']}") or [""])[0] for one in form["left"]}
        return {left: right for left, right in joined.items() if right} or None
    decision, reason = (field_of("decision") or [""])[0], (field_of("reason") or [""])[0]
    return {"decision": decision, "reason": reason} if decision or reason else None
