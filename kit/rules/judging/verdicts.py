"""Judge a record, simulated or logged, or a handful of numbers, against the rules of a profile."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from numbers import Real
from typing import Any

import numpy as np

from kit.basics.errors import OutOfRange, check_range
from kit.basics.quantities import term
from kit.process.physics.trace import Trace
from kit.rules.judging.cooling import judge_window
from kit.rules.judging.finding import Finding, verdict
from kit.rules.judging.holding import judge_hold
from kit.rules.judging.killing import constant_logs, judge_constant, judge_kill
from kit.rules.judging.readings import Readings, cook_span, frozen_span, readings
from kit.rules.model import LethalityLimit, Rule, Verdict, today
from kit.rules.points import STEPS
from kit.rules.profile import Profile
from kit.rules.purposes import PACKS, PURPOSES, check_asked, packs_words

PROBE_ERROR_C = 0.5
"""How far a probe may be from the truth, unless said otherwise. [°C]"""

MAX_GAP_MIN = 5.0
"""The longest silence allowed inside a claimed hold or window, unless said otherwise. [min]"""

PLATE_ONLY = "But this limit is for fish that is eaten at once. It proves nothing for fish that is kept."

NO_RULE = "no-rule"
"""What stands for the rule in the verdict of a profile that has none."""

Values = Mapping[str, float]

_CHECKS_OF_A_PROBE = ("probe_ice_c", "probe_boil_c", "probe_error_c")


def judge(
    trace_or_values: Trace | Values,
    profile: Profile,
    *,
    probe_error_c: float = PROBE_ERROR_C,
    max_gap_min: float = MAX_GAP_MIN,
    step: str | None = None,
    purpose: str = "",
    pack: str = "",
    on: date | None = None,
) -> tuple[Verdict, ...]:
    """Return a verdict for each rule of the profile: met, not met, or cannot tell, with the reason.

    A verdict speaks of one named rule, never of the batch: a competent person decides what happens to the
    fish. Whatever the record does not show is "cannot tell", never "met".

    Parameters
    ----------
    trace_or_values : Trace or mapping
        A record over time; or numbers by quantity (``water_phase_salt_pct``) or by rule id (the minutes that
        a cooling window took). A hold needs ``core_temp_c`` and ``hold_min``.
    profile : Profile
        From ``load`` or ``load_house``.
    probe_error_c : float
        The probe's stated error, 0 to 5. A reading that close to a limit cannot tell. [°C]
    max_gap_min : float
        The longest silence allowed inside a claimed hold or window, above 0. [min]
    step : str, optional
        Only the rules of this step, such as ``cook`` or ``chill``.
    purpose : str, optional
        What the record is to prove, of ``PURPOSES``: rules for another purpose are left out. Without it every
        rule speaks, each for its own purpose; one for plates is then never met, for the fish may be kept.
    pack : str, optional
        How the fish is packed, of ``PACKS``: rules for other packs are left out. Without it a rule for some
        packs cannot tell.
    on : date, optional
        The day whose law counts; default: today. Rules not in force on it are left out.

    Returns
    -------
    tuple of Verdict
        In the order of the profile. If it has no rule for that purpose or pack, one verdict that
        cannot tell, with ``no-rule`` for the rule.

    Raises
    ------
    OutOfRange
        If a number, or a reading of the core, is not a number or lies outside what the glossary calls
        plausible: a time below 0, a core hotter than boiling water.
    UnknownName
        If there is no such step, purpose or pack.
    NotInForce
        If every rule that was asked for was replaced by then, or has not begun.

    Notes
    -----
    A window whose clock starts when the fish leaves the heat needs the record to show that: a phase named
    ``cook``, ``hold`` or ``carry-over``. Without it such a window may be "not met", never "met".

    Examples
    --------
    >>> from kit import rules
    >>> for found in judge({"core_temp_c": 66.0, "hold_min": 12.0}, rules.load("us-processor"), step="cook"):
    ...     print(found.rule, found.outcome)
    us-processor-cook-hold not met
    us-processor-listeria-6d met
    us-processor-target cannot tell
    >>> judge({"core_temp_c": 76.0, "hold_min": 1.0}, rules.load("ie"), purpose="plate")[0].why
    'Ireland has no rule for food eaten at once. A competent person or the authority decides.'
    """
    check_range("probe_error_c", probe_error_c, at_least=0, at_most=5)
    check_range("max_gap_min", max_gap_min, above=0)
    check_asked(purpose, pack)
    asked = [
        rule
        for rule in (profile.rules if step is None else profile.at(step))
        if rule.fits(pack) and purpose in ("", rule.purpose)
    ]
    day = on or today()
    held = [rule for rule in asked if rule.in_force(day)]
    if asked and not held:
        asked[0].check_in_force(day)
    if not held and (purpose or pack):
        return (_no_rule(profile, purpose, pack, step),)
    return tuple(
        _whatever_pack(
            judge_rule(
                trace_or_values, rule, probe_error_c=probe_error_c, max_gap_min=max_gap_min,
                purpose=purpose, pack=pack, on=day,
            ),
            rule,
            pack,
        )
        for rule in held
    )  # fmt: skip


def _no_rule(profile: Profile, purpose: str, pack: str, step: str | None) -> Verdict:
    """Return what a profile says where it has no rule: that it cannot tell."""
    what = f" {PURPOSES[purpose]}" if purpose in PURPOSES else ""
    how = f" for fish {PACKS[pack]}" if pack in PACKS else ""
    where = f" at the step {STEPS[step].lower()}" if step else ""
    why = f"{profile.title} has no rule{what}{how}{where}. A competent person or the authority decides."
    return Verdict(
        rule=NO_RULE, outcome="cannot tell", measured=None, limit=None, unit="", source="", seen=True,
        extrapolated=False, why=why, title=f"No rule{what}{how}", limit_words="no rule", form="words",
    )  # fmt: skip


def _whatever_pack(found: Verdict, rule: Rule, pack: str) -> Verdict:
    """Take back what a rule for some packs says of fish whose pack nobody named."""
    if pack or not rule.needs_pack or found.outcome == "cannot tell":
        return found
    why = f"This rule is for fish {packs_words(rule.pack)}. Say how it is packed."
    return replace(found, outcome="cannot tell", why=why)


def judge_rule(
    trace_or_values: Trace | Values,
    rule: Rule,
    *,
    probe_error_c: float = PROBE_ERROR_C,
    max_gap_min: float = MAX_GAP_MIN,
    figure_error: float = 0.0,
    purpose: str = "",
    pack: str = "",
    on: date | None = None,
) -> Verdict:
    """Return the verdict on one rule. See ``judge``.

    ``figure_error`` is how far a figure that no probe read, such as a laboratory's, may be from the truth, in
    the unit of the rule. A figure that close to a limit cannot tell. A rule is never met for a ``purpose`` or
    a ``pack`` that is not its own; one for plates is met only where the purpose is a plate. A rule that was
    replaced by the day ``on``, or has not begun, raises ``NotInForce``.

    Examples
    --------
    >>> from kit import rules
    >>> rule = rules.load("us-processor")["us-processor-salt-vacuum"]
    >>> judge_rule({"water_phase_salt_pct": 3.4}, rule).outcome
    'not met'
    >>> judge_rule({"water_phase_salt_pct": 3.6}, rule, pack="air").outcome
    'cannot tell'
    """
    check_asked(purpose, pack)
    rule.check_in_force(on or today())
    if not rule.has_number:
        return verdict(
            rule, Finding("cannot tell", "The rule gives no number: the competent person decides.")
        )
    if isinstance(trace_or_values, Trace):
        finding = _of_trace(trace_or_values, rule, probe_error_c, max_gap_min)
    else:
        finding = _of_values(trace_or_values, rule, probe_error_c, figure_error)
    other = _for_another(rule, purpose, pack)
    if other and finding.outcome == "met":
        finding = replace(finding, outcome="cannot tell", why=f"{finding.why} {other}")
    return verdict(rule, finding)


def _for_another(rule: Rule, purpose: str, pack: str) -> str:
    """Say in words that a rule is for another purpose or pack; empty if it is for this one."""
    if rule.purpose == "plate" and not purpose:
        return PLATE_ONLY
    if purpose and rule.purpose and purpose != rule.purpose:
        return f"But this limit is {PURPOSES[rule.purpose]}. It proves nothing {PURPOSES[purpose]}."
    if not rule.fits(pack):
        return f"But this limit is for fish {packs_words(rule.pack)}. It says nothing of fish {PACKS[pack]}."
    return ""


def _of_trace(trace: Trace, rule: Rule, error_c: float, max_gap_min: float) -> Finding:
    record = readings(trace, error_c, max_gap_min)
    if rule.form == "window":
        return judge_window(trace, record, rule)
    if rule.form == "value":
        return _store_value(trace, record, rule)
    if rule.step == "cook":
        span: tuple[float, float] | None = cook_span(trace)
    else:
        span = frozen_span(trace)
    part = record.between(*span) if span else record.between(np.inf, np.inf)
    if not len(part):
        return Finding("cannot tell", "The record shows nothing for this rule.")
    if rule.kill is not None:
        return judge_kill(part, rule.kill)
    return _with_equal(part, rule, judge_hold(part, rule.holds))


def _with_equal(part: Readings, rule: Rule, finding: Finding) -> Finding:
    """Weigh an equal treatment: the kit shows it, and leaves to a person whether it counts as equal."""
    if rule.equal is None or finding.outcome == "met":
        return finding
    return _weigh_equal(finding, judge_kill(part, rule.equal))


def _weigh_equal(finding: Finding, equal: Finding) -> Finding:
    if equal.outcome == "not met":
        why = f"{finding.why} No equal treatment either. {equal.why}"
        return replace(finding, why=why, extrapolated=equal.extrapolated)
    why = f"{finding.why} The rule also allows an equal treatment; a competent person decides. {equal.why}"
    return replace(finding, outcome="cannot tell", why=why, extrapolated=equal.extrapolated)


def _store_value(trace: Trace, record: Readings, rule: Rule) -> Finding:
    phase = trace.phase("store")
    if rule.quantity not in ("store_temp_c", "frozen_store_temp_c") or phase is None:
        return Finding("cannot tell", f"The record does not show the {term(rule.quantity).plain}.")
    part = record.between(phase.start_min, phase.end_min)
    if not len(part):
        return Finding("cannot tell", "The record holds no reading of the store.")
    low, high = float(np.min(part.core_c)), float(np.max(part.core_c))
    found = [_bounded(number, rule, record.error_c) for number in (high, low)]
    worst = next((f for o in ("not met", "cannot tell") for f in found if f.outcome == o), found[0])
    return replace(worst, from_min=phase.start_min, to_min=phase.end_min, highest_c=high)


def _of_values(values: Values, rule: Rule, error_c: float, figure_error: float) -> Finding:
    if rule.form == "value":
        number = _number(values, rule.quantity, rule.id, rule.quantity)
        if number is None:
            return Finding("cannot tell", f"No {term(rule.quantity).plain} was given.")
        read = rule.unit == "°C" and rule.quantity not in _CHECKS_OF_A_PROBE
        return _bounded(number, rule, error_c if read else figure_error)
    if rule.form == "window":
        names = (rule.id, "chill_start_min") if rule.until == "chiller" else (rule.id,)
        took = _number(values, "time_min", *names)
        limit = rule.minutes or 0.0
        if took is None:
            return Finding("cannot tell", "The time that the cooling took was not given.", None, limit, "min")
        why = f"It took {took:g} min; the limit is {limit:g} min."
        return Finding("met" if took <= limit else "not met", why, took, limit, "min")
    if rule.kill is not None:
        return _kill_of_values(values, rule, rule.kill, error_c)
    return _hold_of_values(values, rule, error_c)


def _hold_of_values(values: Values, rule: Rule, error_c: float) -> Finding:
    temp_c = _number(values, "core_temp_c", "core_temp_c")
    hold_min = _number(values, "hold_min", rule.id, "hold_min")
    if temp_c is None or hold_min is None:
        missing = "core_temp_c" if temp_c is None else "hold_min"
        return Finding("cannot tell", f"{term(missing).plain.capitalize()} ({missing}) was not given.")
    times = np.array([0.0, hold_min]) if hold_min > 0 else np.array([0.0])
    steady = Readings(times, np.full(times.size, temp_c), error_c, np.inf)
    finding = judge_hold(steady, rule.holds)
    if rule.equal is None or finding.outcome == "met":
        return finding
    return _weigh_equal(finding, judge_constant(temp_c, hold_min, rule.equal, error_c))


def _kill_of_values(values: Values, rule: Rule, kill: LethalityLimit, error_c: float) -> Finding:
    logs = _number(values, "log_reduction", rule.id, "log_reduction")
    if logs is not None:
        why = f"The kill given is {logs:.3g} log; the limit is {kill.logs:g} log."
        return Finding("met" if logs >= kill.logs else "not met", why, logs, kill.logs, "log10")
    temp_c, hold_min = (_number(values, name, name) for name in ("core_temp_c", "hold_min"))
    if temp_c is None or hold_min is None:
        return Finding("cannot tell", "Neither a kill nor a core temperature with its time was given.")
    return judge_constant(temp_c, hold_min, kill, error_c)


def _near(number: float, limit: float, error: float) -> bool:
    return abs(number - limit) < error - 1e-9


def _bounded(number: float, rule: Rule, error: float) -> Finding:
    limit = rule.minimum if rule.minimum is not None else rule.maximum
    if rule.minimum is not None and rule.maximum is not None:
        limit = rule.maximum if number > (rule.minimum + rule.maximum) / 2 else rule.minimum
    low = -np.inf if rule.minimum is None else rule.minimum
    high = np.inf if rule.maximum is None else rule.maximum
    unit = "" if rule.unit == "1" else f" {rule.unit}"
    why = f"Measured {number:g}{unit}; the rule asks for {rule.limit}."
    if _near(number, low, error) or _near(number, high, error):
        whose = "the probe's" if rule.unit == "°C" else "its own"
        why += f" That lies within {whose} error of {error:g}{unit} of the limit."
        return Finding("cannot tell", why, number, limit, rule.unit)
    outcome = "met" if low <= number <= high else "not met"
    return Finding(outcome, why, number, limit, rule.unit)  # type: ignore[arg-type]


def _number(values: Values, quantity: str, *names: str) -> float | None:
    """Return the first number given under one of the names, checked as a quantity; None if there is none."""
    for name in names:
        if name in values:
            return _checked(name, values[name], quantity)
    return None


def _checked(name: str, value: Any, quantity: str) -> float:
    if isinstance(value, bool) or not isinstance(value, Real):
        raise OutOfRange(name, value, "a number")
    bounds = term(quantity)
    check_range(name, float(value), at_least=bounds.low, at_most=bounds.high)
    return float(value)


__all__ = ["MAX_GAP_MIN", "PROBE_ERROR_C", "constant_logs", "judge", "judge_rule"]
