"""Photographs and logs of a draft: they lie beside the outbox, and the draft names each by its hash.

The draft is signed, and it holds each file's hash: a file that was changed or left behind makes it wait. They
are kept as evidence when the draft is taken in; doing that twice keeps each once.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any

from msgspec import Meta

from kit.basics.atomic_files import make_private_folder, write_private
from kit.basics.data_files import build
from kit.basics.errors import BadData
from kit.basics.given_files import read_given
from kit.files.outbox import Outbox, OutboxDraft
from kit.files.refusals import saving
from kit.records.evidence.kept_files import LARGEST_BYTES, Kind, attach, examined, verdicts_on
from kit.records.people.staff import Hand

MOST_FILES = 12
_Sha = Annotated[str, Meta(pattern=r"\A[0-9a-f]{64}\Z", description="64 lower-case hex digits")]


@dataclass(frozen=True)
class DraftFile:
    """One file of a draft: its hash, what it is, and what it was called."""

    sha256: _Sha
    kind: Kind
    name: str


@dataclass(frozen=True)
class DraftFiles:
    """The files of a draft once they are kept: their hashes, and the verdicts on those of loggers."""

    shas: tuple[str, ...] = ()
    verdicts: tuple[dict[str, Any], ...] = ()


NONE = DraftFiles()


def folder_beside(outbox: Path) -> Path:
    """Return the folder of an outbox's files: it goes wherever the outbox goes.

    Examples
    --------
    >>> folder_beside(Path("osric.outbox")).name
    'osric.outbox-files'
    """
    return outbox.with_name(f"{outbox.name}-files")


def lay_files(outbox: Path, files: Sequence[tuple[Kind, Path]]) -> list[dict[str, str]]:
    """Copy files beside an outbox, a photo without its place, and return what the draft says of them.

    Raises
    ------
    BadData
        If there are too many, or one is no evidence of its kind.
    NotSaved
        If the disk refuses.
    """
    if len(files) > MOST_FILES:
        raise BadData("the draft", f"it has {len(files)} files", f"up to {MOST_FILES}")
    looked = [(kind, path, examined(path, kind, strip_place=True)[0]) for kind, path in files]
    told = []
    with saving("The files of the draft"):
        folder = folder_beside(outbox)
        make_private_folder(folder)
        for kind, path, data in looked:
            sha = hashlib.sha256(data).hexdigest()
            write_private(folder / sha, data)
            told.append({"sha256": sha, "kind": str(kind), "name": path.name[:200]})
    return told


def bring_files(hand: Hand, outbox: Outbox, draft: OutboxDraft, *, leave_out: bool = False) -> DraftFiles:
    """Keep the files of a draft as evidence, each once, and return what its observation names.

    ``leave_out`` passes over those that are not there as they were: whoever settles a draft says so.

    Raises
    ------
    BadData
        If a file is not beside the outbox, or not as it was when the draft was signed.
    """
    named = build(list[DraftFile], draft.facts.get("attached", []), f"draft {draft.line}")
    there = [one for one in named if not leave_out or _is_there(outbox, one)]
    for one in there:
        _check_there(outbox, one)
    person = str(draft.facts.get("person", ""))
    kept = [
        attach(hand, folder_beside(outbox.path) / one.sha256, person, one.kind, name=one.name).sha256
        for one in there
    ]
    shas = tuple(dict.fromkeys(kept))
    return DraftFiles(shas, verdicts_on(hand.records, shas)) if shas else NONE


def _is_there(outbox: Outbox, one: DraftFile) -> bool:
    try:
        _check_there(outbox, one)
    except BadData:
        return False
    return True


def _check_there(outbox: Outbox, one: DraftFile) -> None:
    folder = folder_beside(outbox.path)
    place = folder / one.sha256
    if not place.is_file():
        where, cause = f"{folder.name}", "Bring this folder along with the outbox, then take it in again."
        raise BadData(where, f"the {one.kind} {one.name!r} is not in it", "every file of its drafts", cause)
    data = read_given(place, f"a {one.kind}", LARGEST_BYTES)
    if hashlib.sha256(data).hexdigest() != one.sha256:
        raise BadData(folder.name, f"the {one.kind} {one.name!r} was changed after the draft was signed")
