"""The exercise bank: a package a lesson, one function an exercise.

Importing it is quick: the package of a lesson loads when one of its exercises is asked for.
"""

from kit.exercises.catalogue import Catalogue
from kit.exercises.engine import (
    Info,
    exercise,
    explain_ids,
    fingerprint,
    ids,
    info,
    question,
    simulated,
)

__all__ = [
    "Catalogue",
    "Info",
    "exercise",
    "explain_ids",
    "fingerprint",
    "ids",
    "info",
    "question",
    "simulated",
]
