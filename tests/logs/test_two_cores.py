"""Several cores: the one that does worst counts, in whichever column it stands."""

from __future__ import annotations

import pytest

from kit import rules
from kit.logs.checking import check_log
from kit.logs.reading import LogOptions

IE = rules.load("ie")


def log(first: float, second: float) -> bytes:
    """Two cores that rise, hold for 40 min, and cool."""
    rows = ["time (min);A (C);B (C)"]
    for minute in range(0, 200, 2):
        share = min(minute / 60, 1.0) if minute < 100 else max(0.0, 1 - (minute - 100) / 90)
        rows.append(f"{minute};{5 + share * (first - 5):.1f};{5 + share * (second - 5):.1f}")
    return "\n".join(rows).encode()


@pytest.mark.parametrize(("hot", "cold"), [(75.0, 62.0), (85.0, 78.0), (70.0, 50.0)])
def test_the_coldest_core_is_shown_whichever_column_it_stands_in(hot: float, cold: float):
    shown = []
    for first, second, name in ((hot, cold, "B"), (cold, hot, "A")):
        how = LogOptions(core=("A (C)", "B (C)"))
        checked = check_log(log(first, second), IE, how=how, steps=("cook",))
        found = next(one for one in checked.verdicts if one.rule == "ie-cook-75")
        assert found.why.startswith(f"{name} "), found
        shown.append((found.outcome, found.measured))
    assert shown[0] == shown[1]
