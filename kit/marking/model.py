"""What a question, its kinds, a slip and an outcome are. Data only; no marking, no drawing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Literal

if TYPE_CHECKING:
    from kit.rules import Profile

Verdict = Literal["right", "partly", "not yet", "not read", "kept"]
"""What a screen says first. ``kept`` is for explanations: stored for the tutor, never scored here."""

Decision = Literal["go on", "hold", "reject"]
DECISIONS: dict[Decision, str] = {"go on": "Fit to go on", "hold": "Hold and report", "reject": "Reject"}
"""What an apprentice may recommend for a batch, with the words a screen shows."""


@dataclass(frozen=True)
class Slip:
    """A known way to go wrong: its name, the answer it leads to, and what to tell the learner.

    ``value`` is a whole raw answer of the question's kind that shows the slip: a number in the question's
    unit, an option's key, a list of keys, a mapping. So ``mark(question, slip.value)`` always answers with
    ``says``. ``shows`` is the part of the value that makes the slip, where that is less than the whole: one
    key of several, two keys in the wrong order, one wrong join. An answer shows the slip if it has that part,
    whatever else is wrong with it. ``kit.marking.build`` makes both, so an author rarely writes them by hand.
    """

    name: str
    value: Any
    says: str
    shows: Any = None


@dataclass(frozen=True)
class Number:
    """A number with a unit. Of ``rel_tol`` and ``abs_tol`` the wider one counts; they never add up.

    ``one_sided`` is for safety limits: ``at least`` takes the truth or more, ``at most`` the truth or less,
    each up to the plausible bound ``far`` (without it, up to the tolerance). No tolerance applies on the
    unsafe side. ``difference`` says that the number is a difference of two temperatures: 18 °F are then
    10 °C. ``decimals`` is how many decimals the text asks for. ``edges`` are values at which a decision
    flips, and ``plausible`` bounds what makes sense: a variant that breaks either is drawn again. A screen
    shows only ``unit`` and ``decimals``.
    """

    unit: str
    rel_tol: float = 0.0
    abs_tol: float = 0.0
    one_sided: Literal["", "at least", "at most"] = ""
    far: float | None = None
    difference: bool = False
    decimals: int | None = None
    edges: tuple[float, ...] = ()
    plausible: tuple[float, float] | None = None
    name: str = field(default="number", init=False)


@dataclass(frozen=True)
class Option:
    """One thing to pick. ``key`` is a letter given after shuffling, so it says nothing about the answer."""

    key: str
    text: str


@dataclass(frozen=True)
class One:
    """Pick one of a list."""

    options: tuple[Option, ...]
    name: str = field(default="one", init=False)


@dataclass(frozen=True)
class Several:
    """Pick all that apply.

    Safety conclusions: an answer without every key of ``must``, or with any key of ``never``, scores 0.
    """

    options: tuple[Option, ...]
    must: tuple[str, ...] = ()
    never: tuple[str, ...] = ()
    name: str = field(default="several", init=False)


@dataclass(frozen=True)
class Order:
    """Put steps in order. The answer is a list of all keys, first to last.

    ``must`` are pairs (earlier, later); an answer that turns one round scores 0 (a safety conclusion).
    ``free`` are pairs that may stand either way. All other pairs must stand as in the answer.
    """

    options: tuple[Option, ...]
    must: tuple[tuple[str, str], ...] = ()
    free: tuple[tuple[str, str], ...] = ()
    name: str = field(default="order", init=False)


@dataclass(frozen=True)
class Match:
    """Join each left item with one on the right. The answer maps left keys to right keys.

    Two left items may share a right one, and a right one may stay free. An answer in which a left key of
    ``must`` is joined wrongly scores 0 (a safety conclusion).
    """

    left: tuple[Option, ...]
    right: tuple[Option, ...]
    must: tuple[str, ...] = ()
    name: str = field(default="match", init=False)


@dataclass(frozen=True)
class Region:
    """A named ellipse on a picture, in fractions of its width and height."""

    name: str
    x: float
    y: float
    rx: float
    ry: float


@dataclass(frozen=True)
class Places:
    """Mark ``count`` places on a picture. The answer is a list of [x, y] in fractions of the picture.

    ``targets`` are right; ``traps`` are wrong places that are known slips (a trap and its slip share a name).
    Neither reaches the page. ``slack`` widens every radius, for a wet thumb. The picture to mark is the
    question's ``picture``.
    """

    targets: tuple[Region, ...]
    traps: tuple[Region, ...] = ()
    count: int = 1
    slack: float = 0.0
    name: str = field(default="places", init=False)


@dataclass(frozen=True)
class Control:
    """One setting of a simulated batch: a number with its range and step."""

    key: str
    label: str
    unit: str
    low: float
    high: float
    step: float
    start: float


@dataclass(frozen=True)
class Controls:
    """Set the controls, run the batch, be marked on what happens.

    ``run`` names a function registered with ``kit.marking.batch_runs.batch_run``; it takes the settings (a
    mapping of control keys to numbers) and the question's ``facts`` and returns a ``BatchRun``, whose
    ``slip`` names one of the question's slips or is empty. The answer is one mapping that earns full marks;
    any other that does so is as good.
    """

    controls: tuple[Control, ...]
    run: str
    name: str = field(default="controls", init=False)


@dataclass(frozen=True)
class Recommend:
    """Recommend what happens to a batch, and say why.

    The answer is ``{"decision": "go on" | "hold" | "reject", "reason": key}``. A wrong decision scores 0,
    a right one with a wrong reason half. ``also`` are decisions that are as good as the answer's: where a
    limit is missed, to hold and to reject may both be right. ``go on`` never stands beside another decision.
    """

    reasons: tuple[Option, ...]
    also: tuple[Decision, ...] = ()
    name: str = field(default="recommend", init=False)


@dataclass(frozen=True)
class Explain:
    """Explain why, in the learner's own words. Kept for the tutor, never marked by the kit."""

    look_for: tuple[str, ...] = ()
    name: str = field(default="explain", init=False)


Kind = Number | One | Several | Order | Match | Places | Controls | Recommend | Explain


@dataclass(frozen=True)
class Picture:
    """A figure to show with the question, drawn by ``kit.views``; ``data`` is all it needs.

    ``text`` is the alternative in words, made from the same numbers. It never gives the answer away.
    """

    name: str
    data: Mapping[str, Any]
    text: str


@dataclass(frozen=True)
class BatchRun:
    """What a simulated batch did: points earned, out of how many, and the account in plain words."""

    score: float
    of: float
    says: tuple[str, ...]
    slip: str = ""
    picture: Picture | None = None


@dataclass(frozen=True)
class Question:
    """One drawn variant of an exercise.

    ``facts`` are the drawn numbers that marking may need again (for ``Controls``). ``reads_chart`` says that
    the number must be read off ``picture``: such a question counts as its own kind, ``chart``.
    ``number_in_text`` says that the text may show the answer's number, as in "which of these readings".
    """

    exercise: str
    version: int
    seed: int
    text: str
    kind: Kind
    answer: Any
    slips: tuple[Slip, ...] = ()
    worked: str = ""
    hints: tuple[str, ...] = ()
    criteria: tuple[str, ...] = ()
    prepares_for: tuple[str, ...] = ()
    of: float = 1.0
    picture: Picture | None = None
    facts: Mapping[str, Any] = field(default_factory=dict)
    reads_chart: bool = False
    number_in_text: bool = False
    profile: Profile | None = None

    @property
    def kind_name(self) -> str:
        """The kind as an apprentice meets it."""
        return "chart" if self.reads_chart else self.kind.name


@dataclass(frozen=True)
class Outcome:
    """What marking says: points, verdict, message, the slip found (its name or empty), the answer as read.

    ``picture`` is that of the batch, where controls ran one.
    """

    score: float
    of: float
    verdict: Verdict
    message: str
    slip: str = ""
    read_as: str = ""
    picture: Picture | None = None
