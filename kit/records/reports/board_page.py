"""The board as a page to print, and as rows for a spreadsheet. It reads a board; it decides nothing."""

from __future__ import annotations

import csv
import io
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import TYPE_CHECKING

from kit.exercises.catalogue import Catalogue
from kit.records.competence.assessment import EVIDENCE_SAYS, Assessment
from kit.records.competence.decision_state import DECISION_SAYS
from kit.records.competence.first_tries import Evidence
from kit.records.intake.review import open_matters
from kit.records.intake.review_queue import Waiting
from kit.records.reports.board import PRACTICE_IS_UNSUPERVISED, Board, BoardPerson, tries_of
from kit.records.reports.step_standing import StepStanding, step_standings
from kit.records.storage.store import Records

if TYPE_CHECKING:
    from kit.criteria import Criterion
    from kit.rules import Source

EVIDENCE_UP_TO = 100  # people; a larger board names the command that prints one person


@dataclass(frozen=True)
class ShownCell:
    """One cell as drawn: which sign, its words, and a number to print beside it."""

    sign: str
    words: str
    number: str = ""
    target: str = ""


@dataclass(frozen=True)
class PrintedPerson:
    """One person of the page: where they stand on what was touched, with the tries, and what waits."""

    person: BoardPerson
    touched: tuple[tuple[Assessment, tuple[Evidence, ...]], ...]
    waits: tuple[Waiting, ...]


def step_title(step: str) -> str:
    """Return a step's name for people.

    Examples
    --------
    >>> step_title("cook")
    'Cook by temperature'
    """
    from kit import criteria

    known = criteria.steps().get(step)
    return known.title if known else step.replace("_", " ").capitalize()


def long_day(day: date | datetime | None) -> str:
    """Return a date that nobody can misread.

    Examples
    --------
    >>> long_day(date(2026, 3, 2))
    '2 March 2026'
    """
    return "" if day is None else f"{day.day} {day:%B %Y}"


_SIGNS = {
    "competent": "signed",
    "refresher due": "signed-soon",
    "second wanted": "signed-second",
    "not yet": "not-yet",
    "over": "not-yet",
    "lapsed": "not-yet",
    "second refused": "not-yet",
    "appeal": "opened-again",
    "disputed": "opened-again",
    "seen": "observe",
    "sitting": "tally-3-3-sitting",
}
"""The sign of each state, where it is not the state's own name."""


def shown_cell(stands: Assessment, target: str = "") -> ShownCell:
    """Return how a cell is drawn. The sign never speaks alone: its words go with it for a screen reader."""
    state = stands.state
    sign, words, number = _SIGNS.get(state, state), stands.detail, ""
    if state == "practising":
        sign = f"tally-{stands.count.replace('/', '-')}"
    elif state == "seen":
        number = stands.count
    elif state == "observe" and stands.practice is not None and stands.practice.tries:
        number = str(stands.practice.tries)
        words += f"; {number} practice variants tried"
    linked = state not in ("nothing", "observe") or number
    return ShownCell(sign, words, number, target if linked else "")


def as_html(records: Records, board: Board, catalogue: Catalogue | None = None) -> str:
    """Return the board as one self-contained page: no script is needed to read it, nothing is fetched.

    Up to 100 people the page holds every person's evidence; above that it names the command for one person.
    """
    from jinja2 import Environment, PackageLoader, StrictUndefined

    catalogue = catalogue or Catalogue()
    detailed = len(board.people) <= EVIDENCE_UP_TO
    environment = Environment(
        loader=PackageLoader("kit.records.reports", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters.update(step_title=step_title, long_day=long_day)
    return environment.get_template("board.html.j2").render(
        board=board,
        pages=_pages(records, board, catalogue) if detailed else (),
        detailed=detailed,
        evidence_up_to=EVIDENCE_UP_TO,
        practised=_practised(board),
        tags={one.person_id: _tags(board, one) for one in board.people},
        twice=[name for name, count in Counter(p.name for p in board.people).items() if count > 1],
        practice=PRACTICE_IS_UNSUPERVISED,
        states=EVIDENCE_SAYS,
        sources=sources_of(board.profiles),
        titles=_titles(catalogue),
        cell=lambda person, criterion, linked=detailed: shown_cell(
            board.of(person, criterion), f"p{person.key}-{criterion.id}" if linked else ""
        ),
        any_holds=any(board.holding(person) for person in board.people),
        decided_words=DECISION_SAYS,
    )


_HEADINGS = (
    "person id",
    "name",
    "step",
    "criterion",
    "kind",
    "safety-critical",
    "decision",
    "decided on",
    "act",
    "second signature",
    "review on",
    "state",
    "practice, notches",
    "practice, notches needed",
    "variants tried",
    "last tried",
    "still missing",
)


def as_csv(board: Board) -> str:
    """Return the board as comma-separated rows, one for each person and criterion.

    A cell that a spreadsheet could take for a formula gets an apostrophe in front.
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(_HEADINGS)
    for person in board.people:
        for criterion in board.criteria:
            writer.writerow([harmless_cell(value) for value in _csv_row(board, person, criterion)])
    return out.getvalue()


def _csv_row(board: Board, person: BoardPerson, criterion: Criterion) -> list[object]:
    stands = board.of(person, criterion)
    decided, practice = stands.decided, stands.practice
    knowledge = criterion.kind == "knowledge"
    return [
        person.person_id,
        person.name,
        step_title(criterion.step),
        criterion.id,
        criterion.kind,
        "yes" if criterion.safety_critical else "no",
        stands.decision,
        decided.day.isoformat() if decided else "",
        decided.act if decided else "",
        decided.second if decided else "",
        decided.review_on.isoformat() if decided and decided.review_on else "",
        stands.says,
        stands.days if knowledge else "",
        stands.needed if knowledge and practice else "",
        practice.tries if practice else 0,
        practice.last_day.isoformat() if practice and practice.last_day else "",
        stands.still,
    ]


def harmless_cell(value: object) -> object:
    """Return a cell that no spreadsheet takes for a formula."""
    if isinstance(value, str) and value.startswith(("=", "+", "-", "@", "\t", "\r")):
        return "'" + value
    return value


def _practised(board: Board) -> set[str]:
    """Return the steps in which anybody has tried or shown anything."""
    touched = frozenset[str]().union(*(board.stands.touched(person.person_id) for person in board.people))
    return {criterion.step for criterion in board.criteria if criterion.id in touched}


def _tags(board: Board, person: BoardPerson) -> dict[str, StepStanding]:
    stands = (board.of(person, criterion) for criterion in board.criteria)
    return step_standings(stands, board.stands.touched(person.person_id))


def _pages(records: Records, board: Board, catalogue: Catalogue) -> Sequence[PrintedPerson]:
    waits: dict[str, list[Waiting]] = {}
    for one in open_matters(records, board.people[0].person_id if len(board.people) == 1 else None):
        waits.setdefault(one.who, []).append(one)
    pages = []
    for person in board.people:
        tries = tries_of(records, person, catalogue)
        every = ((board.of(person, c), tuple(tries.get(c.id, ()))) for c in board.criteria)
        touched = tuple((one, about) for one, about in every if about or one.decided or one.points)
        pages.append(PrintedPerson(person, touched, tuple(waits.get(person.person_id, ()))))
    return pages


def sources_of(profiles: Sequence[str]) -> list[tuple[str, list[str]]]:
    """Return the title of each rule profile that answers were given under, and its sources."""
    from kit import rules
    from kit.basics.errors import KitError

    found: list[tuple[str, list[str]]] = []
    for name in profiles:
        try:
            profile = rules.load(name)
        except KitError:
            found.append((f"{name}: not on this machine", []))
            continue
        keys = dict.fromkeys(rule.source for rule in profile.rules)
        found.append((f"{profile.title} ({name})", [_source_words(profile.sources[key]) for key in keys]))
    return found


def _source_words(source: Source) -> str:
    parts = [source.issuer, source.title, source.edition, "" if source.seen else "from memory: confirm"]
    return ". ".join(part.strip(". ") for part in parts if part) + "."


def _titles(catalogue: Catalogue) -> Mapping[str, str]:
    return {name: catalogue.info(name).title for name in catalogue.evidence}
