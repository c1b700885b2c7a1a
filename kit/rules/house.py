"""A kitchen's own limits on top of a profile: tighter is welcome, looser is refused."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from kit.basics.data_files import Number, Text, build, toml_of
from kit.basics.errors import BadData, KitError, UnknownName
from kit.basics.given_files import read_given
from kit.rules.loading import PROFILES, load, rule_from
from kit.rules.model import HoldRow, HoldRows, Rule
from kit.rules.points import POINTS
from kit.rules.profile import Profile
from kit.rules.purposes import OF_STEP

LARGEST_BYTES = 1024 * 1024
_TIGHTEN = ("minimum", "maximum", "minutes", "from_c", "rows")


@dataclass(frozen=True)
class HouseHead:
    """The head of a house file: the profile it is made for, and the kitchen's name."""

    on: Text
    title: str = "House rules"


@dataclass(frozen=True)
class HouseFile:
    """What a house file holds: its head, the limits that it tightens, and rules of its own."""

    house: HouseHead
    tighter: tuple[dict[str, Any], ...] = ()
    rule: tuple[dict[str, Any], ...] = ()


@dataclass(frozen=True)
class TighterLimit:
    """A record that tightens one rule: the limits that change, and why."""

    rule: str
    why: str = ""
    minimum: Number | None = None
    maximum: Number | None = None
    minutes: Number | None = None
    from_c: Number | None = None
    rows: HoldRows | None = None


def read_house(path: str | Path) -> HouseFile:
    """Return what a house file holds, before its limits are compared with those of its profile.

    Raises
    ------
    BadData
        If it is not a house file.
    """
    name = Path(path).name
    return build(HouseFile, toml_of(read_given(path, "a house file", LARGEST_BYTES), name), name)


def load_house(path: str | Path) -> Profile:
    """Return a profile with the limits of a house file on top.

    A house file names its profile and tightens some of its rules::

        [house]
        title = "Harbour Lane"
        on = "ie"

        [[tighter]]
        rule = "ie-store-3"
        maximum = 2.5
        why = "The chiller door opens all day."

    It may also hold ``[[rule]]`` records of its own, whose ids start with ``house-``. It cannot take a rule
    away.

    Raises
    ------
    BadData
        If the file is not a house file, a rule is unknown, or a limit is looser than its profile's. One
        message tells all faults.
    """
    file = read_house(path)
    profile = on_top(file.house.on, file.tighter, file.rule, where=Path(path).name)
    return replace(profile, title=f"{profile.title}, with {file.house.title}", house=file.house.title)


def on_top(
    on: str, tighter: Sequence[Mapping[str, Any]], own: Sequence[Mapping[str, Any]] = (), *, where: str
) -> Profile:
    """Return a profile with tighter limits, and rules of a kitchen's own, on top.

    Parameters
    ----------
    on : str
        The profile's id, such as ``ie``.
    tighter : sequence of mappings
        Records as ``[[tighter]]`` in a house file: ``rule``, and the limits that change.
    own : sequence of mappings
        Records as ``[[rule]]``, whose ids start with ``house-``.
    where : str
        The file, for messages.

    Raises
    ------
    BadData
        If the profile or a rule is unknown, or a limit is looser. One message tells all faults.

    Examples
    --------
    >>> on_top("ie", [{"rule": "ie-store-3", "maximum": 2.5}], where="here")["ie-store-3"].maximum
    2.5
    """
    if on not in PROFILES:
        raise BadData(where, str(UnknownName("profile", on, PROFILES)))
    base = load(on)
    rules = {rule.id: rule for rule in base.rules}
    faults: list[str] = []
    for change, records in ((_tighten, tighter), (_add, own)):
        for record in records:
            try:
                change(rules, record, where)
            except KitError as error:
                faults.append(str(error).split(" Known:")[0].rstrip("."))
    if faults:
        raise BadData(where, "; ".join(faults))
    return replace(base, rules=tuple(rules.values()), base=base)


def _add(rules: dict[str, Rule], record: Mapping[str, Any], where: str) -> None:
    name = str(record.get("id", ""))
    if not name.startswith("house-"):
        raise BadData(f"the rule {name!r}", "its id must be one that starts with 'house-'")
    if name in rules:
        raise BadData(f"the rule {name!r}", "it stands twice")
    filled = {"source": "house", "locator": where, "seen": True, "grade": "house", **record}
    rule = rule_from(filled, "")
    rules[name] = replace(
        rule, point=rule.point or _points_of(rule), purpose=rule.purpose or OF_STEP[rule.step]
    )


def _points_of(rule: Rule) -> tuple[str, ...]:
    """Return the point that a house rule answers, by what it is about: older house files name none."""
    return tuple(
        name
        for name, point in POINTS.items()
        if (rule.step, rule.form) == (point.step, point.form) and rule.quantity in point.quantities
    )


def _tighten(rules: dict[str, Rule], record: Mapping[str, Any], where: str) -> None:
    told = build(TighterLimit, dict(record), str(record.get("rule", where)))
    rule = rules.get(told.rule)
    if rule is None:
        raise UnknownName("rule", told.rule, rules)
    changes = {name: value for name in _TIGHTEN if (value := getattr(told, name)) is not None}
    if not rule.has_number:
        raise BadData(rule.id, "it has no number to tighten; write a [[rule]] of your own")
    found = [text for name, value in changes.items() if (text := _fault(rule, name, value))]
    if found or not changes:
        raise BadData(rule.id, "; ".join(found) or "nothing is tightened")
    tightened = replace(rule, tightened=rule.limit, **changes)
    if rule.kill is not None and told.minimum is not None:
        scale = told.minimum / rule.kill.logs
        kill = replace(rule.kill, logs=told.minimum, minutes=rule.kill.minutes * scale)
        tightened = replace(tightened, kill=kill)
    rules[rule.id] = tightened


def _fault(rule: Rule, key: str, value: Any) -> str:
    """Say in words why this change is not a tighter limit; empty if it is."""
    if key == "rows":
        return _rows_fault(rule, value)
    before = getattr(rule, key)
    if before is None:
        if rule.form == "value" and key in ("minimum", "maximum"):
            return _crossed(rule, key, value)
        return f"the rule has no {key} to tighten"
    if rule.form == "lethality" and key == "minutes":
        return "minutes belong to the formula; tighten minimum, the logs"
    upward = key in ("minimum", "from_c") or (key == "minutes" and rule.form == "hold")
    if (value < before) if upward else (value > before):
        return (
            f"{key} {value:g} is looser than the profile's {before:g} (source {rule.source}, {rule.locator})"
        )
    return _crossed(rule, key, value)


def _crossed(rule: Rule, key: str, value: float) -> str:
    low = value if key == "minimum" else rule.minimum
    high = value if key == "maximum" else rule.maximum
    if rule.form == "value" and low is not None and high is not None and low > high:
        return f"no number lies from {low:g} to {high:g}"
    return ""


def _rows_fault(rule: Rule, rows: tuple[HoldRow, ...]) -> str:
    if not rule.rows:
        return "the rule has no rows to tighten"
    if not rows:
        return "rows is empty, so nothing could ever meet the rule"
    for pair in rows:
        if not any(pair.temp_c >= row.temp_c and pair.minutes >= row.minutes for row in rule.rows):
            return f"{pair.words} is looser than every row of the profile"
    return ""
