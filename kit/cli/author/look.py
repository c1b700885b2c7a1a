"""What an author sees of an exercise, a rule or an explorer without opening a lesson."""

from __future__ import annotations

import contextlib
import difflib
import io
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from kit.basics.errors import BadData, UnknownName
from kit.cli.output_files import ending_of

if TYPE_CHECKING:
    from kit.rules import Rule
    from kit.views.pictures.register import Drawing


@dataclass(frozen=True)
class Preview:
    """What there is to read, and the drawing that goes with it, if any."""

    text: str
    drawing: Drawing | None = None


def preview(name: str, *, seed: int = 11, profile: str = "ie", settings: Iterable[str] = ()) -> Preview:
    """Return what an exercise, a rule or an explorer of that name looks like.

    Parameters
    ----------
    name : str
        The id of an exercise or a rule, or the name of an explorer.
    seed : int
        The variant of an exercise.
    profile : str
        The rules an exercise is drawn under, and an explorer's settings are held against.
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

    rules = _rules()
    tasks = (*exercises.ids(), *exercises.explain_ids())
    if name in tasks:
        return _exercise(name, seed, profile)
    if name in rules:
        return Preview(_rule_words(rules[name]))
    if name in explorer_names():
        return _explorer(name, settings, profile)
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


def _exercise(name: str, seed: int, profile: str) -> Preview:
    from kit import exercises
    from kit.views.pictures.register import draw_picture
    from kit.views.workbook.worked_answers import show

    said = io.StringIO()
    with contextlib.redirect_stdout(said):
        show(name, seeds=(seed, seed + 1, seed + 2), profile=profile)
    picture = exercises.question(name, seed, profile).picture
    if name in exercises.ids():
        said.write(_panel_words(name, profile))
    return Preview(said.getvalue().rstrip(), draw_picture(picture.name, picture.data) if picture else None)


def _panel_words(name: str, profile: str) -> str:
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


def _rules() -> dict[str, Rule]:
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
        found = rules.judge_rule(_values(rule, example), rule, purpose=rule.purpose)
        lines.append(f"Example that {word}: {example} is {found.outcome!r}. {found.why}")
    return "\n".join(lines)


def _values(rule: Rule, example: Any) -> Mapping[str, float]:
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
