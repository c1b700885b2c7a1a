"""The notebooks run: lessons from top to bottom, answers word for word. A changed output is found."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from itertools import groupby
from pathlib import Path

import pytest

from kit import exercises

ROOT = Path(__file__).resolve().parents[2]
LESSONS = sorted((ROOT / "lessons").glob("*.ipynb"))
ANSWERS = [path for path in sorted((ROOT / "answers").glob("*.ipynb")) if path.name[:2].isdigit()]
COUNTED = ROOT / "answers" / "training_manager.ipynb"
MEASURED = ROOT / "answers" / "question_numbers.ipynb"
PLANNED = ROOT / "answers" / "crew_over_time.ipynb"
SANITISE = Path(__file__).with_name("sanitize.cfg")
LONG_S = 900  # nine notebooks, on a machine that has ten other things to do


def nbval(*arguments: object, home: Path) -> subprocess.CompletedProcess[str]:
    """Run nbval as a person would, with nobody at work and a home of its own."""
    env = {name: value for name, value in os.environ.items() if name != "SMOKEHOUSE_PERSON"}
    env["SMOKEHOUSE_HOME"] = str(home)
    env["IPYTHONDIR"] = str(home / "ipython")
    env["TZ"] = "UTC"  # a local day is one of this zone
    command = [
        sys.executable,
        "-m",
        "pytest",
        "-v",
        "-p",
        "no:cacheprovider",
        "-o",
        "addopts=",
        "-o",
        "filterwarnings=",
    ]
    command += ["--nbval-current-env", "--nbval-cell-timeout", "120", *map(str, arguments)]
    return subprocess.run(command, cwd=ROOT, env=env, capture_output=True, text=True, timeout=LONG_S)


def code_cells(path: Path) -> list[dict[str, object]]:
    cells = json.loads(path.read_text(encoding="utf-8"))["cells"]
    return [cell for cell in cells if cell["cell_type"] == "code"]


def passed(run: subprocess.CompletedProcess[str], path: Path) -> int:
    """Return how many cells of a notebook passed; the run says each on a line of its own."""
    return len(re.findall(rf"^\S*{re.escape(path.stem)}\S*::Cell \d+ PASSED", run.stdout, re.MULTILINE))


@pytest.fixture(scope="module")
def home_of_lessons(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("home")


@pytest.fixture(scope="module")
def lessons_run(home_of_lessons: Path) -> subprocess.CompletedProcess[str]:
    """Run all lessons, each in a kernel of its own. One start of nbval takes as long as a lesson."""
    return nbval("--nbval-lax", *LESSONS, home=home_of_lessons)


@pytest.fixture(scope="module")
def answers_run(tmp_path_factory: pytest.TempPathFactory) -> subprocess.CompletedProcess[str]:
    home = tmp_path_factory.mktemp("home")
    return nbval(
        "--nbval", "--nbval-sanitize-with", SANITISE, *ANSWERS, COUNTED, MEASURED, PLANNED, home=home
    )


def test_there_is_an_answers_notebook_for_every_lesson():
    numbered = [path.name for path in LESSONS if path.name[:2].isdigit()]  # Today is a page, not a lesson
    assert numbered
    assert [path.name for path in ANSWERS] == numbered


@pytest.mark.slow
@pytest.mark.timeout(LONG_S)
@pytest.mark.parametrize("path", LESSONS, ids=lambda path: path.stem)
def test_a_lesson_runs_from_top_to_bottom(
    path: Path, lessons_run: subprocess.CompletedProcess[str], home_of_lessons: Path
):
    assert passed(lessons_run, path) == len(code_cells(path)), lessons_run.stdout[-6000:]
    assert not (home_of_lessons / "people").exists(), "a lesson without a person recorded something"


@pytest.mark.slow
@pytest.mark.timeout(LONG_S)
@pytest.mark.parametrize("path", [*ANSWERS, COUNTED, MEASURED, PLANNED], ids=lambda path: path.stem)
def test_answers_print_what_is_stored(path: Path, answers_run: subprocess.CompletedProcess[str]):
    hint = f"If the change is meant: smokehouse author fill answers/{path.name}"
    assert passed(answers_run, path) == len(code_cells(path)), f"{answers_run.stdout[-6000:]}\n{hint}"


@pytest.mark.parametrize("path", ANSWERS, ids=lambda path: path.stem)
def test_answers_show_every_exercise_with_full_marks(path: Path):
    lesson = int(path.name[:2])
    cells = code_cells(path)
    shown = {re.search(r'show\("([^"]+)"', "".join(cell["source"])): cell for cell in cells}  # type: ignore[arg-type]
    by_id = {found[1]: cell for found, cell in shown.items() if found}
    assert set(by_id) == {*exercises.ids(lesson), *exercises.explain_ids(lesson)}
    for name in exercises.ids(lesson):
        text = "".join("".join(output["text"]) for output in by_id[name]["outputs"])  # type: ignore[attr-defined]
        marks = re.findall(r"^score:\s+(\S+) of (\S+), (.+)$", text, re.MULTILINE)
        assert len(marks) >= 3, name
        assert all(score == of and word == "right" for score, of, word in marks), name


@pytest.mark.parametrize(
    ("path", "questions", "pictures"),
    [(COUNTED, 5, 5), (MEASURED, 8, 3), (PLANNED, 5, 4)],
    ids=["crew", "questions", "progress"],
)
def test_a_notebook_that_counts_is_short_and_every_question_has_an_answer(
    path: Path, questions: int, pictures: int
):
    cells = json.loads(path.read_text(encoding="utf-8"))["cells"]
    for kind, run in groupby(cell["cell_type"] for cell in cells):
        assert kind == "markdown" or len(list(run)) <= 2
    code = [cell for cell in cells if cell["cell_type"] == "code"]
    assert all(len(cell["source"]) <= 4 for cell in code)
    assert all(len(line) <= 110 for cell in code for line in cell["source"])
    text = "\n".join("".join(cell["source"]) for cell in cells)
    assert len(re.findall(r"^## \d\. .*\?$", text, re.M)) == text.count("**What to do.**") == questions
    assert sum("image/png" in out.get("data", {}) for cell in code for out in cell["outputs"]) == pictures


@pytest.mark.slow
@pytest.mark.parametrize("path", sorted((ROOT / "answers").glob("*.ipynb")), ids=lambda path: path.stem)
def test_no_stored_output_is_a_warning_or_names_a_place_of_a_machine(path: Path):
    outputs = [
        output for cell in json.loads(path.read_text("utf-8"))["cells"] for output in cell.get("outputs", [])
    ]
    assert [output["text"] for output in outputs if output.get("name") == "stderr"] == []
    words = json.dumps([{**each, "data": {**each.get("data", {}), "image/png": ""}} for each in outputs])
    assert re.findall(r"(?:/(?:home|root|work|tmp)/|site-packages|[A-Z]:\\)\S*", words) == []


@pytest.mark.slow
def test_a_changed_output_is_found(tmp_path: Path):
    book = json.loads(ANSWERS[0].read_text(encoding="utf-8"))
    cell = next(c for c in book["cells"] if c["cell_type"] == "code" and c["outputs"])
    text = "".join(cell["outputs"][0]["text"])
    changed = text.replace("score:   1 of 1", "score:   0 of 1", 1)
    assert changed != text
    cell["outputs"][0]["text"] = changed
    keep = [book["cells"].index(cell)]
    book["cells"] = [c for i, c in enumerate(book["cells"]) if i in keep or "import" in "".join(c["source"])]
    path = tmp_path / "changed.ipynb"
    path.write_text(json.dumps(book), encoding="utf-8")
    run = nbval("--nbval", "--nbval-sanitize-with", SANITISE, path, home=tmp_path)
    assert run.returncode == 1
    assert "1 failed, 1 passed" in run.stdout
