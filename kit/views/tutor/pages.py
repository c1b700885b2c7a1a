"""What each part of the desk shows, as blocks: pure functions from the records to what the page draws."""

import base64
import mimetypes
from collections.abc import Sequence
from datetime import date
from typing import Any

from kit.basics.errors import UnknownName
from kit.criteria import OURS
from kit.exercises.catalogue import Catalogue
from kit.records.reports.board_page import long_day, step_title
from kit.records.reports.crew_grid import WORD, CrewPage, GridRow
from kit.records.reports.desk_lists import ToLook, ToSee, ToSign
from kit.records.reports.step_standing import StepStanding
from kit.views.tutor.forms import may

Block = dict[str, Any]
SHOWN_AT_MOST, CHIPS = 120, 5
STEPS = "all"
ROLE_SAYS = {
    "tutor": "A tutor observes, decides and looks into things",
    "verifier": "A verifier gives second signatures, settles appeals and looks into things",
    "manager": "A manager keeps the list of people",
}
SORT_SAYS = {"flag": "flag", "dispute": "disputed mark", "explanation": "explanation to read"}
KEY = (
    ("competent", "", "competent", "decided, and it holds today"),
    ("second wanted", "", "signed once", "competent; a second signature is wanted within 30 days"),
    ("refresher due", "", "refresher", "competent; to be refreshed within 30 days"),
    ("not yet", "", "not yet", "decided: not yet competent"),
    ("second refused", "", "refused", "the second signature was refused: not yet competent"),
    ("lapsed", "", "lapsed", "signed once, and no second signature came in time: not yet competent"),
    ("appeal", "", "appealed", "opened again by an appeal"),
    ("disputed", "", "disputed", "opened again: a mark it rests on is disputed"),
    ("over", "", "run out", "the review date has passed: not yet competent"),
    ("ready", "", "ready", "nobody decided yet; the evidence is complete"),
    ("seen", "", "seen", "seen at work, but not on enough days yet"),
    ("observe", "", "observe", "to be seen at work; answers never prove it"),
    ("practising", "1/3", "practising", "each full notch is a part of what practice must show"),
    ("sitting", "3/3", "ask", "practice has shown it; an oral check or a sitting is still needed"),
)


def title(text: str, key: str = "", level: int = 3) -> Block:
    """Return a heading; with a key it can take the focus."""
    return {"kind": "title", "text": text, "key": key, "level": level}


def words(text: str, *, note: bool = False) -> Block:
    """Return plain words."""
    return {"kind": "text", "text": text, "note": note}


def facts(rows: Sequence[tuple[str, str]]) -> Block:
    """Return labels with what they say."""
    return {"kind": "facts", "rows": [list(row) for row in rows]}


def say(text: str, tone: str = "done", key: str = "said") -> Block:
    """Return a message: ``done``, ``warn`` or ``error``."""
    return {"kind": "say", "text": text, "tone": tone, "key": key}


def buttons(*made: Block) -> Block:
    """Return a row of buttons."""
    return {"kind": "buttons", "buttons": list(made)}


def button(label: str, *, says: str = "", main: bool = False, chip: bool = False, **ask: Any) -> Block:
    """Return one button and what it asks for."""
    return {"label": label, "ask": ask, "says": says, "main": main, "chip": chip}


def table(caption: str, head: Sequence[str], rows: Sequence[Sequence[Any]]) -> Block:
    """Return a table."""
    return {"kind": "table", "caption": caption, "head": list(head), "rows": [list(row) for row in rows]}


def fold(summary: str, *blocks: Block) -> Block:
    """Return blocks behind a line that opens them."""
    return {"kind": "fold", "summary": summary, "blocks": list(blocks)}


def download(name: str, data: bytes) -> Block:
    """Return a file that the reader may save."""
    media = mimetypes.guess_type(name)[0] or "application/octet-stream"
    return {"kind": "download", "name": name, "data": base64.b64encode(data).decode(), "media": media}


def who_block(name: str, roles: frozenset[str], today: date) -> list[Block]:
    """Return the line on who is at the desk."""
    if not name:
        return [
            title("Nobody is at the desk", level=2),
            words("You can look, but not sign. Open the desk with your name: `smokehouse desk --as NAME`."),
        ]
    does = "".join(f"{says}. " for role, says in ROLE_SAYS.items() if role in roles)
    says = does.strip() or "No role at this desk now. A manager takes people on: smokehouse staff take-on."
    return [
        title(f"{name} is at the desk", level=2),
        words(f"{long_day(today)}. {says}", note=True),
        buttons({**button("Read everything again", do="again"), "quiet": True}),
    ]


def today_blocks(
    see: Sequence[ToSee],
    sign: Sequence[ToSign],
    look: Sequence[ToLook],
    me: str,
    roles: frozenset[str],
    catalogue: Catalogue,
    own: int = 0,
) -> list[Block]:
    """Return what is to sign, to look into and to see. ``own`` decisions wait for somebody else."""
    waiting = sum(len(one.criteria) for one in see)
    return [
        {
            "kind": "columns",
            "columns": [
                {"label": "To sign", "blocks": [_to_sign(sign, roles, catalogue, own)]},
                {"label": "To look into", "blocks": [_to_look(look, me, roles, catalogue)]},
            ],
        },
        fold(f"Everything that waits to be seen ({waiting})", _to_see(see, catalogue)),
    ]


def board_blocks(found: CrewPage, step: str, search: str, catalogue: Catalogue) -> list[Block]:
    """Return the rail: all steps as an overview, or one step with a column for each criterion."""
    steps = list(dict.fromkeys(c.step for c in found.criteria))
    if step not in steps:
        step = STEPS
    controls = {
        "kind": "controls",
        "steps": [[STEPS, "The whole rail"], *[[one, step_title(one)] for one in steps]],
        "step": step,
        "search": search,
        "page": found.page,
        "pages": found.pages,
    }
    blocks: list[Block] = [controls]
    nobody = f"Nobody's name holds “{search}”." if search else "Nobody is on file yet. Take in a book first."
    if step == STEPS:
        blocks += [words(_overview_words(found), note=True), _overview(found, steps, nobody)]
    else:
        moves = "A cell opens the evidence, a name the person. Arrow keys move, Enter opens."
        blocks += [
            words(moves, note=True),
            _step_grid(found, step, nobody),
            {"kind": "key", "rows": [list(row) for row in KEY]},
        ]
        rows = [(c.id + ("†" if c.safety_critical else ""), c.text) for c in _columns(found, step)]
        blocks.append(fold("The criteria in words", facts(rows)))
    if found.not_enrolled:
        many = f"{found.not_enrolled} people who sent in answers are no apprentices here"
        told = many if found.not_enrolled > 1 else "1 person who sent in answers is no apprentice here"
        blocks.append(words(f"{told}. Take them on first: smokehouse staff take-on.", note=True))
    return blocks


def exercise_title(catalogue: Catalogue, name: str) -> str:
    """Return an exercise's title, or its id where this kit does not have it any more."""
    try:
        return catalogue.info(name).title
    except UnknownName:
        return name


def _to_see(see: Sequence[ToSee], catalogue: Catalogue) -> Block:
    items = []
    for one in see[:SHOWN_AT_MOST]:
        due = f", {long_day(one.due)}" if one.due is not None else ""
        chips = [_chip(one.person, one.name, name, catalogue) for name in one.criteria[:CHIPS]]
        if len(one.criteria) > CHIPS:
            chips.append(
                button(f"{len(one.criteria) - CHIPS} more", chip=True, do="person", person=one.person)
            )
        items.append({"name": one.name, "tag": one.says + due, "buttons": chips})
    return _list(
        "see", "To see", sum(len(one.criteria) for one in see), items, len(see), "Nobody waits to be seen."
    )


def _to_sign(sign: Sequence[ToSign], roles: frozenset[str], catalogue: Catalogue, own: int) -> Block:
    able = may(roles, "second")
    items = []
    for one in sign[:SHOWN_AT_MOST]:
        ask: Block = {"person": one.person, "criterion": one.criterion}
        made = [_chip(one.person, one.name, one.criterion, catalogue)]
        if able:
            says = f"Second signature: {one.name}, {one.criterion}"
            made.append(button("Second signature", says=says, chip=True, do="form", form="second", **ask))
        items.append(
            {
                "name": one.name,
                "tag": f"{one.decision}, decided by {one.by_name} on {long_day(one.day)}, act {one.act}",
                "buttons": made,
            }
        )
    decisions = f"{own} decisions of your own wait" if own > 1 else "1 decision of your own waits"
    empty = f"Nothing for you. {decisions} for somebody else." if own else "No second signature is wanted."
    block = _list("sign", "To sign", len(sign), items, len(sign), empty)
    return block if able or not sign else {**block, "title": "To sign, by a verifier"}


def _to_look(look: Sequence[ToLook], me: str, roles: frozenset[str], catalogue: Catalogue) -> Block:
    return _list(
        "look",
        "To look into",
        len(look),
        [look_item(one, me, roles, catalogue) for one in look[:SHOWN_AT_MOST]],
        len(look),
        "Nothing waits.",
    )


def look_item(one: ToLook, me: str, roles: frozenset[str], catalogue: Catalogue) -> Block:
    """Return one thing to look into, with the button that opens its form."""
    made: list[Block] = []
    ask: Block
    on = f", {long_day(one.day)}" if one.day else ""
    if one.sort == "appeal":
        tag = f"appeal on {one.about}{on}"
        made.append(_chip(one.person, one.name, one.about, catalogue))
        if one.by == me:
            tag += "; you decided it, so somebody else settles it"
        elif may(roles, "settle"):
            ask = {"form": "settle", "person": one.person, "criterion": one.about, "act": one.act}
            says = f"Settle the appeal: {one.name}, {one.about}"
            made.append(button("Settle", says=says, chip=True, do="form", **ask))
    else:
        about = one.about if one.sort == "flag" else exercise_title(catalogue, one.about)
        where = f", line {one.line} of the book" if one.line else ""
        tag = f"{SORT_SAYS[one.sort]}: {about}{on}{where}"
        if may(roles, "look"):
            ask = {"form": "look", "person": one.person, "name": one.name, "sort": one.sort}
            ask |= {"about": one.about, "line": one.line, "quote": one.says}
            says = f"Look at it: {one.name}, {tag}"
            made.append(button("Look at it", says=says, chip=True, do="form", **ask))
    return {
        "name": one.name,
        "tag": tag,
        "detail": f"“{one.says}”" if one.sort != "flag" else one.says,
        "buttons": made,
    }


def _chip(person: str, name: str, criterion: str, catalogue: Catalogue) -> Block:
    about = catalogue.criteria.get(criterion)
    text = "" if about is None else about.text
    made = button(
        criterion,
        says=f"{name}, {criterion}: {text}",
        chip=True,
        do="evidence",
        person=person,
        criterion=criterion,
    )
    return {**made, "title": text}


def _list(key: str, text: str, count: int, items: list[Block], whole: int, empty: str) -> Block:
    beyond = max(0, whole - SHOWN_AT_MOST)
    return {
        "kind": "list",
        "key": key,
        "title": text,
        "count": count,
        "items": items,
        "beyond": beyond,
        "empty": empty,
    }


def _overview_words(found: CrewPage) -> str:
    return (
        f"{found.people} people, in the order of the fish’s way. A dark tag: they do the step alone. A light "
        "tag: with a tutor, and on how many criteria they are competent, or how many are ready for a "
        "decision. An empty hook: nobody looked yet. A hook opens the step, a name the person. "
        "Arrow keys move, Enter opens."
    )


def _overview(found: CrewPage, steps: Sequence[str], empty: str) -> Block:
    columns: list[Block] = [{"id": one, "short": step_title(one), "says": step_title(one)} for one in steps]
    columns.insert(0, {"id": STEPS, "short": "Safety-critical", "says": "all that is safety-critical"})
    columns[1]["first"] = True
    rows = []
    for row in found.rows:
        holds, of = row.safety
        tags = [_tag(row.steps[one], _ready(row, one, found)) for one in steps]
        cells = [_share(holds, of), *tags]
        rows.append(_row(row, cells))
    return {
        "kind": "grid",
        "label": "The rail: people by steps",
        "columns": columns,
        "groups": [["", len(columns)]],
        "rows": rows,
        "opens": "step",
        "wide": True,
        "empty": empty,
    }


def _ready(row: GridRow, step: str, found: CrewPage) -> int:
    return sum(row.cells[c.id].state == "ready" for c in found.criteria if c.step == step)


def _share(holds: int, of: int) -> Block:
    return {
        "state": "share",
        "word": f"{holds}/{of}" if holds else "·",
        "says": f"competent on {holds} of {of}",
    }


def _tag(one: StepStanding, ready: int) -> Block:
    """Return the tag that hangs on the rail for a step: how it is done, and how far it has come."""
    more = f"{ready} ready" if ready else ""
    second = more or (f"{one.holds} of {one.of}" if one.way == "with a tutor" else "")
    said = f"{' '.join(one.words)}; competent on {one.holds} of {one.of}"
    return {
        "state": f"rail {one.way}",
        "word": f"{one.way}\n{second}".strip() if one.looked_at else "",
        "says": f"{said}{f'; {more} for a decision' if more else ''}",
    }


def _step_grid(found: CrewPage, step: str, empty: str) -> Block:
    criteria = _columns(found, step)
    known = sum(c.kind == "knowledge" for c in criteria)
    columns = [
        {
            "id": c.id,
            "short": c.id,
            "says": f"{c.id} {c.text}",
            "dagger": c.safety_critical,
            "first": place == known and known > 0,
        }
        for place, c in enumerate(criteria)
    ]
    rows = []
    for row in found.rows:
        cells = []
        for c in criteria:
            cell = row.cells[c.id]
            word = "" if cell.state == "nothing" else WORD[cell.state]
            if cell.state == "seen":
                word = f"{word} {cell.count}"
            cells.append({"state": cell.state, "count": cell.count, "word": word, "says": cell.detail})
        rows.append(_row(row, cells))
    groups = [["Knowing", known], ["Doing", len(criteria) - known]]
    return {
        "kind": "grid",
        "label": f"The rail: {step_title(step)}",
        "columns": columns,
        "groups": [group for group in groups if group[1]],
        "rows": rows,
        "opens": "evidence",
        "wide": False,
        "empty": empty,
    }


def _columns(found: CrewPage, step: str) -> list[Any]:
    return sorted((c for c in found.criteria if c.step == step), key=lambda c: c.kind != "knowledge")


def _row(row: GridRow, cells: list[Block]) -> Block:
    return {
        "person": row.person,
        "name": row.name,
        "note": "" if row.enrolled else "not taken on",
        "cells": cells,
    }


def ours() -> str:
    """Return what is said wherever a number of ours is shown."""
    return f"How many observations, what is safety-critical and the review time are {OURS}."


def finder_blocks(found: Sequence[Any], search: str) -> list[Block]:
    """Return a field to find somebody by name, and the first of those whose name fits."""
    chips = [button(one.name, chip=True, do="person", person=one.person) for one in found[:24]]
    blocks: list[Block] = [{"kind": "finder", "search": search, "key": "finder"}, buttons(*chips)]
    if len(found) > len(chips):
        blocks.append(words(f"And {len(found) - len(chips)} more: type part of the name.", note=True))
    if not found:
        blocks.append(words("Nobody's name holds that." if search else "Nobody is on file yet.", note=True))
    return blocks
