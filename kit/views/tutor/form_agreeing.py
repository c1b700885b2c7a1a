"""Forms of those who judge: the ten invented cases, and a verifier's finding on a sample. No widgets here."""

from collections.abc import Mapping
from typing import Any

from kit.basics.errors import BadData
from kit.records.competence import deciding, judged_cases, moderating
from kit.records.people.staff import Hand
from kit.records.reports.person_page import criterion_page
from kit.statistics.invented_cases import cases_print, invented_cases, told_in_words
from kit.views.tutor.form import Field, Form, Proposal

ALONE = "Judge them alone, once. What others said is shown when your own act stands."
CANNOT = "cannot say"


def cases_form(_hand: Hand, _ask: Mapping[str, Any]) -> Form:
    """Return the form that keeps how a tutor rates the ten cases, each with big buttons."""
    options = tuple((word, word) for word in (*judged_cases.RATINGS, CANNOT))
    fields = tuple(
        Field(
            f"case {case.id}",
            f"{number}. {case.title} ({case.criterion})",
            "big",
            options,
            "",
            "cases",
            told_in_words(case),
        )
        for number, case in enumerate(invented_cases(), start=1)
    )
    about = (("How", ALONE), ("All is invented", "people, cards and limits. No batch is released by them."))
    return Form("cases", "Ten invented cases", about, fields, "")


def propose_cases(_hand: Hand, form: Form, values: Mapping[str, Any]) -> Proposal:
    """Say how the cases will be recorded."""
    ratings = ratings_in(values)
    lines = tuple((case.title, ratings.get(case.id, CANNOT)) for case in invented_cases())
    known = [case.id for case in invented_cases()]
    return Proposal(lines, lambda signed: judged_cases.judge_cases(signed, cases_print(), known, ratings))


def moderate_form(hand: Hand, ask: Mapping[str, Any]) -> Form:
    """Return the form that keeps what a verifier found on one decision of the sample."""
    with hand.records.reading() as connection:
        drawn = moderating.to_moderate(connection, hand.catalogue, hand.today(), hand.person)
    one = next((each for each in drawn if each.act == int(ask["act"])), None)
    if one is None:
        raise BadData(f"act {ask['act']}", "it is not in your sample of today", "one of the list")
    page = criterion_page(hand, one.person, one.criterion)
    options = tuple((f"{word}: {says}", word) for word, says in moderating.FINDINGS.items())
    fields = (
        Field("finding", "What you found", "one", options, None),
        Field("reason", "What you looked at, and what the tutor is to hear", "long"),
    )
    about = (
        ("Apprentice", page.name),
        ("Criterion", f"{page.criterion.id} {page.criterion.text}"),
        ("Decision", f"{one.decision}, on {one.day.isoformat()}, act {one.act}"),
        ("Why it was drawn", f"{', '.join(one.why) or 'by lot'}; {one.risk} points"),
        ("The rule", f"{moderating.RULE}. {moderating.SAMPLE_SAYS}"),
    )
    return Form("moderate", "Look at a decision of the sample", about, fields, one.person, {"act": one.act})


def propose_moderate(_hand: Hand, form: Form, values: Mapping[str, Any]) -> Proposal:
    """Say what was found, and what follows."""
    finding, reason, act = values["finding"], values["reason"], form.facts["act"]
    if finding not in moderating.FINDINGS:
        raise BadData("what you found", "nothing is chosen", " or ".join(moderating.FINDINGS))
    deciding.check_reason(reason)
    then = moderating.FINDINGS[finding]
    lines = (*form.about[:3], ("You found", f"{finding}: {then}"), ("Reason", reason.strip()))
    return Proposal(lines, lambda signed: moderating.moderate(signed, act, finding, reason))


def ratings_in(values: Mapping[str, Any]) -> dict[str, str]:
    """Return the ratings in what was pressed. A case nobody looked at is named.

    Raises
    ------
    BadData
        If a line was left out.
    """
    left = [case.title for case in invented_cases() if not values.get(f"case {case.id}")]
    if left:
        raise BadData("the cases", f"nothing is pressed for: {', '.join(left)}", "a button for each case")
    said = {case.id: str(values[f"case {case.id}"]) for case in invented_cases()}
    return {name: word for name, word in said.items() if word in judged_cases.RATINGS}
