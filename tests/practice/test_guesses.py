"""A learner's guesses: kept whole, for nobody else to read, and shown again a week later."""

from __future__ import annotations

import json
import os
import stat
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest

from kit.basics.errors import BadData, OutOfRange
from kit.practice.guesses import FILE, LONGEST_TEXT, Guess, keep_guess, read_guesses, to_look_back_on

DAY = date(2026, 3, 2)
HOLD = Guess("hold", "How long at 63 °C?", "About 3 min", "About 17 min", "About 14 min too short", DAY)


def test_nothing_is_there_at_first(tmp_path: Path):
    assert read_guesses(tmp_path) == ()
    assert list(tmp_path.iterdir()) == []


def test_a_guess_is_there_again_and_a_later_one_at_the_same_place_replaces_it(tmp_path: Path):
    keep_guess(tmp_path, HOLD)
    keep_guess(tmp_path, replace(HOLD, name="salt", day=DAY - timedelta(days=1)))
    later = replace(HOLD, changed="  Čas roste\tpomalu ", day=DAY + timedelta(days=3))
    keep_guess(tmp_path, later)
    kept = read_guesses(tmp_path)
    assert [one.name for one in kept] == ["salt", "hold"]
    assert kept[1] == replace(later, changed="Čas roste pomalu")
    if os.name == "posix":
        assert stat.S_IMODE((tmp_path / FILE).stat().st_mode) == 0o600


def test_too_long_a_text_is_refused_and_the_old_one_stays(tmp_path: Path):
    keep_guess(tmp_path, HOLD)
    with pytest.raises(OutOfRange, match="501 characters long; it must be 500 or fewer"):
        keep_guess(tmp_path, replace(HOLD, changed="x" * (LONGEST_TEXT + 1)))
    assert read_guesses(tmp_path) == (HOLD,)


@pytest.mark.parametrize(
    "data", [b"{", b"\xff\xfe", b"[]", b'{"schema": 1, "guesses": [{"name": 3}]}', b'{"schema": 1}']
)
def test_a_damaged_file_is_kept_beside_and_the_list_goes_on(data: bytes, tmp_path: Path):
    (tmp_path / FILE).write_bytes(data)
    assert read_guesses(tmp_path) == ()
    keep_guess(tmp_path, HOLD)
    assert read_guesses(tmp_path) == (HOLD,)
    assert [path.read_bytes() for path in tmp_path.glob("guesses.damaged-*")] == [data]


def test_a_newer_file_is_left_as_it_is(tmp_path: Path):
    (tmp_path / FILE).write_text(json.dumps({"schema": 2, "guesses": []}))
    with pytest.raises(BadData, match="newer kit"):
        keep_guess(tmp_path, HOLD)
    assert json.loads((tmp_path / FILE).read_text())["schema"] == 2


def test_it_comes_back_from_the_seventh_to_the_28th_day_and_two_take_turns():
    other = replace(HOLD, name="salt")
    for after, comes in ((0, False), (6, False), (7, True), (28, True), (29, False)):
        assert (to_look_back_on((HOLD, other), DAY + timedelta(days=after)) is not None) == comes
    shown = {to_look_back_on((HOLD, other), DAY + timedelta(days=n)).name for n in range(7, 12)}
    assert shown == {"hold", "salt"}
