"""Forms about certificates: what the apprentice agrees to, giving one, taking one back. No widgets."""

from collections.abc import Mapping
from typing import Any

from kit.basics.errors import BadData
from kit.criteria import steps
from kit.files.joined_kitchen import joined
from kit.records.competence import certifying
from kit.records.ledger import acts
from kit.records.people import staff
from kit.records.people.staff import Hand
from kit.views.tutor.form import Done, Field, Form, Proposal


def consent_form(hand: Hand, ask: Mapping[str, Any]) -> Form:
    """Return the form that keeps what an apprentice said to certificates."""
    member = staff.find(hand.records, str(ask["person"]))
    with hand.records.reading() as connection:
        agreed = certifying.consents(connection).get(member.person)
    about = (
        ("Apprentice", member.name),
        ("A certificate holds", certifying.HOLDS),
        ("Until now", f"agreed, act {agreed}" if agreed else "has not agreed"),
    )
    options = (("agrees", "agrees"), ("does not agree, or not any more", "no"))
    fields = (Field("said", "What the apprentice says, face to face", "one", options, None),)
    return Form("consent", "Agree to certificates", about, fields, member.person)


def propose_consent(_hand: Hand, form: Form, values: Mapping[str, Any]) -> Proposal:
    """Say what will be kept."""
    if values["said"] is None:
        raise BadData("what they say", "nothing is chosen", "their own answer")
    agrees = values["said"] == "agrees"
    lines = (*form.about[:2], ("They", "agree" if agrees else "do not agree"))
    return Proposal(lines, lambda signed: certifying.consent(signed, form.person, agrees))


def certificate_form(hand: Hand, ask: Mapping[str, Any]) -> Form:
    """Return the form that gives a certificate for a step or a unit."""
    member, kitchen = staff.find(hand.records, str(ask["person"])), joined()
    titles = tuple((step.title, name) for name, step in steps().items())
    fields = (
        Field("step", "For which step", "pick", titles, str(ask.get("step", "cook"))),
        *[Field(f"also {name}", f"and: {says}", "tick", value=False, group="also") for says, name in titles],
        Field("kitchen", "What your kitchen calls itself", "text", value=kitchen.name if kitchen else ""),
    )
    about = (("Apprentice", member.name), ("It will hold", certifying.HOLDS))
    return Form("certificate", "Give a certificate", about, fields, member.person)


def propose_certificate(_hand: Hand, form: Form, values: Mapping[str, Any]) -> Proposal:
    """Say for which step or unit; whether every criterion of it stands is asked when it is signed."""
    also = [name for name in steps() if values.get(f"also {name}")]
    parts, kitchen = certifying.unit_of([values["step"], *also]), " ".join(values["kitchen"].split())
    if not kitchen:
        raise BadData("the kitchen's name", "nothing is typed", "a name")

    def record(signed: Hand) -> Done:
        act, text = certifying.give(signed, form.person, parts, kitchen)
        says = (
            "Anybody checks it without asking us: `smokehouse certificate verify`, or the page for a browser."
        )
        return Done((act,), says, ("certificate.jwt", text.encode("ascii") + b"\n"))

    what = ("Step" if len(parts) == 1 else "Unit", certifying.title_of(parts))
    return Proposal((*form.about, what, ("Kitchen", kitchen)), record)


def revoke_form(hand: Hand, ask: Mapping[str, Any]) -> Form:
    """Return the form that takes a certificate back."""
    member = staff.find(hand.records, str(ask["person"]))
    with hand.records.reading() as connection:
        back = {act.facts["act"] for act in acts.read(connection, kind="certificate revoked")}
        given = list(acts.read(connection, kind="certificate given", person=member.person))
    open_now = tuple(
        (
            f"{certifying.title_of(certifying.parts_of(act.facts))}, given on {act.at.astimezone():%Y-%m-%d}",
            str(act.number),
        )
        for act in given
        if act.number not in back
    )
    fields = (
        Field("act", "Which certificate", "pick", open_now, open_now[-1][1] if open_now else ""),
        Field("reason", "Why it does not hold any more; kept in the records only", "long"),
    )
    return Form("revoke", "Take a certificate back", (("Apprentice", member.name),), fields, member.person)


def propose_revoke(_hand: Hand, form: Form, values: Mapping[str, Any]) -> Proposal:
    """Say which certificate will be taken back."""
    if not values["act"]:
        raise BadData("which certificate", "none is in force", "nothing to take back")

    def record(signed: Hand) -> Done:
        act, text = certifying.revoke(signed, int(values["act"]), values["reason"])
        says = "The new list names no person: hand it on to whoever checks certificates."
        return Done((act,), says, ("revoked.jwt", text.encode("ascii") + b"\n"))

    return Proposal((*form.about, ("Given by", f"act {values['act']}")), record)
