"""Whether what was measured agrees with what was called met: readings and logs against the kitchen's rules.

One function says it. It is asked when something is observed, decided, signed a second time and printed. It
gives the reading the best of it: a core temperature without its time is judged as if it had been held for the
longest time that any rule asks. So what it calls a contradiction is one. That a reading does not contradict
proves nothing.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from kit.basics.errors import KitError
from kit.basics.quantities import TERMS
from kit.criteria import Criterion
from kit.files.joined_kitchen import rules_in_force
from kit.rules import PROBE_ERROR_C, Profile, Rule, judge_rule

LONGEST_HOLD_MIN = 45.0
"""The longest time that a rule of the profiles asks for: the United Kingdom's row at 60 °C."""


@dataclass(frozen=True)
class Contradiction:
    """One reading or log that does not agree with ``met``: for which criterion, by which rule, in words."""

    criterion: str
    rule: str
    says: str


class Contradicted(KitError):
    """What was measured contradicts what is called met, and nobody wrote down why it counts all the same."""

    def __init__(self, found: Sequence[Contradiction]) -> None:
        self.found = tuple(found)
        told = " ".join(f"{one.criterion}: {one.says}" for one in found)
        super().__init__(
            f"{told} Call it not met, correct the reading, or write down why it counts all the same: "
            "that is printed beside the decision."
        )


def contradictions(
    facts: Mapping[str, Any], criteria: Mapping[str, Criterion], profile: Profile | None = None
) -> tuple[Contradiction, ...]:
    """Return what in an observation does not agree with what it calls met.

    Parameters
    ----------
    facts : mapping
        The facts of an observation: ``points``, ``measures`` [by name, with its unit] and ``verdicts``; its
        ``day`` says which law was in force.
    criteria : mapping of str to Criterion
        By id; ``limit_point`` of each says which point of the day it claims.
    profile : Profile, optional
        The rules; by default those of the kitchen that this machine joined.

    Examples
    --------
    >>> from kit import criteria, rules
    >>> facts = {"points": {"COK-P01": "met"}, "measures": {"core_temp_c": 41.0}}
    >>> known = {one.id: one for one in criteria.load()}
    >>> [one.rule for one in contradictions(facts, known, rules.load("ie"))]
    ['ie-cook-75']
    >>> contradictions(facts | {"measures": {"core_temp_c": 76.0}}, known, rules.load("ie"))
    ()
    """
    points, measures = facts.get("points"), facts.get("measures")
    if not isinstance(points, Mapping) or not isinstance(measures, Mapping):
        return ()  # an act that somebody changed: the check of the chain says so
    numbers = {name: value for name, value in measures.items() if _is_reading(name, value)}
    profile, found = profile or rules_in_force(), []
    on = date.fromisoformat(facts["day"]) if "day" in facts else None
    for name, outcome in points.items():
        point = criteria[name].limit_point if outcome == "met" and name in criteria else ""
        if point:
            rules = profile.answering(point, plate=True, on=on)
            told = [*_of_numbers(point, rules, numbers), *_of_verdicts(rules, facts.get("verdicts"))]
            found += [Contradiction(name, rule, says) for rule, says in told]
    return tuple(found)


def has_reading(facts: Mapping[str, Any], point: str) -> bool:
    """Return whether an observation holds a reading, or a log that meets a rule, for a point of the day.

    Examples
    --------
    >>> has_reading({"measures": {"core_temp_c": 76.0}}, "cook"), has_reading({"measures": {}}, "cook")
    (True, False)
    """
    measures, verdicts = facts.get("measures") or {}, facts.get("verdicts") or ()
    logged = any(isinstance(one, Mapping) and one.get("outcome") == "met" for one in verdicts)
    return logged or any(_is_reading(name, measures.get(name)) for name in _READ_AT[point])


def against_decision(
    criterion: Criterion, seen: Mapping[int, Mapping[str, Any]], profile: Profile | None = None
) -> list[Contradiction]:
    """Return what speaks against a decision "competent" in the observations that it rests on.

    Parameters
    ----------
    criterion : Criterion
        What was decided on.
    seen : mapping of int to mapping
        The facts of those observations, by the number of the act.
    profile : Profile, optional
        The rules; by default those of the kitchen that this machine joined.

    Examples
    --------
    >>> from kit import criteria, rules
    >>> hot, bare = {"measures": {"core_temp_c": 76.0}}, {"measures": {}}
    >>> facts = {7: {"points": {"COK-P01": "met"}} | bare, 9: {"points": {"COK-P01": "met"}} | hot}
    >>> against_decision(criteria.get("COK-P01"), facts, rules.load("ie"))
    []
    >>> facts.pop(9) and [one.rule for one in against_decision(criteria.get("COK-P01"), facts)]
    ['no reading']
    """
    found, point = [], criterion.limit_point
    if point and not any(has_reading(facts, point) for facts in seen.values()):
        says = "no observation that it rests on holds a reading, or a log that meets the kitchen's rule."
        found.append(Contradiction(criterion.id, "no reading", says))
    for number, facts in seen.items():
        told = contradictions(facts, {criterion.id: criterion}, profile)
        found += [replace(one, says=f"act {number}: {one.says}") for one in told]
    return found


def judged_by(facts: Mapping[str, Any]) -> dict[str, list[str]]:
    """Return which rules an observation's readings and logs are judged by, to stand among its facts."""
    if not facts.get("measures") and not facts.get("verdicts"):
        return {}
    rules = rules_in_force()
    return {"rules": [rules.id, rules.fingerprint]}


def _is_reading(name: str, value: Any) -> bool:
    return name in _JUDGED and isinstance(value, int | float) and not isinstance(value, bool)


def _of_numbers(point: str, rules: Sequence[Rule], numbers: Mapping[str, float]) -> Iterator[tuple[str, str]]:
    read = ", ".join(in_words(name, value) for name, value in numbers.items())
    for rule in _MISSED[point](rules, numbers) if numbers else ():
        yield rule.id, f"{read}: the kitchen's rule asks for {rule.limit}."


def _cook_missed(rules: Sequence[Rule], numbers: Mapping[str, float]) -> Iterator[Rule]:
    if "core_temp_c" not in numbers:
        return
    for rule in rules:
        longest = max([LONGEST_HOLD_MIN, *(row.minutes for row in rule.holds)])
        values = {"core_temp_c": numbers["core_temp_c"], "hold_min": numbers.get("hold_min", longest)}
        if judge_rule(values, rule).outcome == "not met":
            yield rule


def _chill_missed(rules: Sequence[Rule], numbers: Mapping[str, float]) -> Iterator[Rule]:
    """Yield the windows whose end was not reached, and the last one if the whole time is too long.

    The time runs from leaving the heat. So it says nothing where a window's clock starts at a temperature.
    """
    windows = [rule for rule in rules if rule.form == "window"]
    core = numbers.get("core_temp_c")
    for rule in windows:
        if core is not None and rule.maximum is not None and core > rule.maximum + PROBE_ERROR_C:
            yield rule
    from_the_door = bool(windows) and all(rule.clock in ("door", "chiller") for rule in windows)
    if from_the_door and numbers.get("chill_min", 0.0) > sum(rule.minutes or 0.0 for rule in windows):
        yield windows[-1]


def _store_missed(rules: Sequence[Rule], numbers: Mapping[str, float]) -> Iterator[Rule]:
    """Yield the rules on the chilled store that a reading misses. A frozen store is another matter."""
    bounds = TERMS["store_temp_c"]
    read = [numbers[name] for name in ("core_temp_c", "air_temp_c") if name in numbers]
    for rule in rules:
        held = [{rule.quantity: min(max(value, bounds.low), bounds.high)} for value in read]
        if rule.quantity == bounds.name and any(judge_rule(one, rule).outcome == "not met" for one in held):
            yield rule


_READ_AT = {
    "cook": ("core_temp_c",),
    "chill": ("core_temp_c", "chill_min"),
    "store": ("core_temp_c", "air_temp_c"),
}
"""What is read at a point of the day that a criterion may claim."""
_MISSED = {"cook": _cook_missed, "chill": _chill_missed, "store": _store_missed}
"""By the point of the day that a criterion may claim."""


def _of_verdicts(rules: Sequence[Rule], verdicts: Any) -> Iterator[tuple[str, str]]:
    kept = verdicts if isinstance(verdicts, list | tuple) else ()
    missed = {
        str(one.get("rule")) for one in kept if isinstance(one, Mapping) and one.get("outcome") == "not met"
    }
    for rule in rules:
        if rule.id in missed:
            yield rule.id, f"the log on file does not meet the kitchen's rule of {rule.limit}."


def despite_words(facts: Mapping[str, Any]) -> str:
    """Return what was read against an act, and why it counts all the same; empty where nothing was.

    ``facts`` are those of an observation or a decision, with their words.
    """
    told = " ".join(str(one["says"]) for one in facts.get("against", ()))
    return f"Against it: {told} Counted all the same: {facts.get('despite', '')}" if told else ""


def in_words(name: str, value: float) -> str:
    """Return a reading in words, with its unit.

    Examples
    --------
    >>> in_words("core_temp_c", 41.0), in_words("hold_min", 12.5)
    ('a core of 41 °C', 'a hold of 12.5 min')
    """
    label, unit = _JUDGED[name]
    return f"{label} of {value:g} {unit}"


_JUDGED = {
    "core_temp_c": ("a core", "°C"),
    "air_temp_c": ("air", "°C"),
    "hold_min": ("a hold", "min"),
    "chill_min": ("a cooling time", "min"),
}
