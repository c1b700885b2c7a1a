"""The forms of the manager's desk about people: roles, keys, fitness to assess, erasing. No widgets here."""

from collections.abc import Mapping
from typing import Any

from kit.basics import places
from kit.basics.errors import BadData, KitError
from kit.files import signing
from kit.files.passwords import check_password
from kit.records.ledger import acts
from kit.records.ledger.acts import Act
from kit.records.people import keys, staff
from kit.records.people.staff import Hand, Member
from kit.records.upkeep.erase import RETENTION_YEARS, erase_person
from kit.views.tutor.form import Done, Field, Form, Proposal, day_of, number_of

LOCK_IT_AWAY = (
    "**Recovery code: {code}**\n\nWrite it down now and lock it away, not beside this machine. It is shown "
    "only now. It mends a lost password; without both, the key cannot be opened again."
)
HERE, ELSEWHERE = "here", "elsewhere"
_ROLES = tuple((role, role) for role in staff.ROLES)


def member_of(hand: Hand, person: str) -> Member:
    """Return somebody on file by id."""
    return staff.find(hand.records, person)


def last_act(hand: Hand) -> Act:
    """Return the act that was recorded last."""
    with hand.records.reading() as connection:
        return acts.get(connection, acts.head(connection).number)


def take_on_form(hand: Hand, ask: Mapping[str, Any]) -> Form:
    """Return the form that takes somebody on, somebody new or somebody on file."""
    person = str(ask.get("person", ""))
    role = Field("role", "Role", "one", _ROLES, "apprentice")
    started = Field("started", "The day they began here", "date", value=hand.today())
    if person:
        known = (("Person", member_of(hand, person).name),)
        return Form("take on", "Give a role", known, (role, started), person)
    fields = (
        Field("name", "Name", "text"),
        role,
        started,
        Field("id", "Their id, if they work on another machine already", "text"),
        Field("same", "Somebody else bears this name: this is another person", "tick", value=False),
    )
    return Form("take on", "Take somebody on", (), fields, "")


def propose_take_on(hand: Hand, form: Form, values: Mapping[str, Any]) -> Proposal:
    """Say who will be taken on as what."""
    name, role = str(values.get("name", "")).strip(), values["role"]
    if not form.person and not name:
        raise BadData("the name", "nothing is typed", "a first and a last name")
    started = values["started"]
    person, same = form.person or str(values.get("id", "")).strip(), bool(values.get("same"))
    lines = (
        ("Name", form.about[0][1] if form.person else name),
        ("Role", role),
        ("Began", started.isoformat() if started else "not noted"),
        *([("Id", person)] if person and not form.person else []),
    )

    def record(signed: Hand) -> Act:
        staff.take_on(signed, role, name=name, person=person, started=started, same_name=same)
        return last_act(signed)

    return Proposal(lines, record)


def role_form(hand: Hand, ask: Mapping[str, Any]) -> Form:
    """Return the form that ends a role, or gives one back to somebody who left."""
    member, back = member_of(hand, str(ask["person"])), ask["form"] == "return"
    roles = [role for role in member.ever if role not in member.roles] if back else list(member.roles)
    if not roles:
        raise BadData(member.name, "has no such role" if back else "holds no role now")
    fields = [Field("role", "Role", "one", tuple((role, role) for role in roles), roles[0])]
    if not back:
        fields.append(Field("reason", "Why, in words (optional)", "long"))
    title = "Come back" if back else "Leave a role"
    return Form(str(ask["form"]), title, (("Person", member.name),), tuple(fields), member.person)


def propose_role(_hand: Hand, form: Form, values: Mapping[str, Any]) -> Proposal:
    """Say which role ends, or begins again."""
    role, reason = values["role"], str(values.get("reason", ""))
    if form.sort == "return":
        lines = (*form.about, ("Is again", role))
        return Proposal(lines, lambda signed: staff.come_back(signed, form.person, role))
    lines = (*form.about, ("Is no longer", role), ("Why", reason.strip() or "not said"))
    return Proposal(lines, lambda signed: staff.leave(signed, form.person, role, reason))


def fitness_form(hand: Hand, ask: Mapping[str, Any]) -> Form:
    """Return the form that puts on file what makes somebody fit to assess, and until when."""
    member = member_of(hand, str(ask["person"]))
    fields = (
        Field("what", "What makes them fit: a course, a trade, a paper", "text"),
        Field("since", "First day", "date", value=hand.today()),
        Field("until", "Last day on which it holds", "date", value=None),
    )
    return Form("fitness", "Fit to assess", (("Person", member.name),), fields, member.person)


def propose_fitness(_hand: Hand, form: Form, values: Mapping[str, Any]) -> Proposal:
    """Say until when somebody will be fit to assess."""
    what, since, until = values["what"].strip(), day_of(values["since"]), day_of(values["until"])
    if not what:
        raise BadData("what makes them fit", "nothing is typed", "a course, a trade or a paper")
    if until < since:
        raise BadData("the last day", f"{until.isoformat()} lies before the first", "a later day")
    lines = (*form.about, ("Because of", what), ("From", since.isoformat()), ("Until", until.isoformat()))
    return Proposal(lines, lambda signed: staff.note_assessor(signed, form.person, what, since, until))


def key_form(hand: Hand, ask: Mapping[str, Any]) -> Form:
    """Return the form that makes a key here for somebody, or puts on file one made elsewhere."""
    member = member_of(hand, str(ask["person"]))
    where = (
        ("made now, on this machine: they type the password themself", HERE),
        ("made on another machine: its public half is typed below", ELSEWHERE),
    )
    fields = (
        Field("where", "The key is", "one", where, HERE),
        Field("new", "New password, 12 characters or 3 words: typed by its owner", "secret"),
        Field("again", "The new password once more", "secret"),
        Field("public", "Public half, 64 digits and letters (only for a key from another machine)", "text"),
    )
    return Form("key", "Put a key on file", (("Owner", member.name),), fields, member.person)


def propose_key(_hand: Hand, form: Form, values: Mapping[str, Any]) -> Proposal:
    """Say whose key goes on file. One for somebody who signed here before waits for a second person."""
    waits = ("If they signed here before", "the key waits until a second person confirms it")
    if values["where"] == ELSEWHERE:
        public = "".join(str(values["public"]).split()).lower()
        key_id = signing.key_id_of(public)
        lines = (*form.about, ("Key", key_id), waits)
        return Proposal(lines, lambda signed: keys.add_key(signed, form.person, key_id, public))
    password = new_password(values["new"], values["again"])
    lines = (*form.about, ("Key", "made now, kept on this machine under its owner's password"), waits)
    return Proposal(lines, lambda signed: _make_key(signed, form.person, password))


def new_password(typed: str, again: str) -> str:
    """Return a new password that was typed twice, if it is hard enough to guess."""
    if typed != again:
        raise BadData("the new password", "the two are not the same", "the same words twice")
    return check_password(typed)


def made_key(password: str) -> tuple[signing.SealedKey, str]:
    """Make a key, keep it on this machine, and return it sealed, with its recovery code."""
    sealed, code = signing.make_key(password)
    signing.write_key(places.keys_folder() / f"{sealed.key_id}.json", sealed)
    return sealed, code


def _make_key(signed: Hand, person: str, password: str) -> Done:
    sealed, code = made_key(password)
    try:
        act = keys.add_key(signed, person, sealed.key_id, sealed.public)
    except KitError:
        (places.keys_folder() / f"{sealed.key_id}.json").unlink(missing_ok=True)
        raise
    return Done((act,), LOCK_IT_AWAY.format(code=code))


def confirm_form(hand: Hand, ask: Mapping[str, Any]) -> Form:
    """Return the form by which a second person confirms a new key."""
    with hand.records.reading() as connection:
        act = acts.get(connection, int(ask["act"]))
        names = staff.all_names(connection)
    about = (
        ("Owner", names.get(str(act.person), "")),
        ("Key", str(act.facts.get("key_id"))),
        ("Proposed by", names.get(act.by, "")),
    )
    asked = Field("asked", "I asked the owner face to face: the key is theirs", "tick", value=False)
    return Form("confirm key", "Confirm a new key", about, (asked,), str(act.person), {"act": act.number})


def propose_confirm(_hand: Hand, form: Form, values: Mapping[str, Any]) -> Proposal:
    """Say which key is confirmed; only somebody who asked its owner may."""
    if not values["asked"]:
        raise BadData("the key", "its owner was not asked", "a word with them first, then the tick")
    return Proposal(form.about, lambda signed: keys.confirm_key(signed, form.facts["act"]))


def retire_form(hand: Hand, ask: Mapping[str, Any]) -> Form:
    """Return the form that stops a key from signing."""
    member = member_of(hand, str(ask["person"]))
    with hand.records.reading() as connection:
        key_id = keys.keys_on_file(connection).get(member.person)
    if key_id is None:
        raise BadData(member.name, "holds no key")
    about = (("Owner", member.name), ("Key", key_id))
    why = Field("reason", "Why: lost, stolen, or its owner left", "long")
    return Form("retire key", "Retire a key", about, (why,), member.person, {"key": key_id})


def propose_retire(_hand: Hand, form: Form, values: Mapping[str, Any]) -> Proposal:
    """Say which key stops signing."""
    reason = values["reason"].strip()
    if not reason:
        raise BadData("the reason", "nothing is typed", "a few words")
    lines = (*form.about, ("Why", reason), ("Then", "what it signed before can still be checked"))
    return Proposal(lines, lambda signed: keys.retire_key(signed, form.facts["key"], reason))


def erase_form(hand: Hand, ask: Mapping[str, Any]) -> Form:
    """Return the form that erases what names a person. It asks for the name, so that nobody slips."""
    member = member_of(hand, str(ask["person"]))
    fields = (
        Field("typed", "Type the whole name to erase it", "text"),
        Field("reason", "Why, if the retention time is not over; it must not name them", "long"),
        Field(
            "years", "Records are kept after somebody left for [years]", "text", value=str(RETENTION_YEARS)
        ),
    )
    about = (("Person", member.name), ("This cannot be undone", "signed rows stay, without a name"))
    return Form("erase", "Erase a person", about, fields, member.person, {"name": member.name})


def propose_erase(_hand: Hand, form: Form, values: Mapping[str, Any]) -> Proposal:
    """Say who will be erased."""
    if values["typed"].strip() != form.facts["name"]:
        raise BadData("the name", "it is not the one to erase", form.facts["name"])
    years = number_of("The years", values["years"])
    if years is None or years != int(years):
        raise BadData("the years", f"{values['years']!r} was typed", "a whole number such as 3")
    reason = values["reason"].strip()
    lines = (*form.about, ("Why", reason or "the retention time is over"))
    lines += (("Not erased", "backups, printed papers, records set aside, and their own answer book"),)

    def record(signed: Hand) -> Done:
        done = erase_person(signed, form.person, reason, retention_years=int(years))
        says = f"Erased: {done.texts} texts, {done.lines} lines of their book, {done.files} files."
        if done.still_named:
            says += f" The name still stands in {done.still_named} texts about others: look at them."
        if not done.bytes_gone:
            says += " Old bytes may still lie in the file: close other programs and erase again."
        return Done(() if done.act is None else (done.act,), says)

    return Proposal(lines, record)
