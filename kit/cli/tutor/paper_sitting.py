"""Serving a sitting on this machine until it is handed in."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Sequence
from pathlib import Path

import click

from kit.basics import places
from kit.cli import to_browser
from kit.exercises.engine.kitchen_rules import set_apart
from kit.marking.model import Picture, Question
from kit.marking.page import page_form
from kit.records.competence.kept_sitting import KeptSitting
from kit.records.competence.papers import TestPaper, result_act
from kit.records.competence.sitting import SatPaper
from kit.records.ledger.acts import NotAllowed
from kit.records.people.staff import Hand
from kit.views.tutor.sitting_page import SittingPage, SittingTask


def serve(
    hand: Hand,
    paper: TestPaper,
    name: str,
    questions: Sequence[Question],
    draw_png: Callable[[Picture], bytes],
    port: int | None,
    *,
    browser: bool,
) -> SatPaper | None:
    """Serve the sitting; return it once it was handed in, or None if it was broken off. Nothing is lost."""
    with hand.records.reading() as connection:
        before = result_act(connection, paper.id)
    if before is not None:
        raise NotAllowed(f"The paper {paper.id} was marked before, by act {before.number}: it is sat once.")
    kept = KeptSitting(paper, _folder(), hand.clock)
    kept.open()
    room = kept.folder / f"{paper.id}_page"
    try:
        _after_a_break(kept)
        tasks = [sitting_task(each, draw_png) for each in questions]
        page = SittingPage(name, paper.id, tasks, kept.answers, kept.ends, kept.begin, kept.keep, port)
        asyncio.run(_until_handed_in(page, room, browser))
        return kept.as_sat()
    except KeyboardInterrupt:
        click.echo("\nBroken off. What was answered is kept; the same command goes on.")
        return None
    finally:
        to_browser.forget(room)
        kept.close()


def sitting_task(question: Question, draw_png: Callable[[Picture], bytes]) -> SittingTask:
    """Return what the page may show of a question: no answer, no slip, no seed, no name of its exercise."""
    form = {name: value for name, value in page_form(question).items() if name not in ("exercise", "version")}
    form["text"], form["rule"] = set_apart(question.text, question.profile)
    if question.picture is None:
        return SittingTask(form)
    return SittingTask(form, draw_png(question.picture), question.picture.text)


def forget(paper: TestPaper) -> None:
    """Remove what was kept of a sitting whose result is on record."""
    KeptSitting(paper, _folder()).forget()


def _folder() -> Path:
    return places.tutor_folder() / "sittings"


def _after_a_break(kept: KeptSitting) -> None:
    if kept.started is None:
        return
    click.echo(f"This sitting began before; {len(kept.answers)} answers are kept.")
    if click.confirm("Leave the time since the last answer out of the time used?", default=False):
        click.echo(f"{kept.leave_out_the_break()} min do not count.")


async def _until_handed_in(page: SittingPage, room: Path, browser: bool) -> None:
    page.open()
    click.echo(f"{page.name} sits the paper {page.paper}: {page.address}")
    click.echo("Stay with them. Ctrl-C breaks off; nothing is lost.")
    if browser and not to_browser.show(page.address, room):
        click.echo("No browser could be opened. Copy the address above into one on this machine.")
    await page.handed_in.wait()
    await asyncio.sleep(0.3)  # the last page is still on its way
    await page.shut()
