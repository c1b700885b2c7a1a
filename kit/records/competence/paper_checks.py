"""What a supervised sitting needs when it is observed: a paper of the person's own, marked once, in time."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from sqlalchemy import Connection

from kit.basics.errors import BadData
from kit.records.competence.readings import Contradiction
from kit.records.ledger import acts
from kit.records.ledger.acts import NotAllowed

DRAWN = "paper drawn"
"""The kind of act that draws a test paper."""


def of_sitting(method: str, points: Mapping[str, str], sat: Mapping[str, Any]) -> Iterator[Contradiction]:
    """Yield that no test paper stands behind a sitting in which something was met, or that it ran over.

    Examples
    --------
    >>> [one.rule for one in of_sitting("supervised sitting", {"COK-K01": "met"}, {})]
    ['no paper']
    >>> list(of_sitting("supervised sitting", {"COK-K01": "not met"}, {}))
    []
    """
    met = [criterion for criterion, outcome in points.items() if outcome == "met"]
    if method != "supervised sitting" or not met:
        return
    if not sat:
        yield Contradiction(met[0], "no paper", "no test paper stands behind this sitting.")
    elif sat["used_min"] > sat["allowed_min"]:
        says = f"it took {sat['used_min']} min; {sat['allowed_min']} min were agreed."
        yield Contradiction(met[0], "late answers", says)


def check_sat(connection: Connection, person: str, step: str, sat: Mapping[str, Any]) -> None:
    """Refuse the result of a paper that was drawn for somebody else, or stands on record for this step.

    Raises
    ------
    BadData
        If no such paper was drawn for this person.
    NotAllowed
        If it was marked before.
    """
    if not sat:
        return
    drawn = acts.get(connection, int(sat["drawn"]))
    if drawn.kind != DRAWN or (drawn.person, drawn.facts["paper_id"]) != (person, sat["paper_id"]):
        raise BadData("the sitting", "no such paper was drawn for this apprentice", "a paper of their own")
    for act in acts.read(connection, kind="observed", person=person):
        before = act.facts.get("sat") or {}
        if before.get("paper_id") == sat["paper_id"] and act.facts.get("step") == step:
            told = f"The paper {sat['paper_id']} was marked before, by act {act.number}: it is sat once."
            raise NotAllowed(told)
