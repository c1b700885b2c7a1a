"""How a person's answer book came about, and three questions to ask them aloud."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from kit.exercises.catalogue import Catalogue
from kit.records.competence.first_tries import Evidence, evidence_of
from kit.records.intake.how_it_came import Trait, traits_of
from kit.records.people.crew import key_of, names_of
from kit.records.reports.sheet_content import Ask, sheet_of
from kit.records.storage.store import Records

if TYPE_CHECKING:
    from kit.criteria import Criterion

QUESTIONS = 3
ACCUSES_NOBODY = (
    "These figures accuse nobody, and no mark changes by them. Each has honest reasons too. If one surprises "
    "you, ask aloud: whoever knows it can say it. The limits are ours: common practice, no source."
)


@dataclass(frozen=True)
class AskAloud:
    """A question to ask one person aloud, on which criterion, and why on that one."""

    criterion: Criterion
    why: str
    ask: Ask


@dataclass(frozen=True)
class BookStory:
    """How a book came about. ``traits`` is empty where no book was taken in."""

    person: str
    name: str
    traits: tuple[Trait, ...]
    asks: tuple[AskAloud, ...]

    def lines(self) -> Iterator[str]:
        """Yield it as plain lines, for a terminal."""
        yield f"How the book of {self.name} came about"
        if not self.traits:
            yield "No book was taken in yet."
            return
        for one in self.traits:
            yield f"{one.about}: {one.figure}"
            if one.ask:
                yield f"  Ask about this. {one.perhaps}"
        yield ACCUSES_NOBODY
        for each in self.asks:
            yield f"{each.criterion.id}, {each.why}: {each.ask.ask}"
            yield f"  A good answer: {each.ask.good}"


def book_story(records: Records, person: str, catalogue: Catalogue | None = None) -> BookStory:
    """Return how a person's book came about.

    Parameters
    ----------
    records : Records
        The open records.
    person : str
        The id.
    catalogue : Catalogue, optional
        Default: the kit's own.

    Raises
    ------
    UnknownName
        If there is no such person.
    """
    catalogue = catalogue or Catalogue()
    with records.reading() as connection:
        traits = traits_of(connection, person)
        tries = evidence_of(connection, key_of(connection, person), catalogue)
        return BookStory(person, names_of(connection)[person], traits, tuple(_asks(tries, catalogue)))


def _asks(tries: dict[str, list[Evidence]], catalogue: Catalogue) -> Iterator[AskAloud]:
    """Yield questions where the person missed most; then on what much rests, safety first."""
    tried = {
        catalogue.criteria[name]: each
        for name, each in tries.items()
        if name in catalogue.criteria and catalogue.criteria[name].kind == "knowledge"
    }
    order = sorted(
        tried,
        key=lambda one: (-_missed(tried[one]) / len(tried[one]), not one.safety_critical, -len(tried[one])),
    )
    asked: set[Ask] = set()
    for criterion in order:
        ask = next((one for one in sheet_of(criterion.step).asks if one not in asked), None)
        if ask is not None and len(asked) < QUESTIONS:
            asked.add(ask)
            missed, of = _missed(tried[criterion]), len(tried[criterion])
            yield AskAloud(criterion, f"{missed} of {of} missed at first", ask)


def _missed(tries: list[Evidence]) -> int:
    return sum(one.role == "missed" for one in tries)
