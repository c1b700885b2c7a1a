"""Three days beside their bands: what the README shows is what the kit gives."""

import importlib.util
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def three_days():
    where = ROOT / "tests/benchmarks/three_days.py"
    spec = importlib.util.spec_from_file_location("three_days", where)
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules["three_days"] = module
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="module")
def all_rows(three_days):
    return three_days.rows()


def shown():
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    part = text.partition("<!-- three days")[2].partition("<!-- end of three days")[0]
    return [
        [cell.strip() for cell in line.strip("|").split("|")] for line in part.splitlines() if "|" in line
    ][2:]


def test_the_readme_shows_every_row_as_the_kit_gives_it(three_days, all_rows):
    told = shown()
    assert len(told) == len(all_rows) >= 25
    for cells, row in zip(told, all_rows, strict=True):
        assert cells[:2] == [row.day, row.what]
        assert float(cells[2].split()[0]) == pytest.approx(row.ours, abs=0.15), row.what
        assert cells[3] == f"{row.low:g} to {row.high:g}"
        assert bool(cells[5]) != row.inside, row.what


def test_a_figure_that_was_read_and_is_missed_says_why(all_rows):
    assert all(row.note for row in all_rows if row.seen and not row.inside)


def test_the_core_ends_little_above_its_target_on_all_three_days(all_rows):
    peaks = [row for row in all_rows if row.what.startswith("peak core")]
    assert len(peaks) == 3 and all(row.inside for row in peaks)


def test_no_more_figures_miss_and_each_miss_is_explained_by_a_measurement(three_days, all_rows):
    """What a note blames, changed alone, brings the figure into its band."""
    outside = {(row.day, row.what) for row in all_rows if not row.inside}
    told = three_days.reasons()
    assert outside == {(day, what) for day, what, *_ in told}
    assert len(outside) <= 5
    for day, what, changed, ours, low, high in told:
        assert low <= ours <= high, (day, what, changed)
