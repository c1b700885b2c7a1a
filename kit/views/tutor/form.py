"""What a form of the desk is made of: its fields, and the proposal that comes of it. No widgets here."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any, Literal

from kit.basics.errors import BadData
from kit.records.ledger.acts import Act
from kit.records.people.staff import Hand

Kind = Literal["text", "long", "date", "time", "pick", "one", "tick", "big", "photo", "file", "secret"]


@dataclass(frozen=True)
class Field:
    """One field: its name, its label, what kind it is, what may be chosen, and what stands there first.

    ``small`` stands beside the label. A field with ``asked_of`` shows only once a reading contradicts that
    criterion.
    """

    name: str
    label: str
    kind: Kind
    options: tuple[tuple[str, str], ...] = ()
    value: Any = ""
    group: str = ""
    small: str = ""
    asked_of: str = ""


@dataclass(frozen=True)
class Form:
    """What a form asks, and about whom and what. One that is not ``signed`` records no act of a person.

    One that ``keeps`` nothing only works something out, to take along.
    """

    sort: str
    title: str
    about: tuple[tuple[str, str], ...]
    fields: tuple[Field, ...]
    person: str
    facts: Mapping[str, Any] = field(default_factory=dict)
    signed: bool = True
    keeps: bool = True


@dataclass(frozen=True)
class Done:
    """What came of a form: the acts, what else is to be said, and a file to take along, by its name."""

    acts: tuple[Act, ...] = ()
    says: str = ""
    file: tuple[str, bytes] | None = None


def done_of(made: "Act | tuple[Act, ...] | Done") -> Done:
    """Return what came of a form, whatever shape its call gave it."""
    if isinstance(made, Done):
        return made
    return Done(made if isinstance(made, tuple) else (made,))


@dataclass(frozen=True)
class Proposal:
    """What will be recorded, line by line, and the call that records it: one act, or several at once."""

    lines: tuple[tuple[str, str], ...]
    record: Callable[[Hand], Act | tuple[Act, ...] | Done]


def number_of(label: str, typed: str) -> float | None:
    """Return a number as somebody typed it, with a point or a comma; None if nothing is typed.

    Examples
    --------
    >>> number_of("Core temperature", "72,4")
    72.4
    """
    tidy = typed.strip().replace(",", ".")
    if not tidy:
        return None
    try:
        return float(tidy)
    except ValueError:
        raise BadData(label, f"{typed.strip()!r} is no number", "a number such as 72.4") from None


def day_of(value: Any) -> date:
    """Return a day, or say in words that none is chosen."""
    if not isinstance(value, date):
        raise BadData("the day", "none is chosen", "a day such as 2026-03-02")
    return value
