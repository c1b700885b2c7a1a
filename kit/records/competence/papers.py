"""Test papers: drawing one for each person, marking it again from data, and what a signed result is worth.

The seeds of a paper are random and stand in the records alone, so nobody can rehearse it. Drawing is a signed
act; so is the result, which is an observation by the method "supervised sitting" like any other.
"""

from __future__ import annotations

import json
import secrets
from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, field
from datetime import timedelta
from functools import lru_cache
from typing import Any

from sqlalchemy import Connection, select

from kit.basics.errors import BadData, KitError, OutOfRange, UnknownName
from kit.exercises.catalogue import Catalogue
from kit.files.joined_kitchen import rules_in_force
from kit.files.paper_plan import PaperPlan, checked
from kit.marking.model import Outcome, Question
from kit.records.competence.paper_checks import DRAWN
from kit.records.competence.paper_choice import Difficulty, choose, difficulty_of
from kit.records.ledger import acts
from kit.records.ledger.acts import Act, Draft, NotAllowed
from kit.records.people.staff import Hand, roles_of, write
from kit.records.storage import schema
from kit.rules import Profile

RESIT_AFTER_DAYS = 1
"""How long after a paper that was not passed another may be sat; ours, a tutor is to confirm it."""
_TRIES = 200
"""How often a variant is drawn again, before one that was practised is taken, and said to be so."""


class OtherVersion(KitError):
    """The kit draws another question today than the one on the paper, so the paper cannot be marked by it."""


@dataclass(frozen=True)
class PaperTask:
    """One task of a paper: its place from 1, what it is evidence for, and what draws it."""

    place: int
    criterion: str
    exercise: str
    version: int
    seed: int
    fingerprint: str
    practised: bool = False


@dataclass(frozen=True)
class TestPaper:
    """A paper drawn for one person. ``minutes`` and ``extra_min`` [min]; ``cut_pct`` [% of the points]."""

    __test__ = False  # its name is the trade's, not a test's

    id: str
    act: int
    person: str
    day: str
    minutes: int
    extra_min: int
    cut_pct: float
    profile: str
    tasks: tuple[PaperTask, ...]
    resit_of: str = ""
    difficulty: Difficulty | None = None

    @property
    def fresh(self) -> int:
        """How many tasks ask something that this person never practised."""
        return sum(not task.practised for task in self.tasks)


@dataclass(frozen=True)
class PaperResult:
    """What the answers on a paper earn. ``points`` are the outcome of each criterion, if it is signed."""

    score: float
    of: float
    passed: bool
    points: Mapping[str, str]
    outcomes: tuple[Outcome, ...]
    lost_safety: tuple[int, ...] = ()
    unanswered: tuple[int, ...] = ()

    @property
    def share_pct(self) -> float:
        """The score. [% of the points]"""
        return 100.0 * self.score / self.of


@dataclass
class _Fresh:
    """Chooses variants that are new to a person."""

    catalogue: Catalogue
    profile: Profile
    practised: Mapping[str, set[str]]
    used: set[str] = field(default_factory=set)

    def task(self, place: int, criterion: str, exercise: str) -> PaperTask:
        """Return a task whose content is new to the person, or say that none was found."""
        best: tuple[Question, int, bool] | None = None
        for _ in range(_TRIES):
            seed = secrets.randbits(63)
            question = self.catalogue.question(exercise, seed, self.profile)
            content = self.catalogue.content_print(question)
            if content in self.used:
                continue
            known = content in self.practised.get(exercise, ())
            if best is None or not known:
                best = (question, seed, known)
            if not known:
                self.used.add(content)
                break
        if best is None:
            raise BadData(exercise, "it has no further variant for one paper", "fewer tasks in the plan")
        question, seed, known = best
        mark = self.catalogue.fingerprint(question)
        return PaperTask(place, criterion, exercise, question.version, seed, mark, known)


def draw(
    hand: Hand,
    plan: PaperPlan,
    people: Sequence[str],
    *,
    extra_min: Mapping[str, int] | None = None,
    profile: Profile | None = None,
    facility: Mapping[str, float] | None = None,
) -> list[TestPaper]:
    """Draw one paper for each person and record it: the same exercises for all, other variants for each.

    So the papers of one draw are equally hard as far as exercises differ in that. A variant whose content the
    person met in an answer book that was taken in is not drawn while there is another.

    Parameters
    ----------
    hand : Hand
        The tutor, with an opened key.
    plan : PaperPlan
        What to ask.
    people : sequence of str
        The ids of apprentices.
    extra_min : mapping of str to int, optional
        Agreed extra time by id. [min]
    profile : Profile, optional
        The rules that the tasks follow. Default: those of the kitchen that this machine joined.
    facility : mapping of str to float, optional
        The measured share right of each exercise, by which ``paper_choice`` keeps papers equally hard.

    Raises
    ------
    NotAllowed, BadData, OutOfRange
        If the hand may not, somebody is no apprentice, or the plan cannot be drawn.
    """
    checked(plan, hand.catalogue, "the plan")
    with hand.records.writing() as connection:
        return [
            _draw_one(connection, hand, plan, who, chosen, (extra_min or {}).get(who, 0), profile, "")
            for chosen in [_chosen(hand.catalogue, plan, (), facility or {})]
            for who in people
        ]


def resit(
    hand: Hand,
    paper_id: str,
    *,
    profile: Profile | None = None,
    facility: Mapping[str, float] | None = None,
) -> TestPaper:
    """Draw another paper on the same plan for somebody who did not pass: other variants, after a wait.

    Raises
    ------
    NotAllowed
        If the paper was not marked, was passed, or the wait is not over.
    """
    with hand.records.writing() as connection:
        paper = paper_of(connection, paper_id)
        sat = result_act(connection, paper.id)
        if sat is None:
            raise NotAllowed(f"The paper {paper.id} was not marked yet.")
        if sat.facts["sat"]["passed"]:
            raise NotAllowed(f"The paper {paper.id} was passed: there is nothing to sit again.")
        first = sat.at.astimezone().date() + timedelta(days=RESIT_AFTER_DAYS)
        if hand.today() < first:
            raise NotAllowed(f"Another paper may be drawn from {first.isoformat()} on: first practise again.")
        tasks: dict[str, int] = defaultdict(int)
        for task in paper.tasks:
            tasks[task.criterion] += 1
        plan = PaperPlan(1, dict(tasks), paper.minutes, paper.cut_pct)
        before = [task.exercise for task in paper.tasks]
        chosen = _chosen(hand.catalogue, plan, before, facility or {})
        return _draw_one(connection, hand, plan, paper.person, chosen, paper.extra_min, profile, paper.id)


_Chosen = tuple[list[tuple[str, str]], Difficulty | None]


def _chosen(
    catalogue: Catalogue, plan: PaperPlan, before: Collection[str], facility: Mapping[str, float]
) -> _Chosen:
    tasks = choose(catalogue, plan, before, facility)
    return tasks, difficulty_of(catalogue, [name for _, name in tasks], facility)


def _draw_one(
    connection: Connection,
    hand: Hand,
    plan: PaperPlan,
    person: str,
    chosen: _Chosen,
    extra_min: int,
    profile: Profile | None,
    resit_of: str,
) -> TestPaper:
    if "apprentice" not in roles_of(connection, person):
        raise NotAllowed(f"{person} is no apprentice here now. Take them on first.")
    if not 0 <= extra_min <= plan.minutes:
        raise OutOfRange("the extra time", extra_min, f"from 0 to {plan.minutes} min")
    rules = profile or rules_in_force()
    wanted = {exercise for _, exercise in chosen[0]}
    fresh = _Fresh(hand.catalogue, rules, _met_before(connection, hand, person, wanted, rules))
    tasks = [fresh.task(place, *each) for place, each in enumerate(chosen[0], start=1)]
    facts = {
        "paper_id": f"tp-{secrets.token_hex(5)}",
        "day": hand.today().isoformat(),
        "minutes": plan.minutes,
        "extra_min": extra_min,
        "cut_pct": plan.cut_pct,
        "profile": rules.id,
        "tasks": [
            [one.criterion, one.exercise, one.version, str(one.seed), one.fingerprint, one.practised]
            for one in tasks
        ],
        "resit_of": resit_of,
        **({} if chosen[1] is None else {"difficulty": asdict(chosen[1])}),
    }
    return _paper(write(connection, hand, Draft(DRAWN, hand.person, person, facts=facts)))


def _met_before(
    connection: Connection, hand: Hand, person: str, wanted: Collection[str], rules: Profile
) -> dict[str, set[str]]:
    """Return the contents that a person met in practice and on papers, by exercise."""
    people, entries, exercises = schema.people.c, schema.entries.c, schema.exercises.c
    query = (
        select(exercises.exercise_id, entries.seed)
        .join_from(schema.entries, schema.people, people.key == entries.person)
        .join(schema.exercises, exercises.key == entries.exercise)
        .where(people.person_id == person, exercises.exercise_id.in_(wanted), entries.seed.is_not(None))
        .distinct()
    )
    seeds = [(name, int(seed)) for name, seed in connection.execute(query)]
    for act in acts.read(connection, kind=DRAWN, person=person):
        seeds += [(task[1], int(task[3])) for task in act.facts["tasks"] if task[1] in wanted]
    found: dict[str, set[str]] = defaultdict(set)
    for name, seed in seeds:
        found[name].add(_content(hand.catalogue, name, seed, rules))
    return found


@lru_cache(maxsize=50_000)
def _content(catalogue: Catalogue, exercise: str, seed: int, rules: Profile) -> str:
    return catalogue.content_print(catalogue.question(exercise, seed, rules))


def paper_of(connection: Connection, paper_id: str) -> TestPaper:
    """Return a paper that was drawn.

    Raises
    ------
    UnknownName
        If there is none of that id.
    """
    known = {}
    for act in acts.read(connection, kind=DRAWN):
        if act.facts["paper_id"] == paper_id:
            return _paper(act)
        known[act.facts["paper_id"]] = act
    raise UnknownName("paper", paper_id, list(known)[-8:])


def papers(connection: Connection, person: str | None = None) -> Iterator[tuple[TestPaper, Act | None]]:
    """Yield every paper, or a person's, oldest first, with the act of its result if it was marked."""
    results = {str(act.facts["sat"]["paper_id"]): act for act in _results(connection, person)}
    for act in acts.read(connection, kind=DRAWN, person=person):
        yield _paper(act), results.get(act.facts["paper_id"])


def result_act(connection: Connection, paper_id: str) -> Act | None:
    """Return the act of a paper's result, or None if it was not marked."""
    return next((act for act in _results(connection) if act.facts["sat"]["paper_id"] == paper_id), None)


def _results(connection: Connection, person: str | None = None) -> Iterator[Act]:
    marked = acts.read(connection, kind="observed", person=person, fact="sat")
    return (act for act in marked if isinstance(act.facts.get("sat"), Mapping))


def _paper(act: Act) -> TestPaper:
    facts = act.facts
    tasks = tuple(
        PaperTask(place, str(c), str(e), int(v), int(s), str(f), bool(p))
        for place, (c, e, v, s, f, p) in enumerate(facts["tasks"], start=1)
    )
    return TestPaper(
        str(facts["paper_id"]),
        act.number,
        str(act.person),
        str(facts["day"]),
        int(facts["minutes"]),
        int(facts["extra_min"]),
        float(facts["cut_pct"]),
        str(facts["profile"]),
        tasks,
        str(facts["resit_of"]),
        Difficulty(**facts["difficulty"]) if facts.get("difficulty") else None,
    )


def questions_of(
    paper: TestPaper, catalogue: Catalogue, profile: Profile | None = None
) -> tuple[Question, ...]:
    """Return the questions of a paper, drawn again.

    Raises
    ------
    OtherVersion
        If the kit, or the rules of this machine, draw another question than the one that was printed.
    """
    rules = profile or rules_in_force()
    found = [catalogue.question(task.exercise, task.seed, rules) for task in paper.tasks]
    other = [
        task.place
        for task, question in zip(paper.tasks, found, strict=True)
        if catalogue.fingerprint(question) != task.fingerprint
    ]
    if other:
        places = ", ".join(map(str, other[:8]))
        raise OtherVersion(
            f"The paper {paper.id} was drawn by another version of the kit or under other rules: task "
            f"{places} asks something else today. It was drawn under {paper.profile}; draw a new paper."
        )
    return tuple(found)


def result_of(
    paper: TestPaper, questions: Sequence[Question], answers: Mapping[int, Any], catalogue: Catalogue
) -> PaperResult:
    """Return what answers earn, by place of their task. A task without an answer earns nothing.

    A criterion is met if the paper is passed and its own tasks reach the cut. A paper is passed if its points
    reach the cut and every task on a safety-critical criterion is right. On a paper that was not passed,
    criteria with a task that was not right are not met, and the others stay open.
    """
    outcomes = [catalogue.mark(each, answers.get(place)) for place, each in enumerate(questions, start=1)]
    score, of = sum(one.score for one in outcomes), sum(one.of for one in outcomes)
    by_criterion: dict[str, list[Outcome]] = defaultdict(list)
    for task, outcome in zip(paper.tasks, outcomes, strict=True):
        by_criterion[task.criterion].append(outcome)
    lost = tuple(
        task.place
        for task, outcome in zip(paper.tasks, outcomes, strict=True)
        if catalogue.criteria[task.criterion].safety_critical and outcome.score < outcome.of
    )
    passed = not lost and 100.0 * score >= paper.cut_pct * of - 1e-9
    points = {name: _outcome(found, passed, paper.cut_pct) for name, found in by_criterion.items()}
    unanswered = tuple(task.place for task in paper.tasks if answers.get(task.place) in (None, "", [], {}))
    return PaperResult(score, of, passed, points, tuple(outcomes), lost, unanswered)


def _outcome(found: Sequence[Outcome], passed: bool, cut_pct: float) -> str:
    score, of = sum(one.score for one in found), sum(one.of for one in found)
    if passed:
        return "met" if 100.0 * score >= cut_pct * of - 1e-9 else "not met"
    return "not seen" if score >= of - 1e-9 else "not met"


def as_text(answers: Mapping[int, Any]) -> str:
    """Return answers as one text, to keep beside the result."""
    return json.dumps({str(place): each for place, each in sorted(answers.items())}, ensure_ascii=False)
