"""Page one of the inspector’s file. It answers alone: which kitchen, by which rules, who does which step
alone until when, what is open, and who signed with what fitness to assess.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import timedelta
from typing import Any

from kit import rules
from kit.basics.quantities import count_of
from kit.files.joined_kitchen import joined
from kit.records.competence.decision_state import SECOND_WITHIN_DAYS
from kit.records.people.named_acts import Told, day_words
from kit.records.reports import pdf_style
from kit.records.reports.board_page import step_title
from kit.records.reports.chain_statement import NOT_PROVED, Proof
from kit.records.reports.pdf_style import framed, section, table
from kit.records.reports.pdf_text import marked, say, text
from kit.records.reports.person_facts import CriterionFile, PersonFile, Ruling
from kit.records.reports.step_standing import SIGN

NO_FITNESS = "no competence to assess on file on the day"
_LABEL_MM = 50
_STEPS_SAY = (
    f"{SIGN['alone']} alone: competent today on every criterion of the step, up to the day shown. "
    f"{SIGN['with a tutor']} with a tutor: not on all. "
    f"{SIGN['not looked at']} not looked at: nothing on record, which is no failure."
)


def front_of_all(files: Sequence[PersonFile], proof: Proof) -> list[Any]:
    """Return what page one says of everybody on record."""
    return [
        proof_box(proof),
        _named([*_kitchen(), ["Safety-critical", "All must be competent. Nothing averages over them, or over "
                              "people."]]),
        *section("Who does which step alone", [text(_STEPS_SAY, "small"), _steps_of_all(files)], room_mm=30),
        *_open(files),
        *_signed(files),
    ]  # fmt: skip


def front_of_one(file: PersonFile, proof: Proof, *, alone: bool) -> list[Any]:
    """Return what the first page about one person says; ``alone`` is whether no cover stands before it."""
    met, of = file.safety
    state = file.in_state
    rows: list[list[Any]] = [
        *(_kitchen() if alone else []),
        ["Start and roles", f"{day_words(file.started)}; {_roles(file)}"],
        ["Safety-critical", marked(f"<b>{met} of {of} competent.</b> All: nothing averages.", "cell")],
        ["All criteria", f"{file.holding} of {len(file.standings)} competent today, "
                         f"{state('second wanted')} of them signed once; "
                         f"{state('refresher due')} to refresh within 30 days"],
        ["Decided, not holding", f"{state('not yet', 'second refused')} not yet competent; "
                                 f"{state('appeal', 'disputed')} opened again; "
                                 f"{state('lapsed')} signed once and lapsed; "
                                 f"{state('over')} past the review date"],
        ["No decision", f"{file.begun} with something on record; {file.untouched} not looked at, "
                        "which is no failure"],
    ]  # fmt: skip
    return [
        proof_box(proof),
        _named(rows),
        *section("Which step alone", [text(_STEPS_SAY, "small"), _steps_of_one(file)], room_mm=30),
        *_open([file]),
        *_signed([file]),
    ]


def proof_box(proof: Proof) -> Any:
    """Return what a check of the chain found, in a frame, with the code of its end."""
    style = "body" if proof.fits else "warning"
    lines = [text(line, style if place == 0 else "body") for place, line in enumerate(proof.says)]
    head = f"<b>Code of the chain: {say(proof.head.short)}</b>, its end at act {proof.head.number}."
    return framed([*lines, marked(head)], strong=not proof.fits)


def not_proved() -> Any:
    """Return what the file does not prove, in a frame."""
    lines = [text("What this file does not prove", "caption")]
    return pdf_style.together([framed([*lines, *(text(f"• {each}", "small") for each in NOT_PROVED)])])


def _kitchen() -> list[list[Any]]:
    kitchen = joined()
    if kitchen is None:
        profile, name = rules.load(), "no kitchen file on this machine"
    else:
        profile, name = kitchen.rules(), f"{kitchen.name}, kitchen file version {kitchen.version}"
    own = sum(bool(rule.tightened) for rule in profile.rules)
    house = f"; {count_of(own, 'limit')} tighter in this kitchen" if own else ""
    return [["Kitchen", name], ["Rules in force", f"{profile.title} ({profile.id}){house}"]]


def _steps_of_all(files: Sequence[PersonFile]) -> Any:
    rows: list[list[Any]] = [
        ["Step", "Alone today, each up to the day shown", "With a tutor", "Not looked at"]
    ]
    for step in files[0].steps if files else ():
        here = [(file, file.steps[step]) for file in files]
        ways = Counter(one.way for _, one in here)
        alone = "; ".join(
            f"<b>{say(file.member.name)}</b> {say(one.words[1])}" for file, one in here if one.way == "alone"
        )
        rows.append(
            [
                step_title(step),
                marked(alone or "nobody", "cell"),
                str(ways["with a tutor"]),
                str(ways["not looked at"]),
            ]
        )
    return table(rows, [46, 88, 24, 26]) if files else text("Nobody learns here now.")


def _steps_of_one(file: PersonFile) -> Any:
    rows: list[list[Any]] = [["Step", "Today", "Until", "Criteria competent", "Of them safety-critical"]]
    for step, one in file.steps.items():
        until = day_words(one.until) if one.way == "alone" else "–"
        critical = [each.stands for each in file.standings if each.criterion.step == step
                    and each.criterion.safety_critical]  # fmt: skip
        safety = f"{sum(each.holds for each in critical)} of {len(critical)}" if critical else "none"
        way = text(one.words[0], "bold" if one.way == "alone" else "cell")
        rows.append([step_title(step), way, until, f"{one.holds} of {one.of}", safety])
    return table(rows, [52, 38, 28, 32, 34])


def _open(files: Sequence[PersonFile]) -> list[Any]:
    wanted = [(file, each) for file in files for each in file.standings if _wants_second(each)]
    late = [(file, each) for file, each in wanted if _is_late(each)]
    waiting = [f"{_who(file, each)}, decided {day_words(each.ruling.act.recorded)}"
               for file, each in wanted if not _is_late(each) and each.ruling]  # fmt: skip
    late_words = [f"{_who(file, each)}, signed once on {day_words(each.ruling.act.recorded)}, does not hold"
                  for file, each in late if each.ruling]  # fmt: skip
    over = [f"{_who(file, each)}, since {day_words(each.stands.decided.review_on)}"
            for file in files for each in file.standings
            if each.stands.state == "over" and each.stands.decided]  # fmt: skip
    rows = [
        ["Open appeals", _points(_appeals(files))],
        ["Late second signatures", _points(late_words)],
        ["Second signatures wanted", _points(waiting)],
        ["Review date passed", _points(over)],
    ]
    return section("What is open today", [_named(rows)], room_mm=30)


def _points(words: Sequence[str]) -> Any:
    return marked("<br/>".join(say(each) for each in words) or "none", "cell")


def _who(file: PersonFile, standing: CriterionFile) -> str:
    return f"{file.member.name}: {standing.criterion.id}"


def _wants_second(standing: CriterionFile) -> bool:
    decided = standing.stands.decided
    return decided is not None and standing.ruling is not None and decided.wants_second


def _is_late(standing: CriterionFile) -> bool:
    assert standing.ruling is not None  # asked of those that want a second signature
    last = standing.ruling.act.recorded + timedelta(days=SECOND_WITHIN_DAYS)
    return standing.stands.day > last


def _appeals(files: Sequence[PersonFile]) -> list[str]:
    return [
        f"{_who(file, standing)}, since {day_words(opened.day)}, act {opened.number}"
        for file in files
        for standing in file.standings
        for ruling in standing.rulings
        for opened, closed in ruling.appeals
        if closed is None
    ]


@dataclass
class _Signer:
    """What one person signed: how many decisions and second signatures, with what fitness, how many unfit."""

    name: str
    decided: int = 0
    second: int = 0
    broken: int = 0
    fits: Counter[str] = field(default_factory=Counter)

    def add(self, act: Told, fit: str) -> None:
        self.broken += not act.signed
        self.fits[fit or NO_FITNESS] += 1


def _signed(files: Sequence[PersonFile]) -> list[Any]:
    signers = _signers([ruling for file in files for one in file.standings for ruling in one.rulings])
    rows: list[list[Any]] = [["Who", "Signed", "Fitness to assess, on file on the day"]]
    for one in sorted(signers, key=lambda each: each.name.casefold()):
        did = [count_of(one.decided, "decision")] if one.decided else []
        did += [count_of(one.second, "second signature")] if one.second else []
        broken = f"; {count_of(one.broken, 'signature')} do NOT fit" if one.broken else ""
        alone = len(one.fits) == 1
        fits = [each if alone else f"{each}: {times} times" for each, times in one.fits.items()]
        rows.append([text(one.name, "bold"), ", ".join(did) + broken, _points(fits)])
    body = table(rows, [46, 52, 86]) if len(rows) > 1 else text("Nothing was decided yet.")
    return section("Who signed, and with what fitness", [body], room_mm=25)


def _signers(rulings: Sequence[Ruling]) -> list[_Signer]:
    found: dict[str, _Signer] = {}
    for ruling in rulings:
        one = found.setdefault(ruling.act.by_id, _Signer(ruling.act.by))
        one.decided += 1
        one.add(ruling.act, ruling.fit)
        if ruling.second is not None:
            other = found.setdefault(ruling.second.by_id, _Signer(ruling.second.by))
            other.second += 1
            other.add(ruling.second, ruling.second_fit)
    return list(found.values())


def _roles(file: PersonFile) -> str:
    held = [
        f"{one.role} from {day_words(one.since)}" + (f" to {day_words(one.until)}" if one.until else "")
        for one in file.roles
    ]
    return ", ".join(held) or "no role"


def _named(rows: Sequence[Sequence[Any]]) -> Any:
    made = [[text(name, "bold"), said] for name, said in rows]
    return table(made, [_LABEL_MM, pdf_style.WIDTH_MM - _LABEL_MM], head=False)
