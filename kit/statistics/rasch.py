"""The Rasch model by conditional likelihood: how hard each item is, whoever answered it.

The chance of a right answer is 1 / (1 + exp(difficulty − ability)), both in logits. Given a person's total,
the answers no longer depend on ability; so difficulties are found without a guess about the people. Gaps may
be anywhere: each person counts by the items met.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from kit.basics.errors import BadData
from kit.statistics.statistic import as_right_or_wrong

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

LEAST_PEOPLE = 100
"""Fewer people than this, and no difficulty is shown. Ours: at 100 an error is still about 0.25 logits."""
_ROUNDS, _SMALL = 100, 1e-8
_FREE = 1e-9
"""Eigenvalues below this share of the largest are taken for none."""


@dataclass(frozen=True)
class RaschFit:
    """Difficulties in the order of the items, and what they rest on. All difficulties and errors in logits.

    ``difficulty`` is NaN for an item that everybody or nobody got right, or that no chain of people links to
    the others; ``left_out`` says which. The rest have the mean 0. ``outfit`` and ``infit`` are mean squares
    around 1 (``_z`` standardised) of the answers about what is expected given the total: far above 1 is
    noise, far below is too neat.
    """

    difficulty: NDArray[Any]
    error: NDArray[Any]
    people: NDArray[Any]
    left_out: tuple[int, ...]
    log_likelihood: float
    rounds: int
    infit: NDArray[Any]
    outfit: NDArray[Any]
    infit_z: NDArray[Any]
    outfit_z: NDArray[Any]


@dataclass(frozen=True)
class PersonFit:
    """Abilities and fit of persons, in the order of the rows. Logits; NaN for who met no usable item."""

    ability: NDArray[Any]
    error: NDArray[Any]
    infit: NDArray[Any]
    outfit: NDArray[Any]
    infit_z: NDArray[Any]
    outfit_z: NDArray[Any]


def rasch(answers: ArrayLike) -> RaschFit:
    """Return the difficulties of right-or-wrong items by conditional maximum likelihood.

    Parameters
    ----------
    answers : array_like
        People × items: 1, 0, or NaN where somebody did not meet the item.

    Returns
    -------
    RaschFit
        Difficulties with the mean 0. [logits]

    Raises
    ------
    OutOfRange, BadData
        If an answer is neither right nor wrong, fewer than 2 items can be compared, or the search does not
        end.

    Notes
    -----
    Newton's method with halved steps. The totals' distribution is built item by item, and its slope by going
    back through it. In the matrix of second derivatives, covariances between items are approximated; each
    variance is exact, and so is the end of the search. Source: Andersen (1972), J. R. Stat. Soc. B 34, 42;
    from memory.

    Examples
    --------
    >>> found = rasch([[1, 0, 0], [1, 1, 0], [1, 0, 1], [0, 1, 0], [1, 0, 0], [0, 1, 1]])
    >>> (found.difficulty.round(2) + 0).tolist()
    [-0.52, 0.0, 0.52]
    """
    whole = as_right_or_wrong(answers)
    kept = _comparable(whole)
    if len(kept) < 2:
        raise BadData("answers", "fewer than 2 items can be compared", "items some got right and some wrong")
    data = _Totals.of(whole[:, kept])
    difficulty, error, likelihood, rounds = _climb(data)
    items = whole.shape[1]
    return RaschFit(
        difficulty=_spread_out(difficulty, kept, items),
        error=_spread_out(error, kept, items),
        people=(~np.isnan(whole)).sum(axis=0),
        left_out=tuple(sorted(set(range(items)) - set(kept))),
        log_likelihood=likelihood,
        rounds=rounds,
        **{name: _spread_out(each, kept, items) for name, each in _item_squares(difficulty, data).items()},
    )


def persons(answers: ArrayLike, fit: RaschFit) -> PersonFit:
    """Return how able each person is by these difficulties, and whether the answers fit together.

    Examples
    --------
    >>> answers = [[1, 0, 0], [1, 1, 0], [1, 0, 1], [0, 1, 0], [1, 0, 0], [0, 1, 1]]
    >>> persons(answers, rasch(answers)).ability.round(2).tolist()
    [-0.55, 0.55, 0.55, -0.55, -0.55, 0.55]
    """
    whole = as_right_or_wrong(answers)
    ability, error = abilities(whole, fit.difficulty)
    with np.errstate(invalid="ignore"):
        chance = 1 / (1 + np.exp(fit.difficulty[None, :] - ability[:, None]))
    return PersonFit(ability, error, **_fit_squares(whole, chance, axis=1))


def abilities(answers: NDArray[Any], difficulty: NDArray[Any]) -> tuple[NDArray[Any], NDArray[Any]]:
    """Return each person's ability and its standard error, by Warm's weighted likelihood. [logits]

    It has an end also for who got everything right, or nothing. Source: Warm (1989), Psychometrika 54, 427;
    from memory.

    Examples
    --------
    >>> right = np.array([[1.0, 1.0], [1.0, 0.0]])
    >>> (abilities(right, np.array([0.0, 0.0]))[0].round(3) + 0).tolist()
    [1.609, 0.0]
    """
    met = ~np.isnan(answers) & ~np.isnan(difficulty)[None, :]
    hard = np.where(np.isnan(difficulty), 0.0, difficulty)[None, :]
    right = np.where(met, answers, 0.0).sum(axis=1)
    low, high = np.full(len(answers), -12.0), np.full(len(answers), 12.0)
    for _ in range(50):  # halving: 24 logits become 2e-14
        middle = (low + high) / 2
        chance = np.where(met, 1 / (1 + np.exp(hard - middle[:, None])), 0.0)
        told = chance * (1 - chance)
        information = np.maximum(told.sum(axis=1), 1e-300)
        slope = right - chance.sum(axis=1) + (told * (1 - 2 * chance)).sum(axis=1) / (2 * information)
        low, high = np.where(slope > 0, middle, low), np.where(slope > 0, high, middle)
    some = met.any(axis=1)
    return np.where(some, (low + high) / 2, np.nan), np.where(some, information**-0.5, np.nan)


@dataclass(frozen=True)
class _Totals:
    """People drawn together: a row for each set of items met and total, with how many they are."""

    met: NDArray[Any]
    total: NDArray[Any]
    many: NDArray[Any]
    right: NDArray[Any]
    answers: NDArray[Any]  # of those who say something
    row: NDArray[Any]  # of each of them

    @classmethod
    def of(cls, answers: NDArray[Any]) -> _Totals:
        """Those with a total of nothing or everything say nothing about difficulty and are left out."""
        met = ~np.isnan(answers)
        total = np.nansum(answers, axis=1).astype(int)
        says = (total > 0) & (total < met.sum(axis=1))
        drawn = np.column_stack([met[says], total[says]])
        rows, row, many = np.unique(drawn, axis=0, return_inverse=True, return_counts=True)
        said = answers[says]
        right = np.nansum(said, axis=0)
        return cls(rows[:, :-1].astype(bool), rows[:, -1], many.astype(float), right, said, row.ravel())


def _climb(data: _Totals) -> tuple[NDArray[Any], NDArray[Any], float, int]:
    """Go up the conditional likelihood; return difficulties, errors, its height and the rounds taken."""
    difficulty = np.zeros(len(data.right))
    height, expected, information = _look(difficulty, data)
    for turn in range(1, _ROUNDS + 1):
        step = _inverse(information) @ (expected - data.right)
        size = 1.0
        while True:
            next_one = difficulty + size * step
            tried = _look(next_one - next_one.mean(), data)
            if tried[0] >= height - 1e-9 or size < 1e-6:
                break
            size /= 2
        difficulty = next_one - next_one.mean()
        height, expected, information = tried
        if np.abs(size * step).max() < _SMALL:
            error = np.sqrt(np.diag(_inverse(information)))
            return difficulty, error, height, turn
    raise BadData(
        "answers", f"no difficulties after {_ROUNDS} rounds", "items that people link to each other"
    )


def _inverse(information: NDArray[Any]) -> NDArray[Any]:
    """Return the inverse but for the one direction that is free: all items harder by the same.

    That direction has an eigenvalue of nothing but rounding, of either sign on other machines.
    """
    return np.linalg.pinv(information, rcond=_FREE, hermitian=True)


def _look(difficulty: NDArray[Any], data: _Totals) -> tuple[float, NDArray[Any], NDArray[Any]]:
    """The log-likelihood here, the expected right answers of each item, and the information matrix.

    With chances of a person of ability 0, the totals' distribution stands for the symmetric functions: it
    neither grows nor vanishes.
    """
    chance = np.where(data.met, 1 / (1 + np.exp(difficulty)), 0.0)
    steps = _distributions(chance)
    rows = np.arange(len(chance))
    of_total = steps[-1][rows, data.total]
    log_symmetric = np.log(of_total) - np.log1p(-chance).sum(axis=1)
    height = float(-(difficulty * data.right).sum() - (data.many * log_symmetric).sum())
    given = _given_total(chance, steps, data.total, of_total)
    pull = _pulls(given * (1 - given))
    scaled = pull * (data.many / np.maximum(pull.sum(axis=1), 1e-300))[:, None]
    information = np.diag(data.many @ pull) - scaled.T @ pull
    return height, data.many @ given, information


def _pulls(told: NDArray[Any]) -> NDArray[Any]:
    """What makes diag(pull) − pull pullᵀ / sum(pull) have these variances: its rows then add up to 0 too."""
    pull = told
    for _ in range(25):
        pull = told + pull * pull / np.maximum(pull.sum(axis=1, keepdims=True), 1e-300)
    return pull


def _distributions(chance: NDArray[Any]) -> list[NDArray[Any]]:
    """The distribution of the total after each item: rows × totals, from no item to all."""
    now = np.zeros((len(chance), chance.shape[1] + 1))
    now[:, 0] = 1.0
    steps = [now]
    for item in range(chance.shape[1]):
        right = chance[:, item, None]
        after = now * (1 - right)
        after[:, 1:] += now[:, :-1] * right
        steps.append(now := after)
    return steps


def _given_total(
    chance: NDArray[Any], steps: list[NDArray[Any]], total: NDArray[Any], of_total: NDArray[Any]
) -> NDArray[Any]:
    """The chance of each item to be right, given the total: back through the distributions."""
    given = np.empty_like(chance)
    onward = np.zeros_like(steps[-1])
    onward[np.arange(len(chance)), total] = 1.0
    for item in range(chance.shape[1] - 1, -1, -1):
        right = chance[:, item]
        up = np.zeros_like(onward)
        up[:, :-1] = onward[:, 1:]
        given[:, item] = right * (steps[item] * up).sum(axis=1) / of_total
        onward = onward * (1 - right)[:, None] + up * right[:, None]
    return given


def _comparable(answers: NDArray[Any]) -> list[int]:
    """The largest set of items in which each was beaten by each, if need be through others (Fischer)."""
    from scipy.sparse.csgraph import connected_components

    right, wrong = (np.where(np.isnan(answers), 0.0, np.where(answers == what, 1.0, 0.0)) for what in (1, 0))
    beats = (right.T @ wrong) > 0
    _, which = connected_components(beats, directed=True, connection="strong")
    return [int(item) for item in np.nonzero(which == np.bincount(which).argmax())[0]]


def _item_squares(difficulty: NDArray[Any], data: _Totals) -> dict[str, NDArray[Any]]:
    """Fit of the items: each answer about its chance given the total; that holds for few items too."""
    chance = np.where(data.met, 1 / (1 + np.exp(difficulty)), 0.0)
    steps = _distributions(chance)
    given = _given_total(chance, steps, data.total, steps[-1][np.arange(len(chance)), data.total])
    return _fit_squares(data.answers, given[data.row], axis=0)


def _fit_squares(answers: NDArray[Any], chance: NDArray[Any], *, axis: int) -> dict[str, NDArray[Any]]:
    """Infit and outfit, and both standardised by Wilson and Hilferty's cube root, along rows or columns."""
    with np.errstate(invalid="ignore", divide="ignore"):
        used = ~np.isnan(answers - chance)
        off = np.where(used, answers - chance, 0.0)
        told = np.where(used, chance * (1 - chance), 0.0)
        weigh = np.where(told > 0, told, np.nan)
        fourth = np.where(used, told * (1 - 3 * told), 0.0)
        n, weight = used.sum(axis=axis), told.sum(axis=axis)
        outfit = np.where(used, off**2 / weigh, 0.0).sum(axis=axis) / n
        infit = (off**2).sum(axis=axis) / weight
        inner = (fourth - told**2).sum(axis=axis) / weight**2
        outer = np.where(used, fourth / weigh**2, 0.0).sum(axis=axis) / n**2 - 1 / n
    return {
        "infit": infit,
        "outfit": outfit,
        "infit_z": _standardised(infit, inner),
        "outfit_z": _standardised(outfit, outer),
    }


def _standardised(square: NDArray[Any], variance: NDArray[Any]) -> NDArray[Any]:
    with np.errstate(invalid="ignore", divide="ignore"):
        spread = np.sqrt(variance)
        return np.asarray((np.cbrt(square) - 1) * 3 / spread + spread / 3)


def _spread_out(values: NDArray[Any], kept: list[int], items: int) -> NDArray[Any]:
    whole = np.full(items, np.nan)
    whole[kept] = values
    return whole
