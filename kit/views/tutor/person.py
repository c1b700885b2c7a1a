"""One apprentice's page and the evidence on one criterion, as blocks, with a small chart."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from kit.exercises.catalogue import Catalogue
from kit.records.competence.first_tries import PracticeDay
from kit.records.ledger.acts import Act
from kit.records.reports.board_page import long_day, sources_of, step_title
from kit.records.reports.crew_grid import WORD
from kit.records.reports.person_page import CriterionPage, PersonPage
from kit.views.pictures import ink
from kit.views.pictures.register import Drawing
from kit.views.tutor.form_attach import verdict_words
from kit.views.tutor.forms import may
from kit.views.tutor.pages import (
    Block,
    button,
    buttons,
    exercise_title,
    facts,
    fold,
    look_item,
    ours,
    table,
    title,
    words,
)
from kit.views.tutor.person_tables import appeals, elsewhere, notes
from kit.views.workbook.widget_base import page_picture

if TYPE_CHECKING:
    from collections.abc import Mapping

DAYS_SHOWN = 40


def person_blocks(page: PersonPage, me: str, roles: frozenset[str], catalogue: Catalogue) -> list[Block]:
    """Return one apprentice's page: what is agreed, progress, slips, hours, and all that was decided."""
    holds, of = page.safety
    head = [
        title(page.name, "person"),
        words(f"{' and '.join(page.roles) or 'no role here now'} · id {page.person}", note=True),
        facts(
            [
                ("Adjustments agreed", ", ".join(page.supports) or "none on file"),
                ("Safety-critical", f"competent on {holds} of {of}; all must be met"),
                ("Hours noted", f"{page.hours:g} h" if page.hours else "none"),
                ("Version taught", page.version_taught or "not noted"),
                (
                    "Answers taken in",
                    f"{page.answers}, last on {long_day(page.last_taken)}" if page.answers else "none",
                ),
                *[("A paper not marked yet", f"{one.id}, drawn on {one.day}") for one in page.unmarked],
            ]
        ),
        _actions(page, roles),
    ]
    if page.open:
        items = [look_item(one, me, roles, catalogue) for one in page.open]
        head.append(
            {
                "kind": "list",
                "key": "open",
                "title": "To look into",
                "count": len(items),
                "items": items,
                "beyond": 0,
                "empty": "",
            }
        )
    return [
        *head,
        title("Progress", level=4),
        *_progress(page.days),
        *_slips(page, catalogue),
        title("Where they stand", level=4),
        *_standing(page, catalogue, roles),
        title("Decisions", level=4),
        _decisions(page),
        *_seen(page.observations, "Observations"),
        *elsewhere(page),
        *appeals(page),
        *notes(page),
    ]


def criterion_blocks(
    page: CriterionPage,
    told: Mapping[str, str],
    roles: frozenset[str],
    catalogue: Catalogue,
    *,
    close: tuple[str, str],
) -> list[Block]:
    """Return the evidence on one criterion: the state, what is missing, tries, observations, source.

    Parameters
    ----------
    page : CriterionPage
        What the records say.
    told : Mapping
        The words of each mark.
    roles : frozenset
        Which buttons to offer.
    catalogue : Catalogue
        The titles of exercises.
    close : (str, str)
        What the button that closes it says, and what it asks for.
    """
    about = page.criterion
    dagger = (
        " A mistake here can hurt someone: all such criteria must be met." if about.safety_critical else ""
    )
    blocks = [
        title(f"{page.name}: {about.id}", "evidence"),
        words(f"**{about.text}** {step_title(about.step)}.{dagger}"),
        facts(
            [
                ("Today", page.stands.detail),
                (
                    "Still missing for “competent”",
                    " ".join(page.stands.missing) or "nothing: the evidence is complete",
                ),
                (
                    "Source of the criterion",
                    about.source.rstrip(". ") + (". From memory: confirm." if not about.seen else "."),
                ),
            ]
        ),
        buttons(*_offers(page, roles), {**button(close[0], do=close[1]), "key": "close"}),
    ]
    if page.decision is not None:
        shown = page.decision
        rows = [
            (
                "Decision on file",
                f"act {shown.stands.act}, {shown.stands.says}, {long_day(shown.stands.day)}",
            ),
            ("Decided by", f"{shown.by_name}; {shown.signature}"),
            ("Reason given", shown.reason),
            *([("Second signature", shown.second_says)] if shown.second_says else []),
        ]
        blocks += [title("Decision", level=4), facts(rows)]
    blocks += _seen(page.seen, "Observations and oral checks", told)
    blocks += _tries(page, catalogue)
    sources = "\n".join(f"- {name}: {' '.join(texts)}" for name, texts in sources_of(page.profiles))
    limits = sources or "No answer was given under a rule profile yet."
    blocks.append(fold("Where the limits come from", words(limits), words(ours(), note=True)))
    return blocks


def days_chart(days: Sequence[PracticeDay]) -> Drawing:
    """Return a small chart: on each day, first tries right (full) and slips (hatched)."""
    shown = list(days)[-DAYS_SHOWN:]
    figure, axes = ink.sheet(2.3)
    places = range(len(shown))
    right = [day.right for day in shown]
    slips = [day.tried - day.right for day in shown]
    axes.bar(places, right, width=0.7, color=ink.ACCENT)
    axes.bar(places, slips, width=0.7, bottom=right, color=ink.PAPER, edgecolor=ink.INK, hatch="////")
    _name_bars(axes, right, slips)
    every = max(1, len(shown) // 8)
    axes.set_xticks(list(places)[::every], [f"{day.day.day} {day.day:%b}" for day in shown][::every])
    axes.set_ylabel("First tries")
    axes.yaxis.get_major_locator().set_params(integer=True)
    axes.set_ylim(0, max([day.tried for day in shown], default=1) * 1.1)
    tried, good = sum(day.tried for day in shown), sum(right)
    text = f"First tries on {len(shown)} days: {good} of {tried} right first time."
    if shown:
        text += f" On {long_day(shown[-1].day)}, the last day: {shown[-1].right} of {shown[-1].tried}."
    return Drawing(figure, text)


def _name_bars(axes: Any, right: Sequence[int], slips: Sequence[int]) -> None:
    """Write beside the last bar that has each part what that part is."""
    for parts, below, name in ((right, [0] * len(right), "right first time"), (slips, right, "slip")):
        last = max((place for place, many in enumerate(parts) if many), default=None)
        if last is not None:
            ink.name_line(axes, len(parts) - 0.5, below[last] + parts[last] / 2, name, bbox=None)


def _actions(page: PersonPage, roles: frozenset[str]) -> Block:
    made = []
    ready = sum(cell.state == "ready" for cell in page.cells.values())
    if ready and may(roles, "decide"):
        says = f"Decide what is ready ({ready})"
        made.append(button(says, main=True, do="form", form="decide all", person=page.person))
    if may(roles, "note"):
        made.append(
            button("Note hours, a version or an adjustment", do="form", form="note", person=page.person)
        )
    if may(roles, "attach"):
        made.append(button("Keep a file", do="form", form="attach", person=page.person))
    if page.answers:
        made.append(button("How this book came about", do="book", person=page.person))
    return buttons(*made, button("Another person", do="another"))


def _progress(days: Sequence[PracticeDay]) -> list[Block]:
    if not days:
        return [words("No answer that counts yet.", note=True)]
    drawing = days_chart(days)
    return [{"kind": "picture", "picture": page_picture(drawing, label="First tries, day by day")}]


def _slips(page: PersonPage, catalogue: Catalogue) -> list[Block]:
    if not page.slips:
        return [words("No slip was made twice.", note=True)]
    rows = [
        (one.slip, exercise_title(catalogue, one.exercise), str(one.times), long_day(one.last))
        for one in page.slips
    ]
    return [
        title("Slips that recur", level=4),
        table("Slips that recur", ("Slip", "Exercise", "Times", "Last"), rows[:20]),
    ]


def _sheets(page: PersonPage, step: str) -> Block:
    """Return the buttons that open a sheet of a step: the short one at the bench, and the whole one."""
    ask: Block = {"do": "form", "person": page.person, "step": step}
    at = f": {page.name}, {step_title(step)}"
    return buttons(
        button("At the bench", says=f"At the bench{at}", main=True, form="bench", **ask),
        button("Observe the whole step", says=f"Observe the whole step{at}", form="observe", **ask),
    )


def _standing(page: PersonPage, catalogue: Catalogue, roles: frozenset[str]) -> list[Block]:
    blocks = []
    for step in dict.fromkeys(c.step for c in catalogue.criteria.values()):
        rows = []
        for name, criterion in catalogue.criteria.items():
            if criterion.step != step:
                continue
            cell = page.cells[name]
            opens = button(
                name,
                says=f"Evidence on {name}: {criterion.text}",
                chip=True,
                do="evidence",
                person=page.person,
                criterion=name,
            )
            rows.append(
                (
                    opens,
                    criterion.text + (" †" if criterion.safety_critical else ""),
                    f"{WORD[cell.state]} {cell.count}".strip(),
                )
            )
        moved = sum(not row[2].startswith(("nothing", "observe")) for row in rows)
        summary = f"{step_title(step)}: {moved} of {len(rows)} begun"
        shown = [table(step_title(step), ("Criterion", "What", "Today"), rows)]
        if may(roles, "observe") and "apprentice" in page.roles:
            shown.insert(0, _sheets(page, step))
        blocks.append(fold(summary, *shown))
    return blocks


def _decisions(page: PersonPage) -> Block:
    if not page.decisions:
        return words("Nothing was decided yet: every criterion is not yet competent.", note=True)
    rows = [
        (
            button(
                one.criterion,
                chip=True,
                says=f"Evidence on {one.criterion}",
                do="evidence",
                person=page.person,
                criterion=one.criterion,
            ),
            one.stands.says,
            long_day(one.stands.day),
            long_day(one.stands.review_on) if one.stands.holds else "–",
            one.by_name + (f", {one.second_by}" if one.second_by else ""),
            f"act {one.stands.act}: {one.signature}",
        )
        for one in page.decisions
    ]
    return table("Decisions", ("Criterion", "Today", "Decided", "Review by", "By", "Check"), rows)


def _seen(acts: Sequence[Act], caption: str, told: Mapping[str, str] | None = None) -> list[Block]:
    if not acts:
        return []
    rows = []
    for act in acts:
        points = "; ".join(f"{name} {outcome}" for name, outcome in act.facts["points"].items())
        row = [long_day_of(act), act.facts["method"], act.batch or "–", points, str(act.number)]
        if told is not None:
            row.insert(4, _said(act, told))
        rows.append(row)
    head = ["Day", "How", "Batch", "Outcome", "Act"]
    if told is not None:
        head.insert(4, "Notes")
    return [title(caption, level=4), table(caption, head, rows)]


def long_day_of(act: Act) -> str:
    """Return the day an observation says it was made."""
    from datetime import date

    return long_day(date.fromisoformat(act.facts["day"]))


def _said(act: Act, told: Mapping[str, str]) -> str:
    from kit.records.competence.observations import MEASURES
    from kit.records.competence.readings import despite_words
    from kit.records.ledger.texts import ERASED

    parts = [
        f"{name.rsplit('_', 1)[0].replace('_', ' ')} {value:g} {MEASURES[name]}"
        for name, value in act.facts["measures"].items()
    ]
    parts += [f"read at {act.facts['read_at']}"] if act.facts.get("read_at") else []
    for asked in act.facts["asked"]:
        parts.append(
            f"asked: {told.get(asked['question'], ERASED)} ({'right' if asked['met'] else 'not right'})"
        )
    parts += [f"used: {told.get(mark, ERASED)}" for mark in act.facts["supports"]]
    if act.facts["files"]:
        parts.append(f"{len(act.facts['files'])} on file")
    if act.facts.get("verdicts"):
        parts.append(f"log: {verdict_words(act.facts['verdicts'])}")
    if act.facts.get("against"):
        parts.append(despite_words({**act.facts, "despite": told.get(act.facts["despite"], ERASED)}))
    if act.facts["notes"]:
        parts.append(told.get(act.facts["notes"], ERASED))
    return "; ".join(parts)


def _offers(page: CriterionPage, roles: frozenset[str]) -> list[Block]:
    ask: Block = {"person": page.person, "criterion": page.criterion.id}
    made = []
    if may(roles, "observe"):
        what = "Observe" if page.criterion.kind == "performance" else "Record an oral check"
        made.append(button(what, do="form", form="observe", step=page.criterion.step, **ask))
        if page.criterion.kind == "performance":
            made.append(button("At the bench", do="form", form="bench", step=page.criterion.step, **ask))
    if may(roles, "decide"):
        made.append(button("Decide", main=True, do="form", form="decide", **ask))
    decided = page.stands.decided
    if "second" in page.stands.next and may(roles, "second"):
        made.append(button("Second signature", main=True, do="form", form="second", **ask))
    if decided is not None:
        if "settle" in page.stands.next:
            if may(roles, "settle"):
                made.append(button("Settle the appeal", do="form", form="settle", act=decided.appeal, **ask))
        elif may(roles, "appeal"):
            made.append(button("Appeal", do="form", form="appeal", **ask))
    return made


def _tries(page: CriterionPage, catalogue: Catalogue) -> list[Block]:
    if not page.tries:
        return [words("No practice on it was taken in.", note=True)]
    rows = [
        (
            long_day(one.day),
            exercise_title(catalogue, one.exercise),
            f"{one.verdict}, {one.score:.3g} of {one.of:g}",
            one.role,
            str(one.line),
        )
        for one in page.tries
    ]
    head = ("Day", "Exercise", "First answer", "Does it count?", "Line")
    return [title("Practice, done alone", level=4), table("Practice", head, rows)]
