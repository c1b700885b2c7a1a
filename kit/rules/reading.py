"""Reading rule records from TOML, with every field checked at the door."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import cache, lru_cache
from importlib.resources import files
from pathlib import Path
from types import MappingProxyType
from typing import Any

from kit.errors import BadData, UnknownName
from kit.glossary import TERMS
from kit.rules.model import STEPS, HoldRow, LethalityLimit, Profile, Rule, Source

PROFILES = ("ie", "uk", "us-retail", "us-processor", "codex")
"""The profiles that come with the kit."""

FORMS = ("value", "hold", "window", "lethality", "words")
GRADES = ("primary", "copy", "secondary", "memory", "house")
CLOCKS = ("temperature", "door", "chiller")

_KEPT: dict[str, Profile] = {}

_TEXT = ("id", "title", "step", "form", "source", "locator", "grade", "says")
_NUMBERS = ("minimum", "maximum", "minutes", "from_c")
_KILL = ("organism", "ref_c", "z_c", "table_from_c")
_KNOWN = {
    *_TEXT,
    *_NUMBERS,
    *_KILL,
    *("seen", "applies", "quantity", "unit", "rows", "clock", "until", "equal", "example", "note"),
}


def load(profile: str) -> Profile:
    """Return the rules of one profile: ``ie``, ``uk``, ``us-retail``, ``us-processor`` or ``codex``.

    It also answers to a name that ``keep`` was told of, such as that of a kitchen's own rules.

    Which limit counts depends on where the kitchen is: the same fish may meet one country's rule and miss
    another's.

    Raises
    ------
    UnknownName
        If there is no such profile.

    Examples
    --------
    >>> load("us-processor")["us-processor-cook-hold"].minutes
    30.0
    """
    if profile in _KEPT:
        return _KEPT[profile]
    if profile not in PROFILES:
        raise UnknownName("profile", profile, PROFILES)
    return _load(profile)


def keep(name: str, profile: Profile) -> None:
    """Let ``load`` answer to one more name for the rest of this process.

    Whatever draws questions or judges asks for rules by name, and remembers by name. So the name must hold
    the profile's fingerprint: then one name never means two sets of limits.

    Raises
    ------
    BadData
        If the name does not end in the profile's fingerprint.

    Examples
    --------
    >>> profile = load("ie")
    >>> keep(f"k-example@{profile.fingerprint}", profile)
    >>> load(f"k-example@{profile.fingerprint}").title
    'Ireland'
    """
    if not name.endswith(f"@{profile.fingerprint}"):
        raise BadData(name, "the name does not hold the fingerprint of the rules", profile.fingerprint)
    _KEPT[name] = profile


@cache
def _load(profile: str) -> Profile:
    data = _data(profile)
    about = data["profile"]
    rules = list(_rules(data, f"{profile}.toml"))
    for name in about.get("includes", ()):
        rules += _rules(_data(name), f"{name}.toml")
    order = list(STEPS)
    rules.sort(key=lambda rule: (order.index(rule.step), not rule.has_number))
    return Profile(about["id"], about["title"], about["about"], tuple(rules), sources())


@lru_cache(maxsize=1)
def sources() -> Mapping[str, Source]:
    """Return every source that a rule may point to, by its key."""
    data = _data("sources")
    return MappingProxyType({key: Source(key=key, **fields) for key, fields in data.items()})


def _data(name: str) -> dict[str, Any]:
    return tomllib.loads((files("kit.rules") / "data" / f"{name}.toml").read_text("utf-8"))


def read_toml(path: str | Path) -> dict[str, Any]:
    """Return what a TOML file holds, or raise BadData with the place of the fault."""
    path = Path(path)
    try:
        return tomllib.loads(path.read_text("utf-8-sig"))
    except UnicodeDecodeError as error:
        raise BadData(path.name, f"byte {error.start} is not UTF-8", "a text file in UTF-8") from None
    except tomllib.TOMLDecodeError as error:
        raise BadData(path.name, f"not TOML: {error}", "lines such as maximum = 2.5") from None


def _rules(data: Mapping[str, Any], where: str) -> list[Rule]:
    return [rule_from(record, where) for record in data.get("rule", ())]


def rule_from(record: Mapping[str, Any], where: str) -> Rule:
    """Return the rule of one record, or raise BadData naming the record and the field."""
    if not isinstance(record, Mapping):
        raise BadData(where, "a rule is not a table", "[[rule]] and its fields")
    where = f"{where}, rule {record.get('id', '?')!r}"
    for name in _TEXT:
        if not isinstance(record.get(name), str) or not record[name].strip():
            raise BadData(where, f"the field {name!r} is missing or empty", "text in quotes")
    if unknown := set(record) - _KNOWN:
        raise BadData(where, f"unknown field {min(unknown)!r}", f"one of {', '.join(sorted(_KNOWN))}")
    if not isinstance(record.get("seen"), bool):
        raise BadData(where, "the field 'seen' is missing", "true or false")
    for name, known in (("step", STEPS), ("form", FORMS), ("grade", GRADES)):
        if record[name] not in known:
            raise BadData(where, f"{name} is {record[name]!r}", f"one of {', '.join(known)}")
    numbers: dict[str, Any] = {name: _number(record, name, where) for name in _NUMBERS}
    kill = _kill(record, numbers["minimum"], where) if record["form"] == "lethality" else None
    equal = record.get("equal")
    rule = Rule(
        **{name: record[name] for name in _TEXT},
        **numbers,
        seen=record["seen"],
        applies=MappingProxyType(dict(record.get("applies", {}))),
        quantity=record.get("quantity", ""),
        unit=record.get("unit", ""),
        rows=_rows(record.get("rows", ()), where),
        clock=record.get("clock", ""),
        until=record.get("until", "temperature"),
        kill=kill,
        equal=_kill(equal, float(equal["logs"]), f"{where}, equal") if equal else None,
        example=MappingProxyType(dict(record.get("example", {}))),
        note=record.get("note", ""),
    )
    _check_form(rule, where)
    return rule


def _check_form(rule: Rule, where: str) -> None:
    if rule.form == "words":
        return
    if rule.quantity not in TERMS:
        raise BadData(
            where, f"quantity {rule.quantity!r} is not in the glossary", "a name such as core_temp_c"
        )
    if rule.unit != TERMS[rule.quantity].unit:
        raise BadData(where, f"unit {rule.unit!r}", f"{TERMS[rule.quantity].unit!r}, as in the glossary")
    if rule.form == "value" and rule.minimum is None and rule.maximum is None:
        raise BadData(where, "a value without a limit", "minimum or maximum")
    if rule.form == "hold" and not rule.holds:
        raise BadData(
            where, "a hold without temperature and time", "minimum (or maximum) and minutes, or rows"
        )
    if rule.form == "window":
        _check_window(rule, where)


def _check_window(rule: Rule, where: str) -> None:
    if rule.clock not in CLOCKS:
        raise BadData(where, f"clock is {rule.clock!r}", f"one of {', '.join(CLOCKS)}")
    if rule.minutes is None:
        raise BadData(where, "a window without a time", "minutes")
    if rule.until == "temperature" and rule.maximum is None:
        raise BadData(where, "a window without its end", "maximum, the temperature to reach")
    if rule.clock == "temperature" and rule.from_c is None:
        raise BadData(where, "the clock starts at a temperature that is not given", "from_c")


def _number(record: Mapping[str, Any], name: str, where: str) -> float | None:
    value = record.get(name)
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, int | float) or not abs(value) < 1e9:
        raise BadData(where, f"{name} is {value!r}", "a number")
    return float(value)


def _rows(rows: Any, where: str) -> tuple[HoldRow, ...]:
    try:
        return tuple(HoldRow(float(temp_c), float(minutes)) for temp_c, minutes in rows)
    except (TypeError, ValueError):
        raise BadData(where, f"rows is {rows!r}", "pairs such as [[60, 45], [70, 2]]") from None


def _kill(record: Mapping[str, Any], logs: float | None, where: str) -> LethalityLimit:
    missing = [name for name in (*_KILL, "minutes") if name not in record]
    if missing or logs is None:
        raise BadData(
            where, f"{', '.join(missing) or 'minimum'} missing", "organism, ref_c, z_c, minutes and logs"
        )
    numbers = {name: float(record[name]) for name in ("ref_c", "z_c", "minutes", "table_from_c")}
    return LethalityLimit(organism=record["organism"], logs=logs, **numbers)
