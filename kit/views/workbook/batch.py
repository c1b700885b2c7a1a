"""The whole-batch game as a widget: it shows the evidence of the stage reached, and nothing ahead of it.

What went wrong, what the evidence called for and every mark stay in the kernel until the batch is over.
Nothing done here is kept: the game is practice, and no mark of it goes into the answer book.
"""

from collections.abc import Mapping
from dataclasses import asdict
from secrets import randbelow
from typing import Any

import traitlets as t

from kit.basics.errors import BadData
from kit.exercises.lesson_08 import batch as game
from kit.exercises.lesson_08 import batch_text as words
from kit.exercises.lesson_08.batch_progress import MOST_REMEDIES, Play
from kit.exercises.lesson_08.batch_report import BatchReport, report
from kit.exercises.lesson_08.batch_run import USUAL_RULES
from kit.exercises.lesson_08.batch_story import (
    DECISIONS,
    LAST_REASONS,
    RECOMMENDATIONS,
    STAGES,
    Dial,
    reasons,
)
from kit.marking.draw import Draw
from kit.rules import Profile
from kit.views.pictures.register import draw_picture
from kit.views.workbook.widget_base import WorkbookWidget, page_picture, script

MOST_SEED = 999_999
"""Batches have numbers up to this, so that one can be read out and typed in."""


class BatchTask(WorkbookWidget):
    """A whole batch to run: set a stage, read its evidence, decide, and be marked at the end.

    Parameters
    ----------
    seed : int, optional
        The number of the batch. Without it each opening of the page draws one.
    profile : Profile
        The rules that its limits are read from.
    """

    _esm = script("common", "kinds", "batch")
    shown = t.Dict().tag(sync=True)
    said = "The whole batch. Run the lesson to play it."

    def __init__(self, seed: int | None = None, profile: Profile = USUAL_RULES) -> None:
        self._profile = profile
        self._play = game.start(_new_seed() if seed is None else seed, profile)
        super().__init__(shown=self._ready())

    def heard(self, content: Mapping[str, Any]) -> None:
        """Take one step, and show where the batch stands."""
        play = self._after(content)
        if play is not None:
            page = page_of(play)  # first, so that a fault in it leaves the batch where it was
            self._play = play
            self.shown = {**page, "serial": content.get("serial")}

    def _after(self, content: Mapping[str, Any]) -> Play | None:
        what = content.get("do")
        decision, reason, remedy = (str(content.get(each) or "") for each in ("decision", "reason", "remedy"))
        if what == "begin":
            return game.start(_seed(content.get("seed")), self._profile)
        if what == "new":
            return game.start(_new_seed(), self._profile)
        if what == "set":
            return game.set_dials(self._play, content.get("settings") or {})
        if what == "decide":
            return game.decide(self._play, decision, reason, remedy)
        return game.recommend(self._play, decision, reason) if what == "recommend" else None

    def trouble(self, content: Mapping[str, Any], words: str) -> None:
        """Say on the page what is wrong; the batch stays where it is."""
        self.shown = {**self.shown, "error": words, "serial": content.get("serial")}

    def _ready(self) -> dict[str, Any]:
        batch = self._play.batch
        return {"phase": "ready", "seed": batch.seed, "profile": batch.profile.title, "most": MOST_SEED}


def _new_seed() -> int:
    return randbelow(MOST_SEED) + 1


def _seed(value: Any) -> int:
    """Return the number of a batch as typed.

    Raises
    ------
    BadData
        If it is not a whole number of the right size.
    """
    text = str(value).strip()
    if isinstance(value, bool) or not text.isascii() or not text.isdigit() or int(text) > MOST_SEED:
        raise BadData("Number of the batch", f"{text or 'nothing'!r} was typed", f"0 to {MOST_SEED}")
    return int(text)


def page_of(play: Play) -> dict[str, Any]:
    """Return what a page may know of a batch where it stands."""
    shown = {
        "phase": play.phase,
        "seed": play.batch.seed,
        "most": MOST_SEED,
        "order": words.order_words(play.batch),
        "steps": [{"title": each.title, "state": _state(play, place)} for place, each in enumerate(STAGES)],
        "sheet": _sheet(play),
        "news": list(play.news),
    }
    if play.phase == "set":
        return {**shown, **_stage(play), "dials": [_dial(each) for each in play.stage.dials]}
    if play.phase == "decide":
        return {**shown, **_stage(play), **_decision(play)}
    if play.phase == "recommend":
        return {
            **shown,
            "title": "Your recommendation",
            "decisions": _options(RECOMMENDATIONS),
            "reasons": _shuffled(play, LAST_REASONS),
        }
    return {**shown, **_end(play, report(play))}


def _state(play: Play, place: int) -> str:
    if play.phase == "end":
        if play.stopped and place >= play.number:
            return "stopped here" if place == play.number else "not reached"
        return "done"
    return "done" if place < play.number else "now" if place == play.number else "to come"


def _sheet(play: Play) -> list[dict[str, str]]:
    """Return the batch sheet so far: what was set and what was decided, in the apprentice's own words."""
    own, rows = dict(play.settings), []
    for each in STAGES:
        told = [_told(dial, own[dial.key]) for dial in each.dials if dial.key in own]
        did = [mark.decided for mark in play.marks if mark.stage == each.key]
        if told:
            rows.append({"title": each.title, "set": "; ".join(told), "decided": ". Then: ".join(did)})
    return rows


def _told(dial: Dial, value: Any) -> str:
    if dial.options:
        return dict(dial.options)[value]
    return f"{dial.label}: {value:g} {dial.unit}".strip()


def _stage(play: Play) -> dict[str, Any]:
    stage = play.stage
    return {
        "title": stage.title,
        "place": play.number + 1,
        "of": len(STAGES),
        "intro": stage.intro,
        "card": words.card_words(play.batch, stage.key),
    }


def _dial(dial: Dial) -> dict[str, Any]:
    if dial.options:
        options = [{"key": key, "text": text} for key, text in dial.options]
        return {
            "form": "choice",
            "key": dial.key,
            "label": dial.label,
            "options": options,
            "start": dial.start,
        }
    names = ("key", "label", "unit", "low", "high", "step", "start")
    return {"form": "slider", **{name: getattr(dial, name) for name in names}}


def _decision(play: Play) -> dict[str, Any]:
    stage, seen = play.stage, play.seen
    data = words.record(play.batch, play.day, stage.key, seen)
    picture = page_picture(draw_picture("batch-record", data), label="The record so far") if data else None
    may_mend = play.tried < MOST_REMEDIES
    return {
        "evidence": list(words.evidence(play.batch, stage.key, seen)),
        "picture": picture,
        "tried": play.tried,
        "decisions": _options({key: text for key, text in DECISIONS.items() if may_mend or key != "correct"}),
        "remedies": _shuffled(play, dict(stage.fixes)) if may_mend else [],
        "reasons": _shuffled(play, reasons(stage.key)),
    }


def _options(named: Mapping[str, str]) -> list[dict[str, str]]:
    return [{"key": key, "text": text} for key, text in named.items()]


def _shuffled(play: Play, named: Mapping[str, str]) -> list[dict[str, str]]:
    """Return options in an order that the batch and the stage fix, so that their place says nothing."""
    draw = Draw(play.batch.seed).fork(f"{play.phase} {play.number} {len(named)}")
    return draw.shuffle(_options(named))


def _end(play: Play, told: BatchReport) -> dict[str, Any]:
    verdicts = [
        {
            "title": each.title,
            "outcome": each.outcome,
            # the sum of a kill runs to thousands of logs after a long hold: no figure for a learner
            "why": each.why.split(" The core added up")[0] + (f" ({each.label})" if each.label else ""),
            "source": each.source,
        }
        for each in told.verdicts
    ]
    return {
        "title": "How it went",
        "points": _points(told.points),
        "of_points": _points(told.of),
        "unsafe": told.unsafe,
        "chef": told.chef,
        "marks": [
            {
                "title": each.title,
                "decided": each.decided,
                "called_for": each.called_for,
                "points": f"{_points(each.points)} of {_points(each.of)}",
                "why": each.why,
                "unsafe": each.unsafe,
            }
            for each in told.marks
        ],
        "verdicts": verdicts,
        "bands": [asdict(each) for each in told.bands],
        "figures": list(told.figures),
        "account": list(told.account),
    }


def _points(value: float) -> str:
    return f"{value:g}"
