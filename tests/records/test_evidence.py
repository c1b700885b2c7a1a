"""Files kept as evidence: what is taken, what is refused, what is found in them, and what a crash leaves."""

from __future__ import annotations

import io
import os
import signal
import stat
import subprocess
import sys
import time
import zipfile
from dataclasses import replace
from datetime import UTC, datetime

import numpy as np
import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image
from sqlalchemy import func, select

from kit.basics.errors import BadData, UnknownName
from kit.files import signing
from kit.records import DiskTrouble
from kit.records.competence import observations
from kit.records.competence.observations import Observation
from kit.records.evidence import file_type
from kit.records.evidence.kept_files import (
    attach,
    check_files,
    files_about,
    folder_of,
    path_of,
    verdicts_on,
)
from kit.records.evidence.photographs import holds_place, opened
from kit.records.ledger import acts
from kit.records.ledger.acts import NotAllowed
from kit.records.ledger.projection import check_chain
from kit.records.people import keys, staff
from kit.records.storage import schema
from tests.records.conftest import reopened

START = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
posix_only = pytest.mark.skipif(os.name != "posix", reason="permission bits, signals and limits are POSIX")


def photo(fmt="JPEG", *, gps=False, colour=(120, 80, 40)):
    picture, file = Image.new("RGB", (32, 24), colour), io.BytesIO()
    exif = picture.getexif()
    exif[0x0112] = 6  # turned
    exif[0x010F] = "Own camera"
    if gps:
        place = exif.get_ifd(0x8825)
        place[1], place[2] = "N", (53.0, 20.0, 51.5)
        place[3], place[4] = "W", (6.0, 15.0, 37.25)
    picture.save(file, fmt, exif=exif)
    return file.getvalue()


def workbook(*, macros=False):
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w") as made:
        made.writestr("[Content_Types].xml", "<Types/>")
        made.writestr("xl/workbook.xml", "<workbook/>")
        if macros:
            made.writestr("xl/vbaProject.bin", b"x")
    return file.getvalue()


def logger(hold_min=40, at_c=66.0):
    up, down = np.linspace(4, at_c, 60), at_c * np.exp(-np.arange(0, 120) / 22.0)
    core = np.concatenate([up, np.full(hold_min, at_c), down])
    air = np.concatenate([np.full(60 + hold_min, 80.0), np.full(120, -2.0)])
    rows = [f"{i};{core[i]:.2f};{air[i]:.1f}" for i in range(core.size)]
    return ("time_min;core_c;air_c\n" + "\n".join(rows) + "\n").encode()


@pytest.fixture
def tutor(records, bank):
    manager = replace(staff.begin(records, "Berit Falk", lambda: START), catalogue=bank)
    person = staff.take_on(manager, "tutor", name="Osric Vane")
    key = signing.Signer(Ed25519PrivateKey.generate())
    keys.add_key(manager, person, key.key_id, key.public)
    return replace(manager, person=person, key=key)


@pytest.fixture
def tam(tutor):
    return staff.take_on(tutor, "apprentice", name="Tam Ferris")


@pytest.fixture
def file(tmp_path):
    def make(name, data):
        path = tmp_path / name
        path.write_bytes(data)
        return path

    return make


@posix_only
def test_a_file_is_kept_once_by_its_hash_and_only_its_owner_reads_it(tutor, tam, file):
    picture = file("fillet.jpg", photo())
    first = attach(tutor, picture, tam)
    assert (first.media_type, first.new, first.says) == ("image/jpeg", True, ())
    kept = path_of(tutor.records, first.sha256)
    assert kept.read_bytes() == picture.read_bytes()
    assert stat.S_IMODE(kept.stat().st_mode) == 0o600
    for folder in (kept.parent, kept.parent.parent):
        assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    again = attach(tutor, file("same.jpeg", photo()), tam)
    assert (again.sha256, again.new) == (first.sha256, False)
    other = staff.take_on(tutor, "apprentice", name="Ana Lind")
    assert attach(tutor, picture, other).new
    with tutor.records.reading() as connection:
        assert connection.scalar(select(func.count()).select_from(schema.files)) == 1
        assert len(list(acts.read(connection, kind="attached"))) == 2
        assert files_about(connection) == {tam: {first.sha256}, other: {first.sha256}}
        assert files_about(connection, tam) == {tam: {first.sha256}}
    assert len([p for p in folder_of(tutor.records.path).rglob("*") if p.is_file()]) == 1
    assert check_chain(tutor.records).whole


def test_the_chain_does_not_hold_the_name_of_the_file(tutor, tam, file):
    attach(tutor, file("Tam Ferris at the bench.png", photo("PNG")), tam)
    with tutor.records.reading() as connection:
        (act,) = acts.read(connection, kind="attached")
        assert "Ferris" not in acts.as_json(act.facts)


TAKEN = {
    "a.jpg": (photo(), "photo"),
    "a.png": (photo("PNG"), "photo"),
    "a.webp": (photo("WEBP"), "photo"),
    "a.pdf": (b"%PDF-1.7\n1 0 obj\nendobj\ntrailer\n%%EOF\n", "paper"),
    "a.csv": (b"fish;g\nchar;1200\n", "weights"),
    "a.txt": ("Gewicht: 1200 g, Größe 3".encode("latin-1"), "weights"),
    "b.txt": ("fish\t1200\n".encode("utf-16"), "weights"),
    "a.xlsx": (workbook(), "weights"),
}


@pytest.mark.parametrize("name", TAKEN)
def test_what_may_be_kept_is_known_by_its_content(tutor, tam, file, name):
    data, kind = TAKEN[name]
    assert (
        attach(tutor, file(name, data), tam, kind).media_type == file_type.ENDINGS["." + name.split(".")[1]]
    )


REFUSED = {
    "photo.jpg": (photo("PNG"), "its name says .jpg, its content is PNG"),
    "cook.csv": (photo(), "its content is JPEG"),
    "photo.png": (b"a shopping list\n", "its content is text"),
    "sheet.pdf": (workbook(), "its content is a spreadsheet"),
    "torn.jpg": (photo()[:-40], "JPEG is damaged or cut short"),
    "torn.png": (photo("PNG")[:-12], "PNG is damaged or cut short"),
    "torn.webp": (photo("WEBP")[:-4], "WebP is damaged or cut short"),
    "torn.pdf": (b"%PDF-1.7\n1 0 obj", "PDF is cut short"),
    "torn.xlsx": (workbook()[:-10], "damaged or cut short"),
    "macros.xlsx": (workbook(macros=True), "holds macros"),
    "page.txt": (b"  <!DOCTYPE html><html><script>", "no file of a kind that is kept"),
    "drawing.csv": (b"<svg onload='x'>", "no file of a kind that is kept"),
    "program.txt": (b"#!/bin/sh\necho", "no file of a kind that is kept"),
    "other.txt": (b"MZ\x90\x00\x03", "no file of a kind that is kept"),
    "archive.xlsx": (b"PK\x05\x06" + b"\0" * 18, "no file of a kind that is kept"),
    "empty.txt": (b"", "the file is empty"),
    "noending": (b"text", "its name says without an ending"),
}


@pytest.mark.parametrize("name", REFUSED)
def test_what_is_not_what_it_says_is_refused_and_nothing_is_kept(tutor, tam, file, name):
    data, says = REFUSED[name]
    with pytest.raises(BadData, match=says):
        attach(tutor, file(name, data), tam, "weights")
    assert not folder_of(tutor.records.path).exists()
    with tutor.records.reading() as connection:
        assert connection.scalar(select(func.count()).select_from(schema.files)) == 0


@given(st.binary(max_size=300), st.sampled_from(sorted(file_type.ENDINGS)))
def test_any_bytes_are_either_known_or_refused_plainly(data, ending):
    try:
        assert file_type.media_type(data, "x" + ending) == file_type.ENDINGS[ending]
    except BadData as error:
        assert error.where == "x" + ending


def test_who_may_and_about_whom(tutor, tam, file):
    picture = file("a.jpg", photo())
    with pytest.raises(UnknownName, match="person"):
        attach(tutor, picture, "s-nobody")
    with pytest.raises(NotAllowed, match="this needs a"):
        attach(replace(tutor, person=tam, key=None), picture, tam)
    with pytest.raises(UnknownName, match="kind of evidence"):
        attach(tutor, picture, tam, "film")
    with pytest.raises(BadData, match="is no logger"):
        attach(tutor, picture, tam, "logger")
    with pytest.raises(BadData, match="no such file"):
        attach(tutor, picture.with_name("b.jpg"), tam)
    with pytest.raises(BadData, match="a folder"):
        attach(tutor, picture.parent, tam)


def test_a_file_over_50_mb_is_refused_before_it_is_read(tutor, tam, tmp_path):
    path = tmp_path / "huge.jpg"
    with path.open("wb") as huge:
        huge.truncate(50 * 1024 * 1024 + 1)
    with pytest.raises(BadData, match="too large: more than 50 MB"):
        attach(tutor, path, tam)


def test_a_logger_file_is_judged_as_check_log_judges_it_and_goes_into_the_observation(tutor, tam, file):
    import json

    from click.testing import CliRunner

    from kit.cli.tutor.check_log import command

    path = file("cook.csv", logger())
    found = attach(tutor, path, tam, "logger", "us-processor")
    told = CliRunner().invoke(command, [str(path), "--rules", "us-processor", "--json"])
    same = [v for v in json.loads(told.output)["verdicts"] if not v["for_person"]]
    assert [v["rule"] for v in found.verdicts] == [v["rule"] for v in same]
    for mine, theirs in zip(found.verdicts, same, strict=True):
        assert mine["outcome"] == theirs["outcome"] and mine["source"] == theirs["source"]
        assert mine["measured"] == pytest.approx(theirs["measured"], abs=1e-4)
        assert mine["limit"] == pytest.approx(theirs["limit"], abs=1e-4)
        assert mine["file"] == found.sha256
    assert {v["outcome"] for v in found.verdicts} >= {"met"}
    assert verdicts_on(tutor.records, [found.sha256]) == found.verdicts
    assert not attach(tutor, path, tam, "logger", "us-processor").new
    again = attach(tutor, path, tam, "logger", "ie")
    assert again.new and again.sha256 == found.sha256, "other rules, other verdicts"
    assert verdicts_on(tutor.records, [found.sha256]) == again.verdicts
    short = attach(tutor, file("short.csv", logger(2)), tam, "logger", "us-processor")
    assert "not met" in {v["outcome"] for v in short.verdicts}
    seen = Observation(
        tam,
        "cook",
        START.date(),
        {"COK-P01": "met"},
        batch="B001",
        declared=True,
        files=[found.sha256],
        verdicts=found.verdicts,
    )
    act = observations.observe(tutor, seen)
    assert act.facts["verdicts"] == [dict(v) for v in found.verdicts]
    assert check_chain(tutor.records).whole
    with pytest.raises(BadData, match="names no rule"):
        observations.observe(tutor, replace(seen, verdicts=[{"rule": "x", "outcome": "fine"}]))


def test_a_logger_file_that_cannot_be_read_is_refused_with_the_place(tutor, tam, file):
    with pytest.raises(BadData, match=r"cook\.csv"):
        attach(tutor, file("cook.csv", b"hello\nthere\n"), tam, "logger", "ie")
    assert check_files(tutor.records).kept == ()


@pytest.mark.parametrize("fmt", ["JPEG", "PNG", "WEBP"])
def test_a_photo_that_says_where_it_was_taken_is_pointed_out_and_kept_as_it_is(tutor, tam, file, fmt):
    assert attach(tutor, file(f"b.{fmt.lower()}", photo(fmt)), tam).says == ()
    path = file(f"a.{fmt.lower()}", photo(fmt, gps=True))
    found = attach(tutor, path, tam)
    assert any("where it was taken" in line for line in found.says)
    assert path_of(tutor.records, found.sha256).read_bytes() == path.read_bytes()


@pytest.mark.parametrize("fmt", ["JPEG", "PNG", "WEBP"])
def test_the_place_goes_and_the_picture_stays(tutor, tam, file, fmt):
    whole = photo(fmt, gps=True)
    found = attach(tutor, file(f"a.{fmt.lower()}", whole), tam, strip_place=True)
    assert any("not encoded again" in line for line in found.says)
    kept = path_of(tutor.records, found.sha256).read_bytes()
    read = opened(kept, found.media_type, "a")
    assert not holds_place(kept, read) and 0x8825 not in read.getexif()
    assert read.getexif()[0x0112] == 6 and read.getexif()[0x010F] == "Own camera"
    assert Image.open(io.BytesIO(kept)).tobytes() == Image.open(io.BytesIO(whole)).tobytes()


def test_heic_is_kept_too(tutor, tam, file):
    pytest.importorskip("pillow_heif", reason="its libraries take 26 MB: an extra").register_heif_opener()
    path = file("a.heic", photo("HEIF", gps=True))
    found = attach(tutor, path, tam, strip_place=True)
    assert found.media_type == "image/heic" and "place was taken out" in found.says[0]


def test_every_loss_is_named(tutor, tam, file):
    shas = [attach(tutor, file(f"{n}.png", photo("PNG", colour=(n, 0, 0))), tam).sha256 for n in (1, 2, 3)]
    assert check_files(tutor.records).whole and set(check_files(tutor.records).kept) == set(shas)
    path_of(tutor.records, shas[0]).unlink()
    path_of(tutor.records, shas[1]).write_bytes(b"something else")
    stray = path_of(tutor.records, "ab" + "0" * 62)
    stray.parent.mkdir(exist_ok=True)
    stray.write_bytes(b"x")
    found = check_files(tutor.records)
    assert (found.missing, found.changed, found.kept) == ((shas[0],), (shas[1],), (shas[2],))
    assert found.stray == ("ab" + "0" * 62,) and not found.whole
    for n in (1, 2):  # attaching again mends both
        attach(tutor, file(f"{n}.png", photo("PNG", colour=(n, 0, 0))), tam)
    assert check_files(tutor.records).whole
    with pytest.raises(BadData, match="no SHA-256"):
        path_of(tutor.records, "../../x")


CHILD = """
import sys
from datetime import UTC, datetime
from pathlib import Path
from kit.records import open_records
from kit.records.evidence.kept_files import attach
from kit.records.people.staff import Hand
db, person, tam, folder, limit = sys.argv[1:]
if int(limit):
    import resource
    resource.setrlimit(resource.RLIMIT_FSIZE, (int(limit), int(limit)))
hand = Hand(open_records(db), person, clock=lambda: datetime(2026, 3, 2, 9, tzinfo=UTC))
print("ready", flush=True)
for path in sorted(Path(folder).glob("*.png")):
    try:
        print(attach(hand, path, tam).sha256, flush=True)
    except Exception as error:
        print(type(error).__name__, error, flush=True)
"""


def child(tutor, tam, folder, limit=0):
    command = [
        sys.executable,
        "-c",
        CHILD,
        str(tutor.records.path),
        tutor.person,
        tam,
        str(folder),
        str(limit),
    ]
    return subprocess.Popen(command, stdout=subprocess.PIPE, text=True)


def many(folder, count):
    folder.mkdir(exist_ok=True)
    rng = np.random.default_rng(7)
    for number in range(count):
        noise, made = rng.integers(0, 255, (220, 220, 3), dtype=np.uint8), io.BytesIO()
        Image.fromarray(noise).save(made, "PNG")
        (folder / f"{number:03}.png").write_bytes(made.getvalue())
    return folder


@pytest.mark.slow
@posix_only
@pytest.mark.file_only("its second program opens a file, and its limit is the file's")
def test_a_kill_while_attaching_leaves_only_whole_files_and_repeats_cleanly(tutor, tam, tmp_path):
    folder = many(tmp_path / "photos", 40)
    told: set[str] = set()
    for wait in (1, 6, 14):
        running = child(tutor, tam, folder)
        assert running.stdout.readline() == "ready\n"
        for _ in range(wait):
            told.add(running.stdout.readline().strip())
        time.sleep(0.004 * wait)
        os.kill(running.pid, signal.SIGKILL)
        told |= set(running.stdout.read().split())
        running.wait()
        running.stdout.close()
        found = check_files(tutor.records)
        assert found.whole and told <= set(found.kept)
        with tutor.records.reading() as connection:
            assert connection.exec_driver_sql("PRAGMA integrity_check").scalar() == "ok"
    assert len(told) < 40, "the kill came too late to prove anything"
    for path in sorted(folder.glob("*.png")):
        attach(tutor, path, tam)
    found = check_files(tutor.records)
    assert found.whole and len(found.kept) == 40 and not found.stray
    assert check_chain(tutor.records).whole


@pytest.mark.slow
@posix_only
@pytest.mark.file_only("its second program opens a file, and its limit is the file's")
def test_a_full_disk_keeps_nothing_of_the_file_and_says_so(tutor, tam, tmp_path):
    folder = many(tmp_path / "photos", 1)
    running = child(tutor, tam, folder, limit=100_000)
    said = running.communicate(timeout=60)[0]
    assert "DiskTrouble" in said, said
    assert check_files(tutor.records) == type(check_files(tutor.records))()
    assert not [p for p in folder_of(tutor.records.path).rglob("*") if p.is_file()]
    with tutor.records.reading() as connection:
        assert list(acts.read(connection, kind="attached")) == []
    attach(tutor, folder / "000.png", tam)
    assert check_files(tutor.records).whole


def test_a_folder_that_cannot_be_written_is_named(tutor, tam, file):
    folder_of(tutor.records.path).write_text("in the way")
    with pytest.raises(DiskTrouble):
        attach(tutor, file("a.jpg", photo()), tam)


def test_records_of_an_older_sitting_open_again(tutor, tam, file):
    sha = attach(tutor, file("a.jpg", photo()), tam).sha256
    tutor.records.close()
    again = reopened(tutor.records)
    assert check_files(again).kept == (sha,)
    again.close()
