"""Numbers on the desk: which questions to mend, whether messages help, how one's own judging was taken."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date
from typing import TYPE_CHECKING, Any

from kit import statistics, tables
from kit.basics.errors import BadData
from kit.exercises.catalogue import Catalogue
from kit.records.competence import deciding, moderating
from kit.records.competence.disputes import settled_appeals
from kit.records.people.staff import roles_of
from kit.records.storage.store import Records
from kit.statistics.agreement import LEAST_CASES
from kit.statistics.feedback import LEAST_MISSES
from kit.statistics.items import LEAST_DISCRIMINATION, LEAST_FACILITY
from kit.statistics.judging_over_time import LATELY_MONTHS
from kit.tables.frames import called
from kit.views.tutor.alike_page import alike_blocks
from kit.views.tutor.case_blocks import case_blocks
from kit.views.tutor.pages import Block, button, buttons, fold, table, title, words
from kit.views.tutor.paper_blocks import paper_blocks
from kit.views.tutor.part import Part
from kit.views.tutor.verifier_page import finding_blocks

if TYPE_CHECKING:
    from pandas import DataFrame

MOST_ROWS, MOST_MONTHS = 10, 12
SHARED = (
    "Shared work is a batch of one person and day that another tutor saw too. 1 is full agreement, 0 is "
    "chance. The intervals are wide in a single month: look at the run of months."
)
FAULT_WORDS = {
    "the able miss it": "Those who know more miss it more often. Is the key right?",
    "safety: nearly all miss it": "It can hurt someone, and nearly nobody gets it.",
    "a message that helps less than none": "After its message fewer are right than after the general one.",
    "most wrong answers have no name": "Most wrong answers show no known slip.",
    "safety: nearly all get it": "It can hurt someone, and nearly all get it: does it still ask anything?",
    "a slip that nobody makes": "A slip that nobody makes.",
}
"""What each fault of ``kit.statistics.mending.HARM`` is called on the page."""
CUT_SAYS = (
    "For a paper, judges say twice how likely a barely competent person is right. For a practical, the line "
    "through points and grades says it. The form opens below."
)
WHAT_COUNTS = (
    "First tries of practice alone. In brackets: where the true figure lies, 95 times in 100. "
    "A figure shows where to look. It ranks nobody, and no decision rests on it."
)


class NumbersPart(Part):
    """The part of the page. It reads the numbers only when asked: large records take seconds.

    ``other`` hears what is asked besides: to open a form.
    """

    def __init__(
        self, records: Records, me: str, today: date, other: Callable[[Mapping[str, Any]], None]
    ) -> None:
        self._about, self._other = (records, me, today), other
        super().__init__(self._hear_ask, "numbers")
        self._numbers: list[Block] = []
        self.again()

    def again(self) -> None:
        """Show what waits as it stands now; numbers that were read stay until they are read again."""
        records, me, _ = self._about
        self.show([*(self._numbers or _not_read()), *work_blocks(records, me)])

    def _hear_ask(self, what: Mapping[str, Any]) -> None:
        if what.get("do") != "numbers":
            self._other(what)
            return
        records, me, today = self._about
        self._numbers = numbers_blocks(records, me, today)
        self.show([*self._numbers, *work_blocks(records, me)], focus="numbers")


def _not_read() -> list[Block]:
    read = {**button("Read the numbers", do="numbers"), "key": "read-numbers"}
    about = words("Which questions to mend, and how your own judging was taken.", note=True)
    return [about, buttons(read)]


def work_blocks(records: Records, me: str) -> list[Block]:
    """Return what somebody at the desk may do here: test papers, a cut, the ten cases."""
    with records.reading() as connection:
        roles = roles_of(connection, me)
    return [*paper_blocks(records, roles), *cut_blocks(me), *case_blocks(records, me, roles)]


def cut_blocks(me: str) -> list[Block]:
    """Return the buttons that open the forms of a cut score, for somebody at the desk."""
    if not me:
        return []
    paper = button("Cut of a paper, by judges", do="form", form="cut")
    return [
        title("Where does the line lie?", level=4),
        words(CUT_SAYS, note=True),
        buttons(paper, button("Cut of a practical", do="form", form="borderline")),
    ]


def numbers_blocks(records: Records, me: str, today: date) -> list[Block]:
    """Return both pages: about the questions, and about whoever is at the desk."""
    try:
        attempts = tables.attempts(records)
        blocks = [title("Questions to mend", "numbers", 4), words(WHAT_COUNTS, note=True)]
        blocks += mend_blocks(attempts, tables.bank())
        blocks += message_blocks(statistics.second_tries(attempts))
        blocks += alike_blocks(records, attempts)
    except BadData as error:  # the library for it is not installed
        return [title("Questions to mend", "numbers", 4), words(str(error))]
    return blocks + (own_blocks(records, me, today) if me else [])


def mend_blocks(attempts: DataFrame, bank: DataFrame) -> list[Block]:
    """Return the questions to mend, the most harmful first, each with the command that opens it."""
    people = int(attempts["person"].nunique())
    found = statistics.questions_to_mend(attempts, bank)
    worst = found["exercise"].drop_duplicates().head(MOST_ROWS)  # a question may have two faults: two lines
    found = found[found["exercise"].isin(worst)]
    asked = (
        f"{people} people have practised. A share shows from {LEAST_FACILITY} people on, a share of misses "
        f"from {LEAST_MISSES} misses on, and whether the able miss it from {LEAST_DISCRIMINATION} people on."
    )
    if found.empty:
        return [words(f"No question stands out. {asked}")]
    titles = titles_of(found["exercise"])
    rows = [
        (
            titles[row["exercise"]],
            _fault(row),
            _figure(row, "figure", "n"),
            f"smokehouse author look {row['exercise']}",
        )
        for row in _records(found)
    ]
    head = ("Question", "What is wrong", "Figure", "To look at it")
    return [
        table("The most harmful first, twice as heavy where it can hurt someone", head, rows),
        words(asked, note=True),
    ]


def message_blocks(tries: DataFrame) -> list[Block]:
    """Return whether the messages help: the second try after each, against the general message."""
    shown = tries[tries["gain"].notna()].sort_values("gain")
    about = (
        "The second try after a message, against the second try after the general one. Different people made "
        "different slips, so a small difference proves nothing."
    )
    if shown.empty:
        none = f"No message was read by {LEAST_MISSES} people who tried again, so nothing is shown."
        return [title("Does the message help?", level=4), words(none)]
    titles = titles_of(shown["exercise"])
    better, worse = int((shown["gain_low"] > 0).sum()), int((shown["gain_high"] < 0).sum())
    rows = [
        (
            titles[row["exercise"]],
            row["slip"],
            f"{100 * row['right']:.0f} %, n {row['tried_again']}",
            f"{100 * row['generic_right']:.0f} %, n {row['generic_tries']}",
            _figure(row, "gain", "tried_again", "%"),
        )
        for row in _records(shown.head(MOST_ROWS))
    ]
    head = ("Question", "Slip", "Right after it", "Right after the general one", "Difference")
    count = f"Of {len(shown)} messages with enough readers, {better} surely help and {worse} surely do not."
    lowest = table("Messages, the lowest difference first", head, rows)
    return [
        title("Does the message help?", level=4),
        words(count),
        fold("The messages", words(about, note=True), lowest),
    ]


def own_blocks(records: Records, me: str, today: date) -> list[Block]:
    """Return how one tutor's own decisions were taken, how fast they entered what they saw, and any drift."""
    mine = called(records, False).get(me, "")
    decided, observed = tables.decisions(records), tables.observations(records)
    signed = _of_tutor(statistics.overturned(decided), mine)
    seen = _of_tutor(statistics.days_until_entered(observed), mine)
    with records.reading() as connection:
        appeals = settled_appeals(connection, me)
        said = finding_blocks(moderating.findings_on(connection, me))
    rows = [
        (
            "Second signatures that disagreed",
            f"{row['disagreed']} of {row['looked_at']}",
            _figure(row, "share", "looked_at", "%"),
        )
        for row in signed
    ]
    rows.append(
        (
            "Appeals settled by assessing again",
            f"{appeals.count(deciding.SETTLED[1])} of {len(appeals)}",
            "a count alone",
        )
    )
    rows += [
        (
            "Days from seeing to entering",
            f"{row['observations']} observations",
            _figure(row, "days", "observations", " days"),
        )
        for row in seen
    ]
    months = _of_tutor(statistics.judging_by_month(decided, observed), mine)
    drifted = _of_tutor(statistics.drift(decided, today), mine)
    note = (
        f"It is about you alone, for you to look at. A figure shows from {LEAST_CASES} on. It ranks nobody."
    )
    caption = "How others took what you decided"
    heading = title("How much do I agree with others?", level=4)
    found = table(caption, ("What", "How many", "Figure"), rows)
    return [heading, found, *month_blocks(months, drifted), *said, words(note, note=True)]


def month_blocks(months: Sequence[Mapping[str, Any]], drifted: Sequence[Mapping[str, Any]]) -> list[Block]:
    """Return one tutor's judging month by month, and whether lately is another than before."""
    head = ("Month", "Second signatures that disagreed", "Agreement on shared work", "Days to entering")
    rows = [
        (
            f"{row['month'].strftime('%B %Y')}",
            _monthly(row, "share", "looked_at", "%"),
            _monthly(row, "kappa", "cases"),
            _monthly(row, "days", "observations", " days"),
        )
        for row in months[-MOST_MONTHS:]
    ]
    found = table("The last months with anything to show", head, rows)
    shown = fold("Month by month", words(SHARED, note=True), found)
    return [words(_drift_words(row)) for row in drifted] + ([shown] if rows else [])


def _drift_words(row: Mapping[str, Any]) -> str:
    now, then = (f"{row[side]} of {row[f'{side}_looked_at']}" for side in ("lately", "before"))
    counts = f"In the last {LATELY_MONTHS} months a second signature disagreed {now} times, before {then}"
    if row["difference"] is None:
        return f"{counts}: too few to say whether that is a drift."
    low, high = (100 * row[f"difference_{end}"] for end in ("low", "high"))
    surely = low > 0 or high < 0
    said = "That is a drift" if surely else "That shows no drift"
    return (
        f"{counts}. {said}: {100 * row['difference']:+.0f} points of a hundred ({low:+.0f} to {high:+.0f})."
    )


def _monthly(row: Mapping[str, Any], name: str, n: str, unit: str = "") -> str:
    return _figure(row, name, n, unit) if row[n] else "–"


def titles_of(names: Any) -> dict[str, str]:
    """Return the titles of exercises; one that today's bank does not have keeps its id."""
    bank, known = Catalogue(), set(tables.bank()["exercise"])
    return {name: bank.info(name).title if name in known else name for name in names}


def _fault(row: Mapping[str, Any]) -> str:
    slip = row["slip"]
    named = f" The slip: {slip}." if isinstance(slip, str) and slip else ""
    return FAULT_WORDS[row["fault"]] + named


def _figure(row: Mapping[str, Any], name: str, n: str, unit: str = "") -> str:
    """Return a figure with its interval and its n, or that there are too few. A share may be told in %."""
    value = row[name]
    if value is None or value != value:
        return f"too few to show, n {row[n]}"
    low, high = (row.get(f"{name}_{end}", row.get(end)) for end in ("low", "high"))
    if unit == "%":
        return f"{100 * value:.0f} % ({100 * low:.0f} to {100 * high:.0f} %), n {row[n]}"
    return f"{value:.2f}{unit} ({low:.2f} to {high:.2f}), n {row[n]}"


def _of_tutor(found: DataFrame, tutor: str) -> list[dict[str, Any]]:
    return _records(found[found["tutor"] == tutor])


def _records(found: DataFrame) -> list[dict[str, Any]]:
    plain = found.astype(object).where(found.notna(), None)
    return [{str(name): value for name, value in row.items()} for row in plain.to_dict("records")]
