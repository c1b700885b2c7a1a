"""What marking costs.

    python -m pytest tests/benchmarks/bench_marking.py -o addopts= --benchmark-enable -s

Figures to reach: a plain number in 150 µs or less; 40 answers, each question drawn again with warm caches,
at least 100 times cheaper than executing one notebook. The cold figure is printed beside it.
"""

from __future__ import annotations

import subprocess
import sys
import time
from itertools import cycle, islice
from pathlib import Path

from kit import exercises
from kit.marking import mark
from kit.marking.draw import seed_for

ROOT = Path(__file__).resolve().parents[2]
NOTEBOOK = ROOT / "lessons" / "05_cook_by_temperature.ipynb"
PERSON = "0" * 32


def forty() -> list[tuple[str, int]]:
    return [
        (name, seed_for(PERSON, name, exercises.info(name).version, turn + 1))
        for turn, name in enumerate(islice(cycle(exercises.ids(5)), 40))
    ]


def mark_forty(drawn: list[tuple[str, int]]) -> float:
    total = 0.0
    for name, seed in drawn:
        question = exercises.question(name, seed)
        total += mark(question, question.answer).score
    return total


def test_forty_answers_against_one_notebook(benchmark):
    drawn = forty()
    code = f"import sys; sys.path.insert(0, {str(Path(__file__).parent)!r}); "
    code += "import time, bench_marking as b; t = time.perf_counter(); b.mark_forty(b.forty()); "
    code += "print(time.perf_counter() - t)"
    cold = float(
        subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
    )
    mark_forty(drawn)
    score = benchmark(mark_forty, drawn)
    warm = benchmark.stats.stats.median if benchmark.stats else cold
    assert score == sum(exercises.question(name, seed).of for name, seed in drawn)

    import nbclient
    import nbformat

    book = nbformat.read(NOTEBOOK, as_version=4)
    begun = time.perf_counter()
    nbclient.NotebookClient(book, timeout=120).execute()
    notebook = time.perf_counter() - begun
    print(
        f"\n40 answers: warm {warm * 1e3:.2f} ms, cold {cold * 1e3:.0f} ms (imports and simulations included)"
    )
    print(f"one notebook: {notebook:.2f} s; ratio warm {notebook / warm:.0f}, cold {notebook / cold:.1f}")
    assert notebook / warm >= 100


def test_a_plain_number(benchmark):
    name = next(each for each in exercises.ids(5) if exercises.question(each, 1).kind_name == "number")
    question = exercises.question(name, 1)
    outcome = benchmark(mark, question, str(question.answer))
    assert outcome.score == question.of
    if benchmark.stats:
        assert benchmark.stats.stats.median <= 150e-6
