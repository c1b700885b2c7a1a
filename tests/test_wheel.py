"""A built wheel carries the lessons, the data and the front end, and works on its own."""

from __future__ import annotations

import os
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

import kit

ROOT = Path(__file__).resolve().parents[1]


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("wheel")
    run = subprocess.run(
        [sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", str(folder), str(ROOT)],
        capture_output=True,
        text=True,
        timeout=120,
    )
    assert run.returncode == 0, run.stderr[-3000:]
    return next(folder.glob("*.whl"))


def test_what_the_notebooks_and_commands_need_is_inside(wheel: Path):
    names = set(zipfile.ZipFile(wheel).namelist())
    lessons = {f"kit/_lessons/{path.name}" for path in (ROOT / "lessons").glob("*.ipynb")}
    shipped = {
        str(path.relative_to(ROOT))
        for path in (ROOT / "kit").rglob("*")
        if path.is_file()
        and path.suffix in {".py", ".toml", ".js", ".css", ".json", ".html", ".svg", ".j2", ".po"}
        and "__pycache__" not in path.parts
    }
    assert lessons and lessons <= names
    assert "kit/_desk/tutor_desk.ipynb" in names
    assert shipped <= names, sorted(shipped - names)
    assert "kit/py.typed" in names
    assert wheel.name.startswith(f"smokehouse_kit-{kit.__version__}-")
    assert not [name for name in names if name.startswith(("tests/", "answers/"))]


@pytest.mark.slow
def test_the_installed_wheel_finds_its_lessons_and_rules(wheel: Path, tmp_path: Path):
    target = tmp_path / "site"
    zipfile.ZipFile(wheel).extractall(target)  # what an installer does; uv's environments have no pip
    code = (
        "import kit, kit.basics.places, kit.rules, kit.exercises as e; "
        "print(kit.__file__); lessons = kit.basics.places.lessons_folder(); "
        "print(sorted(p.name for p in lessons.glob('*.ipynb'))[0]); "
        "import kit.views.tutor.place as d; print(d.notebook_file()); "
        "print(kit.rules.load('uk').id); print(e.question(e.ids()[0], 1).text != '')"
    )
    env = {**os.environ, "PYTHONPATH": str(target)}
    run = subprocess.run(
        [sys.executable, "-c", code], cwd=tmp_path, env=env, capture_output=True, text=True, timeout=120
    )
    assert run.returncode == 0, run.stderr[-2000:]
    where, lesson, desk, profile, drawn = run.stdout.splitlines()
    assert where.startswith(str(target))
    assert lesson.endswith(".ipynb")
    assert desk.startswith(str(target)) and desk.endswith("tutor_desk.ipynb")
    assert (profile, drawn) == ("uk", "True")
