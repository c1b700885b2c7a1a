"""The board in a terminal: signs with words, never colour alone; it fits 80 columns and uses 120."""

from dataclasses import dataclass

from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

from kit.criteria import Criterion
from kit.records import PRACTICE_IS_UNSUPERVISED, STATES, Board, BoardPerson, Cell, Records, board, competence
from kit.records.competence.decision_state import WORDS, Decided
from kit.records.intake.review import open_matters
from kit.records.reports.board import state_of
from kit.records.reports.board_page import long_day, step_title

LONGEST_NAME = 18
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

    def tally(self, criterion: Criterion, cell: Cell | None, decided: Decided | None = None) -> str:
        """Return one cell as characters. A decision is drawn in place of practice."""
        if decided is not None:
            if decided.holds:
                extra = {"second wanted": self.ring, "refresher due": "!"}.get(decided.state, "")
                return self.signed + extra
            return self.again if decided.state in ("appeal", "disputed") else self.not_yet
        state = state_of(criterion, cell)
        if state == "observe":
            return f"{self.frame}{cell.tries}" if cell and cell.tries else self.frame
        if cell is None or state == "nothing":
            return self.none
        right = min(cell.days_right, cell.days_needed)
        notches = self.full * right + self.open * (cell.days_needed - right)
        return notches + (self.ring if state == "sitting" else "")


FINE = Signs("▮", "▯", "○", "□", "·", "†", "■", "⊟", "↺")
PLAIN = Signs("#", "-", "o", "[]", ".", "*", "[#]", "[-]", "<-")


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
    every = found.steps()
    steps = [each for each in every if any(found.shown(person, each)[0] for person in found.people)]
    table = _table(f"Knowledge shown in practice, {long_day(found.made_at)}")
    table.add_column("Apprentice", no_wrap=True, max_width=LONGEST_NAME)
    for each in steps:
        table.add_column(_code(found, each), justify="right", no_wrap=True)
    table.add_column("Signed", justify="right", no_wrap=True)
    table.add_column("Look", justify="right", no_wrap=True)
    for person in found.people:
        shares = [found.shown(person, each) for each in steps]
        cells = [f"{shown}/{of}" if shown else signs.none for shown, of in shares]
        look = person.flags + person.disputes + person.explanations
        holding = found.holding(person)
        table.add_row(
            Text(person.name), *cells, str(holding or signs.none), str(look) if look else signs.none
        )
    console.print(table)
    names = ", ".join(f"{_code(found, each)} {step_title(each).lower()}" for each in steps)
    if names:
        _say(console, f"{names}.")
    rest = ", ".join(step_title(each).lower() for each in every if each not in steps)
    if rest:
        _say(console, f"Nothing shown yet in: {rest}.")
    _say(
        console,
        "3/5: practice has shown 3 of the step's 5 knowledge criteria. Signed: criteria on which a tutor's "
        "decision holds today. Look: flags, disputes, texts to read.",
    )
    _say(console, "More: --step cook, --person NAME, --out board.html")


def _step(found: Board, console: Console, signs: Signs) -> None:
    step = found.steps()[0]
    ordered = sorted(found.criteria, key=lambda c: c.kind == "performance")
    table = _table(f"{step_title(step)}, {long_day(found.made_at)}")
    table.add_column("Apprentice", no_wrap=True, max_width=LONGEST_NAME)
    for criterion in ordered:
        table.add_column(_short(criterion, signs), no_wrap=True)
    for person in found.people:
        cells = [Text(signs.tally(c, found.cell(person, c), found.decision(person, c))) for c in ordered]
        table.add_row(Text(person.name), *cells)
    console.print(table)
    for criterion in ordered:
        _say(console, f"{_short(criterion, signs):<5}{criterion.text}")


def _person(records: Records, found: Board, console: Console, signs: Signs, step: str | None) -> None:
    person = found.people[0]
    stands = competence(records, person.person_id, step=step)
    table = _table(f"{person.name} ({person.person_id}), {person.answers} answers")
    table.add_column("Criterion", no_wrap=True)
    table.add_column("", no_wrap=True)
    table.add_column("State, and what is still missing")
    table.add_column("Last tried", no_wrap=True)
    for stand in stands:
        if stand.cell is None and stand.decided is None and step is None:
            continue
        mark = signs.dagger if stand.criterion.safety_critical else ""
        last = stand.cell.last_day.isoformat() if stand.cell and stand.cell.last_day else ""
        words = Text(f"{stand.says}. ", style="bold").append(stand.missing, style="not bold")
        sign = signs.tally(stand.criterion, stand.cell, stand.decided)
        table.add_row(f"{stand.criterion.id}{mark}", sign, words, last)
    console.print(table)
    untouched = sum(stand.cell is None for stand in stands)
    if untouched and step is None:
        _say(console, f"{untouched} criteria have no practice yet.")
    _waits(records, person, console)


def _waits(records: Records, person: BoardPerson, console: Console) -> None:
    waits = open_matters(records, person.key)
    for one in waits[:WAITS_SHOWN]:
        place = f"line {one.line}" if one.line else "book"
        _say(console, f"{one.sort} ({place}, {one.exercise}): {one.says}")
    if len(waits) > WAITS_SHOWN:
        _say(console, f"and {len(waits) - WAITS_SHOWN} more: see the page (--out person.html)")


def _legend(console: Console, signs: Signs, *, tallies: bool) -> None:
    console.print()
    if tallies:
        _say(console, f"{signs.full} a day right first time without help   {signs.open} a day still needed")
        _say(console, f"{signs.none} {STATES['nothing']}   {signs.full}{signs.full} {STATES['shown']}")
        _say(console, f"{signs.full * 3}{signs.ring} {STATES['sitting']}")
        _say(console, f"{signs.frame} {STATES['observe']}; a number counts practice that prepares for it")
        _say(
            console,
            f"{signs.signed} {WORDS['competent']}   {signs.signed}{signs.ring} second signature wanted   "
            f"{signs.signed}! refresher due",
        )
        _say(console, f"{signs.not_yet} {WORDS['not yet']}   {signs.again} opened again")
        _say(console, f"{signs.dagger} safety-critical")
    _say(console, PRACTICE_IS_UNSUPERVISED)


def _table(title: str) -> Table:
    return Table(title=Text(title), title_justify="left", box=box.SIMPLE_HEAD, show_edge=False, padding=0)


def _say(console: Console, text: str) -> None:
    console.print(text, markup=False)


def _code(found: Board, step: str) -> str:
    """Return the letters that a step's criteria begin with."""
    return next(c.id for c in found.criteria if c.step == step).partition("-")[0]


def _short(criterion: Criterion, signs: Signs) -> str:
    return criterion.id.partition("-")[2] + (signs.dagger if criterion.safety_critical else "")
