"""`smokehouse today`: what to do today, the same as on the first page."""

import textwrap

import click

from kit.cli.apprentice.people import ask_pin, choose
from kit.languages import ENGLISH
from kit.practice.lesson_files import lesson_files
from kit.practice.lesson_session import Session, start
from kit.practice.round_of_tasks import RoundTask
from kit.practice.today import CarryOn, StepToAlone, Today, minutes, why_words

WIDTH = 88


@click.command()
@click.option("--as", "name", metavar="NAME", help="Who works, where several people share this machine.")
def command(name: str | None) -> None:
    """Show where you go on, a round of about five tasks, and what to show your tutor.

    It answers nothing and keeps nothing: smokehouse open does the work.
    """
    person = choose(name)
    work = start(person.id, private=ask_pin(person))
    for line in lines(work.today(), work):
        click.echo(line)


def lines(today: Today, work: Session) -> list[str]:
    """Return what to do today, line by line."""
    said = [f"{work.name}: {ENGLISH.day(today.day)}", *([work.notice] if work.notice else []), ""]
    said += [*_carry_on(today.carry_on, work), ""]
    said += [*_round(today.round, work), ""]
    if today.show is not None:
        said += [*_wrapped(f"Show your tutor: {today.show.text}"), ""]
    said += ["How far to working alone:"]
    return said + [_step(one) for one in today.steps]


def _carry_on(on: CarryOn | None, work: Session) -> list[str]:
    if on is None:
        return ["You have tried every task of every lesson."]
    titles = {one.number: one.title for one in lesson_files()}
    where = f"Lesson {titles.get(on.lesson, on.lesson)}"
    state = "It is not right yet." if on.begun else "It is new."
    what = f"Go on: {where}. Task “{work.catalogue.info(on.exercise).title}”. {state}"
    return [*_wrapped(what), f"  smokehouse open --lesson {on.lesson}"]


def _round(tasks: tuple[RoundTask, ...], work: Session) -> list[str]:
    if not tasks:
        begun = bool(work.tries())
        return ["Nothing is due today." if begun else "After your first tasks, a short round waits here."]
    left = minutes(tasks)
    head = f"Your round, about {left} min more (smokehouse open --today):" if left else "Your round is done:"
    return [head, *(f"  {_row(one, work)}" for one in tasks)]


def _row(one: RoundTask, work: Session) -> str:
    return f"[{'x' if one.done else ' '}] {work.catalogue.info(one.exercise).title}: {why_words(one)}"


def _step(one: StepToAlone) -> str:
    known = f"{one.shown} known, {one.begun} begun, of {one.to_know}"
    return f"  {one.title:<34}{known:<26}{one.to_be_seen:>2} for your tutor to see"


def _wrapped(text: str) -> list[str]:
    return textwrap.wrap(text, WIDTH, subsequent_indent="  ")
