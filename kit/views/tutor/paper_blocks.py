"""Test papers on the desk: what was drawn and not marked, what may be sat again, and the forms for both."""

from __future__ import annotations

from kit.records.competence import papers
from kit.records.people import staff
from kit.records.storage.store import Records
from kit.views.tutor.forms import may
from kit.views.tutor.pages import Block, button, buttons, table, title, words

MOST = 60
NEXT = {
    True: (("resit paper", "Another paper"),),
    False: (("mark paper", "Mark it"), ("print paper", "Print it")),
}
SIT = "The apprentice may sit it on your machine instead: smokehouse paper sit ID --as NAME."


def paper_blocks(records: Records, roles: frozenset[str]) -> list[Block]:
    """Return the papers that wait, the latest first, each with its buttons; nothing for who draws none."""
    if not may(roles, "draw paper"):
        return []
    offers = [
        button("Plan a paper", do="form", form="plan paper"),
        button("Draw papers", do="form", form="draw paper"),
    ]
    with records.reading() as connection:
        drawn = list(papers.papers(connection))
        again = {paper.resit_of for paper, _ in drawn}
        waiting = [
            (paper, staff.name_of(connection, paper.person), act is not None)
            for paper, act in reversed(drawn)
            if act is None or (not act.facts["sat"]["passed"] and paper.id not in again)
        ]
    rows = []
    for paper, name, marked in waiting[:MOST]:
        cells = []
        for form, label in NEXT[marked]:
            says = f"{label}: {paper.id}, {name}"
            cells.append(button(label, says=says, chip=True, do="form", form=form, paper=paper.id))
        stands = "not passed" if marked else "not marked yet"
        rows.append((name, f"{paper.id}, {paper.day}", stands, *cells, *(["–"] * (2 - len(cells)))))
    head = ("Whom", "Paper", "Stands", "Next", "Or")
    listed = table("Papers that wait", head, rows) if rows else words("No paper waits.")
    return [title("Test papers", level=4), buttons(*offers), listed, words(SIT, note=True)]
