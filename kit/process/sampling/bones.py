"""Pin bones: how many there are, how many are left after pulling and looking, what a plan lets through."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy import special

from kit.basics.errors import BadData, UnknownName, check_range
from kit.process.physics.numeric import as_given, check_whole
from kit.process.sampling.detection import Detection, cohen_kappa, d_prime, detection, fleiss_kappa
from kit.process.sampling.inspection import (
    Interval,
    OperatingCurve,
    acceptance_probability,
    exact_interval,
    operating_curve,
    quality_accepted_with,
    rule_of_three,
    sample_size_none_found,
    upper_bound_none_found,
)

Array = NDArray[np.float64]

__all__ = [
    "TYPICAL_PIN_BONES",
    "BoneCheck",
    "BonesLeft",
    "Detection",
    "Interval",
    "OperatingCurve",
    "PinBoneCounts",
    "TypicalCount",
    "acceptance_probability",
    "bone_defects",
    "bone_free_batch",
    "bone_free_fillet",
    "bones_left",
    "chance_missed",
    "cohen_kappa",
    "count_pin_bones",
    "d_prime",
    "detection",
    "exact_interval",
    "fleiss_kappa",
    "operating_curve",
    "quality_accepted_with",
    "rule_of_three",
    "sample_size_none_found",
    "still_there",
    "typical_pin_bones",
    "upper_bound_none_found",
]


@dataclass(frozen=True)
class TypicalCount:
    """A range of pin bones in one fillet as pages give it. There is no primary source: count your own."""

    low: int
    high: int
    source: str
    primary_source: bool = False
    note: str = "No primary source for pin-bone counts was found. Count your own fillets."


TYPICAL_PIN_BONES: dict[str, TypicalCount] = {
    "Atlantic salmon": TypicalCount(12, 30, "howgate-1998"),  # 12 a skeleton; 25-30 kitchen pages
    "rainbow trout": TypicalCount(7, 27, "angling-page-bone-count"),  # "17, give or take 10"
    "cod": TypicalCount(9, 11, "howgate-1998"),
    "haddock": TypicalCount(9, 11, "howgate-1998"),
}


def typical_pin_bones(fish: str) -> TypicalCount:
    """Return the range of pin bones a side that pages give for a fish, flagged as unproven.

    Use it to doubt a count of your own, never instead of one.

    Raises
    ------
    UnknownName
        If there is no range for that fish.

    Notes
    -----
    Source: ``howgate-1998`` and ``angling-page-bone-count``; neither is a primary count.

    Examples
    --------
    >>> typical_pin_bones("rainbow trout").primary_source
    False
    """
    try:
        return TYPICAL_PIN_BONES[fish]
    except KeyError:
        raise UnknownName("fish with a pin-bone range", fish, TYPICAL_PIN_BONES) from None


@dataclass(frozen=True)
class PinBoneCounts:
    """Your own counts of pin bones, one number a fillet. [bones]"""

    counts: tuple[int, ...]

    @property
    def mean(self) -> float:
        """Mean count. [bones]"""
        return float(np.mean(self.counts))

    @property
    def standard_deviation(self) -> float:
        """Spread between fillets; NaN for a single fillet, from which no spread can be known. [bones]"""
        return float(np.std(self.counts, ddof=1)) if len(self.counts) > 1 else float("nan")


def count_pin_bones(counts: ArrayLike) -> PinBoneCounts:
    """Return your own counts, checked: one whole number a fillet, 0 to 60. [bones]

    Raises
    ------
    OutOfRange
        If a count is negative, above 60 or not whole.
    BadData
        If there is no count.

    Notes
    -----
    Source: ``definition``: they are your own.

    Examples
    --------
    >>> count_pin_bones([28, 29, 27]).mean
    28.0
    """
    numbers = np.atleast_1d(np.asarray(counts, dtype=float))
    if numbers.size == 0:
        raise BadData("pin-bone counts", "there is none", "one count a fillet")
    check_whole(
        "pin bones", numbers, at_least=0, at_most=60, likely_cause="Was a whole fish counted as one fillet?"
    )
    return PinBoneCounts(tuple(int(n) for n in numbers))


def chance_missed(find: ArrayLike, inspections: ArrayLike = 1, *, correlation: ArrayLike = 0.0) -> Any:
    """Return the chance that every one of some inspections misses a bone.

    With ``correlation`` 0 each look is a fresh try, so misses multiply. Real looks are not: a bone that is
    hidden from the first is hidden from the second. Then bones differ in how findable they are (a beta
    distribution), and a second look gains less than the first.

    Parameters
    ----------
    find : float or array
        Chance that one inspection finds a bone, 0 to 1. [-]
    inspections : int or array
        Number of looks, 0 or more.
    correlation : float or array
        How alike the looks are, 0 (fresh tries) to 1 (the second look sees only what the first did). [-]

    Returns
    -------
    float or array
        Chance that all looks miss. [-]

    Notes
    -----
    Source: ``probability``: independent tries, and the beta-binomial (SciPy's log-beta function).

    Examples
    --------
    >>> round(chance_missed(0.8, 2), 3), round(chance_missed(0.8, 2, correlation=0.5), 3)
    (0.04, 0.12)
    """
    check_range("find", find, at_least=0, at_most=1, likely_cause="Is it a share, not a percentage?")
    check_whole("inspections", inspections, at_least=0)
    check_range("correlation", correlation, at_least=0, at_most=1)
    p, looks, alike = np.broadcast_arrays(
        np.asarray(find, dtype=float),
        np.asarray(inspections, dtype=float),
        np.asarray(correlation, dtype=float),
    )
    fresh = (1 - p) ** looks
    once = np.where(looks > 0, 1 - p, 1.0)
    inner = (alike > 1e-9) & (alike < 1 - 1e-9) & (p > 0) & (p < 1)
    spread = np.where(inner, (1 - alike) / np.where(alike > 0, alike, 1.0), 1.0)
    seen, hidden = np.where(inner, p, 0.5) * spread, np.where(inner, 1 - p, 0.5) * spread
    mixed = np.exp(special.betaln(seen, hidden + looks) - special.betaln(seen, hidden))
    return as_given(np.where(inner, mixed, np.where(alike > 0.5, once, fresh)))


def still_there(
    pull: ArrayLike, find: ArrayLike, inspections: ArrayLike = 1, *, correlation: ArrayLike = 0.0
) -> Any:
    """Return q, the chance that one pin bone is still there after pulling and looking.

    Parameters
    ----------
    pull : float or array
        Share of bones the machine or the tweezers take out, 0 to 1. [-]
    find, inspections, correlation : float or array
        As in :func:`chance_missed`; a bone that is found is taken out. [-]

    Returns
    -------
    float or array
        q = (1 - pull) (1 - find)^inspections when looks are fresh tries. [-]

    Notes
    -----
    Source: ``probability``; pull and find are yours to measure, no primary source was found.

    Examples
    --------
    >>> round(still_there(0.97, 0.8, 1), 6)
    0.006
    """
    check_range("pull", pull, at_least=0, at_most=1, likely_cause="Is it a share, not a percentage?")
    missed = chance_missed(find, inspections, correlation=correlation)
    return as_given((1 - np.asarray(pull, dtype=float)) * missed)


def bone_free_fillet(bones: ArrayLike, q: ArrayLike) -> Any:
    """Return the chance that one fillet has no pin bone left. [-]

    Parameters
    ----------
    bones : int or array
        Pin bones in the fillet at the start, 0 or more. [bones]
    q : float or array
        Chance that one bone is still there, 0 to 1: :func:`still_there`. [-]

    Notes
    -----
    Source: ``probability``: (1 - q)^bones.

    Examples
    --------
    >>> round(bone_free_fillet(28, still_there(0.97, 0.8, 2)), 4)
    0.9669
    """
    check_whole("bones", bones, at_least=0)
    check_range("q", q, at_least=0, at_most=1, likely_cause="Is it a share, not a percentage?")
    return as_given((1 - np.asarray(q, dtype=float)) ** np.asarray(bones, dtype=float))


def bone_free_batch(counts: ArrayLike, q: float) -> float:
    """Return the chance that a whole batch has no pin bone left.

    97 % bone-free fillets sounds safe. A batch of 40 such fillets is bone-free three times in ten.

    Parameters
    ----------
    counts : int or array
        Pin bones at the start, one number for each fillet of the batch. [bones]
    q : float
        Chance that one bone is still there, 0 to 1. [-]

    Notes
    -----
    Source: ``probability``: (1 - q)^(sum of the counts).

    Examples
    --------
    >>> round(bone_free_batch([28] * 40, still_there(0.97, 0.8, 2)), 2)
    0.26
    """
    check_whole("counts", counts, at_least=0)
    check_range("q", q, at_least=0, at_most=1)
    return float((1 - q) ** np.sum(np.asarray(counts, dtype=float)))


@dataclass(frozen=True)
class BonesLeft:
    """Bones left in one fillet: mean, and the chance of 0, 1, 2, … left."""

    mean: float
    chance: Array


def bones_left(bones: int, q: float) -> BonesLeft:
    """Return how many bones are left in a fillet: the mean, and the chance of each number.

    Parameters
    ----------
    bones : int
        Pin bones at the start, 0 to 60. [bones]
    q : float
        Chance that one bone is still there, 0 to 1. [-]

    Notes
    -----
    Source: ``probability``: binomial, computed by SciPy.

    Examples
    --------
    >>> left = bones_left(28, 0.03)
    >>> round(left.mean, 2), round(float(left.chance[0]), 4)
    (0.84, 0.4262)
    """
    check_whole("bones", bones, at_least=0, at_most=60)
    check_range("q", q, at_least=0, at_most=1)
    number = np.arange(bones + 1)
    upto = special.bdtr(number, bones, q) if bones else np.ones(1)
    return BonesLeft(bones * q, np.clip(np.diff(upto, prepend=0.0), 0.0, 1.0))


@dataclass(frozen=True)
class BoneCheck:
    """A sample held against a bone rule: bones that count, bones a kilogram, and the verdict."""

    counted: int
    per_kg: float
    defective: bool


def bone_defects(
    lengths_mm: ArrayLike,
    diameters_mm: ArrayLike,
    sample_kg: float,
    *,
    counted_length_mm: float,
    counted_diameter_mm: float,
    ignored_length_mm: float,
    ignored_diameter_mm: float,
    allowed_per_kg: float,
) -> BoneCheck:
    """Return which of the bones found count as a defect, and whether the sample is defective.

    A bone counts if it is long enough **or** thick enough, unless it is so short **and** so thin that the
    rule sets it aside. The limits are arguments: they live with the rules (``kit.rules.sampling_plans``).

    Parameters
    ----------
    lengths_mm, diameters_mm : array
        One number for each bone found, 0 or more; empty if none was found. [mm]
    sample_kg : float
        Mass of the sample, above 0. [kg]
    counted_length_mm, counted_diameter_mm : float
        A bone counts from this length, or from this diameter, on. [mm]
    ignored_length_mm, ignored_diameter_mm : float
        A bone is set aside if it is not longer and not thicker than this. [mm]
    allowed_per_kg : float
        Defective if there are more than this. [bones per kg]

    Raises
    ------
    OutOfRange
        If a size is negative or the sample has no mass.
    BadData
        If lengths and diameters differ in number.

    Notes
    -----
    Source: ``codex-cxs-190``, sec. 8, gives the form; its figures are rules data.

    Examples
    --------
    >>> limits = dict(counted_length_mm=10, counted_diameter_mm=1, ignored_length_mm=5, ignored_diameter_mm=2)
    >>> bone_defects([12, 4], [0.5, 1.5], 0.8, allowed_per_kg=1, **limits)
    BoneCheck(counted=1, per_kg=1.25, defective=True)
    """
    length, diameter = (
        np.atleast_1d(np.asarray(lengths_mm, float)),
        np.atleast_1d(np.asarray(diameters_mm, float)),
    )
    if length.shape != diameter.shape:
        raise BadData(
            "bones", f"{length.size} lengths but {diameter.size} diameters", "one of each for every bone"
        )
    check_range("lengths_mm", length, at_least=0)
    check_range("diameters_mm", diameter, at_least=0)
    check_range("sample_kg", sample_kg, above=0, likely_cause="Was it given in grams?")
    limits = {
        "counted_length_mm": counted_length_mm,
        "counted_diameter_mm": counted_diameter_mm,
        "ignored_length_mm": ignored_length_mm,
        "ignored_diameter_mm": ignored_diameter_mm,
        "allowed_per_kg": allowed_per_kg,
    }
    for name, limit in limits.items():
        check_range(name, limit, at_least=0)
    big = (length >= counted_length_mm) | (diameter >= counted_diameter_mm)
    tiny = (length <= ignored_length_mm) & (diameter <= ignored_diameter_mm)
    counted = int(np.sum(big & ~tiny))
    return BoneCheck(counted, counted / sample_kg, counted / sample_kg > allowed_per_kg)
