"""What a question, its kinds, a slip and an outcome are. Data only; no marking, no drawing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

Verdict = Literal["right", "partly", "not yet", "not read"]


@dataclass(frozen=True)
class Slip:
    """A known way to go wrong: its name, the answer it leads to, and what to tell the learner.

    ``value`` has the form of an answer of the question's kind: a number in the question's unit, an option's
    key, a whole order, and so on. For ``Several`` and ``Match`` it may be the one wrong part.
    """

    name: str
    value: Any
    says: str


@dataclass(frozen=True)
class Number:
    """A number with a unit. ``rel_tol`` and ``abs_tol`` add up to nothing: the wider one counts.

    ``one_sided`` is for safety limits: ``at least`` takes the truth or more, ``at most`` the truth or less,
    each up to the plausible bound ``far``. No tolerance applies on the unsafe side.
    """

    unit: str
    rel_tol: float = 0.0
    abs_tol: float = 0.0
    one_sided: Literal["", "at least", "at most"] = ""
    far: float | None = None
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
    """Pick all that apply. ``must`` are keys without which the answer scores 0 (a safety conclusion)."""

    options: tuple[Option, ...]
    must: tuple[str, ...] = ()
    name: str = field(default="several", init=False)


@dataclass(frozen=True)
class Order:
    """Put steps in order. The answer is a list of keys, first to last."""

    options: tuple[Option, ...]
    name: str = field(default="order", init=False)


@dataclass(frozen=True)
class Match:
    """Join each left item with one on the right. The answer maps left keys to right keys."""

    left: tuple[Option, ...]
    right: tuple[Option, ...]
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

    ``targets`` are right; ``traps`` are wrong places that are known slips (their names are slip values).
    Neither reaches the page.
    """

    picture: Picture
    targets: tuple[Region, ...]
    traps: tuple[Region, ...] = ()
    count: int = 1
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

    ``run`` names a function registered by the exercise module; it takes the settings (a mapping of control
    keys to numbers) and the question's ``facts`` and returns a ``BatchRun``. The answer is one mapping that
    earns full marks; any other that does so is as good.
    """

    controls: tuple[Control, ...]
    run: str
    name: str = field(default="controls", init=False)


@dataclass(frozen=True)
class Recommend:
    """Recommend what happens to a batch, and say why.

    The answer is ``{"decision": "go on" | "hold" | "reject", "reason": key}``. A wrong decision scores 0,
    a right one with a wrong reason half.
    """

    reasons: tuple[Option, ...]
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
    profile: str = ""

    @property
    def kind_name(self) -> str:
        """The kind as an apprentice meets it."""
        return "chart" if self.reads_chart else self.kind.name


@dataclass(frozen=True)
class Outcome:
    """What marking says: points, verdict, message, the slip found (its name, or empty), the answer as read."""

    score: float
    of: float
    verdict: Verdict
    message: str
    slip: str = ""
    read_as: str = ""
