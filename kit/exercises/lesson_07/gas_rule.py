"""Lesson 7: the limit of carbon monoxide at work, and whose it is."""

from kit import rules
from kit.exercises.engine.whose_rule import Lent, own_or_lent


def gas_limit(average: str, profile: rules.Profile) -> tuple[float, str]:
    """Return the limit of carbon monoxide at work over ``8h`` or ``15min``, and whose it is. [ppm]

    The kitchen's own, where its rules give one; else Ireland's, said to be so.

    Examples
    --------
    >>> gas_limit("15min", rules.load("uk"))
    (100.0, 'Your rules, United Kingdom')
    >>> gas_limit("15min", rules.load("us-retail"))
    (100.0, 'Ireland, not your own: your rules give none')
    """
    lent = _gas_rule(average, profile)
    own = lent.lender is profile
    whose = f"Your rules, {profile.title}" if own else "Ireland, not your own: your rules give none"
    return float(lent.rule.maximum or 0.0), whose


def _gas_rule(average: str, profile: rules.Profile) -> Lent:
    return own_or_lent(profile, f"air-{average}", "ie")


def whose_gas(average: str, profile: rules.Profile) -> str:
    """Return the sentence on another country's limit; nothing where it is the kitchen's own."""
    lent = _gas_rule(average, profile)
    return "" if lent.lender is profile else f" The limit named is that of {lent.lender.title}. {lent.says}"
