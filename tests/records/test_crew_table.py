"""A crew from a table: all of it or nothing, and every problem with its line."""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import select

from kit.basics.errors import BadData
from kit.files import signing
from kit.records import take_in
from kit.records.ledger import acts, texts
from kit.records.ledger.projection import check_chain
from kit.records.people import keys, staff
from kit.records.storage import schema
from kit.records.upkeep.bring_in_file import BringInRefused, bring_in, check
from kit.records.upkeep.crew_table import COLUMNS, read_crew_table

START = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
HEAD = "name;id;role;started;criterion;day;decided by;paper;reason\n"
GOOD = (
    HEAD
    + "Tam Ferris;;apprentice;2026-01-12;COK-P01;2026-02-02;Head chef;Folder 3;Signed sheet\n"
    + "Tam Ferris;;;;cur-k01;3.2.2026;Head chef;Folder 3;Signed sheet\n"
    + "Ana Lindström;p-ana;apprentice;;;;;;\n"
    + "\n"
    + "Wilma Tack;;verifier;2025-09-01\n"
)


@pytest.fixture
def hand(records, bank):
    """One person who is manager and tutor, with a key, and fit to assess."""
    manager = replace(staff.begin(records, "Berit Falk", lambda: START), catalogue=bank)
    staff.take_on(manager, "tutor", person=manager.person)
    until = START.date() + timedelta(days=900)
    staff.note_assessor(manager, manager.person, "Assessor course", START.date(), until)
    key = signing.Signer(Ed25519PrivateKey.generate())
    keys.add_key(manager, manager.person, key.key_id, key.public)
    return replace(manager, key=key)


def everything(records):
    with records.reading() as connection:
        return {t.name: connection.execute(select(t)).all() for t in schema.metadata.sorted_tables}


def test_a_crew_comes_in_with_its_earlier_decisions(hand):
    found = read_crew_table(GOOD.encode())
    assert found.problems == () and found.decisions == 2
    before = everything(hand.records)
    assert check(hand, found) == ()
    assert everything(hand.records) == before, "a rehearsal records nothing"
    done = bring_in(hand, found)
    assert (len(done.people), done.enrolled, done.decisions) == (3, 3, 2)
    members = {m.name: m for m in staff.members(hand.records)}
    assert members["Ana Lindström"].person == "p-ana"
    assert members["Wilma Tack"].roles == ("verifier",)
    tam = members["Tam Ferris"].person
    with hand.records.reading() as connection:
        decided = schema.decided.c
        rows = connection.execute(select(schema.decided).order_by(decided.criterion)).all()
        assert [(r.person, r.criterion, r.day, r.second) for r in rows] == [
            (tam, "COK-P01", date(2026, 2, 2), "wanted"),
            (tam, "CUR-K01", date(2026, 2, 3), "wanted"),
        ]
        act = next(acts.read(connection, kind="brought in"))
        assert act.signature and texts.tell(connection, act.facts["paper"]) == "Folder 3"
        enrolled = [a for a in acts.read(connection, kind="enrolled") if a.person == tam]
        assert enrolled[0].facts["started"] == "2026-01-12"
    assert check_chain(hand.records).whole


def test_the_same_file_twice_records_nothing_the_second_time(hand):
    found = read_crew_table(GOOD.encode())
    bring_in(hand, found)
    before = everything(hand.records)
    with pytest.raises(BringInRefused, match="Nothing was imported") as caught:
        bring_in(hand, found)
    assert everything(hand.records) == before
    assert {p.line for p in caught.value.problems} == {2, 4, 6}
    assert caught.value.problems == check(hand, found)


PROBLEMS = {
    "Tam Ferris;;apprentice;;COK-P99;2026-02-02;Chef;Folder;Sheet\n": (2, "Did you mean COK-P01"),
    "Tam Ferris;;apprentice;;COK-P01;2026-05-02;Chef;Folder;Sheet\n": (2, "2026-03-02 or earlier"),
    "Tam Ferris;;apprentice;;COK-P01;2026-02-02;Chef;;Sheet\n": (2, "needs paper too"),
    "Tam Ferris;;apprentice;;COK-P01;02/03/2026;Chef;Folder;Sheet\n": (2, "write it like 2026-03-02"),
    "Tam Ferris;;apprentice;2026-02-30\n": (2, "write it like 2026-03-02"),
    "Tam Ferris;;chef\n": (2, "no role 'chef'"),
    ";;apprentice\n": (2, "no name"),
    "Tam\x07;;apprentice\n": (2, "no name, or none that can be kept"),
    f"{'x' * 81};;apprentice\n": (2, "1 to 80"),
    "Tam Ferris;Not An Id;apprentice\n": (2, "the id"),
    "Tam Ferris;;apprentice\nTam  FERRIS;;apprentice\n": (3, "on line 2 already"),
    "Tam Ferris;p-a;apprentice\nTam Ferris;p-b;apprentice\n": (3, "the name of line 2 too"),
    "Tam Ferris;;apprentice\nTam Ferris;;tutor;;COK-P01;2026-02-02;C;F;Sheet\n": (
        3,
        "role is not that of line 2",
    ),
    "Tam;;apprentice;;COK-P01;2026-02-02;C;F;Sheet\nTam;;;;COK-P01;2026-02-01;C;F;Sheet\n": (
        3,
        "comes twice",
    ),
    "Berit Falk;;apprentice\n": (2, "somebody of that name is on file"),
    "Wilma Tack;;tutor;;COK-P01;2026-02-02;Chef;Folder;Sheet\n": (2, "no apprentice here now"),
    "Tam;;apprentice;;;;;;;;;more\n": (2, "12 cells, but the first row names 9 columns"),
    "": (0, "nobody in it"),
}


@pytest.mark.parametrize("rows", PROBLEMS)
def test_every_problem_has_its_line_and_nothing_is_imported(hand, rows):
    line, says = PROBLEMS[rows]
    found = read_crew_table((HEAD + rows).encode())
    before = everything(hand.records)
    problems = check(hand, found)
    assert any(p.line == line and says in p.says for p in problems), problems
    assert not any("?." in p.says or ".." in p.says for p in problems)
    with pytest.raises(BringInRefused):
        bring_in(hand, found)
    assert everything(hand.records) == before


def test_all_problems_are_listed_at_once_and_a_good_row_does_not_save_a_bad_one(hand):
    rows = [row for row, (line, _) in PROBLEMS.items() if line == 2]
    found = read_crew_table((HEAD + "Good Person;;apprentice\n" + "".join(rows)).encode())
    lines = {p.line for p in check(hand, found)}
    assert len(lines) >= len(rows) - 3  # some share the name Tam Ferris
    with pytest.raises(BringInRefused):
        bring_in(hand, found)
    assert "Good Person" not in {m.name for m in staff.members(hand.records)}


def test_an_id_on_file_keeps_its_book_and_its_name(hand, write, now, bank):
    book = write("p-ana", "Ana Lind")
    book.attempt("salt-sum", day=0)
    take_in(hand.records, [book.path], now=now, catalogue=bank)
    wrong = read_crew_table((HEAD + "Tam Ferris;p-ana;apprentice\n").encode())
    assert "on file under another name" in check(hand, wrong)[0].says
    right = read_crew_table(
        (HEAD + "ANA LIND;p-ana;apprentice;;COK-P01;2026-02-02;Chef;Folder;Sheet\n").encode()
    )
    assert bring_in(hand, right).people == ("p-ana",)
    more = read_crew_table(
        (HEAD + "Ana Lind;p-ana;apprentice;;CUR-K01;2026-02-02;Chef;Folder;Sheet\n").encode()
    )
    done = bring_in(hand, more)
    assert (done.enrolled, done.decisions) == (0, 1)
    assert "decided already" in check(hand, more)[0].says


def test_two_people_of_one_name_if_it_is_said(hand):
    found = read_crew_table((HEAD + "Tam Ferris;p-a;apprentice\nTam Ferris;p-b;apprentice\n").encode())
    assert bring_in(hand, found, same_name=True).people == ("p-a", "p-b")


def test_decisions_need_a_key_and_people_do_not(hand):
    bare = replace(hand, key=None)
    assert any("needs a signature" in p.says for p in check(bare, read_crew_table(GOOD.encode())))
    assert bring_in(bare, read_crew_table((HEAD + "Tam Ferris;;apprentice\n").encode())).enrolled == 1


def test_a_tutor_takes_on_apprentices_only(hand):
    other = staff.take_on(hand, "tutor", name="Osric Vane")
    found = read_crew_table((HEAD + "Tam Ferris;;apprentice\nWilma Tack;;verifier\n").encode())
    (problem,) = check(replace(hand, person=other, key=None), found)
    assert problem.line == 3 and "Only a manager takes on a verifier" in problem.says


@pytest.mark.parametrize("separator", [",", ";", "\t"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "latin-1", "utf-16"])
@pytest.mark.parametrize("line_end", ["\n", "\r\n"])
def test_however_a_spreadsheet_writes_it(separator, encoding, line_end):
    text = GOOD.replace(";", separator).replace("\n", line_end)
    assert read_crew_table(text.encode(encoding)) == read_crew_table(GOOD.encode())


def test_columns_in_any_order_and_fewer_of_them():
    found = read_crew_table(b"Role,NAME,,\r\nApprentice,Tam Ferris,,\r\n")
    (one,) = found.people
    assert (one.name, one.role, one.started) == ("Tam Ferris", "apprentice", None)


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "no table of people"),
        (b"\x89PNG\x00\x00", "no table of people"),
        (b"name;role;shoe size\nTam;apprentice;43\n", "no column 'shoe size'"),
        (b"name;started\nTam;2026-03-02\n", "lacks name or role"),
        (b"name;role;name\nTam;apprentice;Tam\n", "names a column twice"),
        (b"Tam Ferris, apprentice\n", "lacks name or role"),
    ],
)
def test_a_file_that_is_no_such_table_is_named(data, says):
    with pytest.raises(BadData, match=says):
        read_crew_table(data)


def test_a_file_that_is_not_there_or_too_large(tmp_path):
    with pytest.raises(BadData, match="no such file"):
        read_crew_table(tmp_path / "x.csv")
    (tmp_path / "y.csv").write_bytes(b"x" * (2 * 1024 * 1024 + 1))
    with pytest.raises(BadData, match="too large"):
        read_crew_table(tmp_path / "y.csv")


WORD = st.text("abcäößÅéñ XYZ'-,;\"", min_size=1, max_size=12).map(lambda t: " ".join(t.split())).filter(bool)
PERSON = st.fixed_dictionaries(
    {
        "name": WORD,
        "role": st.sampled_from(["apprentice", "tutor", "verifier", "manager"]),
        "started": st.none() | st.dates(date(1990, 1, 1), date(2030, 1, 1)),
        "decisions": st.lists(
            st.tuples(st.from_regex(r"[A-Z]{3}-[KP][0-9]{2}", fullmatch=True), st.dates(), WORD, WORD, WORD),
            max_size=3,
            unique_by=lambda d: d[0],
        ),
    }
)


@pytest.mark.slow
@given(
    st.lists(PERSON, min_size=1, max_size=6, unique_by=lambda p: p["name"].casefold()),
    st.sampled_from([",", ";", "\t"]),
    st.sampled_from(["utf-8", "utf-8-sig", "latin-1"]),
    st.sampled_from(["\n", "\r\n"]),
    st.permutations(list(COLUMNS)),
)
def test_what_was_written_is_what_is_read(people, separator, encoding, line_end, columns):
    file = io.StringIO()
    writer = csv.DictWriter(file, columns, delimiter=separator, lineterminator=line_end, restval="")
    writer.writeheader()
    for number, one in enumerate(people):
        day = "" if one["started"] is None else one["started"].isoformat()
        facts = {"name": one["name"], "id": f"p-{number}", "role": one["role"], "started": day}
        names = ("criterion", "day", "decided by", "paper", "reason")
        for decision in one["decisions"] or [None]:
            writer.writerow(facts | (dict(zip(names, decision, strict=True)) if decision else {}))
    found = read_crew_table(file.getvalue().encode(encoding))
    assert found.problems == ()
    assert [
        (p.name, p.role, p.started, [(e.criterion, e.day, e.who, e.paper, e.reason) for e in p.earlier])
        for p in found.people
    ] == [(p["name"], p["role"], p["started"], p["decisions"]) for p in people]


@given(st.binary(max_size=200), st.booleans())
def test_any_bytes_are_read_or_refused_plainly(data, with_head):
    try:
        found = read_crew_table((HEAD.encode() if with_head else b"") + data)
    except BadData:
        return
    assert all(p.line >= 0 and p.says for p in found.problems)
    assert all(p.name and p.role for p in found.people)
