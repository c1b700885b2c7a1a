"""What an author writes of a choice, an order or a match: as text, with what to say to who goes wrong."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from kit.basics.errors import BadData
from kit.marking.draw import Draw


@dataclass(frozen=True)
class AuthoredOption:
    """One option as an author writes it; made by :func:`option`."""

    text: str
    right: bool
    says: str
    name: str
    safety: bool


def option(
    text: str, *, right: bool = False, says: str = "", name: str = "", safety: bool = False
) -> AuthoredOption:
    """Return an option of a choice: :func:`right` or :func:`wrong`, where that was drawn.

    Parameters
    ----------
    text : str
        What the apprentice reads.
    right : bool
        Whether it belongs to the right answer.
    says : str
        For a wrong option: why it is wrong (needed). For a right one of several: why it belongs, shown to
        who leaves it out.
    name : str
        The slip's name, for the tutor's statistics; the text if not given. Give one if the text holds drawn
        numbers.
    safety : bool
        A safety conclusion (several only): a right one left out, or a wrong one picked, scores 0.

    Raises
    ------
    BadData
        If a wrong option does not say why.
    """
    if not right and not says.strip():
        raise BadData(f"option {text!r}", "a wrong option does not say why it is wrong", "says=…")
    return AuthoredOption(text, right, says, name or text, safety)


def right(text: str, says: str = "", *, name: str = "", safety: bool = False) -> AuthoredOption:
    """Return an option that belongs to the right answer; see :func:`option`."""
    return option(text, right=True, says=says, name=name, safety=safety)


def wrong(text: str, says: str, *, name: str = "", safety: bool = False) -> AuthoredOption:
    """Return an option that does not belong, with the reason why; see :func:`option`."""
    return option(text, says=says, name=name, safety=safety)


def some(
    draw: Draw, options: Sequence[AuthoredOption], rights: int, wrongs: int, *, never: bool = False
) -> list[AuthoredOption]:
    """Return so many right options of a list, and so many wrong ones. With ``never`` a wrong one scores 0.

    Examples
    --------
    >>> [each.text for each in some(Draw(1), [right("cold"), right("clean"), wrong("warm", "Germs.")], 1, 1)]
    ['cold', 'warm']
    """
    found = draw.sample([each for each in options if each.right], rights)
    others = draw.sample([each for each in options if not each.right], wrongs)
    return found + ([replace(each, safety=True) for each in others] if never else others)


@dataclass(frozen=True)
class Turned:
    """A slip in an order: ``early`` was put before ``late`` though it comes after it. Both as text."""

    early: str
    late: str
    says: str
    safety: bool = False
    name: str = ""


@dataclass(frozen=True)
class Joined:
    """A slip in a match: ``left`` joined with the wrong ``right``. Both as text."""

    left: str
    right: str
    says: str
    name: str = ""
