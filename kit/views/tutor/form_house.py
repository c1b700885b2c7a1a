"""Forms about the house: limits, kitchen file, a lost password, the clock, a backup put back. No widgets."""

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from kit.basics import places
from kit.basics.errors import BadData
from kit.basics.quantities import count_of
from kit.files import signing
from kit.files.joined_kitchen import join, joined, remember
from kit.files.kitchen_file import (
    KeyHolder,
    Kitchen,
    Limits,
    kitchen_text,
    limits_on_top,
    make_kitchen,
    write_kitchen,
)
from kit.files.signing import Signer
from kit.records.ledger import acts
from kit.records.people import keys, staff
from kit.records.people.staff import Hand
from kit.records.upkeep.backup import restore
from kit.records.upkeep.backup_health import health
from kit.rules import DEFAULT, PROFILES, load, load_house
from kit.rules.house import HouseFile, read_house
from kit.rules.new_house import house_text
from kit.views.tutor.form import Done, Field, Form, Proposal
from kit.views.tutor.form_kitchen import whole_file
from kit.views.tutor.form_people import new_password


def _profiles() -> tuple[tuple[str, str], ...]:
    return tuple((load(name).title, name) for name in PROFILES)


def limits_form(_hand: Hand, _ask: Mapping[str, Any]) -> Form:
    """Return the form that writes a file for the kitchen's own limits, or checks one."""
    fields = (
        Field("rules", "On top of whose rules", "pick", _profiles(), _in_force()),
        Field("name", "What your kitchen calls itself", "text", value="House rules"),
        Field("check", "To check instead: a file that you filled in", "file", value=".toml"),
    )
    return Form("limits", "Our own limits", (), fields, "", signed=False)


def propose_limits(_hand: Hand, _form: Form, values: Mapping[str, Any]) -> Proposal:
    """Say what will be written, or what a file that was filled in says."""
    if values["check"] is not None:
        file = _house_file(values["check"])
        lines = (
            ("File", values["check"].name),
            ("On top of", load(file.house.on).title),
            *_limits_in(file.tighter, file.rule),
        )
        in_order = "The file is in order. Take it into the kitchen's file, so that every machine gets it."
        return Proposal(lines, lambda _signed: Done((), in_order))
    text = house_text(values["rules"], " ".join(values["name"].split()) or "House rules")
    lines = (("File", "house.toml"), ("On top of", load(values["rules"]).title))
    says = "Every limit stands in it as a comment. Set what is tighter here, then check it on this form."
    return Proposal(lines, lambda _signed: Done((), says, ("house.toml", text.encode("utf-8"))))


def kitchen_form(hand: Hand, _ask: Mapping[str, Any]) -> Form:
    """Return the form that signs the kitchen's file, or its next version."""
    before = joined()
    named = ", ".join(f"{one.name} ({one.role})" for one in _holders(hand))
    about = (
        ("Now", f"{before.name}, version {before.version}" if before else "no kitchen file on this machine"),
        ("Keys in it", f"those on file: {named}" if named else "none is on file yet"),
    )
    fields = (
        Field("name", "The kitchen's name", "text", value=before.name if before else ""),
        Field("rules", "Whose rules it follows", "pick", _profiles(), _in_force()),
        Field("house", "Our own limits, if they change: the file that you filled in", "file", value=".toml"),
        Field("here", "This machine works under it from now on", "tick", value=True),
    )
    return Form("kitchen file", "The kitchen's file", about, fields, "")


def propose_kitchen(hand: Hand, _form: Form, values: Mapping[str, Any]) -> Proposal:
    """Say what the kitchen's file will hold."""
    before, holders = joined(), _holders(hand)
    house = None if values["house"] is None else _house_file(values["house"])
    profile, tighter, own = limits_on_top(values["rules"], house, before)
    name = " ".join(values["name"].split())
    if not name:
        raise BadData("the kitchen's name", "nothing is typed", "a name")
    version = 1 if before is None else before.version + 1
    lines = (
        ("Kitchen", f"{name}, version {version}"),
        ("Rules", load(profile).title),
        *_limits_in(tighter, own),
        ("Keys", ", ".join(f"{one.name} ({one.role})" for one in holders) or "none"),
    )

    def record(signed: Hand) -> Done:
        if not isinstance(signed.key, Signer):
            raise BadData("the kitchen's file", "no key is open", "the password of a tutor's key")
        made = make_kitchen(
            name,
            profile=profile,
            keys=holders,
            signer=signed.key,
            tighter=tighter,
            own=own,
            before=before,
            checked=before.checked if before else (),
        )
        _keep(made, values["here"])
        says = "The file is signed. Each apprentice's machine brings it in: `smokehouse join`."
        return Done((), says, ("kitchen.toml", kitchen_text(made).encode("utf-8")))

    return Proposal(lines, record)


def recover_form(hand: Hand, ask: Mapping[str, Any]) -> Form:
    """Return the form that mends a lost password with the printed code."""
    with hand.records.reading() as connection:
        held, names = keys.keys_on_file(connection), staff.all_names(connection)
    here = {file.stem for file in places.keys_folder().glob("*.json")}
    whose = tuple((names[person], key) for person, key in held.items() if key in here)
    person = str(ask.get("person", "")) or hand.person
    fields = (
        Field("key", "Whose key", "pick", whose, held.get(person, "")),
        Field("code", "The recovery code that was printed", "text"),
        Field("new", "A new password: 12 characters, or 3 words", "secret"),
        Field("again", "The new password once more", "secret"),
    )
    return Form("recover", "A lost password", (), fields, "", signed=False)


def propose_recover(_hand: Hand, _form: Form, values: Mapping[str, Any]) -> Proposal:
    """Try the code; the password changes once it is confirmed."""
    if not values["key"]:
        raise BadData("whose key", "no key that is on file lies on this machine", "its owner's machine")
    file = places.keys_folder() / f"{values['key']}.json"
    password = new_password(values["new"], values["again"])
    mended = signing.reset_password(signing.read_key(file), values["code"].strip(), password)

    def record(_signed: Hand) -> Done:
        signing.write_key(file, mended)
        return Done((), f"The key {values['key']} has a new password. The recovery code stays as it is.")

    return Proposal((("Key", values["key"]), ("Recovery code", "it fits")), record)


def clock_form(hand: Hand, _ask: Mapping[str, Any]) -> Form:
    """Return the form by which a manager says that the clock is right."""
    about = (("This machine says", f"{hand.clock().astimezone():%Y-%m-%d %H:%M}"),)
    fields = (Field("reason", "How the clock came to be wrong before", "long"),)
    return Form("clock", "The clock is right now", about, fields, "")


def propose_clock(_hand: Hand, form: Form, values: Mapping[str, Any]) -> Proposal:
    """Say that later acts go on from this time."""
    lines = (*form.about, ("Then", "what is recorded from here on counts from this time"))
    return Proposal(lines, lambda signed: staff.correct_clock(signed, values["reason"]))


def restore_form(hand: Hand, _ask: Mapping[str, Any]) -> Form:
    """Return the form that puts a backup in the place of these records."""
    with hand.records.reading() as connection:
        head = acts.head(connection)
    about = (
        ("Here now", f"{count_of(head.number, 'act')}, ending in {head.short}"),
        ("They will be", "set aside in a folder beside, never deleted"),
    )
    fields = (
        Field("file", "The backup", "text", value=health(hand.records.path).file),
        Field("paper", "The key on your paper, if you have it there", "text"),
        Field("why", "Only where nobody signed it: why this one all the same", "long"),
        Field("closed", "No other desk has these records open", "tick", value=False),
    )
    return Form("restore", "Put a backup back", about, fields, "")


def propose_restore(_hand: Hand, form: Form, values: Mapping[str, Any]) -> Proposal:
    """Say what will be put in the place of what."""
    file = Path(values["file"].strip()).expanduser()
    if not values["file"].strip() or not file.is_file():
        raise BadData("the backup", f"there is no file at {values['file'].strip()!r}", "the path of one")
    if not values["closed"]:
        raise BadData("other desks", "one may have these records open", "all closed, then the tick")

    def record(signed: Hand) -> Done:
        signed.records.close()  # it opens again by itself, on what was put back
        done = restore(
            file,
            signed.records.path,
            replace=True,
            by=lambda records: replace(signed, records=records),
            unsigned=values["why"],
            signed_by=values["paper"],
        )
        says = f"The records are those of the backup again. What was here lies in {done.aside}."
        back = f" {count_of(len(done.back), 'person')} had been erased and are back: erase again."
        return Done((done.act,) if done.act else (), says + (back if done.back else ""))

    return Proposal((("Backup", str(file)), *form.about), record)


def _in_force() -> str:
    kitchen = joined()
    return kitchen.profile if kitchen else DEFAULT


def _house_file(shot: Any) -> HouseFile:
    """Return what an uploaded file of limits holds, if each limit can stand."""
    given = whole_file(shot, "the file of limits")
    with TemporaryDirectory() as scratch:
        file = Path(scratch) / Path(given.name).name
        file.write_bytes(given.data)
        load_house(file)  # names each fault of the file
        return read_house(file)


def _limits_in(tighter: Limits, own: Limits) -> tuple[tuple[str, str], ...]:
    told = [str(one.get("rule")) for one in tighter] + [str(one.get("id")) for one in own]
    return (("Our own limits", ", ".join(told) or "none: the rules as they are"),)


def _holders(hand: Hand) -> tuple[KeyHolder, ...]:
    """Return the tutors and verifiers whose key is on file, as a kitchen file lists them."""
    with hand.records.reading() as connection:
        held, publics = keys.keys_on_file(connection), acts.public_keys(connection)
    found = []
    for one in staff.members(hand.records):
        role = next((role for role in ("tutor", "verifier") if role in one.roles), None)
        if role is not None and one.person in held:
            found.append(KeyHolder(role, one.name, publics[held[one.person], one.person]))
    return tuple(found)


def _keep(made: Kitchen, here: bool) -> None:
    remember(made)
    if here:
        with TemporaryDirectory() as scratch:
            file = Path(scratch) / "kitchen.toml"
            write_kitchen(file, made)
            join(file, replace=True)
