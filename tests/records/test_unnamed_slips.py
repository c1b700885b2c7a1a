"""Wrong answers without a slip are gathered with counts; those with one, and right ones, are not."""

import pytest
from click.testing import CliRunner

from kit.cli.tutor.record import unnamed
from kit.cli.tutor.take_in import command as take_in_command
from kit.marking.model import Outcome
from kit.practice import people, start
from kit.records import take_in
from kit.records.intake.unnamed_slips import unnamed_slips


def marked(question, answer):
    right = answer == str(question.answer)
    slip = "" if right or answer == "77" else "any slip"
    return Outcome(float(right), 1.0, "right" if right else "not yet", "…", slip, f"{answer} g")


@pytest.mark.slow
def test_what_met_a_general_sentence_is_counted_by_question(records, bank, write, now, monkeypatch):
    monkeypatch.setattr(bank, "mark", marked)
    books = []
    for person, name in (("p-ana", "Ana Lind"), ("p-ben", "Ben Oduya")):
        book = write(person, name)
        book.attempt("salt-sum", right=False, answer="77", day=0, occasion=1, slip="")
        book.attempt("salt-sum", right=False, answer="77", minute=1, day=0, occasion=1, slip="")
        book.attempt("core-hold", right=False, day=0, minute=2)
        book.attempt("chill-time", day=0, minute=3)
        books.append(book.path)
    book.attempt("chill-time", right=False, answer="77", day=0, minute=4, slip="")
    take_in(records, books, catalogue=bank, now=now)
    found = unnamed_slips(records, bank)
    assert [(one.exercise, one.times, one.people) for one in found] == [
        ("salt-sum", 4, 2),
        ("chill-time", 1, 1),
    ]
    answer, _seed, times = found[0].examples[0]
    assert (answer, times) == ("77 g", 2)
    assert found[0].line().startswith("salt-sum: 4 of 2 people: '77 g' (seed ")


def test_taking_in_counts_them_and_the_command_lists_them(tmp_path):
    person = people.create("Ana Lind", home=tmp_path)
    work = start(person.id, home=tmp_path)
    outcome, _ = work.check("card-in-fahrenheit", "87654321")
    assert outcome.verdict == "not yet" and outcome.slip == ""
    records, run = str(tmp_path / "records.db"), CliRunner()
    said = run.invoke(take_in_command, [str(work.book.path), "--records", records, "--processes", "1"])
    assert "1 wrong answer on record, to 1 question, met only a general sentence" in said.output
    listed = run.invoke(unnamed, ["--records", records])
    assert listed.output.startswith("card-in-fahrenheit: 1 of 1 people: '87654321")
    assert "seed" in listed.output
