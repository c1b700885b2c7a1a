"""This week: one row a person, the silent and the stuck first, days that are working days, what runs out."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta

import pytest

from kit import criteria
from kit.cli.demo.crew import make_crew
from kit.cli.demo.desk_story import make_desk
from kit.records import Records, open_records, take_in
from kit.records.reports import this_week as week
from kit.records.reports.desk_lists import to_see
from kit.records.reports.this_week import SILENT_DAYS, WeekRow, this_week

MONDAY = date(2026, 3, 2)


TODAY = date(2026, 11, 25)


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Records]:
    """The demo's records, as its crew and its desk left them."""
    home = tmp_path_factory.mktemp("week")
    now = datetime(2026, 11, 25, 12, 0, tzinfo=UTC)
    records = open_records(home / "tutor" / "records.db")
    take_in(records, make_crew(home, now - timedelta(hours=3)), now=now - timedelta(hours=2))
    make_desk(records, now - timedelta(hours=1), home / "tutor" / "keys")
    yield records
    records.close()


def row(name: str, **more: object) -> WeekRow:
    blank = WeekRow(name, name, MONDAY, "", (), None, 0, None, "", ())
    return week.replace(blank, **more)


@pytest.mark.parametrize(("today", "weekday"), [(MONDAY, 0), (MONDAY + timedelta(days=5), 0)])
def test_visits_are_spread_over_five_working_days(today: date, weekday: int):
    rows = week._on_days([row(f"p{n}") for n in range(12)], today)
    days = [one.day for one in rows]
    assert days == sorted(days) and all(day.weekday() < 5 for day in days)
    assert days[0].weekday() == weekday and len(set(days)) >= 4
    assert max(days.count(day) for day in days) <= 3
    assert week._on_days([], today) == ()


def test_the_silent_come_first_then_the_stuck_then_what_presses():
    rows = [
        row("Observe", sort="observe"),
        row("Review", sort="review"),
        row("Stuck", stuck="COK-K01"),
        row("Silent", silent_since=MONDAY),
    ]
    assert [one.name for one in sorted(rows, key=week._pressing)] == ["Silent", "Stuck", "Review", "Observe"]


def test_every_person_who_waits_has_one_row_at_one_step(demo: Records):
    rows = this_week(demo, TODAY)
    waiting = {one.person for one in to_see(demo, TODAY)}
    people = [one.person for one in rows]
    assert len(people) == len(set(people)) and waiting <= set(people)
    for one in rows:
        assert {criteria.get(name).step for name in one.criteria} <= {one.step}
        assert len(one.criteria) <= 3 and one.more >= 0
        all_of = sum(len(each.criteria) for each in to_see(demo, TODAY) if each.person == one.person)
        assert len(one.criteria) + one.more == all_of
        assert all(TODAY <= day <= TODAY + timedelta(days=60) for _, day in one.runs_out)


def test_who_did_nothing_for_long_is_named_with_the_day(demo: Records):
    later = TODAY + timedelta(days=SILENT_DAYS + 8)
    rows = this_week(demo, later)
    assert rows[0].silent_since is not None
    assert all(one.silent_since <= later - timedelta(days=SILENT_DAYS) for one in rows if one.silent_since)
