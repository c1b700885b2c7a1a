"""`smokehouse outbox`: signed drafts where the records cannot be reached, and taking them in later."""

import sys
from pathlib import Path
from typing import Any, Literal

import click

from kit.basics.quantities import count_of
from kit.basics.typed_text import shown_text
from kit.cli.acting import (
    acted,
    as_option,
    closed_hand,
    open_hand,
    opened,
    password,
    records_option,
    said,
)
from kit.cli.tutor.seen_options import observation_of, seen_options
from kit.criteria import criterion_named
from kit.files.outbox import Outbox, OutboxDraft, make_outbox, read_outbox
from kit.files.signing import Signer, key_id_of, unseal_key
from kit.records.competence import observations
from kit.records.competence.deciding import DECISIONS, Wish
from kit.records.evidence.kept_files import Kind
from kit.records.intake import drafts
from kit.records.intake.drafts import DraftResult
from kit.records.people.find import one_of
from kit.records.people.keys import sealed_here
from kit.records.people.staff import Hand, Member

FILE = click.argument("file", type=click.Path(path_type=Path))


@click.group("outbox")
def command() -> None:
    """Draft and sign what you saw where the records cannot be reached; take it in later, once.

    A draft is no act yet, and nobody counts it. Its photographs and logs lie in a folder beside the outbox.
    """


@command.command("begin")
@FILE
@as_option
@records_option
def begin(file: Path, as_name: str, records_file: str | Path | None) -> None:
    """Make the outbox FILE while the records can still be reached.

    It carries the names of the crew and what stands decided, so keep it as safe as the records. It needs your
    key on the machine where you will draft.
    """
    with opened(records_file) as records:
        hand = open_hand(records, as_name)
        key = hand.key
        assert isinstance(key, Signer)
        made = make_outbox(file, drafts.outbox_head(hand, key.public), key)
    crew = count_of(len(made.head.crew), "apprentice")
    click.echo(f"Written to {file}, for {made.head.name} and {crew}. Draft with: smokehouse outbox observe")


@command.command("observe")
@FILE
@click.argument("name")
@click.argument("step")
@seen_options
@click.option("--photo", "photos", multiple=True, type=click.Path(path_type=Path), help="A photograph of it.")
@click.option("--log", "logs", multiple=True, type=click.Path(path_type=Path), help="A logger's file of it.")
def observe(
    file: Path, name: str, step: str, photos: tuple[Path, ...], logs: tuple[Path, ...], **given: Any
) -> None:
    """Draft into FILE that NAME was watched at a STEP such as cook, and sign it. No network is needed.

    Photographs, without the place, and logs are copied into the folder FILE-files: take it along with FILE.
    """
    given_files: list[tuple[Kind, Path]] = [("photo", each) for each in photos]
    given_files += [("logger", each) for each in logs]
    outbox = read_outbox(file)
    hand = _away(outbox)
    seen = observation_of(_person(outbox, name), step, hand.catalogue, given)
    observations.check(hand, seen)
    key = _key(outbox)
    _drafted(outbox, drafts.draft_observation(outbox, hand, key, seen, given_files))


@command.command("decide")
@FILE
@click.argument("name")
@click.argument("criterion")
@click.argument("decision", type=click.Choice(DECISIONS))
@click.option("--reason", required=True, help="On what it rests, and the feedback given.")
@click.option("--despite", default="", help="Why it holds although a reading says otherwise. Printed.")
def decide(file: Path, name: str, criterion: str, decision: str, reason: str, despite: str) -> None:
    """Draft into FILE a decision on one CRITERION of NAME, and sign it. No network is needed.

    Whether the evidence is enough is looked at when it is taken in.
    """
    outbox = read_outbox(file)
    hand = _away(outbox)
    person = _person(outbox, name)
    wish = Wish(criterion_named(criterion, hand.catalogue.criteria), decision, reason, despite)
    key = _key(outbox)
    _drafted(outbox, drafts.draft_decision(outbox, hand, key, person, wish))


@command.command("show")
@FILE
def show(file: Path) -> None:
    """Show what lies in the outbox FILE. Every line and signature is checked; no network is needed."""
    outbox = read_outbox(file)
    head = outbox.head
    click.echo(f"Outbox of {head.name}, begun {head.made_at.astimezone():%Y-%m-%d %H:%M}")
    for draft in outbox.drafts:
        click.echo(_line(outbox, draft))
    click.echo(f"{count_of(len(outbox.drafts), 'draft')}, each signed with the key {key_id_of(head.public)}.")
    _tell_torn(outbox)


@command.command("take-in")
@click.argument("files", nargs=-1, required=True, type=click.Path(path_type=Path))
@as_option
@records_option
def take_in(files: tuple[Path, ...], as_name: str, records_file: str | Path | None) -> None:
    """Turn the drafts in your outbox FILES into acts, each once, in order of time.

    What somebody else decided meanwhile, or what the records do not allow, waits for you: it is shown, and
    you settle it. Ends with code 1 if any draft waits.
    """
    outboxes = [read_outbox(file) for file in dict.fromkeys(files)]
    with opened(records_file) as records:
        closed = closed_hand(records, as_name)
        for outbox in outboxes:
            drafts.check_owner(closed, outbox)
        found = drafts.look_at_drafts(records, outboxes)
        if any(one.state == "new" for one in found):
            found = drafts.take_drafts_in(open_hand(records, closed.person), outboxes)
    for one in found:
        _tell(one)
    waits = sum(one.state == "waits" for one in found)
    fresh = sum(one.fresh for one in found)
    click.echo(
        f"{count_of(fresh, 'draft')} recorded now, {len(found) - fresh - waits} done before, {waits} waiting."
    )
    for outbox in outboxes:
        _tell_torn(outbox)
    if not waits:
        click.echo("Nothing waits. The files hold names and words: delete them when you are sure.")
    sys.exit(1 if waits else 0)


@command.command("settle")
@FILE
@click.argument("line", type=int)
@click.argument("how", type=click.Choice(["record", "drop"]))
@click.option("--reason", required=True, help="What you looked at, and why.")
@click.option("--seen-act", type=int, help="The act of the decision that stands now; 0 if there is none.")
@as_option
@records_option
def settle(
    file: Path,
    line: int,
    how: Literal["record", "drop"],
    reason: str,
    seen_act: int | None,
    as_name: str,
    records_file: str | Path | None,
) -> None:
    """Settle the draft on LINE of FILE that waits: record it all the same, or drop it. Both are acts."""
    outbox = read_outbox(file)
    with opened(records_file) as records:
        said(
            acted(
                records, as_name, lambda hand: drafts.settle_draft(hand, outbox, line, how, reason, seen_act)
            )
        )


def _away(outbox: Outbox) -> Hand:
    return drafts.away_hand(outbox)


def _person(outbox: Outbox, name: str) -> str:
    crew = [Member(person, each, (), (), None) for person, each in outbox.head.crew.items()]
    return one_of(crew, name, lambda member: member.person).person


def _key(outbox: Outbox) -> Signer:
    head = outbox.head
    sealed = sealed_here(key_id_of(head.public), head.name)
    return unseal_key(sealed, password(f"Password of {head.name}'s key"))


def _drafted(outbox: Outbox, draft: OutboxDraft) -> None:
    click.echo(f"Drafted: {_line(outbox, draft)}")
    click.echo(f"It is no act yet. Later: smokehouse outbox take-in {outbox.path} --as {outbox.head.name!r}")


def _line(outbox: Outbox, draft: OutboxDraft) -> str:
    facts = draft.facts
    who = outbox.head.crew.get(str(facts.get("person")), str(facts.get("person")))
    points = facts.get("points")
    if isinstance(points, dict):
        what = "; ".join(f"{name} {outcome}" for name, outcome in points.items())
    else:
        what = f"{facts.get('criterion')} {facts.get('decision')}"
    return shown_text(f"{draft.line}. {draft.at.astimezone():%Y-%m-%d %H:%M}, {who}: {draft.what}, {what}")


def _tell(one: DraftResult) -> None:
    state = f"{one.state} as act {one.act}" if one.act else one.state
    click.echo(f"{_line(one.outbox, one.draft)}: {state}")
    if one.state != "waits":
        return
    file, line = one.outbox.path, one.draft.line
    click.echo(f"   {shown_text(one.why)}")
    if one.stands:
        click.echo(f"   {shown_text(one.stands)}")
    seen = f" --seen-act {one.stands_act}" if one.draft.what == "decided" else ""
    click.echo(
        f"   To record it all the same: smokehouse outbox settle {file} {line} record{seen} --reason …"
    )
    click.echo(f"   To drop it: smokehouse outbox settle {file} {line} drop --reason …")


def _tell_torn(outbox: Outbox) -> None:
    if outbox.torn:
        click.echo(
            f"{outbox.path.name}: its last line was cut off and is left out. Is there a whole copy?", err=True
        )
