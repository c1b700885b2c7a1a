"""A whole sheet under one signature: several observations, or several decisions, all recorded or none."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from kit.basics.errors import OutOfRange
from kit.basics.typed_text import LEAST_REASON
from kit.records.competence.deciding import Wish, check_wish, decide_within
from kit.records.competence.observations import Observation, check, observe_within
from kit.records.competence.readings import Contradicted, Contradiction
from kit.records.ledger.acts import Act
from kit.records.people.staff import Hand

LATE = "late"
"""The rule that a contradiction names where an observation was entered long after its day."""


def lines_of(hand: Hand, seen: Observation, reasons: Mapping[str, str]) -> tuple[Observation, ...]:
    """Return a sheet as the observations that record it: one for all lines that nothing speaks against.

    A line that a reading or a log contradicts stands as an observation of its own, with its own reason.

    Parameters
    ----------
    hand : Hand
        Who observes.
    seen : Observation
        The whole sheet. Its ``despite`` is the reason for a late entry.
    reasons : Mapping
        For each contradicted criterion why it counts all the same.

    Raises
    ------
    Contradicted
        With every line that needs a reason and has none.
    KitError
        If the sheet makes no sense: see ``observations.check``.
    """
    told = _told(hand, seen)
    late = [one for one in told if one.rule == LATE]
    lines = list(dict.fromkeys(one.criterion for one in told if one.rule != LATE))
    bare = [one for one in told if not _reason(seen, reasons, one)]
    if bare:
        raise Contradicted(bare)
    rest = {name: outcome for name, outcome in seen.points.items() if name not in lines}
    sheet = [replace(seen, points=rest, despite=seen.despite if late else "")] if rest else []
    for name in lines:
        why = " ".join(part for part in (reasons[name].strip(), seen.despite.strip() if late else "") if part)
        sheet.append(replace(seen, points={name: seen.points[name]}, despite=why))
    return tuple(sheet)


def observe_all(hand: Hand, sheet: Sequence[Observation]) -> tuple[Act, ...]:
    """Record several observations, each signed and an act of its own: all of them, or none.

    Raises
    ------
    KitError
        If one of them may not be recorded: see ``observations.observe``.
    """
    _check_some(sheet)
    checked = [(seen, check(hand, seen)) for seen in sheet]
    with hand.records.writing() as connection:
        return tuple(observe_within(connection, hand, seen, against) for seen, against in checked)


def decide_all(hand: Hand, person: str, wishes: Sequence[Wish]) -> tuple[Act, ...]:
    """Record several decisions about one apprentice, each signed and an act of its own: all, or none.

    Raises
    ------
    KitError
        If one of them may not be recorded: see ``deciding.decide``.
    """
    _check_some(wishes)
    for wish in wishes:
        check_wish(hand, wish)
    with hand.records.writing() as connection:
        return tuple(decide_within(connection, hand, person, wish) for wish in wishes)


def _told(hand: Hand, seen: Observation) -> tuple[Contradiction, ...]:
    """Return all that speaks against a sheet, whether or not a reason was written."""
    return check(hand, replace(seen, despite="asked for below"))


def _reason(seen: Observation, reasons: Mapping[str, str], one: Contradiction) -> str:
    written = (seen.despite if one.rule == LATE else reasons.get(one.criterion, "")).strip()
    return written if len(written) >= LEAST_REASON else ""


def _check_some(lines: Sequence[object]) -> None:
    if not lines:
        raise OutOfRange("the lines of the sheet", 0, "1 or more")
