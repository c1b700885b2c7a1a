"""The backup file: a zip with the records, the evidence, and a manifest that tells what must be in it.

Every part has its SHA-256 in the manifest, and the manifest has one of itself. So damage anywhere is found
before anything is put back. Anybody can reckon a hash anew: who made the backup may sign the manifest.
"""

from __future__ import annotations

import hashlib
import json
import os
import re
import shutil
import zipfile
import zlib
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import IO, Any

from kit.basics.atomic_files import create_private, make_private_folder
from kit.basics.data_files import Moment, build, json_of
from kit.basics.errors import BadData
from kit.basics.given_files import open_given
from kit.files.signing import KeyHex, Signer, check, key_id_of
from kit.records.evidence.kept_files import LARGEST_BYTES
from kit.records.ledger.acts import LedgerHead

TITLE, FORMAT = "records backup", 2
DATABASE, MANIFEST = "records.db", "manifest.json"
EVIDENCE = re.compile(r"evidence/([0-9a-f]{2})/(\1[0-9a-f]{62})")
_LARGEST_MANIFEST = 64 * 1024 * 1024
LARGEST_DATABASE = 8 * 1024**3
"""The largest database that is unpacked: about 100 times that of 1,000 people. Ours. [bytes]"""
_CHUNK = 1024 * 1024
_AGAIN = "Use another copy."


@dataclass(frozen=True)
class ManifestSignature:
    """Who signed a manifest: the id, the name, the public half of the key, and the signature in hex."""

    person: str
    name: str
    public: KeyHex
    signature: str

    @property
    def key_id(self) -> str:
        """The short name of the key."""
        return key_id_of(self.public)


@dataclass(frozen=True)
class Backup:
    """What is in a backup, as its manifest says.

    ``change`` is the number of the last change to the tables, ``parts`` the SHA-256 of each part by its name.
    ``problems`` were there when the backup was made: kept files that were missing or changed, or a chain that
    did not check.
    """

    path: Path
    kit_version: str
    made_at: Moment
    change: str
    head: LedgerHead
    rows: Mapping[str, int]
    parts: Mapping[str, str]
    problems: tuple[str, ...] = ()
    signed: ManifestSignature | None = None

    @property
    def files(self) -> int:
        """How many files of evidence it holds."""
        return len(self.parts) - 1


def manifest_of(made: Backup) -> bytes:
    """Return the manifest as it is written: JSON, with the SHA-256 of itself at the end."""
    facts = _facts(made)
    signed = {} if made.signed is None else {"signed": asdict(made.signed)}
    return json.dumps(facts | signed | {"sha256": _seal(facts)}, indent=1).encode("ascii")


def signed_by(made: Backup, person: str, name: str, key: Signer) -> Backup:
    """Return a backup whose manifest is signed, over every part of it and over who signs."""
    unsigned = ManifestSignature(person, name, key.public, "")
    signature = key.sign(_to_sign(made, unsigned))
    return replace(made, signed=replace(unsigned, signature=signature))


def signature_fits(made: Backup) -> bool:
    """Return whether the signature of a manifest is over just this manifest; False if nobody signed it."""
    signed = made.signed
    return signed is not None and check(signed.public, _to_sign(made, signed), signed.signature)


def _to_sign(made: Backup, signed: ManifestSignature) -> bytes:
    facts = {**_facts(made), "format": FORMAT}
    return "\0".join((TITLE, _seal(facts), signed.person, signed.name)).encode()


def _facts(made: Backup) -> dict[str, Any]:
    return {
        "title": TITLE,
        "format": FORMAT if made.signed is not None else 1,
        "kit_version": made.kit_version,
        "made_at": made.made_at.isoformat(),
        "change": made.change,
        "head": {"number": made.head.number, "hash": made.head.hash},
        "rows": dict(made.rows),
        "parts": dict(made.parts),
        "problems": list(made.problems),
    }


def read_manifest(data: bytes, path: Path) -> Backup:
    """Return what a manifest says.

    Raises
    ------
    BadData
        If it is damaged, not ours, or written by a newer kit.
    """
    try:
        facts = json_of(data, str(path))
    except BadData:
        raise damaged(path, "its manifest cannot be read") from None
    if facts.pop("title", None) != TITLE:
        raise BadData(str(path), "this is no backup of the records", "a file made by `smokehouse backup`")
    form = facts.pop("format", None)
    if isinstance(form, int) and form > FORMAT:
        raise BadData(
            str(path),
            f"it was made by a newer kit ({facts.get('kit_version')})",
            f"a backup of format {FORMAT}",
            "Update the kit on this machine, then try again.",
        )
    signed = {"signed": facts.pop("signed")} if "signed" in facts else {}
    if facts.pop("sha256", None) != _seal({"title": TITLE, "format": form, **facts}):
        raise damaged(path, "its manifest was changed")
    made = build(Backup, {**facts, **signed, "path": path}, str(path))
    if made.signed is not None and not signature_fits(made):
        raise damaged(path, "its signature does not fit its manifest")
    return made


def write(
    draft: Path,
    database: Path,
    evidence: Iterable[tuple[str, bytes]],
    manifest: Callable[[dict[str, str]], Backup],
) -> Backup:
    """Write a backup to ``draft``, fsynced, and return what it holds.

    ``evidence`` gives hash and content of each file; ``manifest`` is told the hash of every part.
    """
    with create_private(draft) as raw:
        parts: dict[str, str] = {}
        with zipfile.ZipFile(raw, "w") as archive:
            with (
                database.open("rb") as source,
                archive.open(_entry(DATABASE, True), "w", force_zip64=True) as to,
            ):
                parts[DATABASE] = _copy(source, to)
            for sha, data in evidence:
                name = f"evidence/{sha[:2]}/{sha}"
                archive.writestr(_entry(name, False), data)
                parts[name] = sha
            made = manifest(parts)
            archive.writestr(_entry(MANIFEST, True), manifest_of(made))
        raw.flush()
        os.fsync(raw.fileno())
    return made


def unpack(path: Path, folder: Path, *, evidence: bool) -> Backup:
    """Read a whole backup, compare every part with its hash, and lay the parts into ``folder``.

    Parameters
    ----------
    path : Path
        The backup.
    folder : Path
        Where the database goes, and the evidence if it is wanted.
    evidence : bool
        Whether to lay the evidence there too. It is compared in any case.

    Raises
    ------
    BadData
        If the file is missing, damaged or no backup, a part is missing, changed or not in the manifest.
    """
    with _opened(path) as archive, _reading(path):
        names = archive.namelist()
        if MANIFEST not in names or archive.getinfo(MANIFEST).file_size > _LARGEST_MANIFEST:
            raise BadData(str(path), "this is no backup of the records", "a file made by `smokehouse backup`")
        with _reading(path, MANIFEST):
            told = read_manifest(_part(archive, MANIFEST).read(), path)
        if (
            len(names) != len(set(names))
            or set(names) != {*told.parts, MANIFEST}
            or DATABASE not in told.parts
        ):
            raise damaged(path, "its parts are not those of its manifest")
        _check_sizes(archive, path, folder, evidence)
        for name, sha in told.parts.items():
            place = _place(path, folder, name, sha) if evidence or name == DATABASE else None
            with _reading(path, name), _part(archive, name) as source:
                if _lay(source, place) != sha:
                    raise damaged(path, f"the part {name} was changed")
    return told


def _check_sizes(archive: zipfile.ZipFile, path: Path, folder: Path, evidence: bool) -> None:
    """Refuse what would fill the disk before anything is unpacked: a small zip can hold much."""
    needed = 0
    for part in archive.infolist():
        if part.filename == MANIFEST:
            continue  # read already, within a limit of its own
        is_database = part.filename == DATABASE
        if part.file_size > (LARGEST_DATABASE if is_database else LARGEST_BYTES):
            raise damaged(path, f"the part {part.filename} says that it is {part.file_size:,} bytes long")
        needed += part.file_size if is_database or evidence else 0
    free = shutil.disk_usage(folder).free
    if needed > free:
        raise BadData(
            str(path), f"it needs {needed:,} bytes; the disk has {free:,} free", "a disk with room for it"
        )


def damaged(path: Path, problem: str) -> BadData:
    """Return the error for a backup that is not whole."""
    return BadData(str(path), f"this backup is damaged: {problem}", "a whole backup", _AGAIN)


def _seal(facts: Mapping[str, Any]) -> str:
    text = json.dumps(facts, sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(text.encode("ascii")).hexdigest()


def _entry(name: str, squeeze: bool) -> zipfile.ZipInfo:
    info = zipfile.ZipInfo(name)
    info.compress_type = (
        zipfile.ZIP_DEFLATED if squeeze else zipfile.ZIP_STORED
    )  # photos are squeezed already
    info.external_attr = 0o600 << 16
    info._compresslevel = 1  # type: ignore[attr-defined]  # no public way before Python 3.13
    return info


def _place(path: Path, folder: Path, name: str, sha: str) -> Path:
    if name == DATABASE:
        return folder / DATABASE
    found = EVIDENCE.fullmatch(name)
    if found is None or found[2] != sha:
        raise damaged(path, "it holds a part of an unknown name")
    place = folder / "evidence" / found[1] / found[2]
    make_private_folder(place.parent)
    return place


def _lay(source: IO[bytes], place: Path | None) -> str:
    """Copy a part to its place, or only read it, and return its hash."""
    if place is None:
        return _copy(source, None)
    with create_private(place) as to:
        found = _copy(source, to)
        to.flush()
        os.fsync(to.fileno())
    return found


def _copy(source: IO[bytes], to: IO[bytes] | None) -> str:
    found = hashlib.sha256()
    while chunk := _read(source):
        found.update(chunk)
        if to is not None:
            to.write(chunk)
    return found.hexdigest()


def _read(source: IO[bytes]) -> bytes:
    """Read on. What the disk says here is about the backup, not about where its parts go."""
    try:
        return source.read(_CHUNK)
    except OSError as error:
        raise zipfile.BadZipFile(str(error)) from None


def _part(archive: zipfile.ZipFile, name: str) -> IO[bytes]:
    try:
        return archive.open(name)
    except OSError as error:
        raise zipfile.BadZipFile(str(error)) from None


@contextmanager
def _opened(path: Path) -> Iterator[zipfile.ZipFile]:
    with open_given(path, "a backup") as file:
        with _reading(path):
            try:
                archive = zipfile.ZipFile(file)
            except OSError as error:
                raise zipfile.BadZipFile(str(error)) from None
        yield archive


@contextmanager
def _reading(path: Path, part: str = "") -> Iterator[None]:
    """Turn what the zip reader says into one plain line."""
    try:
        yield
    except (zipfile.BadZipFile, zlib.error, EOFError, RuntimeError, NotImplementedError, ValueError) as error:
        if isinstance(error, BadData):
            raise
        where = f"the part {part} cannot be read" if part else "it is no whole zip file"
        raise damaged(path, where) from None
