"""What an author sees of an exercise, a rule or an explorer without opening a lesson."""

from __future__ import annotations

import contextlib
import difflib
import io
import subprocess
import sys
import time
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from kit.basics.errors import BadData, UnknownName
from kit.cli.author.new_lesson import lesson_words
from kit.cli.output_files import ending_of

if TYPE_CHECKING:
    from kit.marking.model import Question
    from kit.rules import Rule
    from kit.views.pictures.register import Drawing

KIT = Path(__file__).resolve().parents[2]
WAIT_S = 0.5


@dataclass(frozen=True)
class Preview:
    """What there is to read, and the drawing that goes with it, if any."""

    text: str
    drawing: Drawing | None = None


def preview(
    name: str,
    *,
    seed: int = 11,
    variants: int = 3,
    profile: str = "ie",
    settings: Iterable[str] = (),
) -> Preview:
    """Return what an exercise, a rule or an explorer of that name looks like.

    Parameters
    ----------
    name : str
        The id of an exercise or a rule, the name of an explorer, or the number of a lesson.
    seed : int
        The first variant of an exercise.
    variants : int
        How many variants to show.
    profile : str
        The rules an exercise is drawn under, and an explorer's settings are held against; ``all`` shows an
        exercise under each.
    settings : iterable of str
        Controls of an explorer, such as ``core_c=63``.

    Raises
    ------
    UnknownName
        If nothing is called that.

    Examples
    --------
    >>> preview("brine-degrees").text.splitlines()[0]
    'brine-degrees: Degrees to percent'
    """
    from kit import exercises
    from kit.views.pictures.register import explorer_names

    rules = all_rules()
    tasks = (*exercises.ids(), *exercises.explain_ids())
    if name.isdigit():
        return Preview(lesson_words(int(name), KIT.parent))
    if name in tasks:
        return _exercise(name, range(seed, seed + variants), profile)
    if name in rules:
        return Preview(_rule_words(rules[name]))
    if name in explorer_names():
        return _explorer(name, settings, "ie" if profile == "all" else profile)
    every = sorted((*tasks, *rules, *explorer_names()))
    near = difflib.get_close_matches(name, every, n=8, cutoff=0.4)
    raise UnknownName("exercise, rule or explorer", name, near or every)


def write_picture(made: Preview, out: Path) -> None:
    """Write the drawing of a preview to a file.

    Raises
    ------
    BadData
        If there is nothing drawn.
    OutOfRange
        If the ending is neither .svg nor, for a chart, .png.
    """
    if made.drawing is None:
        raise BadData(str(out), "there is no picture to write")
    figure = made.drawing.figure
    if isinstance(figure, str):
        ending_of(out, (".svg",))
        out.write_text(figure, encoding="utf-8")
    else:
        ending_of(out, (".svg", ".png"))
        figure.savefig(out, dpi=130, facecolor=figure.get_facecolor())


def _exercise(name: str, seeds: range, profile: str) -> Preview:
    from kit import exercises, rules
    from kit.exercises.engine.registry import takes_profile
    from kit.views.pictures.register import draw_picture
    from kit.views.workbook.worked_answers import show

    every = rules.PROFILES if profile == "all" and takes_profile(name) else [profile.replace("all", "ie")]
    said = io.StringIO()
    with contextlib.redirect_stdout(said):
        for each in every:
            if len(every) > 1:
                said.write(f"Under the rules {each}:\n\n")
            show(name, seeds=tuple(seeds), profile=each)
    questions = [exercises.question(name, seed, every[0]) for seed in seeds]
    if name in exercises.ids():
        said.write(panel_words(name, "" if profile == "all" else profile))
        said.write(plain_words(questions))
    picture = questions[0].picture
    return Preview(said.getvalue().rstrip(), draw_picture(picture.name, picture.data) if picture else None)


def plain_words(questions: Sequence[Question]) -> str:
    """Return how hard the texts of some variants are to read, and how many wrong answers meet silence."""
    from kit.cli.author.plain_words import measure, question_texts
    from kit.exercises.engine.silence import silent

    found = measure(dict.fromkeys(text for each in questions for text in question_texts(each)))
    quiet = {line.line for each in questions for line in silent(each)}
    return (
        f"\nPlain English: {found.mean_words:.1f} words a sentence, at most {found.longest_words}; "
        f"school grade {found.grade:.1f}.\n"
        f"Wrong answers met with silence: {', '.join(sorted(quiet)) or 'none'}."
    )


def last_save() -> float:
    """Return when a file of the kit was saved last. [s since 1970]"""
    return max(path.stat().st_mtime for path in KIT.rglob("*") if path.suffix in (".py", ".toml"))


def again_on_save(name: str) -> None:
    """Show something again in a fresh program whenever a file of the kit is saved, until it is stopped."""
    seen = 0.0
    with contextlib.suppress(KeyboardInterrupt):
        while True:
            if (last := last_save()) > seen:
                seen = last
                subprocess.run([sys.executable, "-m", "kit.cli", "author", "look", name], check=False)
                click.echo("\nWaiting for the next save. Ctrl-C ends it.")
            time.sleep(WAIT_S)


def panel_words(name: str, profile: str) -> str:
    """Return in a few lines how far the exercise can be guessed by who knows nothing."""
    from kit.exercises.engine.guess_panel import panel_figures

    found = panel_figures(name, seeds=60, profile=profile)
    member, share = found.best
    lines = [
        "",
        f"How far it can be guessed, over {found.questions} variants:",
        f"{found.contents} different questions, {found.truths} different answers.",
        f"Who knows nothing is right {share:.0%} of the time by {member!r};",
        f"who kept the answer of 1 other question {found.remembers_one:.0%},",
        f"of 3 others {found.remembers_three:.0%}.",
        "To mend: " + "; ".join(found.faults) + "." if found.faults else "It keeps every limit of the bank.",
    ]
    return "\n".join(lines)


def all_rules() -> dict[str, Rule]:
    """Return every rule of every profile by its id."""
    from kit import rules

    return {rule.id: rule for name in rules.PROFILES for rule in rules.load(name).rules}


def _rule_words(rule: Rule) -> str:
    from kit import rules

    source = rules.sources()[rule.source]
    label = f" [{rule.label}]" if rule.label else ""
    held = [name for name in rules.PROFILES if rule.id in {each.id for each in rules.load(name).rules}]
    lines = [
        f"{rule.id}: {rule.title}",
        f"{rules.STEPS[rule.step]}: {rule.limit}{label}",
        f"Point of the day: {', '.join(rule.point) or 'none'}",
        rule.says,
        f"Source: {source.title}, {source.edition}; {rule.locator}",
        f"In the profiles: {', '.join(held)}",
    ]
    for word, example in rule.example.items():
        found = rules.judge_rule(values_of(rule, example), rule, purpose=rule.purpose)
        lines.append(f"Example that {word}: {example} is {found.outcome!r}. {found.why}")
    return "\n".join(lines)


def values_of(rule: Rule, example: Any) -> Mapping[str, float]:
    """Return an example as numbers that can be judged: by rule for a window, else by quantity."""
    if isinstance(example, Mapping):
        return example
    return {rule.id if rule.form == "window" else rule.quantity: example}


def _explorer(name: str, settings: Iterable[str], profile: str) -> Preview:
    from kit.rules import load
    from kit.views.pictures.register import explorer_named

    spec = explorer_named(name)
    wanted = dict(each.partition("=")[::2] for each in settings)
    for key in wanted:
        if key not in spec.start():
            raise UnknownName(f"control of {name}", key, spec.start())
    settled = spec.settle(wanted)
    drawing = spec.draw(settled)
    controls = "; ".join(f"{key}={value}" for key, value in settled.items())
    own = spec.own(settled, load(profile)) if spec.own else ()
    lines = [f"{name}: {spec.title}", spec.intro, f"Set to: {controls}", *drawing.facts, *own]
    return Preview("\n".join([*filter(None, lines), f"In words: {drawing.text}"]), drawing)
