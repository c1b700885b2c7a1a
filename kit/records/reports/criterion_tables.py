"""The criterion tables of the inspector’s file: safety-critical ones apart, then step by step."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from itertools import groupby
from typing import Any

from kit.records.competence.readings import despite_words
from kit.records.ledger.draws import TO_DRAW
from kit.records.people.named_acts import Told, day_words, many
from kit.records.reports.board_page import step_title
from kit.records.reports.observation_pdf import measures_of
from kit.records.reports.pdf_style import gap, room, section, table
from kit.records.reports.pdf_text import marked, say, text
from kit.records.reports.person_facts import NOT_LOOKED_AT, CriterionFile, PersonFile, Ruling

DAGGER = "\N{DAGGER}"
HEAD = ["Criterion", "Decision today", "Evidence", "Who decided; second signature"]
WIDTHS = [48, 38, 48, 50]


def safety_table(file: PersonFile) -> list[Any]:
    """Return the safety-critical criteria, shown apart: all must be competent.

    Each decision has a row; what is undecided is folded to a line a step.
    """
    met, of = file.safety
    critical = [one for one in file.standings if one.criterion.safety_critical]
    rows: list[list[Any]] = [["Criterion", "", "Today", "Decided", "Review"]]
    for one in critical:
        if one.ruling is not None:
            rows.append(
                [
                    text(one.criterion.id, "bold"),
                    one.criterion.text,
                    text(one.says, "bold" if one.stands.holds else "cell"),
                    f"{day_words(one.ruling.act.day)}, act {one.ruling.act.number}",
                    day_words(one.ruling.review_on),
                ]
            )
    all_met = "All are competent today." if met == of else f"{of - met} still to come or no longer holding."
    words = (
        f"<b>All must be competent: {met} of {of}. Nothing averages.</b> {all_met} "
        "Each decision has its full entry below, with its evidence."
    )
    decided = [table(rows, [21, 67, 44, 28, 24])] if len(rows) > 1 else []
    folded = [[step_title(step), _undecided(mine)] for step, mine in _open_by_step(critical)]
    rest = [table([["No decision yet", "Safety-critical criteria"], *folded], [46, 138])] if folded else []
    return section("Safety-critical criteria", [marked(words), *decided, *rest])


def matrix(file: PersonFile) -> list[Any]:
    """Return every decision, step by step, with evidence, who decided and second signature.

    What is undecided takes one line a step.
    """
    words = (
        f"{DAGGER} safety-critical. Act numbers are places in the chain. “Signature fits” means that it was "
        "checked with the public key on file of the person who decided. Practice is unsupervised. "
        "“Not looked at” means that nothing is on record: it is no failure."
    )
    story = section("Criterion by criterion", [text(words, "small")], room_mm=95)
    undecided = dict(_open_by_step(file.standings))
    folded: list[list[Any]] = []
    for step, standings in groupby(file.standings, key=lambda each: each.criterion.step):
        made = [_row(each, each.ruling) for each in standings if each.ruling is not None]
        if made:
            title = step_title(step)
            story += [room(45), table([HEAD, *made], WIDTHS, title=title), gap(2)]
        if step in undecided:
            folded.append([step_title(step), _undecided(undecided[step])])
    if folded:
        story += [room(30), table([["No decision yet", "Criteria"], *folded], [46, 138])]
    return story


def _open_by_step(standings: Iterable[CriterionFile]) -> list[tuple[str, list[CriterionFile]]]:
    """Return the criteria without a decision, by step, in the order of the work."""
    bare = (one for one in standings if one.ruling is None)
    return [(step, list(mine)) for step, mine in groupby(bare, key=lambda each: each.criterion.step)]


def _undecided(standings: Iterable[CriterionFile]) -> Any:
    """Return criteria without a decision in one cell: what has begun first, each kind with its words."""
    by_words: dict[str, list[str]] = defaultdict(list)
    for one in standings:
        sign = f" {DAGGER}" if one.criterion.safety_critical else ""
        by_words[_how_far(one)].append(f"{one.criterion.id}{sign}")
    last = by_words.pop(NOT_LOOKED_AT, [])
    parts = [f"<b>{say(', '.join(ids))}</b>: {say(words)}" for words, ids in by_words.items()]
    parts += [f"{NOT_LOOKED_AT}: {say(', '.join(last))}"] if last else []
    return marked("<br/>".join(parts), "cell")


def _how_far(one: CriterionFile) -> str:
    practice, day = one.stands.practice, one.stands.day
    if not one.touched:
        return NOT_LOOKED_AT
    says = one.stands.says.removeprefix("not yet: ")  # nobody decided: it must not read like a miss
    if practice is not None and practice.held_on(day):
        return f"{says}; practice, unsupervised: {practice.sure_on(day)}"
    return says


def earlier_decisions(file: PersonFile) -> list[Any]:
    """Return the decisions that later ones replaced: none is ever taken away."""
    rows: list[list[Any]] = [["Criterion", "Decision", "Evidence", "Who decided; second signature"]]
    for standing in file.standings:
        for ruling in standing.earlier:
            about = f"{standing.criterion.id}: replaced by a later decision"
            rows.append([about, _decision(ruling), _evidence(ruling), _who(ruling)])
    if len(rows) == 1:
        return section(
            "Earlier decisions", [text("None: no decision was replaced by a later one.")], room_mm=20
        )
    return section("Earlier decisions", [table(rows, WIDTHS)])


def _row(standing: CriterionFile, ruling: Ruling) -> list[Any]:
    criterion = standing.criterion
    sign = f" {DAGGER}" if criterion.safety_critical else ""
    first = f"<b>{criterion.id}{sign}</b> {say(criterion.text)}"
    if not ruling.same_words:
        first += "<br/>Its words or needs have changed since the decision."
    today = f"<b>{say(standing.says)}</b><br/>{_decision_markup(ruling)}"
    return [marked(first, "cell"), marked(today, "cell"), _evidence(ruling), _who(ruling)]


def _decision(ruling: Ruling) -> Any:
    return marked(
        f"<b>{say(ruling.act.facts.get('decision', ''))}</b><br/>{_decision_markup(ruling)}", "cell"
    )


def _decision_markup(ruling: Ruling) -> str:
    lines = [f"on {day_words(ruling.act.day)}, act {ruling.act.number}"]
    if ruling.review_on is not None:
        lines.append(f"review date {day_words(ruling.review_on)}")
        lines.append(f"refresher due from {day_words(ruling.refresher_on)}")
    return "<br/>".join(say(line) for line in lines)


def _evidence(ruling: Ruling) -> Any:
    facts = ruling.act.facts
    lines = [f"Method: {', '.join(ruling.methods) or 'none'}."]
    lines += [_seen(one, len(ruling.methods) > 1) for one in ruling.seen]
    if not facts.get("despite"):  # else it stands beside the reason given
        lines += [f"AGAINST IT: {each}" for each in ruling.against]
    if ruling.lines:
        numbers = ", ".join(str(one.line) for one in ruling.lines)
        lines.append(f"Book line{'s' if len(ruling.lines) > 1 else ''} {numbers}, {_span(ruling)}.")
    if ruling.lost:
        lines.append(f"{ruling.lost} named book lines are not on record here.")
    lines += [f"File {str(each)[:16]}…" for each in many(facts.get("files"))]
    if ruling.act.kind == "brought in":
        lines.append(f"Paper: {facts.get('paper', '')}, decided by {facts.get('who', '')}.")
    lines += [f"Missing then: {each}" for each in many(facts.get("missing"))]
    return marked("<br/>".join(say(line) for line in lines), "cell")


def _seen(one: Told, mixed: bool) -> str:
    how = f"{str(one.facts.get('method', '')).capitalize()}: " if mixed else ""
    batch = f", batch {one.batch}" if one.batch else ""
    fits = "" if one.signed else ", signature does NOT fit"
    read = "; ".join(measures_of(one))
    return f"{how}act {one.number}, {day_words(one.day)}{batch}{f', {read}' if read else ''}{fits}"


def _span(ruling: Ruling) -> str:
    days = sorted(one.day for one in ruling.lines if one.day is not None)
    if not days:
        return "no day"
    return day_words(days[0]) if days[0] == days[-1] else f"{day_words(days[0])} to {day_words(days[-1])}"


def _who(ruling: Ruling) -> Any:
    lines = [f"<b>{say(ruling.act.by)}</b>, signature {_fits(ruling.act)}"]
    lines.append(f"On file then: {say(ruling.fit)}" if ruling.fit else "No competence to assess on file then")
    reason = str(ruling.act.facts.get("reason", ""))
    if reason:
        lines.append(f"“{say(reason)}”")
    despite = despite_words(ruling.act.facts)
    if despite:
        lines.append(f"<b>{say(despite)}</b>")
    lines += [*_second(ruling), *_appeal_lines(ruling)]
    return marked("<br/>".join(lines), "cell")


def _second(ruling: Ruling) -> Iterable[str]:
    second = ruling.second
    if second is not None:
        agrees = "agrees" if second.facts.get("agrees") else "DISAGREES"
        yield (
            f"Second: <b>{say(second.by)}</b> {agrees}, {day_words(second.day)}, act {second.number}, "
            f"signature {_fits(second)}: “{say(second.facts.get('reason', ''))}”"
        )
    elif ruling.asked:
        yield f"Second: {_ASKED[ruling.asked]}"


_ASKED = {"wanted": "wanted, not given yet", "not drawn": "not drawn by the plan", TO_DRAW: "not drawn yet"}


def _appeal_lines(ruling: Ruling) -> Iterable[str]:
    for opened, closed in ruling.appeals:
        how = "still open" if closed is None else say(closed.facts.get("outcome", ""))
        yield f"Appeal, act {opened.number}: {how}"


def _fits(one: Told) -> str:
    return "fits" if one.signed else "does NOT fit"
