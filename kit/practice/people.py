"""The people who learn on this machine: one folder each, named by a random id, never by a name."""

import re
import secrets
import unicodedata
from dataclasses import dataclass, replace
from datetime import UTC
from pathlib import Path
from typing import Any

from kit.basics import places
from kit.basics.atomic_files import make_private_folder, write_private
from kit.basics.data_files import Moment, build, toml_of
from kit.basics.errors import BadData, OutOfRange, UnknownName
from kit.basics.typed_names import fitting
from kit.basics.typed_text import tidy_name
from kit.files import Book, Clock, local_now, saving
from kit.files.book_keys import PinKey
from kit.files.signing import COSTS

DEFAULT_PROFILE = "ie"  # as kit.rules.DEFAULT, which is slow to import; a test compares them
NEAR = 0.8
"""How alike two names are, from 0 to 1, before somebody is asked whether they are one. Ours."""
_ID = re.compile(r"[a-z0-9][a-z0-9-]{0,39}")
_RESERVED = re.compile(r"(con|prn|aux|nul|com\d|lpt\d)", re.IGNORECASE)


@dataclass(frozen=True)
class Learner:
    """Someone who learns on this machine.

    ``id`` is random and is what the tutor's records know the person by. ``profile`` names the set of rules
    that questions are drawn under. ``language`` is the home language, if given; ``page_language``
    the code of the one that pages are shown in. ``key`` is what signs their
    answer book, sealed under their PIN. ``pin`` is a salted hash, from before there were keys; see
    ``kit.practice.pins``.
    """

    id: str
    name: str
    made: Moment
    folder: Path
    profile: str = DEFAULT_PROFILE
    language: str = ""
    pin: str = ""
    key: PinKey | None = None
    page_language: str = ""

    @property
    def book_path(self) -> Path:
        """Where the answer book is."""
        return self.folder / "answers.book"

    @property
    def lessons(self) -> Path:
        """Where this person's copies of the lessons are."""
        return self.folder / "lessons"

    @property
    def has_pin(self) -> bool:
        """Whether switching to this person asks for a PIN."""
        return bool(self.pin) or self.key is not None


def file_name(name: str) -> str:
    """Return a name as part of a file's name, safe on every common system.

    Examples
    --------
    >>> file_name("Ana Ó Briain"), file_name("../etc"), file_name("CON"), file_name("☃")
    ('Ana-Ó-Briain', 'etc', 'CON-', 'apprentice')
    """
    parts = re.findall(r"[\w\u200c\u200d]+", unicodedata.normalize("NFC", name))
    safe = "-".join(parts).strip("-_")[:40] or "apprentice"
    return f"{safe}-" if _RESERVED.fullmatch(safe) else safe


def create(
    name: str,
    *,
    home: Path | None = None,
    profile: str = DEFAULT_PROFILE,
    language: str = "",
    clock: Clock = local_now,
    person_id: str = "",
) -> Learner:
    """Return a new person with a folder and an empty answer book. Two people may bear one name.

    The id is drawn at random. Only a story that must come out the same every time brings its own.

    Raises
    ------
    OutOfRange
        If the name is empty or too long.
    NotSaved
        If the disk is full or can only be read.
    """
    name = tidy_name(name)
    identity = person_id or f"p-{secrets.token_hex(8)}"
    made = clock().astimezone(UTC).replace(microsecond=0)
    person = Learner(identity, name, made, _people_folder(home) / identity, profile, language)
    keep(person)
    Book.make(person.book_path, person=person.id, name=person.name, clock=clock)
    return person


def everyone(home: Path | None = None) -> tuple[Learner, ...]:
    """Return the people on this machine whose file can be read, by name. ``damaged`` names the others."""
    found = [person for person in map(_try, _folders(home)) if isinstance(person, Learner)]
    return tuple(sorted(found, key=lambda person: (person.name.casefold(), person.made)))


def damaged(home: Path | None = None) -> tuple[BadData, ...]:
    """Return what is wrong with each person's file that cannot be read."""
    return tuple(problem for problem in map(_try, _folders(home)) if isinstance(problem, BadData))


def find(name: str, home: Path | None = None) -> tuple[Learner, ...]:
    """Return the people of that name: none, one, or several. Capitals and spaces make no difference."""
    wanted = tidy_name(name).casefold()
    return tuple(person for person in everyone(home) if person.name.casefold() == wanted)


def near(name: str, home: Path | None = None) -> tuple[Learner, ...]:
    """Return the people whose name holds that name, or is nearly it, the nearest first.

    Is it a slip of the finger, or a part of the name?

    Examples
    --------
    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     home = Path(folder)
    ...     _ = create("Nuala Prem", home=home)
    ...     [len(near(typed, home)) for typed in ("nuala prem", "Nula Prem", "prem", "Ida Moor")]
    [1, 1, 1, 0]
    """
    from difflib import get_close_matches

    known = everyone(home)
    holding = tuple(known[n] for n in fitting([person.name for person in known], name)[1])
    if holding:
        return holding
    by_name: dict[str, list[Learner]] = {}
    for person in known:
        by_name.setdefault(person.name.casefold(), []).append(person)
    found = get_close_matches(tidy_name(name).casefold(), by_name, n=3, cutoff=NEAR)
    return tuple(person for each in found for person in by_name[each])


def get(person_id: str, home: Path | None = None) -> Learner:
    """Return the person with that id.

    Raises
    ------
    UnknownName
        If nobody on this machine has it.
    BadData
        If their file cannot be read.
    """
    folder = _people_folder(home) / person_id
    if not _ID.fullmatch(person_id) or not (folder / "person.toml").is_file():
        raise UnknownName("person", person_id, [person.id for person in everyone(home)])
    return _load(folder)


def set_profile(person: Learner, profile: str) -> Learner:
    """Return the person with another rule profile. Questions drawn under the old one stay as they are."""
    changed = replace(person, profile=profile)
    keep(changed)
    return changed


def set_page_language(person: Learner, code: str) -> Learner:
    """Return the person with another language of the pages, whatever else was changed meanwhile."""
    changed = replace(_load(person.folder), page_language=code)
    keep(changed)
    return changed


def _people_folder(home: Path | None) -> Path:
    return (home or places.home()) / "people"


def _folders(home: Path | None) -> list[Path]:
    return sorted(file.parent for file in _people_folder(home).glob("*/person.toml"))


def _try(folder: Path) -> Learner | BadData:
    try:
        return _load(folder)
    except BadData as problem:
        return problem


def _load(folder: Path) -> Learner:
    file = folder / "person.toml"
    try:
        facts = toml_of(file.read_bytes(), str(file), "a person's file")
        person = build(Learner, facts | {"folder": folder}, str(file), more=True)
        person = replace(person, name=tidy_name(person.name))
    except OSError as error:
        raise BadData(str(file), f"it cannot be read: {error.strerror or error}") from error
    except OutOfRange as error:
        raise BadData(str(file), f"it cannot be understood: {error}", "a person's file") from error
    if person.id != folder.name:
        raise BadData(str(file), f"it says {person.id!r}, the folder says {folder.name!r}", "one id")
    if person.pin and not re.fullmatch(r"scrypt:[0-9a-f]{32}:[0-9a-f]{128}", person.pin):
        raise BadData(str(file), "its PIN cannot be understood", "a line that `smokehouse people pin` wrote")
    if person.key is not None and person.key.by_pin.cost not in COSTS:
        raise BadData(str(file), "its key cannot be understood", "what `smokehouse people pin` wrote")
    return person


def keep(person: Learner) -> None:
    """Write what is known of a person to their file.

    Raises
    ------
    NotSaved
        If the disk is full or can only be read.
    """
    from tomli_w import dumps

    facts: dict[str, Any] = {
        "id": person.id,
        "name": person.name,
        "made": person.made.isoformat(),
        "profile": person.profile,
        "language": person.language,
        "pin": person.pin,
        "page_language": person.page_language,
    }
    if person.key is not None:
        facts["key"] = {"public": person.key.public, "by_pin": vars(person.key.by_pin)}
    text = dumps({name: value for name, value in facts.items() if value})
    with saving(person.name):
        make_private_folder(person.lessons)
        write_private(person.folder / "person.toml", text.encode("utf-8"))
