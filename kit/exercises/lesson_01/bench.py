"""The inspection bench of lesson 1: fillets with bones left in, what a fingertip feels, and the score.

Everything here is pure. A seed fixes the fillets, the order of a second look and the noise of every touch,
so a run can be played again. How a bump feels is a game of ours, not a measurement of fingers.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import exp, hypot, isfinite
from typing import Any, Literal

from kit.basics.errors import BadData, OutOfRange
from kit.marking.draw import Draw, sub_seed
from kit.process.sampling import bones
from kit.process.sampling.bones import Detection, Interval

BOARD_MM = (360.0, 144.0)
HEAD_MM = 18.0  # from the board's edge to the head end of the longest fillet
LONGEST_MM = 327.0
LINE_MM = 67.0  # from the board's edge down to the line of pin bones, for the longest fillet

FISH = ("Arctic char", "Rainbow trout", "Sea trout")
FILLETS = 10
REACH_MM = 8.0  # a mark this near a bone has found it
APART_MM = 17.0  # bones lie farther apart than twice the reach, so a mark finds one bone at most
MOST_MARKS = 12
BUMP_MM = 4.0
TOUCH_NOISE = 0.12

Point = tuple[float, float]
BoneKind = Literal["faint", "head", "far"]
Aim = Literal["", "faint", "head", "far"]
FAINT, HEAD_SHARE = 0.5, 0.32
"""A bone that bulges less is faint; within this share of the length it is near the head. Ours, no source."""


@dataclass(frozen=True)
class Spot:
    """A place that bulges under the finger: from the head end, from the line, and how much."""

    along_mm: float
    across_mm: float
    height: float


@dataclass(frozen=True)
class BenchFillet:
    """A fillet on the bench: what anyone sees of it, the bones left in it, and folds that feel alike."""

    fish: str
    length_mm: int
    head_left: bool
    bones: tuple[Spot, ...]
    folds: tuple[Spot, ...]
    seed: int

    @property
    def scale(self) -> float:
        """Its length as a share of the longest fillet. [-]"""
        return self.length_mm / LONGEST_MM

    def words(self) -> str:
        """Return what anyone can see of it.

        Examples
        --------
        >>> BenchFillet("Sea trout", 280, True, (), (), 1).words()
        'Sea trout, 280 mm long. The head end is on the left.'
        """
        side = "left" if self.head_left else "right"
        return f"{self.fish}, {self.length_mm} mm long. The head end is on the {side}."

    def on_board(self, spot: Spot) -> Point:
        """Return where a spot lies on the board, as shares of its width and height."""
        width, height = BOARD_MM
        x = width / 2 + self.scale * (HEAD_MM - width / 2) + spot.along_mm
        y = height / 2 + self.scale * (LINE_MM - height / 2) + spot.across_mm
        return (x / width if self.head_left else 1 - x / width, y / height)


@dataclass(frozen=True)
class FilletInspection:
    """What an inspector did with one fillet: the places marked on the board, and pull or pass."""

    marks: tuple[Point, ...]
    pull: bool


@dataclass(frozen=True)
class Scored:
    """One fillet after the look: which bones were found, which missed, which marks had no bone."""

    found: tuple[Point, ...]
    missed: tuple[Point, ...]
    false_alarms: tuple[Point, ...]


@dataclass(frozen=True)
class InspectorReport:
    """How one look at a run went: fillets called right or wrong, bones found, and how sure that is."""

    hits: int
    misses: int
    false_alarms: int
    correct_rejections: int
    bones_found: int
    bones_in_all: int
    marks_without_bone: int
    detection: Detection
    hit_interval: Interval
    false_alarm_interval: Interval
    found_interval: Interval


@dataclass(frozen=True)
class Agreement:
    """How far two looks at the same fillets agree. ``kappa`` is None if every call was the same."""

    same: int
    of: int
    kappa: float | None


def draw_fillet(seed: int, *, with_bones: bool, aim: Aim = "") -> BenchFillet:
    """Return one fillet for the bench; with 1 to 3 bones left in it, or with none.

    ``aim`` makes its bones faint, or puts them near the head or far along the row.

    Examples
    --------
    >>> len(draw_fillet(4, with_bones=False).bones)
    0
    """
    draw = Draw(seed)
    fish, length, head_left = draw.pick(FISH), draw.step(230, 320, 10), draw.chance(0.5)
    count, folds = draw.whole(1, 3) if with_bones else 0, draw.whole(1, 3)
    places = _along_mm(draw, length, count + folds)
    if aim in ("head", "far"):
        places.sort(reverse=aim == "far")
    heights = (0.30, FAINT) if aim == "faint" else (0.30, 0.90)
    bony = tuple(_spot(draw, each, heights, 3.0) for each in places[:count])
    soft = tuple(_spot(draw, each, (0.15, 0.48), 9.0) for each in places[count:])
    return BenchFillet(fish, length, head_left, bony, soft, seed)


def draw_run(seed: int, fillets: int = FILLETS, *, aim: Aim = "") -> tuple[BenchFillet, ...]:
    """Return the fillets of a run. About half hold a bone: far more than in a smokehouse, so that both show.

    With an ``aim`` every second fillet is aimed.

    Raises
    ------
    OutOfRange
        If there are fewer than 4 fillets: a run needs some of both kinds.

    Examples
    --------
    >>> 4 <= sum(bool(each.bones) for each in draw_run(1)) <= 6
    True
    """
    if fillets < 4:
        raise OutOfRange("fillets", fillets, "4 or more", "A run needs fillets with and without a bone.")
    draw = Draw(seed).fork("run")
    bony = fillets // 2 + draw.whole(-1, 1)
    kinds = draw.shuffle([place < bony for place in range(fillets)])
    return tuple(
        draw_fillet(sub_seed(seed, turn + 1), with_bones=with_bones, aim=aim if turn % 2 == 0 else "")
        for turn, with_bones in enumerate(kinds)
    )


def blind_order(seed: int, fillets: int = FILLETS) -> tuple[int, ...]:
    """Return the order in which a second look meets the same fillets: never the first order.

    Examples
    --------
    >>> sorted(blind_order(3)) == list(range(10)), blind_order(3) != tuple(range(10))
    (True, True)
    """
    order = list(range(fillets))
    mixed = Draw(seed).fork("blind").shuffle(order)
    return tuple(mixed if mixed != order else [*mixed[1:], mixed[0]])


def turned(fillet: BenchFillet) -> BenchFillet:
    """Return the same fillet lying the other way round, so that it is not known again by its look."""
    return replace(fillet, head_left=not fillet.head_left)


def bump(fillet: BenchFillet, at: Any, touch: int) -> float:
    """Return how strongly a fingertip feels a bump there, 0 to 1, with the noise of that touch.

    Parameters
    ----------
    fillet : BenchFillet
        The fillet under the finger.
    at : pair of numbers
        Where the finger is, as shares of the board's width and height.
    touch : int
        Number of this touch; the same touch always feels the same.

    Raises
    ------
    BadData
        If ``at`` is not a pair of numbers on the board.
    """
    place = point(at)
    felt = max(
        (
            each.height * exp(-0.5 * (_away_mm(fillet, each, place) / BUMP_MM) ** 2)
            for each in (*fillet.bones, *fillet.folds)
        ),
        default=0.0,
    )
    noise = Draw(sub_seed(fillet.seed, 1000 + touch)).scatter(TOUCH_NOISE)
    return round(min(max(felt + noise, 0.0), 1.0), 2)


def look(marks: Any, pull: Any) -> FilletInspection:
    """Return a look as checked: marks on the board, and a call that fits them.

    Raises
    ------
    BadData
        If a mark is not on the board, there are too many, or the call does not fit the marks.

    Examples
    --------
    >>> look([], False)
    FilletInspection(marks=(), pull=False)
    """
    if not isinstance(marks, list | tuple) or len(marks) > MOST_MARKS:
        raise BadData("marks", "there are too many", f"{MOST_MARKS} at most")
    places = tuple(point(each) for each in marks)
    if bool(pull) and not places:
        raise BadData("call", "nothing is marked", "a mark on every bone before you pull")
    if not pull and places:
        raise BadData("call", "a bone is marked", "pull it, or take the mark back")
    return FilletInspection(places, bool(pull))


def point(at: Any) -> Point:
    """Return a place on the board from what a page sent.

    Raises
    ------
    BadData
        If it is not a pair of numbers from 0 to 1.

    Examples
    --------
    >>> point([0.5, 0.25])
    (0.5, 0.25)
    """
    allowed = "two numbers from 0 to 1"
    if not isinstance(at, list | tuple) or len(at) != 2:
        raise BadData("place", "it is not a pair", allowed)
    if any(isinstance(each, bool) or not isinstance(each, int | float) for each in at):
        raise BadData("place", "it is not a pair of numbers", allowed)
    x, y = float(at[0]), float(at[1])
    if not (isfinite(x) and isfinite(y) and 0 <= x <= 1 and 0 <= y <= 1):
        raise BadData("place", "it is off the board", allowed)
    return x, y


def score(fillet: BenchFillet, done: FilletInspection) -> Scored:
    """Return which bones a look found and missed, and which marks had no bone within 8 mm.

    A second mark on one bone counts for nothing, for good or bad.

    Examples
    --------
    >>> bony = BenchFillet("Sea trout", 300, True, (Spot(80.0, 0.0, 0.8),), (), 1)
    >>> found = score(bony, FilletInspection((bony.on_board(bony.bones[0]), (0.9, 0.5)), pull=True))
    >>> len(found.found), len(found.missed), len(found.false_alarms)
    (1, 0, 1)
    """
    near = {
        mark: [each for each in fillet.bones if _away_mm(fillet, each, mark) <= REACH_MM]
        for mark in done.marks
    }
    met = {each for held in near.values() for each in held}
    return Scored(
        tuple(fillet.on_board(each) for each in fillet.bones if each in met),
        tuple(fillet.on_board(each) for each in fillet.bones if each not in met),
        tuple(mark for mark, held in near.items() if not held),
    )


def kind_of(fillet: BenchFillet, bone: Spot) -> BoneKind:
    """Return what sort of bone to feel for it is: faint, or plain and near the head, or plain and far along.

    Examples
    --------
    >>> fish = BenchFillet("Sea trout", 300, True, (), (), 1)
    >>> [kind_of(fish, Spot(x, 0.0, height)) for x, height in ((50.0, 0.4), (50.0, 0.8), (140.0, 0.8))]
    ['faint', 'head', 'far']
    """
    if bone.height < FAINT:
        return "faint"
    return "head" if bone.along_mm < HEAD_SHARE * fillet.length_mm else "far"


def report(fillets: Sequence[BenchFillet], looks: Sequence[FilletInspection]) -> InspectorReport:
    """Return an inspector's rates over a run, each with its interval.

    A hit is a fillet with a bone that was pulled; a false alarm is a clean fillet that was pulled.

    Raises
    ------
    BadData
        If there is not one look for each fillet.
    OutOfRange
        If the run has no fillet with a bone, or none without.
    """
    if len(fillets) != len(looks):
        raise BadData("looks", f"{len(looks)} for {len(fillets)} fillets", "one look for each fillet")
    calls = [(bool(each.bones), done.pull) for each, done in zip(fillets, looks, strict=True)]
    hits, misses = calls.count((True, True)), calls.count((True, False))
    false_alarms, passed = calls.count((False, True)), calls.count((False, False))
    scored = [score(each, done) for each, done in zip(fillets, looks, strict=True)]
    found, there = sum(len(each.found) for each in scored), sum(len(each.bones) for each in fillets)
    told = bones.detection(hits, misses, false_alarms, passed)
    return InspectorReport(
        hits,
        misses,
        false_alarms,
        passed,
        found,
        there,
        sum(len(each.false_alarms) for each in scored),
        told,
        bones.exact_interval(hits, hits + misses),
        bones.exact_interval(false_alarms, false_alarms + passed),
        bones.exact_interval(found, there),
    )


def agreement(first: Sequence[FilletInspection], second: Sequence[FilletInspection]) -> Agreement:
    """Return how far two looks agree on pull or pass, fillet by fillet in the same order.

    Raises
    ------
    BadData
        If the two are not equally long, or empty.

    Examples
    --------
    >>> pull, leave = FilletInspection(((0.5, 0.5),), True), FilletInspection((), False)
    >>> agreement([pull, leave, pull, leave], [pull, leave, leave, leave])
    Agreement(same=3, of=4, kappa=0.5)
    >>> agreement([leave, leave], [leave, leave]).kappa is None
    True
    """
    if not first or len(first) != len(second):
        raise BadData("looks", f"{len(first)} and {len(second)}", "two looks at each fillet")
    pairs = [(one.pull, other.pull) for one, other in zip(first, second, strict=True)]
    table = [[pairs.count((a, b)) for b in (True, False)] for a in (True, False)]
    same = table[0][0] + table[1][1]
    one_call = max(table[0][0], table[1][1]) == len(pairs)
    return Agreement(same, len(pairs), None if one_call else float(bones.cohen_kappa(table)))


def _away_mm(fillet: BenchFillet, spot: Spot, at: Point) -> float:
    x, y = fillet.on_board(spot)
    return hypot((x - at[0]) * BOARD_MM[0], (y - at[1]) * BOARD_MM[1])


def _along_mm(draw: Draw, length_mm: int, count: int) -> list[float]:
    """Draw places along the front half in a drawn order, each at least `APART_MM` from the next."""
    first, last = 0.12 * length_mm, 0.52 * length_mm
    spare = last - first - (count - 1) * APART_MM
    loose = sorted(spare * draw.fraction() for _ in range(count))
    return draw.shuffle([first + each + turn * APART_MM for turn, each in enumerate(loose)])


def _spot(draw: Draw, along_mm: float, heights: tuple[float, float], off_line_mm: float) -> Spot:
    low, high = heights
    across = off_line_mm * (2 * draw.fraction() - 1)
    return Spot(along_mm, across, low + (high - low) * draw.fraction())
