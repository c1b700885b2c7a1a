"""A kitchen's own limits on top of a profile: tighter is welcome, looser is refused."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from kit.errors import BadData, UnknownName
from kit.rules.model import HoldRow, Profile, Rule
from kit.rules.reading import PROFILES, load, read_toml, rule_from

_TIGHTEN = ("minimum", "maximum", "minutes", "from_c")


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
    name = Path(path).name
    data = read_toml(path)
    house = data.get("house")
    if not isinstance(house, Mapping) or not isinstance(house.get("on"), str):
        raise BadData(name, "no profile is named", '[house] with on = "ie" (or another profile)')
    if unknown := set(data) - {"house", "tighter", "rule"}:
        raise BadData(name, f"unknown part {min(unknown)!r}", "[house], [[tighter]] and [[rule]]")
    title = str(house.get("title", "House rules"))
    tighter, own = _records(data, "tighter", name), _records(data, "rule", name)
    profile = on_top(house["on"], tighter, own, where=name)
    return replace(profile, title=f"{profile.title}, with {title}", house=title)


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
    for record in tighter:
        _tighten(rules, record, faults)
    for record in own:
        _add(rules, record, faults, where)
    if faults:
        raise BadData(where, "; ".join(faults))
    return replace(base, rules=tuple(rules.values()))


def _records(data: Mapping[str, Any], part: str, name: str) -> list[Mapping[str, Any]]:
    records = data.get(part, [])
    if not isinstance(records, list) or not all(isinstance(record, Mapping) for record in records):
        raise BadData(name, f"{part!r} is not a list of tables", f"[[{part}]]")
    return records


def _add(rules: dict[str, Rule], record: Mapping[str, Any], faults: list[str], name: str) -> None:
    filled = {"source": "house", "locator": name, "seen": True, "grade": "house", **record}
    if not str(record.get("id", "")).startswith("house-"):
        faults.append(f"the rule {record.get('id')!r} must have an id that starts with 'house-'")
    elif record["id"] in rules:
        faults.append(f"the rule {record['id']!r} stands twice")
    else:
        rules[record["id"]] = rule_from(filled, name)


def _tighten(rules: dict[str, Rule], record: Mapping[str, Any], faults: list[str]) -> None:
    rule_id = str(record.get("rule", ""))
    if rule_id not in rules:
        faults.append(str(UnknownName("rule", rule_id, rules)).split(" Known:")[0])
        return
    rule = rules[rule_id]
    changes = {key: value for key, value in record.items() if key not in ("rule", "why")}
    if unknown := set(changes) - {*_TIGHTEN, "rows"}:
        faults.append(f"{rule_id}: {min(unknown)!r} cannot be set; only {', '.join(_TIGHTEN)} and rows can")
        return
    if not rule.has_number:
        faults.append(f"{rule_id} has no number to tighten; write a [[rule]] of your own")
        return
    found = [text for key, value in changes.items() if (text := _fault(rule, key, value))]
    if found or not changes:
        faults.extend(f"{rule_id}: {text}" for text in found or ["nothing is tightened"])
        return
    numbers: dict[str, Any] = {key: float(value) for key, value in changes.items() if key != "rows"}
    if "rows" in changes:
        numbers["rows"] = _rows(changes["rows"])
    tightened = replace(rule, tightened=rule.limit, **numbers)
    if rule.kill is not None and "minimum" in numbers:
        scale = numbers["minimum"] / rule.kill.logs
        kill = replace(rule.kill, logs=numbers["minimum"], minutes=rule.kill.minutes * scale)
        tightened = replace(tightened, kill=kill)
    rules[rule_id] = tightened


def _fault(rule: Rule, key: str, value: Any) -> str:
    """Say in words why this change is not a tighter limit; empty if it is."""
    if key == "rows":
        return _rows_fault(rule, value)
    if isinstance(value, bool) or not isinstance(value, int | float) or not abs(value) < 1e9:
        return f"{key} is {value!r}; it must be a number"
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


def _rows(rows: Any) -> tuple[HoldRow, ...]:
    return tuple(HoldRow(float(temp_c), float(minutes)) for temp_c, minutes in rows)


def _rows_fault(rule: Rule, rows: Any) -> str:
    if not rule.rows:
        return "the rule has no rows to tighten"
    try:
        pairs = _rows(rows)
    except (TypeError, ValueError):
        return f"rows is {rows!r}; it must be pairs such as [[70, 2]]"
    if not pairs:
        return "rows is empty, so nothing could ever meet the rule"
    for pair in pairs:
        if not any(pair.temp_c >= row.temp_c and pair.minutes >= row.minutes for row in rule.rows):
            return f"{pair.words} is looser than every row of the profile"
    return ""
