"""Which column is the time, which is the core, and what the others are."""

import re
from collections import Counter
from dataclasses import dataclass

from kit.basics.errors import BadData, UnknownName
from kit.basics.typed_text import shown_text
from kit.logs.cells import sort_of, unit_of
from kit.logs.text import LogRow, looks_like_data

_ROLES = {
    "core": r"core|kern|centre|center|internal|inside|thickest|flesh|fish|food|product|meat|c(?:oe|œ)ur",
    "air": r"air|cabinet|chamber|ambient|kiln|oven|smoker|room|chiller|fridge|blast",
    "surface": r"surface|skin|outside",
}
_NOT_TEMPERATURE = (
    r"humid|\brh\b|%|batter|volt|alarm|event|record|reading no|\bno\b\.?|\bnr\b|\bid\b|index|serial|status|"
    r"set ?-?point|target|dew|pressure|co2|\bppm\b|mark|note|comment|name|signal|^#|^n$|\bscan\b"
)
_ELAPSED = r"elapsed|time|minute|second|hour|^t$|^t[ _/(\[]|\bmin\b|\bsec\b|zeit|temps"
_UNITS_OF_TIME = (
    ("s", r"(?:\b|_)(?:s|secs?|seconds?)\b"),
    ("min", r"(?:\b|_)(?:m|mins?|minutes?)\b"),
    ("h", r"(?:\b|_)(?:h|hrs?|hours?)\b"),
)
_SAMPLE = 60


@dataclass(frozen=True)
class LogTable:
    """The data rows of a file under their headings, and what was left out above and below them."""

    name: str
    headings: tuple[str, ...]
    rows: list[LogRow]
    noise: tuple[str, ...]
    cut_last: int | None = None
    repeated: int = 0
    after: tuple[int, ...] = ()

    @property
    def first_line(self) -> int:
        """The line of the first data row."""
        return self.rows[0].line

    def where(self, index: int) -> str:
        """Return the place of a data row for a message."""
        return f"{self.name}, line {self.rows[index].line}"

    def column(self, index: int) -> list[str]:
        """Return the cells of one column."""
        return [row.cells[index] for row in self.rows]

    def sorts(self, index: int) -> Counter[str]:
        """Return how often each sort of cell stands in a sample of the column."""
        step = max(len(self.rows) // _SAMPLE, 1)
        return Counter(sort_of(row.cells[index]) for row in self.rows[::step])

    def find(self, wanted: str, option: str) -> int:
        """Return the place of a column by its heading, or by its number from 1."""
        if wanted.isdigit() and 1 <= int(wanted) <= len(self.headings):
            return int(wanted) - 1
        same = [
            i for i, heading in enumerate(self.headings) if heading.casefold() == wanted.strip().casefold()
        ]
        if len(same) == 1:
            return same[0]
        raise BadData(
            self.name,
            f"{option}: {UnknownName('column', wanted, self.headings)}",
            "a heading or a number from 1",
        )


def table_of(rows: list[LogRow], name: str) -> LogTable:
    """Split the rows of a file into noise, headings and data."""
    counts: Counter[int] = Counter()
    for row in rows[:2000]:
        if looks_like_data([sort_of(cell) for cell in row.cells]):
            counts[len(row.cells)] += 1
    if not counts:
        raise BadData(
            f"{name}, line {rows[0].line if rows else 1}",
            "no row holds a time and a temperature",
            "rows such as 2025-03-05 14:02;63.1",
            "Is a quotation mark left open?",
        )
    width = max(counts, key=lambda count: counts[count])
    start = next(
        i
        for i, r in enumerate(rows)
        if len(r.cells) == width and looks_like_data([sort_of(c) for c in r.cells])
    )
    headings, used = _headings(rows[:start], rows[start:], width, name)
    noise = tuple(" ".join(cell for cell in row.cells if cell) for row in rows[: start - used])
    body, repeated = _without_repeats(rows[start:], [row.cells for row in rows[start - used : start]])
    end = _end(body)
    cut = None
    if len(body[end - 1].cells) < width and end == len(body):
        cut, end = body[end - 1].line, end - 1
    after = tuple(row.line for row in body[end:] if row.line != cut)
    closing = tuple(" ".join(cell for cell in row.cells if cell) for row in body[end:])
    data = [_fitted(row, width, name) for row in body[:end]]
    return LogTable(name, headings, data, noise + closing, cut, repeated, after)


def _headings(before: list[LogRow], data: list[LogRow], width: int, name: str) -> tuple[tuple[str, ...], int]:
    """Return the headings, and how many rows above the data they take: two if a row of units stands below."""
    rows = [row.cells for row in before[-2:]]
    if not rows or not _fits(rows[-1], width):
        return tuple(f"column {i + 1}" for i in range(width)), 0
    _refuse_false_heading(before[-1], data, width, name)
    last = _padded(rows[-1], width)
    if len(rows) == 2 and _fits(rows[0], width) and all(len(cell) <= 4 for cell in last):
        joined = zip(_padded(rows[0], width), last, strict=True)
        return tuple(_named(f"{top} {unit}".strip(), i) for i, (top, unit) in enumerate(joined)), 2
    return tuple(_named(cell, i) for i, cell in enumerate(last)), 1


def _refuse_false_heading(above: LogRow, data: list[LogRow], width: int, name: str) -> None:
    """Refuse a row above the data that is no heading of it: a reading gone wrong, or too few headings."""
    if len(above.cells) < width and any(row.cells[-1] for row in data[:50] if len(row.cells) == width):
        raise BadData(
            f"{name}, line {data[0].line}",
            f"{width} cells under {len(above.cells)} headings",
            "one cell for each heading",
            "Is the decimal mark the same as the separator?",
        )
    timed = ("stamp", "clock")
    when = next((i for i, cell in enumerate(data[0].cells) if sort_of(cell) in timed), None)
    if when is not None and when < len(above.cells) and sort_of(above.cells[when]) in timed:
        raise BadData(f"{name}, line {above.line}", "a time without a reading", "a temperature such as 62.5")


def _fits(cells: list[str], width: int) -> bool:
    return width - 1 <= len(cells) <= width and len(cells) > 1


def _padded(cells: list[str], width: int) -> list[str]:
    return [*cells, ""][:width] if len(cells) < width else cells[:width]


def _named(heading: str, index: int) -> str:
    return shown_text(heading) or f"column {index + 1}"


def _without_repeats(body: list[LogRow], headings: list[list[str]]) -> tuple[list[LogRow], int]:
    if not headings:
        return body, 0
    kept = [row for row in body if row.cells not in headings]
    return kept, len(body) - len(kept)


def _end(body: list[LogRow]) -> int:
    """Return where the data stops: rows of text after the last reading are a closing note."""
    end = len(body)
    while end > 1 and "text" in {sort_of(cell) for cell in body[end - 1].cells[:1]}:
        end -= 1
    return end


def _fitted(row: LogRow, width: int, name: str) -> LogRow:
    if len(row.cells) == width:
        return row
    if len(row.cells) > width and not any(row.cells[width:]):
        return LogRow(row.line, row.cells[:width])
    raise BadData(
        f"{name}, line {row.line}",
        f"{len(row.cells)} cells",
        f"{width} cells, as in the other rows",
        "Is the decimal mark the same as the separator, or was the line cut?",
    )


def time_columns(table: LogTable, wanted: tuple[str, ...]) -> tuple[list[int], str]:
    """Return the column or columns of the time, and how they tell it: ``stamp``, ``clock`` or ``elapsed``."""
    if wanted:
        chosen = [table.find(name, "--time-column") for name in wanted]
        sorts = [_main_sort(table, i) for i in chosen]
        if sorts == ["number"]:
            return chosen, "elapsed"
        return chosen, "clock" if sorts == ["clock"] else "stamp"
    by_sort: dict[str, list[int]] = {"stamp": [], "date": [], "clock": []}
    for i in range(len(table.headings)):
        by_sort.setdefault(_main_sort(table, i), []).append(i)
    if len(by_sort["stamp"]) > 1:
        raise _ask(table, "several columns hold time stamps", by_sort["stamp"], "--time-column")
    if by_sort["stamp"]:
        return by_sort["stamp"], "stamp"
    if len(by_sort["date"]) == 1 and len(by_sort["clock"]) == 1:
        return [by_sort["date"][0], by_sort["clock"][0]], "stamp"
    if len(by_sort["clock"]) == 1:
        return by_sort["clock"], "clock"
    numbers = [i for i in by_sort.get("number", []) if re.search(_ELAPSED, table.headings[i], re.IGNORECASE)]
    numbers = [i for i in numbers if unit_of(table.headings[i]) is None] or numbers
    if len(numbers) != 1:
        raise _ask(table, "no column is clearly the time", range(len(table.headings)), "--time-column")
    return numbers, "elapsed"


def elapsed_unit(heading: str) -> str | None:
    """Return ``s``, ``min`` or ``h`` if a heading names the unit of elapsed time.

    Examples
    --------
    >>> [elapsed_unit(h) for h in ("time_min", "Elapsed (s)", "Time [h]", "Time")]
    ['min', 's', 'h', None]
    """
    found = [unit for unit, pattern in _UNITS_OF_TIME if re.search(pattern, heading, re.IGNORECASE)]
    return found[0] if len(found) == 1 else None


def temperature_columns(
    table: LogTable, taken: list[int], wanted: dict[str, tuple[str, ...]]
) -> dict[str, tuple[int, ...]]:
    """Return the columns of the cores, and the one of air and of surface where there is one."""
    free = [i for i in range(len(table.headings)) if i not in taken]
    chosen = {
        role: tuple(dict.fromkeys(table.find(name, f"--{role}-column") for name in names))
        for role, names in wanted.items()
        if names
    }
    _refuse_no_core(table, chosen.get("core", ()), taken)
    told = {place for places in chosen.values() for place in places}
    candidates = [i for i in free if i not in told and _may_be_temperature(table, i)]
    for role in ("surface", "air", "core"):
        matches = [i for i in candidates if _role(table.headings[i]) == role]
        if role not in chosen and len(matches) == 1:
            chosen[role] = (matches[0],)
        elif role == "core" and role not in chosen:
            raise _no_core(table, matches, candidates)
    return chosen


def _refuse_no_core(table: LogTable, cores: tuple[int, ...], taken: list[int]) -> None:
    """Refuse as a core what tells the time, and what its own heading calls something else."""
    for place in cores:
        heading = table.headings[place]
        role = _role(heading)
        is_what = "the time" if place in taken else f"the {role}" if role not in (None, "core") else None
        if is_what is None and re.search(_NOT_TEMPERATURE, heading, re.IGNORECASE):
            is_what = "no temperature"
        if is_what is not None:
            raise BadData(
                table.name,
                f"the column {heading!r} is {is_what}, not a core",
                "--core-column with the column of a probe in the thickest part of the fish",
                "Give the probe its right name in the logger, if it was in the fish.",
            )


def _no_core(table: LogTable, matches: list[int], candidates: list[int]) -> BadData:
    """Ask for the core. It is never found because nothing else is left."""
    if matches:
        return _ask(table, "several columns may be the core", matches, "--core-column, once for each core,")
    if not candidates:
        return _ask(table, "no column holds temperatures", range(len(table.headings)), "--core-column")
    may_be = [place for place in candidates if _role(table.headings[place]) is None]
    if may_be:
        return _ask(table, "no column says that it is the core", may_be, "--core-column")
    names = ", ".join(repr(table.headings[place]) for place in candidates)
    return BadData(
        f"{table.name}, line {max(table.first_line - 1, 1)}",
        f"it holds {names}, and no core",
        "a column of a probe in the thickest part of the fish",
        "Give the probe its right name in the logger, if it was in the fish.",
    )


def _role(heading: str) -> str | None:
    for role in ("surface", "core", "air"):
        if re.search(_ROLES[role], heading, re.IGNORECASE):
            return role
    return None


def _may_be_temperature(table: LogTable, index: int) -> bool:
    if re.search(_NOT_TEMPERATURE, table.headings[index], re.IGNORECASE):
        return False
    sorts = table.sorts(index)
    return sorts["number"] > 0 and sorts["number"] + sorts["fault"] + sorts["blank"] >= 0.5 * sorts.total()


def _main_sort(table: LogTable, index: int) -> str:
    sorts = table.sorts(index)
    sorts.pop("blank", None)
    return sorts.most_common(1)[0][0] if sorts else "blank"


def _ask(table: LogTable, problem: str, columns: object, option: str) -> BadData:
    names = ", ".join(repr(table.headings[i]) for i in columns)  # type: ignore[attr-defined]  # list or range
    line = max(table.first_line - 1, 1)
    return BadData(
        f"{table.name}, line {line}",
        problem,
        f"{option} with one of {names}",
        "Say which, so that nothing is guessed.",
    )
