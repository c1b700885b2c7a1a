"""`smokehouse open`: get somebody's work folder ready and open the workbook on their lesson."""

from __future__ import annotations

import signal
from pathlib import Path
from typing import Any

import click

from kit.basics.errors import BadData, UnknownName
from kit.cli import to_browser
from kit.cli.apprentice import behind_the_door, read_first
from kit.cli.apprentice.people import ask_pin, choose
from kit.cli.apprentice.workbooks import pick, today_page, where_on, workbook_of
from kit.languages import codes
from kit.practice import Learner, create, everyone, find, prepare
from kit.practice.people import near, set_page_language
from kit.views.workbook.server import Workbook, free_port


@click.command()
@click.option("--lesson", type=click.IntRange(0, 99), help="The number of a lesson.")
@click.option("--today", is_flag=True, help="Open Today: a short round of tasks, and where you stand.")
@click.option("--as", "name", metavar="NAME", help="Who works. A new name starts a new answer book.")
@click.option("--door", is_flag=True, help="Ask on a page who works, not in this window.")
@click.option("--language", type=click.Choice(codes()), help="The language of the pages, kept for next time.")
@click.option("--no-browser", is_flag=True, help="Print the address and open no browser.")
@click.option("--port", type=click.IntRange(1, 65535), help="The port to use. Without it: any free one.")
def command(
    lesson: int | None,
    today: bool,
    name: str | None,
    door: bool,
    language: str | None,
    no_browser: bool,
    port: int | None,
) -> None:
    """Open the workbook in the browser.

    It opens on Today; within a day, on the task where you were; for somebody new, on the first lesson.
    Each person has a folder and an answer book of their own. Lessons not there yet are copied;
    nobody's work is overwritten. The page is served on this machine only. Ctrl-C ends it.
    """
    if port is not None:
        free_port(port)  # before anything is asked or written
    if door:
        if name is not None or lesson is not None or today or language is not None:
            raise click.UsageError("--door asks on the page; leave out --as, --lesson, --today, --language.")
        behind_the_door.serve(port, browser=not no_browser)
        return
    person = who(name)
    private = ask_pin(person)
    if language is not None:
        person = set_page_language(person, language)
    prepared = prepare(person)
    for line in prepared.says:
        click.echo(line)
    notebook, task = today_page(prepared.folder) if today else (pick(prepared.folder, lesson), "")
    if lesson is None and not today:
        notebook, task = where_on(person, prepared.folder)
    workbook = workbook_of(person, prepared.folder, port, private=private)
    signal.signal(signal.SIGTERM, _stop)
    _open(person, workbook, prepared.folder / notebook, task, browser=not no_browser)


def _open(person: Learner, workbook: Workbook, notebook: Path, task: str, *, browser: bool) -> None:
    """Show the page to read, start the workbook behind it, and serve until Ctrl-C."""
    about_s = workbook.expected_s
    try:
        click.echo(f"Starting, about {about_s:.0f} s …")
        shown = browser and _read_first(workbook, notebook, task, about_s)
        workbook.start()
        workbook.warm(notebook.name)
        _announce(person, workbook.address(notebook.name, task), silent=shown or not browser)
        _serve(workbook)
    except KeyboardInterrupt:
        click.echo("\nClosing the workbook …")
    finally:
        to_browser.forget(workbook.room)
        workbook.stop()


def who(name: str | None) -> Learner:
    """Return who works: the one named (made if new), the only one, or the one chosen when asked.

    Raises
    ------
    BadData
        If nobody is named and there is nobody to ask.
    """
    if name is not None and not find(name):
        _ask_if_near(name)
        person = create(name)
        click.echo(f"A new answer book was started for {person.name}.")
        return person
    try:
        if name is None and not everyone():
            return create(click.prompt("Your name"))
        return choose(name)
    except click.Abort:
        raise BadData(
            "smokehouse open", "nobody was named", "smokehouse open --as NAME", "No keyboard to ask at?"
        ) from None


def _ask_if_near(name: str) -> None:
    """Ask before a slip of the finger starts a second answer book for somebody."""
    for person in near(name):
        try:
            if not click.confirm(f"{person.name} works here. Are you somebody else?", err=True):
                raise UnknownName("person", name, [person.name])
        except click.Abort:
            raise UnknownName("person", name, [person.name]) from None


def _read_first(workbook: Workbook, notebook: Path, task: str, about_s: float) -> bool:
    """Open the page to read while the workbook starts; return whether there was a browser for it."""
    address = workbook.reserved(notebook.name, task)
    return to_browser.show_page(read_first.page(notebook, address, about_s), workbook.room)


def _announce(person: Learner, address: str, *, silent: bool) -> None:
    click.echo(f"{person.name}: {address}")
    click.echo("Leave this window open while you work. Ctrl-C here ends it.")
    if not silent:
        click.echo("No browser could be opened. Copy the address above into one on this machine.")


def _serve(workbook: Workbook) -> None:
    workbook.wait()
    raise BadData("JupyterLab", f"it ended by itself; see {workbook.log}", "a server until Ctrl-C")


def _stop(_number: int, _frame: Any) -> None:
    raise KeyboardInterrupt
