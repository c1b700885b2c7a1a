"""What a check of the chain says on a paper: how far it went, and every problem in plain words.

A short chain is checked in full. In a long one every link and every hash is still checked, but signatures
only for the acts about one person, because a paper must not take minutes; the paper then says so.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, func, select

from kit.basics.quantities import count_of
from kit.files import signing
from kit.records.ledger import acts, texts
from kit.records.ledger.acts import LedgerHead
from kit.records.ledger.projection import FOLLOWS, check_chain, follow
from kit.records.storage import schema
from kit.records.storage.store import Records, said_plainly

FULL_UP_TO = 2_000  # acts; a longer chain is checked in full by asking for no one person
SHOWN = 6
NOT_PROVED = (
    "Practice on one’s own is unsupervised: it shows what was answered, not who sat there.",
    "The chain finds damage, careless edits and a file rewritten after a paper was printed. It does not stop "
    "a determined forger who holds the signing keys and their passwords.",
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


def proof_of(records: Records, person: str | None = None, *, full_up_to: int = FULL_UP_TO) -> Proof:
    """Check the chain for a paper: in full if it is short or about nobody in particular.

    Parameters
    ----------
    records : Records
        The open records.
    person : str, optional
        The id of the one person the paper is about.
    full_up_to : int
        Up to so many acts the check is always in full. [acts]

    Examples
    --------
    >>> import tempfile
    >>> from kit.records import open_records
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     records = open_records(f"{folder}/records.db")
    ...     proof_of(records).says[0]
    ...     records.close()
    'The chain of these records fits. Checked: every link, hash and signature of 0 acts, and all tables.'
    """
    with records.reading() as connection:
        total = connection.scalar(select(func.count()).select_from(schema.acts)) or 0
    if person is not None and total > full_up_to:
        return _about(records, person)
    try:
        report = check_chain(records)
    except (ValueError, KeyError, TypeError):  # an act that cannot even be read
        return _unreadable(records)
    reach = f"Checked: every link, hash and signature of {count_of(report.acts, 'act')}, and all tables."
    return Proof(report.head, reach, report.problems)


def _unreadable(records: Records) -> Proof:
    with records.reading() as connection:
        end, problems = _walk(connection, None)
    said = problems or ["an act cannot be read"]
    return Proof(
        end, f"Checked: every link, hash and signature of {count_of(end.number, 'act')}.", tuple(said)
    )


def _about(records: Records, person: str) -> Proof:
    with records.reading() as connection:
        end, problems = _walk(connection, person)
        problems += _changed_words(connection, person)
    if not problems:
        problems += _not_following(records, person)
    reach = (
        f"Checked: every link and hash of {count_of(end.number, 'act')}; signatures, words and tables of "
        "this person only. A report on everybody checks all signatures."
    )
    return Proof(end, reach, tuple(problems))


def _walk(connection: Connection, person: str | None) -> tuple[LedgerHead, list[str]]:
    before, problems = LedgerHead(0, ""), list[str]()
    publics = public_keys(connection)
    for row in connection.execute(select(schema.acts).order_by(schema.acts.c.number)):
        if person is None or row.person == person:
            problem = acts.problem_of(row, before, publics.get((row.key_id, row.by)))
        else:
            problem = _unlinked(row, before)
        if problem:
            problems.append(problem)
        before = LedgerHead(row.number, row.hash)
    return before, problems


def _unlinked(row: Any, before: LedgerHead) -> str:
    """Return what is wrong with the place and the hash of a row. Its signature is not looked at."""
    if row.number == before.number + 1 and row.prev == before.hash:
        about = (row.by, row.person)
        made = acts.digest(row.number, row.kind, row.at, about, row, row.facts, row.key_id, row.prev)
        if made == row.hash:
            return ""
    return acts.problem_of(row, before, None)  # it has the words for what is wrong


def public_keys(connection: Connection) -> Mapping[tuple[str, str], str]:
    """Return the public half of every key that was ever put on file, by key and person, from the chain."""
    table = schema.acts.c
    rows = connection.execute(select(table.person, table.facts).where(table.kind == "key added"))
    found: dict[tuple[str, str], str] = {}
    for row in rows:
        facts = facts_of(row.facts)
        found[str(facts.get("key_id")), row.person] = str(facts.get("public"))
    return found


def facts_of(text: str) -> dict[str, Any]:
    """Return the facts of an act; none if somebody made them unreadable.

    Examples
    --------
    >>> facts_of('{"day":"2026-03-02"}'), facts_of("{")
    ({'day': '2026-03-02'}, {})
    """
    try:
        facts = json.loads(text)
    except ValueError:
        return {}
    return facts if isinstance(facts, dict) else {}


def signature_fits(row: Any, publics: Mapping[tuple[str, str], str]) -> bool:
    """Return whether an act has a signature that fits its hash and a key of the person who made it."""
    public = publics.get((row.key_id, row.by))
    if public is None or not row.signature:
        return False
    try:
        return signing.check(public, acts.message(row.hash), row.signature)
    except ValueError:  # a key or a signature that is none
        return False


def _changed_words(connection: Connection, person: str) -> list[str]:
    kept = schema.words.c
    rows = connection.execute(select(kept.mark, kept.salt, kept.text).where(kept.person == person))
    return [
        f"words kept under the mark {row.mark[:12]} were changed"
        for row in rows
        if texts.mark_of(row.salt, row.text) != row.mark
    ]


def _not_following(records: Records, person: str) -> list[str]:
    """Replay this person's acts in a transaction that is then thrown away, and compare."""
    problems = []
    with said_plainly(records.path), records.engine.execution_options(write=True).connect() as connection:
        connection.begin()
        kept = {table.name: _rows(connection, table, person) for table in FOLLOWS}
        for table in reversed(FOLLOWS):
            connection.execute(table.delete().where(table.c.person == person))
        for act in list(acts.read(connection, person=person)):
            follow(connection, act)
        for table in FOLLOWS:
            if _rows(connection, table, person) != kept[table.name]:
                problems.append(f"the table {table.name!r} does not follow from the acts")
        connection.rollback()
    return problems


def _rows(connection: Connection, table: Any, person: str) -> set[Any]:
    return {tuple(row) for row in connection.execute(select(table).where(table.c.person == person))}
