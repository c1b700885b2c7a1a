"""A verifier's day on the desk: one list, each line with the button that opens its form."""

from __future__ import annotations

from collections.abc import Sequence

from kit.records.competence.moderating import RULE, VerifierFinding
from kit.records.reports.board_page import long_day
from kit.records.reports.verifier_day import ToVerify
from kit.views.tutor.pages import Block, button, fold, table, words

OFFERS = {"settle": "Settle", "second": "Second signature", "moderate": "Look at it"}
MOST = 120
SAMPLE = f"The sample follows the rule {RULE}; each of its forms tells the rule and why it was drawn."


def verifier_blocks(day: Sequence[ToVerify]) -> list[Block]:
    """Return the list of a verifier's day."""
    items = []
    for one in day[:MOST]:
        label = OFFERS[one.sort]
        asked: Block = {"form": one.sort, "person": one.person, "criterion": one.criterion, "act": one.act}
        says = f"{label}: {one.name}, {one.criterion}"
        opened = button(one.criterion, says=f"Open the evidence: {one.name}, {one.criterion}", chip=True,
                        do="evidence", person=one.person, criterion=one.criterion)  # fmt: skip
        on = f", {long_day(one.day)}" if one.day else ""
        items.append(
            {
                "name": one.name,
                "tag": f"{one.says}{on}, act {one.act}",
                "buttons": [opened, button(label, says=says, chip=True, do="form", **asked)],
            }
        )
    listed = {
        "kind": "list",
        "key": "verifier",
        "title": "Your day as a verifier",
        "count": len(day),
        "items": items,
        "beyond": max(0, len(day) - MOST),
        "empty": "Nothing waits for a verifier today.",
    }
    return [listed, words(SAMPLE, note=True)]


def finding_blocks(found: Sequence[VerifierFinding]) -> list[Block]:
    """Return what verifiers found on one's own decisions, for that tutor alone."""
    if not found:
        return []
    rows = [(long_day(one.day), f"{one.criterion}, act {one.act}", one.finding, one.reason) for one in found]
    made = table("What verifiers found", ("Day", "Decision", "Found", "Reason"), rows)
    return [fold(f"What verifiers found on your decisions ({len(rows)})", made)]
