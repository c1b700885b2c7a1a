"""The tutor's side: taking answer books in, marking them again, and who stands where on which criterion."""

from kit.records.competence.assess import assess, assess_all
from kit.records.competence.assessment import EVIDENCE_SAYS, Assessment
from kit.records.competence.first_tries import Evidence
from kit.records.intake.take_in import Taken, TakingIn, take_in
from kit.records.reports.board import PRACTICE_IS_UNSUPERVISED, Board, BoardPerson, board
from kit.records.storage.store import DiskTrouble, Records, RecordsBusy, open_records

__all__ = [
    "EVIDENCE_SAYS",
    "PRACTICE_IS_UNSUPERVISED",
    "Assessment",
    "Board",
    "BoardPerson",
    "DiskTrouble",
    "Evidence",
    "Records",
    "RecordsBusy",
    "Taken",
    "TakingIn",
    "assess",
    "assess_all",
    "board",
    "open_records",
    "take_in",
]
