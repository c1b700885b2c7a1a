"""`smokehouse record`: observations, decisions, second signatures and appeals, for those who script."""

import os
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import Any

import click

from kit.basics.quantities import count_of
from kit.cli.acting import (
    DAY,
    acted,
    acted_with_trust,
    as_option,
    day_or_today,
    open_hand,
    opened,
    records_option,
    said,
)
from kit.cli.tutor.moving import bring, elsewhere, give
from kit.cli.tutor.seen_options import observation_of, seen_options
from kit.criteria import criterion_named
from kit.exercises.catalogue import Catalogue
from kit.records.competence import deciding, observations
from kit.records.evidence import kept_files
from kit.records.evidence.kept_files import check_files
from kit.records.intake import review
from kit.records.intake.unnamed_slips import unnamed_slips
from kit.records.ledger import acts
from kit.records.ledger.draws import NOT_DRAWN
from kit.records.ledger.projection import check_since
from kit.records.people import staff
from kit.records.reports.book_story import book_story
from kit.records.reports.verifier_day import verifier_day
from kit.records.upkeep.whole_check import check_all

PROCESSES = min(os.cpu_count() or 1, 4)


@click.group("record")
def command() -> None:
    """Record what was seen and decided. The desk does the same with the mouse: `smokehouse desk`."""


@command.command("observe")
@click.argument("name")
@click.argument("step")
@seen_options
@click.option("--file", "files", multiple=True, help="The SHA-256 of a file from `smokehouse attach`.")
@as_option
@records_option
def observe(
    name: str,
    step: str,
    files: tuple[str, ...],
    as_name: str,
    records_file: str | Path | None,
    **given: Any,
) -> None:
    """Record that NAME was watched at a STEP such as cook, or asked about it."""
    with opened(records_file) as records:
        seen = observation_of(staff.find(records, name).person, step, Catalogue(), given)
        seen = replace(seen, files=files, verdicts=kept_files.verdicts_on(records, files))
        said(acted(records, as_name, lambda hand: observations.observe(hand, seen)))


@command.command("correct")
@click.argument("batch")
@click.option("--happened", required=True, help="What went wrong, in words.")
@click.option("--action", required=True, help="What was done about it.")
@click.option("--day", type=DAY, help="The day. Without it: today.")
@as_option
@records_option
def correct(
    batch: str,
    happened: str,
    action: str,
    day: datetime | None,
    as_name: str,
    records_file: str | Path | None,
) -> None:
    """Record a deviation on a BATCH and the corrective action."""
    with opened(records_file) as records:
        on = day_or_today(day)
        said(
            acted(
                records,
                as_name,
                lambda hand: observations.correct(hand, batch, happened, action, day=on),
                need_key=False,
            )
        )


@command.command("decide")
@click.argument("name")
@click.argument("criterion")
@click.argument("decision", type=click.Choice(["competent", "not yet competent"]))
@click.option("--reason", required=True, help="On what it rests, and the feedback given.")
@click.option("--despite", default="", help="Why it holds although a reading says otherwise. Printed.")
@as_option
@records_option
def decide(
    name: str,
    criterion: str,
    decision: str,
    reason: str,
    despite: str,
    as_name: str,
    records_file: str | Path | None,
) -> None:
    """Decide on one CRITERION of NAME, as a tutor, signed."""
    with opened(records_file) as records:
        person = staff.find(records, name).person
        about = criterion_named(criterion, Catalogue().criteria)
        act = acted(
            records,
            as_name,
            lambda hand: deciding.decide(hand, person, about, decision, reason, despite=despite),
        )
    said(act)
    if act.facts.get("second_wanted"):
        click.echo("A verifier is to sign this one too: smokehouse record verify " + str(act.number))
    elif act.facts.get("draw_every"):
        click.echo(f"{NOT_DRAWN.capitalize()}.")


@command.command("verify")
@click.argument("act", type=int)
@click.option("--agree/--disagree", required=True, help="Whether you agree with the decision.")
@click.option("--reason", required=True, help="What you looked at.")
@as_option
@records_option
def verify(act: int, agree: bool, reason: str, as_name: str, records_file: str | Path | None) -> None:
    """Put a second signature under the decision of that ACT number, as a verifier."""
    with opened(records_file) as records:
        said(acted(records, as_name, lambda hand: deciding.verify(hand, act, agree, reason)))


@command.command("appeal")
@click.argument("act", type=int)
@click.option("--words", required=True, help="What the apprentice says.")
@as_option
@records_option
def appeal(act: int, words: str, as_name: str, records_file: str | Path | None) -> None:
    """Open the decision of that ACT number again: the apprentice disputes it."""
    with opened(records_file) as records:
        said(acted(records, as_name, lambda hand: deciding.appeal(hand, act, words), need_key=False))


@command.command("settle")
@click.argument("act", type=int)
@click.argument("outcome", type=click.Choice(["stands", "assess again"]))
@click.option("--reason", required=True, help="What you looked at, and why.")
@as_option
@records_option
def settle(act: int, outcome: str, reason: str, as_name: str, records_file: str | Path | None) -> None:
    """Settle the appeal of that ACT number, as somebody else than the person who decided."""
    with opened(records_file) as records:
        said(acted(records, as_name, lambda hand: deciding.settle(hand, act, outcome, reason)))


@command.command("sample")
@as_option
@records_option
def sample(as_name: str, records_file: str | Path | None) -> None:
    """List what waits for you as a verifier: appeals, second signatures, and the sample by risk."""
    from kit.records.competence.moderating import RULE, SAMPLE_SAYS

    with opened(records_file) as records:
        hand = open_hand(records, as_name, need_key=False)
        found = verifier_day(records, hand.person, hand.today(), hand.catalogue)
    for one in found:
        click.echo(f"act {one.act}  {one.criterion}, {one.name}: {one.says}")
    click.echo(f"{count_of(len(found), 'thing')}. Rule {RULE}. {SAMPLE_SAYS}")


@command.command("moderate")
@click.argument("act", type=int)
@click.argument("finding", type=click.Choice(["sound", "to improve", "look again"]))
@click.option("--reason", required=True, help="What you looked at, and what the tutor is to hear.")
@as_option
@records_option
def moderate(act: int, finding: str, reason: str, as_name: str, records_file: str | Path | None) -> None:
    """Say as a verifier what you found on the decision of that ACT number, out of the sample."""
    from kit.records.competence import moderating

    with opened(records_file) as records:
        for made in moderating.moderate(open_hand(records, as_name), act, finding, reason):
            said(made)


@command.command("look")
@click.argument("name")
@click.argument("sort", type=click.Choice(["flag", "dispute", "explanation"]))
@click.argument("line", type=int)
@click.argument("outcome")
@click.option("--kind", default="", help="The kind of flag, where it is one.")
@click.option("--reason", required=True, help="What you found.")
@as_option
@records_option
def look(
    name: str,
    sort: str,
    line: int,
    outcome: str,
    kind: str,
    reason: str,
    as_name: str,
    records_file: str | Path | None,
) -> None:
    """Say what you found on LINE of the book of NAME: a flag, a disputed mark, or an explanation."""
    with opened(records_file) as records:
        person = staff.find(records, name).person
        said(
            acted(
                records,
                as_name,
                lambda hand: review.look_at(hand, person, sort, line, outcome, reason, kind),
            )
        )


@command.command("correct-clock")
@click.option("--reason", required=True, help="How the clock came to be wrong.")
@as_option
@records_option
def correct_clock(reason: str, as_name: str, records_file: str | Path | None) -> None:
    """Say as a manager that the clock is right now, whatever times stand in the records before."""
    with opened(records_file) as records:
        said(acted_with_trust(records, as_name, lambda hand: staff.correct_clock(hand, reason)))


@command.command("how-it-came")
@click.argument("name")
@records_option
def how_it_came(name: str, records_file: str | Path | None) -> None:
    """Show how the answer book of NAME came about, and three questions to ask them aloud."""
    with opened(records_file) as records:
        story = book_story(records, staff.find(records, name).person)
    for line in story.lines():
        click.echo(line)


@command.command("unnamed")
@records_option
def unnamed(records_file: str | Path | None) -> None:
    """List wrong answers that show no known slip, with counts: what an author of questions names next."""
    with opened(records_file) as records:
        found = unnamed_slips(records)
    for one in found:
        click.echo(one.line())
    if not found:
        click.echo("Every wrong answer on record shows a known slip.")


@command.command("check")
@click.option(
    "--since", "seen", metavar="CODE", help="A code that an earlier paper or check showed: is it still there?"
)
@click.option("--only-new", is_flag=True, help="With --since: look only at the acts after that code. Quick.")
@records_option
def check(records_file: str | Path | None, seen: str | None, only_new: bool) -> None:
    """Check the chain, every row of every table and every kept file. Ends with code 1 if anything is wrong.

    Write down the code that it ends with. With --since, a later check tells whether the records still go on
    from there, or were cut short or written anew.
    """
    if only_new:
        _check_new(records_file, seen)
        return
    with opened(records_file) as records:
        found, kept = check_all(records, processes=PROCESSES), check_files(records)
        if seen is not None:
            with records.reading() as connection:
                cut = acts.follows(connection, seen)
            found = replace(found, problems=(*found.problems, *([cut] if cut else [])))
    for problem in found.problems:
        click.echo(problem)
    for point in found.not_checked:
        click.echo(f"not checked: {point}")
    click.echo("never summed up again: what practice had shown; that the lines named stood there is checked")
    for sha in kept.missing:
        click.echo(f"file {sha[:12]} is missing")
    for sha in kept.changed:
        click.echo(f"file {sha[:12]} was changed after it was kept")
    count = count_of(found.acts, "act")
    ends = "whole" if found.whole else f"NOT whole, {len(found.problems)} problems"
    click.echo(f"{count}; the chain is {ends}. It ends in {found.head.short}.")
    if not found.whole or kept.missing or kept.changed:
        raise SystemExit(1)


def _check_new(records_file: str | Path | None, seen: str | None) -> None:
    if seen is None:
        raise click.UsageError("--only-new needs a code to start from: --since CODE.")
    with opened(records_file) as records:
        found = check_since(records, seen)
    for line in (*found.problems, *(f"not checked: {point}" for point in found.not_checked)):
        click.echo(line)
    ends = "whole from there on" if found.whole else f"NOT whole, {len(found.problems)} problems"
    click.echo(f"{count_of(found.acts, 'act')}; the chain is {ends}. It ends in {found.head.short}.")
    if not found.whole:
        raise SystemExit(1)


for _each in (give, bring, elsewhere):
    command.add_command(_each)
