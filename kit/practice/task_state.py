"""One exercise as it stands for one person: worked out from the answer book, never from a widget."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from typing import Any

from kit.files import Entry
from kit.marking.hints import next_hint
from kit.marking.model import Explain, Outcome, Places, Question, Region

TRIES_BEFORE_WORKED = 3


@dataclass(frozen=True)
class TaskState:
    """What a task on the screen needs, and all it needs, to be as it was when the lesson closed.

    ``occasion`` numbers the variants, from 1; one that asks nothing new is passed over. ``number`` is the
    kitchen's, if it was in the seed. ``entries`` are those of this variant; ``last`` is what marking says to
    the answer given last.
    """

    question: Question
    fingerprint: str
    title: str
    occasion: int
    number: str = ""
    entries: tuple[Entry, ...] = ()
    last: Outcome | None = None

    def after(self, entry: Entry, outcome: Outcome | None = None) -> TaskState:
        """Return the task once an entry was kept, with the outcome if that was an attempt."""
        return replace(self, entries=(*self.entries, entry), last=outcome or self.last)

    def _kept(self, what: str) -> tuple[Entry, ...]:
        return tuple(entry for entry in self.entries if entry.what == what)

    @property
    def attempts(self) -> tuple[Entry, ...]:
        """The answers that were marked."""
        return self._kept("attempt")

    @property
    def disputes(self) -> tuple[Entry, ...]:
        """The marks that were disputed."""
        return self._kept("dispute")

    @property
    def hints(self) -> tuple[str, ...]:
        """The hints shown so far, each chosen by the mistake that had just been made."""
        shown: list[str] = []
        slip = ""
        for entry in self.entries:
            if entry.what == "attempt":
                slip = entry.slip or ""
            elif entry.what == "hint" and len(shown) < len(self.question.hints):
                shown.append(next_hint(self.question, shown, slip))
        return tuple(shown)

    @property
    def explained(self) -> str:
        """The latest explanation kept for the tutor, or an empty text."""
        return "".join(str(entry.answer) for entry in self._kept("explained")[-1:])

    @property
    def worked_seen(self) -> bool:
        """Whether the worked answer was asked for."""
        return bool(self._kept("worked"))

    @property
    def solved(self) -> bool:
        """Whether an attempt at this variant earned full marks."""
        return any(entry.verdict == "right" for entry in self.attempts)

    @property
    def may_show_worked(self) -> bool:
        """Whether the worked answer may be shown: after success, or after the third try."""
        return self.solved or self.worked_seen or len(self.attempts) >= TRIES_BEFORE_WORKED

    @property
    def worked(self) -> str:
        """The worked answer, once it was asked for or the variant solved; else an empty text."""
        return self.question.worked if self.solved or self.worked_seen else ""

    @property
    def right_zones(self) -> tuple[Region, ...]:
        """The right places on the picture, after the third try or with the worked answer; else none."""
        kind, tried = self.question.kind, len(self.attempts) >= TRIES_BEFORE_WORKED
        return kind.targets if isinstance(kind, Places) and (tried or self.worked_seen) else ()

    @property
    def hints_left(self) -> int:
        """How many hints were not shown yet."""
        return len(self.question.hints) - len(self.hints)

    @property
    def last_answer(self) -> Any:
        """The raw answer given last, or None."""
        return self.attempts[-1].answer if self.attempts else None

    @property
    def for_tutor(self) -> bool:
        """Whether this is an explanation, which the tutor reads and the kit never marks."""
        return isinstance(self.question.kind, Explain)

    @property
    def facts(self) -> dict[str, Any]:
        """What each entry about this variant begins with."""
        question = self.question
        numbered = {"number": self.number} if self.number else {}
        return {
            "exercise": question.exercise,
            "version": question.version,
            "occasion": self.occasion,
            "seed": question.seed,
            "fingerprint": self.fingerprint,
            **numbered,
        }


def rebuild(entries: Iterable[Entry], draw: Callable[[int, str | None], TaskState]) -> TaskState:
    """Return the open variant of one exercise, with what happened to it.

    ``entries`` are a person's, for one version of one exercise; ``draw`` gives the untouched variant of an
    occasion and a kitchen's number; None stands for the number of today. A variant that today's kit draws
    differently (other numbers, other limits) is left as it is in the book, for the tutor, and the next
    occasion is opened.
    """
    mine = list(entries)
    occasion = max((entry.occasion for entry in mine), default=1)
    here = tuple(entry for entry in mine if entry.occasion == occasion)
    task = draw(occasion, here[0].number if here else None)
    if any((entry.fingerprint, entry.seed) != (task.fingerprint, task.question.seed) for entry in here):
        return draw(occasion + 1, None)
    return replace(task, entries=here)
