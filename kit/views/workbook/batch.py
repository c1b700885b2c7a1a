"""The whole-batch game as a widget: it shows the evidence of the stage reached, and nothing ahead of it.

What went wrong, what the evidence called for and every mark stay in the kernel until the batch is over.
The game is practice, and no mark of it goes into the answer book. The batch under way and a private log of
runs are the learner's own note: a page closed in the middle goes on where it was.
"""

from collections.abc import Mapping
from dataclasses import asdict
from datetime import date
from secrets import randbelow
from typing import Any

import traitlets as t

from kit.basics.errors import BadData, KitError
from kit.exercises.lesson_08 import batch as game
from kit.exercises.lesson_08 import batch_text as words
from kit.exercises.lesson_08.batch_after import other_ends, pack_on_day_5, recall_words
from kit.exercises.lesson_08.batch_limits import lacking
from kit.exercises.lesson_08.batch_plan import FORECASTS, aim_words, aims, forecast_ends
from kit.exercises.lesson_08.batch_progress import MOST_REMEDIES, Play
from kit.exercises.lesson_08.batch_report import BatchReport, report
from kit.exercises.lesson_08.batch_run import USUAL_RULES, stage_of
from kit.exercises.lesson_08.batch_story import (
    DECISIONS,
    LAST_REASONS,
    RECOMMENDATIONS,
    STAGES,
    Dial,
    reasons,
)
from kit.files import local_now
from kit.languages import ENGLISH
from kit.marking.draw import Draw
from kit.practice import Session
from kit.practice.batch_log import BatchLog, BatchRunLine, keep_steps, read_log
from kit.practice.guesses import Guess, keep_guess
from kit.rules import Profile
from kit.views.pictures.register import draw_picture
from kit.views.workbook.widget_base import WorkbookWidget, page_picture, script

STEP = ("do", "settings", "decision", "reason", "remedy")
"""What of a message is a step of the batch."""
GUESS_KEPT = "Kept. Today shows it to you again in a week."
LINES_SHOWN = 5
"""So many of the latest runs are listed."""
NUMBERS_TRIED = 200
"""So many numbers are looked at for a batch that brings back what was not read last time."""


class BatchTask(WorkbookWidget):
    """A whole batch to run: set a stage, read its evidence, decide, and be marked at the end.

    Parameters
    ----------
    seed : int, optional
        The number of the batch. Without it each opening of the page draws one.
    profile : Profile
        The rules that its limits are read from.
    work : Session, optional
        Whoever is working: without a seed, the batch under way goes on.
    """

    _esm = script("common", "kinds", "batch")
    shown = t.Dict().tag(sync=True)
    said = "The whole batch. Run the lesson to play it."

    def __init__(
        self, seed: int | None = None, profile: Profile = USUAL_RULES, work: Session | None = None
    ) -> None:
        self._profile, self._steps = profile, tuple[dict[str, Any], ...]()
        self._work = work if work is not None and work.recorded else None
        self._whose = whose_limits(profile, profile if work is None else work.profile)
        log = self._log()
        self._play = game.start(self._new_seed(log) if seed is None else seed, profile)
        going_on = seed is None and self._goes_on(log)
        super().__init__(shown={**page_of(self._play), **_lines(log)} if going_on else self._ready(log))

    def heard(self, content: Mapping[str, Any]) -> None:
        """Take one step, keep it, and show where the batch stands."""
        what = content.get("do")
        steps: tuple[dict[str, Any], ...] = ()
        if what in ("begin", "new", "today"):
            play = game.start(self._number(content), self._profile)
        elif what == "guess":
            self._keep_forecasts(str(content.get("changed", "")))
            return
        elif what in ("plan", "set", "decide", "recommend"):
            step = {name: content[name] for name in STEP if name in content}
            play, steps = game.take(self._play, step), (*self._steps, step)
        else:
            return
        page = page_of(
            play, narrow=bool(content.get("narrow"))
        )  # first, so that a fault in it leaves the batch where it was
        self._play, self._steps = play, steps
        kept = self._keep()
        if what == "recommend" or (what == "decide" and play.phase == "end"):
            kept |= self._forecasts_kept("")
        self.shown = {**page, **_lines(self._log()), **kept, "serial": content.get("serial")}

    def _number(self, content: Mapping[str, Any]) -> int:
        if content.get("do") == "begin":
            return _seed(content.get("seed"))
        if content.get("do") == "new":
            return self._new_seed(self._log())
        kitchen = self._work.kitchen.stamp if self._work and self._work.kitchen else ""
        return game.seed_of_day(self._day(), kitchen)

    def _new_seed(self, log: BatchLog) -> int:
        """Return a number at random; if something was not read in the last run, one that brings it back."""
        numbers = [randbelow(game.MOST_SEED) + 1 for _ in range(NUMBERS_TRIED)]
        return game.seed_with_fault(log.runs[-1].unread if log.runs else (), numbers, self._profile)

    def _goes_on(self, log: BatchLog) -> bool:
        """Play the batch under way again from its steps; False if there is none, or the rules changed."""
        if not log.steps or log.profile_fingerprint != self._profile.fingerprint:
            return False
        try:
            play = game.start(log.seed, self._profile)
            for step in log.steps:
                play = game.take(play, step)
        except KitError:
            return False
        self._play, self._steps = play, log.steps
        return True

    def _day(self) -> date:
        return (self._work.book.clock() if self._work else local_now()).date()

    def _log(self) -> BatchLog:
        try:
            return read_log(self._work.person.folder) if self._work else BatchLog()
        except (KitError, OSError):
            return BatchLog()

    def _keep(self) -> dict[str, str]:
        """Keep where the batch stands; what cannot be kept is said, and the batch goes on."""
        if self._work is None:
            return {}
        play = self._play
        ended = run_line(play, self._day()) if play.phase == "end" else None
        place, clock = self._work.person.folder, self._work.book.clock
        try:
            keep_steps(
                place, play.batch.seed, self._profile.fingerprint, self._steps, ended=ended, clock=clock
            )
        except (KitError, OSError) as error:
            return {"not_kept": f"This batch goes on, but it is not kept: {error}"}
        return {}

    def _keep_forecasts(self, changed: str) -> None:
        """Keep what changed the learner's mind beside their forecasts, and say so."""
        nobody = {"not_kept": "Not kept: nobody is recorded here."}
        told = self._forecasts_kept(changed) if self._work else nobody
        self.send({"reply": "kept", "words": told.get("not_kept", GUESS_KEPT)})

    def _forecasts_kept(self, changed: str) -> dict[str, str]:
        """Keep each forecast as a guess, as before any picture: Today shows one again in a week."""
        if self._work is None:
            return {}
        folder, clock, day = self._work.person.folder, self._work.book.clock, self._day()
        try:
            for one in forecast_ends(self._play):
                asked = f"The whole batch. {one.label}?"
                guess = Guess(f"batch {one.key}", asked, one.said, one.happened, one.off, day, changed)
                keep_guess(folder, guess, clock=clock)
        except (KitError, OSError) as error:
            return {"not_kept": f"Your forecasts are not kept: {error}"}
        return {}

    def trouble(self, content: Mapping[str, Any], words: str) -> None:
        """Say on the page what is wrong; the batch stays where it is."""
        if content.get("do") == "guess":
            self.send({"reply": "kept", "words": words})
            return
        self.shown = {**self.shown, "error": words, "serial": content.get("serial")}

    def _ready(self, log: BatchLog) -> dict[str, Any]:
        batch, most = self._play.batch, game.MOST_SEED
        ready = {"phase": "ready", "seed": batch.seed, "profile": self._whose, "most": most}
        return {**ready, **_lines(log)}


def whose_limits(played: Profile, own: Profile) -> str:
    """Return whose limits a batch is played by, and why they are not the kitchen's own where they are not.

    Examples
    --------
    >>> from kit import rules
    >>> ie, codex = rules.load("ie"), rules.load("codex")
    >>> whose_limits(ie, ie)
    'Ireland'
    >>> print(whose_limits(ie, codex))
    Ireland. They are not your own (Codex Alimentarius), which give no number for cook, chill, store
    """
    if played.fingerprint == own.fingerprint:
        return played.title
    missing = lacking(own)
    why = f", which give no number for {', '.join(missing)}" if missing else ""
    return f"{played.title}. They are not your own ({own.title}){why}"


def run_line(play: Play, day: date) -> BatchRunLine:
    """Return the line of a batch that is over, for the learner's own log."""
    told = report(play)
    poor = {mark.stage for mark in play.marks if mark.found and mark.points < mark.of}
    unread = tuple(name for name in play.batch.wrong if stage_of(name) in poor)
    return BatchRunLine(day, play.batch.seed, told.points, told.of, bool(told.unsafe), unread)


def _lines(log: BatchLog) -> dict[str, Any]:
    """Return the latest runs in words, the newest first."""
    words = [
        f"{ENGLISH.day(one.day, short=True)}, number {one.seed}: {one.share_pct:.0f} % of the points"
        + (", not safe" if one.unsafe else "")
        for one in reversed(log.runs[-LINES_SHOWN:])
    ]
    back = bool(log.runs and log.runs[-1].unread)
    return {"runs": words, "back": "A new batch brings back what you missed last time." if back else ""}


def _seed(value: Any) -> int:
    """Return the number of a batch as typed.

    Raises
    ------
    BadData
        If it is not a whole number of the right size.
    """
    text = str(value).strip()
    if isinstance(value, bool) or not text.isascii() or not text.isdigit() or int(text) > game.MOST_SEED:
        raise BadData("Number of the batch", f"{text or 'nothing'!r} was typed", f"0 to {game.MOST_SEED}")
    return int(text)


def page_of(play: Play, *, narrow: bool = False) -> dict[str, Any]:
    """Return what a page may know of a batch where it stands; ``narrow`` draws for a phone."""
    shown = {
        "phase": play.phase,
        "seed": play.batch.seed,
        "most": game.MOST_SEED,
        "order": words.order_words(play.batch),
        "steps": [{"title": each.title, "state": _state(play, place)} for place, each in enumerate(STAGES)],
        "sheet": _sheet(play),
        "news": list(play.news),
    }
    if play.phase == "set" and not (play.plan or play.settings):
        told = {"title": "Plan first", "aims": list(aims(play.batch))}
        return {**shown, **told, "phase": "plan", "dials": [_dial(each) for each in FORECASTS]}
    if play.phase == "set":
        return {**shown, **_stage(play), "dials": [_dial(each) for each in play.stage.dials]}
    if play.phase == "decide":
        return {**shown, **_stage(play), **_decision(play, narrow)}
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
    """Return the batch sheet, a row for each stage: what was set, read and decided, as far as it has come."""
    own, rows = dict(play.settings), []
    for each in STAGES:
        told = [_told(dial, own[dial.key]) for dial in each.dials if dial.key in own]
        did = [mark.decided for mark in play.marks if mark.stage == each.key]
        last = [before for before in play.before if before.stage.key == each.key]
        read = words.evidence(play.batch, each.key, last[-1].seen) if last else ()
        rows.append(
            {
                "title": each.title,
                "set": "; ".join(told),
                "read": " ".join(read),
                "decided": ". Then: ".join(did),
            }
        )
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
        "card": (aim_words(play.batch, stage.key) if play.phase == "set" else "")
        or words.card_words(play.batch, stage.key),
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


def _decision(play: Play, narrow: bool) -> dict[str, Any]:
    stage, seen = play.stage, play.seen
    data = words.record(play.batch, play.day, stage.key, seen)
    drawn = draw_picture("batch-record", {**data, "narrow": narrow}) if data else None
    picture = page_picture(drawn, label="The record so far", narrow=narrow) if drawn else None
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
    named = play.batch.profile.sources
    verdicts = [
        {
            "title": each.title,
            "outcome": each.outcome,
            # the sum of a kill runs to thousands of logs after a long hold: no figure for a learner
            "why": each.why.split(" The core added up")[0] + (f" ({each.label})" if each.label else ""),
            "source": getattr(named.get(each.source), "title", "the card of the house"),
            "address": getattr(named.get(each.source), "address", ""),
        }
        for each in told.verdicts
    ]
    return {
        "title": "How it went",
        "points": _points(told.points),
        "of_points": _points(told.of),
        "counts": f"{told.counts} Each point counts {told.counts_pct:g} %.",
        "unsafe": told.unsafe,
        "chef": told.chef,
        "marks": [
            {
                "title": each.title,
                "decided": each.decided,
                "called_for": each.called_for,
                "points": f"{_points(each.points)} of {_points(each.of)}",
                "parts": f"decision {each.points - each.for_reason:g}, reason {each.for_reason:g}",
                "why": each.why,
                "unsafe": each.unsafe,
            }
            for each in told.marks
        ],
        "verdicts": verdicts,
        "bands": [asdict(each) for each in told.bands],
        "figures": list(told.figures),
        "account": list(told.account),
        "forecasts": [asdict(each) for each in forecast_ends(play)],
        "day_5": list(pack_on_day_5(play)),
        "recall": list(recall_words(play)),
        "others": [asdict(each) for each in other_ends(play)],
    }


def _points(value: float) -> str:
    return f"{value:g}"
