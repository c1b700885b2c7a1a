"""The form that keeps a file as evidence, and the files that an observation can point to. No widgets here."""

from collections.abc import Mapping
from datetime import timedelta
from pathlib import Path
from typing import Any, cast

from kit.basics.errors import BadData
from kit.records.evidence import kept_files
from kit.records.ledger import acts, texts
from kit.records.ledger.acts import Act
from kit.records.people.staff import Hand
from kit.records.reports.board_page import long_day
from kit.records.reports.person_page import person_page
from kit.views.tutor.form import Field, Form, Proposal

LATELY_DAYS, AT_MOST = 30, 8
KINDS = {
    "photo": "photo",
    "logger": "a temperature logger's file: it is checked against the rules",
    "weights": "weights",
    "paper": "a scanned paper",
}


def attach_form(hand: Hand, ask: Mapping[str, Any]) -> Form:
    """Return the form that keeps a file about an apprentice."""
    page = person_page(hand.records, str(ask["person"]), hand.today(), hand.catalogue)
    fields = (
        Field("path", "Where the file is on this machine", "text"),
        Field("kind", "What it is", "pick", tuple((says, name) for name, says in KINDS.items()), "photo"),
        Field("strip", "Take the place out of a photo before it is kept", "tick", value=True),
    )
    return Form("attach", "Keep a file as evidence", (("Apprentice", page.name),), fields, page.person)


def propose_attach(hand: Hand, form: Form, values: Mapping[str, Any]) -> Proposal:
    """Say which file will be kept; the file itself is read when it is recorded."""
    typed = values["path"].strip().strip('"')
    path = Path(typed).expanduser()
    if not typed or not path.is_file():
        raise BadData("the file", f"there is none at {typed!r}", "the whole path of a file on this machine")
    kind = cast("kept_files.Kind", values["kind"])
    lines = (
        *form.about,
        ("File", path.name),
        ("Size", f"{max(1, path.stat().st_size // 1024)} kB"),
        ("Kind", KINDS[kind]),
    )

    def record(signed: Hand) -> Act:
        kept = kept_files.attach(signed, path, form.person, kind, strip_place=bool(values["strip"]))
        if not kept.new:
            raise BadData(path.name, "it is on file about this person already")
        return _last_with(signed, form.person, kept.sha256)

    return Proposal(lines, record)


def file_fields(hand: Hand, person: str) -> list[Field]:
    """Return a box to tick for each file that was kept about this person lately."""
    since = hand.clock() - timedelta(days=LATELY_DAYS)
    with hand.records.reading() as connection:
        kept = [a for a in acts.read(connection, kind="attached", person=person) if a.at >= since][-AT_MOST:]
        told = texts.tell_all(connection, [act.facts["name"] for act in kept])
    return [
        Field(
            f"file {act.facts['files'][0]}",
            f"File: {told.get(act.facts['name'], texts.ERASED)}, {act.facts['kind']}, "
            f"{long_day(act.at.astimezone().date())}",
            "tick",
            value=False,
            group="files",
        )
        for act in reversed(kept)
    ]


def ticked(values: Mapping[str, Any]) -> list[str]:
    """Return the files that were ticked, by hash."""
    return [name.removeprefix("file ") for name, on in values.items() if name.startswith("file ") and on]


def verdict_words(verdicts: Any) -> str:
    """Return what a logger's file showed of each rule, in brief.

    Examples
    --------
    >>> verdict_words([{"rule": "core-hold", "outcome": "met"}])
    'core-hold met'
    """
    return "; ".join(f"{each['rule']} {each['outcome']}" for each in verdicts)


def _last_with(hand: Hand, person: str, sha: str) -> Act:
    with hand.records.reading() as connection:
        found = [a for a in acts.read(connection, kind="attached", person=person) if sha in a.facts["files"]]
    return found[-1]
