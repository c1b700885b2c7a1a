"""What judging one rule finds, before it becomes a verdict."""

from __future__ import annotations

from dataclasses import dataclass

from kit.rules.model import Answer, Rule, Verdict


@dataclass(frozen=True)
class Finding:
    """The outcome of one rule with its figure and its reason."""

    outcome: Answer
    why: str
    measured: float | None = None
    limit: float | None = None
    unit: str = ""
    extrapolated: bool = False
    from_min: float | None = None
    to_min: float | None = None
    highest_c: float | None = None


def verdict(rule: Rule, finding: Finding) -> Verdict:
    """Return the verdict that a finding gives for its rule."""
    return Verdict(
        rule=rule.id,
        outcome=finding.outcome,
        measured=finding.measured,
        limit=finding.limit,
        unit=finding.unit,
        source=rule.source,
        seen=rule.seen,
        extrapolated=finding.extrapolated,
        why=finding.why,
        title=rule.title,
        limit_words=rule.limit,
        locator=rule.locator,
        form=rule.form,
        from_min=finding.from_min,
        to_min=finding.to_min,
        highest_c=finding.highest_c,
    )
