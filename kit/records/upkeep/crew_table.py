"""Reading the table of a crew: text, split by comma, semicolon or tab, in UTF-8 or Latin-1.

Its first row names the columns, in any order: see ``COLUMNS``. One row is one person. A person with earlier
decisions has one row for each; name and id come again, role and start need not. A line that begins with # is
a note for whoever fills it in.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from kit.basics.errors import BadData
from kit.basics.given_files import read_given
from kit.basics.typed_names import fold
from kit.logs.text import decode
from kit.records.people.staff import ROLES

COLUMNS = {
    "name": "the person's name",
    "id": "the id that `smokehouse people` shows, if they have one already",
    "role": "apprentice, tutor, verifier or manager",
    "started": "the day they began, such as 2026-03-02",
    "criterion": "an earlier decision of `competent`: on which criterion",
    "day": "the day on its paper",
    "decided by": "who decided then",
    "paper": "where the paper is kept",
    "reason": "why it still holds",
}
_DECISION = ("criterion", "day", "decided by", "paper", "reason")
NOTE = "#"
SEPARATORS = {",": "comma", ";": "semicolon", "\t": "tab"}
LARGEST_BYTES, MOST_ROWS = 2 * 1024 * 1024, 5000
_ISO, _DOTTED = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})"), re.compile(r"(\d{1,2})\.(\d{1,2})\.(\d{4})")


@dataclass(frozen=True)
class CrewTableFault:
    """What is wrong, and on which line of the file; line 0 is the whole file."""

    line: int
    says: str


@dataclass(frozen=True)
class Earlier:
    """A decision from before, as its row says it."""

    line: int
    criterion: str
    day: date
    who: str
    paper: str
    reason: str


@dataclass(frozen=True)
class Newcomer:
    """One person of the file with their earlier decisions. ``person`` is the id, empty for a new one."""

    line: int
    name: str
    person: str
    role: str
    started: date | None
    earlier: tuple[Earlier, ...] = ()


@dataclass(frozen=True)
class CrewTable:
    """The people of a file, and every problem of the text itself.

    ``criteria`` are all that it names, with their line: also those of rows that have other problems.
    """

    people: tuple[Newcomer, ...]
    problems: tuple[CrewTableFault, ...]
    criteria: tuple[tuple[int, str], ...] = ()

    @property
    def decisions(self) -> int:
        """How many earlier decisions it brings."""
        return sum(len(person.earlier) for person in self.people)


def read_crew_table(source: str | Path | bytes, name: str = "") -> CrewTable:
    """Read a crew's table and return its people and every problem of the text.

    Raises
    ------
    BadData
        If it is no text, is too large, or its first row does not name the columns.

    Examples
    --------
    >>> found = read_crew_table(b"name;role;started\\nTam Ferris;apprentice;2026-03-02\\nAna Lind;cook;\\n")
    >>> [person.name for person in found.people]
    ['Tam Ferris']
    >>> print(found.problems[0].line, found.problems[0].says)
    3 there is no role 'cook': apprentice, tutor, verifier, manager
    """
    data, name = (source, name or "the file") if isinstance(source, bytes) else _given(Path(source))
    marked = data.startswith((b"\xff\xfe", b"\xfe\xff"))
    if not data.strip() or (b"\x00" in data and not marked):
        raise BadData(name, "this is no table of people", "text split by comma, semicolon or tab")
    text, _ = decode(data, name)
    separator, columns = _head(text, name)
    people: dict[str, Newcomer] = {}
    problems: list[CrewTableFault] = []
    named: list[tuple[int, str]] = []
    bad: set[int] = set()
    for line, cells in _rows(text, separator, problems):
        if len(cells) > len(columns):
            problems.append(
                CrewTableFault(line, f"{len(cells)} cells, but the first row names {len(columns)} columns")
            )
            continue
        row = dict.fromkeys(COLUMNS, "") | dict(
            zip(columns, (" ".join(c.split()) for c in cells), strict=False)
        )
        if row["criterion"]:
            named.append((line, row["criterion"]))
        if not _take(row, line, people, problems):
            bad.add(line)
    if not people and not problems:
        problems.append(CrewTableFault(0, "there is nobody in it"))
    good = (one for one in people.values() if one.line not in bad)
    return CrewTable(tuple(good), tuple(problems), tuple(named))


def _given(path: Path) -> tuple[bytes, str]:
    return read_given(path, "a table of people", LARGEST_BYTES), path.name


def _head(text: str, name: str) -> tuple[str, list[str]]:
    """Return the separator and the columns, from the first row that is neither blank nor a note."""
    first = next((line for line in text.splitlines() if line.strip() and not _is_note(line)), "")
    best: tuple[str, list[str]] = (",", [])
    for separator in SEPARATORS:
        columns = [_column(cell) for cell in first.split(separator)]
        if sum(c in COLUMNS for c in columns) > sum(c in COLUMNS for c in best[1]):
            best = separator, columns
    while best[1] and not best[1][-1]:
        best[1].pop()  # spreadsheets leave empty columns at the end
    unknown = [c for c in best[1] if c not in COLUMNS]
    missing = {"name", "role"} - set(best[1])
    if unknown or missing or len(set(best[1])) != len(best[1]):
        what = (
            f"there is no column {unknown[0][:40]!r}" if unknown and not missing else "it lacks name or role"
        )
        if not unknown and not missing:
            what = "it names a column twice"
        raise BadData(f"{name}, first row", what, ", ".join(COLUMNS))
    return best


def _is_note(line: str) -> bool:
    return line.lstrip('\ufeff "').startswith(NOTE)


def template() -> str:
    """Return the table to fill in: its columns, and above them a note on each.

    Examples
    --------
    >>> read_crew_table(template().encode()).problems[0].says
    'there is nobody in it'
    >>> read_crew_table((template() + "Tam Ferris;;apprentice;2026-03-02\\n").encode()).people[0].name
    'Tam Ferris'
    """
    notes = [f"{NOTE} {name}: {says}" for name, says in COLUMNS.items()]
    lines = (f"{NOTE} One row is one person. Notes like these may stay.", *notes, ";".join(COLUMNS))
    return "".join(f"{line}\n" for line in lines)


def _column(cell: str) -> str:
    return " ".join(cell.strip().strip('"').casefold().replace("_", " ").split())


def _rows(text: str, separator: str, problems: list[CrewTableFault]) -> Iterator[tuple[int, list[str]]]:
    """Yield each row after the first with the line on which it begins; blank ones are passed over."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator)
    began, head, count = 1, True, 0
    try:
        for cells in reader:
            line, began = began, reader.line_num + 1
            if not any(cell.strip() for cell in cells) or _is_note(cells[0]):
                continue
            if head:
                head = False
                continue
            count += 1
            if count > MOST_ROWS:
                problems.append(CrewTableFault(line, f"there are more than {MOST_ROWS:,} rows"))
                return
            while cells and not cells[-1].strip():
                cells.pop()
            yield line, cells
    except csv.Error as error:
        problems.append(CrewTableFault(began, f"this row cannot be read ({error})"))


def _take(
    row: dict[str, str], line: int, people: dict[str, Newcomer], problems: list[CrewTableFault]
) -> bool:
    """Add a row to the people, or say what is wrong with it; return whether the person can be taken on.

    A decision with a fault is left out; who it is about is still looked at, so that no fault hides another.
    """
    wrong: list[str] = []
    key = row["id"] or f"name {fold(row['name'])}"
    before = people.get(key)
    if not 0 < len(row["name"]) <= 80 or not row["name"].isprintable():
        wrong.append("there is no name, or none that can be kept: 1 to 80 characters")
    started = _day(row["started"], "started", wrong)
    role = _role(row["role"], wrong) if before is None else ""
    whole = not wrong
    earlier = _earlier(row, line, wrong)
    if before is None:
        if row["name"]:  # even with a problem: further rows are compared with it
            people[key] = Newcomer(line, row["name"], row["id"], role, started, (earlier,) if earlier else ())
    else:
        wrong += _against(row, started, before)
        if earlier is None and not wrong:
            wrong.append(f"{row['name']!r} is on line {before.line} already, and this row brings no decision")
        if earlier is not None and earlier.criterion in {each.criterion for each in before.earlier}:
            wrong.append(f"{earlier.criterion} comes twice for {row['name']!r}")
        if earlier is not None and not wrong:
            people[key] = replace(before, earlier=(*before.earlier, earlier))
    problems += [CrewTableFault(line, says) for says in wrong]
    return whole


def _against(row: dict[str, str], started: date | None, before: Newcomer) -> list[str]:
    """Return what a further row of a person says against their first."""
    pairs = {
        "name": (fold(row["name"]), fold(before.name)),
        "role": (row["role"].casefold(), before.role),
        "started": (started, before.started),
    }
    return [
        f"{what} is not that of line {before.line}"
        for what, (new, old) in pairs.items()
        if new and new != old
    ]


def _role(text: str, wrong: list[str]) -> str:
    role = text.casefold()
    if role not in ROLES:
        wrong.append(f"there is no role {text[:40]!r}: {', '.join(ROLES)}")
    return role


def _earlier(row: dict[str, str], line: int, wrong: list[str]) -> Earlier | None:
    given = [column for column in _DECISION if row[column]]
    if not given:
        return None
    missing = [column for column in _DECISION if not row[column]]
    if missing:
        wrong.append(f"an earlier decision needs {' and '.join(missing)} too")
    day = _day(row["day"], "day", wrong)
    if day is None or missing:
        return None
    return Earlier(line, row["criterion"].upper(), day, row["decided by"], row["paper"], row["reason"])


def _day(text: str, column: str, wrong: list[str]) -> date | None:
    """Read 2026-03-02, or 2.3.2026 with the day first. A slash could mean two days, so it is refused."""
    if not text:
        return None
    iso, dotted = _ISO.fullmatch(text), _DOTTED.fullmatch(text)
    try:
        if iso:
            return date(int(iso[1]), int(iso[2]), int(iso[3]))
        if dotted:
            return date(int(dotted[3]), int(dotted[2]), int(dotted[1]))
    except ValueError:
        pass
    wrong.append(f"{column} is {text[:40]!r}; write it like 2026-03-02")
    return None
