"""`smokehouse hand-in`: the answer book, copied, checked and named."""

import os
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from kit.basics.errors import BadData, KitError, UnknownName
from kit.cli.apprentice.hand_in import command
from kit.files import Book, NotSaved, local_now, read, relation
from kit.practice import create, set_pin


@pytest.fixture
def ana(tmp_path, monkeypatch):
    """Ana, with three entries in her book; the command runs in a folder of its own."""
    folder = tmp_path / "here"
    folder.mkdir()
    monkeypatch.chdir(folder)
    person = create("Ana Ó Briain")
    add(person, 3)
    return person


def add(person, count=1):
    book = Book(person.book_path)
    for k in range(count):
        book.append("noted", text=f"entry {k}")
    return book


def run(*args, typed=""):
    return CliRunner().invoke(command, [str(arg) for arg in args], input=typed)


def default_file():
    return Path.cwd() / f"Ana-Ó-Briain-{local_now():%Y-%m-%d}.book"


def test_the_book_is_copied_whole_and_named_after_the_person_and_the_day(ana):
    done = run()
    assert done.exit_code == 0
    assert f"Ana Ó Briain: 3 entries, 0 of them answers, written to {default_file()}" in done.output
    assert read(default_file(), person=ana.id).hashes == read(ana.book_path).hashes


def test_a_folder_or_a_file_may_be_named(ana, tmp_path):
    assert run("--to", tmp_path).exit_code == 0
    assert (tmp_path / default_file().name).exists()
    assert run("--to", "for the tutor.book").exit_code == 0
    assert Path("for the tutor.book").exists()


def test_handing_in_again_later_replaces_the_earlier_copy(ana):
    run()
    first = read(default_file())
    add(ana, 2)
    done = run()
    assert done.exit_code == 0 and "5 entries" in done.output
    assert relation(first.hashes, read(default_file()).hashes) == "longer"


@pytest.mark.parametrize("other", ["a text", "another person's book", "the book itself"])
def test_nothing_else_is_written_over(ana, other):
    bo = create("Bo")
    add(bo)
    target = {
        "a text": Path("x.txt"),
        "another person's book": bo.book_path,
        "the book itself": ana.book_path,
    }[other]
    if other == "a text":
        target.write_text("mine")
    before = target.read_bytes()
    done = run("--as", ana.name, "--to", target)
    assert isinstance(done.exception, BadData) and "another name with --to" in str(done.exception)
    assert target.read_bytes() == before


def test_a_newer_copy_is_not_replaced_by_an_older_book(ana):
    old = ana.book_path.read_bytes()
    add(ana, 2)
    run()
    ana.book_path.write_bytes(old)
    assert isinstance(run().exception, BadData)
    assert len(read(default_file()).entries) == 5


def test_a_folder_that_is_not_there_is_named(ana):
    done = run("--to", "nowhere/x.book")
    assert isinstance(done.exception, BadData) and "nowhere" in str(done.exception)


def test_an_empty_book_is_not_handed_in(ana):
    create("Bo")
    done = run("--as", "Bo")
    assert isinstance(done.exception, BadData) and "still empty" in str(done.exception)
    assert list(Path.cwd().iterdir()) == []


def test_a_book_that_is_gone_is_said(ana):
    ana.book_path.unlink()
    assert "no answer book yet" in str(run().exception)


def test_a_torn_last_line_stays_behind(ana):
    whole = ana.book_path.read_bytes()
    ana.book_path.write_bytes(whole + b'{"n": 4, "wha')
    assert run().exit_code == 0
    assert default_file().read_bytes() == whole


def test_a_damaged_book_is_handed_in_whole_and_the_person_is_told(ana):
    damaged = ana.book_path.read_bytes().replace(b"entry 1", b"entry 9")
    ana.book_path.write_bytes(damaged)
    done = run()
    assert done.exit_code == 0
    assert "Line 3 was damaged" in done.output and "before it: 1 entry" in done.output
    assert default_file().read_bytes() == damaged


def test_a_book_set_aside_as_damaged_is_mentioned(ana):
    kept = ana.folder / "answers.damaged-20260302T090000Z"
    kept.write_bytes(b"x")
    assert str(kept) in run().output


@pytest.mark.slow
def test_the_pin_is_asked_for(ana):
    set_pin(ana, "1234")
    assert run(typed="4321\n1234\n").exit_code == 0
    default_file().unlink()
    done = run(typed="1\n2\n3\n")
    assert isinstance(done.exception, KitError) and not default_file().exists()


def test_nobody_or_an_unknown_name(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert "nobody works here yet" in str(run().exception)
    create("Ana")
    assert isinstance(run("--as", "Anna").exception, UnknownName)


def test_in_a_lessons_own_shell_the_person_at_work_hands_in(ana, monkeypatch):
    add(create("Bo"))
    monkeypatch.setenv("SMOKEHOUSE_PERSON", ana.id)
    assert "Ana Ó Briain: 3 entries" in run().output


def test_of_several_the_one_meant_is_asked_for(ana):
    add(create("Bo"))
    done = run(typed="2\n")
    assert done.exit_code == 0 and "Bo: 1 entry" in done.output


@pytest.mark.slow
def test_a_full_disk_leaves_the_earlier_copy(ana, monkeypatch):
    run()
    before = default_file().read_bytes()
    add(ana)

    def full(*_):
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as disk:
        disk.setattr(os, "fsync", full)
        done = run()
    assert isinstance(done.exception, NotSaved) and "the disk is full" in str(done.exception)
    assert default_file().read_bytes() == before


@pytest.mark.slow
def test_an_error_is_one_line_without_a_traceback(tmp_path):
    env = {**os.environ, "SMOKEHOUSE_HOME": str(tmp_path)}
    done = subprocess.run(
        [sys.executable, "-m", "kit.cli", "hand-in"], capture_output=True, text=True, env=env, timeout=60
    )
    assert done.returncode == 2 and done.stdout == ""
    assert (
        done.stderr.startswith("smokehouse: this machine: nobody works here yet")
        and done.stderr.count("\n") == 1
    )
