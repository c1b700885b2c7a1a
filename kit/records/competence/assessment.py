"""What is said of one person on one criterion: the state in words, what is missing, what is next, until when.

``assess`` works it out. Here stand only the words and the shape.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Literal

from kit.records.competence.decision_state import Decided, DecisionState
from kit.records.competence.standings import Practice
from kit.records.ledger.projection import NOT_YET

if TYPE_CHECKING:
    from kit.criteria import Criterion

EVIDENCE_RULE = 3
"""The number of the rule of evidence: each decision carries it, so that a check knows what to ask of it.

From 2 on the evidence is weighed again; from 3 on also the readings behind it, and how its second signature
is drawn.
"""
EvidenceState = Literal["nothing", "practising", "sitting", "observe", "seen", "ready"]
State = DecisionState | EvidenceState
EVIDENCE_SAYS: dict[EvidenceState, str] = {
    "nothing": "nothing yet",
    "practising": "practising",
    "sitting": "not yet: needs a supervised sitting or oral check",
    "observe": "not yet: needs an observation",
    "seen": "not yet: seen at work, but not met on enough days",
    "ready": "the evidence is complete: ready for a decision",
}
"""How far the evidence has come, where no decision stands."""
Next = Literal["settle", "look", "again", "review", "refresher", "decide", "ask", "observe", "second"]
NEXT_SAYS: dict[Next, str] = {
    "settle": "settle the appeal",
    "look": "look at the disputed mark",
    "again": "second signature refused: decide anew",
    "review": "review date has passed",
    "refresher": "refresher due within 30 days",
    "decide": "ready for a decision",
    "ask": "ready for an oral check or a supervised sitting",
    "observe": "ready to be seen at work",
    "second": "a second signature is wanted",
}
"""What may be done next; the most pressing first."""
AFTER: dict[DecisionState, Next] = {
    "appeal": "settle",
    "second refused": "again",
    "over": "review",
    "refresher due": "refresher",
}
_STILL: dict[DecisionState, str] = {
    "competent": "Nothing.",
    "refresher due": "A refresher.",
    "second wanted": "A verifier's signature.",
    "second refused": "A new decision by a tutor.",
    "lapsed": "A verifier's signature: until then it does not hold.",
    "appeal": "Somebody else settles the appeal.",
    "disputed": "A tutor looks at the disputed mark.",
}


@dataclass(frozen=True, slots=True)
class Assessment:
    """Where one person stands on one criterion on one day.

    Parameters
    ----------
    criterion : Criterion
        The criterion.
    day : date
        The local day.
    state : str
        The state of the decision that stands, or how far the evidence has come where there is none.
    next : tuple of str
        What may be done next, the most pressing first; empty if nothing waits.
    days, needed : int
        On how many days it was met at work, and how many it takes [days]; for knowledge, how many notches
        practice has come of those to go.
    points : tuple of int
        The acts that count today: observations of work, or oral checks and supervised sittings.
    decided : Decided or None
        The decision that stands.
    practice : Practice or None
        How far practice has come; for doing the work, what prepares for it. It decides nothing.
    """

    criterion: Criterion
    day: date
    state: State
    next: tuple[Next, ...]
    days: int
    needed: int
    points: tuple[int, ...]
    decided: Decided | None = None
    practice: Practice | None = None

    @property
    def says(self) -> str:
        """The state in words: the decision, if there is one, else how far the evidence has come."""
        return self.decided.says if self.decided else EVIDENCE_SAYS[self.state]  # type: ignore[index]  # no decision

    @property
    def detail(self) -> str:
        """The state in words with its day, or with how many days were shown of those needed."""
        if self.decided is not None and self.state == "not yet":
            return f"{self.says}, decided on {self.decided.day.isoformat()}"
        if self.until is not None:
            return f"{self.says}, review by {self.until.isoformat()}"
        if self.state == "seen":
            return f"{self.says}; met on {self.days} of {self.needed} days"
        if self.practice is not None and self.state in ("practising", "sitting"):
            return f"{self.says}; {self.practice.says_on(self.day)}"
        return self.says

    @property
    def count(self) -> str:
        """Days, or notches of practice, of those needed, such as ``1/2``, while on its way; else empty."""
        on_its_way = self.state in ("seen", "practising", "sitting")
        return f"{min(self.days, self.needed)}/{self.needed}" if on_its_way else ""

    @property
    def missing(self) -> tuple[str, ...]:
        """What the evidence lacks for ``competent`` today, in words; empty if it is complete."""
        if self.criterion.kind == "performance":
            short = self.days < self.needed
            met = f"observed and met on {self.days} of {self.needed} days, each on a batch of its own."
            return (met,) if short else ()
        sure = "not begun" if self.practice is None else self.practice.says_on(self.day)
        lacking = f"practice has not shown it ({sure})"
        if not self.criterion.safety_critical:
            return () if self.held or self.points else (f"{lacking}, and there is no oral check.",)
        lacks = [] if self.points else ["an oral check or a supervised sitting."]
        return tuple(lacks if self.held else [*lacks, f"{lacking}."])

    @property
    def still(self) -> str:
        """What the criterion still needs, in words, seeing what was decided."""
        if self.decided is not None and self.decided.state in _STILL:
            until = f" Review on {self.until.isoformat()}." if self.until else ""
            return _STILL[self.decided.state] + until
        return " ".join(each[:1].upper() + each[1:] for each in self.missing) or "The tutor's decision."

    @property
    def until(self) -> date | None:
        """The last day on which the decision holds; None where none holds."""
        return self.decided.review_on if self.decided is not None and self.decided.holds else None

    @property
    def holds(self) -> bool:
        """Whether this person counts as competent today."""
        return self.decided is not None and self.decided.holds

    @property
    def decision(self) -> str:
        """``competent`` or ``not yet competent``. Evidence alone never changes it."""
        return self.decided.decision if self.decided else NOT_YET

    @property
    def held(self) -> bool:
        """Whether practice has shown it, or for doing the work, what prepares for it."""
        return self.practice is not None and self.practice.held_on(self.day)

    @property
    def lines(self) -> tuple[int, ...]:
        """The lines of the answer book that count, as keys of ``entries``: practice, for knowledge alone."""
        if self.practice is None or self.criterion.kind == "performance":
            return ()
        return tuple(json.loads(self.practice.counted))
