"""Tasks, explorers and pictures in a notebook. Wiring only: what they show is worked out below.

A lesson begins with one line and then makes one call a cell::

    from kit.views import Lesson; lesson = Lesson(5)
    lesson.explore("core-and-surface")
    lesson.task("core-from-chart")

The notebooks for the tutor print instead: ``from kit.views import show; show("core-from-chart")``.
"""

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from kit.views.workbook.first_page import FirstPage
    from kit.views.workbook.lesson import Lesson
    from kit.views.workbook.worked_answers import show

__all__ = ["FirstPage", "Lesson", "show"]


def __getattr__(name: str) -> Any:
    """Load the widgets only when a notebook asks for them: pictures are also drawn where there are none."""
    if name == "Lesson":
        from kit.views.workbook.lesson import Lesson

        return Lesson
    if name == "FirstPage":
        from kit.views.workbook.first_page import FirstPage

        return FirstPage
    if name == "show":
        from kit.views.workbook.worked_answers import show

        return show
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
