"""All an author wants to see of an exercise, a rule or an explorer, on one page that follows each save."""

from __future__ import annotations

import contextlib
import io
import subprocess
import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from kit.basics.atomic_files import write_private
from kit.cli.author import look
from kit.cli.author.check import faults_of

if TYPE_CHECKING:
    from kit.marking.model import Picture

SEEDS = 20
PAGE, STAMP = "look.html", "stamp.js"


@dataclass(frozen=True)
class LookPart:
    """One variant or setting: what it is, its words, and its picture as SVG where there is one."""

    title: str
    text: str
    svg: Any = ""


@dataclass(frozen=True)
class LookGroup:
    """The parts under one profile of rules."""

    title: str
    parts: tuple[LookPart, ...]


def write_page(name: str, folder: Path, *, seeds: int = SEEDS, error: str = "") -> Path:
    """Write the page of an exercise, a rule or an explorer into a folder, and return it.

    Parameters
    ----------
    name : str
        As of :func:`kit.cli.author.look.preview`.
    folder : Path
        Where to. It is made if it is not there.
    seeds : int
        How many variants of an exercise under each profile of rules.
    error : str
        Shown in place of everything else: why it does not run.

    Raises
    ------
    UnknownName
        If nothing is called that.
    """
    from kit.views.workbook.plain_pages import template

    stamp = str(time.time_ns())
    shown: dict[str, Any] = {"name": name, "title": name, "stamp": stamp, "error": error}
    if not error:
        shown |= _found(name, seeds)
    folder.mkdir(parents=True, exist_ok=True)
    write_private(folder / PAGE, template(PAGE).render(**shown).encode("utf-8"))
    write_private(folder / STAMP, f'window.lookStamp("{stamp}");\n'.encode())
    return folder / PAGE


def follow_saves(name: str, folder: Path) -> None:
    """Write the page anew, by a fresh program, whenever a file of the kit is saved; until it is stopped."""
    seen = look.last_save()
    with contextlib.suppress(KeyboardInterrupt):
        while True:
            time.sleep(look.WAIT_S)
            if (last := look.last_save()) > seen:
                seen = last
                once_more(name, folder)


def once_more(name: str, folder: Path) -> None:
    """Write the page by a fresh program, so that what was saved counts; if that fails, the page says why."""
    command = [sys.executable, "-m", "kit.cli", "author", "look", name, "--page-in", str(folder)]
    run = subprocess.run(command, capture_output=True, text=True, encoding="utf-8", check=False)
    if run.returncode:
        write_page(name, folder, error=(run.stderr or run.stdout).strip()[-3000:])
    click.echo(f"{name}: {'it does not run; the page says why' if run.returncode else 'shown anew'}")


def _found(name: str, seeds: int) -> dict[str, Any]:
    from kit import exercises

    if name not in (*exercises.ids(), *exercises.explain_ids()):
        made = look.preview(name)
        part = LookPart(
            "As it is drawn first" if made.drawing else "As it stands", made.text, _svg(made.drawing)
        )
        return {
            "title": made.text.splitlines()[0],
            "faults": faults_of(name),
            "groups": [LookGroup(name, (part,))],
        }
    groups = list(_variants(name, seeds))
    figures = []
    if name in exercises.ids():
        questions = [exercises.question(name, seed) for seed in range(seeds)]
        figures = [
            {"title": "By who knows nothing", "text": look.panel_words(name, "").strip()},
            {"title": "Plain English, and silence", "text": look.plain_words(questions).strip()},
        ]
    faults = faults_of(name) if name in exercises.ids() else []
    return {"title": exercises.info(name).title, "faults": faults, "figures": figures, "groups": groups}


def _variants(name: str, seeds: int) -> Iterator[LookGroup]:
    """Yield each profile that draws the exercise anew, with its variants; one group where none does."""
    from kit import exercises, rules
    from kit.exercises.engine.registry import takes_profile
    from kit.views.workbook.worked_answers import show

    for profile in rules.PROFILES if takes_profile(name) else [rules.DEFAULT]:
        parts = []
        for seed in range(seeds):
            said = io.StringIO()
            with contextlib.redirect_stdout(said):
                show(name, seeds=(seed,), profile=profile)
            drawn = exercises.question(name, seed, profile).picture
            parts.append(LookPart(f"Seed {seed}", said.getvalue().strip(), _picture(drawn)))
        yield LookGroup(f"Under the rules {profile}: {seeds} variants", tuple(parts))


def _picture(picture: Picture | None) -> Any:
    from kit.views.pictures.register import draw_picture

    return _svg(draw_picture(picture.name, picture.data)) if picture else ""


def _svg(drawing: Any) -> Any:
    """Return a drawing as SVG for the page: the kit draws it from numbers, so it is no text of anybody."""
    from markupsafe import Markup

    from kit.views.workbook.widget_base import page_picture

    return Markup(page_picture(drawing, label="")["svg"]) if drawing else ""
