"""A limit in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kit.rules.model import LethalityLimit, minutes_words

if TYPE_CHECKING:
    from kit.rules.model import Rule


def limit_words(rule: Rule) -> str:
    """Return the limit of a rule as a cook would say it, or "no number".

    Examples
    --------
    >>> from kit import rules
    >>> limit_words(rules.load("us-retail")["us-retail-cool-57-21"])
    'from 57 to 21 °C within 120 min'
    """
    if rule.form == "hold":
        words = ", or ".join(row.words for row in rule.holds)
        return f"{words}, or an equal treatment" if rule.equal else words
    if rule.form == "window":
        return _window_words(rule)
    if rule.form == "lethality" and rule.kill is not None:
        return kill_words(rule.kill)
    if rule.form == "value":
        return _value_words(rule)
    return "no number"


def kill_words(kill: LethalityLimit) -> str:
    """Return a kill in words, with organism, z and reference.

    Examples
    --------
    >>> kill_words(LethalityLimit("listeria", 6, 70, 7.5, 2, 63))
    '6-log kill of Listeria, as 2 min at 70 °C (z = 7.5 °C)'
    """
    name = kill.organism.split("_")[0].capitalize()
    return (
        f"{kill.logs:g}-log kill of {name}, as {minutes_words(kill.minutes)} at {kill.ref_c:g} °C "
        f"(z = {kill.z_c:g} °C)"
    )


def _window_words(rule: Rule) -> str:
    within = minutes_words(rule.minutes or 0)
    if rule.until == "chiller":
        return f"in the chiller within {within} of leaving the heat"
    if rule.clock == "temperature":
        return f"from {rule.from_c:g} to {rule.maximum:g} °C within {within}"
    start = "of leaving the heat" if rule.clock == "door" else "of entering the chiller"
    return f"{rule.maximum:g} °C or less within {within} {start}"


def _value_words(rule: Rule) -> str:
    unit = "" if rule.unit == "1" else f" {rule.unit}"
    if rule.minimum is not None and rule.maximum is not None:
        return f"from {rule.minimum:g} to {rule.maximum:g}{unit}"
    if rule.minimum is not None:
        return f"{rule.minimum:g}{unit} or more"
    return f"{rule.maximum:g}{unit} or less"
