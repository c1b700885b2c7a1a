"""Moving the records from a file to a server or back: every row as it is kept, then compared row by row."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from kit.basics.atomic_files import create_private, make_private_folder, sync
from kit.basics.errors import BadData
from kit.records.evidence.kept_files import disk_said_plainly, folder_of, stored
from kit.records.ledger import acts
from kit.records.ledger.acts import LedgerHead
from kit.records.storage.bulk import carry
from kit.records.storage.store import Records, said_plainly
from kit.records.upkeep.whole_check import check_all


@dataclass(frozen=True)
class Moved:
    """How many rows of each table went over, how many kept files, and the end of the chain on both sides."""

    rows: dict[str, int]
    files: int
    head: LedgerHead


def move(source: Records, target: Records) -> Moved:
    """Bring all rows and kept files of one kitchen's records into other, empty ones, and return what went.

    All rows arrive in one transaction, which ends only after each was read again and found the same: a run
    that is cut short leaves the target empty. The source is not changed, and nobody writes to it meanwhile.
    Put it away afterwards: of two records that both go on, neither holds everything.

    Parameters
    ----------
    source, target : Records
        The open records. The target must hold no rows.

    Raises
    ------
    BadData
        If the target holds rows, the check of the source names a problem, or a row did not arrive as it was.
    RecordsBusy, DiskTrouble
        If one of the two cannot be read or written. The target holds no rows then.
    """
    if source.where == target.where:
        raise BadData(target.where, "these are the same records", "another place")
    found = check_all(source).problems
    if found:
        raise BadData(source.where, found[0], "records that check", "See all: smokehouse record check.")
    with source.deriving() as old, target.writing() as new:
        rows, head = carry(old, new), acts.head(old)
        with said_plainly(target.where):
            if acts.head(new) != head:
                raise BadData(target.where, "the chain ends in another code", head.short)
            files = _bring_files(source.path, target.path)
    return Moved(rows, files, head)


def _bring_files(source: Path, target: Path) -> int:
    """Copy kept files that are not there yet; each is named by its own hash."""
    count = 0
    for sha, place in stored(folder_of(source)):
        new = folder_of(target) / sha[:2] / sha
        count += 1
        if new.exists():
            continue
        with disk_said_plainly(new):
            make_private_folder(new.parent)
            draft = new.with_name(f"{sha}.draft")
            draft.unlink(missing_ok=True)
            with create_private(draft) as out:
                out.write(place.read_bytes())
            sync(draft)
            draft.replace(new)
            sync(new.parent)
    return count
