"""Sampling: what a plan lets through, and what a sample proves about the rest."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy import special

from kit.basics.errors import BadData, check_range
from kit.process.physics.numeric import as_given, check_whole

Array = NDArray[np.float64]


def acceptance_probability(
    n: int,
    c: int,
    p: ArrayLike | None = None,
    *,
    lot: int | None = None,
    defectives: ArrayLike | None = None,
) -> Any:
    """Return the chance that a sampling plan accepts: at most ``c`` defectives among ``n`` pieces.

    A plan never promises a clean batch. This says how often it lets a bad one through.

    Parameters
    ----------
    n, c : int
        Sample size, 1 or more, and the most defectives that still accept, 0 to ``n``. [pieces]
    p : float or array, optional
        Share of defectives in a large lot, 0 to 1; binomial. [-]
    lot, defectives : int, optional
        Instead of ``p``: pieces in a small lot and defectives in it; hypergeometric. [pieces]

    Returns
    -------
    float or array
        Chance of accepting. [-]

    Raises
    ------
    OutOfRange
        If a number lies outside its range, or is not whole.
    BadData
        If both ways, or neither, are given.

    Notes
    -----
    Source: ``montgomery-sqc``, sec. 15.2; computed by SciPy (binomial, hypergeometric).

    Examples
    --------
    >>> round(acceptance_probability(89, 2, 0.02), 4)
    0.7366
    >>> round(acceptance_probability(10, 0, lot=50, defectives=5), 4)
    0.3106
    """
    check_whole("n", n, at_least=1, likely_cause="A sample has at least one piece.")
    check_whole("c", c, at_least=0, at_most=n, likely_cause="Were n and c swapped?")
    if (p is None) == (lot is None or defectives is None) or (p is not None and lot is not None):
        raise BadData("acceptance_probability", "give p, or lot and defectives", "one of the two ways")
    if p is not None:
        check_range("p", p, at_least=0, at_most=1, likely_cause="Is it a share, not a percentage?")
        return as_given(special.bdtr(c, n, np.asarray(p, dtype=float)))
    check_whole("lot", lot, at_least=n, likely_cause="A sample cannot be larger than its lot.")
    check_whole("defectives", defectives, at_least=0, at_most=lot)
    from scipy.stats import hypergeom

    return as_given(hypergeom.cdf(c, lot, np.asarray(defectives), n))


@dataclass(frozen=True)
class OperatingCurve:
    """A plan's chance of accepting against the share of defectives. Arrays of equal length. [-]"""

    n: int
    c: int
    p: Array
    accepted: Array


def operating_curve(n: int, c: int, *, p_max: float = 0.3, points: int = 121) -> OperatingCurve:
    """Return the operating curve of a plan: the picture of what it lets through.

    Parameters
    ----------
    n, c : int
        Sample size and acceptance number. [pieces]
    p_max : float
        Where the curve ends, above 0, up to 1. [-]
    points : int
        Points on it, 2 to 10,000.

    Notes
    -----
    Source: ``montgomery-sqc``, sec. 15.2.

    Examples
    --------
    >>> curve = operating_curve(13, 2, p_max=0.2, points=3)
    >>> [round(float(x), 3) for x in curve.accepted]
    [1.0, 0.866, 0.502]
    """
    check_range("p_max", p_max, above=0, at_most=1)
    check_whole("points", points, at_least=2, at_most=10_000)
    p = np.linspace(0.0, p_max, points)
    return OperatingCurve(n, c, p, acceptance_probability(n, c, p))


def quality_accepted_with(n: int, c: int, chance: float) -> float:
    """Return the share of defectives that a plan accepts with the given chance. [-]

    At 0.95 it is the quality the plan is kind to; at 0.10 the quality it nearly always catches.

    Parameters
    ----------
    n, c : int
        Sample size and acceptance number, ``c`` below ``n``. [pieces]
    chance : float
        Chance of accepting, between 0 and 1. [-]

    Notes
    -----
    Source: ``scipy``, inverse of the binomial distribution.

    Examples
    --------
    >>> round(quality_accepted_with(13, 2, 0.10), 3)
    0.36
    """
    check_whole("n", n, at_least=1)
    check_whole("c", c, at_least=0, at_most=n - 1, likely_cause="With c = n a plan accepts everything.")
    check_range("chance", chance, above=0, below=1)
    return float(special.bdtri(c, n, chance))


@dataclass(frozen=True)
class Interval:
    """The two ends of an interval for a share. [-]"""

    low: float
    high: float


def exact_interval(found: int, n: int, confidence: float = 0.95) -> Interval:
    """Return the Clopper-Pearson interval for the share of defectives in the whole lot.

    Two bones in fifty fillets is not "4 %": it is anything from half a percent to 14 %.

    Parameters
    ----------
    found, n : int
        Defectives found, 0 to ``n``, among ``n`` pieces, 1 or more. [pieces]
    confidence : float
        Two-sided, between 0 and 1. [-]

    Notes
    -----
    Source: ``clopper-pearson-1934``; computed by SciPy's inverse beta function.

    Examples
    --------
    >>> ends = exact_interval(2, 50)
    >>> round(ends.low, 5), round(ends.high, 5)
    (0.00488, 0.13714)
    """
    check_whole("n", n, at_least=1)
    check_whole("found", found, at_least=0, at_most=n, likely_cause="Were found and n swapped?")
    check_range("confidence", confidence, above=0, below=1, likely_cause="Is it a share, not a percentage?")
    tail = (1 - confidence) / 2
    low = 0.0 if found == 0 else float(special.betaincinv(found, n - found + 1, tail))
    high = 1.0 if found == n else float(special.betaincinv(found + 1, n - found, 1 - tail))
    return Interval(low, high)


def upper_bound_none_found(n: ArrayLike, confidence: float = 0.95) -> Any:
    """Return the largest share of defectives still believable when ``n`` pieces showed none. [-]

    One-sided and exact. The rule of three is its shortcut.

    Parameters
    ----------
    n : int or array
        Pieces inspected, 1 or more. [pieces]
    confidence : float
        One-sided, between 0 and 1. [-]

    Notes
    -----
    Source: ``hanley-lippman-hand-1983``.

    Examples
    --------
    >>> round(upper_bound_none_found(30), 4)
    0.095
    """
    check_whole("n", n, at_least=1)
    check_range("confidence", confidence, above=0, below=1, likely_cause="Is it a share, not a percentage?")
    return as_given(-np.expm1(np.log1p(-confidence) / np.asarray(n, dtype=float)))


def rule_of_three(n: ArrayLike) -> Any:
    """Return 3/n: "none in n" leaves up to this share, with about 95 % confidence. [-]

    A sum for the back of an envelope; it is within 5 % from 30 pieces on.

    Parameters
    ----------
    n : int or array
        Pieces inspected, none of them defective, 3 or more. [pieces]

    Raises
    ------
    OutOfRange
        If ``n`` is not whole, or below 3.

    Notes
    -----
    Source: ``hanley-lippman-hand-1983``.

    Examples
    --------
    >>> rule_of_three(60)
    0.05
    """
    check_whole("n", n, at_least=3, likely_cause="Fewer than three pieces prove nothing.")
    return as_given(3.0 / np.asarray(n, dtype=float))


def sample_size_none_found(p: ArrayLike, confidence: float = 0.95) -> Any:
    """Return how many clean pieces in a row it takes to say "fewer than ``p`` are defective".

    Parameters
    ----------
    p : float or array
        Share to be ruled out, between 0 and 1. [-]
    confidence : float
        One-sided, between 0 and 1. [-]

    Returns
    -------
    int or array
        Pieces to inspect, all of them clean. [pieces]

    Notes
    -----
    Source: ``hanley-lippman-hand-1983``.

    Examples
    --------
    >>> sample_size_none_found(0.01)
    299
    """
    check_range("p", p, above=0, below=1, likely_cause="Is it a share, not a percentage?")
    check_range("confidence", confidence, above=0, below=1, likely_cause="Is it a share, not a percentage?")
    pieces = np.ceil(np.log1p(-confidence) / np.log1p(-np.asarray(p, dtype=float)) - 1e-9).astype(int)
    return int(pieces) if pieces.ndim == 0 else pieces
