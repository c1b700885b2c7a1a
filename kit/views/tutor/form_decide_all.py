"""The form that decides every criterion of one apprentice that is ready, under one signature. No widgets."""

from collections.abc import Mapping
from typing import Any

from dateutil.relativedelta import relativedelta

from kit.basics.errors import BadData
from kit.records.competence import deciding
from kit.records.competence.assess import assess
from kit.records.competence.assessment import Assessment
from kit.records.competence.deciding import Wish
from kit.records.competence.readings import Contradicted, Contradiction
from kit.records.competence.sheets import decide_all
from kit.records.ledger.projection import COMPETENT
from kit.records.people.staff import Hand
from kit.records.reports.person_page import person_page
from kit.views.tutor.form import Field, Form, Proposal

_BUTTONS = tuple((text, text) for text in deciding.DECISIONS)


def decide_all_form(hand: Hand, ask: Mapping[str, Any]) -> Form:
    """Return the form: one line with big buttons for each criterion that is ready, and one reason."""
    page = person_page(hand.records, str(ask["person"]), hand.today(), hand.catalogue)
    ready = [name for name, cell in page.cells.items() if cell.state == "ready"]
    if not ready:
        raise BadData(page.name, "nothing is ready for a decision", "a criterion with all its evidence")
    found = {name: _found(hand, page.person, name) for name in ready}
    fields = []
    for name, (stands, told) in found.items():
        small = f"{name} · rests on {rests_on(stands)}"
        fields.append(Field(f"decide {name}", stands.criterion.text, "big", _BUTTONS, "", "points", small))
        if told:
            why = f"{' '.join(one.says for one in told)} Why {name} counts all the same (it is printed)"
            fields.append(Field(f"despite {name}", why, "long", group="points"))
    fields.append(Field("reason", "On what it rests, and the feedback you gave: for every line", "long"))
    seen = {name: 0 if one.decided is None else one.decided.act for name, (one, _) in found.items()}
    about = (("Apprentice", page.name), ("Ready", f"{len(ready)}; a line that you leave is not decided"))
    return Form("decide all", "Decide what is ready", about, tuple(fields), page.person, {"seen": seen})


def propose_decide_all(hand: Hand, form: Form, values: Mapping[str, Any]) -> Proposal:
    """Say which decisions will be recorded, each an act of its own; nothing is recorded yet."""
    chosen = {name: values[f"decide {name}"] for name in form.facts["seen"] if values[f"decide {name}"]}
    if not chosen:
        raise BadData("the sheet", "no line is decided", " or ".join(deciding.DECISIONS))
    deciding.check_reason(values["reason"])
    wishes, lines, bare = [], [], []
    for name, decision in chosen.items():
        despite = str(values.get(f"despite {name}", "")).strip()
        stands, told = _found(hand, form.person, name)
        deciding.check_allowed(stands, decision)
        told = told if decision == COMPETENT else []
        bare += [] if despite else told
        seen = form.facts["seen"][name]
        wishes.append(Wish(name, decision, values["reason"], despite if told else "", seen))
        lines.append((name, _words(hand, stands, decision, seen)))
        lines += [("Against it", one.says) for one in told]
        lines += [("Counts all the same", despite)] if told else []
    if bare:
        raise Contradicted(bare)
    many = f"{len(wishes)} acts, signed at once" if len(wishes) > 1 else "1 act"
    shown = (form.about[0], ("Recorded as", many), *lines, ("Reason", values["reason"].strip()))
    return Proposal(shown, lambda signed: decide_all(signed, form.person, wishes))


def rests_on(found: Assessment) -> str:
    """Return in words what a decision would rest on."""
    parts = []
    if found.points:
        parts.append("acts " + ", ".join(str(number) for number in found.points))
    if found.lines:
        parts.append(f"{len(found.lines)} answers of the book, right first time")
    return " and ".join(parts) or "no evidence that counts today"


def _found(hand: Hand, person: str, criterion: str) -> tuple[Assessment, list[Contradiction]]:
    with hand.records.reading() as connection:
        stands = assess(connection, hand.catalogue, person, criterion, hand.today())
        return stands, deciding.against(connection, hand, criterion, stands.points)


def _words(hand: Hand, stands: Assessment, decision: str, seen: int) -> str:
    review = hand.today() + relativedelta(months=stands.criterion.review_months)
    parts = [f"{decision}: {stands.criterion.text}", f"Rests on {rests_on(stands)}."]
    parts += [f"Review by {review.isoformat()}."] if decision == COMPETENT else []
    parts += [f"Takes the place of act {seen}."] if seen else []
    return " ".join(parts)
