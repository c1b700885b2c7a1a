"""`smokehouse open`: get somebody's work folder ready and open the workbook on their lesson."""

from __future__ import annotations

import signal
from pathlib import Path
from typing import Any

import click

from kit.basics import places
from kit.basics.errors import BadData, KitError, UnknownName
from kit.cli.apprentice.people import ask_pin, choose
from kit.exercises.catalogue import Catalogue
from kit.files import local_now, read
from kit.practice import PERSON_VARIABLE, Learner, create, everyone, find, prepare
from kit.practice.lesson_files import TODAY_FILE
from kit.practice.today import carry_on
from kit.views.workbook.server import Workbook, free_port


@click.command()
@click.option("--lesson", type=click.IntRange(0, 99), help="The number of a lesson.")
@click.option("--today", is_flag=True, help="Open Today: a short round of tasks, and where you stand.")
@click.option("--as", "name", metavar="NAME", help="Who works. A new name starts a new answer book.")
@click.option("--no-browser", is_flag=True, help="Print the address and open no browser.")
@click.option("--port", type=click.IntRange(1, 65535), help="The port to use. Without it: any free one.")
def command(lesson: int | None, today: bool, name: str | None, no_browser: bool, port: int | None) -> None:
    """Open the workbook in the browser.

    It opens on Today; within a day, on the task where you were; for somebody new, on the first lesson.
    Each person has a folder and an answer book of their own. Lessons not there yet are copied;
    nobody's work is overwritten. The page is served on this machine only. Ctrl-C ends it.
    """
    if port is not None:
        free_port(port)  # before anything is asked or written
    person = who(name)
    ask_pin(person)
    prepared = prepare(person)
    for line in prepared.says:
        click.echo(line)
    notebook, task = _today_page(prepared.folder) if today else (pick(prepared.folder, lesson), "")
    if lesson is None and not today:
        notebook, task = where_on(person, prepared.folder)
    environment = {PERSON_VARIABLE: person.id, places.HOME_VARIABLE: str(places.home())}
    workbook = Workbook(prepared.folder, person.folder / "jupyter", port=port, environment=environment)
    signal.signal(signal.SIGTERM, _stop)
    try:
        workbook.start()
        workbook.warm(notebook)
        _announce(person, workbook.address(notebook, task), browser=not no_browser)
        _serve(workbook)
    except KeyboardInterrupt:
        click.echo("\nClosing the workbook …")
    finally:
        workbook.stop()


def who(name: str | None) -> Learner:
    """Return who works: the one named (made if new), the only one, or the one chosen when asked.

    Raises
    ------
    BadData
        If nobody is named and there is nobody to ask.
    """
    if name is not None and not find(name):
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


def pick(folder: Path, lesson: int | None) -> str:
    """Return the file name of a lesson in a work folder: the one of that number, or the first.

    Raises
    ------
    UnknownName
        If there is no such lesson.
    """
    there = {path.name[:2]: path.name for path in sorted(folder.glob("[0-9][0-9]_*.ipynb"), reverse=True)}
    known = sorted(there)
    if lesson is None and known:
        return there[known[0]]
    wanted = "0" if lesson is None else str(lesson)
    if wanted.zfill(2) not in there:
        raise UnknownName("lesson", wanted, [str(int(number)) for number in known])
    return there[wanted.zfill(2)]


def where_on(person: Learner, folder: Path) -> tuple[str, str]:
    """Return the page that somebody goes on with, and the task on it, where there is one.

    Somebody new begins with the first lesson. Who worked today already goes on at that task; on another day
    Today comes first.
    """
    try:
        entries = read(person.book_path).entries
    except (OSError, KitError):  # no book yet, or one whose fault the page itself tells
        entries = ()
    if not entries:
        return pick(folder, None), ""
    on = carry_on(entries, Catalogue())
    if on is None or entries[-1].day < local_now().date():
        return _today_page(folder)
    try:
        return pick(folder, on.lesson), on.exercise
    except UnknownName:
        return _today_page(folder)


def _today_page(folder: Path) -> tuple[str, str]:
    return (TODAY_FILE if (folder / TODAY_FILE).is_file() else pick(folder, None)), ""


def _announce(person: Learner, address: str, *, browser: bool) -> None:
    import webbrowser

    click.echo(f"{person.name}: {address}")
    click.echo("Leave this window open while you work. Ctrl-C here ends it.")
    if browser and not webbrowser.open(address):
        click.echo("No browser could be opened. Copy the address above into one on this machine.")


def _serve(workbook: Workbook) -> None:
    workbook.wait()
    raise BadData("JupyterLab", f"it ended by itself; see {workbook.log}", "a server until Ctrl-C")


def _stop(_number: int, _frame: Any) -> None:
    raise KeyboardInterrupt
