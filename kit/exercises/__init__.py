"""The exercise bank: one module a lesson, one function an exercise.

Importing it is quick: a lesson's module (``lesson_05.py``, or several such as ``lesson_05_probe.py``) loads
when one of its exercises is asked for.
"""

from kit.exercises.cache import simulated
from kit.exercises.prints import fingerprint
from kit.exercises.registry import Info, draw_once, exercise, explain_ids, ids, info, question

__all__ = [
    "Info",
    "draw_once",
    "exercise",
    "explain_ids",
    "fingerprint",
    "ids",
    "info",
    "question",
    "simulated",
]
