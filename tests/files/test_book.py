"""Writing: nothing acknowledged is ever lost, whatever the disk, another lesson or a power cut does."""

import errno
import json
import os
import stat
import subprocess
import sys
from pathlib import Path

import pytest

from kit.basics.errors import BadData, OutOfRange
from kit.files import Book, NotSaved, read, refusals
from kit.files import answer_book as writing

POSIX_ONLY = pytest.mark.skipif(os.name == "nt", reason="owners and signals of POSIX")


def beside(book: Book, word: str) -> list[Path]:
    return sorted(book.path.parent.glob(f"answers.{word}-*"))


def test_making_a_book_twice_keeps_the_first(filled):
    again = Book.make(filled.path, person="someone else", name="X")
    assert again.header.person == "p-ana"
    assert again.entries == filled.entries


@POSIX_ONLY
def test_only_the_owner_may_read_a_book(filled):
    assert stat.S_IMODE(filled.path.stat().st_mode) == 0o600
    assert stat.S_IMODE(filled.path.parent.stat().st_mode) == 0o700


def test_two_open_books_see_each_others_entries(filled, attempt):
    other = Book(filled.path, clock=filled.clock)
    attempt(other, "1")
    attempt(filled, "2")
    attempt(other, "3")
    assert [entry.answer for entry in filled.refresh()[-3:]] == ["1", "2", "3"]
    assert read(filled.path).problems == ()


def test_a_line_half_written_by_another_lesson_is_not_yet_an_entry(filled, attempt):
    other = Book(filled.path, clock=filled.clock)
    attempt(other, "1")
    whole = filled.path.read_bytes()
    for cut in (len(whole) - 20, len(whole) - 1, len(whole)):
        filled.path.write_bytes(whole[:cut])
        filled.refresh()
    assert [entry.answer for entry in filled.entries[6:]] == ["1"]
    attempt(filled, "2")
    assert read(filled.path).problems == () and len(read(filled.path).entries) == 8


@pytest.mark.parametrize("kept_open", [True, False], ids=["in the same lesson", "after opening again"])
def test_a_torn_last_line_is_kept_beside_the_book(filled, attempt, kept_open):
    torn = b'{"n": 7, "what": "attempt", "answer": "6'
    with filled.path.open("ab") as file:
        file.write(torn)
    book = filled if kept_open else Book(filled.path, clock=filled.clock)
    assert len(book.refresh()) == 6 and not book.damaged
    assert attempt(book, "64").n == 7
    (kept,) = beside(book, "torn")
    assert kept.read_bytes() == torn
    assert read(book.path).problems == () and len(read(book.path).entries) == 7


def test_a_last_line_without_its_line_end_is_an_entry(filled, attempt):
    filled.path.write_bytes(filled.path.read_bytes()[:-1])
    book = Book(filled.path, clock=filled.clock)
    assert len(book.entries) == 6
    attempt(book, "64")
    assert len(read(book.path).entries) == 7 and not read(book.path).problems and not beside(book, "torn")


def test_a_damaged_book_takes_nothing_more_until_it_is_mended(filled, attempt):
    damaged = filled.path.read_bytes().replace(b'"score": 0.5', b'"score": 1.0')
    filled.path.write_bytes(damaged)
    book = Book(filled.path, clock=filled.clock)
    assert book.damaged
    with pytest.raises(NotSaved, match="Line 4 was damaged"):
        attempt(book)
    assert filled.path.read_bytes() == damaged
    kept = book.mend()
    assert kept is not None and kept.read_bytes() == damaged
    assert attempt(book, "64").n == 3
    assert read(book.path).problems == () and book.mend() is None


def test_a_book_damaged_while_it_is_open_is_noticed_by_the_next_append(filled, attempt):
    filled.path.write_bytes(filled.path.read_bytes() + b"scribble\n")
    with pytest.raises(NotSaved, match="Line 8 was damaged"):
        attempt(filled)


def test_a_book_replaced_by_an_earlier_copy_is_read_again(filled, attempt):
    earlier = filled.path.read_bytes()
    attempt(filled, "7")
    attempt(filled, "8")
    filled.path.write_bytes(earlier)
    assert attempt(filled, "9").n == 7
    assert read(filled.path).problems == ()


def test_a_book_moved_away_is_said_in_one_line(filled, attempt):
    filled.path.rename(filled.path.with_name("elsewhere"))
    with pytest.raises(NotSaved, match="no longer there"):
        attempt(filled)


def test_a_book_replaced_by_one_that_parted_ways_is_read_again(filled, attempt):
    earlier = filled.path.read_bytes()
    attempt(filled, "7")
    fork = filled.path.with_name("fork.book")
    fork.write_bytes(earlier)
    other = Book(fork, clock=filled.clock)
    attempt(other, "8")
    attempt(other, "9")
    fork.replace(filled.path)
    assert attempt(filled, "10").n == 9
    assert [entry.answer for entry in filled.entries[6:]] == ["8", "9", "10"]
    assert read(filled.path).problems == ()


@pytest.mark.parametrize("answer", ["x" * 70_000, "x" * 1_000_000, float("nan"), "\ud800", [float("inf")]])
def test_an_answer_that_cannot_be_kept_writes_nothing(filled, attempt, answer):
    before = filled.path.read_bytes()
    with pytest.raises((OutOfRange, BadData)):
        attempt(filled, answer)
    assert filled.path.read_bytes() == before


@pytest.mark.parametrize(
    ("name", "value"), [("text", "x" * 20_000), ("read_as", "x" * 300_000), ("score", "ten")]
)
def test_other_members_have_limits_too(filled, attempt, name, value):
    before = filled.path.read_bytes()
    with pytest.raises((OutOfRange, BadData)):
        attempt(filled, **{name: value})
    assert filled.path.read_bytes() == before


@pytest.mark.parametrize("fails", ["write", "short write", "fsync", "fsync and cutting back"])
def test_a_full_disk_loses_nothing_and_says_so(filled, attempt, monkeypatch, fails):
    before = filled.path.read_bytes()
    full = OSError(errno.ENOSPC, "No space left on device")
    real_write, calls = os.write, []

    def short_write(file, data):
        calls.append(len(data))
        if len(calls) > 1:
            raise full
        return real_write(file, data[:25])

    def refuse(*_):
        raise full

    with monkeypatch.context() as disk:
        if fails == "write":
            disk.setattr(os, "write", refuse)
        elif fails == "short write":
            disk.setattr(os, "write", short_write)
        else:
            disk.setattr(os, "fsync", refuse)
            if "cutting" in fails:
                disk.setattr(os, "ftruncate", refuse)
        with pytest.raises(NotSaved, match="NOT saved: the disk is full"):
            attempt(filled, "full")
    if "cutting" not in fails:
        assert filled.path.read_bytes() == before
    assert read(filled.path).entries[:6] == filled.entries[:6]
    attempt(filled, "after")
    reading = read(filled.path)
    assert reading.problems == ()
    assert reading.entries[-1].answer == "after"


@pytest.mark.slow
@POSIX_ONLY
def test_a_write_cut_short_by_the_system_itself_is_cut_back(filled):
    """The real thing, not a stand-in: the system stops the write after 40 more bytes (a file-size limit)."""
    before = filled.path.read_bytes()
    code = f"""
import resource, signal, sys
from pathlib import Path
from kit.files import Book, NotSaved
import filelock
book = Book(Path({str(filled.path)!r}))
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
resource.setrlimit(resource.RLIMIT_FSIZE, ({len(before) + 40}, {len(before) + 40}))
try:
    book.append("noted", text="x" * 500)
except NotSaved as error:
    print(error)
"""
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert "This answer was NOT saved" in done.stdout
    assert filled.path.read_bytes() == before


@pytest.fixture
def ordinary_user(tmp_path):
    """Give up the powers of root for one test, so that file permissions bind as they do for anybody."""
    if os.geteuid() != 0:
        yield
        return
    for folder in (tmp_path, *tmp_path.parents[:3]):
        if folder.stat().st_uid == 0 and str(folder) not in ("/", "/tmp"):
            folder.chmod(0o755)
    os.seteuid(65534)
    try:
        yield
    finally:
        os.seteuid(0)


@POSIX_ONLY
def test_a_folder_that_can_only_be_read_is_said_in_one_line(tmp_path, ordinary_user):
    import filelock  # noqa: F401  # loaded before the powers to write are gone

    locked = tmp_path / "locked"
    if os.geteuid() == 65534:
        os.seteuid(0)
        locked.mkdir()
        os.chown(locked, 65534, 65534)
        os.seteuid(65534)
    else:
        locked.mkdir()
    book = Book.make(locked / "answers.book", person="p", name="Ana")
    book.append("noted")
    (locked / "answers.book.lock").unlink(missing_ok=True)
    book.path.chmod(0o400)
    locked.chmod(0o500)
    with pytest.raises(NotSaved, match="can only be read, not written"):
        book.append("noted")
    with pytest.raises(NotSaved, match="can only be read, not written"):
        Book.make(locked / "new" / "answers.book", person="p", name="Bo")
    locked.chmod(0o700)
    book.path.chmod(0o600)
    assert len(read(book.path).entries) == 1


def test_a_full_book_is_said_before_it_grows_too_large_to_be_read(filled, attempt, monkeypatch):
    monkeypatch.setattr(writing, "MAX_BOOK_BYTES", filled.path.stat().st_size + 100)
    with pytest.raises(NotSaved, match="the answer book is full"):
        attempt(filled)
    assert len(read(filled.path).entries) == 6


def test_a_lesson_that_holds_the_lock_too_long_is_named(filled, attempt, monkeypatch):
    from filelock import FileLock

    monkeypatch.setattr(refusals, "LOCK_WAIT_S", 0.05)
    with FileLock(filled.path.with_name("answers.book.lock")), pytest.raises(NotSaved, match="still writing"):
        attempt(filled)
    assert attempt(filled).n == 7


@pytest.mark.slow
def test_two_programs_appending_at_once_lose_nothing(book):
    code = f"""
import sys
from pathlib import Path
from kit.files import Book
book = Book(Path({str(book.path)!r}))
print("ready", flush=True)
sys.stdin.readline()
for k in range(40):
    book.append("noted", text=f"{{sys.argv[1]}} {{k}}")
"""
    both = [
        subprocess.Popen(
            [sys.executable, "-c", code, name], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
        )
        for name in ("a", "b")
    ]
    for program in both:
        assert program.stdout.readline() == "ready\n"
    for program in both:
        program.stdin.write("go\n")
        program.stdin.flush()
    assert [program.wait(60) for program in both] == [0, 0]
    for program in both:
        program.stdin.close()
        program.stdout.close()
    reading = read(book.path)
    assert reading.problems == ()
    for name in ("a", "b"):
        assert [e.text for e in reading.entries if e.text[0] == name] == [f"{name} {k}" for k in range(40)]
    assert len(book.refresh()) == 80


KILLER = """
import json, os, random, signal, sys, time
from pathlib import Path
import filelock
from kit.files import Book, read

path, chance = Path(sys.argv[1]), random.Random(7)
real_write, told, kept, torn = os.write, [], 0, 0
Book.make(path, person="p", name="Ana")

def slowly(file, data):
    done = real_write(file, data[:40])
    time.sleep(0.0002)
    return done

for run in range(60):
    out, into = os.pipe()
    child = os.fork()
    if child == 0:
        if run % 2:
            os.write = slowly
        book, k = Book(path), 0
        while True:
            k += 1
            entry = book.append("noted", text=f"run {run} entry {k}", answer="9" * chance.randrange(400))
            real_write(into, f"{entry.n} {entry.hash}\\n".encode())
    os.close(into)
    with os.fdopen(out, "rb") as pipe:
        first = b"" if run % 4 == 0 else pipe.readline()
        time.sleep(chance.uniform(0.001, 0.03))
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        told += (first + pipe.read()).decode().split("\\n")[:-1]
    reading = read(path)
    assert reading.torn or not reading.problems, reading.problems
    torn += reading.torn
    held = {f"{entry.n} {entry.hash}" for entry in reading.entries}
    missing = [line for line in told if line not in held]
    assert not missing, missing
Book(path).append("noted")
print(json.dumps({"told": len(told), "torn": torn, "problems": len(read(path).problems)}))
"""


@pytest.mark.slow
@POSIX_ONLY
def test_killed_sixty_times_no_acknowledged_entry_is_lost(tmp_path):
    """Each run is killed at a random moment; in half of them writes are slow enough to tear."""
    path = tmp_path / "answers.book"
    done = subprocess.run(
        [sys.executable, "-c", KILLER, str(path)], capture_output=True, text=True, timeout=120
    )
    assert done.returncode == 0, done.stderr
    result = json.loads(done.stdout)
    assert result["problems"] == 0
    assert result["told"] >= 45, "three runs in four are killed only once they acknowledged an entry"
    # A run killed before its first append leaves the torn line of the run before it, which counts twice.
    assert 0 < len(list(tmp_path.glob("answers.torn-*"))) <= result["torn"], "no kill fell inside a write"
