"""Count the rows that are held to print: those from before the fish got its shape, and those since, by file.

    python tests/benchmarks/published_rows.py

A row is one collected test of `tests/published`. Asked for: every row of before still there, and 100 or more
since of law, yields, what fish is made of and loses, costs, cleaning and tasting. Rows of statistics about
questions and tutors are counted apart. Each file must say that its rows were read, or come from a
library run here. Exit code 1 if missed.
"""

from __future__ import annotations

import re
import sys
from collections import Counter
from pathlib import Path

import pytest

HERE = Path(__file__).parents[1] / "published"
BEFORE = {
    "brine_tables": 63, "coolprop_components": 40, "drying_air": 16, "explicit_root": 17,
    "inspection_tables": 27, "listeria_d_values": 10, "measured_fish_properties": 24, "perfringens": 4,
    "psychrolib_states": 28, "psychrometric_tables": 9, "rfc8032": 8, "sampling_plans": 17,
    "uk_botulinum_equivalents": 42, "water_activity_tables": 22, "wood_tables": 38, "yields": 9,
}  # fmt: skip
"""Collected in the last state before the first row that was added since."""
STATISTICS = ("agreement_figures", "cut_scores", "lsat6", "reliability_figures")
LEAST_SINCE = 100
READ = re.compile(r"\b(read|seen|abstract|quoted|stored copy|run here)\b", re.IGNORECASE)


class Counting:
    """A plugin that counts what was collected, by file."""

    def __init__(self) -> None:
        self.by_file: Counter[str] = Counter()

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        """Count the tests of each file."""
        self.by_file.update(item.path.stem.removeprefix("test_") for item in items)


def main() -> int:
    """Print the counts by file."""
    counting = Counting()
    pytest.main(["--collect-only", "-qq", "-n", "0", "--no-header", str(HERE)], plugins=[counting])
    lost = {name: rows for name, rows in BEFORE.items() if counting.by_file[name] < rows}
    since = 0
    print()
    for name, rows in sorted(counting.by_file.items()):
        kind = "before" if name in BEFORE else "statistics" if name in STATISTICS else "since"
        since += rows if kind == "since" else max(0, rows - BEFORE.get(name, rows))
        print(f"{kind:11} {name:28} {rows:4}")
    silent = [name for name in counting.by_file if not READ.search((HERE / f"test_{name}.py").read_text())]
    held = sum(min(counting.by_file[name], rows) for name, rows in BEFORE.items())
    print(f"held before {held} of {sum(BEFORE.values())}; since {since}; in all {counting.by_file.total()}")
    print(f"lost: {lost or 'none'}; says nothing of reading: {silent or 'none'}")
    return 0 if not lost and not silent and since >= LEAST_SINCE else 1


if __name__ == "__main__":
    sys.exit(main())
