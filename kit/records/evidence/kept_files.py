"""Files kept as evidence: photos, logger files, weights, scanned papers.

A file is named by its SHA-256, beside the records: ``evidence/ab/ab12…``. The chain holds only that hash and
whom it is about; the name the file had stands apart and can be erased. The same content is kept once.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, get_args

from sqlalchemy import Connection, insert, select, update

from kit.basics.atomic_files import make_private_folder, write_private
from kit.basics.errors import BadData, UnknownName
from kit.basics.given_files import read_given
from kit.files.refusals import disk_reason
from kit.records.evidence import file_type, photographs
from kit.records.ledger import acts, texts
from kit.records.ledger.acts import Draft
from kit.records.ledger.erased import why_gone
from kit.records.people.staff import Hand, all_names, check_may, write
from kit.records.storage import schema
from kit.records.storage.store import DiskTrouble, Records
from kit.rules import Profile

if TYPE_CHECKING:
    from kit.logs.checking import LogCheck

Kind = Literal["photo", "logger", "weights", "paper"]
KINDS: tuple[Kind, ...] = get_args(Kind)
LARGEST_BYTES = 50 * 1024 * 1024
_TAKES = {
    "photo": file_type.PHOTOS,
    "logger": file_type.TEXTS,
    "weights": file_type.PHOTOS | file_type.TEXTS | {file_type.XLSX, "application/pdf"},
    "paper": file_type.PHOTOS | {file_type.XLSX, "application/pdf"},
}
_A_HASH = re.compile(r"[0-9a-f]{64}")


@dataclass(frozen=True)
class Attached:
    """A file that is kept: its hash, what it is, and what was found in it.

    ``new`` is false if this file was attached for this person before. ``verdicts`` are those on a logger's
    file, as plain data: put them in ``Observation.verdicts``; ``verdicts_on`` gives them again. ``says`` is
    for the person who attached it.
    """

    sha256: str
    media_type: str
    size: int
    new: bool
    verdicts: tuple[dict[str, Any], ...] = ()
    says: tuple[str, ...] = ()


@dataclass(frozen=True)
class FilesReport:
    """What a check of the kept files found, by hash.

    ``kept`` are whole. ``missing`` and ``changed`` are losses. ``erased`` went on purpose; ``not_erased``
    should have gone but are still there. ``stray`` are files in the folder that the records do not know.
    """

    kept: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()
    changed: tuple[str, ...] = ()
    erased: tuple[str, ...] = ()
    not_erased: tuple[str, ...] = ()
    stray: tuple[str, ...] = ()

    @property
    def whole(self) -> bool:
        """Whether every file is there as it was kept, and every erased one is gone."""
        return not (self.missing or self.changed or self.not_erased)


def attach(
    hand: Hand,
    path: str | Path,
    person: str,
    kind: Kind = "photo",
    rules: Profile | str | None = None,
    *,
    strip_place: bool = False,
    name: str = "",
    **judged_how: Any,
) -> Attached:
    """Keep a file as evidence about a person and return what it is and what it shows.

    Parameters
    ----------
    hand : Hand
        Who attaches it.
    path : str or Path
        The file. It stays where it is; a copy is kept.
    person : str
        The id of the person it is about.
    kind : str
        ``photo``, ``logger``, ``weights`` or ``paper``.
    rules : Profile or str, optional
        The rules for a logger's file. Default: those of the kitchen this machine joined, else ``ie``.
    strip_place : bool
        Take the place out of a photo before it is kept; the picture is not encoded again.
    name : str
        What the file was called, if its name now is another.
    **judged_how
        How a logger's file is read and judged: see ``check_log``. Why doubtful readings count all the same
        (``confirmed``) is kept with the file.

    Raises
    ------
    NotAllowed
        If the hand may not attach evidence.
    BadData, UnknownName
        If the file is too large, of no allowed type, not what its name says, or a logger's file that cannot
        be read; if the person is unknown or was erased.
    DiskTrouble
        If the disk refuses. Nothing is recorded then.
    """
    called = name or Path(path).name
    data, media, says = examined(path, kind, strip_place=strip_place, name=called)
    verdicts: tuple[dict[str, Any], ...] = ()
    sha, why = hashlib.sha256(data).hexdigest(), ""
    if kind == "logger":
        checked = _judge(data, called, rules, judged_how)
        verdicts, says = _as_facts(checked, sha), says + checked.says
        why = checked.confirmed if checked.log.doubts else ""
    with hand.records.writing() as connection:
        check_may(connection, hand, "attached")
        _check_person(connection, person)
        _keep_bytes(hand.records, sha, data)
        _keep_row(connection, sha, media, len(data), hand.clock())
        new = _is_new(connection, person, sha, verdicts)
        if new:
            said = texts.keep(connection, called[:200], person)
            facts = {"kind": kind, "files": [sha], "name": said, "verdicts": list(verdicts)}
            facts["kept"] = _kept_row(connection, sha)
            if why:
                facts["despite"] = texts.keep(connection, why, person)
            write(connection, hand, Draft("attached", hand.person, person, facts=facts))
    return Attached(sha, media, len(data), new, verdicts, says)


def examined(
    path: str | Path, kind: Kind, *, strip_place: bool = False, name: str = ""
) -> tuple[bytes, str, tuple[str, ...]]:
    """Return the bytes of a file that may be evidence, its type, and what to say of it. Nothing is kept.

    Raises
    ------
    BadData, UnknownName
        As ``attach``.
    """
    file, called = Path(path), name or Path(path).name
    if kind not in KINDS:
        raise UnknownName("kind of evidence", kind, KINDS)
    data = read_given(file, _expected(kind), LARGEST_BYTES)
    media = file_type.media_type(data, called)
    if media not in _TAKES[kind]:
        raise BadData(called, f"a file of the type {media} is no {kind}", _expected(kind))
    data, says = _look_at_place(data, media, called, strip_place)
    return data, media, says


def verdicts_on(records: Records, files: Iterable[str]) -> tuple[dict[str, Any], ...]:
    """Return the verdicts that were given on these files, by hash, when they were last attached."""
    found: dict[str, list[dict[str, Any]]] = {}
    with records.reading() as connection:
        for act in acts.read(connection, kind="attached"):
            if act.facts["verdicts"]:
                found.update(dict.fromkeys(act.facts["files"], act.facts["verdicts"]))
    return tuple(verdict for sha in files for verdict in found.get(sha, []))


def path_of(records: Records, sha: str) -> Path:
    """Return where a kept file lies.

    Raises
    ------
    BadData
        If ``sha`` is no SHA-256 in lower-case hex.
    """
    if not _A_HASH.fullmatch(sha):
        raise BadData(repr(sha[:80]), "this is no SHA-256", "64 digits of 0-9 and a-f")
    return folder_of(records.path) / sha[:2] / sha


def folder_of(records_file: Path) -> Path:
    """Return the folder of kept files that belongs to a records file.

    Examples
    --------
    >>> folder_of(Path("tutor/records.db")).name
    'evidence'
    """
    return records_file.parent / "evidence"


def stored(folder: Path) -> Iterator[tuple[str, Path]]:
    """Yield the hash and place of every file in an evidence folder; drafts are passed over."""
    for place in sorted(folder.glob("[0-9a-f][0-9a-f]/*")):
        if _A_HASH.fullmatch(place.name) and place.parent.name == place.name[:2]:
            yield place.name, place


def hash_of(path: Path) -> str:
    """Return the SHA-256 of a file."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def check_files(records: Records) -> FilesReport:
    """Look at every kept file: is it there, and does it still have its hash?"""
    kept = schema.files.c
    with records.reading() as connection:
        rows = connection.execute(select(kept.sha256, kept.erased_at).order_by(kept.sha256)).all()
    found: dict[str, list[str]] = {name: [] for name in FilesReport.__dataclass_fields__}
    for sha, erased_at in rows:
        if not _A_HASH.fullmatch(sha):  # somebody changed the row
            found["missing"].append(sha)
            continue
        place = path_of(records, sha)
        if erased_at is not None:
            found["not_erased" if place.exists() else "erased"].append(sha)
        elif not place.exists():
            found["missing"].append(sha)
        else:
            found["kept" if hash_of(place) == sha else "changed"].append(sha)
    known = {sha for sha, _ in rows}
    found["stray"] = [sha for sha, _ in stored(folder_of(records.path)) if sha not in known]
    return FilesReport(**{name: tuple(each) for name, each in found.items()})


def types_of(connection: Connection) -> dict[str, tuple[str, bool]]:
    """Return for the hash of every file that was ever kept what it is, and whether it was erased."""
    kept = schema.files.c
    rows = connection.execute(select(kept.sha256, kept.media_type, kept.erased_at))
    return {row.sha256: (row.media_type, row.erased_at is not None) for row in rows}


def files_about(connection: Connection, person: str | None = None) -> dict[str, set[str]]:
    """Return, for each person id or for one, the hashes of the files that acts about them refer to."""
    found: dict[str, set[str]] = {}
    for kind in ("attached", "observed", "decided"):
        for act in acts.read(connection, kind=kind, person=person):
            if act.person and isinstance(act.facts, dict) and isinstance(act.facts.get("files"), list):
                found.setdefault(act.person, set()).update(act.facts["files"])
    return found


def _is_new(connection: Connection, person: str, sha: str, verdicts: tuple[dict[str, Any], ...]) -> bool:
    """Whether this file was not attached for this person yet, or a logger's file under other rules."""
    told = [
        act.facts["verdicts"]
        for act in acts.read(connection, kind="attached", person=person)
        if sha in act.facts["files"]
    ]
    return not told or bool(verdicts and told[-1] != list(verdicts))


def _expected(kind: Kind) -> str:
    if kind == "logger":
        return "the logger's export as CSV or text"
    return ", ".join(end for end, media in file_type.ENDINGS.items() if media in _TAKES[kind])


def _look_at_place(data: bytes, media: str, name: str, strip: bool) -> tuple[bytes, tuple[str, ...]]:
    if media not in file_type.PHOTOS:
        return data, ()
    image = photographs.opened(data, media, name)
    if not photographs.holds_place(data, image):
        return data, ()
    if not strip:
        return data, ("This photo says in its data where it was taken. --strip-place takes that out.",)
    clean = photographs.without_place(data, image, media, name)
    says = "The place was taken out of the copy that is kept. Your own file still holds it."
    return clean, (says, photographs.KEPT)


def _judge(data: bytes, name: str, rules: Profile | str | None, judged_how: Mapping[str, Any]) -> LogCheck:
    from kit.files.joined_kitchen import rules_in_force
    from kit.logs.checking import check_log

    profile = rules if isinstance(rules, Profile) else rules_in_force(rules)
    return check_log(data, profile, name=name, **judged_how)


def _as_facts(checked: LogCheck, sha: str) -> tuple[dict[str, Any], ...]:
    from kit.logs.checking import as_facts

    profile = checked.profile
    shared = {"file": sha, "profile": profile.id, "profile_fingerprint": profile.fingerprint}
    return tuple(as_facts(each) | shared for each in checked.verdicts if not each.for_person)


def _check_person(connection: Connection, person: str) -> None:
    known = all_names(connection)
    if person not in known:
        raise UnknownName("person", person, sorted(known)[:20])
    gone = why_gone(connection, person)
    if gone:
        raise BadData(person, gone.rstrip("."))


def _keep_bytes(records: Records, sha: str, data: bytes) -> None:
    place = path_of(records, sha)
    with disk_said_plainly(place):
        if place.exists() and hash_of(place) == sha:
            return
        make_private_folder(place.parent)
        write_private(place, data)


def _kept_row(connection: Connection, sha: str) -> list[Any]:
    """Return what an act says of a kept file, so that a change of its row shows: type, size, since when."""
    kept = schema.files.c
    row = connection.execute(select(kept.media_type, kept.size, kept.kept_at).where(kept.sha256 == sha)).one()
    return [row.media_type, row.size, row.kept_at.isoformat()]


def _keep_row(connection: Connection, sha: str, media: str, size: int, now: datetime) -> None:
    files = schema.files
    row = connection.execute(select(files.c.erased_at).where(files.c.sha256 == sha)).one_or_none()
    if row is None:
        connection.execute(insert(files).values(sha256=sha, media_type=media, size=size, kept_at=now))
    elif row.erased_at is not None:  # it went with one person and comes back about another
        again = update(files).where(files.c.sha256 == sha)
        connection.execute(again.values(media_type=media, size=size, kept_at=now, erased_at=None))


@contextmanager
def disk_said_plainly(place: Path) -> Iterator[None]:
    """Turn what the operating system says into DiskTrouble."""
    try:
        yield
    except OSError as error:
        reason, advice = disk_reason(error)
        raise DiskTrouble(f"{place}: {reason}. Nothing of this step was recorded. {advice}".strip()) from None
