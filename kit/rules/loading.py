"""Reading rule records from TOML, with every field checked at the door."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import Any

from kit.basics.data_files import Text, build, shipped, toml_of
from kit.basics.errors import BadData, UnknownName
from kit.basics.quantities import TERMS
from kit.rules.model import Rule, Source
from kit.rules.points import POINTS, STEPS
from kit.rules.profile import Profile
from kit.rules.purposes import PURPOSES

DATA = files("kit.rules") / "data"
PROFILES = tuple(
    sorted(
        file.name.removesuffix(".toml")
        for file in (DATA / "profiles").iterdir()
        if file.name.endswith(".toml")
    )
)
"""The profiles that come with the kit: one file each."""
DEFAULT = "ie"
"""The profile where nobody chose one."""

_NEEDED = ("cook", "chill", "store", "life")
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
    """A file of rules: those of a profile, or those that several include; with sources of its own."""

    profile: ProfileHead | None = None
    rule: tuple[dict[str, Any], ...] = ()
    source: dict[str, dict[str, Any]] = field(default_factory=dict)


@cache
def load(profile: str = DEFAULT) -> Profile:
    """Return the rules of one profile, by its name in ``PROFILES``.

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
    if profile not in PROFILES:
        raise UnknownName("profile", profile, PROFILES)
    return profile_from(profile, (DATA / "profiles" / f"{profile}.toml").read_bytes())


def profile_from(name: str, data: bytes) -> Profile:
    """Return the profile that a file holds: its own rules and sources, and those of the files it includes.

    Raises
    ------
    BadData
        If it is no such file, a rule or a source is wrong, or no rule answers a point that every kitchen
        needs. One message tells all faults of one record.
    """
    where = f"{name}.toml"
    file = build(RulesFile, toml_of(data, where), where)
    head = file.profile
    if head is None or head.id != name:
        raise BadData(where, f"it is not the profile {name!r}", f'[profile] with id = "{name}"')
    shared = {f"{each}.toml": shipped("kit.rules", f"data/{each}.toml", RulesFile) for each in head.includes}
    parts = {where: file, **shared}
    rules = [_named(record, each) for each, part in parts.items() for record in part.rule]
    order = list(STEPS)
    rules.sort(key=lambda rule: (order.index(rule.step), not rule.has_number))
    known = MappingProxyType({**_shared_sources(), **_sources(file.source, where)})
    found = Profile(head.id, head.title, head.about, tuple(rules), known)
    _check_profile(found, where)
    return found


def _named(record: Mapping[str, Any], where: str) -> Rule:
    """Return the rule of a profile's record: it must say what it proves, and for which pack."""
    rule = rule_from(record, where)
    for name, allowed in (("purpose", ", ".join(PURPOSES)), ("pack", 'a list of packs, or "any"')):
        if name not in record:
            raise BadData(f"{where}, rule {rule.id!r}", f"it names no {name}", allowed)
    return rule


def _check_profile(profile: Profile, where: str) -> None:
    """Check that its sources are listed, and that every kitchen under it knows where it stands."""
    ids = Counter(rule.id for rule in profile)
    faults = [f"the rule {name!r} stands twice" for name, times in ids.items() if times > 1]
    faults += [
        f"the source {rule.source!r} of the rule {rule.id!r} is not listed"
        for rule in profile
        if rule.source not in profile.sources
    ]
    faults += [
        f"the rule {rule.id!r} was replaced by {rule.replaced_by!r}, which does not stand here"
        for rule in profile
        if rule.replaced_by and rule.replaced_by not in ids
    ]
    faults += [f"no rule has point = {point!r}" for point in _NEEDED if not profile.answering(point)]
    if not any(rule.has_number for rule in profile.answering("store")):
        faults.append("no rule with a number has point = 'store'")
    if faults:
        what = f"a rule for each of {', '.join(_NEEDED)}, in words where there is no number"
        raise BadData(where, "; ".join(faults), what)


@cache
def sources() -> Mapping[str, Source]:
    """Return every source that a rule may point to, by its key."""
    return MappingProxyType({key: one for name in PROFILES for key, one in load(name).sources.items()})


def sources_named(text: str) -> tuple[Source, ...]:
    """Return the sources that a text names by their titles, the longest title first.

    A title that two sources share, such as two editions of one book, names neither.

    Examples
    --------
    >>> [each.key for each in sources_named("Source: EH40/2005 Workplace exposure limits, Health and Safety")]
    ['uk-eh40-2020']
    """
    return tuple(each for each in _by_title() if each.title in text)


@cache
def _by_title() -> tuple[Source, ...]:
    known = [each for each in sources().values() if each.key != "house"]
    titles = [each.title for each in known]
    alone = [each for each in known if titles.count(each.title) == 1]
    return tuple(sorted(alone, key=lambda each: -len(each.title)))


@cache
def _shared_sources() -> Mapping[str, Source]:
    return _sources(shipped("kit.rules", "data/sources.toml", dict[str, dict[str, Any]]), "sources.toml")


def _sources(told: Mapping[str, dict[str, Any]], where: str) -> dict[str, Source]:
    found = build(list[Source], [{"key": key, **each} for key, each in told.items()], where)
    return {source.key: source for source in found}


def rule_from(record: Mapping[str, Any], where: str) -> Rule:
    """Return the rule of one record, or raise BadData naming the record and every field that is wrong."""
    where = f"{where}, rule {record.get('id', '?')!r:.60}".removeprefix(", ")
    if ours := [name for name in _OURS if name in record]:
        raise BadData(where, f"unknown name {ours[0]!r}")
    facts = dict(record)
    if facts.get("form") == "lethality":
        facts["kill"] = {name: facts[there] for name, there in _KILL.items() if there in facts}
        facts = {name: value for name, value in facts.items() if name not in _KILL or name == "minutes"}
    if isinstance(point := facts.get("point"), str):
        facts["point"] = [point]
    if facts.get("pack") == "any":
        facts["pack"] = []
    rule = build(Rule, facts, where)
    _check_form(rule, where)
    for name in rule.point:
        _check_point(rule, name, where)
    return rule


def _check_point(rule: Rule, name: str, where: str) -> None:
    if name not in POINTS:
        raise BadData(where, f"point is {name!r}", f"one of {', '.join(POINTS)}")
    point = POINTS[name]
    if point.form and rule.form not in (point.form, "words"):
        raise BadData(where, f"point is {name!r}, but form is {rule.form!r}", f"{point.form} or words")
    if point.purposes and rule.purpose and rule.purpose not in point.purposes:
        raise BadData(
            where,
            f"point is {name!r}, but purpose is {rule.purpose!r}",
            f"one of {', '.join(point.purposes)}",
        )
    if point.bound and rule.has_number and getattr(rule, point.bound) is None:
        raise BadData(where, f"point is {name!r}, but it sets no {point.bound}", point.bound)


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
