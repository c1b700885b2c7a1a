"""The page before the lessons: who are you? It is served on this machine only, by a key in its address.

Who has a PIN is asked for it. A new name that is nearly that of somebody here is asked about first. The
workbook of whoever enters is started behind the page.
"""

from __future__ import annotations

import asyncio
import secrets
from collections.abc import Awaitable, Callable
from contextlib import suppress
from dataclasses import dataclass, field
from typing import Any

from tornado.httpserver import HTTPServer
from tornado.iostream import StreamClosedError
from tornado.web import Application, RequestHandler

from kit.basics.errors import KitError
from kit.languages import Language, noted
from kit.practice import Learner, create, everyone, get, set_pin
from kit.practice.people import near
from kit.practice.pins import WrongPin, check_new_pin, unlock
from kit.views.workbook.plain_pages import HEADERS, check_asker, language_values, spoken_on, template
from kit.views.workbook.server import LOCAL, free_port

Begin = Callable[[Learner, str], Awaitable[str]]
NO_PIN = noted("Choose a PIN, or say that you need none.")


@dataclass
class Door:
    """The page, and the workbooks that were begun through it.

    Parameters
    ----------
    begin : coroutine function
        Starts the workbook of a person with their open key, if they have one, and returns its address.
    expected_s : callable
        About how long a start takes for a person. [s]
    port : int, optional
        A fixed port; without it, any free one.
    """

    begin: Begin
    expected_s: Callable[[Learner], float]
    port: int | None = None
    key: str = field(default_factory=lambda: secrets.token_urlsafe(24))
    closed: asyncio.Event = field(default_factory=asyncio.Event)
    begun: dict[str, asyncio.Task[str]] = field(default_factory=dict)
    _server: HTTPServer | None = field(default=None, init=False)

    @property
    def address(self) -> str:
        """The address of the page, with its key."""
        return f"http://{LOCAL}:{self.port}/{self.key}/"

    def open(self) -> None:
        """Begin to listen. The port is taken on this machine only."""
        self.port = free_port(self.port)
        routes = [
            (rf"/{self.key}/", _Who, {"door": self}),
            (rf"/{self.key}/enter", _Enter, {"door": self}),
            (rf"/{self.key}/new", _New, {"door": self}),
            (rf"/{self.key}/wait", _Wait, {"door": self}),
            (rf"/{self.key}/close", _Close, {"door": self}),
        ]
        self._server = Application(routes, log_function=lambda _: None).listen(self.port, LOCAL)

    def shut(self) -> None:
        """Stop listening."""
        if self._server is not None:
            self._server.stop()

    def enter(self, person: Learner, private: str) -> None:
        """Start the workbook of a person, unless it was started before and did not fail."""
        task = self.begun.get(person.id)
        if task is None or (task.done() and task.exception() is not None):
            self.begun[person.id] = asyncio.ensure_future(self.begin(person, private))


class _Page(RequestHandler):
    """What all pages of the door share: who may ask, and how they look."""

    def initialize(self, door: Door) -> None:
        self.door = door

    def prepare(self) -> None:
        check_asker(self.request, self.door.port)

    def set_default_headers(self) -> None:
        for name, value in HEADERS.items():
            self.set_header(name, value)

    def language(self, person: Learner | None = None) -> Language:
        return spoken_on(self, person.page_language if person else "")

    def made(self, part: str, **values: Any) -> str:
        said = language_values(self.language(values.get("person")))
        page: str = template("door.html").render(part=part, key=self.door.key, **said, **values)
        return page

    def show(self, part: str, **values: Any) -> None:
        self.finish(self.made(part, **values))

    def told(self, error: KitError) -> None:
        self.set_status(400)
        self.show("fault", words=str(error))

    def write_error(self, status_code: int, **kwargs: Any) -> None:
        words = self.language().say("This did not work ({status}).", status=status_code)
        self.finish(template("door.html").render(part="fault", key="", words=words))

    def person(self) -> Learner:
        return get(self.get_argument("person"))


class _Who(_Page):
    def get(self) -> None:
        self.show("who", people=everyone())


class _Enter(_Page):
    """One tile: in at once without a PIN, else by the PIN."""

    def get(self) -> None:
        self._at_the_pin("")

    def post(self) -> None:
        try:
            person = self.person()
            private = unlock(person, self.get_body_argument("pin", "", strip=False))
        except WrongPin as wrong:
            self._at_the_pin(self.language(self.person()).say(str(wrong)))
            return
        except KitError as error:
            self.told(error)
            return
        self.door.enter(person, private)
        self.redirect(f"/{self.door.key}/wait?person={person.id}", status=303)

    def _at_the_pin(self, words: str) -> None:
        try:
            self.show("pin", person=self.person(), words=words)
        except KitError as error:
            self.told(error)


class _New(_Page):
    def post(self) -> None:
        name, pin = self.get_body_argument("name", ""), self.get_body_argument("pin", "", strip=False)
        needs_none = self.get_body_argument("none", "") == "yes"
        try:
            alike = near(name)
            if alike and not self.get_body_argument("sure", ""):
                self.show("alike", name=name, alike=alike)
                return
            if not pin and not needs_none:
                words = self.language().say(NO_PIN)
                self.show("new", name=name, sure=bool(alike), words=words)
                return
            person, private = _made(name, pin)
        except KitError as error:
            self.told(error)
            return
        self.door.enter(person, private)
        self.redirect(f"/{self.door.key}/wait?person={person.id}", status=303)


class _Wait(_Page):
    """Shown while a workbook starts. The page's end is sent once it runs, and leads on by itself."""

    async def get(self) -> None:
        try:
            person = self.person()
        except KitError as error:
            self.told(error)
            return
        task = self.door.begun.get(person.id)
        if task is None:
            self.redirect(f"/{self.door.key}/")
            return
        about_s = round(self.door.expected_s(person))
        self.write(self.made("wait", person=person, about_s=about_s))
        with suppress(StreamClosedError):  # who does not wait comes back by the first page
            await self.flush()
            await asyncio.wait({task})
            self.finish(self.made("ready", **_end_of(task)))


def _end_of(task: asyncio.Task[str]) -> dict[str, str]:
    failed = task.exception()
    return {"to": "", "words": str(failed)} if failed else {"to": task.result(), "words": ""}


class _Close(_Page):
    def post(self) -> None:
        self.show("closed")
        self.door.closed.set()


def _made(name: str, pin: str) -> tuple[Learner, str]:
    """Return a new person and their open key. A PIN that is refused is refused before anybody is made."""
    if not pin:
        return create(name), ""
    check_new_pin(pin)
    person = set_pin(create(name), pin)
    return person, unlock(person, pin)
