"""The two forms that observe: the whole one at the desk, and the short one at the bench. No widgets here.

Both take several criteria of one batch: each line has three big buttons, and one signature is for the sheet.
"""

import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import time
from pathlib import Path
from typing import Any

from kit.basics.errors import BadData, UnknownName
from kit.records.competence import observations
from kit.records.competence.entry_doubts import LATE_AFTER_DAYS
from kit.records.competence.observations import Observation
from kit.records.competence.readings import Contradiction
from kit.records.competence.sheets import lines_of, observe_all
from kit.records.evidence import file_type, kept_files
from kit.records.ledger.acts import Act
from kit.records.people.staff import Hand
from kit.records.reports.board_page import step_title
from kit.records.reports.person_page import SUPPORTS, PersonPage, person_page
from kit.views.tutor.form import Field, Form, Proposal, day_of, number_of
from kit.views.tutor.form_attach import file_fields, ticked, verdict_words

MEASURE_LABELS = {
    "core_temp_c": "Core temperature at the end [°C]",
    "air_temp_c": "Air temperature [°C]",
    "hold_min": "Held at that core for [min]",
    "chill_min": "Time from the heat to cold [min]",
    "weight_before_g": "Weight before [g]",
    "weight_after_g": "Weight after [g]",
}
CORE = ("core_temp_c", "hold_min")
_WEIGHTS = ("weight_before_g", "weight_after_g")
AT_THE_BENCH = {
    "intake": ("core_temp_c",),
    "trim_pinbone": _WEIGHTS,
    "cure": _WEIGHTS,
    "rinse": (),
    "pellicle": ("air_temp_c", *_WEIGHTS),
    "wood_smoke": ("air_temp_c",),
    "chill": ("core_temp_c", "chill_min"),
    "pack_label_store": ("core_temp_c", "air_temp_c"),
    "cleaning": (),
    "records_haccp": (),
    "health_safety": (),
}
"""The measures that the short form asks for at a step; at any other the core and its hold."""
READ_AT = "When the core was read"
LATE = f"If entered over {LATE_AFTER_DAYS} days late: why it counts all the same (it is printed)"
DECLARED = "The apprentice declared this their own work"
_BUTTONS = tuple((text, text) for text in observations.OUTCOMES)


def observe_form(hand: Hand, ask: Mapping[str, Any]) -> Form:
    """Return the whole form: the sheet, every measure, questions asked, supports used, and files."""
    page, step, lines = _sheet(hand, ask)
    asked = hand.catalogue.criteria.get(str(ask.get("criterion")))
    method = "oral check" if asked is not None and asked.kind == "knowledge" else "observation"
    methods = tuple((f"{name}: {says}", name) for name, says in observations.METHODS.items())
    fields = (
        Field("day", "Day", "date", value=hand.today()),
        Field("method", "How it was seen", "pick", methods, method),
        Field("batch", "Label of the batch (for real work)", "text"),
        *lines,
        *[Field(name, label, "text", group="measures") for name, label in MEASURE_LABELS.items()],
        Field("read_at", READ_AT, "time", value=None, group="measures"),
        Field("photo", "A photo (optional): take one, or choose a file", "photo", value=None),
        Field("question", "A question you asked (optional)", "text"),
        Field("answer", "The answer, in brief", "text"),
        Field("answer met", "The answer was right", "tick", value=False),
        *[
            Field(f"support {each}", f"Used: {each}", "tick", value=each in page.supports, group="supports")
            for each in SUPPORTS
        ],
        *file_fields(hand, page.person),
        Field("late", LATE, "long"),
        Field("notes", "Anything else (optional)", "long"),
        *_reasons(hand, lines),
        Field("declared", DECLARED, "tick", value=False),
    )
    return Form("observe", "Observe", _about(page, step), fields, page.person, {"step": step})


def bench_form(hand: Hand, ask: Mapping[str, Any]) -> Form:
    """Return the short form for wet hands: batch, the lines, the reading, a photo. The day is today."""
    page, step, lines = _sheet(hand, ask)
    lines = [line for line in lines if not _knowledge(hand, line.name.removeprefix("point "))] or lines
    measures = AT_THE_BENCH.get(step, CORE)
    fields = (
        Field("batch", "Label of the batch", "text"),
        *lines,
        *[Field(name, MEASURE_LABELS[name], "text", group="measures") for name in measures],
        *([Field("read_at", READ_AT, "time", value=None, group="measures")] if CORE[0] in measures else []),
        Field("photo", "A photo (optional): take one, or choose a file", "photo", value=None),
        Field("notes", "Anything else (optional)", "long"),
        *_reasons(hand, lines),
        Field("declared", DECLARED, "tick", value=False),
    )
    return Form("bench", "At the bench", _about(page, step), fields, page.person, {"step": step})


def propose_observe(hand: Hand, form: Form, values: Mapping[str, Any]) -> Proposal:
    """Read what was typed, hold every line against the readings, and say what will be recorded."""
    seen, shot = _read(hand, form, values), values["photo"]
    if shot is not None:
        _check_photo(shot)
    reasons = {
        name.removeprefix("despite "): value for name, value in values.items() if name[:8] == "despite "
    }
    sheet = lines_of(hand, seen, reasons)
    lines = (*form.about, *_lines(hand, sheet, seen), ("Photo", _photo_words(shot)))

    def record(signed: Hand) -> tuple[Act, ...]:
        kept = [_keep(signed, form.person, shot)] if shot is not None else []
        return observe_all(signed, [replace(one, files=[*one.files, *kept]) for one in sheet])

    return Proposal(lines, record)


def _sheet(hand: Hand, ask: Mapping[str, Any]) -> tuple[PersonPage, str, list[Field]]:
    """Return whose sheet it is, the step, and its lines, the one that was asked for first."""
    step, asked = str(ask["step"]), ask.get("criterion")
    page = person_page(hand.records, str(ask["person"]), hand.today(), hand.catalogue)
    criteria = [c for c in hand.catalogue.criteria.values() if c.step == step]
    if not criteria:
        raise UnknownName("step", step, dict.fromkeys(c.step for c in hand.catalogue.criteria.values()))
    fields = []
    for one in sorted(criteria, key=lambda c: (c.id != asked, c.kind == "knowledge")):
        fields.append(Field(f"point {one.id}", one.text, "big", _BUTTONS, "", "points", one.id))
    return page, step, fields


def _reasons(hand: Hand, lines: Sequence[Field]) -> list[Field]:
    """Return a field for the reason of each line that a reading may contradict; it shows once one does."""
    names = [line.name.removeprefix("point ") for line in lines]
    return [
        Field(
            f"despite {name}",
            f"{name}: why it counts although the reading says otherwise (it is printed)",
            "long",
            asked_of=name,
        )
        for name in names
        if hand.catalogue.criteria[name].limit_point
    ]


def _about(page: PersonPage, step: str) -> tuple[tuple[str, str], ...]:
    return (("Apprentice", page.name), ("Step", step_title(step)))


def _knowledge(hand: Hand, criterion: str) -> bool:
    return hand.catalogue.criteria[criterion].kind == "knowledge"


def _read(hand: Hand, form: Form, values: Mapping[str, Any]) -> Observation:
    measures = {
        name: number
        for name, label in MEASURE_LABELS.items()
        if (number := number_of(label, values.get(name, ""))) is not None
    }
    question, files, read_at = str(values.get("question", "")).strip(), ticked(values), values.get("read_at")
    return Observation(
        form.person,
        form.facts["step"],
        day_of(values.get("day", hand.today())),
        {name.removeprefix("point "): v for name, v in values.items() if name[:6] == "point " and v},
        method=values.get("method", "observation"),
        batch=values["batch"].strip(),
        declared=bool(values["declared"]),
        measures=measures,
        asked=[(question, values["answer"].strip(), bool(values["answer met"]))] if question else [],
        supports=[each for each in SUPPORTS if values.get(f"support {each}")],
        notes=values["notes"],
        files=files,
        verdicts=kept_files.verdicts_on(hand.records, files),
        despite=str(values.get("late", "")),
        read_at=f"{read_at:%H:%M}" if isinstance(read_at, time) else "",
    )


def _lines(hand: Hand, sheet: Sequence[Observation], seen: Observation) -> list[tuple[str, str]]:
    many = f"{len(sheet)} acts, signed at once" if len(sheet) > 1 else "1 act"
    measured = [f"{MEASURE_LABELS[name]} {value:g}" for name, value in seen.measures.items()]
    measured += [f"read at {seen.read_at}"] if seen.read_at else []
    rows = [
        ("Day", seen.day.isoformat()),
        ("How", f"{seen.method}: {observations.METHODS[seen.method]}"),
        ("Batch", seen.batch or "none"),
        ("Recorded as", many),
        ("Criteria", "; ".join(f"{name} {outcome}" for name, outcome in seen.points.items())),
    ]
    for one in sheet:
        told: Sequence[Contradiction] = observations.check(hand, one)
        rows += [("Against it", f"{each.criterion}: {each.says}") for each in told]
        rows += [("Counts all the same", one.despite)] if told else []
    asked = [f"{question} → {'right' if met else 'not right'}" for question, _, met in seen.asked]
    files = f"{len(seen.files)}; {verdict_words(seen.verdicts) or 'no log among them'}"
    return [
        *rows,
        ("Measured", "; ".join(measured) or "nothing"),
        ("Asked", "; ".join(asked) or "nothing"),
        ("Used", ", ".join(seen.supports) or "no adjustment"),
        ("Files", files if seen.files else "none"),
        ("Notes", seen.notes.strip() or "none"),
    ]


def _check_photo(shot: Any) -> None:
    if not shot.whole:
        raise BadData("the photo", "it is still being read", "a moment's patience, then try again")
    if file_type.media_type(shot.data, shot.name) not in file_type.PHOTOS:
        raise BadData(shot.name, "this is no photo", "a JPEG, PNG, WebP or HEIC picture")


def _photo_words(shot: Any) -> str:
    if shot is None:
        return "none"
    return f"{shot.name}, {max(1, shot.size // 1024)} kB; the place is taken out of it"


def _keep(hand: Hand, person: str, shot: Any) -> str:
    """Keep a photo that came from the page, and return its hash. The same one is kept once."""
    with tempfile.TemporaryDirectory() as scratch:
        path = Path(scratch) / shot.name
        path.write_bytes(shot.data)
        return kept_files.attach(hand, path, person, "photo", strip_place=True).sha256
