"""The tutor's desk in a notebook."""

from typing import Any

__all__ = ["TutorDesk"]


def __getattr__(name: str) -> Any:
    """Load the widgets only when the desk is asked for: the command needs just the notebook's place."""
    if name == "TutorDesk":
        from kit.views.tutor.desk import TutorDesk

        return TutorDesk
    raise AttributeError(name)
