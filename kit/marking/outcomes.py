"""Making an outcome: the points, the word, and no score outside 0 and full marks."""

from collections.abc import Iterable

from kit.marking.model import Outcome, Question, Slip, Verdict

MOST_SLIPS_SAID = 2
"""How many slips one message speaks of; more would only be noise."""


def scored(question: Question, share: float, message: str, slip: str = "", read_as: str = "") -> Outcome:
    """Return an outcome with a share of the full marks: 1 is right, 0 not yet, anything between partly."""
    share = min(1.0, max(0.0, share))
    verdict: Verdict = "right" if share == 1.0 else "partly" if share > 0.0 else "not yet"
    return Outcome(share * question.of, question.of, verdict, message, slip, read_as)


def right(question: Question, read_as: str, *lighter: str) -> Outcome:
    """Return the outcome of a right answer, with the lighter faults that cost nothing."""
    return scored(question, 1.0, " ".join(["Right.", *lighter]), "", read_as)


def unread(question: Question, message: str) -> Outcome:
    """Return the outcome of an answer that could not be read: no points, and not counted as a try."""
    return Outcome(0.0, question.of, "not read", message)


def with_slips(lead: str, slips: Iterable[Slip]) -> tuple[str, str]:
    """Return the message that follows a lead with what the first slips say, and the first slip's name."""
    found = list(slips)[:MOST_SLIPS_SAID]
    said = dict.fromkeys(slip.says for slip in found)
    return " ".join([lead, *said]), found[0].name if found else ""
