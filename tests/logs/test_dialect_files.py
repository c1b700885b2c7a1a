"""One invented batch in five dialects: every file tells the same record."""

from pathlib import Path

import numpy as np
import pytest

from kit.basics.errors import BadData
from kit.logs import find_phases, read_log

DATA = Path(__file__).parent / "data"
FILES = [
    "semicolon_comma_latin1.csv",
    "twelve_hour_fahrenheit.csv",
    "elapsed_tabs_utf16.txt",
    "iso_out_of_order.csv",
    "clock_with_faults.csv",
]


@pytest.mark.parametrize("name", FILES)
def test_every_dialect_tells_the_same_record(name):
    log = read_log(DATA / name)
    assert log.trace.time_min.tolist() == list(range(0, 202, 2))
    core, there = log.trace.core_c, np.isfinite(log.trace.core_c)
    # the three points below were chosen when the files were written; between them the core was drawn straight
    for minute, core_c in ((0, 4.2), (70, 66.0), (112, 77.2), (176, 2.1)):
        assert core[minute // 2] == pytest.approx(core_c, abs=0.01)
    assert there.all() == (name != "clock_with_faults.csv")
    assert np.all(np.abs(np.diff(core[there])) <= 8)  # a fault code read as a temperature would leap


@pytest.mark.parametrize("name", FILES)
def test_the_door_is_found_in_every_dialect(name):
    cook, chill = find_phases(read_log(DATA / name).trace).trace.phases
    assert (cook.name, cook.end_min) == ("cook", 104.0)
    assert (chill.name, chill.start_min) == ("chill", 114.0)


def test_what_was_put_right_is_said():
    notes = " ".join(read_log(DATA / "iso_out_of_order.csv").notes)
    assert "out of order, sorted by time: 1" in notes
    assert "stamp that was there already: 1" in notes
    notes = " ".join(read_log(DATA / "clock_with_faults.csv").notes)
    assert "Midnight passed" in notes and "kept as gaps: 6" in notes
    notes = " ".join(read_log(DATA / "semicolon_comma_latin1.csv").notes)
    assert "Latin-1" in notes and "Lines after the data, left out: 1" in notes


@pytest.mark.parametrize(
    ("text", "says"),
    [
        # a decimal comma in a file split by commas would lose the tenths: 3,9 °C is not 3 °C
        ("Time,Core (°C)\n2025-03-05 10:00,62,5\n2025-03-05 10:01,3,9\n", "decimal mark the same"),
        ("Time;Core (°C)\n2025-03-05 10:00;warm\n2025-03-05 10:01;61\n", "line 2: a time without a reading"),
        ('Time;Core (°C)\n2025-03-05 10:00;"60\n2025-03-05 10:01;61\n', "quotation mark left open"),
        ("a" * 200_000 + ";b\n", "line 1"),
        ("Time;Core\n2025-03-05 10:00;104\n2025-03-05 10:01;105\n", "--unit f"),
    ],
)
def test_what_would_be_read_wrong_is_refused(text, says):
    with pytest.raises(BadData, match=says):
        read_log(text.encode())


def test_a_clock_that_counts_past_a_day():
    log = read_log(b"Elapsed;Core (C)\n23:59:00;60\n24:00:00;61\n25:00:00;62\n")
    assert log.trace.time_min.tolist() == [0, 1, 61]
    with pytest.raises(BadData, match="line 3"):
        read_log(b"Time;Core (C)\n23:59:00;60\n24:00:00;61\n")
