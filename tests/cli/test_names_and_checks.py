"""People and criteria by the words that are typed, and every check before a password is asked for."""

from __future__ import annotations

import re

import pytest

from kit import criteria
from kit.basics.errors import BadData, UnknownName
from kit.cli import acting, main
from kit.cli.manager import staff
from kit.cli.tutor import record
from tests.cli.typed import PASSWORD, run


def whole(*args: str) -> int:
    with pytest.raises(SystemExit) as stopped:
        main(list(args))
    return int(stopped.value.code or 0)


@pytest.fixture
def asked(monkeypatch):
    """How often a password was asked for."""
    count = []

    def answer(prompt: str) -> str:
        count.append(prompt)
        return PASSWORD

    monkeypatch.setattr(acting, "password", answer)
    return count


def seen(name="tam", step="rinse", met="RIN-P01", who="berti", **more):
    facts = {"--batch": "B-1", "--despite": "The sheets lay at the bench.", "--day": "2026-11-02"} | more
    flat = [part for pair in facts.items() for part in pair]
    return (record.command, "observe", name, step, "--met", met, "--declared", "--as", who, *flat)


@pytest.mark.parametrize("who", ["berti", "BERTI EXAMPLE", "exam", "example berti", "  Berti   example "])
def test_a_person_is_found_by_any_case_and_by_a_part_that_only_they_have(desk, who):
    assert "Recorded as act" in run(*seen(who=who))


@pytest.mark.parametrize("name", ["lucja", "dabrowska", "ŁUCJA", "Dąbrowska Łucja"])
def test_accents_need_not_be_typed(desk, name):
    assert "Recorded as act" in run(*seen(name=name))
    assert "Łucja" in run(staff.command, "list")


def test_nobody_is_guessed(desk, capsys):
    with pytest.raises(UnknownName, match=r"Did you mean 'Berti Example'\?"):
        run(*seen(who="Berty"))
    with pytest.raises(UnknownName, match="one person, but several"):
        run(*seen(who="ber"))  # Berti Example and Berit Falk
    assert whole("my-record", "--person", "Tom Feris", "--out", "x.zip") == 2
    said = capsys.readouterr().err.strip()
    assert "Did you mean 'Tam Ferris'?" in said and "\n" not in said


@pytest.mark.parametrize("code", ["rin-p01", "RINP01", "Rin P01"])
def test_a_code_in_any_case(desk, code):
    assert "Recorded as act" in run(*seen(met=code))


@pytest.mark.parametrize("word", ["rinse", "Rinse and rest", "rest"])
def test_a_word_of_the_work_names_its_codes_in_one_line(desk, word, capsys):
    told = ("record", "decide", "tam", word, "competent", "--reason", "Seen twice.", "--as", "berti")
    assert whole(*told) == 2
    said = capsys.readouterr().err.strip()
    assert "\n" not in said
    for one in criteria.at("rinse"):
        assert f"{one.id} ({one.text.rstrip('.')})" in said
    with pytest.raises(BadData, match="it is a step of the work"):
        run(*seen(met=word))


@pytest.mark.parametrize(
    ("typed", "meant"), [("COOK", "cook"), ("wood", "wood_smoke"), ("Pack, label", "pack")]
)
def test_a_step_by_its_words(typed, meant):
    assert criteria.step_named(typed).startswith(meant)
    with pytest.raises(UnknownName):
        criteria.step_named("fry")
    with pytest.raises(UnknownName):
        criteria.step_named("and")  # several have it


REASON = ("--reason", "Seen on two batches.")
REFUSED = {
    "a method that is none": (*seen(**{"--method": "guess"}), "way of observing"),
    "a criterion of another step": (*seen(met="COK-P01"), "belongs to the step"),
    "a day in the future": (*seen(**{"--day": "2099-01-01"}), "2099"),
    "a reading that contradicts": (
        *seen(step="cook", met="COK-P01", **{"--core-temp-c": "41", "--despite": ""}), "41",
    ),
    "evidence that is missing": (
        record.command, "decide", "tam", "RIN-P01", "competent", *REASON, "--as", "berti", "on 0 of",
    ),
    "a tutor who verifies": (
        record.command, "verify", "1", "--agree", *REASON, "--as", "berti", "act 1: it is no decision",
    ),
    "no such appeal": (record.command, "settle", "1", "stands", *REASON, "--as", "wilma", "it is no appeal"),
    "an apprentice who decides": (
        record.command, "decide", "tam", "RIN-P01", "not yet competent", *REASON, "--as", "lucja", "no key",
    ),
    "a role held already": (staff.command, "take-on", "Tam Ferris", "apprentice", "--as", "falk", "already"),
    "a tutor takes on a tutor": (staff.command, "take-on", "New One", "tutor", "--as", "berti", "manager"),
    "leaving what was not held": (staff.command, "leave", "tam", "tutor", "--as", "falk", "is not tutor"),
    "a key that is none": (staff.command, "retire-key", "0" * 16, *REASON, "--as", "falk", "no key called"),
}  # fmt: skip


@pytest.mark.parametrize("what", REFUSED)
def test_all_that_can_be_checked_is_checked_before_the_password(desk, asked, what):
    *command, says = REFUSED[what]
    before = run(record.command, "check")
    with pytest.raises(Exception, match=re.escape(says)):
        run(*command)
    assert not asked and run(record.command, "check") == before


@pytest.mark.slow
def test_what_is_right_asks_once(desk, asked):
    run(*seen())
    run(staff.command, "leave", "tam", "apprentice", "--as", "falk")
    assert len(asked) == 2
    assert "the chain is whole" in run(record.command, "check")


TABLE = """name;id;role;started;criterion;day;decided by;paper;reason
Ana Lind;;apprentice;2026-01-05;COK-P01;2026-02-01;;;
Ana Lind;;;;COK-P99;2026-02-01;The chef;Folder 3;Signed
Bo Rask;;cook;5/1/2026;chill;2026-02-01;The chef;Folder 3;Signed
Tam Ferris;;apprentice;;COK-P02;2099-02-01;The chef;Folder 3;Signed
Cara Mew;;apprentice;;COK-P02;2099-02-01;The chef;Folder 3;Signed
"""
FAULTS = (
    "line 2: an earlier decision needs decided by and paper and reason too",
    "line 3: there is no criterion 'COK-P99'. Did you mean COK-P",
    "line 4: there is no role 'cook'",
    "line 4: started is '5/1/2026'; write it like 2026-03-02",
    "line 4: 'chill': it is a step of the work, not one criterion",
    "line 5: 'Tam Ferris': somebody of that name is on file",
    "line 6: the day is 2099-02-01",
)


@pytest.mark.parametrize("who", [(), ("--as", "berti")])
def test_bring_in_check_needs_no_key_and_lists_every_fault_at_once(desk, asked, tmp_path, capsys, who):
    file = tmp_path / "crew.csv"
    file.write_text(TABLE, encoding="utf-8")
    assert whole("bring-in", str(file), "--check", *who) == 1
    said = capsys.readouterr().out
    for fault in FAULTS:
        assert fault in said, said
    assert not asked and "Nothing was recorded." in said


def test_a_good_table_is_checked_without_a_key_and_then_asks_once(desk, asked, tmp_path, capsys):
    file = tmp_path / "crew.csv"
    rows = (
        TABLE.splitlines()[0] + "\nAna Lind;;apprentice;2026-01-05;cok-p01;2026-02-01;Chef;Folder 3;Signed\n"
    )
    file.write_text(rows, encoding="utf-8")
    assert whole("bring-in", str(file), "--check") == 0
    assert "No problem found" in capsys.readouterr().out and not asked
    assert whole("bring-in", str(file), "--as", "berti") == 0
    assert len(asked) == 1 and "1 earlier decision brought in" in capsys.readouterr().out
