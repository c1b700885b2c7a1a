"""Reading a logger's export: many dialects, one record; and what is refused."""

from __future__ import annotations

import math
from datetime import datetime, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kit.basics.errors import BadData
from kit.logs import LogOptions, read_log


def log(text: str, encoding: str = "utf-8", **how: object):
    return read_log(text.encode(encoding), LogOptions(**how), name="cook.csv")  # type: ignore[arg-type]


PLAIN = "Time;Core (°C);Cabinet air (°C)\n" + "".join(
    f"2025-03-15 14:{minute:02d}:00;{50 + minute * 0.5:.1f};78.0\n" for minute in range(10)
)


def test_stamps_semicolons_and_a_named_core():
    read = log(PLAIN)
    assert read.trace.time_min.tolist() == list(range(10))
    assert read.trace.core_c[3] == 51.5
    assert read.trace.air_c is not None and read.trace.air_c[0] == 78.0
    assert read.began == datetime(2025, 3, 15, 14, 0)


@pytest.mark.parametrize(
    ("text", "core"),
    [
        ("time_min,core_c\n0,62.5\n1,63.0\n", [62.5, 63.0]),
        ("Elapsed (s)\tCore °F\n0\t145\n60\t147.2\n", [62.7777778, 64.0]),
        ("Zeit (s);Kern (°C)\n0;62,5\n60;63,0\n", [62.5, 63.0]),
        ("Date,Time,Core C\n15/03/2025,2:05 PM,62.5\n15/03/2025,2:06 PM,63\n", [62.5, 63.0]),
        (
            "Logger 7\nSerial: 12\n\nTime;Core\n15.03.2025 14:00;62,5\n15.03.2025 14:01;63,0\nEnd;\n",
            [62.5, 63.0],
        ),
        ("Time;Core\n15 Mar 2025 23:59;62.5\n16 Mar 2025 00:00;63\n", [62.5, 63.0]),
        ("Time;Core\n2025-03-15T14:00:00Z;62.5\n2025-03-15T14:01:00Z;63\n", [62.5, 63.0]),
    ],
)
def test_a_dialect(text: str, core: list[float]):
    read = log(text)
    assert read.trace.core_c == pytest.approx(core)
    assert read.trace.time_min.tolist() == [0, 1]


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "latin-1", "utf-16"])
def test_encodings(encoding: str):
    assert log(PLAIN, encoding).trace.core_c[0] == 50.0


# Words and numbers that loggers write for a broken or missing probe: from memory, confirm in your logger's
# manual. Rows of nines; the ends of 8, 15 and 16 bits, whole, in tenths and in hundredths; over-range codes.
FAULTS = ["OL", "---", "", "NaN", "Error", "n/a", "open", "-inf", "888.8", "1999", "7777", "8888"]
FAULTS += [sign + nines for nines in ("999", "999.9", "9999", "9999.9", "99999") for sign in ("", "-")]
FAULTS += [
    f"{sign}{bits / part:g}" for bits in (32767, 32768, 65535) for part in (1, 10, 100) for sign in ("", "-")
]


@pytest.mark.parametrize("unit", ["°C", "°F"])
@pytest.mark.parametrize("fault", FAULTS)
def test_a_fault_is_a_gap_never_a_temperature(fault: str, unit: str):
    read = log(f"time_min;core {unit};air {unit}\n0;62.5;90\n1;{fault};{fault}\n2;63;90\n")
    assert read.trace.air_c is not None
    assert math.isnan(read.trace.core_c[1]) and math.isnan(read.trace.air_c[1])
    assert read.gaps == 1
    assert any("gaps: 1" in note for note in read.notes)


@pytest.mark.parametrize(
    ("core", "gap"), [("105", False), ("106", True), ("-60", False), ("-61", True), ("150", True)]
)
def test_a_core_that_cannot_be_is_a_gap_and_hot_air_is_not(core: str, gap: bool):
    read = log(f"time_min;core (°C);air (°C)\n0;62.5;90\n1;{core};150\n2;63;90\n")
    assert math.isnan(read.trace.core_c[1]) == gap and read.gaps == gap
    assert read.trace.air_c is not None and read.trace.air_c[1] == 150


def test_rows_out_of_order_are_sorted_and_said():
    read = log("time_min;core_c\n0;60\n2;62\n1;61\n3;63\n")
    assert read.trace.core_c.tolist() == [60, 61, 62, 63]
    assert any("out of order" in note for note in read.notes)


def test_duplicate_stamps_that_agree_are_joined_and_those_that_do_not_are_a_gap():
    read = log("time_min;core_c\n0;60\n1;61\n1;61.2\n2;62\n2;70\n3;63\n")
    assert read.trace.time_min.tolist() == [0, 1, 2, 3]
    assert read.trace.core_c[1] == 61.2
    assert math.isnan(read.trace.core_c[2])


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("Time;Core\n03/04/2025 14:00;62.5\n03/04/2025 14:01;63\n", "--day-first or --month-first"),
        ("time_min;Probe 1;Probe 2\n0;60;61\n1;61;62\n", "--core-column"),
        ("time_min;Core left;Core right\n0;60;61\n1;61;62\n", "--core-column"),
        ("Time;Core\n0;60\n1;61\n", "--elapsed"),
        ("time_min;core\n0;140\n1;145\n", "--unit"),
        ("", "empty"),
        ("hello\nworld\n", "line 1"),
        ("time_min;core_c\n0;9999\n1;---\n", "no reading that a core can have"),
        (
            "time_min;core (°C)\n0;145\n1;151\n",
            "no reading that a core can have",
        ),  # °F under the wrong heading
        ("time_min;core_c\n0;60\n1;warm\n2;61\n", "line 3"),
        ("time_min,core_c\n0,60\n1,61,5\n2,62\n", "line 3"),
        ("Time;Core\n2025-02-30 10:00;60\n2025-02-30 10:01;61\n", "line 2"),
    ],
)
def test_what_could_be_read_in_two_ways_is_refused(text: str, says: str):
    with pytest.raises(BadData, match=says.replace("(", "\\(")):
        log(text)


def test_the_option_that_settles_it_settles_it():
    text = "Time;Core\n03/04/2025 14:00;62.5\n03/04/2025 14:01;63\n"
    assert log(text, order="day").began == datetime(2025, 4, 3, 14)
    assert log(text, order="month").began == datetime(2025, 3, 4, 14)
    two = "time_min;Probe 1;Probe 2\n0;60;61\n1;61;62\n"
    assert log(two, core="Probe 2").trace.core_c.tolist() == [61, 62]
    assert log(two, core="2").trace.core_c.tolist() == [60, 61]
    assert log("Time;Core\n0;60\n1;61\n", elapsed="s").trace.time_min[1] == pytest.approx(1 / 60)
    assert log("time_min;core\n0;140\n1;149\n", unit="f").trace.core_c.tolist() == pytest.approx([60, 65])


AUTUMN = "Time;Core\n" + "".join(
    f"2025-10-26 {hour}:{minute:02d};{60 + i * 0.1:.1f}\n"
    for i, (hour, minute) in enumerate(
        [*[("00", m) for m in range(30, 60, 10)], *[("01", m) for m in range(0, 60, 10)] * 2, ("02", 0)]
    )
)


def test_the_hour_that_comes_twice_is_refused_until_the_zone_is_told():
    with pytest.raises(BadData, match="--zone"):
        log(AUTUMN)
    read = log(AUTUMN, zone="Europe/Dublin")
    assert np.diff(read.trace.time_min).tolist() == [10.0] * (read.trace.time_min.size - 1)


def test_a_twelve_hour_clock_without_halves_is_refused():
    rows = "".join(f"2025-03-15 {h}:{m:02d};60\n" for h, m in [(12, 40), (12, 50), (1, 0), (1, 10), (1, 20)])
    with pytest.raises(BadData, match="AM and PM"):
        log("Time;Core\n" + rows)


@pytest.mark.slow
def test_a_large_file_and_a_missing_one(tmp_path):
    with pytest.raises(BadData, match="no such file"):
        read_log(tmp_path / "none.csv")
    with pytest.raises(BadData, match="folder"):
        read_log(tmp_path)
    path = tmp_path / "long.csv"
    start = datetime(2025, 3, 15)
    path.write_text(
        "Time,Core (°C)\n"
        + "".join(
            f"{start + timedelta(seconds=5 * i):%Y-%m-%d %H:%M:%S},{4 + i % 60}\n" for i in range(20_000)
        ),
        encoding="utf-8",
    )
    assert read_log(path).trace.core_c.size == 20_000


DIALECTS = st.fixed_dictionaries(
    {
        "separator": st.sampled_from([";", "\t", ","]),
        "comma": st.booleans(),
        "unit": st.sampled_from(["c", "f"]),
        "clock": st.sampled_from(
            ["%Y-%m-%d %H:%M:%S", "%d.%m.%Y %H:%M:%S", "%Y/%m/%d %I:%M:%S %p", "s", "min"]
        ),
        "noise": st.lists(
            st.sampled_from(["Logger report", "Serial: 0012", "Batch char 14", ""]), max_size=4
        ),
        "encoding": st.sampled_from(["utf-8", "utf-8-sig", "latin-1", "utf-16"]),
        "swap": st.booleans(),
        "newline": st.sampled_from(["\n", "\r\n"]),
    }
)
CORES = st.lists(
    st.one_of(st.none(), st.integers(-200, 990).map(lambda tenth: tenth / 10)), min_size=3, max_size=30
).filter(lambda column: any(value is not None for value in column))


def written(core: list[float | None], dialect: dict[str, object]) -> bytes:
    """Write a record in one dialect."""
    comma = bool(dialect["comma"]) and dialect["separator"] != ","
    unit, clock = str(dialect["unit"]), str(dialect["clock"])

    def number(value: float) -> str:
        return f"{value:.4f}".replace(".", ",") if comma else f"{value:.4f}"

    def cell(value: float | None) -> str:
        return "---" if value is None else number(value * 1.8 + 32 if unit == "f" else value)

    def time(index: int) -> str:
        if clock == "s":
            return str(60 * index)
        if clock == "min":
            return str(index)
        return f"{datetime(2025, 3, 15, 11, 50) + timedelta(minutes=index):{clock}}"

    heading = {"s": "Elapsed (s)", "min": "Elapsed (min)"}.get(clock, "Time")
    rows = [[heading, f"Core (°{unit.upper()})"], *([time(i), cell(value)] for i, value in enumerate(core))]
    if dialect["swap"]:
        rows = [row[::-1] for row in rows]
    lines = [*dialect["noise"], *(str(dialect["separator"]).join(row) for row in rows)]  # type: ignore[misc]
    return (str(dialect["newline"]).join(lines) + str(dialect["newline"])).encode(str(dialect["encoding"]))


@pytest.mark.slow
@settings(max_examples=150, deadline=None)
@given(CORES, DIALECTS)
def test_a_record_written_in_any_dialect_reads_back_equal(
    core: list[float | None], dialect: dict[str, object]
):
    read = read_log(written(core, dialect))
    known = np.array([np.nan if value is None else value for value in core])
    assert read.trace.time_min == pytest.approx(np.arange(len(core)), abs=1e-6)
    assert read.trace.core_c == pytest.approx(known, abs=1e-3, nan_ok=True)


@settings(max_examples=200, deadline=None)
@given(st.binary(max_size=400))
def test_any_bytes_are_read_or_refused_in_one_sentence(data: bytes):
    try:
        read = read_log(data)
    except BadData as error:
        assert str(error)
    else:
        assert read.trace.time_min.size


def test_a_refusal_never_offers_the_chamber_as_core():
    text = "time,chamber,probe 1\n2026-01-01 10:00,20,30\n2026-01-01 10:02,20,31\n"
    with pytest.raises(BadData, match=r"--core-column with one of 'probe 1'\."):
        log(text)
    alone = "time,chamber\n2026-01-01 10:00,20\n2026-01-01 10:02,20\n"
    with pytest.raises(BadData, match="it holds 'chamber', and no core"):
        log(alone)
