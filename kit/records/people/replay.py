"""The chain replayed: was everybody entitled to each act, by what stood on file just before it?"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from typing import Any

from kit.basics.quantities import count_of
from kit.records.ledger.acts import CLOCK_CORRECTED, CLOCK_SLACK, TAKEN_IN, Act, Draft
from kit.records.ledger.draws import DRAWN
from kit.records.ledger.projection import COMPETENT
from kit.records.people.entitlement import MAY, SIGNERS, TRUST, why_not
from kit.records.people.on_file import Decision
from kit.records.people.retention_rule import RULE_SET, LeaverRule, rule_of


@dataclass
class Replayed:
    """What stood on file, from the acts followed so far."""

    held: dict[str, set[str]] = field(default_factory=lambda: defaultdict(set))
    keys: dict[str, tuple[str, datetime | None]] = field(default_factory=dict)
    fit: dict[str, date] = field(default_factory=dict)
    root: bool = False
    decisions: dict[int, Decision] = field(default_factory=dict)
    proposals: dict[int, tuple[str, str | None, Mapping[str, Any]]] = field(default_factory=dict)
    seen: dict[int, tuple[str, Mapping[str, Any]]] = field(default_factory=dict)

    agreed: dict[str, int | None] = field(default_factory=dict)
    joins: dict[int, tuple[str, str]] = field(default_factory=dict)
    given: dict[int, tuple[str, str]] = field(default_factory=dict)
    found: dict[int, str] = field(default_factory=dict)
    rule: LeaverRule | None = None
    last: dict[str, datetime] = field(default_factory=dict)
    gone: set[str] = field(default_factory=set)
    to_draw: dict[int, int] = field(default_factory=dict)

    def roles(self, person: str) -> frozenset[str]:
        """The roles a person held."""
        return frozenset(self.held.get(person, ()))

    def managed(self) -> bool:
        """Whether anybody was a manager."""
        return any("manager" in roles for roles in self.held.values())

    def key(self, key_id: str) -> tuple[str, datetime | None] | None:
        """Whose a key was, and when it was retired."""
        return self.keys.get(key_id)

    def had_key(self, person: str) -> bool:
        """Whether a key was ever on file for a person."""
        return any(owner == person for owner, _ in self.keys.values())

    def signers(self) -> frozenset[str]:
        """Everybody who held a valid key, and a role."""
        valid = {owner for owner, until in self.keys.values() if until is None}
        return frozenset(who for who in valid if self.held.get(who, set()) & SIGNERS)

    def fit_until(self, person: str) -> date | None:
        """The last day on which a person's own competence to assess was on file."""
        return self.fit.get(person)

    def rooted(self) -> bool:
        """Whether a manager's own key was on file."""
        return self.root

    def decision(self, number: int) -> Decision | None:
        """By whom and about whom the decision of an act was, directly or through an appeal."""
        return self.decisions.get(number)

    def proposed(self, number: int) -> tuple[str, str | None, Mapping[str, Any]] | None:
        """Who proposed a key, for whom, and with which facts."""
        return self.proposals.get(number)

    def moderator(self, appeal: int) -> str:
        """By whom a finding opened a criterion with that act."""
        return self.found.get(appeal, "")

    def leaver_rule(self) -> LeaverRule | None:
        """How long records of leavers stayed, and who signed that."""
        return self.rule

    def last_here(self, person: str) -> date | None:
        """The day somebody who left was last here."""
        return self.last[person].astimezone().date() if person in self.gone else None

    def one(self, person: str | None) -> str:
        """The id that an id counted as."""
        return dict(self.joins.values()).get(str(person), str(person))

    def follow(self, act: Act) -> None:
        """Take in what an act changes."""
        facts, person = act.facts, str(act.person)
        self._follow_join(act)
        self._follow_leaving(act)
        self._follow_decision(act)
        if act.kind in ("enrolled", "returned"):
            self.held[person].add(facts["role"])
        elif act.kind == "left":
            self.held[person].discard(facts["role"])
        elif act.kind == "key added":
            self.keys[facts["key_id"]] = (person, None)
            self.root = self.root or (act.by == person and act.key_id is not None)
        elif act.kind == "key retired":
            self.keys[facts["key_id"]] = (self.keys.get(facts["key_id"], (person, None))[0], act.at)
        elif act.kind == "key proposed":
            self.proposals[act.number] = (act.by, act.person, facts)
        elif act.kind == "assessor":
            until = date.fromisoformat(facts["until"])
            self.fit[person] = max(until, self.fit.get(person, until))
        elif act.kind == "observed":
            self.seen[act.number] = (person, facts["points"])
        elif act.kind == "consented" and not facts.get("to"):  # to a certificate, not to something else
            self.agreed[person] = act.number if facts["agrees"] else None
        elif act.kind == "certificate given":
            self.given[act.number] = (person, facts["id"])

    def _follow_decision(self, act: Act) -> None:
        facts = act.facts
        if act.kind in ("decided", "brought in"):
            self.decisions[act.number] = (act.by, str(act.person))
            if facts.get("draw_every"):
                self.to_draw[act.number] = facts["draw_every"]
        elif act.kind == "appealed" and int(facts["act"]) in self.decisions:
            self.decisions[act.number] = self.decisions[int(facts["act"])]
            self.found |= {act.number: act.by} if facts.get("moderated") else {}
        elif act.kind == DRAWN:
            self.to_draw.pop(facts["act"], None)

    def _follow_leaving(self, act: Act) -> None:
        if act.kind in ("left", TAKEN_IN):
            person = str(act.person)
            self.last[person] = max(act.at, self.last.get(person, act.at))
            if act.kind == "left":
                self.gone.add(person)
        elif act.kind == RULE_SET:
            self.rule = rule_of(act.number, act.by, act.facts)

    def _follow_join(self, act: Act) -> None:
        if act.kind == "joined":
            self.joins[act.number] = (str(act.facts["other"]), str(act.person))
        elif act.kind == "parted":
            self.joins.pop(act.facts["act"], None)


def replayed(told: Iterable[Act]) -> tuple[list[str], list[str]]:
    """Hold every act against what its maker was entitled to just before it.

    Parameters
    ----------
    told : iterable of Act
        The whole chain, in order.

    Returns
    -------
    tuple
        What was not allowed, and what no check reaches, each in words.
    """
    then, faults, alone = Replayed(), [], []
    unsigned, latest = 0, None
    for act in told:
        if act.kind in MAY:
            reason = _why_not_then(act, then, latest)
            faults += [f"act {act.number} was not allowed: {reason}"] if reason else []
            unsigned += (
                act.kind in TRUST and act.key_id is None and not ({"first", "rule"} & act.facts.keys())
            )
            latest = act.at
        if act.kind == "key added" and act.facts.get("alone"):
            alone.append(
                f"the new key of act {act.number}: one person put it on file, with nobody to confirm it"
            )
        then.follow(act)
    if unsigned:
        alone.append(
            f"who made {count_of(unsigned, 'act')} that {'grants' if unsigned == 1 else 'grant'} or "
            f"{'takes' if unsigned == 1 else 'take'} trust: from before such acts were signed"
        )
    return faults, alone


def _why_not_then(act: Act, then: Replayed, latest: datetime | None) -> str:
    if latest is not None and act.at < latest - CLOCK_SLACK and act.kind != CLOCK_CORRECTED:
        return "it bears a time before that of the act before it."
    draft = Draft(act.kind, act.by, act.person, act.criterion, act.batch, act.facts)
    # A day of tolerance: the zone in which it was written may be another than here.
    reason = why_not(draft, act.key_id, (act.at - timedelta(days=1)).date(), then)
    rests = _RESTS.get(act.kind)
    return reason or ("" if rests is None else rests(act, then))


def _not_agreed(act: Act, then: Replayed) -> str:
    """Return why a certificate was not agreed to; an empty text if it was."""
    number = act.facts.get("consent")
    agreed = number is not None and then.agreed.get(str(act.person)) == number
    return "" if agreed else f"it names act {number}, by which {act.person} did not agree to a certificate."


def _not_given(act: Act, then: Replayed) -> str:
    """Return why nothing was there to take back; an empty text if there was."""
    given = then.given.get(int(act.facts.get("act", 0)))
    same = given == (act.person, act.facts.get("id"))
    return "" if same else f"act {act.facts.get('act')} gave no such certificate."


def _not_resting(act: Act, then: Replayed) -> str:
    """Return why a decision does not rest on what it names; an empty text if it does."""
    facts = act.facts
    for number in facts.get("points", ()):
        person, points = then.seen.get(number, ("", {}))
        if then.one(person) != then.one(act.person) or act.criterion not in points:
            return f"it names act {number}, which saw nothing of {act.criterion} by {act.person} before."
    if facts["decision"] == COMPETENT and facts.get("missing"):
        return f"it says {COMPETENT} while evidence was missing: {' '.join(facts['missing'])}"
    return ""


def _not_joined(act: Act, then: Replayed) -> str:
    """Return why there was nothing to part; an empty text if there was."""
    same = then.joins.get(int(act.facts.get("act", 0))) == (act.facts.get("other"), act.person)
    return "" if same else f"act {act.facts.get('act')} joined no such two."


def _not_to_draw(act: Act, then: Replayed) -> str:
    """Return why a draw was none; an empty text if it was one."""
    waits = then.to_draw.get(act.facts["act"])
    return "" if waits == act.facts["every"] else f"act {act.facts['act']} waited for no such draw."


_RESTS: Mapping[str, Callable[[Act, Replayed], str]] = {
    "decided": _not_resting,
    "certificate given": _not_agreed,
    "certificate revoked": _not_given,
    "parted": _not_joined,
    DRAWN: _not_to_draw,
}
