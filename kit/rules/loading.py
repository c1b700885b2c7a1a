"""Reading rule records from TOML, with every field checked at the door."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from types import MappingProxyType
from typing import Any

from kit.basics.data_files import Text, build, shipped
from kit.basics.errors import BadData, UnknownName
from kit.basics.quantities import TERMS
from kit.rules.model import STEPS, Profile, Rule, Source

PROFILES = ("ie", "uk", "us-retail", "us-processor", "codex")
"""The profiles that come with the kit."""

_KEPT: dict[str, Profile] = {}

_KILL = {"organism": "organism", "logs": "minimum", "minutes": "minutes"} | {
    name: name for name in ("ref_c", "z_c", "table_from_c")
}
_OURS = ("kill", "tightened")  # worked out here, never read


@dataclass(frozen=True)
class ProfileHead:
    """The head of a profile's file. ``includes`` names files with further rules."""

    id: Text
    title: Text
    about: Text
    includes: tuple[str, ...] = ()


@dataclass(frozen=True)
class RulesFile:
    """A file of rules: those of a profile, or those that several profiles include."""

    profile: ProfileHead | None = None
    rule: tuple[dict[str, Any], ...] = ()


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
    files = [_file(profile)]
    about = files[0].profile
    assert about is not None, f"{profile}.toml has no [profile]"
    files += [_file(name) for name in about.includes]
    names = (profile, *about.includes)
    told = zip(names, files, strict=True)
    rules = [rule_from(record, f"{name}.toml") for name, file in told for record in file.rule]
    order = list(STEPS)
    rules.sort(key=lambda rule: (order.index(rule.step), not rule.has_number))
    return Profile(about.id, about.title, about.about, tuple(rules), sources())


def _file(name: str) -> RulesFile:
    return shipped("kit.rules", f"data/{name}.toml", RulesFile)


@lru_cache(maxsize=1)
def sources() -> Mapping[str, Source]:
    """Return every source that a rule may point to, by its key."""
    told = shipped("kit.rules", "data/sources.toml", dict[str, dict[str, Any]])
    found = build(list[Source], [{"key": key, **each} for key, each in told.items()], "sources.toml")
    return MappingProxyType({source.key: source for source in found})


def rule_from(record: Mapping[str, Any], where: str) -> Rule:
    """Return the rule of one record, or raise BadData naming the record and every field that is wrong."""
    where = f"{where}, rule {record.get('id', '?')!r:.60}".removeprefix(", ")
    if ours := [name for name in _OURS if name in record]:
        raise BadData(where, f"unknown name {ours[0]!r}")
    facts = dict(record)
    if facts.get("form") == "lethality":
        facts["kill"] = {name: facts[there] for name, there in _KILL.items() if there in facts}
        facts = {name: value for name, value in facts.items() if name not in _KILL or name == "minutes"}
    rule = build(Rule, facts, where)
    _check_form(rule, where)
    return rule


def _check_form(rule: Rule, where: str) -> None:
    if rule.step not in STEPS:
        raise BadData(where, f"step is {rule.step!r}", f"one of {', '.join(STEPS)}")
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
    if not rule.clock:
        raise BadData(where, "a window without a clock", "clock = temperature, door or chiller")
    if rule.minutes is None:
        raise BadData(where, "a window without a time", "minutes")
    if rule.until == "temperature" and rule.maximum is None:
        raise BadData(where, "a window without its end", "maximum, the temperature to reach")
    if rule.clock == "temperature" and rule.from_c is None:
        raise BadData(where, "the clock starts at a temperature that is not given", "from_c")
