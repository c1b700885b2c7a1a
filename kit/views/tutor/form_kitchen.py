"""The forms of the manager's desk about the kitchen: bringing in, backups, papers, books. No widgets here."""

from collections.abc import Callable, Mapping
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from kit.basics import places
from kit.basics.atomic_files import make_private_folder
from kit.basics.errors import BadData, KitError
from kit.files.joined_kitchen import joined
from kit.files.kitchen_number import FILE, not_left
from kit.records import reports
from kit.records.competence import deciding, observations
from kit.records.intake.take_in import TakingIn, take_in
from kit.records.people import staff
from kit.records.people.staff import Hand
from kit.records.reports.board_page import step_title
from kit.records.upkeep import bring_in_file
from kit.records.upkeep.backup import backup
from kit.records.upkeep.backup_health import health, note_made, try_restore
from kit.records.upkeep.crew_table import CrewTable, read_crew_table, template
from kit.views.tutor.form import Done, Field, Form, Proposal, day_of
from kit.views.tutor.form_people import last_act

FAULTS_SHOWN = 60
NOBODY = ""


def correct_form(hand: Hand, _ask: Mapping[str, Any]) -> Form:
    """Return the form for what went wrong on a batch and what was done."""
    able = [(one.name, one.person) for one in staff.members(hand.records) if set(one.roles) - {"apprentice"}]
    fields = (
        Field("batch", "Label of the batch", "text"),
        Field("day", "Day", "date", value=hand.today()),
        Field("happened", "What went wrong", "long"),
        Field("action", "What was done, with the fish too", "long"),
        Field("by", "Who decided it", "pick", tuple(able), hand.person),
    )
    return Form("correct", "Corrective action", (), fields, "")


def propose_correct(hand: Hand, _form: Form, values: Mapping[str, Any]) -> Proposal:
    """Say which corrective action will be recorded."""
    batch, happened, action = (values[name].strip() for name in ("batch", "happened", "action"))
    for label, typed in (("the batch", batch), ("what went wrong", happened), ("what was done", action)):
        if not typed:
            raise BadData(label, "nothing is typed", "a few words")
    day, by = day_of(values["day"]), values["by"]
    names = {one.person: one.name for one in staff.members(hand.records)}
    lines = (
        ("Batch", batch),
        ("Day", day.isoformat()),
        ("What went wrong", happened),
        ("What was done", action),
        ("Decided by", names.get(by, by)),
    )
    return Proposal(
        lines, lambda signed: observations.correct(signed, batch, happened, action, day=day, decided_by=by)
    )


def earlier_form(hand: Hand, _ask: Mapping[str, Any]) -> Form:
    """Return the form for a decision from before this kit was in use, from a signed paper."""
    crew = [(one.name, one.person) for one in staff.members(hand.records) if "apprentice" in one.roles]
    if not crew:
        raise BadData("the crew", "nobody is an apprentice here yet", "somebody taken on first")
    criteria = [(f"{step_title(c.step)}: {c.text} ({c.id})", c.id) for c in hand.catalogue.criteria.values()]
    fields = (
        Field("person", "Apprentice", "pick", tuple(crew), crew[0][1]),
        Field("criterion", "What was decided “competent”", "pick", tuple(criteria), criteria[0][1]),
        Field("day", "The day on the paper", "date", value=None),
        Field("who", "Who decided then", "text"),
        Field("paper", "Where the paper is kept", "text"),
        Field("reason", "Why it still holds", "long"),
    )
    return Form("earlier", "An earlier decision", (), fields, "")


def propose_earlier(hand: Hand, _form: Form, values: Mapping[str, Any]) -> Proposal:
    """Say which earlier decision will be brought in. It always wants a second signature."""
    person, criterion, day = values["person"], values["criterion"], day_of(values["day"])
    told = {name: values[name].strip() for name in ("who", "paper", "reason")}
    deciding.check_reason(told["reason"])
    if not told["who"] or not told["paper"]:
        raise BadData("the paper", "it must say who decided and where it is kept")
    lines = (
        ("Apprentice", staff.find(hand.records, person).name),
        ("Criterion", f"{criterion} {hand.catalogue.criteria[criterion].text}"),
        ("Decided", f"competent, on {day.isoformat()}, by {told['who']}"),
        ("Paper", told["paper"]),
        ("Still holds", told["reason"]),
        ("Second signature", "wanted, always"),
    )
    return Proposal(lines, lambda signed: deciding.bring_in(signed, person, criterion, day=day, **told))


def table_form(_hand: Hand, _ask: Mapping[str, Any]) -> Form:
    """Return the form that brings in a whole crew from a table."""
    fields = (
        Field("table", "The table, as text split by comma, semicolon or tab", "file", value=".csv,.tsv,.txt"),
        Field("same", "Somebody who bears a known name is another person", "tick", value=False),
    )
    return Form("table", "Bring in a table of people", (), fields, "")


def propose_table(hand: Hand, _form: Form, values: Mapping[str, Any]) -> Proposal:
    """Check the whole table: all its faults at once, or what will be recorded."""
    shot, same = whole_file(values["table"], "the table"), bool(values["same"])
    crew = read_crew_table(shot.data, shot.name)
    faults = bring_in_file.check(bring_in_file.as_if_signed(hand), crew, same_name=same)
    if faults:
        told = [f"- {f'Line {one.line}: ' if one.line else ''}{one.says}" for one in faults[:FAULTS_SHOWN]]
        more = f"\n\nAnd {len(faults) - FAULTS_SHOWN} more." if len(faults) > FAULTS_SHOWN else ""
        raise KitError(f"{shot.name} has {len(faults)} faults.\n\n" + "\n".join(told) + f"{more}\n\n")
    lines = (("File", shot.name), *_who_comes(crew), ("Earlier decisions", str(crew.decisions)))

    def record(signed: Hand) -> Done:
        done = bring_in_file.bring_in(signed, crew, same_name=same)
        says = f"{done.enrolled} roles given, {done.decisions} earlier decisions brought in."
        return Done((last_act(signed),), says)

    return Proposal(lines, record)


def _who_comes(crew: CrewTable) -> list[tuple[str, str]]:
    roles: dict[str, list[str]] = {}
    for one in crew.people:
        roles.setdefault(one.role, []).append(one.name)
    return [(role.capitalize(), f"{len(names)}: {', '.join(names)}") for role, names in roles.items()]


def backup_form(hand: Hand, _ask: Mapping[str, Any]) -> Form:
    """Return the form that writes everything to one file."""
    last = health(hand.records.path).file
    folder = str(Path(last).parent) if last else str(hand.records.path.parent / "backups")
    fields = (Field("folder", "Folder; best on another disk", "text", value=folder),)
    return Form("backup", "Make a backup", (), fields, "", signed=staff.trust_is_signed(hand.records))


def propose_backup(hand: Hand, _form: Form, values: Mapping[str, Any]) -> Proposal:
    """Say where the backup will be written."""
    typed = values["folder"].strip()
    if not typed:
        raise BadData("the folder", "nothing is typed", "a folder on this machine")
    moment = hand.clock()
    file = Path(typed).expanduser() / f"records-{moment.astimezone():%Y-%m-%d-%H%M%S}.backup"

    def record(signed: Hand) -> Done:
        make_private_folder(file.parent)
        made = backup(signed.records, file, now=moment, by=signed if signed.key is not None else None)
        note_made(signed.records.path, made)
        wrong = "".join(f" Problem: {one}." for one in made.problems)
        return Done((), f"Written to {made.path}: {made.head.number} acts, {made.files} files.{wrong}")

    return Proposal((("File", str(file)), ("Holds", "records and evidence; no signing key")), record)


def trial_form(hand: Hand, _ask: Mapping[str, Any]) -> Form:
    """Return the form that puts a backup back as a trial."""
    fields = (Field("file", "The backup", "text", value=health(hand.records.path).file),)
    return Form("trial", "Try a backup", (), fields, "", signed=False)


def propose_trial(_hand: Hand, _form: Form, values: Mapping[str, Any]) -> Proposal:
    """Say which backup will be tried; the records here stay as they are."""
    file = Path(values["file"].strip()).expanduser()
    if not values["file"].strip() or not file.is_file():
        raise BadData(
            "the backup", f"there is no file at {values['file'].strip()!r}", "the whole path of one"
        )

    def record(signed: Hand) -> Done:
        told = try_restore(signed.records.path, file, signed.clock())
        return Done((), f"It was put back whole in a throw-away folder: {told.head.number} acts.")

    lines = (("Backup", str(file)), ("Put back", "in a throw-away folder; the records here stay as they are"))
    return Proposal(lines, record)


def paper_form(hand: Hand, ask: Mapping[str, Any]) -> Form:
    """Return the form that writes a paper or a table to take along."""
    people = [("everybody", NOBODY), *((one.name, one.person) for one in staff.members(hand.records))]
    steps = dict.fromkeys(c.step for c in hand.catalogue.criteria.values())
    kinds = tuple((says, kind) for kind, (says, _, _) in _PAPERS.items())
    fields = (
        Field("paper", "What", "pick", kinds, str(ask.get("paper", "inspector"))),
        Field("person", "About whom", "pick", tuple(people), NOBODY),
        Field("step", "Step (for a sheet)", "pick", tuple((step_title(one), one) for one in steps), "cook"),
    )
    return Form("paper", "A paper or a table", (), fields, "", signed=False)


def propose_paper(hand: Hand, _form: Form, values: Mapping[str, Any]) -> Proposal:
    """Say what will be written."""
    says, ending, make = _PAPERS[values["paper"]]
    person, step = values["person"] or None, values["step"]
    if values["paper"] in ("summary", "own") and person is None:
        raise BadData("about whom", "nobody is chosen", "one person: this paper is about one")
    name = staff.find(hand.records, person).name if person else "everybody"
    about = step_title(step) if values["paper"] == "sheet" else name
    file = f"{values['paper']}-{hand.today().isoformat()}{ending}"
    lines = (("What", says), ("About", about), ("File", file))
    return Proposal(lines, lambda signed: Done((), f"{says}: ready.", (file, make(signed, person, step))))


NUMBER_TO_GIVE = (
    f"Give them `{FILE}`, the kitchen's new number: it belongs beside their book. Until then their days of "
    "practice count as the day on which you take the book in."
)


def books_form(_hand: Hand, _ask: Mapping[str, Any]) -> Form:
    """Return the form that takes answer books in."""
    waiting = sorted(places.handed_in_folder().glob("*.book"))
    fields = (
        Field("book", "A book that somebody brought", "file", value=".book"),
        Field("here", f"All books handed in on this machine ({len(waiting)})", "tick", value=bool(waiting)),
    )
    return Form("books", "Take answer books in", (), fields, "", signed=False)


def propose_books(_hand: Hand, _form: Form, values: Mapping[str, Any]) -> Proposal:
    """Say which books will be marked again and taken in."""
    shot = whole_file(values["book"], "the book") if values["book"] is not None else None
    here = sorted(places.handed_in_folder().glob("*.book")) if values["here"] else []
    if shot is None and not here:
        raise BadData("the books", "none is chosen", "a file, or the tick where some were handed in")
    names = [*([shot.name] if shot else []), *(file.name for file in here)]

    def record(signed: Hand) -> Done:
        found, file = take_in_at_desk(signed, here, shot)
        told = [
            f"- {one.name or one.file}: {one.status}{f', {one.why}' if one.why else ''}"
            for one in found.books
        ]
        told += [f"- {not_left(folder)}" for folder in found.without_number]
        return Done((), "\n".join([*told, *([NUMBER_TO_GIVE] if file else ())]), file)

    return Proposal((("Books", ", ".join(names)), ("Then", "every answer is marked again")), record)


def take_in_at_desk(
    signed: Hand, here: list[Path], shot: Any, **options: Any
) -> tuple[TakingIn, tuple[str, bytes] | None]:
    """Take in books of this machine and one that came from the page.

    Returns
    -------
    tuple
        What came of them; and the file of the kitchen's new number for who brought a book, if there is one.
    """
    with TemporaryDirectory() as scratch:
        files = list(here)
        if shot is not None:
            files.append(Path(scratch) / shot.name)
            files[-1].write_bytes(shot.data)
        found = take_in(signed.records, files, now=signed.clock(), **options)
        number = Path(scratch) / FILE
        return found, (FILE, number.read_bytes()) if number.exists() else None


def whole_file(shot: Any, what: str) -> Any:
    """Return a file that came from the page, if there is one and all of it came."""
    if shot is None:
        raise BadData(what, "none is chosen", "a file of this machine")
    if not shot.whole:
        raise BadData(what, "it is still being read", "a moment's patience, then try again")
    return shot


def _sheet(_hand: Hand, person: str | None, step: str) -> bytes:
    name = None if person is None else staff.find(_hand.records, person).name
    return reports.observation_sheet(step, "pdf", name, joined())


_Make = Callable[[Hand, str | None, str], bytes]
_PAPERS: dict[str, tuple[str, str, _Make]] = {
    "inspector": ("The inspector's file", ".pdf", lambda h, who, _: reports.inspector_file(h.records, who)),
    "sheet": ("An observation sheet to print", ".pdf", _sheet),
    "wall": ("The wall chart of people and steps", ".pdf", lambda h, _who, _: reports.wall_chart(h.records)),
    "tables": (
        "All tables, for a spreadsheet",
        ".xlsx",
        lambda h, who, _: reports.as_workbook(h.records, who),
    ),
    "decisions": (
        "The decisions as a table",
        ".csv",
        lambda h, who, _: reports.decisions_csv(h.records, who).encode("utf-8-sig"),
    ),
    "summary": (
        "One person's criteria in steady rows",
        ".csv",
        lambda h, who, _: reports.person_summary(h.records, str(who)).encode("utf-8-sig"),
    ),
    "own": (
        "All that is held about one person",
        ".zip",
        lambda h, who, _: reports.own_record(h.records, str(who)),
    ),
    "template": (
        "An empty table of people to fill in",
        ".csv",
        lambda _h, _who, _: template().encode("utf-8-sig"),
    ),
}
"""What can be written: in words, its ending, and the call that makes it."""
