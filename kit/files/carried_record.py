"""A person's record on the way to another kitchen: acts about them as they were signed, in one signed file.

Text in JSON. What is signed is its canonical form: the line ``smokehouse carried record 1``, then every
member but the signature as one JSON object in ASCII, with sorted names and no spaces. Each act comes whole,
with the hash and the signature that its own maker gave it, and the key that signed it. The words that an act
marks come beside it, each under its own salt. The file names, in the clear, who observed and decided.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import Annotated, Any

from msgspec import Meta

from kit.basics.data_files import Moment, Text, build, json_of
from kit.basics.errors import BadData
from kit.basics.given_files import read_given
from kit.files import signing
from kit.files.kitchen_file import Kitchen
from kit.files.refusals import new_file
from kit.files.signing import KeyHex, Signer, key_id_of

MAX_BYTES = 32 * 2**20
_TITLE, _SCHEMA, _WHAT = "carried record", 1, "a file that `smokehouse record give` wrote"
_Hash = Annotated[str, Meta(pattern=r"\A[0-9a-f]{64}\Z", description="64 lower-case hex digits")]
_Signature = Annotated[str, Meta(pattern=r"\A[0-9a-f]{128}\Z", description="128 lower-case hex digits")]
_Id = Annotated[str, Meta(pattern=r"\A[0-9a-f]{16}\Z", description="16 lower-case hex digits")]
_Count = Annotated[int, Meta(ge=1, description="a whole number from 1")]


@dataclass(frozen=True)
class CarriedAct:
    """One act as its kitchen recorded it: ``facts`` is the very text that was hashed.

    ``maker`` is the name of who signed it, ``public`` their key. ``words`` holds, by mark, salt and text.
    """

    number: _Count
    kind: Text
    at: Moment
    by: Text
    person: Text
    criterion: str | None
    batch: str | None
    facts: str
    key_id: str | None
    prev: str
    hash: _Hash
    signature: _Signature
    maker: str
    public: KeyHex
    words: Mapping[str, tuple[str, str]]


@dataclass(frozen=True)
class CarriedRecord:
    """What one kitchen says of a person who moves: who they are there, its acts, and who signed the whole."""

    id: _Id
    kitchen: Text
    person: Text
    name: Text
    made_at: Moment
    given_by: Text
    public: KeyHex
    chain: _Hash
    acts: tuple[CarriedAct, ...]
    signature: str = ""
    smokehouse: str = _TITLE
    schema: int = _SCHEMA

    @property
    def message(self) -> bytes:
        """The bytes that are signed."""
        facts = {name: value for name, value in _plain(self).items() if name != "signature"}
        text = json.dumps(facts, sort_keys=True, separators=(",", ":"), allow_nan=False)
        return f"smokehouse {_TITLE} {_SCHEMA}\n{text}".encode("ascii")

    @property
    def key_id(self) -> str:
        """The short name of the key that signed the whole."""
        return key_id_of(self.public)


def write_carried(path: Path, record: CarriedRecord, key: Signer) -> CarriedRecord:
    """Sign a record and write it to a new file that only its owner can read; return it, signed.

    Raises
    ------
    BadData
        If there is a file of this name already, or the key is another than the record names.
    NotSaved
        If the disk refuses.
    """
    if key.public != record.public:
        raise BadData(path.name, "this is not the key that the record names")
    signed = replace(record, signature=key.sign(record.message))
    with new_file(path, "The record") as file:
        file.write(json.dumps(_plain(signed), ensure_ascii=True, indent=1).encode("ascii"))
    return signed


def read_carried(path: Path | str) -> CarriedRecord:
    """Return a record that was carried here, after checking that nothing was changed since it was signed.

    Whose key signed it is another question: see ``check_known``.

    Raises
    ------
    BadData
        If it is no such file, from a newer kit, or was changed after it was signed.
    """
    where = Path(path).name
    facts = json_of(read_given(path, _WHAT, MAX_BYTES), where, _WHAT)
    if facts.get("smokehouse") != _TITLE:
        raise BadData(where, "this is no carried record", _WHAT)
    if facts.get("schema") != _SCHEMA:
        raise BadData(where, "it was written by a newer kit", f"schema {_SCHEMA}", "Update this kit.")
    record = build(CarriedRecord, facts, where)
    if not signing.check(record.public, record.message, record.signature):
        raise BadData(where, "it was changed after it was signed", "the file as the other kitchen gave it")
    return record


def check_known(record: CarriedRecord, paper: str = "", kitchen: Kitchen | None = None) -> None:
    """Refuse a record unless the other kitchen's own file, or a paper, names the key that signed it.

    Anybody can make a key, a kitchen and a record that fit together. Only what came another way tells.

    Parameters
    ----------
    record : CarriedRecord
        The record.
    paper : str
        The short name of the key, as the other kitchen wrote it down; spaces and capitals do not count.
    kitchen : Kitchen, optional
        The other kitchen's file, which came from there by itself.

    Raises
    ------
    BadData
        If neither names the key, or the two name another kitchen.
    """
    told = re.sub(r"\s", "", paper).lower()
    if kitchen is None and not told:
        raise BadData(
            "the record",
            f"only itself knows the key {record.key_id} that signed it",
            "the other kitchen's file (--kitchen), or its key from a paper (--signed-by)",
        )
    if told and told != record.key_id:
        raise BadData("the record", f"the key {record.key_id} signed it, and your paper shows {told}")
    if kitchen is not None and record.public not in {one.public for one in kitchen.keys}:
        raise BadData("the record", f"nobody on the file of {kitchen.name} has the key {record.key_id}")
    if kitchen is not None and kitchen.name != record.kitchen:
        raise BadData("the record", f"it is of {record.kitchen}, and that file of {kitchen.name}")


def _plain(record: CarriedRecord) -> dict[str, Any]:
    facts = asdict(record)
    facts["made_at"] = record.made_at.isoformat()
    facts["acts"] = [
        told | {"at": act.at.isoformat(), "words": {mark: list(pair) for mark, pair in act.words.items()}}
        for told, act in zip(facts["acts"], record.acts, strict=True)
    ]
    return facts
