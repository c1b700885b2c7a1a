"""A book that was cut, flipped, edited, reordered, forked or is somebody else's."""

import json
from datetime import UTC, datetime

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from kit.files import Book, BookRefused, read, read_bytes, relation
from kit.files.book_entry import SCHEMA, entry_line, header_line, seal
from kit.files.book_reading import MAX_BOOK_BYTES

QUICK = settings(max_examples=150, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)


def lines(book: Book) -> list[bytes]:
    return book.path.read_bytes().splitlines(keepends=True)


def test_a_whole_book_has_no_problem(filled):
    reading = read(filled.path, person="p-ana")
    assert reading.header.name == "Ana Ó Briain"
    assert [entry.n for entry in reading.entries] == [1, 2, 3, 4, 5, 6]
    assert reading.problems == reading.flagged == ()
    assert reading.good_bytes == filled.path.stat().st_size
    assert reading.entries == filled.entries


@pytest.mark.slow
@QUICK
@given(data=st.data())
def test_cut_at_any_byte_the_entries_before_the_cut_stand(filled, data):
    whole = filled.path.read_bytes()
    cut = data.draw(st.integers(0, len(whole) - 1))
    ends = [sum(map(len, lines(filled)[: k + 1])) for k in range(7)]
    if cut < ends[0] - 1:
        with pytest.raises(BookRefused):
            read_bytes(whole[:cut])
        return
    reading = read_bytes(whole[:cut])
    # A line that lacks only its line end is whole: its hash proves every byte of it.
    standing = sum(end - 1 <= cut for end in ends) - 1
    assert reading.entries == filled.entries[:standing]
    inside = cut not in ends and cut + 1 not in ends
    assert [problem.code for problem in reading.problems] == (["torn"] if inside else [])
    assert reading.torn is inside


@pytest.mark.slow
@QUICK
@given(data=st.data())
def test_a_flipped_byte_is_noticed_and_the_entries_before_it_stand(filled, data):
    whole = bytearray(filled.path.read_bytes())
    head = len(lines(filled)[0])
    place = data.draw(st.integers(0, len(whole) - 1))
    whole[place] ^= data.draw(st.integers(1, 255))
    if place < head - 1:
        with pytest.raises(BookRefused):
            read_bytes(bytes(whole))
        return
    try:
        reading = read_bytes(bytes(whole))
    except BookRefused:
        assert place == head - 1  # the end of the first line itself
        return
    assert reading.problems or reading.entries == filled.entries
    assert reading.entries == filled.entries[: len(reading.entries)]
    if not reading.problems:
        assert place == len(whole) - 1 and whole[place] == 0x0D  # the last line end, turned into another one


@pytest.mark.slow
@QUICK
@given(order=st.permutations(range(6)))
def test_reordered_lines_stand_up_to_the_first_that_moved(filled, order):
    all_lines = lines(filled)
    moved = b"".join([all_lines[0], *(all_lines[1 + k] for k in order)])
    reading = read_bytes(moved)
    same = next((k for k, was in enumerate(order) if was != k), 6)
    assert reading.entries == filled.entries[:same]
    assert [p.code for p in reading.problems] == ([] if same == 6 else ["reordered"])
    assert len(reading.entries) + len(reading.flagged) == 6


def test_a_line_taken_out_is_noticed(filled):
    all_lines = lines(filled)
    reading = read_bytes(b"".join(all_lines[:3] + all_lines[4:]))
    assert len(reading.entries) == 2
    assert reading.problems[0].line == 4
    assert "one is missing" in reading.problems[0].says
    assert [entry.n for entry in reading.flagged] == [4, 5, 6]


def test_a_line_of_another_book_in_the_same_place_is_noticed(filled, tmp_path, attempt):
    other = Book.make(tmp_path / "bo.book", person="p-bo", name="Bo", clock=filled.clock)
    for _ in range(3):
        attempt(other)
    spliced = lines(filled)
    spliced[3] = lines(other)[3]
    reading = read_bytes(b"".join(spliced))
    assert [(p.line, p.code) for p in reading.problems] == [(4, "reordered")]
    assert reading.entries == filled.entries[:2]


def test_a_score_edited_by_hand_breaks_the_book_there_and_not_before(filled):
    text = filled.path.read_text(encoding="utf-8").replace('"score": 0.0', '"score": 1.0')
    reading = read_bytes(text.encode())
    assert [(p.line, p.code) for p in reading.problems] == [(5, "edited")]
    assert [entry.n for entry in reading.entries] == [1, 2, 3]
    assert [entry.n for entry in reading.flagged] == [5, 6]


def test_a_line_that_is_not_utf_8_is_named(filled):
    all_lines = lines(filled)
    reading = read_bytes(b"".join([*all_lines[:2], b'{"caf\xe9": 1}\n', *all_lines[2:]]))
    assert [(p.line, p.code) for p in reading.problems] == [(3, "not utf-8")]


def test_a_line_that_is_too_long_is_named(filled):
    reading = read_bytes(lines(filled)[0] + b"x" * 300_000)
    assert [(p.line, p.code) for p in reading.problems] == [(2, "too long")]


def test_a_line_well_sealed_but_senseless_is_named():
    head = header_line("p", "Ana", datetime(2026, 3, 2, tzinfo=UTC))
    prev = json.loads(head)["hash"]
    reading = read_bytes(head + entry_line({"n": 1, "what": "attempt"}, prev))
    assert [(p.line, p.code) for p in reading.problems] == [(2, "unreadable")]


def test_line_ends_and_a_mark_added_by_a_mail_program_do_no_harm(filled):
    sent = b"\xef\xbb\xbf" + filled.path.read_bytes().replace(b"\n", b"\r\n")
    reading = read_bytes(sent)
    assert reading.entries == filled.entries and not reading.problems


@pytest.mark.parametrize(
    ("data", "code", "words"),
    [
        (b"", "not a book", "empty"),
        (b"\n\n", "not a book", "empty"),
        (b"time;core\n1;20\n", "not a book", "not an answer book"),
        (b"[1, 2]\n", "not a book", "not an answer book"),
        (b"\x80\x81\n", "not utf-8", "not UTF-8"),
        (b"[" * 100_000, "not a book", "not an answer book"),
        (b"x" * 1_000_000, "not a book", "not an answer book"),
        (b"\x00" * 64, "not a book", "not an answer book"),
        (seal({"smokehouse": "answer book", "schema": SCHEMA}), "unreadable", "'person' is missing"),
        (
            seal({"smokehouse": "answer book", "schema": 1, "person": "p", "name": "A", "made": "x"}),
            "unreadable",
            "time",
        ),
        (b'{"smokehouse": "answer book", "schema": 1}\n', "edited", "damaged or edited"),
        (b'{"smokehouse": "answer book", "schema": 2}\n', "newer", "Update the kit"),
    ],
)
def test_a_file_that_is_no_book_of_ours_is_refused_in_one_line(data, code, words):
    with pytest.raises(BookRefused, match=words) as refused:
        read_bytes(data, where="a.book")
    assert refused.value.code == code
    assert str(refused.value).startswith("a.book: ") and "\n" not in str(refused.value)


def test_a_book_over_the_limit_is_refused_without_being_read_through(tmp_path):
    path = tmp_path / "huge.book"
    with path.open("wb") as file:
        file.truncate(MAX_BOOK_BYTES + 1)
    with pytest.raises(BookRefused, match="64 MB or less"):
        read(path)


def test_another_persons_book_is_refused(filled):
    with pytest.raises(BookRefused, match="the book of Ana") as refused:
        read(filled.path, person="p-bo")
    assert refused.value.code == "other person"


def test_versions_of_one_book(filled, attempt):
    first = read(filled.path)
    copy = filled.path.read_bytes()
    attempt(filled, "70")
    second = read(filled.path)
    assert relation(first.hashes, first.hashes) == "same"
    assert relation(first.hashes, second.hashes) == "longer"
    assert relation(second.hashes, first.hashes) == "shorter"
    filled.path.write_bytes(copy)
    other = Book(filled.path, clock=filled.clock)
    attempt(other, "71")
    assert relation(second.hashes, read(filled.path).hashes) == "forked"
    assert relation([], first.hashes) == "forked"


def test_a_clock_that_stepped_back_shows(filled, attempt, clock):
    clock.now = clock.now.replace(year=2025)
    attempt(filled)
    clock.now = clock.now.replace(year=2027)
    attempt(filled)
    reading = read(filled.path)
    assert reading.stepped_back() == (7,)
    assert not reading.problems


def test_a_local_day_that_no_zone_has_shows(filled):
    facts = {"n": 7, "what": "noted", "at": "2026-03-02T23:00:00+00:00", "day": "2026-03-05"}
    with filled.path.open("ab") as file:
        file.write(entry_line(facts, filled.reading.last_hash))
    assert read(filled.path).odd_days() == (7,)


def test_the_local_day_is_that_of_the_kitchen_not_of_utc(filled):
    # 23:31 and later, two hours ahead of UTC: the clock passes local midnight at the 30th minute.
    assert filled.entries[0].day.isoformat() == "2026-03-02"
    assert filled.entries[0].at.isoformat() == "2026-03-02T21:32:00+00:00"
