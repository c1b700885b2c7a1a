"""Which decisions need a second signature: a plan known beforehand, drawn so that nobody can foresee it.

Each tutor's first decisions always do. Of the others a share is drawn by an act that somebody else signs
later: see ``ledger.draws``. Deciding again on the same draws nothing anew.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

OURS = "ours, tutor and verifier to confirm"
_STAYS = ("wanted", "disagreed")
"""What a decision before this one leaves behind: it still wants somebody else's eyes."""


@dataclass(frozen=True)
class VerificationPlan:
    """How many decisions "competent" a verifier looks at.

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


def second_asked(
    *, safety_critical: bool, earlier: int, before: str = "", plan: VerificationPlan | None = None
) -> dict[str, Any]:
    """Return what a decision says about its second signature: wanted at once, or how it will be drawn.

    Parameters
    ----------
    safety_critical : bool
        Whether a mistake can hurt someone.
    earlier : int
        How many decisions "competent" this tutor made before: those of "not yet" use nothing up. [decisions]
    before : str
        What stands for the second signature of the decision that this one replaces; empty if it has none.
    plan : VerificationPlan
        How many are looked at. Default: ``PLAN``.

    Examples
    --------
    >>> second_asked(safety_critical=True, earlier=0)["second_wanted"]
    True
    >>> second_asked(safety_critical=True, earlier=5)
    {'second_wanted': False, 'draw_every': 2}
    >>> second_asked(safety_critical=True, earlier=5, before="wanted")
    {'second_wanted': True}
    """
    plan = plan or PLAN
    if earlier < plan.first or before in _STAYS:
        return {"second_wanted": True}
    every = plan.safety_every if safety_critical else plan.others_every
    return {"second_wanted": False, "draw_every": every}
