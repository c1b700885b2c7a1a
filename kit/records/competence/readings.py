"""Whether what was measured agrees with what was called met: readings and logs against the kitchen's rules.

One function says it. It is asked when something is observed, decided, signed a second time and printed. It
gives the reading the best of it: a core temperature without its time is judged as if it had been held for the
longest time that any rule asks. So what it calls a contradiction is one. That a reading does not contradict
proves nothing.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from kit.basics.errors import KitError
from kit.criteria import Criterion
from kit.files.joined_kitchen import rules_in_force
from kit.rules import PROBE_ERROR_C, Profile, Rule, judge_rule

LONGEST_HOLD_MIN = 45.0
"""The longest time that a rule of a profile asks for."""


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
        The facts of an observation: ``points``, ``measures`` [by name, with its unit] and ``verdicts``.
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
    found = []
    if not isinstance(facts.get("points"), Mapping) or not isinstance(facts.get("measures"), Mapping):
        return ()  # an act that somebody changed: the check of the chain says so
    profile = profile or rules_in_force()
    for name, outcome in facts["points"].items():
        point = criteria[name].limit_point if outcome == "met" and name in criteria else ""
        if point:
            rules = profile.answering(point)
            told = [*_of_measures(point, rules, facts), *_of_verdicts(rules, facts.get("verdicts", ()))]
            found += [Contradiction(name, rule, says) for rule, says in told]
    return tuple(found)


def _of_measures(point: str, rules: Iterable[Rule], facts: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    measures: Mapping[str, float] = facts.get("measures", {})
    for rule in rules:
        if any(_misses(rule, values) for values in _values(point, rule, measures)):
            read = ", ".join(in_words(name, value) for name, value in measures.items() if name in _JUDGED)
            yield rule.id, f"{read} was read, and the kitchen's rule asks for {rule.limit}."


def _values(point: str, rule: Rule, measures: Mapping[str, float]) -> Iterator[dict[str, float]]:
    """Yield the readings as this rule can judge them, each as favourably as it may be."""
    core = measures.get("core_temp_c")
    if point == "cook" and core is not None:
        longest = max([LONGEST_HOLD_MIN, *(row.minutes for row in rule.holds)])
        yield {"core_temp_c": core, "hold_min": measures.get("hold_min", longest)}
    elif point == "chill":
        if core is not None:
            yield {"core_temp_c": core}
        if "chill_min" in measures:
            yield {rule.id: measures["chill_min"]}
    elif point == "store":
        yield from (
            {rule.quantity: measures[name]} for name in ("core_temp_c", "air_temp_c") if name in measures
        )


def _misses(rule: Rule, values: Mapping[str, float]) -> bool:
    """Whether the rule is surely missed. Of a cooling window a core alone says if its end was reached."""
    if rule.form == "window" and "core_temp_c" in values:
        return rule.maximum is not None and values["core_temp_c"] > rule.maximum + PROBE_ERROR_C
    return judge_rule(values, rule).outcome == "not met"


def _of_verdicts(rules: Iterable[Rule], verdicts: Iterable[Mapping[str, Any]]) -> Iterator[tuple[str, str]]:
    asked = {rule.id: rule for rule in rules}
    for one in verdicts:
        if one.get("outcome") == "not met" and one.get("rule") in asked:
            rule = asked[one["rule"]]
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
