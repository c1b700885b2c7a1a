"""What was done and decided, as xAPI statements (1.0.3; IEEE 9274.1.1 is the same for what is used).

A statement says: this account answered this question, sat this paper, or was decided on. An account is
an opaque word. The rules of ``faults`` are the requirements of the public conformance tests; see
``tests/files/test_statements.py``.
"""

from __future__ import annotations

import json
import re
import uuid
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any, Literal

from kit.basics.errors import BadData

Verb = Literal["answered", "completed", "passed", "failed"]
VERBS = "http://adlnet.gov/expapi/verbs/"
TYPES = "http://adlnet.gov/expapi/activities/"
HOME = "https://smokehouse.invalid"
"""Where accounts and activities are named, unless a kitchen gives its own address. It leads nowhere."""
LANGUAGE = "en-GB"
_SPACE = uuid.uuid5(uuid.NAMESPACE_URL, "urn:smokehouse:statements")
_TOP = {
    *("id", "actor", "verb", "object", "result", "context", "timestamp", "stored", "authority", "version"),
    "attachments",
}
_MOMENT = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d+)?(Z|[+-]\d\d:\d\d)")
_DURATION = re.compile(r"P(?:\d+W|(?=.)(\d+Y)?(\d+M)?(\d+D)?(T(?=.)(\d+H)?(\d+M)?(\d+(\.\d{1,2})?S)?)?)")
_IRI = re.compile(r"[A-Za-z][A-Za-z0-9+.-]*:\S+")
_TAG = re.compile(r"[A-Za-z]{2,8}(-[A-Za-z0-9]{1,8})*")


@dataclass(frozen=True)
class OpenRecord:
    """One line of the open records.

    ``account`` and ``instructor`` are opaque words. ``about`` is what it is about, as a path such as
    ``items/salt-sum/v2``; ``kind`` its kind of activity. ``number`` tells it from others of this account.
    ``of`` is the most points. ``within`` are the paths of what it belongs to. ``more`` holds plain values.
    """

    account: str
    verb: Verb
    about: str
    kind: Literal["cmi.interaction", "assessment", "objective"]
    title: str
    at: datetime
    number: int
    right: bool | None = None
    score: float | None = None
    of: float | None = None
    minutes: int | None = None
    instructor: str = ""
    revision: str = ""
    within: tuple[str, ...] = ()
    more: Mapping[str, Any] = field(default_factory=dict)


def statement(one: OpenRecord, home: str = HOME) -> dict[str, Any]:
    """Return one record as a statement. The same record gives the same id: sent twice, it counts once.

    Examples
    --------
    >>> moment = datetime(2026, 3, 2, 9, tzinfo=UTC)
    >>> one = OpenRecord("p-abc", "answered", "items/salt/v1", "cmi.interaction", "Salt", moment, 4, True)
    >>> made = statement(one)
    >>> made["timestamp"], made["result"]["success"], faults(made)
    ('2026-03-02T09:00:00.000Z', True, [])
    >>> record_of(made) == one
    True
    """
    more = {f"{home}/ext/{name}": value for name, value in one.more.items()}
    context: dict[str, Any] = {"language": LANGUAGE}
    context["extensions"] = more | {f"{home}/ext/number": one.number}
    if one.instructor:
        context["instructor"] = _account(one.instructor, home)
    if one.revision:
        context["revision"] = one.revision
    if one.within:
        context["contextActivities"] = {"category": [{"id": f"{home}/{each}"} for each in one.within]}
    result = _result(one)
    named = {"type": TYPES + one.kind, "name": {LANGUAGE: one.title}}
    if one.kind == "cmi.interaction":
        named["interactionType"] = "other"
    return {
        "id": str(uuid.uuid5(_SPACE, f"{home}\n{one.account}\n{one.about}\n{one.number}")),
        "actor": _account(one.account, home),
        "verb": {"id": VERBS + one.verb, "display": {"en": one.verb}},
        "object": {"objectType": "Activity", "id": f"{home}/{one.about}", "definition": named},
        **({"result": result} if result else {}),
        "context": context,
        "timestamp": _stamp(one.at),
    }


def record_of(told: Mapping[str, Any], where: str = "the statement") -> OpenRecord:
    """Return the record of a statement that the kit wrote.

    Raises
    ------
    BadData
        If it breaks a rule of the standard, or was not written by the kit.
    """
    wrong = faults(told)
    if wrong:
        raise BadData(where, wrong[0], "an xAPI statement")
    try:
        home = told["actor"]["account"]["homePage"]
        context, result, definition = told["context"], told.get("result", {}), told["object"]["definition"]
        more = {name.removeprefix(f"{home}/ext/"): value for name, value in context["extensions"].items()}
        score, minutes = result.get("score", {}), result.get("duration")
        return OpenRecord(
            account=told["actor"]["account"]["name"],
            verb=told["verb"]["id"].removeprefix(VERBS),
            about=told["object"]["id"].removeprefix(f"{home}/"),
            kind=definition["type"].removeprefix(TYPES),
            title=definition["name"][LANGUAGE],
            at=datetime.fromisoformat(told["timestamp"]),
            number=more.pop("number"),
            right=result.get("success"),
            score=score.get("raw"),
            of=score.get("max"),
            minutes=None if minutes is None else int(minutes.removeprefix("PT").removesuffix("M")),
            instructor=context.get("instructor", {}).get("account", {}).get("name", ""),
            revision=context.get("revision", ""),
            within=tuple(
                each["id"].removeprefix(f"{home}/")
                for each in context.get("contextActivities", {}).get("category", ())
            ),
            more=more,
        )
    except (KeyError, TypeError, AttributeError, ValueError) as error:
        raise BadData(where, f"it was not written by the kit: {error}", "`smokehouse export`") from None


def write_statements(records: Iterable[OpenRecord], home: str = HOME) -> Iterator[bytes]:
    """Yield a JSON list of statements, a line each, so that many need not be held at once."""
    before = b"[\n"
    for one in records:
        yield before + json.dumps(statement(one, home), ensure_ascii=False).encode()
        before = b",\n"
    yield b"[]\n" if before == b"[\n" else b"\n]\n"


def read_statements(data: bytes, where: str = "the statements") -> tuple[OpenRecord, ...]:
    """Return the records of a list of statements that the kit wrote.

    Raises
    ------
    BadData
        If it is no such list; the message names the place of the first bad statement.
    """
    try:
        told = json.loads(data)
    except (ValueError, RecursionError) as error:
        raise BadData(where, f"this is no JSON: {error}", "a list of statements") from None
    if not isinstance(told, list) or not all(isinstance(each, dict) for each in told):
        raise BadData(where, "this is no list of statements", "a list of objects")
    return tuple(record_of(each, f"{where}, statement {place}") for place, each in enumerate(told, 1))


def faults(told: Mapping[str, Any]) -> list[str]:
    """Return which rules of the standard a statement breaks, in words; none if it is sound.

    It knows the rules for what the kit writes: accounts and activities. Other kinds of object are refused.
    """
    extra = sorted(set(told) - _TOP)
    found = [f"{name} is no name of a statement" for name in extra]
    found += [f"{name} is missing" for name in ("actor", "verb", "object") if name not in told]
    if found:
        return found
    found += _identity_faults(told)
    found += _naming_faults(told["verb"], told["object"])
    found += _result_faults(told.get("result", {}))
    found += _context_faults(told.get("context", {}))
    moment = told.get("timestamp", "1970-01-01T00:00:00Z")
    if not isinstance(moment, str) or not _MOMENT.fullmatch(moment) or moment.endswith("-00:00"):
        found.append(f"timestamp is {moment!r}, no moment with its zone")
    return found + list(_empty_faults(told, ""))


def _identity_faults(told: Mapping[str, Any]) -> list[str]:
    found = [] if _is_uuid(told.get("id", str(_SPACE))) else ["id is no UUID"]
    for name, actor in (("actor", told["actor"]), ("instructor", _in(told, "context", "instructor"))):
        if actor is None:
            continue
        names = {"mbox", "mbox_sha1sum", "openid", "account"} & set(actor)
        if len(names) != 1:
            found.append(f"{name} has {len(names)} identifiers, not one")
        account = actor.get("account")
        if account is not None and (set(account) != {"homePage", "name"} or not _is_iri(account["homePage"])):
            found.append(f"{name}: an account has a homePage and a name")
    return found


def _naming_faults(verb: Mapping[str, Any], about: Mapping[str, Any]) -> list[str]:
    found = [
        f"{name} has no absolute IRI"
        for name, each in (("verb", verb), ("object", about))
        if not _is_iri(each.get("id"))
    ]
    shown = [verb.get("display", {}), about.get("definition", {}).get("name", {})]
    found += [f"{tag!r} is no language tag" for each in shown for tag in each if not _TAG.fullmatch(tag)]
    if about.get("objectType", "Activity") != "Activity":
        found.append("the object is no Activity")
    return found


def _result_faults(result: Mapping[str, Any]) -> list[str]:
    found = [
        f"{name} is not true or false"
        for name in ("success", "completion")
        if name in result and not isinstance(result[name], bool)
    ]
    if "response" in result and not isinstance(result["response"], str):
        found.append("response is no text")
    lasted = result.get("duration", "PT1S")
    if not isinstance(lasted, str) or not _DURATION.fullmatch(lasted):
        found.append(f"duration is {lasted!r}, no ISO 8601 duration to 0.01 s")
    return found + _score_faults(result.get("score", {}))


def _score_faults(score: object) -> list[str]:
    if not isinstance(score, Mapping):
        return ["score is no object"]
    if any(isinstance(each, bool) or not isinstance(each, int | float) for each in score.values()):
        return ["score holds what is no number"]
    low, high = score.get("min", float("-inf")), score.get("max", float("inf"))
    found = [] if -1 <= score.get("scaled", 0) <= 1 else ["scaled is not from -1 to 1"]
    found += [] if low < high else ["min is not below max"]
    return found + ([] if low <= score.get("raw", low) <= high else ["raw is not from min to max"])


def _context_faults(context: Mapping[str, Any]) -> list[str]:
    found = [] if _is_uuid(context.get("registration", str(_SPACE))) else ["registration is no UUID"]
    if "revision" in context and not isinstance(context["revision"], str):
        found.append("revision is no text")
    found += [f"{name!r} is no IRI" for name in context.get("extensions", {}) if not _is_iri(name)]
    listed = context.get("contextActivities", {}).values()
    return found + ["an activity has no IRI" for each in listed for one in each if not _is_iri(one.get("id"))]


def _empty_faults(value: object, name: str) -> Iterator[str]:
    """Yield nulls and empty objects; extensions may hold either."""
    if value is None or value == {}:
        yield f"{name} is empty"
    inside: Iterable[tuple[str, object]] = ()
    if isinstance(value, Mapping):
        inside = ((f"{name}.{key}".lstrip("."), each) for key, each in value.items() if key != "extensions")
    elif isinstance(value, list):
        inside = ((name, each) for each in value)
    for within, each in inside:
        yield from _empty_faults(each, within)


def _result(one: OpenRecord) -> dict[str, Any]:
    result: dict[str, Any] = {}
    if one.right is not None:
        result["success"] = one.right
    if one.score is not None and one.of:
        score = {"scaled": one.score / one.of, "raw": one.score, "min": 0, "max": one.of}
        result["score"] = score
    if one.minutes is not None:
        result["duration"] = f"PT{one.minutes}M"
    return result | ({"completion": True} if one.kind != "objective" else {})


def _account(name: str, home: str) -> dict[str, Any]:
    return {"objectType": "Agent", "account": {"homePage": home, "name": name}}


def _stamp(moment: datetime) -> str:
    utc = moment.astimezone(UTC)
    fine = "microseconds" if utc.microsecond % 1000 else "milliseconds"
    return utc.isoformat(timespec=fine).replace("+00:00", "Z")


def _in(told: Mapping[str, Any], *names: str) -> Any:
    for name in names:
        told = told.get(name, {})
    return told or None


def _is_iri(text: object) -> bool:
    return isinstance(text, str) and _IRI.fullmatch(text) is not None


def _is_uuid(text: object) -> bool:
    try:
        return isinstance(text, str) and str(uuid.UUID(text)) == text.lower()
    except ValueError:
        return False
