"""The manager's desk: people, roles, keys, fitness, backups, papers, bringing in. Blocks, no widgets."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from kit.basics.typed_names import fold as folded
from kit.records.ledger import acts
from kit.records.ledger.joins import joined_ids
from kit.records.people import keys, staff
from kit.records.people.named_acts import Told, day_words, tell_acts
from kit.records.people.staff import Hand, Member
from kit.records.reports.board_page import long_day
from kit.records.upkeep.backup_health import BackupHealth, health
from kit.views.tutor.forms import may
from kit.views.tutor.pages import Block, button, buttons, facts, fold, say, table, title, words

AT_ONCE, LATELY, SOON_DAYS = 20, 12, 60
AT_THE_DESK = frozenset({"tutor", "verifier", "manager"})


@dataclass(frozen=True)
class House:
    """What the manager's desk shows: who is on file, what they hold, what waits, and how well it is saved."""

    people: tuple[Member, ...]
    keys: Mapping[str, str]
    fit: Mapping[str, date | None]
    joined: Mapping[str, str]
    waiting: tuple[tuple[int, str, str], ...]
    saved: BackupHealth
    now: datetime
    corrected: tuple[Told, ...]
    earlier: tuple[Told, ...]
    certified: frozenset[str]


def house_of(hand: Hand) -> House:
    """Read what the manager's desk shows."""
    people = staff.members(hand.records)
    desk = [one.person for one in people if AT_THE_DESK & set(one.ever)]
    names = {one.person: one.name for one in people}
    with hand.records.reading() as connection:
        held = keys.keys_on_file(connection)
        fit = {person: staff.assessor_until(connection, person) for person in desk}
        joined = joined_ids(connection)
        added = {act.facts.get("proposed") for act in acts.read(connection, kind="key added")}
        waiting = tuple(
            (act.number, names.get(str(act.person), ""), str(act.facts.get("key_id")))
            for act in acts.read(connection, kind="key proposed")
            if act.number not in added and str(act.person) not in held
        )
        corrected = tell_acts(connection, kinds={"corrected"})[-LATELY:]
        earlier = tell_acts(connection, kinds={"brought in"})[-LATELY:]
        given = frozenset(str(act.person) for act in acts.read(connection, kind="certificate given"))
    saved = health(hand.records.path)
    people = tuple(one for one in people if one.person not in joined)
    told = tuple(corrected), tuple(earlier), given
    return House(people, held, fit, joined, waiting, saved, hand.clock(), *told)


def manager_blocks(house: House, roles: frozenset[str], search: str = "", chosen: str = "") -> list[Block]:
    """Return the manager's desk; with ``chosen`` the one person whose buttons are shown."""
    if not roles & AT_THE_DESK:
        return [words("Nobody is at the desk. Open it with your name to look after the records.", note=True)]
    blocks = [*_person(house, roles, chosen), *_staff(house), *_waiting(house, roles)]
    return [*blocks, *_crew(house, search), *_saved(house, roles), *_rules(roles), *_more(house, roles)]


def _person(house: House, roles: frozenset[str], chosen: str) -> list[Block]:
    member = next((one for one in house.people if one.person == chosen), None)
    if member is None:
        return []
    made = [
        button(says, do="form", form=form, person=member.person)
        for form, says, holds in (*_role_offers(member, house, roles), *_other_offers(member, house, roles))
        if holds
    ]
    held = house.keys.get(member.person, "no key on file")
    rows = [
        ("Roles now", ", ".join(member.roles) or "none"),
        ("Key", held if AT_THE_DESK & set(member.ever) else "needs none"),
        ("Id", " and ".join([member.person, *(o for o, kept in house.joined.items() if kept == chosen)])),
    ]
    close = {**button("Close", do="member", person=""), "key": "close-member"}
    return [title(member.name, "member"), facts(rows), buttons(*made, close)]


_Offers = tuple[tuple[str, str, bool], ...]
"""Forms with the words on their button, and whether there is anything to do with them."""


def _role_offers(member: Member, house: House, roles: frozenset[str]) -> _Offers:
    signs = bool(AT_THE_DESK & set(member.roles))
    keyed, taking = member.person in house.keys, may(roles, "take on")
    return (
        ("take on", "Give a role", taking),
        ("leave", "Leave a role", taking and bool(member.roles)),
        ("return", "Come back", taking and bool(set(member.ever) - set(member.roles))),
        ("retire key", "Retire the key", may(roles, "key") and signs and keyed),
        ("key", "Put a key on file", may(roles, "key") and signs and not keyed),
        ("recover", "A lost password", signs and keyed),
        (
            "fitness",
            "Fit to assess",
            may(roles, "fitness") and bool({"tutor", "verifier"} & set(member.roles)),
        ),
    )


def _other_offers(member: Member, house: House, roles: frozenset[str]) -> _Offers:
    doubled = member.person in house.joined.values()
    learns, certifies = "apprentice" in member.ever, may(roles, "certificate")
    return (
        ("consent", "Agree to certificates", certifies and learns),
        ("certificate", "Give a certificate", certifies and learns),
        ("revoke", "Take a certificate back", certifies and member.person in house.certified),
        ("erase", "Erase", may(roles, "erase") and not member.roles),
        ("part", "Part two ids", may(roles, "join") and doubled),
        ("join", "These two are one", may(roles, "join") and not doubled and "apprentice" in member.roles),
    )


def _staff(house: House) -> list[Block]:
    rows = []
    for one in house.people:
        if not AT_THE_DESK & set(one.ever):
            continue
        rows.append(
            (
                button(
                    one.name,
                    says=f"What can be done about {one.name}",
                    chip=True,
                    do="member",
                    person=one.person,
                ),
                ", ".join(one.roles) or "left",
                house.keys.get(one.person, "none" if one.roles else "–"),
                _fit_words(one, house),
            )
        )
    caption = "Who signs here"
    return [title(caption, level=4), table(caption, ("Who", "Roles", "Key on file", "Fit to assess"), rows)]


def _fit_words(one: Member, house: House) -> str:
    if not {"tutor", "verifier"} & set(one.roles):
        return "–"
    until, today = house.fit.get(one.person), house.now.astimezone().date()
    if until is None:
        return "**not on file: they cannot decide**"
    if until < today:
        return f"**ran out on {long_day(until)}**"
    soon = (until - today).days <= SOON_DAYS
    return f"**until {long_day(until)}, soon over**" if soon else f"until {long_day(until)}"


def _waiting(house: House, roles: frozenset[str]) -> list[Block]:
    rows = []
    for number, name, key_id in house.waiting:
        says = f"Confirm the new key of {name}"
        one = button("Confirm", says=says, chip=True, do="form", form="confirm key", act=number)
        rows.append((name, key_id, f"act {number}", one if may(roles, "confirm key") else "a second person"))
    if not rows:
        return []
    caption = "New keys that wait for a second person"
    return [title(caption, level=4), table(caption, ("Owner", "Key", "Proposed", "Confirm"), rows)]


def _crew(house: House, search: str) -> list[Block]:
    crew = [one for one in house.people if not AT_THE_DESK & set(one.ever)]
    found = [one for one in crew if folded(search) in folded(one.name)] if search.strip() else crew
    chips = [
        button(one.name, says=f"What can be done about {one.name}", chip=True, do="member", person=one.person)
        for one in found[:AT_ONCE]
    ]
    finder: Block = {"kind": "finder", "search": search, "key": "members", "label": "Who else?"}
    blocks = [title(f"The crew: {len(crew)}", level=4), finder, buttons(*chips)]
    if len(found) > len(chips):
        blocks.append(words(f"And {len(found) - len(chips)} more: type part of the name.", note=True))
    elif not found:
        none = "Nobody's name holds that." if search.strip() else "Nobody is learning here yet."
        blocks.append(words(none, note=True))
    return blocks


def _saved(house: House, roles: frozenset[str]) -> list[Block]:
    saved = house.saved
    made = (
        f"{saved.made_at.astimezone():%Y-%m-%d %H:%M}, {saved.file}" if saved.made_at else "never from here"
    )
    tried = f"{saved.tried_at.astimezone():%Y-%m-%d %H:%M}, {saved.tried}" if saved.tried_at else "never"
    wrong = saved.says(house.now)
    return [
        title("Backups", level=4),
        facts([("Last backup", made), ("Last put back as a trial", tried)]),
        *([say(" ".join(wrong), "warn", "saved")] if wrong else []),
        buttons(
            button("Make a backup", do="form", form="backup"),
            button("Try a backup", do="form", form="trial"),
            *([button("Put a backup back", do="form", form="restore")] if may(roles, "restore") else []),
        ),
    ]


def _rules(roles: frozenset[str]) -> list[Block]:
    made = [button("Our own limits", do="form", form="limits")]
    if "tutor" in roles:  # it is a tutor's key that signs it
        made.append(button("The kitchen's file", do="form", form="kitchen file"))
    if may(roles, "clock"):
        made.append(button("The clock is right now", do="form", form="clock"))
    return [title("Rules and machine", level=4), buttons(*made)]


def _more(house: House, roles: frozenset[str]) -> list[Block]:
    offers = (
        ("take on", "Take somebody on"),
        ("table", "Bring in a table of people"),
        ("earlier", "An earlier decision"),
        ("correct", "Corrective action"),
    )
    made = [button(says, do="form", form=form) for form, says in offers if may(roles, form)]
    papers = [button("A paper or a table", do="form", form="paper")]
    papers.append(button("An observation sheet", do="form", form="paper", paper="sheet"))
    books = button("Take answer books in", do="form", form="books")
    if may(roles, "claim"):
        made.append(button("A first book of somebody taken on", do="form", form="claim"))
    return [
        title("Do", level=4),
        buttons(*made, books, *papers),
        *_listed(
            "Corrective actions", house.corrected, _corrected_row, ("Day", "Batch", "What", "Done", "By")
        ),
        *_listed(
            "Earlier decisions",
            house.earlier,
            _earlier_row,
            ("Day", "Criterion", "Decided by", "Paper", "Act"),
        ),
    ]


def _listed(caption: str, told: Sequence[Told], row: object, head: Sequence[str]) -> list[Block]:
    if not told:
        return []
    assert callable(row)
    rows = [row(one) for one in reversed(told)]
    return [fold(f"{caption}: the last {len(rows)}", table(caption, head, rows))]


def _corrected_row(one: Told) -> tuple[str, ...]:
    said = one.facts
    return day_words(one.day), one.batch or "–", str(said.get("happened")), str(said.get("action")), one.by


def _earlier_row(one: Told) -> tuple[str, ...]:
    said = one.facts
    return (
        day_words(one.day),
        one.criterion or "–",
        str(said.get("who")),
        str(said.get("paper")),
        str(one.number),
    )
