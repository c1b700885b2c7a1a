"""What was drafted away from the records: writing it into an outbox, and turning it into acts later, once.

A draft is judged when it is taken in, by what stands in the records then. Whatever speaks against it makes it
wait: its owner looks at what stands now, and records or drops it. Dropping is an act too.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import Any, Literal

from sqlalchemy import Connection, create_engine, select

from kit.basics.data_files import build
from kit.basics.errors import BadData, KitError, OutOfRange
from kit.basics.typed_text import LEAST_REASON
from kit.exercises.catalogue import Catalogue
from kit.files.outbox import Outbox, OutboxDraft, OutboxHead, add_draft, new_outbox_id
from kit.files.signing import Signer
from kit.records.competence import observations
from kit.records.competence.deciding import Wish, check_wish, decide_within
from kit.records.competence.decision_state import decisions
from kit.records.competence.observations import Observation
from kit.records.evidence.kept_files import Kind
from kit.records.intake.draft_files import NONE, DraftFiles, bring_files, lay_files
from kit.records.ledger import acts, texts
from kit.records.ledger.acts import Act, Draft, NotAllowed
from kit.records.people.crew import crew_by_name
from kit.records.people.staff import Hand, name_of, utc_now, write
from kit.records.storage import schema
from kit.records.storage.store import DiskTrouble, Records, RecordsBusy

DROPPED = "draft dropped"
"""The kind of act that says that a draft was not made an act, and why."""
_LEFT_OUT = ("files", "verdicts", "sat", "given")
"""What an observation may hold that a draft does not: its files lie beside the outbox."""
DraftState = Literal["new", "recorded", "dropped", "waits"]
_Known = dict[tuple[str, int], Act]


@dataclass(frozen=True)
class DraftResult:
    """What became of one draft: the act that records or drops it, or why it waits.

    For a decision that waits ``stands`` says in words what stands now, and ``stands_act`` is its act.
    """

    outbox: Outbox
    draft: OutboxDraft
    state: DraftState
    act: int = 0
    why: str = ""
    fresh: bool = False
    stands: str = ""
    stands_act: int = 0


def outbox_head(hand: Hand, public: str) -> OutboxHead:
    """Return what an outbox of this person begins with: the crew, their decisions, the end of the chain."""
    with hand.records.reading() as connection:
        crew = {one.person: one.name for one in crew_by_name(connection) if one.enrolled}
        standing = decisions(connection, hand.catalogue, hand.today(), list(crew))
        end, name = acts.head(connection), name_of(connection, hand.person)
    told = {who: {about: one.act for about, one in each.items()} for who, each in standing.items()}
    now = hand.clock()
    return OutboxHead(new_outbox_id(), hand.person, name, public, now, end.number, end.hash, crew, told)


def away_hand(
    outbox: Outbox, clock: Callable[[], datetime] = utc_now, catalogue: Catalogue | None = None
) -> Hand:
    """Return a hand that works without the records: it can check what is typed, and nothing else."""
    nowhere = Records(Path("away"), create_engine("sqlite://"))
    return Hand(nowhere, outbox.head.person, clock=clock, catalogue=catalogue or Catalogue())


def draft_observation(
    outbox: Outbox, hand: Hand, key: Signer, seen: Observation, files: Sequence[tuple[Kind, Path]] = ()
) -> OutboxDraft:
    """Check an observation as far as can be done away from the records, and put it into the outbox.

    Raises
    ------
    KitError
        If it makes no sense, or a reading contradicts it and no reason says why it counts.
    BadData
        If it names files that are on record, or a test paper; or a file of ``files`` is no evidence.
    """
    if any(getattr(seen, name) for name in _LEFT_OUT):
        raise BadData(
            "the draft", "it names kept files or a test paper", "what was seen, and files from here"
        )
    _check_crew(outbox, seen.person)
    observations.check(hand, seen)
    facts = {name: value for name, value in asdict(seen).items() if name not in _LEFT_OUT}
    facts |= {"day": seen.day.isoformat()}
    if files:
        facts["attached"] = lay_files(outbox.path, files)
    return add_draft(outbox, "observed", facts, key, hand.clock)


def draft_decision(outbox: Outbox, hand: Hand, key: Signer, person: str, wish: Wish) -> OutboxDraft:
    """Put a decision into the outbox, with what was known to stand before it.

    Raises
    ------
    KitError
        If the criterion or the decision is unknown, or there is no reason.
    """
    _check_crew(outbox, person)
    check_wish(hand, wish)
    facts = {name: value for name, value in asdict(wish).items() if name != "seen_act"} | {"person": person}
    about = (person, wish.criterion)
    earlier = [one.line for one in outbox.drafts if one.what == "decided" and _about(one) == about]
    facts["seen_act"] = outbox.head.standing.get(person, {}).get(wish.criterion, 0)
    facts["seen_line"] = earlier[-1] if earlier else 0
    return add_draft(outbox, "decided", facts, key, hand.clock)


def look_at_drafts(records: Records, outboxes: Sequence[Outbox]) -> list[DraftResult]:
    """Return every draft of some outboxes in order of time, and which are recorded or dropped already.

    Raises
    ------
    BadData
        If an outbox was begun at other records, is signed with no key of its owner's, or is another
        continuation of one that was taken in.
    """
    with records.reading() as connection:
        known = _known(connection)
        for outbox in outboxes:
            _check_home(connection, outbox)
    found = {(box.head.id, one.line, one.hash): (box, one) for box in outboxes for one in box.drafts}
    _check_one_each(outboxes)
    in_order = sorted(found.values(), key=lambda each: (each[1].at, each[0].head.id, each[1].line))
    return [_standing(known, box, one) or DraftResult(box, one, "new") for box, one in in_order]


def take_drafts_in(hand: Hand, outboxes: Sequence[Outbox]) -> list[DraftResult]:
    """Turn the drafts of one person's outboxes into acts, each once, in order of time.

    Each is written by itself: what was recorded stays recorded if the machine stops. A draft that something
    speaks against waits, and says why.

    Raises
    ------
    NotAllowed
        If an outbox is somebody else's: everybody takes in their own.
    BadData
        See ``look_at_drafts``. Nothing is recorded then.
    RecordsBusy, DiskTrouble, ClockBehind, ClockAhead
        If the records cannot be written now. Take the outbox in again later.
    """
    for outbox in outboxes:
        check_owner(hand, outbox)
    done, after = [], 0
    known: _Known = {}
    for result in look_at_drafts(hand.records, outboxes):
        if result.state == "new":
            after, result = _take_one(hand, result, known, after)
        done.append(result)
    return done


def settle_draft(
    hand: Hand,
    outbox: Outbox,
    line: int,
    how: Literal["record", "drop"],
    reason: str,
    seen_act: int | None = None,
) -> Act:
    """Settle a draft that waits: record it although something came in between, or drop it.

    Parameters
    ----------
    hand : Hand
        Its owner, with an opened key.
    outbox : Outbox
        Where it lies.
    line : int
        Its line, from 1.
    how : str
        ``record`` or ``drop``.
    reason : str
        Why, in words. It is kept with the act.
    seen_act : int, optional
        For a decision that is recorded: the act of the decision that stands now, 0 for none. If another has
        come since, nothing is recorded.

    Raises
    ------
    KitError
        If it may not be recorded: what the records ask for holds here too.
    """
    check_owner(hand, outbox)
    draft = next((one for one in outbox.drafts if one.line == line), None)
    if draft is None:
        raise OutOfRange("the line", line, f"from 1 to {len(outbox.drafts)}")
    if len(reason.strip()) < LEAST_REASON:
        raise OutOfRange("the reason", repr(reason), "a few words", "Say what you looked at.")
    look_at_drafts(hand.records, [outbox])
    named = replace(hand, drafted=_mark(outbox, draft))
    files = bring_files(hand, outbox, draft, leave_out=True) if how == "record" else NONE
    with hand.records.writing() as connection:
        known = _known(connection)
        before = _standing(known, outbox, draft)
        if before is not None:
            raise BadData(f"line {line}", f"it was {before.state} already, by act {before.act}")
        if how == "record":
            seen = seen_act if draft.what == "decided" else 0
            if seen is None:
                raise BadData(
                    f"line {line}", "what stands now was not named", "--seen-act NUMBER, 0 for none"
                )
            return _record(connection, named, draft, seen, files, reason.strip())
        person, criterion = _about(draft)
        facts = {"what": draft.what, "reason": texts.keep(connection, reason, person)}
        return write(connection, named, Draft(DROPPED, hand.person, person, criterion or None, facts=facts))


def _take_one(hand: Hand, result: DraftResult, known: _Known, after: int) -> tuple[int, DraftResult]:
    outbox, draft = result.outbox, result.draft
    try:
        _check_time(hand, draft)
        files = bring_files(hand, outbox, draft)
        with hand.records.writing() as connection:
            known |= _known(connection, after)  # somebody else may have taken it in meanwhile
            after = acts.head(connection).number
            done = _standing(known, outbox, draft)
            if done is not None:
                return after, done
            seen = _seen(known, outbox, draft)
            act = _record(connection, replace(hand, drafted=_mark(outbox, draft)), draft, seen, files)
    except (RecordsBusy, DiskTrouble, acts.ClockBehind, acts.ClockAhead):
        raise
    except KitError as error:
        stands, act_now = _stands_now(hand, draft)
        told = replace(result, state="waits", why=str(error), stands=stands, stands_act=act_now)
        return after, told
    return after, replace(result, state="recorded", act=act.number, fresh=True)


def _stands_now(hand: Hand, draft: OutboxDraft) -> tuple[str, int]:
    """Return in words which decision stands now on what a draft decides, and its act."""
    person, criterion = _about(draft)
    if draft.what != "decided":
        return "", 0
    with hand.records.reading() as connection:
        now = decisions(connection, hand.catalogue, hand.today(), [person]).get(person, {}).get(criterion)
        if now is None:
            return "Nothing is decided there now.", 0
        who = name_of(connection, now.by)
    return f"Now stands: {now.says}, by {who} on {now.day.isoformat()}, act {now.act}.", now.act


def _record(
    connection: Connection, hand: Hand, draft: OutboxDraft, seen: int, files: DraftFiles, settled: str = ""
) -> Act:
    where, facts = f"draft {draft.line}", dict(draft.facts)
    if draft.what == "decided":
        person = str(facts.pop("person", ""))
        facts |= {"seen_act": seen}
        facts.pop("seen_line", None)
        wish = build(Wish, facts, where)
        wish = replace(wish, reason=" ".join(part for part in (wish.reason.strip(), settled) if part))
        check_wish(hand, wish)
        return decide_within(connection, hand, person, wish)
    facts.pop("attached", None)
    sight = replace(build(Observation, facts, where), files=files.shas, verdicts=files.verdicts)
    sight = replace(sight, despite=" ".join(part for part in (sight.despite.strip(), settled) if part))
    return observations.observe_within(connection, hand, sight, observations.check(hand, sight))


def _seen(known: _Known, outbox: Outbox, draft: OutboxDraft) -> int:
    """Return which decision stood before this one, as its maker knew: an act, or an earlier draft's."""
    line, seen = draft.facts.get("seen_line", 0), draft.facts.get("seen_act", 0)
    if not (isinstance(line, int) and isinstance(seen, int) and 0 <= line < draft.line):
        raise BadData(f"draft {draft.line}", "what it says it had seen makes no sense", "an earlier line")
    if not line:
        return seen
    earlier = outbox.drafts[line - 1]
    act = known.get((outbox.head.id, line))
    if act is None:
        raise BadData(f"draft {draft.line}", f"draft {line} on the same criterion waits before it")
    return _seen(known, outbox, earlier) if act.kind == DROPPED else act.number


def _known(connection: Connection, after: int = 0) -> _Known:
    """Return the acts that record or drop drafts, by outbox and line."""
    found: _Known = {}
    for act in acts.read(connection, after=after, fact="draft"):
        mark = act.facts.get("draft")
        if isinstance(mark, Mapping):
            found[str(mark.get("outbox")), int(mark.get("line", 0))] = act
    return found


def _standing(known: _Known, outbox: Outbox, draft: OutboxDraft) -> DraftResult | None:
    act = known.get((outbox.head.id, draft.line))
    if act is None:
        return None
    if act.facts["draft"].get("hash") != draft.hash:
        raise BadData(
            f"{outbox.path.name}, draft {draft.line}",
            f"act {act.number} was made of another draft in this place",
            "one continuation of an outbox",
            "Was the file copied, and both copies written to?",
        )
    state: DraftState = "dropped" if act.kind == DROPPED else "recorded"
    return DraftResult(outbox, draft, state, act.number)


def _mark(outbox: Outbox, draft: OutboxDraft) -> dict[str, Any]:
    at = draft.at.isoformat(timespec="seconds")
    return {"outbox": outbox.head.id, "line": draft.line, "hash": draft.hash, "at": at}


def _about(draft: OutboxDraft) -> tuple[str, str]:
    return str(draft.facts.get("person", "")), str(draft.facts.get("criterion", ""))


def _check_crew(outbox: Outbox, person: str) -> None:
    if person not in outbox.head.crew:
        raise BadData(person, "nobody of this id learned here when the outbox was begun", "one of its crew")


def check_owner(hand: Hand, outbox: Outbox) -> None:
    """Raise NotAllowed if an outbox is somebody else's."""
    if hand.person != outbox.head.person:
        raise NotAllowed(
            f"{outbox.path.name} is the outbox of {outbox.head.name}. Everybody takes in their own."
        )


def _check_time(hand: Hand, draft: OutboxDraft) -> None:
    if draft.at > hand.clock() + acts.CLOCK_SLACK:
        told = f"it bears the time {draft.at:%Y-%m-%d %H:%M} UTC, which has not come yet"
        raise BadData(f"draft {draft.line}", told, "an earlier time", "Was the clock of that machine right?")


def _check_home(connection: Connection, outbox: Outbox) -> None:
    table, keys = schema.acts.c, schema.signing_keys.c
    head, where = outbox.head, outbox.path.name
    if connection.scalar(select(table.hash).where(table.number == head.number)) != head.chain:
        cause = "Were these records put back to an earlier moment?"
        raise BadData(where, "it was begun at other records", "an outbox begun at these", cause)
    owner = connection.scalar(select(keys.person).where(keys.public == head.public))
    if owner != head.person:
        raise BadData(where, f"its key is none of {head.name}'s on file", "the key that is on file")


def _check_one_each(outboxes: Iterable[Outbox]) -> None:
    """Refuse two files that go on differently from one outbox."""
    seen: dict[tuple[str, int], str] = {}
    for outbox in outboxes:
        for draft in outbox.drafts:
            if seen.setdefault((outbox.head.id, draft.line), draft.hash) != draft.hash:
                raise BadData(
                    f"{outbox.path.name}, draft {draft.line}",
                    "another file given here says something else in this place",
                    "one continuation of an outbox",
                    "Was the file copied, and both copies written to?",
                )
