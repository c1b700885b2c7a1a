"""The ten invented cases on the desk: judged once and alone, and then how one stands beside the others."""

from __future__ import annotations

from collections.abc import Mapping

from kit import criteria
from kit.basics.errors import BadData
from kit.basics.quantities import count_of
from kit.records.competence import judged_cases
from kit.records.people import entitlement
from kit.records.storage.store import Records
from kit.statistics.invented_cases import InventedCase, beside, cases_print, invented_cases, told_in_words
from kit.views.tutor.case_page import drawing
from kit.views.tutor.form_agreeing import ALONE
from kit.views.tutor.pages import Block, button, buttons, fold, table, title, words

NO_KEY = "There is no key: some cases lie at the edge on purpose. It ranks nobody. Talk about where you part."


def case_blocks(records: Records, me: str, roles: frozenset[str]) -> list[Block]:
    """Return what somebody at the desk may see of the ten cases: the way to judge them, or how they stand."""
    if not roles & entitlement.MAY[judged_cases.JUDGED]:
        return []
    with records.reading() as connection:
        told = judged_cases.judgements(connection, cases_print())
    heading = title("Ten invented cases", "cases", 4)
    if me not in told:
        many = f"{count_of(len(told), 'tutor')} judged them so far." if told else "Nobody judged them yet."
        offer = buttons(button("Judge the ten cases", do="form", form="cases"))
        shown = fold("Look at the ten cases", *[each for one in invented_cases() for each in _case(one)])
        return [heading, words(f"{many} {ALONE}"), offer, shown]
    return [heading, *_beside(told, me), words(NO_KEY, note=True)]


def _beside(told: Mapping[str, Mapping[str, str]], me: str) -> list[Block]:
    try:
        found = beside(told, me)
    except BadData as error:  # the library for it is not installed
        return [words(str(error), note=True)]
    made = [words(found.says), *(words(f"{figure}.") for figure in found.figures)]
    rows = [
        (
            case.title,
            mine or "left out",
            ", ".join(f"{n} {word}" for word, n in said) or "nobody",
            "**you part**" if parts else "–",
        )
        for case, mine, said, parts in found.cases
    ]
    listed = table("The cases, and how many others said what", ("Case", "You", "Others", "Apart"), rows)
    return [*made, *([fold("Case by case", listed)] if rows else [])]


def _case(case: InventedCase) -> list[Block]:
    asked = criteria.get(case.criterion)
    made = [
        title(f"{case.title} ({asked.id})", level=4),
        words(f"{told_in_words(case)} Is it met: {asked.text}"),
    ]
    if case.log:
        picture = {"svg": drawing(case), "label": case.log_says, "text": told_in_words(case), "facts": []}
        made.append({"kind": "picture", "picture": picture})
    return made
