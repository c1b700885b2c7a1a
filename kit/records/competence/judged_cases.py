"""What tutors say of the same invented cases, each alone: one signed act a tutor, written once.

Nobody is shown what others said before their own act stands. The act holds no name and no words.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping

from sqlalchemy import Connection

from kit.basics.errors import BadData
from kit.records.competence.observations import OUTCOMES
from kit.records.ledger import acts
from kit.records.ledger.acts import Act, Draft, NotAllowed
from kit.records.people.staff import Hand, write

JUDGED = "cases judged"
"""The kind of act that keeps how one tutor rated a set of cases."""
RATINGS = OUTCOMES[:2]
"""What may be said of a case. A case that is left out is a gap."""


def judge_cases(hand: Hand, cases: str, known: Collection[str], ratings: Mapping[str, str]) -> Act:
    """Keep how one tutor rated the cases of a set, signed. It is done once, and alone.

    Parameters
    ----------
    hand : Hand
        The tutor or verifier, with an opened key.
    cases : str
        The print of the set: cases with other words are another set.
    known : collection of str
        The ids of its cases.
    ratings : mapping of str to str
        One of ``RATINGS`` by case.

    Raises
    ------
    BadData
        If a case or a rating is unknown, or nothing was rated. One message names every fault.
    NotAllowed
        If this tutor judged the set before.
    """
    faults = [f"there is no case {name[:20]!r}" for name in ratings if name not in known]
    faults += [f"{name}: {said[:12]!r}" for name, said in ratings.items() if said not in RATINGS]
    if faults or not ratings:
        allowed = f"{' or '.join(RATINGS)} for one case or more of {len(known)}"
        raise BadData("the judgement", "; ".join(faults[:12]) or "no case was rated", allowed)
    with hand.records.writing() as connection:
        before = judgements(connection, cases)
        if hand.person in before:
            raise NotAllowed(
                "You judged these cases before. They are judged once, alone: talk about them now."
            )
        facts = {"cases": cases, "ratings": dict(sorted(ratings.items()))}
        return write(connection, hand, Draft(JUDGED, hand.person, facts=facts))


def judgements(connection: Connection, cases: str) -> dict[str, dict[str, str]]:
    """Return how each tutor rated a set of cases, by the id of the tutor, the first who judged first."""
    found: dict[str, dict[str, str]] = {}
    for act in acts.read(connection, kind=JUDGED):
        if act.facts.get("cases") == cases:
            found.setdefault(act.by, dict(act.facts["ratings"]))
    return found
