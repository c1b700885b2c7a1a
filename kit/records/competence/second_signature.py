"""Which decisions need a second signature: a plan known beforehand, drawn so that nobody can steer it."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass

OURS = "ours, tutor and verifier to confirm"


@dataclass(frozen=True)
class VerificationPlan:
    """How many decisions a verifier looks at.

    The first ``first`` of each tutor, then 1 in ``safety_every`` where a mistake can hurt someone, and 1 in
    ``others_every`` of the rest. The numbers are ours; a kitchen is to confirm them.
    """

    first: int = 5
    safety_every: int = 2
    others_every: int = 5

    @property
    def says(self) -> str:
        """The plan in words.

        Examples
        --------
        >>> VerificationPlan().says
        "each tutor's first 5, then 1 in 2 safety-critical and 1 in 5 others"
        """
        return (
            f"each tutor's first {self.first}, then 1 in {self.safety_every} safety-critical "
            f"and 1 in {self.others_every} others"
        )


PLAN = VerificationPlan()


def wants_second(
    first_hash: str,
    person: str,
    criterion: str,
    *,
    safety_critical: bool,
    earlier: int,
    plan: VerificationPlan = PLAN,
) -> bool:
    """Return whether a decision needs a second signature.

    The draw rests on the hash of the first act of these records, which was there before anybody decided, and
    on whom and what the decision is about. So nothing that a tutor does draws again: no note, no second try.

    Parameters
    ----------
    first_hash : str
        The hash of the first act of the records.
    person, criterion : str
        About whom and what.
    safety_critical : bool
        Whether a mistake can hurt someone.
    earlier : int
        How many decisions this tutor made before. [decisions]
    plan : VerificationPlan
        How many are looked at.

    Examples
    --------
    >>> wants_second("", "p-1", "COK-P01", safety_critical=True, earlier=0)
    True
    """
    if earlier < plan.first:
        return True
    every = plan.safety_every if safety_critical else plan.others_every
    drawn = hashlib.sha256(f"{first_hash}\n{person}\n{criterion}".encode()).digest()
    return int.from_bytes(drawn[:8], "big") % every == 0
