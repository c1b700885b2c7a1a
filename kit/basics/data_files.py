"""Reading TOML and JSON: one way for every file, each value checked at the door and each fault said.

``toml_of`` and ``json_of`` turn bytes into plain data and refuse what no file of ours holds. ``build`` turns
plain data into a dataclass by its annotations: nothing missing, nothing unknown, nothing of the wrong sort.
All faults come in one message.
"""

import json
import tomllib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import MISSING, fields, is_dataclass
from datetime import UTC, date, datetime
from difflib import get_close_matches
from functools import cache
from types import NoneType, UnionType
from typing import Annotated, Any, Literal, NamedTuple, TypeVar, Union, get_args, get_origin, get_type_hints

import msgspec
from msgspec import Meta

from kit.basics.errors import BadData

T = TypeVar("T")
Text = Annotated[str, Meta(pattern=r"\S", description="text in quotes")]
Number = Annotated[float, Meta(gt=-1e9, lt=1e9, description="a number")]
Moment = Annotated[
    datetime, Meta(tz=True, description="a time with its zone, such as 2026-03-02T09:15:00+00:00")
]

_REFUSED = (ValueError, RecursionError)
_LONGEST_SHOWN, _MOST_SAID = 60, 8
_CUT = "Was it cut short or edited?"
_UNIONS, _LISTS, _TABLES = (UnionType, Union), (tuple, list, Sequence), (dict, Mapping)
_PLAIN: dict[Any, str] = {
    str: "text in quotes",
    int: "a whole number",
    float: "a number",
    bool: "true or false",
    date: "a date such as 2026-03-02",
    datetime: "a time such as 2026-03-02T09:15:00",
}


def toml_of(data: bytes, where: str, what: str = "TOML") -> dict[str, Any]:
    """Return what the bytes of a TOML file hold. ``what`` says in a message what it is not.

    Raises
    ------
    BadData
        If it is not text in TOML, or holds what JSON could not: a bare date, no number, an endless nest.

    Examples
    --------
    >>> toml_of(b"maximum = 2.5", "house.toml")
    {'maximum': 2.5}
    >>> toml_of(b"maximum 2.5", "house.toml")
    Traceback (most recent call last):
    ...
    kit.basics.errors.BadData: house.toml: this is not TOML: Expected '=' after a key in a key/value pair (at
    line 1, column 9). Expected: lines such as maximum = 2.5. Was it cut short or edited?
    """
    try:
        facts = tomllib.loads(data.decode("utf-8-sig"))
    except UnicodeDecodeError as error:
        raise BadData(where, f"byte {error.start} is not UTF-8", "a text file in UTF-8") from None
    except (ValueError, RecursionError) as error:
        raise BadData(where, f"this is not {what}: {error}", "lines such as maximum = 2.5", _CUT) from None
    try:
        json.dumps(facts, allow_nan=False)
    except (ValueError, TypeError, RecursionError):
        problem = "it holds a value that such a file cannot hold"
        raise BadData(where, problem, "text, numbers, true or false, and lists of them") from None
    return facts


def json_of(data: bytes | str, where: str, what: str = "a whole object of JSON") -> dict[str, Any]:
    """Return what a JSON object holds. ``what`` says in a message what it is not.

    Raises
    ------
    BadData
        If it is no JSON object, or holds a name twice, no number, half a character or an endless nest.

    Examples
    --------
    >>> json_of(b'{"n": 1}', "line 2")
    {'n': 1}
    >>> json_of(b'{"n": 1, "n": 2}', "line 2")
    Traceback (most recent call last):
    ...
    kit.basics.errors.BadData: line 2: 'n' stands twice. Expected: each name once.
    """
    try:
        facts = msgspec.json.decode(data)
        json.loads(data, object_pairs_hook=_once)
    except _Twice as error:
        raise BadData(where, f"{_shown(error.args[0])} stands twice", "each name once") from None
    except _REFUSED:
        facts = None
    if not isinstance(facts, dict):
        raise BadData(where, f"this is not {what}", "the file as it was written", _CUT)
    return facts


def shipped(package: str, name: str, kind: type[T]) -> T:
    """Return what a TOML file that came with the kit holds, built by ``build``.

    Examples
    --------
    >>> list(shipped("kit.basics", "terms.toml", dict[str, Any]))
    ['word']
    """
    from importlib.resources import files

    return build(kind, toml_of((files(package) / name).read_bytes(), name), name)


def build(kind: type[T], facts: object, where: str, *, more: bool = False) -> T:
    """Return plain data as a dataclass, or as a list or table of them, by its annotations.

    Parameters
    ----------
    kind : type
        What it is to be.
    facts : object
        Plain data.
    where : str
        The file, for messages.
    more : bool
        Pass over names that a dataclass does not know.

    Raises
    ------
    BadData
        If it is not so. One message tells all faults.

    Examples
    --------
    >>> build(dict[str, Number], {"maximum": 2, "minimum": 0.5}, "house.toml")
    {'maximum': 2.0, 'minimum': 0.5}
    >>> build(dict[str, Number], {"maximum": 2, "minimum": "cold"}, "house.toml")
    Traceback (most recent call last):
    ...
    kit.basics.errors.BadData: house.toml: minimum is 'cold'. Expected: a number.
    """
    try:
        made = msgspec.convert(facts, kind)
        found = [] if more else [*_faults(kind, facts, more, ())]
    except _REFUSED as error:
        found = [*_faults(kind, facts, more, ())] or [_Fault((), str(error), "", "")]
    if not found:
        return made
    if len(found) == 1:
        path, *said = found[0]
        raise BadData(", ".join((where, *path)), *said)
    more_than_said = [f"and {len(found) - _MOST_SAID} more"] if len(found) > _MOST_SAID else []
    raise BadData(where, "; ".join([*map(_in_a_row, found[:_MOST_SAID]), *more_than_said]))


def in_utc(moment: datetime) -> datetime:
    """Return a moment with a zone in UTC.

    Raises
    ------
    ValueError
        If that is before the year 1 or after 9999.
    """
    try:
        return moment.astimezone(UTC)
    except OverflowError:
        raise ValueError(f"{moment} is not a time that UTC knows") from None


class _Fault(NamedTuple):
    path: tuple[str, ...]
    problem: str
    expected: str
    likely_cause: str


class _Twice(ValueError):
    """A name stands twice in one object."""


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    facts = dict(pairs)
    if len(facts) < len(pairs):
        names = [name for name, _ in pairs]
        raise _Twice(next(name for name in names if names.count(name) > 1))
    return facts


def _in_a_row(fault: _Fault) -> str:
    place = f"{', '.join(fault.path)}: " if fault.path else ""
    expected = f" (expected: {fault.expected})" if fault.expected else ""
    return f"{place}{fault.problem}{expected}"


def _faults(kind: Any, value: object, more: bool, path: tuple[str, ...], name: str = "") -> Iterator[_Fault]:
    """Yield all that keeps a value from being of a kind. ``name`` is its own, ``path`` that of its table."""
    origin, inner = get_origin(kind), [each for each in get_args(kind) if each not in (NoneType, Ellipsis)]
    below = (*path, name) if name else path
    if origin in _UNIONS and len(inner) == 1 and value is not None:
        yield from _faults(inner[0], value, more, path, name)
    elif is_dataclass(kind) and isinstance(value, dict):
        yield from _faults_in_table(kind, value, more, below)
    elif origin in _LISTS and len(inner) == 1 and isinstance(value, list | tuple):
        for place, each in enumerate(value, start=1):
            yield from _faults(inner[0], each, more, path, f"{name} {_label(each, place)}".strip())
    elif origin in _TABLES and isinstance(value, dict):
        for key, each in value.items():
            yield from _faults(inner[1], each, more, below, str(key))
    else:
        try:
            msgspec.convert(value, kind)
        except _REFUSED:
            near = _near(value, inner) if origin is Literal else ""
            yield _Fault(path, f"{name or 'it'} is {_shown(value)}", _allowed(kind), near)


def _faults_in_table(kind: Any, facts: dict[str, Any], more: bool, path: tuple[str, ...]) -> Iterator[_Fault]:
    known = {each.name: each for each in fields(kind) if each.init}
    for name, about in known.items():
        hint = _hints(kind)[name]
        if name in facts:
            yield from _faults(hint, facts[name], more, path, name)
        elif about.default is about.default_factory is MISSING:
            yield _Fault(path, f"{name!r} is missing", _allowed(hint), "")
    for name in () if more else sorted(set(facts) - set(known)):
        yield _Fault(path, f"unknown name {_shown(name)}", f"one of {', '.join(known)}", _near(name, known))


def _near(value: object, known: Iterable[Any]) -> str:
    near = get_close_matches(str(value), map(str, known), n=1)
    return f"Did you mean {near[0]!r}?" if near else ""


@cache
def _hints(kind: Any) -> dict[str, Any]:
    return get_type_hints(kind, include_extras=True)


def _label(record: object, place: int) -> str:
    """Return what a record in a list is called: its id if it has one, else its place."""
    found = record.get("id", record.get("rule")) if isinstance(record, dict) else None
    return str(place) if found is None else _shown(found)


def _shown(value: object) -> str:
    text = repr(value)
    return text if len(text) <= _LONGEST_SHOWN else f"{text[: _LONGEST_SHOWN - 1]}…"


def _allowed(kind: Any) -> str:
    """Return in words what a value of a kind looks like."""
    origin, inner = get_origin(kind), get_args(kind)
    if origin is Annotated:
        said = (each.description for each in inner[1:] if isinstance(each, Meta))
        return next((each for each in said if each), _allowed(inner[0]))
    if origin is Literal:
        return f"one of {', '.join(map(str, inner))}"
    if origin in _UNIONS:
        return " or ".join(_allowed(each) for each in inner if each is not NoneType)
    if origin in _LISTS:
        each = _allowed(inner[0])
        return "a list of tables" if each.startswith("a table") else f"a list; each: {each}"
    if is_dataclass(kind):
        return f"a table with {', '.join(each.name for each in fields(kind) if each.init)}"
    if isinstance(kind, type) and issubclass(kind, tuple):
        return f"a list of {', '.join(kind.__annotations__)}"
    return _PLAIN.get(kind, "a table of names and values")
