"""Everything that is held about one person, in one zip for themselves."""

from __future__ import annotations

import hashlib
import io
import json
import zipfile
from collections.abc import Mapping
from datetime import UTC, date, datetime
from typing import Any

from kit import __version__
from kit.exercises.catalogue import Catalogue
from kit.records.competence.assess import assess_all
from kit.records.competence.assessment import Assessment
from kit.records.competence.standings import keep_current
from kit.records.evidence import kept_files
from kit.records.people.held import about_person, answers_of
from kit.records.people.named_acts import Told, many, tell_acts
from kit.records.people.staff import Member, find
from kit.records.reports.inspector_report import inspector_file
from kit.records.reports.observation_pdf import observation_record
from kit.records.reports.tables_xlsx import decisions_csv
from kit.records.storage.store import Records

README = "READ ME.txt"
_EXTENSIONS = {
    "image/jpeg": ".jpg",
    "image/png": ".png",
    "image/webp": ".webp",
    "application/pdf": ".pdf",
    "text/csv": ".csv",
    "text/plain": ".txt",
}
_ABOUT = """Everything held about {name} ({person})
Made on {day} by smokehouse kit {version}.

record.json        who, names, roles, keys; where this person stands on each criterion; every act about
                   them with its words; numbers of acts made by them about others, without what they say
answers.json       the lines of the answer book as recorded, every mark, what practice has shown, every flag
decisions.csv      every decision, for a spreadsheet
inspector.pdf      the same on paper, with a check of the chain
observations/      each observation on record as PDF
files/             files kept as evidence: {files}

Words that were erased are shown as (erased). Names of those who observed and decided are given, because
they signed. Records kept outside this kit, such as signed paper sheets and backups, are not in here.
"""


def own_record(
    records: Records, person: str, now: datetime | None = None, catalogue: Catalogue | None = None
) -> bytes:
    """Return a zip with everything held about one person.

    Parameters
    ----------
    records : Records
        The open records.
    person : str
        A name, or an id or its start.
    now : datetime, optional
        When it is made, with a zone. Default: the clock.
    catalogue : Catalogue, optional
        Default: the kit's own criteria.

    Raises
    ------
    UnknownName
        If nobody, or more than one, answers to ``person``.

    Examples
    --------
    >>> import tempfile
    >>> from kit.records import open_records
    >>> from kit.records.people import staff
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     records = open_records(f"{folder}/records.db")
    ...     _ = staff.begin(records, "Berit Falk")
    ...     made = own_record(records, "Berit Falk")
    ...     records.close()
    >>> zipfile.ZipFile(io.BytesIO(made)).namelist()[:2]
    ['READ ME.txt', 'record.json']
    """
    catalogue, moment = catalogue or Catalogue(), now or datetime.now(UTC)
    keep_current(records, catalogue)
    member = find(records, person)
    with records.reading() as connection:
        told = tell_acts(connection, people=[member.person])
        today = assess_all(connection, catalogue, moment.astimezone().date(), [member.person])
        held = about_person(connection, member.person) | {
            "where this person stands today": [_stands(one) for one in today.all_of(member.person).values()],
            "acts about this person": [_act(one) for one in told],
        }
        answers = answers_of(connection, member.person)
        kept = sorted({str(sha) for one in told for sha in many(one.facts.get("files"))})
        types = kept_files.types_of(connection)
    files, said = _files(records, kept, types)
    parts: dict[str, bytes] = {
        README: _read_me(member, moment, said).encode("utf-8"),
        "record.json": _json(held),
        "answers.json": _json(answers),
        "decisions.csv": decisions_csv(records, member.person, moment, catalogue).encode("utf-8-sig"),
        "inspector.pdf": inspector_file(records, member.person, moment, catalogue),
    }
    for one in told:
        if one.kind == "observed":
            name = f"observations/{one.day.isoformat()} act {one.number:06}.pdf"
            parts[name] = observation_record(one, member.name, moment, catalogue)
    return _zip(parts | files, moment)


def _read_me(member: Member, moment: datetime, said: str) -> str:
    day = moment.astimezone(UTC).strftime("%Y-%m-%d %H:%M UTC")
    return _ABOUT.format(name=member.name, person=member.person, day=day, version=__version__, files=said)


def _stands(one: Assessment) -> dict[str, Any]:
    return {
        "criterion": one.criterion.id,
        "decision": one.decision,
        "state": one.says,
        "still missing": one.still,
        "holds until": one.until,
    }


def _act(one: Told) -> dict[str, Any]:
    return {
        "act": one.number,
        "kind": one.kind,
        "at": one.at,
        "by": one.by,
        "criterion": one.criterion,
        "batch": one.batch,
        "says": one.facts,
        "signature fits": one.signed,
        "key": one.key_id,
        "hash": one.hash,
    }


def _files(
    records: Records, kept: list[str], types: Mapping[str, tuple[str, bool]]
) -> tuple[dict[str, bytes], str]:
    """Return the files that are there and whole, and what to say of all of them."""
    found, gone, bad = dict[str, bytes](), 0, list[str]()
    for sha in kept:
        media, erased = types.get(sha, ("", False))
        place = kept_files.path_of(records, sha) if sha in types else None
        if erased:
            gone += 1
        elif place and place.is_file() and hashlib.sha256(data := place.read_bytes()).hexdigest() == sha:
            found[f"files/{sha}{_EXTENSIONS.get(media, '')}"] = data
        else:
            bad.append(sha[:16])
    said = f"{len(found)} here, {gone} erased"
    return found, said + (f", missing or damaged: {', '.join(bad)}" if bad else "")


def _json(held: Mapping[str, Any]) -> bytes:
    return json.dumps(held, ensure_ascii=False, indent=1, default=_plain).encode("utf-8")


def _plain(value: object) -> str:
    return value.isoformat() if isinstance(value, date | datetime) else str(value)


def _zip(parts: Mapping[str, bytes], moment: datetime) -> bytes:
    out = io.BytesIO()
    stamp = moment.astimezone(UTC).timetuple()[:6]
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in parts.items():
            member = zipfile.ZipInfo(name, date_time=(max(stamp[0], 1980), *stamp[1:]))
            member.compress_type = zipfile.ZIP_DEFLATED
            member.external_attr = 0o600 << 16
            archive.writestr(member, data)
    return out.getvalue()
