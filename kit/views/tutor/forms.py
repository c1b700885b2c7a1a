"""The forms of the tutor's desk, without a widget: their fields, and what each would record.

`form_for` says what to ask. `propose` reads what was typed and returns a proposal: the lines to show before
anybody signs, and the one call that records exactly that.
"""

from collections.abc import Callable, Mapping
from typing import Any

from dateutil.relativedelta import relativedelta

from kit.basics.errors import BadData, UnknownName
from kit.records.competence import deciding
from kit.records.competence.assess import assess
from kit.records.competence.readings import Contradicted
from kit.records.ledger import acts, texts
from kit.records.ledger.projection import COMPETENT, NOT_YET
from kit.records.people import entitlement, staff
from kit.records.people.staff import Hand
from kit.records.reports.person_page import SUPPORTS, criterion_page, person_page
from kit.views.tutor import (
    form_agreeing,
    form_certificate,
    form_cut,
    form_house,
    form_join,
    form_kitchen,
    form_paper,
    form_people,
)
from kit.views.tutor.form import Field, Form, Proposal, day_of, number_of
from kit.views.tutor.form_attach import attach_form, propose_attach
from kit.views.tutor.form_decide_all import decide_all_form, propose_decide_all, rests_on
from kit.views.tutor.form_first_day import first_day_form, propose_first_day
from kit.views.tutor.form_look import look_form, propose_look
from kit.views.tutor.form_observe import bench_form, observe_form, propose_observe

KIND_OF = {
    "observe": "observed",
    "bench": "observed",
    "decide all": "decided",
    "decide": "decided",
    "second": "second",
    "appeal": "appealed",
    "settle": "settled",
    "look": "looked at",
    "note": "noted",
    "attach": "attached",
    "take on": "enrolled",
    "leave": "left",
    "return": "returned",
    "key": "key added",
    "confirm key": "key added",
    "retire key": "key retired",
    "fitness": "assessor",
    "erase": "erased",
    "join": "joined",
    "part": "parted",
    "claim": "joined",
    "table": "enrolled",
    "earlier": "brought in",
    "correct": "corrected",
    "consent": "consented",
    "certificate": "certificate given",
    "revoke": "certificate revoked",
    "clock": "clock corrected",
    "restore": "restored",
    "cases": "cases judged",
    "moderate": "moderated",
    "draw paper": "paper drawn",
    "mark paper": "observed",
    "resit paper": "paper drawn",
}
"""For each form the kind of act it records."""
DESPITE = "If a reading says otherwise: why it counts all the same (it is printed)"


def may(roles: frozenset[str], form: str) -> bool:
    """Return whether somebody with these roles may use a form.

    Examples
    --------
    >>> may(frozenset({"tutor"}), "decide"), may(frozenset({"manager"}), "decide")
    (True, False)
    """
    return form in KIND_OF and bool(roles & entitlement.MAY[KIND_OF[form]])


def form_for(hand: Hand, ask: Mapping[str, Any]) -> Form:
    """Return the form that was asked for.

    Parameters
    ----------
    hand : Hand
        Who is at the desk.
    ask : Mapping
        ``form`` and what it is about, such as ``person`` and ``criterion``.

    Raises
    ------
    UnknownName
        If there is no such form, person or criterion.
    """
    sort = str(ask.get("form"))
    if sort not in _FORMS:
        raise UnknownName("form", sort, _FORMS)
    return _FORMS[sort][0](hand, ask)


def propose(hand: Hand, form: Form, values: Mapping[str, Any]) -> Proposal:
    """Read what was typed and return what will be recorded; nothing is recorded yet.

    Raises
    ------
    KitError
        In words, if something is missing or makes no sense.
    """
    return _FORMS[form.sort][1](hand, form, values)


def _decide_form(hand: Hand, ask: Mapping[str, Any]) -> Form:
    page = criterion_page(hand, str(ask["person"]), str(ask["criterion"]))
    options = ((COMPETENT, COMPETENT), (NOT_YET, NOT_YET))
    with hand.records.reading() as connection:
        against = deciding.against(connection, hand, page.criterion.id, page.stands.points)
    still = " ".join(page.stands.missing) or "nothing: the evidence is complete"
    fields = (
        Field("decision", "Decision", "one", options, NOT_YET if page.stands.missing else None),
        Field("reason", "On what it rests, and the feedback you gave", "long"),
        *([Field("despite", DESPITE, "long")] if against else []),
    )
    about = (
        ("Apprentice", page.name),
        ("Criterion", f"{page.criterion.id} {page.criterion.text}"),
        ("Now", page.stands.detail),
        ("Still missing", still),
        *(("Against it", one.says) for one in against),
    )
    seen = 0 if page.stands.decided is None else page.stands.decided.act
    facts = {"criterion": page.criterion.id, "seen_act": seen}
    return Form("decide", "Decide", about, fields, page.person, facts)


def _propose_decide(hand: Hand, form: Form, values: Mapping[str, Any]) -> Proposal:
    criterion, decision, reason = form.facts["criterion"], values["decision"], values["reason"]
    if decision not in deciding.DECISIONS:
        raise BadData("the decision", "nothing is chosen", " or ".join(deciding.DECISIONS))
    deciding.check_reason(reason)
    about = hand.catalogue.criteria[criterion]
    with hand.records.reading() as connection:
        found = assess(connection, hand.catalogue, form.person, criterion, hand.today())
        against = deciding.against(connection, hand, criterion, found.points) if decision == COMPETENT else []
    deciding.check_allowed(found, decision)
    despite = str(values.get("despite", "")).strip()
    if against and not despite:
        raise Contradicted(against)
    review = hand.today() + relativedelta(months=about.review_months)
    lines = (
        *form.about[:2],
        ("Decision", decision),
        ("Rests on", rests_on(found)),
        ("Review by", review.isoformat() if decision == COMPETENT else "not set"),
        ("Takes the place of", f"act {form.facts['seen_act']}" if form.facts["seen_act"] else "no decision"),
        ("Reason", reason.strip()),
        *(("Against it", one.says) for one in against),
        *([("Counts all the same", despite)] if against else []),
    )
    seen = form.facts["seen_act"]
    return Proposal(
        lines,
        lambda signed: deciding.decide(
            signed, form.person, criterion, decision, reason, despite=despite, seen_act=seen
        ),
    )


def _second_form(hand: Hand, ask: Mapping[str, Any]) -> Form:
    page = criterion_page(hand, str(ask["person"]), str(ask["criterion"]))
    decided = page.stands.decided
    if decided is None or page.decision is None:
        raise BadData(str(ask["criterion"]), "nothing was decided on it")
    about = (
        ("Apprentice", page.name),
        ("Criterion", f"{page.criterion.id} {page.criterion.text}"),
        ("Decision", f"{decided.says}, act {decided.act} of {decided.day.isoformat()}"),
        ("Decided by", f"{page.decision.by_name}; {page.decision.signature}"),
        ("Reason given", page.decision.reason),
        *([("Second signature", page.decision.second_says)] if page.decision.second_says else []),
    )
    agree = (("I agree", "agree"), ("I do not agree", "disagree"))
    fields = (
        Field("agrees", "Second signature", "one", agree, None),
        Field("reason", "What you looked at, and why", "long"),
    )
    return Form("second", "Second signature", about, fields, page.person, {"act": decided.act})


def _propose_second(hand: Hand, form: Form, values: Mapping[str, Any]) -> Proposal:
    if values["agrees"] not in ("agree", "disagree"):
        raise BadData("the second signature", "nothing is chosen", "agree, or do not agree")
    agrees, reason, act = values["agrees"] == "agree", values["reason"], form.facts["act"]
    deciding.check_reason(reason)
    then = "the decision holds" if agrees else "the criterion is not yet competent until a tutor decides anew"
    lines = (
        *form.about[:3],
        ("You", f"{'agree' if agrees else 'do not agree'}: {then}"),
        ("Reason", reason.strip()),
    )
    return Proposal(lines, lambda signed: deciding.verify(signed, act, agrees, reason))


def _appeal_form(hand: Hand, ask: Mapping[str, Any]) -> Form:
    form = _second_form(hand, ask)
    fields = (Field("text", "What the apprentice says against it", "long"),)
    return Form("appeal", "Appeal", form.about, fields, form.person, form.facts)


def _propose_appeal(hand: Hand, form: Form, values: Mapping[str, Any]) -> Proposal:
    text, act = values["text"], form.facts["act"]
    deciding.check_reason(text)
    lines = (
        *form.about[:3],
        ("The apprentice says", text.strip()),
        ("Until it is settled", "the criterion is open again; somebody else than who decided settles it"),
    )
    return Proposal(lines, lambda signed: deciding.appeal(signed, act, text))


def _settle_form(hand: Hand, ask: Mapping[str, Any]) -> Form:
    form = _second_form(hand, ask)
    appeal = int(ask["act"])
    with hand.records.reading() as connection:
        opened = acts.get(connection, appeal)
        says = texts.tell(connection, opened.facts.get("words", ""))
    options = (("The decision stands", "stands"), ("It is assessed again", "assess again"))
    fields = (
        Field("outcome", "Outcome", "one", options, None),
        Field("reason", "What you looked at, and why", "long"),
    )
    who = "A verifier found" if opened.facts.get("moderated") else "The apprentice says"
    about = (*form.about, (who, says))
    return Form("settle", "Settle an appeal", about, fields, form.person, {"appeal": appeal})


def _propose_settle(hand: Hand, form: Form, values: Mapping[str, Any]) -> Proposal:
    outcome, reason, appeal = values["outcome"], values["reason"], form.facts["appeal"]
    if outcome not in deciding.SETTLED:
        raise BadData("the outcome", "nothing is chosen", "stands, or assess again")
    deciding.check_reason(reason)
    lines = (*form.about[:3], ("Outcome", outcome), ("Reason", reason.strip()))
    return Proposal(lines, lambda signed: deciding.settle(signed, appeal, outcome, reason))


def _note_form(hand: Hand, ask: Mapping[str, Any]) -> Form:
    page = person_page(hand.records, str(ask["person"]), hand.today(), hand.catalogue)
    topics = tuple((topic, topic) for topic in staff.TOPICS)
    fields = (
        Field("topic", "About", "pick", topics, "hours"),
        Field("day", "Day", "date", value=hand.today()),
        Field("hours", "Hours worked (for hours)", "text"),
        Field("version", "Which version was taught (for version taught)", "text"),
        *[
            Field(f"support {each}", f"Agreed: {each}", "tick", value=each in page.supports, group="supports")
            for each in SUPPORTS
        ],
        Field("text", "In words (optional for hours)", "long"),
    )
    return Form("note", "Note", (("Apprentice", page.name),), fields, page.person)


def _propose_note(hand: Hand, form: Form, values: Mapping[str, Any]) -> Proposal:
    topic, text, day = values["topic"], values["text"].strip(), day_of(values["day"])
    if day > hand.today():
        raise BadData("the day", f"{day.isoformat()} lies ahead", f"{hand.today().isoformat()} or earlier")
    facts: dict[str, Any] = {"day": day.isoformat()}
    says = ""
    if topic == "hours":
        hours = number_of("Hours worked", values["hours"])
        if hours is None or not 0 < hours <= 100:
            raise BadData("the hours", f"{values['hours']!r} was typed", "a number above 0, up to 100")
        facts["hours"], says = hours, f"{hours:g} h"
    elif topic == "version taught":
        facts["version"] = says = values["version"].strip()
        if not says:
            raise BadData("the version taught", "nothing is typed", "such as: card set 3")
    elif topic == "adjustment":
        facts["agreed"] = [each for each in SUPPORTS if values[f"support {each}"]]
        says = ", ".join(facts["agreed"]) or "no adjustment any more"
    elif not text:
        raise BadData("the note", "nothing is typed", "a few words")
    lines = (
        *form.about,
        ("About", topic),
        ("Day", day.isoformat()),
        ("Says", says or text),
        ("In words", text or "none"),
    )
    return Proposal(lines, lambda signed: staff.note(signed, form.person, topic, text, **facts))


_FORMS: dict[
    str,
    tuple[Callable[[Hand, Mapping[str, Any]], Form], Callable[[Hand, Form, Mapping[str, Any]], Proposal]],
] = {
    "observe": (observe_form, propose_observe),
    "bench": (bench_form, propose_observe),
    "decide all": (decide_all_form, propose_decide_all),
    "decide": (_decide_form, _propose_decide),
    "second": (_second_form, _propose_second),
    "appeal": (_appeal_form, _propose_appeal),
    "settle": (_settle_form, _propose_settle),
    "look": (look_form, propose_look),
    "note": (_note_form, _propose_note),
    "attach": (attach_form, propose_attach),
    "take on": (form_people.take_on_form, form_people.propose_take_on),
    "leave": (form_people.role_form, form_people.propose_role),
    "return": (form_people.role_form, form_people.propose_role),
    "key": (form_people.key_form, form_people.propose_key),
    "confirm key": (form_people.confirm_form, form_people.propose_confirm),
    "retire key": (form_people.retire_form, form_people.propose_retire),
    "fitness": (form_people.fitness_form, form_people.propose_fitness),
    "erase": (form_people.erase_form, form_people.propose_erase),
    "join": (form_join.join_form, form_join.propose_join),
    "part": (form_join.part_form, form_join.propose_part),
    "claim": (form_join.claim_form, form_join.propose_claim),
    "correct": (form_kitchen.correct_form, form_kitchen.propose_correct),
    "earlier": (form_kitchen.earlier_form, form_kitchen.propose_earlier),
    "table": (form_kitchen.table_form, form_kitchen.propose_table),
    "backup": (form_kitchen.backup_form, form_kitchen.propose_backup),
    "trial": (form_kitchen.trial_form, form_kitchen.propose_trial),
    "paper": (form_kitchen.paper_form, form_kitchen.propose_paper),
    "books": (form_kitchen.books_form, form_kitchen.propose_books),
    "first day": (first_day_form, propose_first_day),
    "limits": (form_house.limits_form, form_house.propose_limits),
    "kitchen file": (form_house.kitchen_form, form_house.propose_kitchen),
    "recover": (form_house.recover_form, form_house.propose_recover),
    "clock": (form_house.clock_form, form_house.propose_clock),
    "restore": (form_house.restore_form, form_house.propose_restore),
    "consent": (form_certificate.consent_form, form_certificate.propose_consent),
    "certificate": (form_certificate.certificate_form, form_certificate.propose_certificate),
    "revoke": (form_certificate.revoke_form, form_certificate.propose_revoke),
    "cut": (form_cut.cut_form, form_cut.propose_cut),
    "borderline": (form_cut.borderline_form, form_cut.propose_borderline),
    "cases": (form_agreeing.cases_form, form_agreeing.propose_cases),
    "moderate": (form_agreeing.moderate_form, form_agreeing.propose_moderate),
    "plan paper": (form_paper.plan_form, form_paper.propose_plan),
    "draw paper": (form_paper.draw_form, form_paper.propose_draw),
    "print paper": (form_paper.print_form, form_paper.propose_print),
    "mark paper": (form_paper.mark_form, form_paper.propose_mark),
    "resit paper": (form_paper.resit_form, form_paper.propose_resit),
}
