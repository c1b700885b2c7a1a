"""Limits as data, each with its source, and ``judge``: what a record shows about each of them."""

from kit.rules.house import load_house, on_top
from kit.rules.judging.verdicts import MAX_GAP_MIN, PROBE_ERROR_C, judge, judge_rule
from kit.rules.loading import DEFAULT, PROFILES, load, sources, sources_named
from kit.rules.model import FROM_MEMORY, HoldRow, Rule, Source, Verdict, minutes_words
from kit.rules.points import POINTS, STEPS
from kit.rules.profile import Profile
from kit.rules.purposes import PACKS, PURPOSES

__all__ = [
    "DEFAULT",
    "FROM_MEMORY",
    "MAX_GAP_MIN",
    "PACKS",
    "POINTS",
    "PROBE_ERROR_C",
    "PROFILES",
    "PURPOSES",
    "STEPS",
    "HoldRow",
    "Profile",
    "Rule",
    "Source",
    "Verdict",
    "judge",
    "judge_rule",
    "load",
    "load_house",
    "minutes_words",
    "on_top",
    "sources",
    "sources_named",
]
