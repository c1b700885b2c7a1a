"""What the inspector's file says about one person, gathered from the records. Plain data, no layout."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING

from kit.exercises.catalogue import Catalogue
from kit.records.competence.assess import assess_all
from kit.records.competence.assessment import Assessment
from kit.records.competence.deciding import criterion_print
from kit.records.competence.decision_state import REFRESHER_DAYS
from kit.records.competence.first_tries import BookLine, lines_of
from kit.records.competence.readings import against_decision
from kit.records.ledger.draws import asked_words, draws_in
from kit.records.ledger.projection import NOT_YET
from kit.records.people.crew import RoleHeld, roles_held
from kit.records.people.named_acts import Told, day_of, day_words, many, tell_acts
from kit.records.people.staff import Member, all_names
from kit.records.reports.step_standing import StepStanding, step_standings
from kit.records.storage.store import Records

if TYPE_CHECKING:
    from kit.criteria import Criterion

DECISIONS = ("decided", "brought in")
NOT_LOOKED_AT = "not looked at"


@dataclass(frozen=True)
class Ruling:
    """One decision with all that hangs on it.

    Parameters
    ----------
    act : Told
        The decision.
    seen : tuple of Told
        The observations and oral checks it rests on.
    lines : tuple of BookLine
        The lines of the answer book it rests on: practice, unsupervised.
    lost : int
        How many lines it names that are not on record here.
    fit : str
        The competence to assess that the person who decided had on file that day; empty if none.
    second : Told or None
        The second signature.
    appeals : tuple of (Told, Told or None)
        Each appeal with how it was settled.
    same_words : bool
        Whether the criterion still says and needs what was decided on.
    against : tuple of str
        The readings and logs it rests on that contradict it, by the rules in force now.
    second_fit : str
        The competence to assess that the second person had on file that day; empty if none.
    asked : str
        Whether a second signature was asked for: see ``asked_words``.
    """

    act: Told
    seen: tuple[Told, ...]
    lines: tuple[BookLine, ...]
    lost: int
    fit: str
    second: Told | None
    appeals: tuple[tuple[Told, Told | None], ...]
    same_words: bool
    against: tuple[str, ...] = ()
    second_fit: str = ""
    asked: str = ""

    @property
    def review_on(self) -> date | None:
        """The review date, if it has one."""
        return day_of(self.act.facts.get("review_on"))

    @property
    def refresher_on(self) -> date | None:
        """From when a refresher is due."""
        return None if self.review_on is None else self.review_on - timedelta(days=REFRESHER_DAYS)

    @property
    def methods(self) -> tuple[str, ...]:
        """How it was shown: the ways of observing, practice, or a paper from before."""
        found = [str(each.facts.get("method", "")) for each in self.seen]
        found += ["practice, unsupervised"] if self.lines else []
        found += ["brought in from a paper"] if self.act.kind == "brought in" else []
        return tuple(dict.fromkeys(found))


@dataclass(frozen=True)
class CriterionFile:
    """One criterion: where the person stands, on which decision, and which decisions came before.

    ``touched`` is whether anything at all is on record.
    """

    stands: Assessment
    ruling: Ruling | None
    earlier: tuple[Ruling, ...]
    touched: bool

    @property
    def criterion(self) -> Criterion:
        """The criterion."""
        return self.stands.criterion

    @property
    def rulings(self) -> tuple[Ruling, ...]:
        """Every decision on it: those that were replaced, then the one that stands."""
        return (*self.earlier, *([self.ruling] if self.ruling else []))

    @property
    def says(self) -> str:
        """The state in words. What nobody looked at is no failure, and never reads like one."""
        if self.stands.decided:
            return self.stands.says
        return "no decision yet" if self.touched else NOT_LOOKED_AT

    @property
    def evidence(self) -> str:
        """How far the evidence has come where nobody decided; empty where there is none."""
        practice = self.stands.practice
        if not self.touched:
            return ""
        sure = "" if practice is None else practice.says_on(self.stands.day)
        return self.stands.says + (sure and f"; practice, unsupervised: {sure}")


@dataclass(frozen=True)
class PersonFile:
    """Everything the inspector's file says about one person."""

    member: Member
    started: date | None
    roles: tuple[RoleHeld, ...]
    notes: Mapping[str, tuple[Told, ...]]
    standings: tuple[CriterionFile, ...]
    safety: tuple[int, int]
    steps: Mapping[str, StepStanding]
    corrections: tuple[Told, ...]
    batches: tuple[str, ...]
    profiles: tuple[str, ...]
    plans: tuple[str, ...]
    kits: tuple[str, ...]
    acts: tuple[Told, ...]

    @property
    def holding(self) -> int:
        """On how many criteria the person is competent today."""
        return sum(one.stands.holds for one in self.standings)

    @property
    def begun(self) -> int:
        """On how many criteria something is on record, but no decision."""
        return sum(one.touched and not one.stands.decided for one in self.standings)

    @property
    def untouched(self) -> int:
        """On how many criteria nothing is on record."""
        return sum(not one.touched for one in self.standings)

    def in_state(self, *states: str) -> int:
        """Return how many decisions stand so today."""
        return sum(one.stands.state in states for one in self.standings)


def gather(records: Records, member: Member, now: datetime, catalogue: Catalogue) -> PersonFile:
    """Return everything the file says about one person, as it stood at ``now``."""
    who = member.person
    with records.reading() as connection:
        told = tell_acts(connection, people=[who])
        today = assess_all(connection, catalogue, now.astimezone().date(), [who])
        made = [one for one in told if one.kind in DECISIONS]
        signed = {one.by_id for one in told if one.kind in (*DECISIONS, "second")}
        fits = tell_acts(connection, kinds=["assessor"], people=signed)
        rulings = _rulings(told, fits, lines_of(connection, who), catalogue)
        batches = tuple(dict.fromkeys(one.batch for one in told if one.kind == "observed" and one.batch))
        corrected = tell_acts(connection, kinds=["corrected"], batches=batches)
        names, roles = all_names(connection), roles_held(connection, who)
    touched = today.touched(who)
    return PersonFile(
        member,
        _started(told, roles),
        roles,
        _by_topic(told),
        tuple(_file(one, rulings.get(name, []), touched) for name, one in today.all_of(who).items()),
        today.safety(who),
        step_standings(today.all_of(who).values(), touched),
        tuple(_with_decider(one, names) for one in corrected),
        batches,
        tuple(sorted({str(p) for one in made for p in many(one.facts.get("profiles"))})),
        tuple(dict.fromkeys(str(one.facts["plan"]) for one in made if one.facts.get("plan"))),
        tuple(sorted({str(one.facts["kit"]) for one in made if one.facts.get("kit")})),
        tuple(told),
    )


def _file(stands: Assessment, rulings: list[Ruling], touched: Collection[str]) -> CriterionFile:
    act = 0 if stands.decided is None else stands.decided.act
    current = next((each for each in rulings if each.act.number == act), None)
    earlier = tuple(each for each in rulings if each is not current)
    return CriterionFile(stands, current, earlier, stands.criterion.id in touched or bool(rulings))


def _rulings(
    told: list[Told], fits: list[Told], lines: Mapping[str, BookLine], catalogue: Catalogue
) -> dict[str, list[Ruling]]:
    by_number = {one.number: one for one in told}
    made = [one for one in told if one.kind in DECISIONS]
    seconds = {str(one.facts.get("act")): one for one in told if one.kind == "second"}
    settled = {str(one.facts.get("appeal")): one for one in told if one.kind == "settled"}
    draws = draws_in(told)
    found: dict[str, list[Ruling]] = {}
    for one in made:
        hashes = [str(each) for each in many(one.facts.get("entries"))]
        second, drawn = seconds.get(str(one.number)), draws.get(one.number)
        known = catalogue.criteria.get(str(one.criterion))
        ruling = Ruling(
            one,
            tuple(
                by_number[n] for n in many(one.facts.get("points")) if isinstance(n, int) and n in by_number
            ),
            tuple(lines[each] for each in hashes if each in lines),
            sum(each not in lines for each in hashes),
            _fit_on(fits, one),
            second,
            tuple(
                (each, settled.get(str(each.number)))
                for each in told
                if each.kind == "appealed" and each.facts.get("act") == one.number
            ),
            known is not None and criterion_print(known) == one.facts.get("criterion_print"),
            _against(one, by_number, catalogue),
            "" if second is None else _fit_on(fits, second),
            asked_words(one.facts, drawn),
        )
        found.setdefault(str(one.criterion), []).append(ruling)
    return found


def _against(one: Told, by_number: Mapping[int, Told], catalogue: Catalogue) -> tuple[str, ...]:
    """Return what the readings that a decision rests on say against it, if it says competent."""
    if one.facts.get("decision") == NOT_YET:
        return ()
    named = [n for n in many(one.facts.get("points")) if isinstance(n, int) and n in by_number]
    criterion = catalogue.criteria.get(str(one.criterion))
    if criterion is None:
        return ()
    return tuple(found.says for found in against_decision(criterion, {n: by_number[n].facts for n in named}))


def _fit_on(held: list[Told], signed: Told) -> str:
    """Return what was on file of whoever signed, before that act, and covers the day it was recorded."""
    good = [
        f"{one.facts.get('what', '')} (to {day_words(day_of(one.facts.get('until')))})"
        for one in held
        if one.person == signed.by_id
        and one.number < signed.number
        and str(one.facts.get("since", "9")) <= signed.recorded.isoformat() <= str(one.facts.get("until", ""))
    ]
    return "; ".join(good)


def _started(told: list[Told], roles: tuple[RoleHeld, ...]) -> date | None:
    said = [day_of(one.facts.get("started")) for one in told if one.kind == "enrolled"]
    days = [day for day in said if day is not None] or [held.since for held in roles]
    return min(days) if days else None


def _by_topic(told: list[Told]) -> dict[str, tuple[Told, ...]]:
    found: dict[str, tuple[Told, ...]] = {}
    for one in told:
        if one.kind == "noted":
            topic = str(one.facts.get("topic", "note"))
            found[topic] = (*found.get(topic, ()), one)
    return found


def _with_decider(one: Told, names: Mapping[str, str]) -> Told:
    who = str(one.facts.get("decided_by", ""))
    return replace(one, facts={**one.facts, "decided_by": names.get(who, who)})
