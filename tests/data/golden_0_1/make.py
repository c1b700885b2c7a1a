"""Wrote the golden files beside it. It ran once, on version 0.1.0 at commit 118670a, with that version's API.

It is kept to show what was written and how. It is not run again: ids, salts and keys are drawn at random, and
later versions may call things by other names. Everybody in it is invented, and so is every batch.

    python tests/data/golden_0_1/make.py NEW_FOLDER
"""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import struct
import sys
import tempfile
import tomllib
import zlib
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

from sqlalchemy import text

from kit import __version__
from kit.books import Book, joined, read, signing
from kit.books.kitchen import KeyHolder, make_kitchen, write_kitchen
from kit.cli.cohort import SetClock, right_answer, wrong_answer
from kit.marking.draw import Draw
from kit.practice import Session, create, own_words, set_pin, start
from kit.records import Syllabus, acts, board, open_records, staff, take_in
from kit.records.backing_up import backup
from kit.records.deciding import appeal, bring_in, decide, settle, verify
from kit.records.erasing import erase_person
from kit.records.evidence import attach, check_files
from kit.records.following import check_chain
from kit.records.looking import look_at
from kit.records.observing import Observation, correct, observe
from kit.rules import load_house

COMMIT = "118670a"
PASSWORD = "alder before oak"
PIN = "2719"
COST = 2**14  # the least that the kit allows: the password stands in this file
LOOKED_AT = datetime(2026, 4, 30, 12, 0, tzinfo=UTC)

HOUSE = """\
# House limits of an invented kitchen.
[house]
title = "Skerry Row"
on = "ie"

[[tighter]]
rule = "ie-store-3"
maximum = 2.5
why = "The chiller door opens all day."

[[tighter]]
rule = "ie-chill-150"
minutes = 120
why = "The blast chiller is new."

[[rule]]
id = "house-cabinet-door"
title = "The cabinet door stays shut"
step = "smoke"
form = "words"
says = "The cabinet door stays shut in the first hour of smoke."
"""

ELVA_TASKS = [
    "hold-from-the-list",
    "equal-hold",
    "salt-for-brine",
    "choose-from-the-rack",
    "parts-of-a-fillet",
    "card-in-fahrenheit",
    "ice-check",
    "order-of-the-cook",
    "rule-and-limit",
    "smoking-words",
    "own-store-reading",
    "read-the-chill-record",
    "run-the-cook",
    "may-this-batch-go-on",
    "water-phase-salt",
    "where-the-bones-sit",
    "which-clock-starts",
    "signs-of-fresh-fish",
]
COLM_TASKS = [
    "brine-degrees",
    "new-wood-at-the-door",
    "order-of-the-cure",
    "clean-in-order",
    "which-is-hot-smoked",
]
ANOUK_TASKS = ["minutes-between", "what-smoke-does", "own-cold-by"]


class Tally:
    """What one person was made to do, counted as it was done: not read back from the book."""

    def __init__(self) -> None:
        self.attempts = self.right = self.hints = 0


def work(session: Session, clock: SetClock, days: list[date], tasks: list[str], draw: Draw) -> Tally:
    """Answer tasks day by day: mostly right, sometimes a slip first, now and then after a hint."""
    tally, turn = Tally(), 0
    for day in days:
        clock.now = datetime(day.year, day.month, day.day, 9, 0, tzinfo=UTC)
        for _ in range(5):
            exercise = tasks[turn % len(tasks)]
            turn += 1
            clock.now += timedelta(minutes=6)
            if session.current(exercise).attempts:
                session.next_variant(exercise)
            if turn % 11 == 0:
                session.hint(exercise)
                tally.hints += 1
            slips = 3 if turn % 19 == 0 else int(turn % 6 == 0)
            for _ in range(slips):
                raw = wrong_answer(session.current(exercise).question, draw)
                outcome, _task = session.check(exercise, raw)
                tally.attempts += 1
                tally.right += outcome.verdict == "right"
                clock.now += timedelta(minutes=1)
            if slips == 3:
                session.worked(exercise)
                continue
            session.check(exercise, right_answer(session.current(exercise).question))
            tally.attempts += 1
            tally.right += 1
    return tally


def days_from(first: date, *steps: int) -> list[date]:
    return [first + timedelta(days=step) for step in steps]


def make_key(out: Path) -> tuple[signing.SealedKey, str]:
    sealed, code = signing.make_key(PASSWORD, cost=COST)
    signing.write_key(out / "signing_key.json", sealed)
    return sealed, code


def make_rules(out: Path, sealed: signing.SealedKey, home: Path) -> dict[str, object]:
    """Write the house file, and the kitchen file with its limits; join it on this machine."""
    (out / "house.toml").write_text(HOUSE, encoding="utf-8")
    data = tomllib.loads(HOUSE)
    kitchen = make_kitchen(
        "Skerry Row",
        profile="ie",
        keys=[KeyHolder("tutor", "Piers Holloway", sealed.public)],
        signer=signing.unseal_key(sealed, PASSWORD),
        tighter=data["tighter"],
        own=data["rule"],
        clock=SetClock(datetime(2026, 2, 2, 10, 0, tzinfo=UTC)),
    )
    write_kitchen(out / "kitchen.toml", kitchen)
    joined.join(out / "kitchen.toml", home=home)
    house = load_house(out / "house.toml")
    return {
        "house": {"title": house.title, "rules": len(house), "fingerprint": house.fingerprint},
        "kitchen": {
            "mark": kitchen.mark,
            "name": kitchen.name,
            "version": kitchen.version,
            "profile": kitchen.profile,
            "signed_by": sealed.key_id,
            "rules_fingerprint": kitchen.rules().fingerprint,
        },
        "limits": {name: limits(house[name]) for name in ("ie-store-3", "ie-chill-150", "ie-cook-75")},
    }


def limits(rule: object) -> dict[str, float | None]:
    return {name: getattr(rule, name) for name in ("minimum", "maximum", "minutes")}


def make_books(out: Path, home: Path) -> dict[str, Tally]:
    """Write three people's work; the long book's first half is kept as it was handed in first."""
    draw, tallies = Draw(8), {}
    clock = SetClock(datetime(2026, 2, 9, 8, 0, tzinfo=UTC))
    elva = create("Elva Norrström", home=home, language="Swedish", clock=clock)
    alone = Session(elva, Book(elva.book_path, clock=clock))  # before this machine joined the kitchen
    first = work(alone, clock, days_from(date(2026, 2, 10), 0, 2, 7), ELVA_TASKS[:10], draw)
    shutil.copy(elva.book_path, home / "elva first.book")
    session = start(elva.id, home=home, clock=clock)
    later = days_from(date(2026, 2, 24), 0, 2, 7, 9, 14, 16, 21, 23)
    second = work(session, clock, later, ELVA_TASKS, draw)
    raw = wrong_answer(session.next_variant("water-phase-salt").question, draw)
    session.check("water-phase-salt", raw)
    session.dispute("water-phase-salt", "The card on the wall says the same as I wrote.")
    session.explain(
        "explain-low-finish", "A low finish kills less, so salt, cold and a short life must hold."
    )
    second.attempts += 1
    tallies["long"] = Tally()
    for name in ("attempts", "right", "hints"):
        setattr(tallies["long"], name, getattr(first, name) + getattr(second, name))
    own_words.set_language(elva.folder, "svenska", clock=clock)
    own_words.set_word(elva.folder, "core", "kärna", clock=clock)
    set_pin(elva, PIN)
    shutil.copy(elva.book_path, out / "long.book")
    for name in ("person.toml", "own_words.json"):
        shutil.copy(elva.folder / name, out / name)

    clock.now = datetime(2026, 3, 3, 8, 0, tzinfo=UTC)
    colm = create("Colm Dunphy", home=home, profile="uk", clock=clock)
    alone = Session(colm, Book(colm.book_path, clock=clock))
    tallies["torn"] = work(alone, clock, days_from(date(2026, 3, 3), 0, 1), COLM_TASKS, draw)
    clock.now -= timedelta(hours=3)  # the clock was set back
    alone.check("brine-degrees", right_answer(alone.next_variant("brine-degrees").question))
    tallies["torn"].attempts += 1
    tallies["torn"].right += 1
    alone.hint("clean-in-order")
    (out / "torn.book").write_bytes(colm.book_path.read_bytes()[:-30])  # the hint was being written

    clock.now = datetime(2026, 3, 10, 8, 0, tzinfo=UTC)
    anouk = create("Anouk Verbeke", home=home, clock=clock)
    alone = Session(anouk, Book(anouk.book_path, clock=clock))
    tallies["erased"] = work(alone, clock, days_from(date(2026, 3, 10), 0), ANOUK_TASKS, draw)
    shutil.copy(anouk.book_path, home / "anouk.book")
    return tallies


def photo() -> bytes:
    """Return a grey PNG of 8 × 8 points."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    rows = b"".join(b"\0" + bytes(range(100, 108)) for _ in range(8))
    head = struct.pack(">IIBBBBB", 8, 8, 8, 0, 0, 0, 0)
    parts = (chunk(b"IHDR", head), chunk(b"IDAT", zlib.compress(rows)), chunk(b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(parts)


def log_of_a_cook() -> str:
    """Return a logger's file of an invented batch: up to 76 °C, held, and cooled."""
    lines, begun = ["Time,Core (°C),Cabinet air (°C)"], datetime(2026, 3, 16, 9, 0)
    for step in range(0, 300, 3):
        core = min(76.0, 4.0 + 0.6 * step) if step <= 150 else max(2.0, 76.0 - 0.9 * (step - 150))
        lines.append(f"{begun + timedelta(minutes=step):%Y-%m-%d %H:%M},{core:.1f},{core + 4:.1f}")
    return "\n".join(lines) + "\n"


class Desk:
    """Everybody at the desk of the invented kitchen, and one clock."""

    def __init__(self, records: object, sealed: signing.SealedKey) -> None:
        self.records, self.clock = records, SetClock(datetime(2026, 2, 2, 9, 0, tzinfo=UTC))
        self.manager = staff.begin(records, "Greta Sandholt", self.clock)
        self.tutor = self.enrol("tutor", "Piers Holloway", signing.unseal_key(sealed, PASSWORD))
        other, _code = signing.make_key(PASSWORD, cost=COST)
        self.other = self.enrol("tutor", "Marit Eidem", signing.unseal_key(other, PASSWORD))
        third, _code = signing.make_key(PASSWORD, cost=COST)
        self.verifier = self.enrol("verifier", "Fen Carrow", signing.unseal_key(third, PASSWORD))

    def enrol(self, role: str, name: str, key: signing.Signer) -> staff.Hand:
        person = staff.enrol(self.manager, role, name=name)
        staff.note_assessor(self.manager, person, "Assessor course", date(2026, 1, 12), date(2027, 1, 12))
        staff.add_key(self.manager, person, key.key_id, key.public)
        return replace(self.manager, person=person, key=key)

    def on(self, month: int, day: int, hour: int = 12) -> date:
        self.clock.now = max(
            self.clock.now + timedelta(minutes=1), datetime(2026, month, day, hour, tzinfo=UTC)
        )
        return self.clock.now.date()

    def see(self, who: str, step: str, points: dict[str, str], **more: object) -> None:
        facts = {"batch": f"{step[:3].upper()}-{self.clock.now:%d%m}", "declared": True} | more
        observe(self.tutor, Observation(who, step, self.clock.now.date(), points, **facts))

    def decide(self, who: str, criterion: str, decision: str, reason: str) -> int:
        return decide(self.tutor, who, criterion, decision, reason).number


def make_records(out: Path, home: Path, scratch: Path, sealed: signing.SealedKey) -> dict[str, object]:
    """Tell the desk's story into records, and write down what they show at the end."""
    records = open_records(home / "tutor" / "records.db")
    desk = Desk(records, sealed)
    elva, colm = (read(out / f"{name}.book").header.person for name in ("long", "torn"))
    anouk = read(home / "anouk.book").header.person
    taken: dict[str, object] = {}

    def take(path: Path, name: str) -> None:
        found = take_in(records, [path], now=desk.clock.now).books[0]
        taken[name] = {
            "lines": found.new_lines,
            "answers": found.answers,
            "right": found.right,
            "flags": sorted(flag.kind for flag in found.flags),
        }

    desk.on(2, 20)
    take(home / "elva first.book", "long, first half")
    for person in (elva, colm, anouk):
        if person == elva:
            staff.enrol(desk.manager, "apprentice", person=person)
        else:
            name = "Colm Dunphy" if person == colm else "Anouk Verbeke"
            staff.enrol(desk.manager, "apprentice", person=person, name=name)
    staff.note(desk.tutor, elva, "adjustment", "Cards are read to her first.", agreed=["read aloud"])
    (scratch / "rack.png").write_bytes(photo())
    (scratch / "cook 16 March.csv").write_text(log_of_a_cook(), encoding="utf-8")
    cook = {"COK-P01": "met", "COK-P03": "met"}
    desk.on(3, 16)
    seen = attach(desk.tutor, scratch / "rack.png", elva, "photo")
    log = attach(desk.tutor, scratch / "cook 16 March.csv", elva, "logger")
    desk.see(
        elva, "cook", cook, files=[seen.sha256, log.sha256], verdicts=log.verdicts,
        measures={"core_temp_c": 76.0}, asked=[("Why the thickest fillet?", "It is the last to warm.", True)],
        supports=["read aloud"], notes="Probed the thickest fillet unasked.",
    )  # fmt: skip
    desk.on(3, 18)
    desk.see(elva, "cook", cook)
    desk.see(colm, "wood_smoke", {"WDS-P02": "not met"})
    desk.see(colm, "cleaning", {"CLN-P01": "not met"})
    desk.on(3, 23)
    desk.see(elva, "cook", {"COK-P01": "met"})
    desk.see(elva, "trim_pinbone", {"TPB-P06": "met", "TPB-P04": "met"})
    desk.on(3, 24)
    desk.see(elva, "trim_pinbone", {"TPB-P06": "met"})
    correct(desk.tutor, "COO-2303", "The door stood open.", "Held, and cooked on.", day=desk.clock.now.date())
    desk.on(4, 7)
    take(out / "long.book", "long")
    take(out / "torn.book", "torn")
    take(home / "anouk.book", "erased")
    desk.on(4, 8)
    core = desk.decide(elva, "COK-P01", "competent", "Seen on 3 batches; the log fits.")
    desk.decide(elva, "COK-P03", "competent", "Probes the thickest fillet.")
    bones = desk.decide(elva, "TPB-P06", "competent", "Found every bone that was laid in.")
    desk.decide(elva, "COK-K02", "competent", "Right first time on several days.")
    wood = desk.decide(colm, "WDS-P02", "not yet competent", "The air inlet was forgotten.")
    clean = desk.decide(colm, "CLN-P01", "not yet competent", "The drain was left out.")
    desk.on(4, 9)
    verify(desk.verifier, core, True, "Read the three sheets and the log.")
    verify(desk.verifier, bones, False, "The sheet of the second tray is missing.")
    appeal(desk.other, wood, "He says the card of that day was wrong.")
    opened = appeal(desk.other, clean, "She says the late shift does the drain.")
    settle(desk.other, opened.number, "stands", "The list of the early shift names it.")
    bring_in(
        desk.tutor, colm, "HAS-P03", day=date(2025, 9, 3), who="The head chef of then", paper="Folder 2",
        reason="Signed sheet seen.",
    )  # fmt: skip
    disputed = next(entry.n + 1 for entry in read(out / "long.book").entries if entry.what == "dispute")
    look_at(desk.tutor, elva, "dispute", disputed, "mark stands", "The card was for dry salting.")
    desk.on(4, 10)
    attach(desk.tutor, write(scratch / "hands.png", photo() + b"1"), anouk, "photo")
    staff.note(desk.tutor, anouk, "hours", hours=12)
    staff.leave(desk.manager, anouk, "apprentice", "Moved away.")
    staff.leave(desk.manager, colm, "apprentice", "Ill.")
    staff.retire_key(desk.manager, desk.other.key.key_id, "The laptop was lost.")
    desk.on(4, 20)
    staff.come_back(desk.manager, colm, "apprentice")
    erased = erase_person(desk.manager, anouk, "Asked in writing.")
    facts = {"taken in": taken, "erased": {"person": anouk, "act": erased.act.number}}
    facts |= written_down(records, {"long": elva, "torn": colm, "erased": anouk})
    made = backup(records, out / "records.backup", now=LOOKED_AT)
    facts["backup"] = {"files": made.files, "rows": dict(made.rows), "change": made.change}
    with records.engine.connect() as connection:
        connection.execute(text("PRAGMA wal_checkpoint(TRUNCATE)"))
    records.close()
    shutil.copy(home / "tutor" / "records.db", out / "records.sqlite")
    shutil.copytree(home / "tutor" / "evidence", out / "evidence")
    return facts


def write(path: Path, data: bytes) -> Path:
    path.write_bytes(data)
    return path


def written_down(records: object, people: dict[str, str]) -> dict[str, object]:
    """Return what the records show on a day, as plain values."""
    found = board(records, now=LOOKED_AT)
    chain, kept = check_chain(records), check_files(records)
    assert chain.whole and kept.whole
    with records.reading() as connection:
        kinds = [act.kind for act in acts.read(connection)]
        count = connection.execute(
            text("select count(*), sum(verdict = 'right'), sum(counts) from marks")
        ).one()
    serving = Syllabus().evidence
    return {
        "chain": {"acts": chain.acts, "head": chain.head.hash, "kinds": kinds},
        "marks": {"all": count[0], "right": count[1], "counted": count[2]},
        "evidence": {"kept": sorted(kept.kept), "erased": sorted(kept.erased)},
        "tried": {name: list(serving[name]) for name in sorted({*ELVA_TASKS, *COLM_TASKS, *ANOUK_TASKS})},
        "people": {
            name: next(
                {
                    "person": person.person_id,
                    "name": person.name,
                    "answers": person.answers,
                    "flags": person.flags,
                    "disputes": person.disputes,
                    "explanations": person.explanations,
                    "standings": standings(found, person),
                    "decisions": decisions(found, person),
                }
                for person in found.people
                if person.person_id == who
            )
            for name, who in people.items()
        },
        "crew": {
            member.name: {"roles": list(member.roles), "ever": list(member.ever)}
            for member in staff.members(records)
        },
    }


def standings(found: object, person: object) -> dict[str, object]:
    cells = found.cells.get(person.key, {})
    return {
        criterion: {
            "held": cell.held,
            "days_right": cell.days_right,
            "days_needed": cell.days_needed,
            "tries": cell.tries,
            "last_day": cell.last_day.isoformat() if cell.last_day else None,
        }
        for criterion, cell in sorted(cells.items())
    }


def decisions(found: object, person: object) -> dict[str, object]:
    return {
        criterion: {
            "act": one.act,
            "state": one.state,
            "decision": one.decision,
            "day": one.day.isoformat(),
            "review_on": one.review_on.isoformat() if one.review_on else None,
            "by": one.by,
            "second": one.second,
            "appeal": one.appeal,
        }
        for criterion, one in sorted(found.decided.get(person.person_id, {}).items())
    }


def book_facts(path: Path, tally: Tally) -> dict[str, object]:
    """Return what a book holds. The counts of the tally were taken as the answers were given."""
    reading = read(path)
    kinds = [entry.what for entry in reading.entries]
    assert kinds.count("attempt") == tally.attempts
    assert (
        sum(entry.verdict == "right" for entry in reading.entries if entry.what == "attempt") == tally.right
    )
    return {
        "person": reading.header.person,
        "name": reading.header.name,
        "kinds": {kind: kinds.count(kind) for kind in sorted(set(kinds))},
        "attempts": tally.attempts,
        "right": tally.right,
        "torn": reading.torn,
        "last_hash": reading.last_hash,
        "under_the_kitchen": sum(bool(entry.kitchen) for entry in reading.entries),
    }


def main(out: Path) -> None:
    assert __version__ == "0.1.0"
    out.mkdir(parents=True)
    with tempfile.TemporaryDirectory() as folder:
        scratch, home = Path(folder), Path(folder) / "home"
        os.environ["SMOKEHOUSE_HOME"] = str(home)
        home.mkdir()
        sealed, code = make_key(out)
        facts: dict[str, object] = {
            "version": __version__,
            "commit": COMMIT,
            "looked_at": LOOKED_AT.isoformat(),
            "key": {
                "key_id": sealed.key_id,
                "public": sealed.public,
                "recovery_code": code,
                "message": "signed off",
                "signature": signing.unseal_key(sealed, PASSWORD).sign(b"signed off"),
            },
        }
        facts |= make_rules(out, sealed, home)
        tallies = make_books(out, home)
        facts["books"] = {name: book_facts(out / f"{name}.book", tallies[name]) for name in ("long", "torn")}
        facts |= make_records(out, home, scratch, sealed)
    facts["files"] = {
        path.relative_to(out).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(out.rglob("*"))
        if path.is_file()
    }
    (out / "facts.json").write_text(json.dumps(facts, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
