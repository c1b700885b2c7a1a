"""The evidence replayed: did each decision "competent" rest on enough, by what stood on file just before it?

The rule is `assess.weigh`, as it is asked when somebody decides. What practice had shown of a criterion is
not summed up again; the lines of the book that a decision names are looked up. Readings and logs are judged
again too, where the rules that they were judged by are those in force here.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any

from sqlalchemy import Connection, select

from kit.basics.quantities import count_of
from kit.exercises.catalogue import Catalogue
from kit.files.joined_kitchen import rules_in_force
from kit.records.competence.assess import judge
from kit.records.competence.assessment import EVIDENCE_RULE, Assessment
from kit.records.competence.deciding import criterion_print
from kit.records.competence.decision_state import SECOND_WITHIN_DAYS, Decided
from kit.records.competence.entry_doubts import OF_ENTRY
from kit.records.competence.observations import Point
from kit.records.competence.readings import contradictions, has_reading
from kit.records.competence.second_signature import second_asked
from kit.records.ledger.acts import TAKEN_IN, Act
from kit.records.ledger.draws import DRAWN, TO_DRAW, is_drawn, second_of
from kit.records.ledger.joins import JOINED, PARTED, with_others
from kit.records.ledger.projection import COMPETENT, NOT_YET
from kit.records.storage import schema

if TYPE_CHECKING:
    from kit.criteria import Criterion

About = tuple[str | None, str | None]
_AT_ONCE = 500
_WEIGHED_SINCE, _DRAWN_SINCE = 2, 3
"""From which rule of evidence on a decision is weighed again, and its second signature with it."""
MOST_NAMED = 12


@dataclass
class _Stands:
    """The last decision on something, as far as it matters to the next one."""

    act: Act
    decision: str
    appeal: int | None = None
    second: str = ""

    def decided(self) -> Decided | None:
        """Return it as a decision that the next one renews; None where that one starts anew."""
        if self.decision != COMPETENT or self.appeal is not None:
            return None
        day = date.fromisoformat(self.act.facts["day"])
        return Decided(self.act.number, "competent", day, None, self.act.by, "", None)

    def second_on(self, day: date) -> str:
        """Return what stood for its second signature on a day. What nobody drew for long is wanted."""
        long_ago = date.fromisoformat(self.act.facts["day"]) < day - timedelta(days=SECOND_WITHIN_DAYS)
        undrawn = self.second == TO_DRAW and self.decision == COMPETENT
        return "wanted" if undrawn and long_ago else self.second


@dataclass
class _Told:
    """What the acts so far have said."""

    points: dict[About, list[Point]] = field(default_factory=lambda: defaultdict(list))
    stands: dict[About, _Stands] = field(default_factory=dict)
    against: dict[int, set[str]] = field(default_factory=dict)
    joins: dict[int, tuple[str, str]] = field(default_factory=dict)
    decided_by: Counter[str] = field(default_factory=Counter)
    read: dict[int, Mapping[str, Any]] = field(default_factory=dict)
    rule: int = 0

    def ids(self, person: str | None) -> tuple[str, ...]:
        """Return every id that stood for a person at that moment."""
        return with_others(dict(self.joins.values()), [str(person)])

    def last(self, ids: Collection[str], criterion: str | None) -> _Stands | None:
        """Return the last decision on a criterion under any of these ids."""
        found = [self.stands[one, criterion] for one in ids if (one, criterion) in self.stands]
        return max(found, key=lambda one: one.act.number, default=None)

    def follow(self, act: Act) -> None:
        """Take in one act."""
        if act.kind == "observed":
            self._observed(act)
        elif act.kind in ("decided", "brought in"):
            stands = _Stands(act, act.facts["decision"], second=second_of(act.facts))
            self.stands[act.person, act.criterion] = stands
            self.decided_by[act.by] += act.kind == "decided" and stands.decision == COMPETENT
        elif act.kind == JOINED:
            self.joins[act.number] = (act.facts["other"], str(act.person))
        elif act.kind == PARTED:
            self.joins.pop(act.facts["act"], None)
        elif act.kind in ("second", "appealed", "settled", DRAWN):
            self._after_a_decision(act)

    def _observed(self, act: Act) -> None:
        facts = act.facts
        self.read[act.number] = facts
        day, method, batch = date.fromisoformat(facts["day"]), facts["method"], act.batch or ""
        for criterion, outcome in facts["points"].items():
            if outcome != "not seen":
                self.points[act.person, criterion].append(Point(day, act.number, outcome, method, batch))
        if "against" in facts:
            self.against[act.number] = {
                one["criterion"] for one in facts["against"] if one.get("rule") not in OF_ENTRY
            }

    def _after_a_decision(self, act: Act) -> None:
        found = self.stands.get((act.person, act.criterion))
        if found is None:
            return
        facts, here = act.facts, found.act.number
        if act.kind == "second" and facts["act"] == here:
            found.second = "agreed" if facts["agrees"] else "disagreed"
            found.decision = found.decision if facts["agrees"] else NOT_YET
        elif act.kind == DRAWN and facts["act"] == here and found.second == TO_DRAW:
            found.second = "wanted" if is_drawn(act.hash, facts["every"]) else ""
        elif act.kind == "appealed" and facts["act"] == here:
            found.appeal = act.number
        elif act.kind == "settled" and facts["appeal"] == found.appeal:
            found.appeal = None
            if facts["outcome"] == "assess again":
                found.decision = NOT_YET


def evidence_replayed(
    connection: Connection, told: Sequence[Act], catalogue: Catalogue
) -> tuple[list[str], list[str]]:
    """Hold every decision "competent" against the evidence that stood on file just before it.

    Parameters
    ----------
    connection : Connection
        To the records: the lines of answer books are looked up there.
    told : sequence of Act
        The whole chain, in order.
    catalogue : Catalogue
        The criteria.

    Returns
    -------
    tuple
        The decisions that were not entitled, and what could not be asked, each in words.
    """
    prints = {name: criterion_print(one) for name, one in catalogue.criteria.items()}
    then, faults, old, other = _Told(), list[str](), list[int](), 0
    lines, readings = _Lines(connection, told), _Readings(catalogue)
    for act in told:
        if act.kind == "observed":
            faults += readings.faults(act)
        if act.kind == "decided":
            then.rule = max(then.rule, _rule_of(act))
            strict = then.rule >= _WEIGHED_SINCE
            same_words = act.facts.get("criterion_print") in (None, prints.get(str(act.criterion)))
            if act.criterion not in prints or not same_words:
                other += 1
            elif reason := "; ".join(_short(act, then, catalogue.criteria[act.criterion], lines)):
                old += [] if strict else [act.number]
                faults += [f"act {act.number} was not entitled: {reason}"] if strict else []
        then.follow(act)
    open_points = [_by_todays_rule(old)] if old else []
    if other:
        open_points.append(f"the evidence of {count_of(other, 'decision')} on other words of a criterion")
    if readings.by_others:
        seen = count_of(readings.by_others, "observation")
        open_points.append(f"the readings of {seen} judged by other rules than yours now")
    return faults, open_points


class _Readings:
    """The readings and logs of observations, judged again by the rules in force here."""

    def __init__(self, catalogue: Catalogue) -> None:
        self._criteria, self._rules, self._named = catalogue.criteria, rules_in_force(), False
        self.by_others = 0

    def faults(self, act: Act) -> list[str]:
        """Return what of an observation is called met against a reading, with no reason beside it."""
        facts = act.facts
        if not facts.get("measures") and not facts.get("verdicts"):
            return []
        if facts.get("rules") != [self._rules.id, self._rules.fingerprint]:
            self.by_others += 1
            bare = "rules" not in facts and self._named
            return [f"act {act.number} names no rules for its readings"] if bare else []
        self._named = True
        told = {(one["criterion"], one["rule"]) for one in facts.get("against", ()) if facts.get("despite")}
        return [
            f"act {act.number} was not entitled: {one.criterion} is called met against {one.says}"
            for one in contradictions(facts, self._criteria, self._rules)
            if (one.criterion, one.rule) not in told
        ]


def _rule_of(act: Act) -> int:
    """Return by which rule of evidence a decision was made: an old one does not come back in a chain."""
    number = act.facts.get("evidence_rule")
    return number if isinstance(number, int) and _WEIGHED_SINCE <= number <= EVIDENCE_RULE else 0


def _by_todays_rule(old: Sequence[int]) -> str:
    """Name decisions from before today's rule that would fall short of it; the first ones by number."""
    first = ", ".join(map(str, old[:MOST_NAMED]))
    more = f" and {len(old) - MOST_NAMED:,} more" if len(old) > MOST_NAMED else ""
    acts = "act" if len(old) == 1 else "acts"
    return f"whether {acts} {first}{more} had enough evidence: decided before today's rule, and short by it"


def _short(act: Act, then: _Told, criterion: Criterion, lines: _Lines) -> Iterator[str]:
    """Yield what a decision lacked when it was made."""
    ids = then.ids(act.person)
    before = then.last(ids, act.criterion)
    if before is not None and before.appeal is not None:
        yield f"the appeal of act {before.appeal} was open"
    if act.facts["decision"] != COMPETENT:
        return
    points = sorted(point for one in ids for point in then.points.get((one, act.criterion), ()))
    day = date.fromisoformat(act.facts["day"])
    found = judge(criterion, day, None, points, None if before is None else before.decided())
    if lines.disputing.intersection(ids):  # while a mark is disputed a decision is open, and all counts
        alone = judge(criterion, day, None, points, None)
        found = alone if len(alone.points) > len(found.points) else found
    named = act.facts.get("points", ())
    spare = [str(number) for number in named if number not in found.points]
    if spare:
        yield f"act {', '.join(spare)} did not count towards {criterion.id} then"
    yield from _lacking(act, criterion, found, lines, then)
    if not act.facts.get("despite") and any(act.criterion in then.against.get(one, ()) for one in named):
        yield "a reading speaks against it, and no reason is given"
    if then.rule >= _DRAWN_SINCE:
        yield from _unread(act, criterion, then)
        yield from _unasked(act, criterion, before, then)


def _unread(act: Act, criterion: Criterion, then: _Told) -> Iterator[str]:
    named = [then.read.get(one, {}) for one in act.facts.get("points", ())]
    point = criterion.limit_point
    if point and not act.facts.get("despite") and not any(has_reading(facts, point) for facts in named):
        yield "no reading stands behind it, and no reason is given"


def _unasked(act: Act, criterion: Criterion, before: _Stands | None, then: _Told) -> Iterator[str]:
    """Yield that a decision says otherwise of its second signature than the plan asks for."""
    facts = act.facts
    wanted = second_asked(
        safety_critical=criterion.safety_critical,
        earlier=then.decided_by[act.by],
        before="" if before is None else before.second_on(date.fromisoformat(facts["day"])),
    )
    if {name: facts.get(name) for name in wanted} != wanted:
        yield "it does not ask for a second signature as the plan does"


def _lacking(act: Act, criterion: Criterion, found: Assessment, lines: _Lines, then: _Told) -> Iterator[str]:
    if criterion.kind == "performance":
        yield from (one.rstrip(".") for one in found.missing)
        return
    named = act.facts.get("entries", ())
    stray = [line for line in named if not lines.stood(line, act, then)]
    if stray:
        yield f"{count_of(len(stray), 'line')} that it names stood in no book of theirs then"
    if criterion.safety_critical and not found.points:
        yield "an oral check or a supervised sitting was missing"
    if not named and (criterion.safety_critical or not found.points):
        yield "it names no line of practice"


class _Lines:
    """The lines of answer books that decisions name: whose they are, and by which taking they came."""

    def __init__(self, connection: Connection, told: Sequence[Act]) -> None:
        entries, people = schema.entries.c, schema.people.c
        named = [one for act in told if act.kind == "decided" for one in act.facts.get("entries", ())]
        self.erased = {act.person for act in told if act.kind == "erased"}
        self.taken = {act.facts["taking"]: act.number for act in told if act.kind == TAKEN_IN}
        self.found: dict[str, Any] = {}
        for start in range(0, len(named), _AT_ONCE):
            query = (
                select(entries.hash, people.person_id, entries.taking)
                .join_from(schema.entries, schema.people, people.key == entries.person)
                .where(entries.hash.in_(named[start : start + _AT_ONCE]))
            )
            self.found |= {row.hash: row for row in connection.execute(query)}
        disputes = select(people.person_id).join_from(
            schema.entries, schema.people, people.key == entries.person
        )
        self.disputing = set(connection.scalars(disputes.where(entries.what == "dispute").distinct()))

    def stood(self, line: str, act: Act, then: _Told) -> bool:
        """Whether a line was in the person's book before an act. What was erased cannot be asked."""
        if act.person in self.erased:
            return True
        row = self.found.get(line)
        if row is None or row.person_id not in then.ids(act.person):
            return False
        return self.taken.get(row.taking, 0) < act.number  # takings of before seals have no act
