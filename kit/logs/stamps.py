"""From time cells to minutes since the record began."""

import re
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from functools import lru_cache
from itertools import pairwise

from kit.basics.errors import BadData
from kit.logs.cells import CLOCK, DATE, STAMP, month_number
from kit.logs.columns import LogTable, elapsed_unit

_MINUTES = {"s": 1 / 60, "min": 1.0, "h": 60.0}
_EPOCH_S = 1e9


@dataclass(frozen=True)
class Times:
    """Minutes of each row from the first one, in file order; when it began; and what was decided."""

    minutes: list[float]
    began: datetime | None
    notes: tuple[str, ...]


def elapsed_times(table: LogTable, column: int, unit: str | None) -> Times:
    """Return the times of a column that counts seconds, minutes or hours."""
    from kit.logs.cells import number

    cells = table.column(column)
    values: list[float] = []
    for index, cell in enumerate(cells):
        value = number(cell)
        if value is None:
            raise BadData(table.where(index), f"{cell!r} is no time", "a number of seconds, minutes or hours")
        values.append(value)
    found = unit or elapsed_unit(table.headings[column]) or ("s" if values[0] >= _EPOCH_S else None)
    if found is None:
        raise BadData(
            f"{table.name}, line {max(table.first_line - 1, 1)}",
            f"the column {table.headings[column]!r} does not say what it counts",
            "--elapsed s, --elapsed min or --elapsed h",
        )
    scale = _MINUTES[found]
    first = values[0]
    return Times([(value - first) * scale for value in values], None, (f"Time: elapsed, in {found}.",))


def stamp_times(table: LogTable, columns: list[int], order: str | None, zone: str | None) -> Times:
    """Return the times of a column of stamps, or of a date and a clock column together."""
    cells = [" ".join(row.cells[i] for i in columns) for row in table.rows]
    order, notes = _order(table, cells, order)
    moments = [_moment(table, index, cell, order) for index, cell in enumerate(cells)]
    aware = [moment.tzinfo is not None for moment in moments]
    if any(aware) and not all(aware):
        index = aware.index(not aware[0])
        raise BadData(table.where(index), "some stamps carry a time zone and some do not", "one or the other")
    if zone is not None and not aware[0]:
        moments = _in_zone(table, moments, zone)
        notes = (*notes, f"Clock read as local time of {zone}, daylight saving included.")
    first = moments[0]
    minutes = [(moment - first).total_seconds() / 60 for moment in moments]
    if zone is None and not aware[0]:
        _refuse_strange_steps(table, minutes, cells)
    return Times(minutes, first, notes)


def clock_times(table: LogTable, column: int) -> Times:
    """Return the times of a column with a clock but no date; a fall of half a day or more is midnight."""
    minutes: list[float] = []
    days = 0
    long = re.search(r"elapsed|duration|run ?time", table.headings[column], re.IGNORECASE) is not None
    for index, cell in enumerate(table.column(column)):
        found = CLOCK.fullmatch(cell)
        if found is None:
            raise BadData(table.where(index), f"{cell!r} is no time of day", "a time such as 14:02:30")
        now = _clock_s(table, index, found, long=long) / 60 + days * 1440
        if minutes and not long and now < minutes[-1] - 720:
            days, now = days + 1, now + 1440
        minutes.append(now)
    _refuse_strange_steps(table, minutes, table.column(column))
    notes = ("Time: clock without a date.",) + (("Midnight passed in the record.",) if days else ())
    began = datetime(1900, 1, 1) + timedelta(minutes=minutes[0])  # noqa: DTZ001  # a clock without date or zone
    return Times([minute - minutes[0] for minute in minutes], began, notes)


def _order(table: LogTable, cells: list[str], order: str | None) -> tuple[str, tuple[str, ...]]:
    """Return whether day or month comes first in dates such as 03/04/2025."""
    firsts, seconds, mark = set(), set(), ""
    for prefix in {cell.split()[0] for cell in cells if cell}:
        found = DATE.match(prefix)
        if found is None or found["a"] is None:
            continue
        firsts.add(int(found["a"]))
        seconds.add(int(found["b"]))
        mark = found["mark"]
    if not firsts:
        return "day", ()
    day_first, month_first = max(firsts) > 12, max(seconds) > 12
    if day_first and month_first:
        raise BadData(
            table.where(0), "dates with the day first and with the month first", "one order throughout"
        )
    if order is not None:
        if (order == "day" and month_first) or (order == "month" and day_first):
            raise BadData(table.where(0), f"no date here can have the {order} first", "the other order")
        return order, (f"Dates: {order} first, as told.",)
    if day_first or month_first:
        found_order = "day" if day_first else "month"
        return found_order, (f"Dates: {found_order} first; no other reading is possible.",)
    if mark == ".":
        return "day", ("Dates with points are read day first.",)
    raise BadData(
        table.where(0),
        f"{cells[0]!r} may be day/month or month/day",
        "--day-first or --month-first",
        "Say which, so that nothing is guessed.",
    )


def _moment(table: LogTable, index: int, cell: str, order: str) -> datetime:
    found = STAMP.fullmatch(cell)
    if found is None:
        raise BadData(table.where(index), f"{cell!r} is no time stamp", "a stamp such as 2025-03-05 14:02:30")
    midnight = _midnight(found["mark"] or "", cell[: found.start("hour")].rstrip("T, ").strip(), order)
    if midnight is None:
        raise BadData(table.where(index), f"{cell!r} is no day of the calendar", "a real date")
    moment = midnight + timedelta(seconds=_clock_s(table, index, found))
    return moment if found["zone"] is None else moment.replace(tzinfo=UTC) - _offset(found["zone"])


@lru_cache(maxsize=4096)
def _midnight(mark: str, text: str, order: str) -> datetime | None:
    found = DATE.fullmatch(text)
    if found is None:
        return None
    if found["y"]:
        year, month, day = int(found["y"]), int(found["ym"]), int(found["yd"])
    elif found["a"]:
        day, month = int(found["a"]), int(found["b"])
        if order == "month":
            day, month = month, day
        year = int(found["year"]) + (2000 if len(found["year"]) == 2 else 0)
    elif found["nm"]:
        year, month, day = int(found["ny"]), month_number(found["nm"]), int(found["nd"])
    else:
        year, month, day = int(found["my"]), month_number(found["mm"]), int(found["md"])
    try:
        return datetime(year, month, day)  # noqa: DTZ001  # a logger's local stamp; --zone settles it
    except ValueError:
        return None


def _clock_s(table: LogTable, index: int, found: re.Match[str], *, long: bool = False) -> float:
    hour, minute, second = int(found["hour"]), int(found["minute"]), int(found["second"] or 0)
    half = (found["half"] or "").lower()
    if (hour > 23 and not long) or minute > 59 or second > 59 or (half and not 1 <= hour <= 12):
        raise BadData(table.where(index), f"{found[0]!r} is no time of day", "a time such as 14:02:30")
    if half:
        hour = hour % 12 + (12 if half == "p" else 0)
    part = float(f"0.{found['part']}") if found["part"] else 0.0
    return hour * 3600 + minute * 60 + second + part


def _offset(zone: str) -> timedelta:
    if zone == "Z":
        return timedelta(0)
    digits = zone[1:].replace(":", "")
    size = timedelta(hours=int(digits[:2]), minutes=int(digits[2:]))
    return -size if zone[0] == "-" else size


def _in_zone(table: LogTable, moments: list[datetime], zone: str) -> list[datetime]:
    """Read local stamps in a named zone. The hour that comes twice is told apart by the order of the rows."""
    from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

    try:
        place = ZoneInfo(zone)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise BadData(table.name, f"there is no time zone {zone!r}", "a name such as Europe/Dublin") from None
    result: list[datetime] = []
    again = False
    before: datetime | None = None
    for index, moment in enumerate(moments):
        if before is not None and moment < before and before - moment <= timedelta(hours=1):
            again = (
                moment.replace(tzinfo=place).utcoffset() != moment.replace(tzinfo=place, fold=1).utcoffset()
            )
        local = moment.replace(tzinfo=place, fold=1 if again else 0)
        world = local.astimezone(UTC)
        if world.astimezone(place).replace(tzinfo=None) != moment:
            raise BadData(
                table.where(index),
                f"{moment} does not exist in {zone}: the clock went forward",
                "a real hour",
            )
        result.append(world)
        before = moment
    return result


def _refuse_strange_steps(table: LogTable, minutes: list[float], cells: list[str]) -> None:
    """Refuse a clock that went back an hour, and a 12-hour clock without its halves."""
    steps = [after - before for before, after in pairwise(minutes)]
    if not steps or max(steps) <= 0:
        return
    usual = sorted(step for step in steps if step > 0)[sum(step > 0 for step in steps) // 2]
    for index, step in enumerate(steps):
        if step >= 0:
            continue
        row, back = index + 1, usual - step
        if abs(back - 720) <= max(2 * usual, 2):
            raise BadData(
                table.where(row),
                f"the clock falls from {cells[index]} to {cells[row]}",
                "a 24-hour clock, or AM and PM",
                "Is this a 12-hour clock without its halves?",
            )
        if abs(back - 60) <= max(2 * usual, 2) and _goes_on(minutes, row):
            raise BadData(
                table.where(row),
                f"the clock goes back from {cells[index]} to {cells[row]}",
                "--zone with a name such as Europe/Dublin",
                "Is this the hour that comes twice in autumn?",
            )


def _goes_on(minutes: list[float], row: int) -> bool:
    """Return whether rows go on from the earlier time, as after a change of clock; a stray row does not."""
    following = minutes[row : row + 4]
    return all(after >= before for before, after in pairwise(following)) and following[-1] < minutes[row - 1]
