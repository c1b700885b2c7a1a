"""Teaching pictures: what each is called, what it says in words, and the tasks that it stands before."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from kit.basics.errors import UnknownName
from kit.views.pictures.pen import Pen
from kit.views.pictures.register import Drawing, picture, picture_names

DrawTeaching = Callable[[Pen], None]


@dataclass(frozen=True)
class Teaching:
    """A picture to look at before a task: its name, its title, and the exercises that it stands before."""

    name: str
    title: str
    before: tuple[str, ...]


_TEACHING: dict[str, Teaching] = {}


@cache
def _about() -> dict[str, dict[str, str]]:
    return tomllib.loads(Path(__file__).with_suffix(".toml").read_text(encoding="utf-8"))


def teaching(name: str, tall: int) -> Callable[[DrawTeaching], DrawTeaching]:
    """Declare the function below as a teaching picture, drawn with one pen on a canvas ``tall`` down.

    ``teaching.toml`` holds its title, the exercises it stands before, and its words for who does not see it.

    Raises
    ------
    UnknownName
        If the file says nothing about it.
    """
    if name not in _about():
        raise UnknownName("teaching picture in teaching.toml", name, _about())
    about = _about()[name]

    def declare(draw: DrawTeaching) -> DrawTeaching:
        def drawn(_data: Mapping[str, Any]) -> Drawing:
            pen = Pen(tall)
            draw(pen)
            return Drawing(pen.svg(about["words"]), about["words"])

        drawn.__module__ = draw.__module__
        picture(name)(drawn)
        _TEACHING[name] = Teaching(name, about["title"], tuple(about["before"].split()))
        return draw

    return declare


def teaching_pictures() -> tuple[Teaching, ...]:
    """Return every teaching picture, in the order of its declaration.

    Examples
    --------
    >>> "pin-bone-line" in {one.name for one in teaching_pictures()}
    True
    """
    picture_names()
    return tuple(_TEACHING.values())


def pictures_before(exercise: str) -> tuple[Teaching, ...]:
    """Return the pictures to look at before a task.

    Examples
    --------
    >>> [one.name for one in pictures_before("where-the-bones-sit")]
    ['fillet-parts', 'pin-bone-line']
    """
    return tuple(one for one in teaching_pictures() if exercise in one.before)
