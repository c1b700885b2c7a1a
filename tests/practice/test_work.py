"""The work folder: lessons arrive, a person's own work is never lost."""

import json
import os
import subprocess
import sys

import pytest

from kit.basics import places
from kit.files import NotSaved
from kit.practice import prepare
from kit.practice.work_folder import RECORD, digest


def notebook(*sources, kit=None, outputs=(), **metadata):
    cells = [
        {
            "cell_type": "code",
            "source": source,
            "outputs": list(outputs),
            "execution_count": None,
            "metadata": {},
        }
        for source in sources
    ]
    whole = {"cells": cells, "metadata": {"kit": kit or {"run_on_open": True}, **metadata}, "nbformat": 4}
    return json.dumps(whole).encode()


@pytest.fixture
def shipped(tmp_path):
    folder = tmp_path / "shipped"
    folder.mkdir()
    (folder / "04_smoke.ipynb").write_bytes(notebook("smoke"))
    (folder / "05_cook.ipynb").write_bytes(notebook("cook"))
    (folder / "notes.txt").write_text("not a lesson")
    return folder


def saved_by_the_page(path):
    """Save a copy as JupyterLab does: outputs, run numbers and its own metadata come in, the text stays."""
    found = json.loads(path.read_bytes())
    for cell in found["cells"]:
        cell.update(outputs=[{"output_type": "stream", "text": "x"}], execution_count=7, id="ab12")
        cell["source"] = cell["source"].splitlines(keepends=True)
        cell["metadata"]["trusted"] = True
    found["metadata"]["language_info"] = {"name": "python"}
    path.write_text(json.dumps(found, indent=1), encoding="utf-8")


def test_lessons_arrive_once(ana, shipped, clock):
    first = prepare(ana, lessons=shipped, clock=clock)
    assert first.new == ("04_smoke.ipynb", "05_cook.ipynb")
    assert first.says == ("New here: 04_smoke, 05_cook.",)
    assert (ana.lessons / "05_cook.ipynb").read_bytes() == notebook("cook")
    assert not (ana.lessons / "notes.txt").exists()
    again = prepare(ana, lessons=shipped, clock=clock)
    assert (again.new, again.updated, again.kept, again.says) == ((), (), (), ())


def test_the_lessons_of_this_kit_arrive(ana):
    assert prepare(ana).new == tuple(sorted(path.name for path in places.lessons_folder().glob("*.ipynb")))


def test_own_work_is_left_alone_while_the_lesson_is_the_same(ana, shipped, clock):
    prepare(ana, lessons=shipped, clock=clock)
    mine = notebook("cook", "my own cell")
    (ana.lessons / "05_cook.ipynb").write_bytes(mine)
    (ana.lessons / "my notes.ipynb").write_bytes(mine)
    assert prepare(ana, lessons=shipped, clock=clock).says == ()
    assert (ana.lessons / "05_cook.ipynb").read_bytes() == mine


def test_a_newer_lesson_replaces_a_copy_that_was_only_opened_and_saved(ana, shipped, clock):
    prepare(ana, lessons=shipped, clock=clock)
    saved_by_the_page(ana.lessons / "05_cook.ipynb")
    (shipped / "05_cook.ipynb").write_bytes(notebook("cook better"))
    done = prepare(ana, lessons=shipped, clock=clock)
    assert (done.updated, done.kept) == (("05_cook.ipynb",), ())
    assert done.says == ("05_cook has a new version.",)
    assert (ana.lessons / "05_cook.ipynb").read_bytes() == notebook("cook better")


def test_a_newer_lesson_arrives_beside_a_copy_that_was_changed(ana, shipped, clock):
    prepare(ana, lessons=shipped, clock=clock)
    mine = notebook("cook", "my own cell")
    for version, old in (
        ("2", "05_cook (my copy of 2026-03-02).ipynb"),
        ("3", "05_cook (my copy of 2026-03-02, 1).ipynb"),
    ):
        (ana.lessons / "05_cook.ipynb").write_bytes(mine)
        (shipped / "05_cook.ipynb").write_bytes(notebook("cook", version))
        done = prepare(ana, lessons=shipped, clock=clock)
        assert done.kept == (("05_cook.ipynb", old),)
        assert done.says == (f"05_cook has a new version. Your copy is kept as {old!r}.",)
        assert (ana.lessons / old).read_bytes() == mine
        assert (ana.lessons / "05_cook.ipynb").read_bytes() == notebook("cook", version)
    assert prepare(ana, lessons=shipped, clock=clock).says == ()


def test_without_its_record_a_copy_is_kept_rather_than_replaced(ana, shipped, clock):
    prepare(ana, lessons=shipped, clock=clock)
    (ana.lessons / RECORD).write_text("{ torn")
    (shipped / "05_cook.ipynb").write_bytes(notebook("cook better"))
    done = prepare(ana, lessons=shipped, clock=clock)
    assert [name for name, _ in done.kept] == ["05_cook.ipynb"]
    assert (ana.lessons / done.kept[0][1]).read_bytes() == notebook("cook")
    assert prepare(ana, lessons=shipped, clock=clock).says == ()


def test_a_copy_that_was_deleted_comes_back(ana, shipped, clock):
    prepare(ana, lessons=shipped, clock=clock)
    (ana.lessons / "05_cook.ipynb").unlink()
    assert prepare(ana, lessons=shipped, clock=clock).new == ("05_cook.ipynb",)


@pytest.mark.parametrize("broken", [b"", b"{", b"[]", b'{"cells": [1]}', b"\xff\xfe", b"[" * 100_000])
def test_a_copy_that_is_no_longer_a_notebook_is_kept_too(ana, shipped, clock, broken):
    prepare(ana, lessons=shipped, clock=clock)
    (ana.lessons / "05_cook.ipynb").write_bytes(broken)
    (shipped / "05_cook.ipynb").write_bytes(notebook("cook better"))
    done = prepare(ana, lessons=shipped, clock=clock)
    assert (ana.lessons / done.kept[0][1]).read_bytes() == broken


def test_the_kits_own_metadata_counts_and_outputs_do_not():
    assert digest(notebook("a")) == digest(notebook("a", outputs=["x"], kernelspec={"name": "python3"}))
    assert digest(notebook("a")) != digest(notebook("a", kit={"run_on_open": False}))
    assert digest(notebook("a")) != digest(notebook("b"))
    assert digest(notebook("a", "b")) != digest(notebook("ab"))


@pytest.mark.parametrize("when", ["first", "update"])
def test_a_full_disk_is_one_line_and_costs_nothing(ana, shipped, clock, monkeypatch, when):
    mine = notebook("cook", "my own cell")
    if when == "update":
        prepare(ana, lessons=shipped, clock=clock)
        (ana.lessons / "05_cook.ipynb").write_bytes(mine)
        (shipped / "05_cook.ipynb").write_bytes(notebook("cook better"))

    def full(*_):
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as disk:
        disk.setattr(os, "fsync", full)
        with pytest.raises(NotSaved, match="A lesson was NOT saved: the disk is full"):
            prepare(ana, lessons=shipped, clock=clock)
    prepare(ana, lessons=shipped, clock=clock)
    held = [path.read_bytes() for path in ana.lessons.glob("05_cook*.ipynb")]
    assert (mine in held) is (when == "update")
    assert (ana.lessons / "05_cook.ipynb").read_bytes() == (shipped / "05_cook.ipynb").read_bytes()


def test_a_read_only_disk_does_no_harm_once_everything_is_there(ana, shipped, clock, monkeypatch):
    prepare(ana, lessons=shipped, clock=clock)

    def refuse(*_, **__):
        raise OSError(30, "Read-only file system")

    monkeypatch.setattr(os, "open", refuse)
    assert prepare(ana, lessons=shipped, clock=clock).says == ()
    (shipped / "06_chill.ipynb").write_bytes(notebook("chill"))
    with pytest.raises(NotSaved, match="can only be read, not written"):
        prepare(ana, lessons=shipped, clock=clock)
    monkeypatch.undo()


@pytest.mark.slow
def test_two_windows_prepare_at_once(ana, shipped):
    code = "import sys; from pathlib import Path; from kit.practice import get, prepare; "
    code += f"prepare(get({ana.id!r}), lessons=Path({str(shipped)!r}))"
    both = [
        subprocess.Popen([sys.executable, "-c", code], stderr=subprocess.PIPE, text=True) for _ in range(2)
    ]
    assert [(p.communicate(timeout=60)[1], p.returncode) for p in both] == [("", 0), ("", 0)]
    assert sorted(path.name for path in ana.lessons.glob("*.ipynb")) == ["04_smoke.ipynb", "05_cook.ipynb"]
