"""The tutor's side: taking answer books in, marking them again, and who stands where on which criterion.

Each name loads when it is first asked for: a page of a lesson needs none of the database.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:  # for editors and type checkers; at run time `__getattr__` finds them
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

_HOMES = {
    "competence.assess": ("assess", "assess_all"),
    "competence.assessment": ("EVIDENCE_SAYS", "Assessment"),
    "competence.first_tries": ("Evidence",),
    "intake.take_in": ("Taken", "TakingIn", "take_in"),
    "reports.board": ("PRACTICE_IS_UNSUPERVISED", "Board", "BoardPerson", "board"),
    "storage.store": ("DiskTrouble", "Records", "RecordsBusy", "open_records"),
}


def __getattr__(name: str) -> Any:
    """Load what the records offer under a name when it is first asked for."""
    for home, names in _HOMES.items():
        if name in names:
            return getattr(import_module(f"kit.records.{home}"), name)
    raise AttributeError(f"module 'kit.records' has no attribute {name!r}; it offers {', '.join(__all__)}")


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
