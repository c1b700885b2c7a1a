"""Certificates: the apprentice's consent, giving one, and taking one back. Each is a signed act.

A certificate is for a step, or for a unit of several steps and single criteria. ``assess`` alone says whether
each criterion is competent. The act holds ids and days; the name
stands in the file only.
"""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Mapping, Sequence
from datetime import UTC, datetime, time
from typing import TYPE_CHECKING, Any

from sqlalchemy import Connection, select

from kit import criteria
from kit.basics.errors import BadData, KitError, OutOfRange
from kit.files.certificate import CertificateFacts, RevocationList, write_certificate, write_revoked
from kit.files.signing import Signer
from kit.records.competence.assess import assess_all
from kit.records.competence.deciding import check_reason
from kit.records.ledger import acts, texts
from kit.records.ledger.acts import Act, Draft, NotAllowed
from kit.records.ledger.draws import NOT_DRAWN, TO_DRAW
from kit.records.people.staff import Hand, name_of, write
from kit.records.storage import schema

if TYPE_CHECKING:
    from kit.records.competence.assessment import Assessment

HOLDS = (
    "the person's name, your kitchen's name, the step or unit, its criteria with their words, the day it was "
    "given, the day it runs out, and your public key"
)
"""The personal data that a certificate holds, to say before one is written."""
_MOST_NAMED = 12  # so many criteria that are lacking are named in one message
STATEMENTS = "statements"
"""What an apprentice consents to whose answers, sittings and decisions go to another system."""
PROGRESS = "progress"
"""What an apprentice consents to whose progress and forecast go, by name, to who plans the staff."""


class NotProven(KitError):
    """A criterion of the step or unit does not stand as competent, so there is no certificate."""

    def __init__(self, title: str, lacking: Mapping[str, str]) -> None:
        self.title, self.lacking = title, lacking
        named = [f"{name}: {says}" for name, says in list(lacking.items())[:_MOST_NAMED]]
        more = f"; and {len(lacking) - _MOST_NAMED} more" if len(lacking) > _MOST_NAMED else ""
        super().__init__(f"No certificate for “{title}” yet. {'; '.join(named)}{more}.")


def unit_of(wanted: Iterable[str]) -> tuple[str, ...]:
    """Return the steps and single criteria of a unit, each once, in the order of the work.

    A criterion whose whole step is there is not named again.

    Raises
    ------
    UnknownName
        If there is no such step or criterion.
    BadData
        If nothing is named.

    Examples
    --------
    >>> unit_of(["chill", "cook", "COK-P01", "CUR-P02"])
    ('CUR-P02', 'cook', 'chill')
    """
    asked = set(wanted)
    if not asked:
        raise BadData("the certificate", "it names no step and no criterion", "one or more of them")
    single = {name: criteria.get(name).step for name in sorted(asked - set(criteria.steps()))}
    found: list[str] = []
    for step in criteria.steps():
        mine = [each.id for each in criteria.at(step) if each.id in single]
        found += [step] if step in asked else mine
    return tuple(found)


def title_of(parts: Sequence[str]) -> str:
    """Return what a step or unit is called; of a step that is not whole it says so.

    Examples
    --------
    >>> title_of(["cook"]), title_of(["COK-P01", "COK-P02", "chill"])
    ('Cook by temperature', 'Part of Cook by temperature (COK-P01, COK-P02), Chill')
    """
    titles: dict[str, list[str]] = {}
    for part in parts:
        step = part if part in criteria.steps() else criteria.get(part).step
        titles.setdefault(step, []).extend([] if step == part else [part])
    return ", ".join(
        f"Part of {criteria.steps()[step].title} ({', '.join(names)})"
        if names
        else criteria.steps()[step].title
        for step, names in titles.items()
    )


def parts_of(facts: Mapping[str, Any]) -> tuple[str, ...]:
    """Return the steps and criteria of a certificate that was given, from the facts of its act."""
    return tuple(facts["unit"]) if "unit" in facts else (str(facts["step"]),)


def consent(hand: Hand, person: str, agrees: bool, to: str = "") -> Act:
    """Record that an apprentice agrees to certificates that name them, or does so no longer.

    ``to`` names what else leaves the kitchen: ``STATEMENTS`` or ``PROGRESS``. Consent to one is to it alone.
    """
    facts = {"agrees": agrees, **({"to": to} if to else {})}
    with hand.records.writing() as connection:
        return write(connection, hand, Draft("consented", hand.person, person, facts=facts))


def give(hand: Hand, person: str, wanted: str | Sequence[str], kitchen_name: str) -> tuple[Act, str]:
    """Record that a certificate was given for a step or unit, and return the act and the file's text.

    Parameters
    ----------
    hand : Hand
        The tutor or manager, with an opened key.
    person : str
        The apprentice's id.
    wanted : str or sequence of str
        The step; for a unit its steps, and ids of single criteria.
    kitchen_name : str
        What the kitchen calls itself.

    Raises
    ------
    NotProven
        If ``assess`` does not say competent of every criterion, or a second signature or an appeal is open.
    NotAllowed
        If the hand may not, or the apprentice did not agree.
    UnknownName
        If there is no such step or criterion.
    """
    parts = unit_of([wanted] if isinstance(wanted, str) else wanted)
    if not kitchen_name.strip():
        raise OutOfRange("the kitchen's name", repr(kitchen_name), "1 character or more")
    key = hand.key
    if not isinstance(key, Signer):
        raise NotAllowed("A certificate needs a signature: open your key first.")
    with hand.records.writing() as connection:
        agreed = _consent_of(connection, person)
        found = _proven(connection, hand, person, parts)
        days = [each.until for each in found.values() if each.until is not None]
        until = datetime.combine(min(days), time(23, 59, 59), UTC)
        one = f"urn:uuid:{uuid.uuid4()}"
        facts = {
            **(
                {"step": parts[0]}
                if parts[0] in criteria.steps() and len(parts) == 1
                else {"unit": list(parts)}
            ),
            "id": one,
            "until": min(days).isoformat(),
            "consent": agreed,
            "decisions": {name: each.decided.act for name, each in found.items() if each.decided is not None},
        }
        act = write(connection, hand, Draft("certificate given", hand.person, person, facts=facts))
        said = CertificateFacts(
            id=one,
            person_name=name_of(connection, person),
            kitchen_name=kitchen_name.strip(),
            step="+".join(parts),
            step_title=title_of(parts),
            criteria={name: each.criterion.text for name, each in found.items()},
            given=act.at.replace(microsecond=0),
            until=until,
        )
        return act, write_certificate(said, key)


def revoke(hand: Hand, given_act: int, reason: str) -> tuple[Act, str]:
    """Record that a certificate does not hold any more; return the act and the new list, signed.

    Raises
    ------
    BadData
        If that act gave no certificate, or it was taken back before.
    """
    check_reason(reason)
    key = hand.key
    if not isinstance(key, Signer):
        raise NotAllowed("Taking a certificate back needs a signature: open your key first.")
    with hand.records.writing() as connection:
        given = acts.get(connection, given_act)
        if given.kind != "certificate given":
            raise BadData(f"act {given_act}", "it gave no certificate")
        if given.facts["id"] in _revoked_ids(connection):
            raise BadData(f"act {given_act}", "its certificate was taken back before")
        why = texts.keep(connection, reason, str(given.person))
        facts = {"act": given_act, "id": given.facts["id"], "reason": why}
        act = write(connection, hand, Draft("certificate revoked", hand.person, given.person, facts=facts))
        retired = schema.signing_keys.c
        keys = connection.scalars(select(retired.key_id).where(retired.until.is_not(None)))
        revoked = RevocationList(act.at, tuple(_revoked_ids(connection)), tuple(sorted(keys)))
        return act, write_revoked(revoked, key)


def _consent_of(connection: Connection, person: str) -> int:
    """Return the act by which a person agreed to certificates."""
    number = consents(connection).get(person)
    if number is None:
        raise NotAllowed(
            f"{name_of(connection, person)} has not agreed to a certificate that names them. "
            "Ask, then record it: `smokehouse certificate consent`."
        )
    return number


def consents(connection: Connection, to: str = "") -> dict[str, int]:
    """Return who agrees now, to certificates or to what ``to`` names, each with the act that says so."""
    found: dict[str, int] = {}
    for act in acts.read(connection, kind="consented"):
        if act.facts.get("to", "") == to:
            found.pop(str(act.person), None)
            if act.facts["agrees"]:
                found[str(act.person)] = act.number
    return found


def _proven(connection: Connection, hand: Hand, person: str, parts: Sequence[str]) -> dict[str, Assessment]:
    """Return where the person stands on each criterion of the step or unit, if all are competent."""
    standing = assess_all(connection, hand.catalogue, hand.today(), [person])
    found = {
        name: standing.of(person, name)
        for name, criterion in hand.catalogue.criteria.items()
        if criterion.step in parts or name in parts
    }
    lacking = {name: _lacks(each) for name, each in found.items() if not _stands(each)}
    here = {each for name in found for each in (name, criteria.get(name).step)}
    lacking |= {part: "no criterion of it is known here" for part in parts if part not in here}
    if lacking:
        raise NotProven(title_of(parts), lacking)
    return found


def _stands(found: Assessment) -> bool:
    """Whether a criterion is competent, signed a second time where that is due, with no appeal open."""
    settled = found.state in ("competent", "refresher due")
    return settled and found.holds and found.decided is not None and found.decided.second not in _WAITS


def _lacks(found: Assessment) -> str:
    undrawn = found.holds and found.decided is not None and found.decided.second == TO_DRAW
    return f"{found.says}; {NOT_DRAWN}" if undrawn else found.says


_WAITS = ("wanted", TO_DRAW)


def _revoked_ids(connection: Connection) -> list[str]:
    return [str(act.facts["id"]) for act in acts.read(connection, kind="certificate revoked")]
