"""Who may do what: one rule, asked when an act is written and asked again of every act that stands on record.

What somebody held at that moment comes from the tables or, in a check of the records, from the acts before.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from types import MappingProxyType
from typing import Any

from sqlalchemy import Connection, func, select

from kit.records.ledger import acts
from kit.records.ledger.acts import Draft
from kit.records.people.on_file import Decision, Then
from kit.records.people.retention_rule import RULE_SET, LeaverRule, last_day_here, rule_in_force, why_kept
from kit.records.storage import schema

SIGNERS = frozenset({"tutor", "verifier", "manager"})
"""The roles in which somebody may hold a key."""
MAY: Mapping[str, frozenset[str]] = MappingProxyType(
    {
        "enrolled": frozenset({"manager", "tutor"}),  # a tutor takes on apprentices only
        "left": frozenset({"manager", "tutor"}),
        "returned": frozenset({"manager", "tutor"}),
        "key proposed": SIGNERS,  # a new key of a manager may be proposed by others
        "key added": SIGNERS,  # a manager's act, or the second person's
        "key retired": SIGNERS,  # it takes trust away: one's own, or a manager's
        "assessor": frozenset({"manager"}),
        "noted": frozenset({"tutor", "manager"}),
        "attached": SIGNERS,
        "observed": frozenset({"tutor"}),
        "corrected": frozenset({"tutor", "manager"}),
        "decided": frozenset({"tutor"}),
        "brought in": frozenset({"tutor"}),
        "drawn": SIGNERS,
        "second": frozenset({"verifier"}),
        "appealed": SIGNERS,
        "settled": frozenset({"tutor", "verifier"}),
        "looked at": frozenset({"tutor", "verifier"}),
        "consented": frozenset({"tutor", "manager"}),
        "certificate given": frozenset({"tutor", "manager"}),
        "certificate revoked": frozenset({"tutor", "manager"}),
        "paper drawn": frozenset({"tutor"}),
        "joined": frozenset({"tutor", "manager"}),
        "parted": frozenset({"tutor", "manager"}),
        "draft dropped": frozenset({"tutor"}),
        "cases judged": frozenset({"tutor", "verifier"}),
        "moderated": frozenset({"verifier"}),
        "erased": frozenset({"manager"}),
        "clock corrected": frozenset({"manager"}),
        "restored": frozenset({"manager"}),
        RULE_SET: frozenset({"manager"}),
        "record given": frozenset({"tutor", "manager"}),
        "seen elsewhere": frozenset({"tutor", "manager"}),
    }
)
TRUST = frozenset(
    {
        "enrolled",
        "left",
        "returned",
        "key proposed",
        "key added",
        "key retired",
        "assessor",
        "erased",
        "clock corrected",
        "restored",
        RULE_SET,
    }
)
"""The kinds of act that grant or take trust. They are signed from a manager's first key on."""
FIT = frozenset({"decided", "brought in", "second", "settled", "moderated"})
"""The kinds that need competence to assess on file."""
UNSIGNED = "This grants or takes trust, so it is signed: open your key first."


def why_not(draft: Draft, key_id: str | None, day: date, then: Then, who: str = "") -> str:
    """Return in a sentence why an act is not allowed; an empty text if it is.

    Parameters
    ----------
    draft : Draft
        The act.
    key_id : str, optional
        The key that signs it.
    day : date
        The local day.
    then : Then
        What stood on file just before it.
    who : str
        What to call the person who acts. Default: their id.
    """
    who = who or draft.by
    if draft.kind == "enrolled" and draft.facts.get("first"):
        return _why_not_first(draft, then)
    if (
        draft.kind == "erased" and "rule" in draft.facts
    ):  # nobody is at work: a rule is, and its act was signed
        return why_kept(draft, day, then)
    reason = why_no_role(draft.kind, then.roles(draft.by), who) or _key_fault(draft, key_id, then, who)
    if reason:
        return reason
    if draft.kind in TRUST and key_id is None and then.rooted():
        return UNSIGNED
    if draft.kind in FIT:
        until = then.fit_until(draft.by)
        if until is None or until < day:
            ended = "is not on file" if until is None else f"ran out on {until.isoformat()}"
            return (
                f"Your own competence to assess {ended}. A manager puts it on file: "
                "`smokehouse staff assessor`."
            )
    rule = _RULES.get(draft.kind)
    return "" if rule is None else rule(draft, then, who)


def why_no_role(kind: str, held: frozenset[str], who: str) -> str:
    """Return why roles do not allow a kind of act; an empty text if they do."""
    if held & MAY[kind]:
        return ""
    have = " and ".join(sorted(held)) if held else "nobody with a role"
    needed = " or ".join(sorted(MAY[kind]))
    return (
        f"{who} is {have} here; this needs a {needed}. A manager takes people on: `smokehouse staff take-on`."
    )


def _why_not_first(draft: Draft, then: Then) -> str:
    """Return why nobody can begin the records here. A first manager takes themself on, unsigned."""
    if then.managed():
        return "There is a manager already. A manager takes people on: `smokehouse staff take-on`."
    if then.rooted():
        return UNSIGNED
    itself = draft.by == draft.person and draft.facts.get("role") == "manager"
    return "" if itself else "Only a manager begins the records, and takes themself on."


def _key_fault(draft: Draft, key_id: str | None, then: Then, who: str) -> str:
    if key_id is None:
        return ""
    held = then.key(key_id)
    if held is None and not then.rooted() and _is_root(draft, key_id):
        return ""
    if held is None or held[0] != draft.by:
        return f"The key {key_id} is not on file for {who}."
    return "" if held[1] is None else f"The key {key_id} was retired on {held[1]:%Y-%m-%d}."


def _is_root(draft: Draft, key_id: str | None) -> bool:
    """Whether an act puts its maker's own key on file and is signed with it."""
    own = draft.kind == "key added" and draft.person == draft.by
    return own and key_id is not None and draft.facts.get("key_id") == key_id


def _take_on(draft: Draft, then: Then, who: str) -> str:
    role = draft.facts["role"]
    if role != "apprentice" and "manager" not in then.roles(draft.by):
        return f"Only a manager takes on a {role}. A tutor takes on apprentices."
    return ""


def _propose_key(draft: Draft, then: Then, who: str) -> str:
    about = str(draft.person)
    if "manager" in then.roles(draft.by) or "manager" in then.roles(about):
        return "" if draft.by != about else "Nobody proposes their own new key: somebody else does."
    return "Only a manager proposes a new key for somebody who is no manager."


def _add_key(draft: Draft, then: Then, who: str) -> str:
    about, number = str(draft.person), draft.facts.get("proposed")
    if number is not None:
        return _confirm_key(draft, then.proposed(number))
    if "manager" not in then.roles(draft.by):
        return f"{who} is no manager; a manager puts keys on file."
    if not then.rooted():
        return ""
    if not then.had_key(about):
        return ""
    others = then.signers() - {draft.by, about}
    if others or not draft.facts.get("alone"):
        return (
            "A new key for somebody who signed here before needs a second person: propose it, and somebody "
            "else who holds a key confirms it."
        )
    return ""


def _confirm_key(draft: Draft, proposal: tuple[str, str | None, Mapping[str, Any]] | None) -> str:
    if proposal is None:
        return f"No act {draft.facts['proposed']} proposes a key."
    by, about, facts = proposal
    if (about, facts.get("key_id"), facts.get("public")) != (
        draft.person,
        draft.facts.get("key_id"),
        draft.facts.get("public"),
    ):
        return "This is not the key that was proposed."
    if draft.by in (by, about):
        return "A new key is confirmed by a second person: neither who proposed it nor who will sign with it."
    return ""


def _retire_key(draft: Draft, then: Then, who: str) -> str:
    about = str(draft.person)
    if "manager" in then.roles(draft.by) or draft.by == about or "manager" in then.roles(about):
        return ""
    return "Only a manager retires somebody else's key; anybody may retire a manager's, or their own."


def _decide(draft: Draft, then: Then, who: str) -> str:
    about = str(draft.person)
    if about == draft.by:
        return "Nobody decides about themself: another tutor must."
    if "apprentice" not in then.roles(about):
        return f"{about} is no apprentice here now. Take them on first."
    return ""


def _second(draft: Draft, then: Then, who: str) -> str:
    decision = then.decision(int(draft.facts["act"]))
    if decision is None:
        return f"Act {draft.facts['act']} is no decision."
    if decision[0] == draft.by:
        return "A second signature comes from somebody else: this decision is your own."
    return "Nobody signs about themself." if decision[1] == draft.by else ""


def _draw(draft: Draft, then: Then, who: str) -> str:
    decision = then.decision(int(draft.facts["act"]))
    if decision is None:
        return f"Act {draft.facts['act']} is no decision."
    return "Nobody draws for a decision of their own, or about themself." if draft.by in decision else ""


def _settle(draft: Draft, then: Then, who: str) -> str:
    decision = then.decision(int(draft.facts["appeal"]))
    if decision is None:
        return f"Act {draft.facts['appeal']} is no appeal."
    if draft.by == then.moderator(int(draft.facts["appeal"])):
        return "What a verifier's finding opened is settled by somebody else than that verifier."
    return (
        "An appeal is settled by somebody else than the person who decided." if draft.by in decision else ""
    )


def _draw_paper(draft: Draft, then: Then, who: str) -> str:
    about = str(draft.person)
    if about == draft.by:
        return "Nobody draws a test paper for themself: another tutor must."
    if "apprentice" not in then.roles(about):
        return f"{about} is no apprentice here now. Take them on first."
    return ""


def _certify(draft: Draft, then: Then, who: str) -> str:
    if draft.person == draft.by:
        return "Nobody gives themself a certificate, or agrees to it in the records: somebody else does."
    for criterion, number in draft.facts.get("decisions", {}).items():
        decision = then.decision(int(number))
        if decision is None or decision[1] != draft.person:
            return f"Act {number} is no decision about {draft.person} on {criterion}."
    return ""


def _join(draft: Draft, then: Then, who: str) -> str:
    kept, other = str(draft.person), str(draft.facts.get("other"))
    if draft.by in (kept, other):
        return "Nobody says of themself that two are one, or that they are not: somebody else does."
    if draft.kind == "joined" and "apprentice" not in then.roles(kept):
        return f"{kept} is no apprentice here now. Take them on first."
    if then.roles(other) & SIGNERS:
        return f"{other} signs here, so this id is not joined to another."
    return ""


def _carry(draft: Draft, then: Then, who: str) -> str:
    return "Nobody carries their own record: somebody else does." if draft.person == draft.by else ""


_RULES: dict[str, Callable[[Draft, Then, str], str]] = {
    "enrolled": _take_on,
    "key proposed": _propose_key,
    "key added": _add_key,
    "key retired": _retire_key,
    "decided": _decide,
    "brought in": _decide,
    "drawn": _draw,
    "second": _second,
    "moderated": _second,
    "settled": _settle,
    "paper drawn": _draw_paper,
    "consented": _certify,
    "certificate given": _certify,
    "joined": _join,
    "parted": _join,
    "record given": _carry,
    "seen elsewhere": _carry,
}


@dataclass(frozen=True)
class InTables:
    """What stands on file now, from the tables."""

    connection: Connection

    def roles(self, person: str) -> frozenset[str]:
        """The roles a person holds now."""
        roles = schema.roles.c
        query = select(roles.role).where(roles.person == person, roles.until.is_(None))
        return frozenset(self.connection.scalars(query))

    def managed(self) -> bool:
        """Whether anybody is a manager now."""
        roles = schema.roles.c
        query = select(roles.person).where(roles.role == "manager", roles.until.is_(None))
        return self.connection.scalar(query.limit(1)) is not None

    def key(self, key_id: str) -> tuple[str, datetime | None] | None:
        """Whose a key is, and when it was retired."""
        keys = schema.signing_keys.c
        row = self.connection.execute(select(keys.person, keys.until).where(keys.key_id == key_id)).first()
        return None if row is None else (row.person, row.until)

    def had_key(self, person: str) -> bool:
        """Whether a key was ever on file for a person."""
        keys = schema.signing_keys.c
        return self.connection.scalar(select(keys.key_id).where(keys.person == person).limit(1)) is not None

    def signers(self) -> frozenset[str]:
        """Everybody who holds a valid key, and a role."""
        keys, roles = schema.signing_keys.c, schema.roles.c
        query = select(keys.person).join_from(schema.signing_keys, schema.roles, roles.person == keys.person)
        query = query.where(keys.until.is_(None), roles.until.is_(None), roles.role.in_(SIGNERS))
        return frozenset(self.connection.scalars(query))

    def fit_until(self, person: str) -> date | None:
        """The last day on which a person's own competence to assess is on file."""
        assessors = schema.assessors.c
        until: date | None = self.connection.scalar(
            select(func.max(assessors.until)).where(assessors.person == person)
        )
        return until

    def rooted(self) -> bool:
        """Whether a manager's own key is on file, signed with itself."""
        table = schema.acts.c
        query = select(table.number).where(
            table.kind == "key added", table.by == table.person, table.key_id.is_not(None)
        )
        return self.connection.scalar(query.limit(1)) is not None

    def decision(self, number: int) -> Decision | None:
        """By whom and about whom the decision of an act is, directly or through an appeal."""
        row = self._act(number)
        if row is not None and row.kind == "appealed":
            row = self._act(int(acts.facts_of(row.facts).get("act", 0)))
        return (row.by, row.person) if row is not None and row.kind in ("decided", "brought in") else None

    def proposed(self, number: int) -> tuple[str, str | None, Mapping[str, Any]] | None:
        """Who proposed a key, for whom, and with which facts."""
        row = self._act(number)
        if row is None or row.kind != "key proposed":
            return None
        return row.by, row.person, acts.facts_of(row.facts)

    def moderator(self, appeal: int) -> str:
        """By whom a finding opened a criterion with that act."""
        row = self._act(appeal)
        return str(row.by) if row is not None and acts.facts_of(row.facts).get("moderated") else ""

    def leaver_rule(self) -> LeaverRule | None:
        """How long records of leavers stay, and who signed that."""
        return rule_in_force(self.connection)

    def last_here(self, person: str) -> date | None:
        """The day somebody who left was last here."""
        return last_day_here(self.connection, person)

    def _act(self, number: int) -> Any:
        return self.connection.execute(select(schema.acts).where(schema.acts.c.number == number)).first()
