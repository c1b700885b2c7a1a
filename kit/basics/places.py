"""Where files live: the home of this machine's workbook, and the lessons that came with the kit."""

import os
from pathlib import Path

from kit.basics.errors import BadData

HOME_VARIABLE = "SMOKEHOUSE_HOME"
_SERVERS = ("postgresql://", "postgres://", "postgresql+psycopg://")


def home() -> Path:
    """Return the folder that holds people, their work and the tutor's records.

    ``SMOKEHOUSE_HOME`` overrides the usual place for user data of the operating system. Not created here.

    Examples
    --------
    >>> home().is_absolute()
    True
    """
    chosen = os.environ.get(HOME_VARIABLE)
    if chosen:
        return Path(chosen).expanduser().resolve()
    from platformdirs import user_data_path

    return user_data_path("smokehouse-kit", appauthor=False)


def tutor_folder(within: Path | None = None) -> Path:
    """Return the folder of the tutor's records, keys and desk, in this machine's home or another."""
    return (within or home()) / "tutor"


def records_file(within: Path | None = None) -> Path:
    """Return the file of the tutor's records, in this machine's home or another.

    Examples
    --------
    >>> records_file().name
    'records.db'
    """
    return tutor_folder(within) / "records.db"


def keys_folder(within: Path | None = None) -> Path:
    """Return the folder of the sealed keys, in this machine's home or another."""
    return tutor_folder(within) / "keys"


def handed_in_folder(within: Path | None = None) -> Path:
    """Return the folder for answer books that were handed in from a page, in this home or another."""
    return (within or home()) / "handed in"


def lessons_folder() -> Path:
    """Return the folder of the lessons that came with the kit: beside it in a clone, inside it in a wheel.

    Raises
    ------
    BadData
        If neither is there.

    Examples
    --------
    >>> lessons_folder().is_dir()
    True
    """
    here = Path(__file__).resolve().parents[1]
    for folder in (here / "_lessons", here.parent / "lessons"):
        if folder.is_dir():
            return folder
    raise BadData(str(here), "the lessons are missing", "a lessons folder", "Was the kit installed in full?")


def is_address(place: object) -> bool:
    """Return whether this names records on a server, not a file.

    Examples
    --------
    >>> is_address("postgresql:///records"), is_address("records.db")
    (True, False)
    """
    return str(place).lower().startswith(_SERVERS)
