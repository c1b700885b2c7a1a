"""Taking in: matched on the id, marked again, idempotent, and every bad book named for what it is."""

import hashlib
import json
import os
import shutil
from datetime import timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import func, select

from kit.records import open_records, take_in
from kit.records.competence.standings import refresh
from kit.records.storage import schema


def rows(records, table):
    with records.reading() as connection:
        return [tuple(row) for row in connection.execute(select(table))]


def everything(records):
    """All that is recorded, apart from when and from which file it came."""
    tables = [t for t in schema.metadata.sorted_tables if t.name not in ("takings", "upgrades")]
    return {t.name: sorted(map(repr, rows(records, t))) for t in tables}


def kinds(taken):
    return [flag.kind for flag in taken.flags]


@pytest.fixture
def take(records, bank, now):
    def go(*paths, **options):
        options.setdefault("now", now)
        return take_in(records, paths, catalogue=bank, **options)

    return go


def test_a_book_is_taken_and_marked_again(write, take, records):
    ana = write()
    ana.attempt("salt-sum", True, day=0)
    ana.attempt("salt-sum", False, day=1)
    (taken,) = take(ana.path).books
    assert (taken.status, taken.new_lines, taken.answers, taken.right, taken.flags) == ("taken", 2, 2, 1, ())
    assert [row[1:4] for row in rows(records, schema.marks)] == [(1.0, 1.0, "right"), (0.0, 1.0, "not yet")]


def test_the_same_book_twice_changes_nothing(write, take, records):
    ana = write()
    for day in range(3):
        ana.attempt("salt-sum", day != 1, day=day)
    take(ana.path)
    before = everything(records)
    (again,) = take(ana.path).books
    assert (again.status, again.new_lines) == ("nothing new", 0)
    assert "already in the records" in again.why
    assert everything(records) == before


def test_a_longer_version_adds_only_what_is_new(write, take, records):
    ana = write()
    ana.attempt("salt-sum", day=0)
    take(ana.path)
    ana.attempt("salt-sum", day=1)
    ana.attempt("salt-sum", day=2)
    (taken,) = take(ana.path).books
    assert (taken.status, taken.new_lines) == ("taken", 2)
    assert len(rows(records, schema.entries)) == 4  # with the header


@pytest.mark.slow
def test_an_older_copy_changes_nothing(write, take, records, tmp_path):
    ana = write()
    ana.attempt("salt-sum", day=0)
    early = tmp_path / "early.book"
    early.write_bytes(ana.path.read_bytes())
    ana.attempt("salt-sum", day=1)
    take(ana.path)
    before = everything(records)
    (taken,) = take(early).books
    assert taken.status == "nothing new"
    assert "1 lines further" in taken.why
    assert everything(records) == before


def test_two_continuations_of_one_book_are_refused(write, take, records, tmp_path):
    ana = write()
    ana.attempt("salt-sum", day=0)
    start = ana.path.read_bytes()
    ana.attempt("salt-sum", day=1)
    take(ana.path)
    before = everything(records)
    (tmp_path / "other.book").write_bytes(start)
    other = write(file="other.book")
    other.attempt("chill-time", day=1)
    (taken,) = take(other.path).books
    assert taken.status == "refused"
    assert "line 3" in taken.why and "forked" in taken.why
    assert everything(records) == before


def test_a_torn_last_line_keeps_the_intact_part(write, take):
    ana = write()
    ana.attempt("salt-sum", day=0)
    ana.attempt("salt-sum", day=1)
    ana.path.write_bytes(ana.path.read_bytes()[:-40])
    (taken,) = take(ana.path).books
    assert (taken.status, taken.new_lines, kinds(taken)) == ("taken", 1, ["book breaks"])
    assert "cut off" in taken.flags[0].says and taken.flags[0].line == 3


@pytest.mark.parametrize("harm", ["edit", "swap", "drop"])
def test_an_edited_or_reordered_book_stands_up_to_the_break(write, take, harm, records):
    ana = write()
    for day in range(4):
        ana.attempt("salt-sum", False, day=day)
    lines = ana.path.read_bytes().splitlines(keepends=True)
    if harm == "edit":
        lines[3] = lines[3].replace(b"not yet", b"right")
    elif harm == "swap":
        lines[3], lines[4] = lines[4], lines[3]
    else:
        del lines[3]
    ana.path.write_bytes(b"".join(lines))
    (taken,) = take(ana.path).books
    assert (taken.status, taken.new_lines, kinds(taken)) == ("taken", 2, ["book breaks"])
    assert taken.flags[0].line == 4
    before = everything(records)
    (again,) = take(ana.path).books
    assert again.status == "nothing new"
    assert everything(records) == before


def test_a_claimed_mark_is_never_believed(write, take, records):
    ana = write()
    ana.attempt("salt-sum", False, day=0, score=1.0, verdict="right")
    (taken,) = take(ana.path).books
    assert kinds(taken) == ["other mark claimed"]
    assert taken.right == 0
    assert rows(records, schema.first_tries)[0][-2] is False


def test_an_unknown_exercise_is_kept_and_flagged(write, take, records):
    ana = write()
    ana.attempt("from-another-kit", day=0)
    (taken,) = take(ana.path).books
    assert kinds(taken) == ["unknown exercise"]
    ((_, score, _, verdict, *_, counts),) = rows(records, schema.marks)
    assert (score, verdict, counts) == (None, "kept", False)


def test_another_version_is_kept_for_the_tutor_and_not_marked(write, take, records):
    ana = write()
    ana.attempt("salt-sum", day=0, fingerprint="0123456789abcdef")
    (taken,) = take(ana.path).books
    assert kinds(taken) == ["other version"]
    assert "drawn by another version: tutor decides" in taken.flags[0].says
    assert rows(records, schema.marks)[0][1] is None
    assert rows(records, schema.first_tries) == []


def test_another_version_number_is_kept_for_the_tutor(write, take, monkeypatch):
    ana = write()
    ana.attempt("salt-sum", day=0)
    monkeypatch.setitem(type(ana.bank).versions, "salt-sum", 2)
    (taken,) = take(ana.path).books
    assert kinds(taken) == ["other version"]


def test_a_seed_of_ones_own_choice_is_flagged(write, take, records):
    ana = write()
    ana.attempt("salt-sum", day=0, seed=12345)
    (taken,) = take(ana.path).books
    assert kinds(taken) == ["other seed"]
    assert rows(records, schema.first_tries) == []


def test_a_profile_this_kit_lacks_is_kept(write, take):
    ana = write()
    ana.attempt("salt-sum", day=0, profile="atlantis")
    (taken,) = take(ana.path).books
    assert kinds(taken) == ["not markable"]


def test_an_answer_that_breaks_marking_stops_nothing_else(write, take):
    ana = write()
    ana.attempt("salt-sum", day=0, answer="make it stop")
    ana.attempt("salt-sum", day=1)
    (taken,) = take(ana.path).books
    assert kinds(taken) == ["not markable"]
    assert taken.right == 1


def test_a_clock_that_stepped_back_is_flagged_and_counts_for_nothing(write, take, records):
    ana = write()
    ana.attempt("salt-sum", day=9)
    ana.attempt("salt-sum", day=2)
    ana.attempt("salt-sum", day=10)
    (taken,) = take(ana.path).books
    assert kinds(taken) == ["clock stepped back"] and taken.flags[0].line == 3
    assert [row[4] for row in rows(records, schema.first_tries)] == [1, 3]


def test_a_time_in_the_future_is_flagged_and_spoils_nothing_after_it(write, take, records):
    ana = write()
    ana.attempt("salt-sum", day=0)
    ana.attempt("salt-sum", day=900)
    ana.attempt("salt-sum", day=1)
    (taken,) = take(ana.path).books
    assert kinds(taken) == ["in the future"]
    assert [row[4] for row in rows(records, schema.first_tries)] == [1, 3]


def test_numbers_too_large_for_any_database_are_flagged(write, take):
    ana = write()
    ana.attempt("salt-sum", day=0, seed=10**30)
    (taken,) = take(ana.path).books
    assert "out of range" in kinds(taken)


def test_help_before_the_first_try_is_recorded(write, take, records):
    ana = write()
    ana.clock.now += timedelta(minutes=1)
    ana.note("hint", occasion=1)
    ana.attempt("salt-sum", day=0, minute=5)
    ana.attempt("salt-sum", day=1)
    take(ana.path)
    assert [row[-1] for row in rows(records, schema.first_tries)] == [True, False]


def test_only_the_first_try_at_a_variant_counts(write, take, records):
    ana = write()
    ana.attempt("salt-sum", False, day=0, occasion=1)
    ana.attempt("salt-sum", True, day=0, minute=3, occasion=1)
    take(ana.path)
    assert [row[-2] for row in rows(records, schema.first_tries)] == [False]


def test_an_answer_nobody_could_read_is_no_try(write, take, records):
    ana = write()
    ana.attempt("salt-sum", day=0, occasion=1, answer="?", score=0.0, verdict="not read")
    ana.attempt("salt-sum", True, day=0, minute=1, occasion=1)
    take(ana.path)
    assert [row[-2] for row in rows(records, schema.first_tries)] == [True]


def test_disputes_and_explanations_reach_the_tutor(write, take, records):
    ana = write()
    ana.attempt("salt-sum", False, day=0)
    ana.note("dispute", text="I read 12 g off the card", verdict="not yet")
    ana.note("explained", exercise="core-hold", answer="Heat takes time to reach the middle.")
    take(ana.path)
    with records.reading() as connection:
        said = dict(
            connection.execute(
                select(schema.entries.c.what, schema.entries.c.said).where(schema.entries.c.position > 1)
            ).all()
        )
    assert said == {
        "dispute": "I read 12 g off the card",
        "explained": "Heat takes time to reach the middle.",
    }


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "empty"),
        (b"\xff\xfe\x00junk", "UTF-8"),
        (b'{"hello": 1}\n', "not an answer book"),
        (b"core,surface\n1,2\n", "not an answer book"),
    ],
)
def test_a_file_that_is_no_book_is_refused_and_the_rest_go_on(write, take, tmp_path, content, words):
    bad = tmp_path / "bad.book"
    bad.write_bytes(content)
    ana = write()
    ana.attempt("salt-sum", day=0)
    refused, taken = take(bad, ana.path).books
    assert refused.status == "refused" and words in refused.why
    assert taken.status == "taken"


def test_a_missing_file_is_refused_by_name(take, tmp_path):
    (refused,) = take(tmp_path / "nowhere.book").books
    assert (refused.status, refused.file) == ("refused", "nowhere.book")
    assert "no such file" in refused.why


def test_a_new_id_with_a_known_name_is_asked_about(write, take, records):
    first, second = write("p-1", "Ana Lind"), write("p-2", " ana  LIND ")
    first.attempt("salt-sum", day=0)
    second.attempt("salt-sum", day=0)
    take(first.path)
    before = everything(records)
    (refused,) = take(second.path).books
    assert refused.status == "refused" and "--same-name-is-new" in refused.why
    assert everything(records) == before
    asked = []
    (refused,) = take(second.path, same_name=lambda *facts: asked.append(facts) or False).books
    assert refused.status == "refused"
    assert asked[0][:2] == ("ana  LIND", "p-1") or asked[0][:2] == (" ana  LIND ", "p-1")
    (taken,) = take(second.path, same_name=lambda *facts: True).books
    assert taken.status == "taken" and kinds(taken) == ["name in two ids"]
    (longer,) = take(second.path).books
    assert longer.status == "nothing new"


def test_two_new_ids_with_one_name_in_one_go(write, take):
    first, second = write("p-1", "Ana Lind"), write("p-2", "Ana Lind")
    first.attempt("salt-sum", day=0)
    second.attempt("salt-sum", day=0)
    taken, refused = take(first.path, second.path).books
    assert (taken.status, refused.status) == ("taken", "refused")


def test_a_time_without_a_zone_never_reaches_the_table(records, now):
    with pytest.raises(Exception, match="without a zone"), records.writing() as connection:
        connection.execute(
            schema.people.insert().values(person_id="x", first_taken_at=now.replace(tzinfo=None))
        )


def test_what_is_kept_equals_what_the_rule_says_of_everything(write, take, records, bank):
    ana = write()
    for day in range(6):
        ana.attempt("core-hold", day != 1, day=day)
        take(ana.path)
    kept = sorted(rows(records, schema.standings))
    with records.writing() as connection:
        refresh(connection, [1], bank)
    assert sorted(rows(records, schema.standings)) == kept
    assert [row[2] for row in kept if row[1] == "COK-K01"] == [True]


@pytest.mark.slow
@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    scripts=st.lists(
        st.lists(
            st.tuples(
                st.sampled_from(["salt-sum", "core-hold", "chill-time"]), st.booleans(), st.integers(0, 2)
            ),
            max_size=8,
        ),
        min_size=1,
        max_size=4,
    ),
    random=st.randoms(),
)
def test_any_order_any_repeats_and_any_pieces_give_the_same_records(
    scripts, random, tmp_path_factory, bank, now, writer_class, empty_file
):
    folder = tmp_path_factory.mktemp("books")
    pieces = []
    for i, script in enumerate(scripts):
        writer, day = writer_class(folder / f"p{i}.book", f"p-{i}", f"Person {i}"), 0
        for exercise, right, later in script:
            day += later
            writer.attempt(exercise, right, day=day)
            piece = folder / f"p{i}-{len(pieces)}.book"
            piece.write_bytes(writer.path.read_bytes())
            pieces.append(piece)
        pieces.append(writer.path)

    def standings(paths, name):
        opened = open_records(shutil.copy(empty_file, folder / name))
        for path in paths:
            take_in(opened, [path], catalogue=bank, now=now)
        with opened.reading() as connection:
            s, p, t = schema.standings, schema.people, schema.first_tries
            found = connection.execute(
                select(p.c.person_id, s.c.criterion, s.c.held, s.c.days_right, s.c.tries, s.c.last_day)
                .join_from(s, p, p.c.key == s.c.person)
                .order_by(p.c.person_id, s.c.criterion)
            ).all()
            tries = connection.execute(
                select(p.c.person_id, t.c.variant, t.c.right)
                .join_from(t, p, p.c.key == t.c.person)
                .order_by(p.c.person_id, t.c.variant)
            ).all()
            lines = connection.scalar(select(func.count()).select_from(schema.entries))
        opened.close()
        return found, tries, lines

    whole = [folder / f"p{i}.book" for i in range(len(scripts))]
    shuffled = pieces + random.sample(pieces, len(pieces) // 2)
    random.shuffle(shuffled)
    assert standings(whole, "a.db") == standings(shuffled, "b.db")


def test_hostile_text_is_stored_harmlessly(write, take, records):
    ana = write(name="Ana; drop table people")
    ana.attempt("salt-sum", day=0, answer={"a": ["x" * 2000, None, True, "\x1b[31m"]})
    (taken,) = take(ana.path).books
    assert taken.status == "taken"
    assert rows(records, schema.entries)[1][-1] == {"a": ["x" * 2000, None, True, "\x1b[31m"]}


HEADER = {
    "smokehouse": "answer book",
    "schema": 1,
    "person": "p-9",
    "name": "Bo",
    "made": "2026-03-02T09:00:00Z",
}


@pytest.mark.parametrize(
    "head",
    [{"name": "Bo\x1b[31m"}, {"name": "Bo\x00"}, {"person": "p-\x1b]0;x\x07"}, {"name": "\u202eoB"}, None],
)
def test_a_header_that_no_screen_can_show_is_refused_and_the_rest_is_taken(write, take, tmp_path, head):
    ana = write()
    ana.attempt("salt-sum", day=0)
    path = tmp_path / "bad.book"
    body = (
        json.dumps(HEADER | (head or {"name": "half"}) | {"prev": ""})[:-1]
        .replace("half", "\\ud800")
        .encode()
    )
    path.write_bytes(body + b', "hash": "' + hashlib.sha256(body).hexdigest().encode() + b'"}\n')
    bad, good = take(path, ana.path).books
    assert (bad.status, good.status) == ("refused", "taken")
    assert bad.why.isprintable() and bad.name.isprintable()


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
def test_a_pipe_is_refused_at_once_and_the_rest_is_taken(write, take, tmp_path):
    ana = write()
    ana.attempt("salt-sum", day=0)
    os.mkfifo(tmp_path / "wait.book")
    pipe, good = take(tmp_path / "wait.book", ana.path).books
    assert (pipe.status, good.status) == ("refused", "taken")
    assert "a pipe or a device" in pipe.why
