"""Tasting as a measurement: the triangle test against chance."""

from scipy.special import bdtrc

from kit.basics.errors import check_range

BY_CHANCE = 1 / 3
"""The chance to pick the odd one of three by a guess. Source: ``probability``."""


def chance_of(right: int, tasters: int) -> float:
    """Return how likely so many right answers, or more, are in a triangle test where nobody tastes a thing.

    Parameters
    ----------
    right : int
        Tasters who picked the odd sample, 0 to ``tasters``.
    tasters : int
        Tasters in all, 1 or more; each answered once.

    Returns
    -------
    float
        0 to 1. Small means: guessing alone hardly does that.

    Notes
    -----
    Source: ``probability``, binomial with one third; by ``scipy``. Each answer stands by itself.

    Examples
    --------
    >>> round(chance_of(11, 20), 4)
    0.0376
    """
    check_range("tasters", tasters, at_least=1)
    check_range("right", right, at_least=0, at_most=tasters)
    return float(bdtrc(right - 1, tasters, BY_CHANCE))


def least_right(tasters: int, risk: float = 0.05) -> int:
    """Return the fewest right answers that show a difference, or one more than the tasters if none can.

    Parameters
    ----------
    tasters : int
        Tasters in all, 1 or more.
    risk : float
        How often guessing alone may seem to show a difference, above 0, below 1.

    Notes
    -----
    Source: ``probability``.

    Examples
    --------
    >>> least_right(24), least_right(2)
    (13, 3)
    """
    check_range("tasters", tasters, at_least=1)
    check_range("risk", risk, above=0, below=1)
    return next(right for right in range(tasters + 2) if right > tasters or chance_of(right, tasters) <= risk)


def taste_it_pct(right: int, tasters: int) -> float:
    """Return the share of tasters who taste the difference, once the lucky guesses are taken off. [%]

    Of those who taste nothing one third is right all the same. Below 0 is shown as 0.

    Notes
    -----
    Source: ``probability``: share right = share tasting + (1 - share tasting) / 3.

    Examples
    --------
    >>> round(taste_it_pct(14, 24), 1), taste_it_pct(8, 24)
    (37.5, 0.0)
    """
    check_range("tasters", tasters, at_least=1)
    check_range("right", right, at_least=0, at_most=tasters)
    return max(0.0, 100 * (right / tasters - BY_CHANCE) / (1 - BY_CHANCE))
