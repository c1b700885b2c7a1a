"""How an exercise is declared, drawn, remembered and told from another."""

from kit.exercises.engine.cache import simulated
from kit.exercises.engine.fingerprints import fingerprint
from kit.exercises.engine.registry import Info, exercise, explain_ids, ids, info, question

__all__ = [
    "Info",
    "exercise",
    "explain_ids",
    "fingerprint",
    "ids",
    "info",
    "question",
    "simulated",
]
