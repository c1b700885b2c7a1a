"""What a check of the chain says on a paper: how far it went, and every problem in plain words.

A short chain is checked in full. In a long one every link and every hash is still checked, but signatures
only for the acts about one person, because a paper must not take minutes; the paper then says so.
"""

from __future__ import annotations

from dataclasses import dataclass

from kit.basics.quantities import count_of
from kit.exercises.catalogue import Catalogue
from kit.records.ledger import acts
from kit.records.ledger.acts import LedgerHead
from kit.records.ledger.projection import check_chain
from kit.records.storage.store import Records
from kit.records.upkeep.whole_check import check_all

FULL_UP_TO = 2_000  # acts; a longer chain is checked in full by asking for no one person
SHOWN = 6
NOT_PROVED = (
    "Practice on one’s own is unsupervised: it shows what was answered, not who sat there.",
    "The chain finds damage, careless edits and a file rewritten after a paper was printed. It does not stop "
    "a determined forger who holds the signing keys and their passwords. What came after the last signature "
    "is sealed, but not signed yet: the code of the chain, kept elsewhere, tells whether it still stands.",
    "A decision speaks of one criterion, on the evidence named beside it, up to its review date. Nothing "
    "here says that a person is safe, or that a batch may go out: a competent person decides that each time.",
    "Which criteria are safety-critical, how many observations they need, the review times and the sampling "
    "plan are ours: the tutor and the verifier of this kitchen are to confirm them.",
)


@dataclass(frozen=True)
class Proof:
    """The end of the chain, what was checked, and what is wrong.

    Parameters
    ----------
    head : LedgerHead
        The end of the chain.
    reach : str
        What was checked, in words.
    problems : tuple of str
        Each problem in words.
    """

    head: LedgerHead
    reach: str
    problems: tuple[str, ...]

    @property
    def fits(self) -> bool:
        """Whether nothing is wrong."""
        return not self.problems

    @property
    def line(self) -> str:
        """The line at the foot of every page."""
        found = (
            "fits" if self.fits else f"DOES NOT FIT, {count_of(len(self.problems), 'problem')}, see page 1"
        )
        return f"chain head {self.head.short} (act {self.head.number}) · checked: {found}"

    @property
    def says(self) -> tuple[str, ...]:
        """What page 1 says, a sentence or two each."""
        if self.fits:
            return (f"The chain of these records fits. {self.reach}",)
        first = (
            "The chain of these records DOES NOT FIT. Something was changed, removed or damaged after it was "
            "recorded. Do not rely on this paper until that is cleared up with a copy kept elsewhere."
        )
        more = len(self.problems) - SHOWN
        rest = (f"and {more} more.",) if more > 0 else ()
        listed = (f"{problem[:1].upper()}{problem[1:]}." for problem in self.problems[:SHOWN])
        return (first, *listed, *rest, self.reach)


def proof_of(
    records: Records,
    person: str | None = None,
    *,
    catalogue: Catalogue | None = None,
    full_up_to: int = FULL_UP_TO,
) -> Proof:
    """Check the chain for a paper: in full if it is short or about nobody in particular.

    Parameters
    ----------
    records : Records
        The open records.
    person : str, optional
        The id of the one person the paper is about.
    catalogue : Catalogue, optional
        What works standings out. Default: the kit's own.
    full_up_to : int
        Up to so many acts the check is always in full. [acts]

    Examples
    --------
    >>> import tempfile
    >>> from kit.records import open_records
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     records = open_records(f"{folder}/records.db")
    ...     proof_of(records).says[0][:68]
    ...     records.close()
    'The chain of these records fits. Checked: every link, hash and signa'
    """
    with records.reading() as connection:
        total = acts.head(connection).number
    if person is None or total <= full_up_to:
        found = check_all(records, catalogue)
        reach = (
            f"Checked: every link, hash and signature of {count_of(found.acts, 'act')}, and against them "
            "every row of every table."
        )
        left = f" Not checked: {'; '.join(found.not_checked)}." if found.not_checked else ""
        return Proof(found.head, reach + left, found.problems)
    report = check_chain(records, person)
    reach = (
        f"Checked: every link and hash of {count_of(report.acts, 'act')}; signatures, words and tables "
        "of this person only. A report on everybody checks all signatures and every row."
    )
    return Proof(report.head, reach, report.problems)
