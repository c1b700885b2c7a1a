"""Evidence, backups, erasing and a crew from a table, by the commands that somebody types."""

from __future__ import annotations

import subprocess
import sys
import zipfile
from datetime import UTC, datetime

import numpy as np
import pytest

from kit.basics.errors import BadData
from kit.cli import main, smokehouse
from kit.cli.manager import backup, bring_in, erase, restore, staff
from kit.cli.tutor import attach, record
from kit.records import open_records
from kit.records.evidence.kept_files import check_files
from kit.records.ledger.acts import NotAllowed
from kit.records.ledger.projection import check_chain
from kit.records.upkeep.backup import verify_backup
from kit.records.upkeep.backup_health import health
from kit.records.upkeep.vouching import OtherSigner, UnsignedBackup
from tests.cli.typed import run


def log_file(path):
    core = np.concatenate([np.linspace(4, 66, 60), np.full(40, 66.0), 66 * np.exp(-np.arange(120) / 22)])
    air = np.concatenate([np.full(100, 80.0), np.full(120, -2.0)])
    rows = "\n".join(f"{i};{c:.2f};{a:.1f}" for i, (c, a) in enumerate(zip(core, air, strict=True)))
    path.write_text(f"time_min;core_c;air_c\n{rows}\n")
    return path


def whole(home):
    records = open_records(home / "tutor" / "records.db", make=False)
    try:
        return check_chain(records).whole and check_files(records).whole
    finally:
        records.close()


@pytest.mark.slow
def test_a_logger_file_is_judged_and_the_observation_names_it(desk, tmp_path):
    who = ("--person", "Tam", "--as", "Osric")
    said = run(
        attach.command, log_file(tmp_path / "cook.csv"), *who, "--kind", "logger", "--rules", "us-processor"
    )
    assert "met: us-processor-" in said and "from memory: confirm" in said
    assert "The competent person decides" in said
    sha = said.split()[-1]
    assert len(sha) == 64
    today = datetime.now().astimezone().date().isoformat()
    facts = (
        "--met",
        "RIN-P01",
        "--batch",
        "B1",
        "--day",
        today,
        "--declared",
        "--file",
        sha,
    )
    assert "Recorded as act" in run(record.command, "observe", "Tam", "rinse", *facts, "--as", "Osric")
    again = run(attach.command, tmp_path / "cook.csv", *who, "--kind", "logger", "--rules", "us-processor")
    assert again.startswith("Kept before for Tam Ferris")
    assert whole(desk)


@pytest.mark.slow
def test_backup_and_restore(desk, tmp_path):
    (tmp_path / "w.txt").write_text("1200 g\n")
    run(attach.command, tmp_path / "w.txt", "--kind", "weights", "--person", "Tam", "--as", "Osric")
    folder = tmp_path / "stick"
    folder.mkdir()
    said = run(backup.command, folder, "--as", "Osric")
    (made,) = folder.iterdir()
    assert str(made) in said and "7 people" in said and "1 file." in said
    assert "Signed by Osric" in said
    assert "This backup is whole" in run(backup.command, made, "--check")
    run(staff.command, "take-on", "Ana Lind", "apprentice", "--as", "Osric")
    with pytest.raises(NotAllowed, match="--as NAME"):
        run(restore.command, made, "--replace")
    told = run(restore.command, made, "--replace", "--as", "Berit")
    assert "Recorded as act" in told
    assert "go 1 act further than the backup" in told
    assert "Ana Lind" not in run(staff.command, "list")
    assert whole(desk)
    fresh = tmp_path / "new" / "records.db"
    assert f"Restored to {fresh}" in run(restore.command, made, "--records", fresh)
    assert "Nobody signed it" in run(backup.command, folder / "plain")
    with pytest.raises(UnsignedBackup, match="--unsigned"):
        run(restore.command, folder / "plain", "--replace", "--as", "Berit")
    told = run(restore.command, folder / "plain", "--replace", "--as", "Berit", "--unsigned", "It is ours.")
    assert "Recorded as act" in told and whole(desk)
    elsewhere = tmp_path / "third" / "records.db"
    told = run(restore.command, folder / "plain", "--records", elsewhere, "--unsigned", "The laptop burnt.")
    assert "no act holds your reason" in told
    (said, *_) = health(elsewhere).says(datetime.now(UTC))
    assert said.endswith("The laptop burnt.")


@pytest.mark.slow
def test_on_an_empty_machine_a_paper_tells_a_backup_from_a_forged_one(desk, tmp_path):
    """Whoever makes up whole records signs them with a key that those records know; the paper does not."""
    run(backup.command, tmp_path / "signed", "--as", "Osric")
    run(backup.command, tmp_path / "plain")
    signer = verify_backup(tmp_path / "signed").signed
    assert signer is not None
    paper = f"{signer.key_id[:8]} {signer.key_id[8:]}".upper()
    for made, key in (("signed", "0123456789abcdef"), ("plain", paper)):
        forged = tmp_path / f"forged-{made}" / "records.db"
        with pytest.raises(OtherSigner, match="your paper shows the key"):
            run(restore.command, tmp_path / made, "--records", forged, "--signed-by", key)
        assert not forged.exists()
    checked, taken = tmp_path / "checked" / "records.db", tmp_path / "taken" / "records.db"
    assert "Compare" not in run(
        restore.command, tmp_path / "signed", "--records", checked, "--signed-by", paper
    )
    assert health(checked).unsigned == ""
    assert "known from this backup alone" in run(restore.command, tmp_path / "signed", "--records", taken)
    assert signer.key_id in health(taken).unsigned


@pytest.mark.parametrize("command", ["restore", "backup --check", "backup"])
def test_what_goes_wrong_is_one_line_and_exit_2(desk, tmp_path, command, capsys):
    bad = tmp_path / "bad"
    bad.write_bytes(b"PK\x03\x04 half")
    with pytest.raises(SystemExit) as left:
        main([*command.split(), str(bad)])
    assert left.value.code == 2
    said = capsys.readouterr().err
    assert said.startswith("smokehouse: ") and said.count("\n") == 1 and "Traceback" not in said


def test_a_backup_of_records_with_a_loss_says_so_and_ends_with_1(desk, tmp_path):
    (tmp_path / "w.txt").write_text("1200 g\n")
    said = run(attach.command, tmp_path / "w.txt", "--kind", "weights", "--person", "Tam", "--as", "Osric")
    sha = said.split()[-1]
    (desk / "tutor" / "evidence" / sha[:2] / sha).unlink()
    told = run(backup.command, tmp_path / "b", code=1)
    assert f"Problem: the kept file {sha[:12]} is missing." in told
    assert zipfile.is_zipfile(tmp_path / "b")


@pytest.mark.slow
def test_erasing_asks_for_the_name(desk):
    run(staff.command, "leave", "Tam Ferris", "apprentice", "--as", "Berit")
    facts = ("Tam Ferris", "--reason", "Asked for it.", "--as", "Berit")
    assert "Nothing was erased" in run(erase.command, *facts, code=1, typed="yes\n")
    assert "Nothing was erased" in run(erase.command, *facts, code=1, typed="\n")
    assert "Tam Ferris" in run(staff.command, "list")
    said = run(erase.command, *facts, typed="Tam Ferris\n")
    assert "is erased, as act" in said and "backups made before" in said
    assert "Tam Ferris" not in run(staff.command, "list")
    assert b"Tam Ferris" not in (desk / "tutor" / "records.db").read_bytes()
    assert whole(desk)


@pytest.mark.slow
def test_erasing_from_a_script(desk, capsys):
    with pytest.raises(SystemExit):
        main(["erase", "Tam Ferris", "--yes", "--reason", "Asked.", "--as", "Berit"])
    assert "is apprentice now" in capsys.readouterr().err
    run(staff.command, "leave", "Tam Ferris", "apprentice", "--as", "Berit")
    with pytest.raises(SystemExit):
        main(["erase", "Tam Ferris", "--yes", "--as", "Berit"])
    assert "give a reason" in capsys.readouterr().err
    said = run(erase.command, "Tam Ferris", "--yes", "--retention-years", "0", "--as", "Berit")
    assert "is erased" in said
    person = said.split()[0]
    assert "had been erased before" in run(erase.command, person, "--yes", "--as", "Berit")


GOOD = (
    "name,role,started,criterion,day,decided by,paper,reason\n"
    "Ana Lind,apprentice,2026-01-12,RIN-P01,2026-02-02,Head chef,Folder 3,Signed sheet\n"
    "Bo Marsh,apprentice,2026-01-12\n"
)


@pytest.mark.slow
def test_a_crew_is_looked_at_first_and_then_brought_in(desk, tmp_path):
    path = tmp_path / "crew.csv"
    path.write_text(GOOD.replace("RIN-P01", "RIN-P99") + "Cat Reed,cook\n")
    said = run(bring_in.command, path, "--as", "Osric", code=1)
    assert (
        "line 2: " in said and "line 4: there is no role 'cook'" in said and "Nothing was recorded." in said
    )
    path.write_text(GOOD)
    told = run(bring_in.command, path, "--check", "--as", "Osric")
    assert "2 people, 1 earlier decision. Nothing was recorded." in told
    assert "Ana Lind" not in run(staff.command, "list")
    assert "2 taken on, 1 earlier decision brought in" in run(bring_in.command, path, "--as", "Osric")
    assert "Ana Lind" in run(staff.command, "list")
    assert "Nothing was recorded" in run(bring_in.command, path, "--as", "Osric", code=1)
    assert whole(desk)


def test_the_table_to_fill_in_is_written_once_and_comes_in(desk, tmp_path):
    path = tmp_path / "crew.csv"
    assert "--check" in run(bring_in.command, path, "--template")
    filled = path.read_text(encoding="utf-8-sig") + "Ana Lind;;apprentice;2026-03-02\n"
    path.write_text(filled, encoding="utf-8-sig")
    with pytest.raises(BadData, match="this file is there already"):
        run(bring_in.command, path, "--template")
    assert path.read_text(encoding="utf-8-sig") == filled
    assert "1 people" in run(bring_in.command, path, "--check", "--as", "Osric").replace(
        "1 person", "1 people"
    )
    assert "1 taken on" in run(bring_in.command, path, "--as", "Osric")


def test_names_of_before_still_work_and_say_the_new_one(desk, tmp_path):
    said = run(
        smokehouse, "staff", "enrol", "Ana Lind", "apprentice", "--as", "Osric", "--started", "2026-03-02"
    )
    assert "smokehouse staff take-on" in said and "Ana Lind is taken on as apprentice" in said
    path = tmp_path / "crew.csv"
    said = run(smokehouse, "import-cohort", path, "--template")
    assert "is now called: smokehouse bring-in" in said and path.exists()
    shown = run(smokehouse, "--help") + run(smokehouse, "staff", "--help")
    assert "enrol" not in shown and "cohort" not in shown


@pytest.mark.slow
def test_the_commands_as_they_are_installed(desk, tmp_path):
    for args in (["backup", str(tmp_path / "b")], ["backup", "--check", str(tmp_path / "b")]):
        done = subprocess.run(
            [sys.executable, "-m", "kit.cli", *args], capture_output=True, text=True, timeout=60
        )
        assert done.returncode == 0, done.stderr
        assert "The chain ends in" in done.stdout
