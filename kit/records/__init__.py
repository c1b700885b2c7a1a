"""The tutor's side: taking answer books in, marking them again, and who stands where on which criterion."""

from kit.records.competence.first_tries import Evidence
from kit.records.intake.take_in import Taken, TakingIn, take_in
from kit.records.reports.board import (
    PRACTICE_IS_UNSUPERVISED,
    STATES,
    Board,
    BoardPerson,
    Cell,
    Competence,
    board,
    competence,
)
from kit.records.storage.store import DiskTrouble, Records, RecordsBusy, default_path, open_records

__all__ = [
    "PRACTICE_IS_UNSUPERVISED",
    "STATES",
    "Board",
    "BoardPerson",
    "Cell",
    "Competence",
    "DiskTrouble",
    "Evidence",
    "Records",
    "RecordsBusy",
    "Taken",
    "TakingIn",
    "board",
    "competence",
    "default_path",
    "open_records",
    "take_in",
]
