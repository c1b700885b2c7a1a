"""The board in a terminal: signs with words, never colour alone; it fits 80 columns and uses 120."""

from dataclasses import dataclass

from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

from kit.criteria import Criterion
from kit.records import (
    EVIDENCE_SAYS,
    PRACTICE_IS_UNSUPERVISED,
    Assessment,
    Board,
    BoardPerson,
    Records,
    board,
)
from kit.records.competence.decision_state import DECISION_SAYS
from kit.records.intake.review import open_matters
from kit.records.reports.board_page import long_day, step_title
from kit.records.reports.step_standing import StepStanding, step_standings

LONGEST_NAME = 18
_HEAD, _NARROW_HEAD = 5, 3
"""How many letters of a step stand over its column: twelve of three fit 80 columns beside a name."""
WAITS_SHOWN = 12


@dataclass(frozen=True)
class Signs:
    """The characters that draw a cell."""

    full: str
    open: str
    ring: str
    frame: str
    none: str
    dagger: str
    signed: str
    not_yet: str
    again: str
    ready: str
    alone: str
    half: str

    def tag(self, stands: StepStanding) -> str:
        """Return the tag that hangs on the rail for one step."""
        if stands.way == "alone":
            return self.alone
        return f"{self.half}{stands.holds or ''}" if stands.looked_at else self.none

    def tally(self, stands: Assessment) -> str:
        """Return one cell as characters. A decision is drawn in place of evidence."""
        if stands.decided is not None:
            if stands.holds:
                extra = {"second wanted": self.ring, "refresher due": "!"}.get(stands.state, "")
                return self.signed + extra
            return self.again if stands.state in ("appeal", "disputed") else self.not_yet
        if stands.state == "seen":
            return f"{self.frame}{stands.count}"
        if stands.state == "observe":
            return f"{self.frame}{stands.practice.tries}" if stands.practice else self.frame
        if stands.state in ("nothing", "ready"):
            return self.none if stands.state == "nothing" else self.ready
        right = min(stands.days, stands.needed)
        notches = self.full * right + self.open * (stands.needed - right)
        return notches + (self.ring if stands.state == "sitting" else "")


FINE = Signs("▮", "▯", "○", "□", "·", "†", "■", "⊟", "↺", "◆", "■", "◧")
PLAIN = Signs("#", "-", "o", "[]", ".", "*", "[#]", "[-]", "<-", "<>", "##", "+")


def signs_for(console: Console) -> Signs:
    """Return signs that this terminal can print."""
    return FINE if (console.encoding or "").lower().replace("-", "").startswith("utf") else PLAIN


def show(records: Records, console: Console, *, step: str | None = None, person: str | None = None) -> None:
    """Print the whole board, one step of it, or one person."""
    signs = signs_for(console)
    found = board(records, step=step, person=person)
    if not found.people:
        console.print("Nobody has been taken in yet. Begin with: smokehouse take-in BOOK", markup=False)
        return
    if person is not None:
        _person(records, found, console, signs, step)
    elif step is not None:
        _step(found, console, signs)
    else:
        _overview(found, console, signs)
    _legend(console, signs, tallies=step is not None or person is not None)


def _overview(found: Board, console: Console, signs: Signs) -> None:
    steps = found.steps()
    table = _table(f"The rail, {long_day(found.made_at)}")
    head = _HEAD if console.width >= 100 else _NARROW_HEAD
    table.add_column("Apprentice", no_wrap=True, max_width=LONGEST_NAME)
    for each in steps:
        table.add_column(step_title(each)[:head].strip(), no_wrap=True, min_width=head)
    table.add_column("Yes", justify="right", no_wrap=True)
    table.add_column("Look", justify="right", no_wrap=True, min_width=4)
    for person in found.people:
        stands = [found.of(person, criterion) for criterion in found.criteria]
        tags = step_standings(stands, found.stands.touched(person.person_id))
        cells = [signs.tag(tags[each]) for each in steps]
        look = person.flags + person.disputes + person.explanations
        holding = found.holding(person)
        table.add_row(
            Text(person.name), *cells, str(holding or signs.none), str(look) if look else signs.none
        )
    console.print(table)
    _say(console, f"From left to right: {', '.join(step_title(each).lower() for each in steps)}.")
    _say(
        console,
        f"{signs.alone} does the step alone   {signs.half}3 with a tutor, competent on 3 of its criteria   "
        f"{signs.none} nobody looked yet",
    )
    _say(
        console,
        "Yes: criteria on which a tutor's decision holds today. Look: flags, disputes, texts to read.",
    )
    _say(console, "More: --step cook, --person NAME, --out rail.html")


def _step(found: Board, console: Console, signs: Signs) -> None:
    step = found.steps()[0]
    ordered = sorted(found.criteria, key=lambda c: c.kind == "performance")
    table = _table(f"{step_title(step)}, {long_day(found.made_at)}")
    table.add_column("Apprentice", no_wrap=True, max_width=LONGEST_NAME)
    for criterion in ordered:
        table.add_column(_short(criterion, signs), no_wrap=True)
    for person in found.people:
        cells = [Text(signs.tally(found.of(person, c))) for c in ordered]
        table.add_row(Text(person.name), *cells)
    console.print(table)
    for criterion in ordered:
        _say(console, f"{_short(criterion, signs):<5}{criterion.text}")


def _person(records: Records, found: Board, console: Console, signs: Signs, step: str | None) -> None:
    person = found.people[0]
    stands = [found.of(person, criterion) for criterion in found.criteria]
    table = _table(f"{person.name} ({person.person_id}), {person.answers} answers")
    table.add_column("Criterion", no_wrap=True)
    table.add_column("", no_wrap=True)
    table.add_column("State, and what is still missing")
    table.add_column("Last tried", no_wrap=True)
    for stand in stands:
        if stand.practice is None and stand.state in ("nothing", "observe") and step is None:
            continue
        mark = signs.dagger if stand.criterion.safety_critical else ""
        last = stand.practice.last_day.isoformat() if stand.practice and stand.practice.last_day else ""
        words = Text(f"{stand.says}. ", style="bold").append(stand.still, style="not bold")
        table.add_row(f"{stand.criterion.id}{mark}", signs.tally(stand), words, last)
    console.print(table)
    untouched = sum(stand.practice is None for stand in stands)
    if untouched and step is None:
        _say(console, f"{untouched} criteria have no practice yet.")
    _waits(records, person, console)


def _waits(records: Records, person: BoardPerson, console: Console) -> None:
    waits = open_matters(records, person.person_id)
    for one in waits[:WAITS_SHOWN]:
        place = f"line {one.line}" if one.line else "book"
        _say(console, f"{one.sort} ({place}, {one.exercise}): {one.says}")
    if len(waits) > WAITS_SHOWN:
        _say(console, f"and {len(waits) - WAITS_SHOWN} more: see the page (--out person.html)")


def _legend(console: Console, signs: Signs, *, tallies: bool) -> None:
    console.print()
    if tallies:
        _say(console, f"{signs.full} a part of what practice must show   {signs.open} a part still needed")
        _say(console, f"{signs.none} {EVIDENCE_SAYS['nothing']}   {signs.ready} {EVIDENCE_SAYS['ready']}")
        _say(console, f"{signs.full * 3}{signs.ring} {EVIDENCE_SAYS['sitting']}")
        _say(
            console,
            f"{signs.frame} {EVIDENCE_SAYS['observe']}; a number counts practice that prepares for it",
        )
        _say(console, f"{signs.frame}1/2 {EVIDENCE_SAYS['seen']}")
        _say(
            console,
            f"{signs.signed} {DECISION_SAYS['competent']}   "
            f"{signs.signed}{signs.ring} second signature wanted   {signs.signed}! refresher due",
        )
        _say(console, f"{signs.not_yet} {DECISION_SAYS['not yet']}   {signs.again} opened again")
        _say(console, f"{signs.dagger} safety-critical")
    _say(console, PRACTICE_IS_UNSUPERVISED)


def _table(title: str) -> Table:
    return Table(title=Text(title), title_justify="left", box=box.SIMPLE_HEAD, show_edge=False, padding=0)


def _say(console: Console, text: str) -> None:
    console.print(text, markup=False)


def _short(criterion: Criterion, signs: Signs) -> str:
    return criterion.id.partition("-")[2] + (signs.dagger if criterion.safety_critical else "")
