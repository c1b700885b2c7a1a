"""What a rule about an act may ask of the moment before it: from the tables, or from the acts before."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any, Protocol

from kit.records.people.retention_rule import LeaverRule

Decision = tuple[str, str]
"""By whom a decision was made, and about whom."""


class Then(Protocol):
    """What stood on file at a moment."""

    def roles(self, person: str) -> frozenset[str]:
        """The roles a person held."""

    def managed(self) -> bool:
        """Whether anybody was a manager."""

    def key(self, key_id: str) -> tuple[str, datetime | None] | None:
        """Whose a key was, and when it was retired; None if it was not on file."""

    def had_key(self, person: str) -> bool:
        """Whether a key was ever on file for a person."""

    def signers(self) -> frozenset[str]:
        """Everybody who held a valid key, and a role."""

    def fit_until(self, person: str) -> date | None:
        """The last day on which a person's own competence to assess was on file."""

    def rooted(self) -> bool:
        """Whether a manager's own key was on file, so that acts of trust are signed."""

    def decision(self, number: int) -> Decision | None:
        """By whom and about whom the decision of that act was, directly or through an appeal."""

    def proposed(self, number: int) -> tuple[str, str | None, Mapping[str, Any]] | None:
        """Who proposed a key, for whom, and with which facts."""

    def moderator(self, appeal: int) -> str:
        """By whom a finding opened a criterion with that act; empty where an apprentice appealed."""

    def leaver_rule(self) -> LeaverRule | None:
        """How long records of leavers stayed, and who signed that."""

    def last_here(self, person: str) -> date | None:
        """The day somebody who left was last here."""
