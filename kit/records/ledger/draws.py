"""Whether a decision is drawn for a second signature: by an act that somebody else signs later.

Who decides cannot know what somebody else will sign, or when. So nobody can tell beforehand which decisions a
verifier will look at, and a record of the draw stands in the chain, where anybody can work it out again.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping
from typing import Any, Protocol

DRAWN = "drawn"
"""The kind of act that draws: its ``facts`` name the decision's ``act``, and ``every``."""
TO_DRAW = "to draw"
"""What stands for the second signature of a decision until somebody else has signed anything."""
NOT_DRAWN = "whether it needs a second signature is drawn when somebody else next signs anything here"


def second_of(facts: Mapping[str, Any]) -> str:
    """Return what stands for the second signature of a decision when it is made.

    Examples
    --------
    >>> second_of({"second_wanted": True}), second_of({"draw_every": 2}), second_of({})
    ('wanted', 'to draw', '')
    """
    return "wanted" if facts.get("second_wanted") else TO_DRAW if facts.get("draw_every") else ""


class Draws(Protocol):
    """An act, as it stands in the chain or as it is told."""

    @property
    def kind(self) -> str:
        """Which kind of act it is."""

    @property
    def hash(self) -> str:
        """Its hash."""

    @property
    def facts(self) -> Mapping[str, Any]:
        """Its facts."""


def draws_in(told: Iterable[Draws]) -> dict[int, bool]:
    """Return which decisions were drawn, by the number of the act, and whether a second signature was asked.

    Facts that somebody changed into something else say nothing.
    """
    found = ((one.facts.get("act"), one.facts.get("every"), one.hash) for one in told if one.kind == DRAWN)
    return {
        act: is_drawn(hashed, every)
        for act, every, hashed in found
        if isinstance(act, int) and isinstance(every, int) and every > 0
    }


def asked_words(facts: Mapping[str, Any], drawn: bool | None) -> str:
    """Return whether a decision asks for a second signature; empty where its facts do not say.

    Parameters
    ----------
    facts : mapping
        The facts of the decision.
    drawn : bool or None
        What its draw said: see ``draws_in``.

    Examples
    --------
    >>> asked_words({"draw_every": 2}, None), asked_words({"second_wanted": True}, None)
    ('to draw', 'wanted')
    >>> asked_words({"draw_every": 2}, True), asked_words({"second_wanted": False}, None)
    ('wanted', 'not drawn')
    """
    if drawn is not None:
        return "wanted" if drawn else "not drawn"
    return second_of(facts) or ("not drawn" if "second_wanted" in facts else "")


def is_drawn(act_hash: str, every: int) -> bool:
    """Return whether the act that draws, by its hash, asks for a second signature: one decision in ``every``.

    Examples
    --------
    >>> is_drawn("ab" * 32, every=1)
    True
    >>> 160 < sum(is_drawn(f"{number:064x}", every=5) for number in range(1000)) < 240  # about 200
    True
    """
    lot = hashlib.sha256(f"second signature\n{act_hash}".encode()).digest()
    return int.from_bytes(lot[:8], "big") % every == 0
