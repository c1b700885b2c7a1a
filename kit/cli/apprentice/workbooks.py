"""Which page somebody goes on with, and the workbook that shows it."""

from __future__ import annotations

from pathlib import Path

from kit.basics import places
from kit.basics.errors import KitError, UnknownName
from kit.exercises.catalogue import Catalogue
from kit.files import local_now, read
from kit.practice import DOOR_VARIABLE, PERSON_VARIABLE, Learner
from kit.practice.lesson_files import TODAY_FILE
from kit.practice.lesson_session import KEY_VARIABLE
from kit.practice.today import carry_on
from kit.views.workbook.server import Workbook


def workbook_of(
    person: Learner, folder: Path, port: int | None = None, door: str = "", private: str = ""
) -> Workbook:
    """Return a workbook of a person, not yet started.

    ``door`` is the address of the page that asks who; ``private`` the open key of somebody with a PIN.
    """
    environment = {PERSON_VARIABLE: person.id, places.HOME_VARIABLE: str(places.home())}
    if private:
        environment[KEY_VARIABLE] = private
    if door:
        environment[DOOR_VARIABLE] = door
    return Workbook(folder, person.folder / "jupyter", port=port, environment=environment)


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
    if all(entry.what == "key" for entry in entries):
        return pick(folder, None), ""
    on = carry_on(entries, Catalogue())
    if on is None or entries[-1].day < local_now().date():
        return today_page(folder)
    try:
        return pick(folder, on.lesson), on.exercise
    except UnknownName:
        return today_page(folder)


def today_page(folder: Path) -> tuple[str, str]:
    """Return the page Today of a work folder; the first lesson where there is none."""
    return (TODAY_FILE if (folder / TODAY_FILE).is_file() else pick(folder, None)), ""
