"""The inspector’s file: who, who decided what on which evidence, and what the file does not prove.

It reports what is on record. It never says that anybody is safe or that a batch may go out.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime
from typing import Any

from kit import __version__
from kit.basics.quantities import count_of
from kit.exercises.catalogue import Catalogue
from kit.records.competence.standings import keep_current
from kit.records.people.crew import learners
from kit.records.people.named_acts import Told, day_words, listed, many
from kit.records.people.staff import find, members
from kit.records.reports import pdf_style
from kit.records.reports.chain_statement import Proof, proof_of
from kit.records.reports.criterion_tables import earlier_decisions, matrix, safety_table
from kit.records.reports.inspector_front import front_of_all, front_of_one, not_proved
from kit.records.reports.pdf_style import section, table
from kit.records.reports.pdf_text import marked, say, text
from kit.records.reports.person_facts import PersonFile, gather
from kit.records.storage.store import Records

TOPICS = {
    "induction": "Induction",
    "plan": "Plan",
    "hours": "Hours",
    "version taught": "Version taught",
    "adjustment": "Adjustments agreed",
    "note": "Other notes",
}


def inspector_file(
    records: Records,
    person: str | None = None,
    now: datetime | None = None,
    catalogue: Catalogue | None = None,
) -> bytes:
    """Return the inspector’s file of one person, or of the whole crew, as PDF.

    Parameters
    ----------
    records : Records
        The open records.
    person : str, optional
        A name, or an id or its start. Default: a cover with everybody, then each.
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
    ...     inspector_file(records)[:5]
    ...     records.close()
    b'%PDF-'
    """
    catalogue, moment = catalogue or Catalogue(), now or datetime.now(UTC)
    keep_current(records, catalogue)
    if person is not None:
        member = find(records, person)
        proof = proof_of(records, member.person, catalogue=catalogue)
        story = one_person(gather(records, member, moment, catalogue), proof, moment)
        return pdf_style.as_pdf(
            story, pdf_style.Paper(f"Inspector’s file: {member.name}", moment, proof.line)
        )
    proof = proof_of(records, catalogue=catalogue)
    with records.reading() as connection:
        crew = {one.person for one in learners(connection)}
    files = [gather(records, each, moment, catalogue) for each in members(records) if each.person in crew]
    story = _cover(files, proof, moment)
    for number, file in enumerate(files):
        story += [pdf_style.new_page(), pdf_style.bookmark(file.member.name, f"person-{number}")]
        story += one_person(file, proof, moment, alone=False)
    return pdf_style.as_pdf(story, pdf_style.Paper("Inspector’s file: everybody", moment, proof.line))


def one_person(file: PersonFile, proof: Proof, now: datetime, *, alone: bool = True) -> list[Any]:
    """Return the pages about one person."""
    story = [
        text("Smokehouse kit · inspector’s file", "kicker"),
        text(file.member.name, "title"),
        text(
            f"Id {file.member.person} · made on {_moment(now)} by {pdf_style.AUTHOR} {__version__}", "small"
        ),
        *front_of_one(file, proof, alone=alone),
    ]
    if alone:
        story += [not_proved()]
    story += safety_table(file)
    story += matrix(file)
    story += earlier_decisions(file)
    story += _appeals(file)
    story += _batches(file)
    story += _training(file)
    story += _others(file)
    story += _rules(file)
    return story


def _cover(files: Sequence[PersonFile], proof: Proof, now: datetime) -> list[Any]:
    made = f"{count_of(len(files), 'person')} · made on {_moment(now)} by {pdf_style.AUTHOR} {__version__}"
    return [
        text("Smokehouse kit · inspector’s file", "kicker"),
        text("Everybody on record", "title"),
        text(made, "small"),
        *front_of_all(files, proof),
        not_proved(),
        *section("One row a person", [_people(files)], room_mm=45),
    ]


def _people(files: Sequence[PersonFile]) -> Any:
    rows: list[list[Any]] = [
        ["Person", "Roles, start", "Safety-critical", "All criteria", "Second wanted",
         "Open again", "Review passed"]
    ]  # fmt: skip
    for file in files:
        rows.append(
            [
                marked(f"<b>{say(file.member.name)}</b><br/>{say(file.member.person)}", "cell"),
                f"{', '.join(file.member.roles) or 'none now'}, {day_words(file.started)}",
                "{} of {}".format(*file.safety),
                f"{file.holding} of {len(file.standings)}",
                str(file.in_state("second wanted")),
                str(file.in_state("appeal", "disputed")),
                str(file.in_state("over")),
            ]
        )
    return table(rows, [48, 34, 32, 24, 16, 14, 16])


def _training(file: PersonFile) -> list[Any]:
    rows: list[list[Any]] = [["What", "Day", "In words", "Noted by"]]
    for topic, title in TOPICS.items():
        notes = file.notes.get(topic, ())
        rows += [[title, day_words(one.day), _note_words(one), _by(one)] for one in notes]
        if topic == "hours" and len(notes) > 1:
            rows.append([f"{title} in all", "–", f"{_hours(notes):g}", "–"])
    bare = [title.lower() for topic, title in TOPICS.items() if not file.notes.get(topic) and topic != "note"]
    body = [table(rows, [38, 26, 78, 42])] if len(rows) > 1 else []
    body += [text(f"Nothing on record of: {', '.join(bare)}.")] if bare else []
    return section("Induction, plan, hours and what was taught", body, room_mm=25)


def _hours(notes: Sequence[Told]) -> float:
    said = [one.facts.get("hours") for one in notes]
    return sum(float(each) for each in said if isinstance(each, int | float))


def _note_words(one: Told) -> str:
    plain = {k: v for k, v in one.facts.items() if k not in ("topic", "words", "day")}
    parts = [f"{name.replace('_', ' ')}: {value}" for name, value in plain.items()]
    return listed([*parts, *filter(None, [str(one.facts.get("words", ""))])], "no words")


def _appeals(file: PersonFile) -> list[Any]:
    rows: list[list[Any]] = [["Criterion", "Appeal", "Outcome", "Settled by"]]
    for standing in file.standings:
        for ruling in standing.rulings:
            for opened, closed in ruling.appeals:
                asked = f"act {opened.number}, {day_words(opened.day)}, on act {ruling.act.number}: "
                outcome, who = "still open", "–"
                if closed is not None:
                    outcome = (
                        f"{closed.facts.get('outcome')}, act {closed.number}, {day_words(closed.day)}: "
                        f"{closed.facts.get('reason', '')}"
                    )
                    who = _by(closed)
                rows.append([standing.criterion.id, asked + str(opened.facts.get("words", "")), outcome, who])
    return _section("Appeals and their outcome", rows, [20, 66, 64, 34], "No appeal is on record.")


def _batches(file: PersonFile) -> list[Any]:
    rows: list[list[Any]] = [
        ["Batch", "Day", "What happened", "Corrective action", "Decided by; recorded by"]
    ]
    for one in sorted(file.corrections, key=lambda each: (str(each.batch), each.number)):
        who = f"{one.facts.get('decided_by')}; {_by(one)}, act {one.number}"
        rows.append(
            [str(one.batch), day_words(one.day), str(one.facts.get("happened", "")),
             str(one.facts.get("action", "")), who]
        )  # fmt: skip
    seen_on = count_of(len(file.batches), "batch")
    empty = f"None on record. This person was observed on {seen_on}."
    return _section("Corrective actions on this person’s batches", rows, [24, 20, 52, 52, 36], empty)


def _others(file: PersonFile) -> list[Any]:
    rows: list[list[Any]] = [["Act", "Day", "What", "By"]]
    for one in file.acts:
        facts = one.facts
        if one.kind == "attached":
            hashes = listed(f"{str(each)[:16]}…" for each in many(facts.get("files")))
            said = f"{facts.get('kind')} kept as evidence, {facts.get('name')}: {hashes}"
            if facts.get("despite"):
                said += f". Doubtful readings were confirmed: {facts['despite']}"
        elif one.kind == "looked at":
            about = f"{facts.get('sort')} {facts.get('flag') or ''}".strip()
            said = (
                f"{about}, book line {facts.get('line')}: {facts.get('outcome')}. {facts.get('reason', '')}"
            )
        elif one.kind == "moderated":
            said = f"act {facts.get('act')} in moderation: {facts.get('finding')}. {facts.get('reason', '')}"
        else:
            continue
        rows.append([f"act {one.number}", day_words(one.day), said, _by(one)])
    return _section("Files kept, and what was looked into", rows, [18, 22, 104, 40], "Nothing on record.")


def _rules(file: PersonFile) -> list[Any]:
    rows = [
        ["Rule profile", listed(_profile_words(file.profiles), "no answer was given under a profile")],
        ["Sampling plan", listed(file.plans, "no decision yet that a plan applies to")],
        ["Kit version", f"decisions made with {listed(file.kits, 'none')}; this file with {__version__}"],
        [
            "Second signature",
            "drawn by the plan from the first act of these records; nothing draws it anew",
        ],
    ]
    made = table([[text(name, "bold"), said] for name, said in rows], [34, 150], head=False)
    return section("Rules, plan and kit in use", [made], room_mm=34)


def _profile_words(profiles: Sequence[str]) -> list[str]:
    from kit import rules
    from kit.basics.errors import KitError

    found = []
    for name in profiles:
        try:
            found.append(f"{rules.load(name).title} ({name})")
        except KitError:
            found.append(f"{name} (not on this machine)")
    return found


def _section(title: str, rows: list[list[Any]], widths: Sequence[float], empty: str) -> list[Any]:
    body = table(rows, widths) if len(rows) > 1 else text(empty)
    return section(title, [body], room_mm=45 if len(rows) > 1 else 20)


def _by(one: Told) -> str:
    return f"{one.by}{', signed' if one.signed else ''}"


def _moment(now: datetime) -> str:
    moment = now.astimezone(UTC)
    return f"{day_words(moment.date())} at {moment:%H:%M} UTC"
