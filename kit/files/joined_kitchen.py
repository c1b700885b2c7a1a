"""Which kitchen this machine works under, and the kitchen files it has had.

The home folder holds ``kitchen.toml``, the file this machine joined last, and ``kitchens/``, one copy of
every file it joined or made, named by fingerprint. A tutor's machine marks old books by the rules of an older
file, so a copy is never thrown away.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from kit.basics import places
from kit.basics.atomic_files import make_private_folder, write_private
from kit.basics.errors import BadData, KitError
from kit.files.kitchen_file import (
    Kitchen,
    check_next,
    kitchen_text,
    parse_kitchen,
    read_kitchen,
    read_kitchen_bytes,
)
from kit.files.refusals import saving

if TYPE_CHECKING:
    from kit.rules import Profile

_State = tuple[str, int, int, int]


def place(home: Path | None = None) -> Path:
    """Return where the file of the kitchen that this machine works under is kept."""
    return (home or places.home()) / "kitchen.toml"


def joined(home: Path | None = None) -> Kitchen | None:
    """Return the kitchen that this machine works under, or None if it joined none.

    Raises
    ------
    BadData
        If the file is there but cannot stand: it was changed, or this kit does not know its rules.

    Examples
    --------
    >>> print(joined(Path("/no/such/home")))
    None
    """
    file = place(home)
    try:
        state = _state(file)
    except (FileNotFoundError, NotADirectoryError):
        return None
    except OSError as error:
        raise BadData(file.name, f"it cannot be read: {error.strerror or error}") from error
    return _read(*state)


def rules_in_force(chosen: str | None = None, home: Path | None = None) -> Profile:
    """Return the rules named, else those of the kitchen that this machine joined, else ``load()``.

    Raises
    ------
    UnknownName
        If there is no profile of that name.
    BadData
        If the kitchen's file is there but cannot stand.

    Examples
    --------
    >>> rules_in_force("uk").id, rules_in_force(home=Path("/no/such/home")).id
    ('uk', 'ie')
    """
    from kit.rules import load

    if chosen is not None:
        return load(chosen)
    kitchen = joined(home)
    return load() if kitchen is None else kitchen.rules()


def join(path: Path, *, home: Path | None = None, replace: bool = False) -> tuple[Kitchen, Kitchen | None]:
    """Bring a kitchen file to this machine; return what it says, and the kitchen worked under before.

    Parameters
    ----------
    path : Path
        The kitchen file.
    home : Path, optional
        By default the home of this machine.
    replace : bool
        Leave another kitchen, or a kitchen file that cannot stand any more, for this one.

    Raises
    ------
    BadData
        If the file cannot stand, or does not follow the one held: see ``check_next``.
    NotSaved
        If the disk refuses. The kitchen worked under before still stands.
    """
    data = read_kitchen_bytes(path)
    new = parse_kitchen(data, path.name)
    try:
        now = joined(home)
    except BadData as error:
        if not replace:
            advice = "Join with --replace to put this file in its place."
            raise BadData(place(home).name, error.problem, likely_cause=advice) from error
        now = None
    if now is not None and now.id != new.id and not replace:
        check_next(new, now)
    known = now if now is not None and now.id == new.id else _newest(new.id, home)
    if known is not None and not check_next(new, known) and now is known:
        return new, now
    remember(new, home)
    _save(place(home), data)
    return new, now


def _newest(kitchen_id: str, home: Path | None) -> Kitchen | None:
    """Return the newest file that this machine has had of one kitchen: nothing older is let in again."""
    return next((kitchen for kitchen in held(home) if kitchen.id == kitchen_id), None)


def remember(kitchen: Kitchen, home: Path | None = None) -> Path:
    """Keep a copy of a kitchen file, so that answers given under it can be marked; return where it is.

    Raises
    ------
    NotSaved
        If the disk refuses.
    """
    file = _shelf(home) / f"{kitchen.fingerprint()}.toml"
    if not file.exists():
        _save(file, kitchen_text(kitchen).encode("utf-8"))
    return file


def held(home: Path | None = None) -> tuple[Kitchen, ...]:
    """Return every kitchen that this machine has a file of, newest version first.

    A file that cannot stand is left out.
    """
    return _held(_states(home))


@dataclass(frozen=True)
class RuleShelf:
    """The rules that a machine can mark by: the kit's profiles, and those of every kitchen it has a file of.

    ``home`` is that of the machine; by default this one's.
    """

    home: Path | None = None

    def behind(self, profile: str, kitchen: str, profile_fingerprint: str) -> Profile | None:
        """Return the rules that a line of a book was made under, or None if they are not on this machine.

        ``kitchen`` is the line's mark, or empty. Two files of one kitchen with the same limits serve equally;
        the very file goes first.

        Raises
        ------
        UnknownName
            If the line names no kitchen, and a profile that this kit does not have.
        """
        from kit.rules import load

        return _rules(kitchen, profile_fingerprint, _states(self.home)) if kitchen else load(profile)

    def all_on(self, profile: str) -> Iterator[Profile]:
        """Yield the rules of a profile, then those of every kitchen on top of it.

        Raises
        ------
        UnknownName
            If there is no such profile.
        """
        from kit.rules import load

        yield load(profile)
        yield from (kitchen.rules() for kitchen in held(self.home) if kitchen.profile == profile)


@lru_cache(maxsize=256)
def _rules(stamp: str, profile_fingerprint: str, states: tuple[_State, ...]) -> Profile | None:
    name = stamp.partition("@")[0]
    mine = sorted((one for one in _held(states) if one.id == name), key=lambda one: one.stamp != stamp)
    found = (one.rules() for one in mine)
    return next((rules for rules in found if rules.fingerprint == profile_fingerprint), None)


@lru_cache(maxsize=16)
def _held(states: tuple[_State, ...]) -> tuple[Kitchen, ...]:
    found: dict[str, Kitchen] = {}
    for state in states:
        with suppress(KitError):
            kitchen = _read(*state)
            found[kitchen.fingerprint()] = kitchen
    return tuple(sorted(found.values(), key=lambda kitchen: (kitchen.id, -kitchen.version)))


def _states(home: Path | None) -> tuple[_State, ...]:
    """Return each kitchen file with what tells one state of it on the disk from another."""
    found = []
    for file in (place(home), *sorted(_shelf(home).glob("*.toml"))):
        with suppress(OSError):
            found.append(_state(file))
    return tuple(found)


def _state(file: Path) -> _State:
    stat = file.stat()
    return str(file), stat.st_mtime_ns, stat.st_size, stat.st_ino


@lru_cache(maxsize=64)
def _read(file: str, changed: int, size: int, inode: int) -> Kitchen:
    """Read a kitchen file once for each state of it on the disk."""
    return read_kitchen(Path(file))


def _shelf(home: Path | None) -> Path:
    return (home or places.home()) / "kitchens"


def _save(file: Path, data: bytes) -> None:
    with saving("The kitchen file"):
        make_private_folder(file.parent)
        write_private(file, data)
