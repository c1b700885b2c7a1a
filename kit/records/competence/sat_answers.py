"""What was answered on every paper that was marked, marked again: which tasks were right, and which slips."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import NamedTuple

from sqlalchemy import Connection

from kit.exercises.catalogue import Catalogue
from kit.records.competence.papers import OtherVersion, papers, questions_of
from kit.records.ledger import texts
from kit.rules import Profile


class SatAnswer(NamedTuple):
    """One answer of a sitting, and which slip it shows, if any."""

    person: str
    paper: str
    exercise: str
    right: bool
    slip: str


def sat_answers(
    connection: Connection, catalogue: Catalogue, profile: Profile | None = None
) -> Iterator[SatAnswer]:
    """Yield each answer of each marked paper, oldest paper first.

    A paper that today's kit draws otherwise, or whose answers were erased, is left out. So is a task without
    an answer.
    """
    for paper, act in papers(connection):
        given = "" if act is None else texts.tell(connection, str(act.facts["sat"].get("given", "")))
        if not given.startswith("{"):
            continue
        try:
            questions = questions_of(paper, catalogue, profile)
        except OtherVersion:
            continue
        answers = json.loads(given)
        for task, question in zip(paper.tasks, questions, strict=True):
            answer = answers.get(str(task.place))
            if answer in (None, "", [], {}):
                continue
            outcome = catalogue.mark(question, answer)
            right = outcome.score >= outcome.of
            yield SatAnswer(paper.person, paper.id, task.exercise, right, "" if right else outcome.slip)
