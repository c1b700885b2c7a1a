"""The criteria as a CASE 1.1 package, so that another system can point to them: one JSON document.

Which names there are, which must be there, and that no other may stand in a part, follows the standard's own
JSON Schema of a package (``case_v1p1_cfpackage-jsonschema1.json``); ``tests/files/test_criteria_package.py``
holds the package to it and says where it was read. Inside a package no part links back to the document or to
the package: those links belong to a part that is handed out alone. What has no other place stands in
``extensions``, under our name.
"""

from __future__ import annotations

import json
import uuid
from collections.abc import Iterable, Mapping
from dataclasses import asdict
from datetime import UTC, datetime
from typing import Any

from kit.basics.data_files import build, json_of
from kit.basics.errors import BadData
from kit.criteria import KINDS, Criterion, steps

TITLE = "Hot smoking of fish: what an apprentice shows"
OURS = "smokehouse"
_SPACE = uuid.uuid5(uuid.NAMESPACE_URL, "urn:smokehouse:criteria")
_IN_ITEM = ("id", "text")
_TYPES = {kind: f"{kind.capitalize()} criterion" for kind in KINDS}


def write_criteria(criteria: Iterable[Criterion], changed: datetime, creator: str) -> bytes:
    """Return the criteria and their steps as a package.

    Parameters
    ----------
    criteria : iterable of Criterion
        Those to write.
    changed : datetime
        When they were changed last, with its zone.
    creator : str
        Who gives them out.

    Examples
    --------
    >>> from kit import criteria
    >>> data = write_criteria(criteria.at("rinse"), datetime(2026, 3, 2, tzinfo=UTC), "Skerry Smokehouse")
    >>> read_criteria(data) == criteria.at("rinse")
    True
    """
    found, when = tuple(criteria), changed.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
    document = _link("document", "all", TITLE)
    about = {
        "identifier": document["identifier"],
        "uri": document["uri"],
        "creator": creator,
        "title": TITLE,
        "lastChangeDateTime": when,
        "language": "en",
        "caseVersion": "1.1",
    }
    parts = list(dict.fromkeys(each.step for each in found))
    items = [_step_item(step) for step in parts] + [_item(each) for each in found]
    ties = [_tie("isChildOf", _step_link(step), document) for step in parts]
    ties += [_tie("isChildOf", _criterion_link(each.id), _step_link(each.step)) for each in found]
    ties += [
        _tie("precedes", _criterion_link(before), _criterion_link(each.id))
        for each in found
        for before in each.builds_on
    ]
    package = {
        "CFDocument": about,
        "CFItems": [each | {"lastChangeDateTime": when} for each in items],
        "CFAssociations": [each | {"lastChangeDateTime": when} for each in ties],
    }
    return json.dumps(package, ensure_ascii=False, indent=1).encode() + b"\n"


def read_criteria(data: bytes, where: str = "the package") -> tuple[Criterion, ...]:
    """Return the criteria of a package that the kit wrote.

    Raises
    ------
    BadData
        If it is no such package.
    """
    items = json_of(data, where).get("CFItems")
    if not isinstance(items, list):
        raise BadData(where, "it has no list CFItems", "a CASE package of `smokehouse export criteria`")
    return tuple(_criterion(each, where) for each in items if _ours(each))


def _ours(item: object) -> bool:
    return isinstance(item, Mapping) and item.get("CFItemType") in _TYPES.values()


def _criterion(item: Mapping[str, Any], where: str) -> Criterion:
    told, name = item.get("extensions"), str(item.get("humanCodingScheme"))
    facts = told.get(OURS) if isinstance(told, Mapping) else None
    if not isinstance(facts, Mapping):
        raise BadData(where, f"its item {name} was not written by the kit", f"extensions with {OURS!r}")
    return build(Criterion, {"id": name, "text": item.get("fullStatement"), **facts}, where)


def _item(criterion: Criterion) -> dict[str, Any]:
    facts = {name: value for name, value in asdict(criterion).items() if name not in _IN_ITEM}
    link = _criterion_link(criterion.id)
    return {
        "identifier": link["identifier"],
        "uri": link["uri"],
        "fullStatement": criterion.text,
        "humanCodingScheme": criterion.id,
        "CFItemType": _TYPES[criterion.kind],
        "language": "en",
        "extensions": {OURS: facts | {"builds_on": list(criterion.builds_on)}},
    }


def _step_item(step: str) -> dict[str, Any]:
    link = _step_link(step)
    return {
        "identifier": link["identifier"],
        "uri": link["uri"],
        "fullStatement": steps()[step].title,
        "humanCodingScheme": step,
        "CFItemType": "Step",
        "language": "en",
    }


def _criterion_link(name: str) -> dict[str, str]:
    return _link("criterion", name, name)


def _step_link(step: str) -> dict[str, str]:
    return _link("step", step, steps()[step].title)


def _link(what: str, name: str, title: str) -> dict[str, str]:
    """Return a link; its identifier is the same in every package."""
    one = str(uuid.uuid5(_SPACE, f"{what}:{name}"))
    return {"title": title, "identifier": one, "uri": f"urn:uuid:{one}"}


def _tie(kind: str, origin: Mapping[str, str], destination: Mapping[str, str]) -> dict[str, Any]:
    link = _link(kind, f"{origin['identifier']} {destination['identifier']}", kind)
    return {
        "identifier": link["identifier"],
        "uri": link["uri"],
        "associationType": kind,
        "originNodeURI": dict(origin),
        "destinationNodeURI": dict(destination),
    }
