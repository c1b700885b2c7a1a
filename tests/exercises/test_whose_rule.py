"""Whose rule a task works by: the bank is walked under every profile, and every foreign limit is found.

A limit of another place may stand on a page only with its source, its place, and the words that it is not the
kitchen's own. A limit from memory says so on the page. So nobody is marked by a foreign rule as if it were
theirs.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from typing import NamedTuple

import pytest

from kit import exercises, rules
from kit.exercises.engine.whose_rule import by_that_text, cook_card, freezing
from kit.marking.draw import Draw
from kit.marking.model import Question
from kit.rules import FROM_MEMORY, PROFILES, Profile, Rule, minutes_words

HOUSE = rules.on_top("ie", [{"rule": "ie-cook-75", "minimum": 76.0}, {"rule": "ie-store-3", "maximum": 2.0}],
                     where="a kitchen")  # fmt: skip
UNDER = {**{name: rules.load(name) for name in PROFILES}, "ie, tighter": HOUSE}
SEEDS = range(10)
IDS = (*exercises.ids(), *exercises.explain_ids())
_NAMED = {
    "ie": ("Ireland", "Irish"),
    "uk": ("United Kingdom", "UK"),
    "us-retail": ("United States", "US "),
    "us-processor": ("United States", "US "),
    "codex": ("Codex",),
}


class Limit(NamedTuple):
    """A limit as a page may tell it: the rule, its profile, and what finds it."""

    rule: Rule
    profile: Profile
    found_by: re.Pattern[str]


def _number(value: float) -> str:
    return re.escape(f"{value:g}".replace("-", "−")).replace("−", "[−-]")


def _minutes(minutes: float) -> str:
    ways = {minutes_words(minutes), f"{minutes:g} min"}
    ways |= {f"{minutes / 60:g} h"} if minutes >= 60 and minutes % 60 == 0 else set()
    ways |= {f"{minutes * 60:g} s"} if minutes < 1 else set()
    return "(?:" + "|".join(re.escape(way) for way in sorted(ways)) + r")(?!\w|\.\d)"


def patterns(rule: Rule) -> Iterator[str]:
    """What a page says when it tells this limit; a number that means nothing by itself is no limit."""
    if rule.form == "hold":
        for row in rule.holds:
            if row.minutes:
                yield rf"(?<![\d.−]){_number(row.temp_c)} °C[^.;:]{{0,20}}? for {_minutes(row.minutes)}"
            if row.temp_c % 1:  # 62.8: no kitchen would make that up
                yield rf"(?:asks for|reaches|limit|card|At|above) {_number(row.temp_c)} °C"
    elif rule.form == "window" and rule.minutes:
        if rule.from_c is not None:
            yield rf"{_number(rule.from_c)} to {_number(rule.maximum or 0)} °C"
        elif rule.maximum is not None:
            yield rf"(?<![\d.]){_number(rule.maximum)} °C[^.;]{{0,24}}within {_minutes(rule.minutes)}"
            yield rf"limit of {rule.minutes:g} min"
    elif rule.quantity == "shelf_life_days":
        days = f"{rule.maximum:g} days"
        yield rf"\b{days} (?:at most|or less)|such a pack: {days}|life over {days}"
    elif rule.quantity == "water_phase_salt_pct":
        yield rf"(?:asks for|at least|such as|minimum of) {_number(rule.minimum or 0)} %[^.;]{{0,16}}salt"
    elif rule.quantity == "store_temp_c" and "store" in rule.point:
        yield rf"(?:stay|kept|stored) at {_number(rule.maximum or 0)} °C or less"
    elif rule.quantity == "carbon_monoxide_ppm":
        yield rf"limit[^.]{{0,90}}(?<!\d){_number(rule.maximum or 0)} ppm"


LIMITS = [
    Limit(rule, profile, re.compile(each))
    for profile in (rules.load(name) for name in PROFILES)
    for rule in profile
    if rule.has_number
    for each in patterns(rule)
]


def page(question: Question) -> str:
    """All that somebody may read of a question before and after answering."""
    kind = question.kind
    groups = [getattr(kind, name, ()) for name in ("options", "left", "right", "reasons")]
    options = [option.text for group in groups for option in group]
    slips = [slip.says for slip in question.slips]
    picture = [question.picture.text] if question.picture else []
    return "\n".join([question.text, *options, *question.hints, question.worked, *slips, *picture])


@cache
def own_limits(profile: Profile) -> frozenset[str]:
    told = (*profile, *(profile.base or ()))  # a tighter limit of the house stands beside the one under it
    return frozenset(each for rule in told if rule.has_number for each in patterns(rule))


def faults(question: Question, profile: Profile) -> Iterator[str]:
    """Say of each limit on the page that is not this kitchen's, and not said to be another's."""
    read = page(question)
    for limit in LIMITS:
        found = limit.found_by.search(read)
        if found is None:
            continue
        holders = [each for each in LIMITS if each.found_by.pattern == limit.found_by.pattern]
        if not any(each.rule.seen for each in holders) and FROM_MEMORY not in read:
            yield f"{found[0]!r} ({limit.rule.id}) is from memory, and the page does not say so"
        if limit.found_by.pattern in own_limits(profile):
            continue
        named = any(
            rules.sources()[each.rule.source].title in question.text
            and any(name in question.text for name in _NAMED[each.profile.id])
            for each in holders
        )
        if not named or not re.search(r"not your own|comes from a kitchen", question.text):
            yield f"{found[0]!r} ({limit.rule.id}) stands under {profile.title} as if it were theirs"


@pytest.mark.parametrize("profile", UNDER.values(), ids=UNDER)
@pytest.mark.parametrize("name", IDS)
def test_no_limit_of_another_place_stands_as_if_it_were_the_kitchens_own(name: str, profile: Profile):
    told = {fault for seed in SEEDS for fault in faults(exercises.question(name, seed, profile), profile)}
    assert not told, "\n".join(sorted(told))


@pytest.mark.parametrize("profile", UNDER.values(), ids=UNDER)
def test_the_card_of_a_cook_is_the_kitchens_own_or_tighter_or_made_up(profile: Profile):
    for seed in range(60):
        card = cook_card(Draw(seed), profile, least_min=8)
        shown = {"core_temp_c": card.core_c, "hold_min": card.minutes}
        told = rules.judge(shown, profile, purpose="kept", step="cook", probe_error_c=0)
        assert not any(found.outcome == "not met" and profile[found.rule].point for found in told), card
        own = "your own rule (" in card.whose
        assert own != ("made up" in card.whose) and profile.title in card.whose
        assert own == any(rule.has_number for rule in profile.answering("cook"))


def test_a_task_on_freezing_follows_the_kitchens_own_rule():
    for name, hours in (("ie", 24), ("uk", 24), ("us-retail", 168), ("codex", 24)):
        lent = freezing(rules.load(name))
        assert (lent.rule.holds[0].temp_c, lent.rule.holds[0].minutes / 60) == (-20, hours)
        assert ("not your own" in lent.says) == (name == "codex")
        for seed in range(20):
            text = exercises.question("wild-fish-papers", seed, name).text
            assert f"−20 °C or colder for {hours} h or more" in text


def test_the_text_of_another_place_is_named_with_its_source_and_said_not_to_be_ones_own():
    uk = rules.load("uk")
    rule = uk.answering("cook")[0]
    assert by_that_text(rule, uk, uk).endswith("It is your own.")
    elsewhere = by_that_text(rule, uk, rules.load("ie"))
    assert "Food Standards Agency" in elsewhere and "not your own (Ireland)" in elsewhere


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("The card says: 62.8 °C or more for 30 min.", "us-processor-cook-hold"),
        ("Chill it: 3 °C in the core within 90 min.", "uk-chill-90"),
        ("It falls from 57 to 21 °C in time.", "us-retail-cool-57-21"),
        ("At most 10 days: 10 days or less.", "uk-vacuum-10-days"),
        ("It asks for 3.5 % water-phase salt.", "uk-vacuum-salt"),
    ],
)
def test_the_walk_would_notice_a_foreign_limit(text: str, says: str):
    question = replace(exercises.question("ice-check", 1), text=text)
    assert any(says in fault for fault in faults(question, rules.load("ie")))
