"""The forms of the tutor's desk, without a widget: their fields, and what each would record.

`form_for` says what to ask. `propose` reads what was typed and returns a proposal: the lines to show before
anybody signs, and the one call that records exactly that.
"""

from collections.abc import Callable, Mapping
from typing import Any

from dateutil.relativedelta import relativedelta

from kit.basics.errors import BadData, UnknownName
from kit.records.competence import deciding, observations
from kit.records.competence.assess import assess
from kit.records.competence.assessment import Assessment
from kit.records.competence.readings import Contradicted
from kit.records.evidence import kept_files
from kit.records.ledger import acts, texts
from kit.records.ledger.projection import COMPETENT, NOT_YET
from kit.records.people import entitlement, staff
from kit.records.people.staff import Hand
from kit.records.reports.board_page import step_title
from kit.records.reports.person_page import SUPPORTS, criterion_page, person_page
from kit.views.tutor.form import Field, Form, Proposal, day_of, number_of
from kit.views.tutor.form_attach import attach_form, file_fields, propose_attach, ticked, verdict_words
from kit.views.tutor.form_look import look_form, propose_look

KIND_OF = {
    "observe": "observed",
    "decide": "decided",
    "second": "second",
    "appeal": "appealed",
    "settle": "settled",
    "look": "looked at",
    "note": "noted",
    "attach": "attached",
}
"""For each form the kind of act it records."""
NOT_LOOKED = "not looked at"
MEASURE_LABELS = {
    "core_temp_c": "Core temperature at the end [°C]",
    "air_temp_c": "Air temperature [°C]",
    "hold_min": "Held at that core for [min]",
    "chill_min": "Time from the heat to cold [min]",
    "weight_before_g": "Weight before [g]",
    "weight_after_g": "Weight after [g]",
}
DESPITE = "If a reading says otherwise: why it counts all the same (it is printed)"
LATE = f"If entered over {observations.LATE_AFTER_DAYS} days late, or a reading says otherwise: why it counts"


def may(roles: frozenset[str], form: str) -> bool:
    """Return whether somebody with these roles may use a form.

    Examples
    --------
    >>> may(frozenset({"tutor"}), "decide"), may(frozenset({"manager"}), "decide")
    (True, False)
    """
    return bool(roles & entitlement.MAY[KIND_OF[form]])


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


def _observe_form(hand: Hand, ask: Mapping[str, Any]) -> Form:
    person, step = str(ask["person"]), str(ask["step"])
    page = person_page(hand.records, person, hand.today(), hand.catalogue)
    criteria = [c for c in hand.catalogue.criteria.values() if c.step == step]
    if not criteria:
        raise UnknownName("step", step, dict.fromkeys(c.step for c in hand.catalogue.criteria.values()))
    asked = ask.get("criterion")
    method = "observation"
    if asked in hand.catalogue.criteria and hand.catalogue.criteria[str(asked)].kind == "knowledge":
        method = "oral check"
    outcomes = tuple((text, text) for text in (NOT_LOOKED, *observations.OUTCOMES))
    points = [
        Field(f"point {c.id}", f"{c.id} {c.text}", "pick", outcomes, NOT_LOOKED, "points")
        for c in sorted(criteria, key=lambda c: c.id != asked)
    ]
    methods = tuple((f"{name}: {says}", name) for name, says in observations.METHODS.items())
    fields = (
        Field("day", "Day", "date", value=hand.today()),
        Field("method", "How it was seen", "pick", methods, method),
        Field("batch", "Label of the batch (for real work)", "text"),
        *points,
        *[Field(name, label, "text", group="measures") for name, label in MEASURE_LABELS.items()],
        Field("question", "A question you asked (optional)", "text"),
        Field("answer", "The answer, in brief", "text"),
        Field("answer met", "The answer was right", "tick", value=False),
        *[
            Field(f"support {each}", f"Used: {each}", "tick", value=each in page.supports, group="supports")
            for each in SUPPORTS
        ],
        *file_fields(hand, person),
        Field("despite", LATE, "long"),
        Field("notes", "Anything else (optional)", "long"),
        Field("declared", "The apprentice declared this their own work", "tick", value=False),
    )
    about = (("Apprentice", page.name), ("Step", step_title(step)))
    return Form("observe", "Observe", about, fields, person, {"step": step})


def _propose_observe(hand: Hand, form: Form, values: Mapping[str, Any]) -> Proposal:
    points = {
        name.removeprefix("point "): value
        for name, value in values.items()
        if name.startswith("point ") and value != NOT_LOOKED
    }
    measures = {
        name: number
        for name in MEASURE_LABELS
        if (number := number_of(MEASURE_LABELS[name], values[name])) is not None
    }
    question, files = values["question"].strip(), ticked(values)
    seen = observations.Observation(
        form.person,
        form.facts["step"],
        day_of(values["day"]),
        points,
        method=values["method"],
        batch=values["batch"].strip(),
        declared=bool(values["declared"]),
        measures=measures,
        asked=[(question, values["answer"].strip(), bool(values["answer met"]))] if question else [],
        supports=[each for each in SUPPORTS if values[f"support {each}"]],
        notes=values["notes"],
        files=files,
        verdicts=kept_files.verdicts_on(hand.records, files),
        despite=values["despite"],
    )
    against = observations.check(hand, seen)
    lines = (
        ("Day", seen.day.isoformat()),
        ("How", f"{seen.method}: {observations.METHODS[seen.method]}"),
        ("Batch", seen.batch or "none"),
        *(("Against it", one.says) for one in against),
        *([("Counts all the same", seen.despite.strip())] if against else []),
        ("Criteria", "; ".join(f"{name} {outcome}" for name, outcome in points.items())),
        (
            "Measured",
            "; ".join(f"{MEASURE_LABELS[n]} {value:g}" for n, value in measures.items()) or "nothing",
        ),
        (
            "Asked",
            f"{question} → {'right' if values['answer met'] else 'not right'}" if question else "nothing",
        ),
        ("Used", ", ".join(seen.supports) or "no adjustment"),
        (
            "Files",
            f"{len(files)}; {verdict_words(seen.verdicts) or 'no log among them'}" if files else "none",
        ),
        ("Notes", seen.notes.strip() or "none"),
    )
    return Proposal((*form.about, *lines), lambda signed: observations.observe(signed, seen))


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
        ("Rests on", _rests_on(found)),
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
    about = (*form.about, ("The apprentice says", says))
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


def _rests_on(found: Assessment) -> str:
    parts = []
    if found.points:
        parts.append("acts " + ", ".join(str(number) for number in found.points))
    if found.lines:
        parts.append(f"{len(found.lines)} answers of the book, right first time")
    return " and ".join(parts) or "no evidence that counts today"


_FORMS: dict[
    str,
    tuple[Callable[[Hand, Mapping[str, Any]], Form], Callable[[Hand, Form, Mapping[str, Any]], Proposal]],
] = {
    "observe": (_observe_form, _propose_observe),
    "decide": (_decide_form, _propose_decide),
    "second": (_second_form, _propose_second),
    "appeal": (_appeal_form, _propose_appeal),
    "settle": (_settle_form, _propose_settle),
    "look": (look_form, propose_look),
    "note": (_note_form, _propose_note),
    "attach": (attach_form, propose_attach),
}
