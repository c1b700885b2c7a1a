"""The form of the first day: from no records to a kitchen with its people, in one go. No widgets here."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from kit.basics import places
from kit.basics.errors import BadData
from kit.basics.typed_names import fold
from kit.files import joined_kitchen, signing
from kit.files.kitchen_file import KeyHolder, make_kitchen, write_kitchen
from kit.files.signing import Signer
from kit.records.people import staff
from kit.records.people.staff import Hand
from kit.records.storage.store import open_records
from kit.rules import DEFAULT, PROFILES, load
from kit.views.tutor.form import Done, Field, Form, Proposal, day_of
from kit.views.tutor.form_people import LOCK_IT_AWAY, made_key, new_password

MOST_NAMES = 60


def first_day_form(hand: Hand, _ask: Mapping[str, Any]) -> Form:
    """Return the form that begins the records."""
    rules = tuple((load(name).title, name) for name in PROFILES)
    fields = (
        Field("kitchen", "The kitchen's name", "text"),
        Field("rules", "Whose rules it follows", "pick", rules, DEFAULT),
        Field("name", "Your name: you are the manager", "text"),
        Field("new", "A password for your key: 12 characters, or 3 words", "secret"),
        Field("again", "The password once more", "secret"),
        Field("tutor", "I am a tutor too: I see the work and decide", "tick", value=True),
        Field("fit", "What makes you fit to assess: a course, a trade, a paper (for a tutor)", "text"),
        Field("until", "Last day on which that holds (for a tutor)", "date", value=None),
        Field("crew", "Who is learning here: one name a line", "long"),
        Field("started", "The day they began", "date", value=hand.today()),
    )
    return Form("first day", "The first day", (), fields, "", signed=False)


def propose_first_day(_hand: Hand, _form: Form, values: Mapping[str, Any]) -> Proposal:
    """Say what will be begun; nothing is made yet."""
    name, kitchen = " ".join(values["name"].split()), " ".join(values["kitchen"].split())
    for label, typed in (("the kitchen's name", kitchen), ("your name", name)):
        if not typed:
            raise BadData(label, "nothing is typed", "a name")
    password = new_password(values["new"], values["again"])
    crew = _names(values["crew"], name)
    fit = values["fit"].strip() if values["tutor"] else ""
    until = day_of(values["until"]) if fit else None
    lines = (
        ("Kitchen", f"{kitchen}, under the rules of {load(values['rules']).title}"),
        ("Manager", f"{name}{', tutor too' if values['tutor'] else ''}"),
        (
            "Fit to assess",
            f"{fit}, until {until}" if until else "not on file yet: nothing can be decided until it is",
        ),
        ("Learning here", f"{len(crew)}: {', '.join(crew)}" if crew else "nobody yet"),
        ("Your key", "made now, kept on this machine under your password"),
    )

    def record(signed: Hand) -> Done:
        records = open_records(make=True)
        staff.check_no_manager(records)
        sealed, code = made_key(password)
        key = signing.unseal_key(sealed, password)
        began = staff.begin(records, name, signed.clock, key)
        hand = replace(began, catalogue=signed.catalogue)
        if values["tutor"]:
            staff.take_on(hand, "tutor", person=hand.person)
        if until is not None:
            staff.note_assessor(hand, hand.person, fit, hand.today(), until)
        for one in crew:
            staff.take_on(hand, "apprentice", name=one, started=values["started"])
        file = _kitchen_file(kitchen, values["rules"], name, key)
        records.close()
        says = f"The records are begun, with {len(crew)} learning here. The kitchen's file is {file}: "
        says += "each apprentice's machine brings it in. **Reload this page** to begin work."
        return Done((), f"{says}\n\n{LOCK_IT_AWAY.format(code=code)}")

    return Proposal(lines, record)


def _names(typed: str, manager: str) -> list[str]:
    """Return the names, each once; somebody named twice is refused, for nobody could tell the two apart."""
    names = [" ".join(line.split()) for line in typed.splitlines() if line.strip()]
    seen: set[str] = {fold(manager)}
    for name in names:
        if fold(name) in seen:
            raise BadData(repr(name), "this name stands here twice", "each person once, with the family name")
        seen.add(fold(name))
    if len(names) > MOST_NAMES:
        raise BadData("the crew", f"{len(names)} names", f"up to {MOST_NAMES}; more from a table, later")
    return names


def _kitchen_file(kitchen: str, profile: str, name: str, key: Signer) -> str:
    """Make the kitchen's signed file beside the records and join it here; return where it is."""
    holders = [KeyHolder("tutor", name, key.public)]
    made = make_kitchen(kitchen, profile=profile, keys=holders, signer=key)
    file = places.tutor_folder() / "kitchen.toml"
    if not file.exists():
        write_kitchen(file, made)
    joined_kitchen.remember(made)
    joined_kitchen.join(file)
    return str(file)
