"""Making an outcome: the points, the word, and no score outside 0 and full marks."""

from collections.abc import Callable, Iterable, Sequence

from kit.marking.model import Outcome, Question, Slip, Verdict

MOST_SLIPS_SAID = 2
"""How many slips one message speaks of; more would only be noise."""
LONGEST_QUOTED = 48
"""A message names a line by its first words, up to so many characters."""


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


def with_slips(
    lead: str, slips: Iterable[Slip], lines: Callable[[Slip], Sequence[str]] = lambda _: ()
) -> tuple[str, str]:
    """Return the message that follows a lead with what the first slips say, and the first slip's name.

    ``lines`` gives the lines that a slip is about: they are named before it, unless it names them itself.
    """
    found = list(slips)[:MOST_SLIPS_SAID]
    said = dict.fromkeys(_naming(slip.says, lines(slip)) for slip in found)
    return " ".join([lead, *said]), found[0].name if found else ""


def _naming(says: str, lines: Sequence[str]) -> str:
    quotes = [quoted(line) for line in lines]
    if all(quote.casefold() in says.casefold() for quote in quotes):
        return says
    return f"{' before '.join(f'“{quote}”' for quote in quotes)}: {says}"


def quoted(text: str) -> str:
    """Return a line as a message names it: whole if it is short, else its first words.

    Examples
    --------
    >>> quoted("Salt it."), quoted("Wash the hands before the plaster goes on, and dry them with paper")
    ('Salt it', 'Wash the hands before the plaster goes on, and …')
    """
    whole, kept = text.rstrip("."), ""
    if len(whole) <= LONGEST_QUOTED:
        return whole
    for word in whole.split():
        if kept and len(kept) + len(word) >= LONGEST_QUOTED:
            break
        kept = f"{kept} {word}".strip()
    return f"{kept.rstrip(',;:')} …"
