"""What a few packs prove at the laboratory: a bound for most of all the packs that nobody counted."""

from math import sqrt

from kit.basics.errors import check_range
from kit.process.physics.numeric import check_whole


def tolerance_factor(packs: int, share: float = 0.95, sure: float = 0.95) -> float:
    """Return how many spreads above the mean hold a share of all packs, when only a few were counted.

    Few packs tell little of the spread, so the factor is large: 4.2 for five packs, 2.9 for ten.

    Parameters
    ----------
    packs : int
        Packs that were counted, 2 or more.
    share : float
        Share of all packs to lie below, above 0, below 1.
    sure : float
        How sure, above 0, below 1.

    Notes
    -----
    Source: ``tolerance-example``: one-sided, by the noncentral t of ``scipy``. The counts in log10
    are taken as a bell curve.

    Examples
    --------
    >>> round(tolerance_factor(5), 2), round(tolerance_factor(10), 2)
    (4.2, 2.91)
    """
    check_whole("packs", packs, at_least=2)
    check_range("share", share, above=0, below=1)
    check_range("sure", sure, above=0, below=1)
    from scipy.stats import nct, norm  # takes longer to load than a page

    return float(nct.ppf(sure, packs - 1, norm.ppf(share) * sqrt(packs)) / sqrt(packs))
