"""The demo's second half: who runs the invented smokehouse, what they saw at work, and what they decided.

Everybody here is invented, and so is every batch. Their keys are weakly sealed on purpose: they protect
nothing, and the demo must be quick.
"""

import atexit
import tempfile
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from kit.cli.demo.crew import DEMO_CREW, fixed_id, make_crew
from kit.files import signing
from kit.records import Records, open_records, take_in
from kit.records.competence.deciding import appeal, bring_in, decide, settle, verify
from kit.records.competence.observations import Observation, observe
from kit.records.ledger import acts
from kit.records.ledger.acts import Act
from kit.records.people import staff
from kit.records.people.keys import add_key
from kit.records.people.staff import Hand, note

PASSWORD = "smoke and patience"
"""Opens every key of the demo. It is printed when the demo is kept."""
TUTOR, OTHER, VERIFIER, MANAGER = "Osric Vane", "Wilma Tack", "Ines Roald", "Hedda Quill"
NOT_TAKEN_ON = "Callum Baird"
A_DAY = datetime(2026, 3, 2, 16, 0, tzinfo=UTC)
"""When the story ends, if nobody asks for another day."""
_WEEKS = 5
_SEALED_AT = 2**14  # the least that the kit allows


@dataclass
class Room:
    """Everybody at the desk, one clock for all, and the apprentices by name."""

    manager: Hand
    tutor: Hand
    other: Hand
    verifier: Hand
    ids: dict[str, str]
    clock: Callable[[int, int], date]

    def see(self, day: int, name: str, step: str, points: dict[str, str], **more: object) -> Act:
        """Record an observation of so many days ago. Days must come in order: nothing is dated back."""
        on = self.clock(day, 10)
        facts: dict[str, object] = {"batch": f"{step[:1].upper()}-{on:%d%m}", "declared": True}
        facts |= more
        return observe(self.tutor, Observation(self.ids[name], step, on, points, **facts))  # type: ignore[arg-type]

    def decide(self, day: int, name: str, criterion: str, decision: str, reason: str) -> Act:
        """Record a decision of so many days ago."""
        self.clock(day, 15)
        return decide(self.tutor, self.ids[name], criterion, decision, reason)


def make_desk(records: Records, until: datetime, keys: Path | None = None) -> Room:
    """Take on the invented smokehouse's people, and let them observe, decide, sign and appeal.

    Parameters
    ----------
    records : Records
        Records into which the crew's books were taken.
    until : datetime
        The last moment of the story, with a zone; it began five weeks before.
    keys : Path, optional
        Where to write the sealed keys. Without it they live in memory only.
    """
    room = _people(records, until, keys)
    _notes(room)
    _at_work(room)
    _decided(room)
    return room


def invented_records(home: Path | None = None, until: datetime = A_DAY) -> Records:
    """Return the records of the invented smokehouse: the same for the same day, but for salts and keys.

    Parameters
    ----------
    home : Path, optional
        An empty folder for the crew's books and the records. Default: one that goes when Python ends.
    until : datetime
        The last moment of the story, with a zone.
    """
    if home is None:
        made = tempfile.TemporaryDirectory(ignore_cleanup_errors=True)
        atexit.register(made.cleanup)
        home = Path(made.name)
    books = make_crew(home, until)
    records = open_records(home / "tutor" / "records.db")
    take_in(records, books, now=until)
    make_desk(records, until)
    return records


def _people(records: Records, until: datetime, keys: Path | None) -> Room:
    began = until - timedelta(weeks=_WEEKS)
    now = [began]

    def clock(days_ago: int, hour: int) -> date:
        wanted = (until - timedelta(days=days_ago)).replace(hour=hour, minute=0, second=0, microsecond=0)
        now[0] = min(max(now[0] + timedelta(minutes=5), wanted), until)
        return now[0].astimezone().date()

    manager = staff.begin(records, MANAGER, lambda: now[0], _new_key(keys))
    on_file = {member.name: member.person for member in staff.members(records)}
    hands = {}
    for name, role in ((TUTOR, "tutor"), (OTHER, "tutor"), (VERIFIER, "verifier")):
        person = staff.take_on(manager, role, name=name, person=fixed_id("s", name))
        today = began.date()
        staff.note_assessor(manager, person, "Assessor course", today, today + timedelta(days=720))
        hands[name] = _with_key(replace(manager, person=person), manager, keys)
    ids = {manner.name: on_file[manner.name] for manner in DEMO_CREW}
    for name, person in ids.items():
        if name != NOT_TAKEN_ON:
            staff.take_on(manager, "apprentice", person=person)
    return Room(manager, hands[TUTOR], hands[OTHER], hands[VERIFIER], ids, clock)


def _with_key(hand: Hand, manager: Hand, keys: Path | None) -> Hand:
    key = _new_key(keys)
    add_key(manager, hand.person, key.key_id, key.public)
    return replace(hand, key=key)


def _new_key(keys: Path | None) -> signing.Signer:
    if keys is None:
        return signing.Signer(Ed25519PrivateKey.generate())
    sealed, _code = signing.make_key(PASSWORD, cost=_SEALED_AT)
    signing.write_key(keys / f"{sealed.key_id}.json", sealed)
    return signing.unseal_key(sealed, PASSWORD)


def _notes(room: Room) -> None:
    def write(name: str, days_ago: int, topic: str, text: str = "", **facts: object) -> None:
        note(room.tutor, room.ids[name], topic, text, day=room.clock(days_ago, 9).isoformat(), **facts)

    for name in ("Eithne Corrigan", "Tomasz Wilk", "Niamh Shevlin", "Linh Pham"):
        write(name, 34, "induction", "Walked the floor, doors and alarm shown.")
        write(name, 34, "version taught", version="card set 3, Irish rules")
    agreed = "Agreed with her: cards are read to her first."
    write("Niamh Shevlin", 33, "adjustment", agreed, agreed=["read aloud", "extra time"])
    agreed = "Her sister may interpret. Words of the trade stay in English."
    write("Linh Pham", 33, "adjustment", agreed, agreed=["interpreter"])
    write("Eithne Corrigan", 30, "hours", hours=24)
    write("Tomasz Wilk", 30, "hours", hours=16)
    write("Eithne Corrigan", 28, "hours", hours=30)


def _at_work(room: Room) -> None:
    met = {"COK-P01": "met", "COK-P02": "met", "COK-P03": "met"}
    cook = {"measures": {"core_temp_c": 72.4}, "notes": "Probed the thickest fillet without being told."}
    room.see(26, "Eithne Corrigan", "cook", met, **cook)
    room.see(19, "Eithne Corrigan", "cook", met, **cook)
    room.see(18, "Eithne Corrigan", "cook", {"COK-K01": "met"}, method="oral check", batch="")
    room.see(17, "Tomasz Wilk", "wood_smoke", {"WDS-P01": "met", "WDS-P02": "met"})
    room.see(16, "Marisol Ibarra", "trim_pinbone", {"TPB-P04": "met", "TPB-P06": "met"})
    room.see(15, "Niamh Shevlin", "cleaning", {"CLN-P01": "met"}, supports=["read aloud"])
    room.see(13, "Linh Pham", "pellicle", {"PEL-P02": "met", "PEL-P03": "met"}, supports=["interpreter"])
    room.see(12, "Eithne Corrigan", "cook", met, **cook)
    room.see(10, "Tomasz Wilk", "wood_smoke", {"WDS-P01": "met", "WDS-P02": "not met"})
    room.see(9, "Marisol Ibarra", "trim_pinbone", {"TPB-P04": "met", "TPB-P06": "met"})
    room.see(9, "Linh Pham", "pellicle", {"PEL-P02": "met"}, supports=["interpreter"])
    room.see(8, "Niamh Shevlin", "cleaning", {"CLN-P01": "not met"}, supports=["read aloud"])


def _decided(room: Room) -> None:
    seen = "Seen on 3 batches; told her what was good and what to watch."
    first = room.decide(7, "Eithne Corrigan", "COK-P01", "competent", seen)
    room.decide(7, "Eithne Corrigan", "COK-P02", "competent", seen)
    bones = room.decide(6, "Marisol Ibarra", "TPB-P04", "competent", "Two trays, no tears, no bone found.")
    room.decide(6, "Marisol Ibarra", "TPB-P06", "competent", "Found every bone that was laid in.")
    wood = room.decide(5, "Tomasz Wilk", "WDS-P02", "not yet competent", "The air inlet was forgotten.")
    clean = room.decide(5, "Niamh Shevlin", "CLN-P01", "not yet competent", "The drain was left out.")
    room.clock(4, 9)
    verify(room.verifier, first.number, True, "Read the three sheets and the log of the last batch.")
    verify(room.verifier, bones.number, False, "The sheet of the second tray has no weight.")
    room.clock(4, 13)
    appeal(room.other, wood.number, "He says: the inlet was shut on the card of that day.")
    settle(room.other, _last_appeal(room), "stands", "The card of that day says: open by a third.")
    appeal(room.other, clean.number, "She says: the drain is on the list of the late shift.")
    today = room.clock(3, 11)
    for name, days_ago in (("Oskar Lindqvist", 345), ("Gwen Pritchard", 380)):
        old = bring_in(
            room.tutor,
            room.ids[name],
            "HAS-P03",
            day=today - timedelta(days=days_ago),
            who="The head chef of then",
            paper="Folder 3",
            reason="Signed sheet from before, seen.",
        )
        verify(room.verifier, old.number, True, "Saw the paper sheet.")


def _last_appeal(room: Room) -> int:
    with room.tutor.records.reading() as connection:
        return list(acts.read(connection, kind="appealed"))[-1].number


def a_moment_ago() -> datetime:
    """Return now, less two hours: the demo's last act must not lie ahead of the first real one."""
    return datetime.now(UTC) - timedelta(hours=2)
