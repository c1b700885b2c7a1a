"""A walk through variants of exercises: every fault that a variant may have, found without a page.

For each variant: the answer is full marks, no slip is marked as full marks, each slip gives its own message,
the page carries nothing that gives the answer away, and drawing it again gives the same question.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from typing import Any

from kit import rules
from kit.basics.errors import KitError
from kit.exercises.engine import registry
from kit.exercises.engine.fingerprints import fingerprint
from kit.marking import mark, page_form
from kit.marking.model import Controls, Question
from kit.rules import PROFILES, Profile, Rule


@cache
def tighter(profile: str) -> tuple[dict[str, Any], ...]:
    """Return house limits that a kitchen may set on top of a profile: one at each point that has a number."""
    points = [rules.load(profile).answering(point)[-1:] for point in ("cook", "chill", "store")]
    told = (*points, rules.load(profile).answering("life"))
    return tuple({"rule": rule.id, **_tighter(rule)} for point in told for rule in point if rule.has_number)


def _tighter(rule: Rule) -> dict[str, Any]:
    minutes, most = rule.minutes or 0.0, rule.maximum or 0.0
    if rule.rows:
        return {"rows": [[row.temp_c + 1, row.minutes * 1.5] for row in rule.rows]}
    if rule.form == "hold":
        return {"minutes": minutes + 10} if minutes else {"minimum": (rule.minimum or 0.0) + 2}
    if rule.form == "window":
        return {"minutes": minutes * 0.75}
    return {"maximum": most - (2 if rule.quantity == "shelf_life_days" else 1)}


@cache
def kitchen(profile: str) -> Profile:
    """Return a kitchen's rules: a profile with tighter house limits on top."""
    return replace(rules.on_top(profile, tighter(profile), where="the walk"), house="The walk")


def drawn_under(name: str, seeds: int) -> Iterator[tuple[int, Profile]]:
    """Return the seeds of an exercise, each with the rules that it is walked under."""
    if not registry.takes_profile(name):
        yield from ((seed, rules.load(PROFILES[seed % len(PROFILES)])) for seed in range(seeds))
        return
    for seed in range(min(seeds, max(20, seeds // 4))):
        yield from ((seed, rules.load(profile)) for profile in PROFILES)
        yield seed, kitchen(PROFILES[seed % len(PROFILES)])


def faults_of(question: Question) -> Iterator[str]:
    """Return what is wrong with one variant, in words that do not hold its numbers."""
    outcome = mark(question, question.answer)
    if outcome.verdict != "right" or outcome.score != question.of:
        yield f"its own answer is {outcome.verdict!r}"
    for slip in question.slips:
        found = mark(question, slip.value)
        if found.score >= question.of:
            yield f"slip {slip.name!r} earns full marks"
        if found.slip != slip.name or slip.says not in found.message:
            yield f"slip {slip.name!r} is told {found.slip!r}"
    page = json.dumps(page_form(question), ensure_ascii=False)
    page += question.picture.text if question.picture else ""
    for secret in (question.worked, *question.hints, *(slip.says for slip in question.slips)):
        if secret and secret in page:
            yield "the page holds a hint, the worked answer or what a slip says"


def walk(ids: tuple[str, ...], seeds: int) -> tuple[Counter[str], Counter[str]]:
    """Return the faults, each with how often it came, and how many variants each exercise has."""
    faults: Counter[str] = Counter()
    variants: Counter[str] = Counter()
    for name in ids:
        seen = set()
        for seed, profile in drawn_under(name, seeds):
            try:
                question = registry.question(name, seed, profile)
            except KitError as error:
                faults[f"{name}: {error}"] += 1
                continue
            print_of = fingerprint(question)
            if print_of in seen and not isinstance(question.kind, Controls):
                continue
            seen.add(print_of)
            faults.update(f"{name}: {fault}" for fault in faults_of(question))
            if fingerprint(registry.question(name, seed, profile)) != print_of:
                faults[f"{name}: the same seed drew another question"] += 1
        variants[name] = len(seen)
    return faults, variants
