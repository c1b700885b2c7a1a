"""The check of all records: the chain, and every row of every table held against it.

Whatever a digest in the chain seals is worked out again, and what follows from something else is worked out
from it. What neither seals nor follows is said to be not checked.
"""

from collections import Counter, defaultdict
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from sqlalchemy import Connection, Engine, exists, select

from kit.basics.quantities import count_of
from kit.basics.side_work import SideWork, side_work
from kit.exercises.catalogue import Catalogue
from kit.records.competence.assess import at_one_go
from kit.records.competence.evidence_replay import evidence_replayed
from kit.records.competence.standings import standing_rows, tries_on_file
from kit.records.ledger import acts, projection, seals
from kit.records.ledger.acts import Act
from kit.records.ledger.projection import ChainReport
from kit.records.people.named_acts import marks_in
from kit.records.people.replay import replayed
from kit.records.storage import schema
from kit.records.storage.migrate import bring_up_to_date, changes, make_all
from kit.records.storage.postgres import is_server
from kit.records.storage.server_objects import server_objects
from kit.records.storage.store import Records, engine_for

_LOT = 100
_OLD = "from before such rows were sealed"


def check_all(records: Records, catalogue: Catalogue | None = None, processes: int = 1) -> ChainReport:
    """Check the chain, then every table, row and column against it.

    Parameters
    ----------
    records : Records
        The open records.
    catalogue : Catalogue, optional
        What works standings out. Default: the kit's own.
    processes : int
        How many may check at once. From 1; small records never need more than 1. [processes]

    Returns
    -------
    ChainReport
        Nothing is raised for what is wrong in the records.
    """
    told: list[Act] = []
    with side_work(processes) as side, at_one_go():
        chain = projection.check_chain(records, told=told, side=side)
        problems, open_points = list(chain.problems), []
        if not problems:
            with records.reading() as connection:
                for found, not_checked in _parts(connection, told, catalogue or Catalogue(), side):
                    problems += found
                    open_points += not_checked
    return ChainReport(chain.acts, chain.head, tuple(problems), tuple(open_points))


Found = tuple[list[str], list[str]]


def _parts(connection: Connection, told: list[Act], catalogue: Catalogue, side: SideWork) -> Iterator[Found]:
    try:
        standings = _standings_asked(connection, catalogue, side)
        yield structure(connection), []
        yield _links(connection), []
        yield replayed(told)
        yield evidence_replayed(connection, told, catalogue)
        yield _takings(connection, told)
        yield _people(connection, told)
        yield _words(connection, told), []
        yield _files(connection, told)
        yield _upgrades(connection, told)
        yield _rulings(connection, told), []
        yield _standings(connection, told, catalogue, standings)
    except (KeyError, TypeError, ValueError, AttributeError) as error:
        yield [f"a row cannot be read ({type(error).__name__}): it was changed"], []


def structure(connection: Connection) -> list[str]:
    """Compare tables, indexes, triggers and views with those that this kit makes."""
    if is_server(connection):
        ours, theirs = _made_on_server(connection.engine), dict(server_objects(connection))
    else:
        ours, theirs = _made_by_us(), dict(_objects(connection))
    faults = [f"{name} is not as this kit makes it" for name, sql in theirs.items() if ours.get(name) != sql]
    return faults + [f"{name} is missing" for name in ours if name not in theirs]


def _objects(connection: Connection) -> Iterator[tuple[str, str]]:
    rows = connection.exec_driver_sql(
        "SELECT type, name, sql FROM sqlite_master WHERE sql IS NOT NULL ORDER BY type, name"
    )
    for kind, name, sql in rows:
        yield f"the {kind} {name}", " ".join(str(sql).replace('"', "").split())
    for (change,) in connection.exec_driver_sql("SELECT version_num FROM alembic_version"):
        yield "the number of the last change", str(change)


@cache
def _made_by_us() -> dict[str, str]:
    with TemporaryDirectory() as folder:
        engine = engine_for(Path(folder) / "new.db")
        bring_up_to_date(engine)
        with engine.connect() as connection:
            made = dict(_objects(connection))
        engine.dispose()
    return made


@cache
def _made_on_server(engine: Engine) -> dict[str, str]:
    """Return what the kit makes on this server, made in a place of its own that is thrown away."""
    with engine.connect() as connection:
        connection.exec_driver_sql("SET LOCAL search_path = pg_temp")
        make_all(connection)
        made = dict(server_objects(connection))
        connection.rollback()
    return made


def _links(connection: Connection) -> list[str]:
    """Name rows that point to nothing."""
    if is_server(connection):
        return list(_loose_rows(connection))
    rows = connection.exec_driver_sql("PRAGMA foreign_key_check").all()
    return [f"row {row[1]} of the table {row[0]!r} belongs to nothing" for row in rows]


def _loose_rows(connection: Connection) -> Iterator[str]:
    """Yield rows whose links are broken. The server holds them; who owns it can switch that off."""
    for table in schema.metadata.sorted_tables:
        for link in table.foreign_keys:
            other = link.column.table.alias()
            query = select(*table.primary_key.columns).where(
                link.parent.is_not(None), ~exists().where(other.c[link.column.name] == link.parent)
            )
            for row in connection.execute(query):
                yield f"row {row[0]} of the table {table.name!r} belongs to nothing"


def _takings(connection: Connection, told: list[Act]) -> Found:
    """Hold every taking's lines, marks, first tries and flags against its act."""
    people, takings = schema.people.c, schema.takings.c
    rows = connection.execute(
        select(takings.key, people.person_id).join_from(
            schema.takings, schema.people, people.key == takings.person
        )
    )
    owners: dict[int, str] = dict(rows.all())
    sealed = {act.facts["taking"]: act for act in told if act.kind == acts.TAKEN_IN}
    salts = _salts(connection, sealed)
    now = seals.digests(connection, salts)
    gone = _erased(told)
    faults = [f"the taking of act {sealed[key].number} is missing" for key in sealed.keys() - owners.keys()]
    for key, act in sealed.items():
        if key not in owners:
            continue
        place = f"the book taken in by act {act.number}"
        if owners[key] != act.person:
            faults.append(f"{place} now belongs to somebody else")
        if now[key]["open"] != act.facts["open"]:
            faults.append(f"{place}: a line, a mark, a first try or a flag was changed, added or taken out")
        if act.person not in gone and now[key]["closed"] != act.facts["closed"]:
            faults.append(f"{place}: the words of a line or of a flag were changed, or its file's name")
    old = owners.keys() - sealed.keys()
    newest_old, first = max(old, default=0), min(sealed, default=None)
    if first is not None and newest_old > first:
        faults.append("a taking was added that no act speaks of")
    return faults, [f"{count_of(len(old), 'taking')} of books {_OLD}"] if old else []


def _salts(connection: Connection, sealed: dict[int, Act]) -> dict[int, str]:
    words = schema.words.c
    kept = dict(connection.execute(select(words.mark, words.text)).all())
    return {key: kept.get(act.facts["salt"], "") for key, act in sealed.items()}


def _erased(told: list[Act]) -> set[str | None]:
    return {act.person for act in told if act.kind == "erased"}


def _people(connection: Connection, told: list[Act]) -> Found:
    """Hold who is on file, since when, and under which names against the acts that say so."""
    words, people = schema.words.c, schema.people.c
    texts = dict(connection.execute(select(words.mark, words.text)).all())
    since: dict[str, list[Any]] = {}
    called: dict[str, list[str]] = defaultdict(list)
    for act in told:
        if act.person and "names" in act.facts:
            since.setdefault(act.person, act.facts["since"])
            called[act.person] += [texts[mark] for mark in act.facts["names"] if mark in texts]
    gone, names, faults, old = _erased(told), seals.names_of(connection), [], 0
    known = {act.person for act in told}
    rows = connection.execute(select(people.key, people.person_id, people.first_taken_at)).all()
    books = set(connection.scalars(select(schema.takings.c.person)))
    for key, person, at in rows:
        if person in gone:
            faults += [f"{person} was erased, and has a name again"] if person in names else []
        elif person not in since:
            old += 1
            if person not in known and key not in books:
                faults.append(f"{person} is on file, and no act or book speaks of them")
        elif names.get(person, []) != called[person]:
            faults.append(f"the name of {person} was changed, added or taken out")
        if person in since and since[person] != [key, at.isoformat()]:
            faults.append(f"the row of {person}, or since when they are on file, was changed")
    here = {person for _, person, _ in rows}
    faults += [f"{person} was taken out" for person in sorted(since.keys() - here)]
    used = set(connection.scalars(select(schema.entries.c.exercise).distinct()))
    exercises = schema.exercises.c
    spare = [one for one in connection.scalars(select(exercises.key)) if one not in used]
    faults += [f"exercise {one} was added: no line answers it" for one in spare]
    return faults, [f"the names of {count_of(old, 'person')} {_OLD}"] if old else []


def _words(connection: Connection, told: list[Act]) -> list[str]:
    """Name texts that no act refers to, that are about somebody else, or that are gone without an erasure."""
    gone = _erased(told)
    owners: dict[str, str] = {}
    needed: dict[str, int] = {}
    for act in told:
        of_the_fish = act.kind in ("corrected", "erased") or act.person is None
        owner = act.by if of_the_fish else str(act.person)
        for mark in _marks(act.facts):
            owners[mark] = owner
            if of_the_fish or owner not in gone:
                needed.setdefault(mark, act.number)
    words = schema.words.c
    kept = {row.mark: row.person for row in connection.execute(select(words.mark, words.person))}
    faults = [f"words under the mark {mark[:12]} belong to no act" for mark in kept if mark not in owners]
    faults += [
        f"words under the mark {mark[:12]} were given to somebody else"
        for mark, person in kept.items()
        if owners.get(mark, person) != person
    ]
    return faults + [
        f"the words of act {number} are gone" for mark, number in needed.items() if mark not in kept
    ]


def _marks(facts: Any) -> Iterator[str]:
    """Yield every mark of words in the facts of an act, those of its seal too."""
    yield from filter(None, marks_in(facts))
    yield from (facts["salt"], *facts["names"]) if "salt" in facts else facts.get("names", ())


def _files(connection: Connection, told: list[Act]) -> Found:
    """Hold what is noted of kept files against the acts that attached and erased them."""
    attached: dict[str, list[Any]] = defaultdict(list)
    erased: dict[str, list[Any]] = defaultdict(list)
    for act in told:
        if act.kind == "attached":
            for sha in act.facts["files"]:
                attached[sha].append(act.facts.get("kept"))
        if act.kind == "erased":
            for sha in act.facts["files"]:
                erased[sha].append(act.facts.get("files_at"))
    faults, old = [], 0
    rows = {row.sha256: row for row in connection.execute(select(schema.files))}
    faults += [f"the note of the file {sha[:12]} is missing" for sha in attached.keys() - rows.keys()]
    for sha, row in rows.items():
        noted = [row.media_type, row.size, row.kept_at.isoformat()]
        if sha not in attached:
            faults.append(f"the file {sha[:12]} is noted, and no act attached it")
        elif noted not in attached[sha]:
            old += None in attached[sha]
            faults += [] if None in attached[sha] else [f"the note of the file {sha[:12]} was changed"]
        at = None if row.erased_at is None else row.erased_at.isoformat()
        if at is not None and not any(one in (None, at) for one in erased[sha]):
            faults.append(f"the file {sha[:12]} is noted as erased, and no act says so")
        if at is None and erased[sha] and attached[sha][-1] != noted:
            faults.append(f"the file {sha[:12]} was erased, and is noted as kept")
    return faults, [f"type and size of {count_of(old, 'file')} {_OLD}"] if old else []


def _upgrades(connection: Connection, told: list[Act]) -> Found:
    """Hold the notes of upgrades against the numbered changes and the last act that sealed them."""
    done = list(connection.scalars(select(schema.upgrades.c.change).order_by(schema.upgrades.c.change)))
    known = [change.revision for change in changes()]
    if done != known:
        return ["the notes of upgrades are not those of this kit"], []
    sealed = [act.facts["upgrades"] for act in told if "upgrades" in act.facts]
    if not sealed:
        return [], [f"when the tables were upgraded: {_OLD}"]
    if sealed[-1][0] != known[-1]:
        return [], ["when the tables were last upgraded: nothing was sealed since"]
    same = sealed[-1] == seals.upgrades_digest(connection)
    return ([] if same else ["the notes of upgrades were changed"]), []


def _rulings(connection: Connection, told: list[Act]) -> list[str]:
    """Name first tries that count otherwise than they were marked, if no tutor ruled so."""
    tries, marks, entries = schema.first_tries.c, schema.marks.c, schema.entries.c
    rows = connection.execute(
        select(tries.entry, tries.right, marks.verdict, entries.fingerprint, entries.person, entries.position)
        .join_from(schema.first_tries, schema.marks, marks.entry == tries.entry)
        .join(schema.entries, entries.key == tries.entry)
        .where(tries.right != (marks.verdict == "right"))
    ).all()
    if not rows:
        return []
    ruled = {
        act.facts["entry"]
        for act in told
        if act.kind == "looked at" and act.facts.get("outcome") == "mark was wrong"
    }
    disputes = connection.execute(
        select(entries.person, entries.fingerprint, entries.position).where(entries.hash.in_(ruled))
    ).all()
    right = {(row.person, row.fingerprint): row.position for row in disputes}
    return [
        f"the first try on line {row.position + 1} of a book counts otherwise than it was marked"
        for row in rows
        if not row.right or right.get((row.person, row.fingerprint), -1) < row.position
    ]


Worked = Callable[[], list[dict[str, Any]]]


def _standings_asked(connection: Connection, catalogue: Catalogue, side: SideWork) -> list[Worked]:
    """Have the standings of everybody worked out on the side."""
    people = list(connection.scalars(select(schema.people.c.key)))
    tries = tries_on_file(connection, people)
    if type(catalogue) is not Catalogue or len(people) <= _LOT:  # one of somebody's own may not travel
        side = SideWork()
    lots = [people[start : start + _LOT] for start in range(0, len(people), _LOT)]
    return [
        side.give(standing_rows, {one: tries[one] for one in lot if one in tries}, catalogue) for lot in lots
    ]


def _standings(connection: Connection, told: list[Act], catalogue: Catalogue, worked: list[Worked]) -> Found:
    """Work every standing out again, and compare."""
    basis = schema.basis.c
    kept_on = dict(connection.execute(select(basis.name, basis.value)).all())
    if not kept_on and not connection.scalar(select(schema.standings.c.person).limit(1)):
        return [], []
    sealed = [act.facts["basis"] for act in told if act.facts.get("basis")]
    if set(kept_on) != {"standings"} or kept_on["standings"] not in (catalogue.basis, *sealed[-1:]):
        return ["the basis of the standings was changed"], []
    if kept_on["standings"] != catalogue.basis:
        return [], ["standings: they rest on another kit, and are worked out again at the next taking in"]
    kept = {(row.person, row.criterion): tuple(row) for row in connection.execute(select(schema.standings))}
    order = schema.standings.c.keys()
    fresh = {
        (row["person"], row["criterion"]): tuple(row[name] for name in order)
        for rows in reversed(worked)
        for row in rows()
    }
    names = dict(connection.execute(select(schema.people.c.key, schema.people.c.person_id)).all())
    wrong = Counter(key[0] for key in kept.keys() | fresh.keys() if kept.get(key) != fresh.get(key))
    return [
        f"{count_of(number, 'standing')} of {names.get(person, person)} "
        f"{'does' if number == 1 else 'do'} not follow from the book"
        for person, number in wrong.items()
    ], []
