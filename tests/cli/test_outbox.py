"""Drafts away from the records and taken in later, by the commands a tutor types."""

from __future__ import annotations

import pytest

from kit.basics.errors import BadData
from kit.cli import main
from kit.cli.tutor import outbox, record
from tests.cli.typed import run

SEEN = ("--met", "RIN-P01", "--batch", "B-1", "--declared")


@pytest.fixture
def box(desk, tmp_path):
    """An outbox, begun while the records were there; then the line is down."""
    path = tmp_path / "osric.outbox"
    said = run(outbox.command, "begin", str(path), "--as", "Osric")
    assert "for Osric Vane and 2 apprentices" in said
    (desk / "tutor" / "records.db").rename(desk / "away.db")
    return path


def back(home):
    (home / "away.db").rename(home / "tutor" / "records.db")


@pytest.mark.slow
def test_from_the_bench_without_a_network_to_acts(box, desk):
    with pytest.raises(BadData, match="no records here"):
        run(record.command, "observe", "Tam", "rinse", *SEEN, "--as", "Osric")
    said = run(outbox.command, "observe", str(box), "Tam", "rinse", *SEEN)
    assert "Drafted: 1." in said and "no act yet" in said
    told = ("RIN-P01", "not yet competent", "--reason", "Seen once.")
    run(outbox.command, "decide", str(box), "Tam", *told)
    shown = run(outbox.command, "show", str(box))
    assert (
        "RIN-P01 met" in shown and "RIN-P01 not yet competent" in shown and "2 drafts, each signed" in shown
    )
    back(desk)
    said = run(outbox.command, "take-in", str(box), "--as", "Osric")
    assert "2 drafts recorded now, 0 done before, 0 waiting." in said
    again = run(outbox.command, "take-in", str(box), "--as", "Osric")
    assert "0 drafts recorded now, 2 done before, 0 waiting." in again
    assert "the chain is whole" in run(record.command, "check")


@pytest.mark.slow
def test_what_waits_is_shown_with_the_commands_that_settle_it(box, desk):
    told = ("Tam", "RIN-P01", "not yet competent", "--reason", "Seen once.")
    run(outbox.command, "decide", str(box), *told)
    back(desk)
    run(record.command, "decide", *told, "--as", "Wilma")
    said = run(outbox.command, "take-in", str(box), "--as", "Osric", code=1)
    assert "Somebody decided on this criterion" in said and "by Wilma Tack" in said and "1 waiting" in said
    seen = said.split("--seen-act ")[1].split()[0]
    line = ("settle", str(box), "1", "record", "--reason", "We spoke.", "--as", "Osric")
    assert "Recorded as act" in run(outbox.command, *line, "--seen-act", seen)
    assert "0 waiting" in run(outbox.command, "take-in", str(box), "--as", "Osric")


def test_an_edited_outbox_is_one_line_and_code_2(box, capsys):
    run(outbox.command, "observe", str(box), "Tam", "rinse", *SEEN)
    box.write_bytes(box.read_bytes().replace(b'"met"', b'"Met"'))
    with pytest.raises(SystemExit) as ended:
        main(["outbox", "show", str(box)])
    assert ended.value.code == 2
    error = capsys.readouterr().err
    assert error.count("\n") == 1 and "line 2: it was edited after it was signed" in error


def test_nothing_is_drafted_that_makes_no_sense(box):
    with pytest.raises(BadData, match="names no batch"):
        run(outbox.command, "observe", str(box), "Tam", "rinse", "--met", "RIN-P01", "--declared")
    assert "0 drafts" in run(outbox.command, "show", str(box))
