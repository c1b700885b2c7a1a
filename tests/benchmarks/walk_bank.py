"""Walk every exercise of the bank over many seeds and stop with 1 on any fault.

    python tests/benchmarks/walk_bank.py [--seeds 1000] [--lesson N] [--id ID ...]

For each variant: the answer is full marks, no slip is marked as full marks, each slip gives its own message,
the page carries nothing that gives the answer away, and drawing it again gives the same question. Exercises
whose truth is simulated have few settings and are remembered, so the walk is quick once it is warm.

An exercise that takes a rule profile is walked under every profile, and under a kitchen whose house limits
are tighter than its profile's: six times as many variants, so on a quarter of the seeds, 20 at least. Any
other draws the same whatever the profile, so one a seed is enough.
"""

from __future__ import annotations

import argparse
import json
import sys
import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from typing import Any

from kit import exercises, rules
from kit.basics.errors import KitError
from kit.exercises.engine import registry
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
    if rule.rows:
        return {"rows": [[row.temp_c + 1, row.minutes * 1.5] for row in rule.rows]}
    if rule.form == "hold":
        return {"minutes": rule.minutes + 10} if rule.minutes else {"minimum": rule.minimum + 2}
    if rule.form == "window":
        return {"minutes": rule.minutes * 0.75}
    return {"maximum": rule.maximum - (2 if rule.quantity == "shelf_life_days" else 1)}


@cache
def kitchen(profile: str) -> Profile:
    """Return a kitchen's rules: a profile with tighter house limits on top."""
    return replace(rules.on_top(profile, tighter(profile), where="the walk"), house="The walk")


def takes_profile(name: str) -> bool:
    """Return whether an exercise is drawn from the rules of a profile."""
    return registry._entry(name).takes_profile


def drawn_under(name: str, seeds: int) -> Iterator[tuple[int, Profile]]:
    """Return the seeds of an exercise, each with the rules that it is walked under."""
    if not takes_profile(name):
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
                question = exercises.question(name, seed, profile)
            except KitError as error:
                faults[f"{name}: {error}"] += 1
                continue
            mark_of = exercises.fingerprint(question)
            if mark_of in seen and not isinstance(question.kind, Controls):
                continue
            seen.add(mark_of)
            faults.update(f"{name}: {fault}" for fault in faults_of(question))
            if exercises.fingerprint(exercises.question(name, seed, profile)) != mark_of:
                faults[f"{name}: the same seed drew another question"] += 1
        variants[name] = len(seen)
    return faults, variants


def main() -> int:
    """Walk, print what was found, and return the exit code."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--seeds", type=int, default=1000, help="how many seeds an exercise")
    parser.add_argument("--lesson", type=int, help="only this lesson")
    parser.add_argument("--id", action="append", help="only this exercise; may be given again")
    options = parser.parse_args()
    ids = tuple(options.id) if options.id else exercises.ids(options.lesson)
    started = time.perf_counter()
    faults, variants = walk(ids, options.seeds)
    for fault, times in faults.most_common():
        print(f"{times:6} × {fault}")
    spent = time.perf_counter() - started
    few = [f"{name} ({count})" for name, count in variants.items() if count < 5]
    if few:
        print(f"fewer than 5 variants: {', '.join(few)}")
    print(
        f"{len(ids)} exercises, {options.seeds} seeds each, {sum(variants.values())} variants, {spent:.1f} s"
    )
    print(f"{'FAULTS' if faults else 'no fault'}")
    return 1 if faults or not ids else 0


if __name__ == "__main__":
    sys.exit(main())
