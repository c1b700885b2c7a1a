"""The lessons as files: their numbers, titles, and the order in which a reader meets their tasks."""

import contextlib
import json
import re
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from kit.basics.errors import BadData
from kit.basics.places import lessons_folder

TODAY_FILE = "today.ipynb"
"""The page that comes first: what to do today."""
_FILE = re.compile(r"(\d\d)_([a-z0-9_]+)\.ipynb")
_TASK = re.compile(r"lesson\.task\(\s*\"([a-z0-9-]+)\"")


@dataclass(frozen=True)
class LessonFile:
    """One lesson: its number, its title with the number before it, its file's name, its tasks in order."""

    number: int
    title: str
    file: str
    tasks: tuple[str, ...]


def lesson_files(*folders: Path) -> tuple[LessonFile, ...]:
    """Return the lessons of the first folder that has any, in order; without one, those of this kit.

    Examples
    --------
    >>> [lesson.number for lesson in lesson_files()][:2]
    [0, 1]
    """
    places = list(folders)
    with contextlib.suppress(BadData):
        places.append(lessons_folder())
    for place in places:
        if found := [path for path in sorted(place.glob("*.ipynb")) if _FILE.fullmatch(path.name)]:
            return tuple(LessonFile(int(path.name[:2]), *_read(path)) for path in found)
    return ()


def in_reading_order(exercises: Iterable[str]) -> tuple[str, ...]:
    """Return exercises as a reader meets them; those in no lesson come last, as they came.

    Examples
    --------
    >>> in_reading_order(("probe-in-the-fillet", "order-of-the-day"))
    ('order-of-the-day', 'probe-in-the-fillet')
    """
    place = {name: n for n, name in enumerate(name for lesson in lesson_files() for name in lesson.tasks)}
    return tuple(sorted(exercises, key=lambda name: place.get(name, len(place))))


def lesson_title(stem: str) -> str:
    """Return a lesson's title from its file name.

    Examples
    --------
    >>> lesson_title("cook_by_temperature")
    'Cook by temperature'
    """
    return stem.replace("_", " ").capitalize()


@cache
def _read(path: Path) -> tuple[str, str, tuple[str, ...]]:
    """Return a lesson's title, file name and tasks. One that cannot be read has its name, and no tasks."""
    number, stem = path.name[:2], path.stem[3:]
    title, code = "", ""
    with contextlib.suppress(OSError, ValueError, KeyError, TypeError, AttributeError):
        book = json.loads(path.read_text(encoding="utf-8"))
        title = str(book.get("metadata", {}).get("title", ""))
        code = "\n".join("".join(cell["source"]) for cell in book["cells"] if cell["cell_type"] == "code")
    return f"{int(number)} · {title or lesson_title(stem)}", path.name, tuple(_TASK.findall(code))
