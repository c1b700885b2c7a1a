"""The records as tables: one workbook for a spreadsheet, and the decisions as comma-separated rows.

Every cell is text or a plain whole number. Nothing that somebody typed can become a formula.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence
from datetime import UTC, date, datetime
from typing import TYPE_CHECKING, Any

from kit import __version__
from kit.exercises.catalogue import Catalogue
from kit.records.competence.decision_state import decisions
from kit.records.ledger import acts
from kit.records.ledger.draws import DRAWN, asked_words, draws_in
from kit.records.people.named_acts import Told, listed, many, pairs, tell_acts
from kit.records.people.staff import Member, all_names, find, members
from kit.records.reports.board_page import harmless_cell, step_title
from kit.records.reports.chain_statement import proof_of
from kit.records.reports.observation_pdf import measures_of

if TYPE_CHECKING:
    from kit.records.storage.store import Records

LONGEST_CELL = 32_000  # a spreadsheet takes 32,767 characters
_WIDEST = 60
DECISION_COLUMNS = (
    "person id",
    "name",
    "step",
    "criterion",
    "safety-critical",
    "decision recorded",
    "stands today",
    "day",
    "review date",
    "decided by",
    "signature",
    "second signature",
    "appeal open",
    "act",
    "reason",
    "rule profiles",
    "kit version",
)
_Rows = list[Sequence[object]]


def as_workbook(
    records: Records,
    person: str | None = None,
    now: datetime | None = None,
    catalogue: Catalogue | None = None,
) -> bytes:
    """Return a workbook with people, decisions, observations, acts and criteria.

    Parameters
    ----------
    records : Records
        The open records.
    person : str, optional
        Only what is about this person: a name, or an id or its start.
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
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     records = open_records(f"{folder}/records.db")
    ...     as_workbook(records)[:2]
    ...     records.close()
    b'PK'
    """
    import xlsxwriter

    catalogue, moment = catalogue or Catalogue(), now or datetime.now(UTC)
    out = io.BytesIO()
    options = {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False}
    book = xlsxwriter.Workbook(out, options)
    book.set_properties(
        {
            "title": "Training and assessment records",
            "author": "smokehouse kit",
            "created": moment.astimezone(UTC).replace(tzinfo=None),
        }
    )
    head = book.add_format({"bold": True, "bottom": 1, "text_wrap": True, "valign": "top"})
    cell = book.add_format({"text_wrap": True, "valign": "top"})
    for name, rows in _sheets(records, person, moment, catalogue).items():
        _write(book.add_worksheet(name), rows, head, cell)
    book.close()
    return out.getvalue()


def decisions_csv(
    records: Records,
    person: str | None = None,
    now: datetime | None = None,
    catalogue: Catalogue | None = None,
) -> str:
    """Return every decision, one row each, as comma-separated text.

    A cell that a spreadsheet could take for a formula gets an apostrophe in front. The arguments are those of
    ``as_workbook``.

    Examples
    --------
    >>> import tempfile
    >>> from kit.records import open_records
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     records = open_records(f"{folder}/records.db")
    ...     decisions_csv(records).split(",")[:4]
    ...     records.close()
    ['person id', 'name', 'step', 'criterion']
    """
    catalogue, moment = catalogue or Catalogue(), now or datetime.now(UTC)
    who = _only(records, person)
    rows = decision_rows(records, catalogue, moment.astimezone().date(), who)
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerows([[harmless_cell(value) for value in row] for row in rows])
    return out.getvalue()


def decision_rows(records: Records, catalogue: Catalogue, today: date, person: str | None) -> _Rows:
    """Return every decision that was recorded, with how it stands on a day; the first row is the heading."""
    only = None if person is None else [person]
    with records.reading() as connection:
        names = all_names(connection)
        standing = decisions(connection, catalogue, today, only)
        told = tell_acts(connection, kinds=("decided", "brought in"), people=only)
        signed = tell_acts(connection, kinds=("second", DRAWN), people=only)
    seconds, draws = _second_of(signed), draws_in(signed)
    rows: _Rows = [DECISION_COLUMNS]
    for one in told:
        who = one.person
        now = standing.get(who, {}).get(str(one.criterion))
        current = now is not None and now.act == one.number
        known = catalogue.criteria.get(str(one.criterion))
        facts = one.facts
        rows.append(
            (
                who,
                names.get(who, ""),
                step_title(known.step) if known else "",
                one.criterion,
                ("yes" if known.safety_critical else "no") if known else "",
                facts.get("decision", ""),
                now.says if now is not None and current else "replaced by a later decision",
                one.day.isoformat(),
                facts.get("review_on") or "",
                one.by,
                "fits" if one.signed else "does not fit",
                seconds.get(str(one.number)) or asked_words(facts, draws.get(one.number)),
                "yes" if now is not None and current and now.appeal is not None else "no",
                one.number,
                facts.get("reason", ""),
                listed(map(str, many(facts.get("profiles"))), ""),
                facts.get("kit", ""),
            )
        )
    return rows


def _sheets(records: Records, person: str | None, moment: datetime, catalogue: Catalogue) -> dict[str, _Rows]:
    who = _only(records, person)
    proof = proof_of(records, who, catalogue=catalogue)
    with records.reading() as connection:
        told = tell_acts(connection, people=None if who is None else [who])
        names = all_names(connection)
    sheets: dict[str, _Rows] = {
        "people": _people(records, who),
        "decisions": decision_rows(records, catalogue, moment.astimezone().date(), who),
        "observations": _observations(told, names),
        "acts": _acts(told),
        "criteria": _criteria(catalogue),
    }
    sheets["about"] = [
        ("about", "value"),
        ("made at", moment.astimezone(UTC).strftime("%Y-%m-%d %H:%M UTC")),
        ("kit version", __version__),
        ("chain head", f"{proof.head.short} (act {proof.head.number})"),
        *(("check of the chain", line) for line in proof.says),
        ("about whom", person or "everybody"),
    ]
    return sheets


def _only(records: Records, person: str | None) -> str | None:
    return None if person is None else find(records, person).person


def _people(records: Records, person: str | None) -> _Rows:
    chosen: list[Member] = [one for one in members(records) if person in (None, one.person)]
    rows: _Rows = [("person id", "name", "roles now", "roles ever", "since")]
    for one in chosen:
        since = one.since.date().isoformat() if one.since else ""
        rows.append((one.person, one.name, ", ".join(one.roles), ", ".join(one.ever), since))
    return rows


def _observations(told: Sequence[Told], names: Mapping[str, str]) -> _Rows:
    rows: _Rows = [
        ("person id", "name", "act", "day", "step", "batch", "method", "criterion", "outcome", "observer",
         "signature", "own work declared", "weights and temperatures", "supports", "files", "notes")
    ]  # fmt: skip
    for one in told:
        if one.kind != "observed":
            continue
        who = one.person
        facts = one.facts
        for criterion, outcome in pairs(facts.get("points")):
            rows.append(
                (who, names.get(who, ""), one.number, one.day.isoformat(), facts.get("step", ""),
                 one.batch or "", facts.get("method", ""), criterion, outcome, one.by,
                 "fits" if one.signed else "does not fit", "yes" if facts.get("declared") else "no",
                 listed(measures_of(one), ""), listed(map(str, many(facts.get("supports"))), ""),
                 listed(map(str, many(facts.get("files"))), ""), facts.get("notes", ""))
            )  # fmt: skip
    return rows


def _acts(told: Sequence[Told]) -> _Rows:
    rows: _Rows = [("act", "kind", "recorded at", "by", "person id", "criterion", "batch", "facts", "hash")]
    for one in told:
        who = one.person
        moment = one.at.astimezone(UTC).strftime("%Y-%m-%d %H:%M:%S UTC")
        said = acts.as_json(one.facts)
        rows.append(
            (one.number, one.kind, moment, one.by, who, one.criterion or "", one.batch or "", said, one.hash)
        )
    return rows


def _criteria(catalogue: Catalogue) -> _Rows:
    rows: _Rows = [
        ("criterion", "step", "kind", "text", "safety-critical", "days needed", "review after, months",
         "source", "source read")
    ]  # fmt: skip
    for one in catalogue.criteria.values():
        rows.append(
            (one.id, step_title(one.step), one.kind, one.text, "yes" if one.safety_critical else "no",
             one.observations_needed, one.review_months, one.source,
             "yes" if one.seen else "from memory: confirm")
        )  # fmt: skip
    return rows


def _second_of(told: Sequence[Told]) -> dict[str, str]:
    return {
        str(one.facts.get("act")): f"{'agreed' if one.facts.get('agrees') else 'disagreed'}: {one.by}"
        for one in told
        if one.kind == "second"
    }


def _write(sheet: Any, rows: _Rows, head: Any, cell: Any) -> None:
    sheet.freeze_panes(1, 0)
    sheet.set_row(0, 30)
    for place, row in enumerate(rows):
        for column, value in enumerate(row):
            if isinstance(value, int) and not isinstance(value, bool):
                sheet.write_number(place, column, value, cell)
            else:
                sheet.write_string(place, column, _cut(str(value or "")), cell if place else head)
    for column in range(len(rows[0])):
        longest = max(len(str(row[column])) for row in rows[:200] if column < len(row))
        sheet.set_column(column, column, min(max(longest + 2, 8), _WIDEST))
    if len(rows) > 1:
        sheet.autofilter(0, 0, len(rows) - 1, len(rows[0]) - 1)


def _cut(text: str) -> str:
    return text if len(text) <= LONGEST_CELL else f"{text[:LONGEST_CELL]} … (cut: {len(text)} characters)"
