"""A verifier's day: appeals to settle, second signatures that are wanted, and the sample, in one list."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

from kit.exercises.catalogue import Catalogue
from kit.records.competence.moderating import to_moderate
from kit.records.ledger import texts
from kit.records.people.crew import names_of
from kit.records.reports.desk_lists import to_look_into, to_sign
from kit.records.storage.store import Records


@dataclass(frozen=True)
class ToVerify:
    """One thing that waits for a verifier. ``act`` is the appeal, or else the decision."""

    sort: Literal["settle", "second", "moderate"]
    act: int
    person: str
    name: str
    criterion: str
    day: date | None
    says: str


def verifier_day(
    records: Records, me: str, today: date, catalogue: Catalogue | None = None
) -> tuple[ToVerify, ...]:
    """Return what waits for one verifier: appeals first, then second signatures, then the sample by risk.

    Nothing of their own is among it, and no decision stands there twice.
    """
    catalogue = catalogue or Catalogue()
    found = [
        ToVerify("settle", one.act, one.person, one.name, one.about, one.day, "an appeal to settle")
        for one in to_look_into(records, me)
        if one.sort == "appeal" and one.by != me
    ]
    for one in to_sign(records, me, today):
        says = f"{one.decision}, decided by {one.by_name}: a second signature is wanted"
        found.append(ToVerify("second", one.act, one.person, one.name, one.criterion, one.day, says))
    waiting = {one.act for one in found if one.sort == "second"}
    with records.reading() as connection:
        names = names_of(connection)
        drawn = to_moderate(connection, catalogue, today, me)
    for each in drawn:
        if each.act not in waiting:
            by, why = names.get(each.by, texts.ERASED), ", ".join(each.why) or "by lot"
            says = f"{each.decision}, decided by {by}: in the sample, {each.risk} points ({why})"
            name = names.get(each.person, texts.ERASED)
            found.append(ToVerify("moderate", each.act, each.person, name, each.criterion, each.day, says))
    return tuple(found)
