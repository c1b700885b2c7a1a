"""Where the desk's notebook is, and how its kernel learns who sits there. No widgets here."""

from pathlib import Path

from kit.basics.errors import BadData

PERSON_VARIABLE = "SMOKEHOUSE_DESK"
"""Names who is at the desk to its notebook."""
FIRST_DAY = "first day"
"""Stands in place of a person where nobody has begun the records yet."""
NOTEBOOK = "tutor_desk.ipynb"


def notebook_file() -> Path:
    """Return the desk's notebook: in ``answers`` of a clone, inside the kit in a wheel.

    Raises
    ------
    BadData
        If neither is there.

    Examples
    --------
    >>> notebook_file().name
    'tutor_desk.ipynb'
    """
    kit = Path(__file__).resolve().parents[2]
    for path in (kit / "_desk" / NOTEBOOK, kit.parent / "answers" / NOTEBOOK):
        if path.is_file():
            return path
    raise BadData(str(kit), "the tutor's desk is missing", NOTEBOOK, "Was the kit installed in full?")
