"""The rules of a kitchen's own profile at a point of the day, and how a question tells them.

``profile.answering("cook")`` gives the rules of a point: a tighter house limit comes along, and a kitchen's
own rules stand beside them.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from kit.process.physics.trace import Trace
from kit.rules.judging.verdicts import judge_rule
from kit.rules.model import Answer, HoldRow, Rule, Verdict
from kit.rules.profile import Profile

SHORT_MIN = 2.0
"""A hold shorter than this counts as reached at once: no log shows it by its readings. [min]"""


def under(rule: Rule, profile: Profile) -> Rule:
    """Return the rule as it stands without the house limit: what a reading is drawn around.

    So the same reading may meet the profile's limit and miss the kitchen's tighter one.

    Examples
    --------
    >>> from kit import rules
    >>> house = rules.on_top("ie", [{"rule": "ie-store-3", "maximum": 2.5}], where="here")
    >>> under(house["ie-store-3"], house).limit
    '3 °C or less'
    """
    return next((each for each in profile.base or () if each.id == rule.id), rule)


def numbered(rules: Sequence[Rule]) -> tuple[Rule, ...]:
    """Return those that have a number.

    Examples
    --------
    >>> from kit import rules
    >>> numbered(rules.load("codex").answering("cook"))
    ()
    """
    return tuple(rule for rule in rules if rule.has_number)


def judged(rules: Sequence[Rule]) -> tuple[Rule, ...]:
    """Return the rules that a record is judged by: those with a number; without any, those in words."""
    return numbered(rules) or tuple(rules)


def together(verdicts: Sequence[Verdict]) -> Answer:
    """Return what several verdicts come to: one miss is a miss, and one doubt is a doubt.

    Examples
    --------
    >>> from kit import rules
    >>> store = rules.load("ie").answering("store")
    >>> together([rules.judge_rule({"store_temp_c": 4.1}, rule) for rule in store])
    'not met'
    """
    outcomes = {each.outcome for each in verdicts}
    if "not met" in outcomes:
        return "not met"
    return "cannot tell" if "cannot tell" in outcomes or not outcomes else "met"


def standing(shown: Trace | Mapping[str, float], profile: Profile, point: str) -> tuple[str, ...]:
    """Return how a record or a reading stands to the rules of a point, a line a rule.

    Examples
    --------
    >>> from kit import rules
    >>> standing({"core_temp_c": 76.0, "hold_min": 1.0}, rules.load("ie"), "cook")
    ('Your rules (Ireland): 75 °C or more, or an equal treatment: met',)
    """
    return tuple(
        f"Your rules ({profile.title}): {limit_of(rule)}: {judge_rule(shown, rule).outcome}"
        for rule in judged(profile.answering(point))
    )


def hardest_row(rules: Sequence[Rule]) -> HoldRow | None:
    """Return a core temperature and time that meets every hold with a single row, or None.

    Of a rule with a list of rows the first counts.

    Examples
    --------
    >>> from kit import rules
    >>> hardest_row(rules.load("us-processor").answering("cook")).words
    '62.8 °C or more for 30 min'
    """
    rows = [rule.holds[0] for rule in rules if rule.holds]
    if not rows:
        return None
    return HoldRow(max(row.temp_c for row in rows), max(row.minutes for row in rows))


def limit_words(rule: Rule) -> str:
    """Return a rule's limit as a question says it: a list of rows one by one.

    Examples
    --------
    >>> from kit import rules
    >>> limit_words(rules.load("us-retail")["us-retail-cook-63"])
    '63 °C or more for 15 s'
    >>> limit_words(rules.load("uk")["uk-cook-equal"])[:60]
    'one of these: 60 °C or more for 45 min; 65 °C or more for 10'
    """
    if len(rule.holds) < 2:
        return rule.limit
    rows = [*(row.words for row in rule.holds), *(["an equal treatment"] if rule.equal else [])]
    return f"one of these: {'; '.join(rows)}"


def limit_of(rule: Rule) -> str:
    """Return a rule's limit, with a word if it is the house's own, and the warning if it is from memory.

    Examples
    --------
    >>> from kit import rules
    >>> limit_of(rules.load("us-retail")["us-retail-cold-hold"])
    '5 °C or less (from memory: confirm)'
    """
    notes = [note for note in ("house limit" if rule.tightened else "", rule.label) if note]
    return f"{limit_words(rule)} ({'; '.join(notes)})" if notes else limit_words(rule)


def source_of(rule: Rule, profile: Profile) -> str:
    """Return where a rule comes from, as a question says it.

    Examples
    --------
    >>> from kit import rules
    >>> ie = rules.load("ie")
    >>> source_of(ie["ie-fridge"], ie)
    'Advice for businesses about food temperatures, Food Safety Authority of Ireland'
    """
    source = profile.sources[rule.source]
    return f"{source.title}, {source.issuer}"


def where_of(rule: Rule, profile: Profile) -> str:
    """Return where a rule stands, for a worked answer: the title of its source, and the place in it.

    Examples
    --------
    >>> from kit import rules
    >>> ie = rules.load("ie")
    >>> where_of(ie["ie-fridge"], ie)
    'Advice for businesses about food temperatures, cold chain'
    """
    house = "a house limit, on top of " if rule.tightened else ""
    return f"{house}{profile.sources[rule.source].title}, {rule.locator}"


def _said(rule: Rule, lead: str) -> str:
    words = f"{lead}: {limit_of(rule)}."
    if rule.tightened:
        return f"{words} The rule under it says {rule.tightened}."
    return words if rule.rows else f"{words} In plain words: {rule.says}"  # a list is its own words


def all_told(rules: Sequence[Rule], profile: Profile, point: str) -> str:
    """Return the rules of one point as a question tells them, with the name of the profile.

    A source that several share is named once, after them.

    Examples
    --------
    >>> from kit import rules
    >>> house = rules.on_top("ie", [{"rule": "ie-store-3", "maximum": 2.5}], where="here")
    >>> print(all_told(house.answering("store"), house, "the store"))
    Your kitchen works under: Ireland. Rule for the store: 2.5 °C or less (house limit).
    The rule under it says 3 °C or less. Source: Guidance Note ..., Food Safety Authority of Ireland.
    """
    lead = f"Rule for {point}"
    leads = [f"{lead}, {number} of {len(rules)}" for number in range(1, len(rules) + 1)]
    named = list(zip(rules, leads if len(rules) > 1 else [lead], strict=True))
    sources = {source_of(rule, profile) for rule in rules}
    if len(sources) == 1:
        said = " ".join(_said(rule, lead) for rule, lead in named) + f" Source: {sources.pop()}."
    else:
        said = " ".join(f"{_said(rule, lead)} Source: {source_of(rule, profile)}." for rule, lead in named)
    return f"{under_profile(profile)}. {said}"


def under_profile(profile: Profile) -> str:
    """Return the words by which the rules in a question begin.

    Examples
    --------
    >>> from kit import rules
    >>> under_profile(rules.load("ie"))
    'Your kitchen works under: Ireland'
    """
    return f"Your kitchen works under: {profile.title}"


_NAMED_TEXT = re.compile(
    r"(?:The limit named is that of [^.]*\. )?The text: .*?(?:It is your own\.|answer by it all the same\.)"
    r"|The texts: .*?own[^()]*\)\.(?=\s|$)"
    r"|The card is (?:your own rule|tighter than your own rule|made up: your own rules) \(.*?\.(?=\s|$)"
)
"""What a question says of the text or the card that it asks by, in sentences of ``whose_rule``."""


def set_apart(text: str, profile: Profile | None) -> tuple[str, str]:
    """Return a question without the rules, texts and cards that it names, and these, for a box.

    Rules are those that ``all_told`` told; texts and cards are named by ``kit.exercises.engine.whose_rule``.

    Examples
    --------
    >>> from kit import rules
    >>> ie = rules.load("ie")
    >>> told = all_told(ie.answering("store"), ie, "the store")
    >>> asked, rule = set_apart(f"It is warm. {told} What now?", ie)
    >>> asked, rule[:32]
    ('It is warm. What now?', 'Your kitchen works under: Irelan')
    >>> set_apart("What now?", ie)
    ('What now?', '')
    """
    asked, box = text, []
    start = text.find(under_profile(profile)) if profile else -1
    if profile is not None and start >= 0:
        sources = {f"Source: {source_of(rule, profile)}." for rule in profile}
        end = max((text.rfind(one) + len(one) for one in sources if one in text[start:]), default=start)
        box.append(text[start:end])
        asked = _joined(text[:start], text[end:])
    while (named := _NAMED_TEXT.search(asked)) is not None:
        box.append(named[0])
        asked = _joined(asked[: named.start()], asked[named.end() :])
    return asked, " ".join(box)


def _joined(before: str, after: str) -> str:
    """Return what is left of a question around a part that was taken out; a list keeps its own lines."""
    if after.startswith("\n"):
        return before.rstrip() + after
    return " ".join(part for part in (before.strip(" "), after.strip(" ")) if part)
