"""The kitchen file: one kitchen's name, rules, house limits and keys, signed by a tutor. Text in TOML.

What is signed is not the text of the file but what it says. ``Kitchen.message`` is its canonical form: the
line ``smokehouse kitchen 1``, then every member but the signature as one JSON object in ASCII, with sorted
names and no spaces. So a comment or a blank line may change; a name, a limit, a key or a date may not.

The signing key must be that of a tutor on the file's own list. On a first join that list is taken on trust:
the apprentice got the file from the tutor. From then on only a tutor whose key was on the list before can
sign the next version (``check_next``).
"""

from __future__ import annotations

import hashlib
import json
import secrets
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Literal

from msgspec import Meta

from kit.basics.atomic_files import write_private
from kit.basics.data_files import Moment, build, in_utc, toml_of
from kit.basics.errors import BadData, UnknownName
from kit.basics.given_files import read_given
from kit.basics.typed_text import tidy_name
from kit.files.answer_book import Clock, local_now
from kit.files.refusals import saving
from kit.files.signing import KeyHex, Signer, check, key_id_of

if TYPE_CHECKING:
    from kit.rules import Profile
    from kit.rules.house import HouseFile

TITLE, SCHEMA = "kitchen", 1
MAX_KITCHEN_BYTES = 256 * 1024
Role = Literal["tutor", "verifier"]
Record = Mapping[str, Any]
Limits = tuple[Record, ...]

_HEAD = (
    "# A kitchen file of the smokehouse workbook. It is signed: to change it, ask the tutor for a new one.\n"
)


@dataclass(frozen=True)
class KeyHolder:
    """Somebody who signs in this kitchen: ``role``, name, and the public half of the key in hex."""

    role: Role
    name: str
    public: KeyHex

    @property
    def key_id(self) -> str:
        """The short name of the key."""
        return key_id_of(self.public)


@dataclass(frozen=True)
class CheckedLanguage:
    """A translation of the pages that somebody from the trade read: its code, and the hash of its texts.

    ``by`` is who read it, ``on`` the day (YYYY-MM-DD). The tutor's signature is that of the kitchen file.
    """

    language: Annotated[str, Meta(pattern=r"\A[a-z]{2,3}\Z", description="a code such as pl")]
    texts: Annotated[str, Meta(pattern=r"\A[0-9a-f]{16}\Z", description="16 hex digits")]
    by: str
    on: Annotated[str, Meta(pattern=r"\A\d{4}-\d{2}-\d{2}\Z", description="a day as YYYY-MM-DD")]


@dataclass(frozen=True)
class KitchenSeal:
    """The signature of a kitchen file, and the id of the key that made it."""

    key: str
    signature: str


@dataclass(frozen=True)
class KitchenFile:
    """What stands in a kitchen file, by the names that it has there."""

    smokehouse: str
    schema: int
    id: Annotated[str, Meta(pattern=r"\Ak-[0-9a-f]{12}\Z", description="k- and 12 hex digits")]
    version: Annotated[int, Meta(ge=1, lt=10**6, description="a whole number from 1")]
    name: str
    made_at: Moment
    profile: str
    key: tuple[KeyHolder, ...]
    signed: KitchenSeal
    tighter: tuple[dict[str, Any], ...] = ()
    rule: tuple[dict[str, Any], ...] = ()
    checked: tuple[CheckedLanguage, ...] = ()


@dataclass(frozen=True)
class Kitchen:
    """What a kitchen file says.

    ``id`` is random and stays the same through all versions. ``profile`` names the rules; ``tighter`` and
    ``own`` are the house limits, as ``[[tighter]]`` and ``[[rule]]`` in a house file; ``checked`` the
    translations that were read. ``signed_by`` is the id
    of the key that made ``signature``.
    """

    id: str
    version: int
    name: str
    made_at: datetime
    profile: str
    keys: tuple[KeyHolder, ...]
    tighter: tuple[Record, ...] = ()
    own: tuple[Record, ...] = ()
    checked: tuple[CheckedLanguage, ...] = ()
    signed_by: str = ""
    signature: str = ""

    @property
    def message(self) -> bytes:
        """The bytes that are signed."""
        told = json.dumps(_facts(self), sort_keys=True, separators=(",", ":"), allow_nan=False)
        return f"smokehouse {TITLE} {SCHEMA}\n{told}".encode("ascii")

    @property
    def signer(self) -> KeyHolder | None:
        """The tutor on this file's own list whose key it names, if there is one."""
        tutors = (one for one in self.keys if one.role == "tutor")
        return next((one for one in tutors if one.key_id == self.signed_by), None)

    def fingerprint(self) -> str:
        """Return a short hash of what the file says, which books carry: 16 hex digits."""
        return hashlib.sha256(self.message).hexdigest()[:16]

    @property
    def stamp(self) -> str:
        """What an answer book notes on every line: id and fingerprint."""
        return f"{self.id}@{self.fingerprint()}"

    def rules(self) -> Profile:
        """Return the profile with the house limits on top.

        Raises
        ------
        BadData
            If the profile or a rule is unknown here, or a limit is looser than the profile's.
        """
        from kit.rules import on_top

        profile = on_top(self.profile, self.tighter, self.own, where=f"kitchen {self.name}")
        house = ", with house limits" if self.tighter or self.own else ""
        return replace(profile, title=f"{self.name}: {profile.title}{house}", house=self.name)


def make_kitchen(
    name: str,
    *,
    profile: str,
    keys: Iterable[KeyHolder],
    signer: Signer,
    tighter: Sequence[Record] = (),
    own: Sequence[Record] = (),
    checked: Sequence[CheckedLanguage] = (),
    before: Kitchen | None = None,
    clock: Clock = local_now,
) -> Kitchen:
    """Return a new kitchen, signed; with ``before``, its next version.

    Raises
    ------
    OutOfRange, UnknownName, BadData
        If a name is empty or too long, the profile is unknown, a limit is looser, a key stands twice, or the
        signer is no tutor of this kitchen (or, for a next version, was none before).

    Examples
    --------
    >>> from kit.files.signing import make_key, unseal_key
    >>> sealed, _ = make_key("a long password", cost=2**14)
    >>> tutor = KeyHolder("tutor", "Mara Quill", sealed.public)
    >>> opened = unseal_key(sealed, "a long password")
    >>> kitchen = make_kitchen("Harbour Lane", profile="ie", keys=[tutor], signer=opened)
    >>> kitchen.version, kitchen.rules().title
    (1, 'Harbour Lane: Ireland')
    """
    from kit.rules import PROFILES

    if profile not in PROFILES:
        raise UnknownName("profile", profile, PROFILES)
    kitchen = Kitchen(
        id=before.id if before else f"k-{secrets.token_hex(6)}",
        version=before.version + 1 if before else 1,
        name=tidy_name(name, "the kitchen's name"),
        made_at=clock().astimezone(UTC).replace(microsecond=0),
        profile=profile,
        keys=tuple(replace(one, name=tidy_name(one.name, "a name")) for one in keys),
        tighter=tuple(tighter),
        own=tuple(own),
        checked=tuple(replace(one, by=tidy_name(one.by, "a name")) for one in checked),
        signed_by=signer.key_id,
    )
    signed = replace(kitchen, signature=signer.sign(kitchen.message))
    if before is not None:
        check_next(signed, before)
    return parse_kitchen(kitchen_text(signed).encode("utf-8"), "the new kitchen")


def limits_on_top(
    chosen: str | None, house: HouseFile | None, before: Kitchen | None
) -> tuple[str, Limits, Limits]:
    """Return the profile of a next version, and the tighter limits and own rules on top of it.

    They are those of a house file; else those of the version before, which hold for its profile only.

    Parameters
    ----------
    chosen : str, optional
        The profile that was asked for.
    house : HouseFile, optional
        What a file of the kitchen's own limits holds.
    before : Kitchen, optional
        The version before.

    Raises
    ------
    BadData
        If the limits are made for another profile than was asked for.
    """
    from kit.rules import DEFAULT

    made_for: str
    tighter: Sequence[Record]
    own: Sequence[Record]
    if house is not None:
        made_for, tighter, own = house.house.on, house.tighter, house.rule
    elif before is not None:
        made_for, tighter, own = before.profile, before.tighter, before.own
    else:
        return chosen or DEFAULT, (), ()
    if chosen in (None, made_for):
        return made_for, tuple(map(dict, tighter)), tuple(map(dict, own))
    if not tighter and not own and house is None:
        return chosen or DEFAULT, (), ()
    raise BadData(
        f"the rules {chosen}", f"the limits on top are made for the rules {made_for}", "limits made for them"
    )


def kitchen_text(kitchen: Kitchen) -> str:
    """Return a kitchen as the text of its file."""
    from tomli_w import dumps

    signed = {"key": kitchen.signed_by, "signature": kitchen.signature}
    return _HEAD + dumps({**_facts(kitchen), "signed": signed})


def write_kitchen(path: Path, kitchen: Kitchen) -> None:
    """Write a kitchen file, in full or not at all. Only its owner may read it until it is handed on.

    Raises
    ------
    NotSaved
        If the disk refuses. Whatever was at ``path`` before is still there.
    """
    with saving("The kitchen file"):
        write_private(path, kitchen_text(kitchen).encode("utf-8"))


def read_kitchen(path: Path) -> Kitchen:
    """Return what a kitchen file says, with signature, rules and limits checked.

    Raises
    ------
    BadData
        See ``parse_kitchen``; also if the file cannot be read.
    """
    return parse_kitchen(read_kitchen_bytes(path), path.name)


def read_kitchen_bytes(path: Path) -> bytes:
    """Return the bytes of a file that may be a kitchen file, of at most 256 KB.

    Raises
    ------
    BadData
        If it cannot be read or is too large.
    """
    return read_given(path, "a kitchen file", MAX_KITCHEN_BYTES)


def parse_kitchen(data: bytes, where: str) -> Kitchen:
    """Return what the bytes of a kitchen file say.

    Raises
    ------
    BadData
        If it is no kitchen file, was changed after it was signed, names a profile or rule that this kit does
        not know, or loosens a limit (the message names the rule).
    """
    facts = toml_of(data, where, "a whole kitchen file")
    if facts.get("smokehouse") != TITLE:
        raise BadData(where, "this is not a kitchen file", "a file that `smokehouse kitchen new` wrote")
    schema = facts.get("schema")
    if isinstance(schema, int) and schema > SCHEMA:
        raise BadData(where, "it was written by a newer kit", f"schema {SCHEMA}", "Update this kit.")
    told = build(KitchenFile, facts, where)
    kitchen = Kitchen(
        told.id,
        told.version,
        told.name,
        in_utc(told.made_at),
        told.profile,
        told.key,
        tighter=told.tighter,
        own=told.rule,
        checked=told.checked,
        signed_by=told.signed.key,
        signature=told.signed.signature,
    )
    _check(kitchen, where)
    return kitchen


def check_next(new: Kitchen, held: Kitchen) -> bool:
    """Return whether ``new`` is a later version of the kitchen held; False if it is the very same one.

    Raises
    ------
    BadData
        If it is another kitchen, an older version, a second file with the same version, or not signed by a
        tutor whose key the held file lists.
    """
    where = f"kitchen {new.name}, version {new.version}"
    if new.id != held.id:
        raise BadData(
            where,
            f"this machine works under another kitchen, {held.name}",
            likely_cause="To leave that one, join with --replace.",
        )
    if new.version < held.version:
        raise BadData(where, f"it is older than version {held.version}, which this machine has")
    if new.version == held.version:
        if new.fingerprint() == held.fingerprint():
            return False
        raise BadData(where, "this machine has another file of the same version", "a later version")
    trusted = {one.public for one in held.keys if one.role == "tutor"}
    if new.signer is None or new.signer.public not in trusted:
        raise BadData(
            where,
            f"the key {new.signed_by} signed it, but version {held.version} lists no such tutor",
            likely_cause="Ask a tutor who was on the list before to sign it.",
        )
    if not check(new.signer.public, new.message, new.signature):
        raise BadData(where, "this kitchen file was changed after it was signed")
    return True


def _check(kitchen: Kitchen, where: str) -> None:
    """Check the signature first, then what was signed."""
    from kit.rules import on_top

    signer = kitchen.signer
    if signer is None or not check(signer.public, kitchen.message, kitchen.signature):
        raise BadData(
            where,
            "this kitchen file was changed after it was signed",
            likely_cause="Ask the tutor for it again.",
        )
    for name in (kitchen.name, *(one.name for one in kitchen.keys), *(one.by for one in kitchen.checked)):
        if tidy_name(name, f"{where}, a name") != name:
            raise BadData(where, f"the name {name!r:.60} is not tidy", "plain text, single spaces")
    if len({one.public for one in kitchen.keys}) < len(kitchen.keys):
        raise BadData(where, "a key stands twice", "one role for each key")
    on_top(kitchen.profile, kitchen.tighter, kitchen.own, where=where)


def _facts(kitchen: Kitchen) -> dict[str, Any]:
    """Return all that is signed, by the names that stand in the file."""
    facts: dict[str, Any] = {
        "smokehouse": TITLE,
        "schema": SCHEMA,
        "id": kitchen.id,
        "version": kitchen.version,
        "name": kitchen.name,
        "made_at": kitchen.made_at.isoformat(),
        "profile": kitchen.profile,
        "key": [{"role": one.role, "name": one.name, "public": one.public} for one in kitchen.keys],
    }
    if kitchen.tighter:
        facts["tighter"] = [dict(record) for record in kitchen.tighter]
    if kitchen.own:
        facts["rule"] = [dict(record) for record in kitchen.own]
    if kitchen.checked:
        facts["checked"] = [dict(vars(one)) for one in kitchen.checked]
    return {**facts, "signed": {"key": kitchen.signed_by}}
