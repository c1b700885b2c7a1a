"""The Rasch model by marginal likelihood: abilities are taken to be normal, their spread is found too."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from kit.basics.errors import BadData
from kit.statistics.statistic import as_right_or_wrong

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

_NODES = 61


@dataclass(frozen=True)
class MarginalRasch:
    """One slope for all items, and their difficulties on a scale of abilities with mean 0 and deviation 1.

    The slope is also the deviation of abilities in logits; difficulty × slope is a difficulty in logits.
    """

    slope: float
    difficulty: NDArray[Any]
    log_likelihood: float


def rasch_marginal(answers: ArrayLike) -> MarginalRasch:
    """Return slope and difficulties by marginal maximum likelihood: a check on the conditional ones.

    It needs a guess about the people, a normal curve, that the conditional form does without.

    Parameters
    ----------
    answers : array_like
        People × items: 1, 0, or NaN where somebody did not meet the item.

    Raises
    ------
    OutOfRange, BadData
        If an answer is neither right nor wrong, everybody or nobody got an item right, or the search does not
        end.

    Notes
    -----
    Gauss–Hermite quadrature of 61 nodes, and ``scipy.optimize``. Source: Bock and Lieberman (1970),
    Psychometrika 35, 179; from memory.

    Examples
    --------
    >>> found = rasch_marginal([[1, 0], [1, 1], [0, 1], [0, 0], [1, 1], [1, 0]])
    >>> bool(found.difficulty[0] < found.difficulty[1])
    True
    """
    from scipy.optimize import minimize

    found = as_right_or_wrong(answers)
    share = np.array(
        [each[~np.isnan(each)].mean() if (~np.isnan(each)).any() else np.nan for each in found.T]
    )
    if not ((share > 0) & (share < 1)).all():
        raise BadData("answers", "an item that everybody or nobody got right", "items that some got right")
    patterns, many = np.unique(np.where(np.isnan(found), -1.0, found), axis=0, return_counts=True)
    nodes, weights = np.polynomial.hermite_e.hermegauss(_NODES)
    weights = weights / weights.sum()
    start = np.append(np.log(share / (1 - share)), 0.0)
    best = minimize(
        _cost,
        start,
        args=(patterns == 1, patterns == 0, many.astype(float), nodes, np.log(weights)),
        jac=True,
        method="L-BFGS-B",
        options={"maxiter": 1000, "ftol": 1e-14, "gtol": 1e-7},
    )
    if not np.isfinite(best.fun):
        raise BadData("answers", "the search for difficulties did not end", "answers that differ")
    slope = float(np.exp(best.x[-1]))
    return MarginalRasch(slope, -best.x[:-1] / slope, -float(best.fun))


def _cost(
    at: NDArray[Any],
    right: NDArray[Any],
    wrong: NDArray[Any],
    many: NDArray[Any],
    nodes: NDArray[Any],
    log_weights: NDArray[Any],
) -> tuple[float, NDArray[Any]]:
    """The negative log-likelihood at these easinesses and log slope, and its slope in each."""
    slope = np.exp(at[-1])
    pull = at[:-1, None] + slope * nodes[None, :]
    chance = 1 / (1 + np.exp(-pull))
    log_each = right @ -np.logaddexp(0, -pull) + wrong @ -np.logaddexp(0, pull) + log_weights
    top = log_each.max(axis=1, keepdims=True)
    here = np.exp(log_each - top)
    whole = here.sum(axis=1, keepdims=True)
    height = float((many * (top[:, 0] + np.log(whole[:, 0]))).sum())
    posterior = here / whole * many[:, None]
    off = right.T @ posterior * (1 - chance) - wrong.T @ posterior * chance
    return -height, -np.append(off.sum(axis=1), (off * nodes[None, :]).sum() * slope)
