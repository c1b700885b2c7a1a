"""The form that looks into a flag, a disputed mark or an explanation. No widgets here."""

from collections.abc import Mapping
from typing import Any

from kit.basics.errors import BadData, UnknownName
from kit.records.competence import deciding
from kit.records.intake import review as looking
from kit.records.intake.disputed_mark import matter
from kit.records.people.staff import Hand
from kit.views.tutor.form import Field, Form, Proposal


def look_form(hand: Hand, ask: Mapping[str, Any]) -> Form:
    """Return the form that settles a flag, a dispute or an explanation, with what is behind it."""
    sort = str(ask["sort"])
    if sort not in looking.OUTCOMES:
        raise UnknownName("sort of matter", sort, looking.OUTCOMES)
    about = (
        ("Apprentice", str(ask["name"])),
        ("What", f"{sort}, {ask['about'] if sort == 'flag' else _title(hand, str(ask['about']))}"),
        ("Where", f"line {ask['line']} of the book" if ask["line"] else "the whole book"),
        ("Words", str(ask["quote"])),
        *_behind(hand, ask),
    )
    options = tuple((text, text) for text in looking.OUTCOMES[sort])
    fields = (
        Field("outcome", "What you found", "one", options, None),
        Field("reason", "Why, and what you told the apprentice", "long"),
    )
    facts = {"sort": sort, "line": int(ask["line"]), "kind": str(ask["about"]) if sort == "flag" else ""}
    return Form("look", f"Look at a {sort}", about, fields, str(ask["person"]), facts)


def _title(hand: Hand, exercise: str) -> str:
    try:
        return hand.catalogue.info(exercise).title
    except UnknownName:
        return exercise


def _behind(hand: Hand, ask: Mapping[str, Any]) -> list[tuple[str, str]]:
    """Return the question behind a dispute or an explanation, the answers given, and the right one."""
    if ask["sort"] == "flag":
        return []
    found = matter(hand.records, str(ask["person"]), int(ask["line"]), hand.catalogue)
    rows = [("The question", found.question)]
    for one in found.answers:
        slip = f" ({one.slip})" if one.slip else ""
        rows.append((f"Answer on line {one.line}: {one.verdict}{slip}", one.said))
    if found.right:
        rows += [
            ("The kit takes for right", found.right),
            ("Because", found.worked or "no working is on file"),
        ]
    return rows


def propose_look(hand: Hand, form: Form, values: Mapping[str, Any]) -> Proposal:
    """Say what was found; nothing is recorded yet."""
    facts, outcome, reason = form.facts, values["outcome"], values["reason"]
    if outcome not in looking.OUTCOMES[facts["sort"]]:
        raise BadData("what you found", "nothing is chosen", " or ".join(looking.OUTCOMES[facts["sort"]]))
    deciding.check_reason(reason)
    lines = (*form.about[:4], ("Found", outcome), ("Reason", reason.strip()))
    return Proposal(
        lines,
        lambda signed: looking.look_at(
            signed, form.person, facts["sort"], facts["line"], outcome, reason, facts["kind"]
        ),
    )
