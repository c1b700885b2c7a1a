"""Go to every place that rules reach, under a country that came as one file, and print what each says.

Run by ``tests/rules/test_new_country.py`` with a copy of kit that holds ``skerrymore.toml``.
"""

import contextlib
import io
import json
import os
import sys
from datetime import UTC, datetime
from pathlib import Path

from kit import exercises, rules
from kit.cli import main
from kit.exercises.lesson_08 import batch_run, batch_text
from kit.files.joined_kitchen import join
from kit.files.kitchen_file import KeyHolder, make_kitchen, write_kitchen
from kit.files.signing import make_key, unseal_key
from kit.marking import mark
from kit.practice import people, start
from kit.process.day import run as run_day
from kit.records import open_records, take_in
from kit.records.reports.board_page import sources_of
from kit.views import Lesson
from kit.views.pictures.register import explorer_named
from kit.views.workbook.lesson import head_of

NAME = "skerrymore"
HERE = Path(os.environ["SMOKEHOUSE_HOME"]).parent


def command(*args: str) -> str:
    out = io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.suppress(SystemExit):
        main(list(args))
    return " ".join(out.getvalue().split())


def sheet(*more: str) -> str:
    out = HERE / "sheet.html"
    command("sheet", "chill", "--out", str(out), *more)
    return out.read_text(encoding="utf-8")


def log() -> Path:
    rows = [(minute, min(10.0 + minute, 69.4), 80.0) for minute in range(90)]
    rows += [(90 + minute, max(69.4 - minute, 2.0), -2.0) for minute in range(100)]
    file = HERE / "cook.csv"
    lines = (";".join(map(str, row)) for row in rows)
    file.write_text("\n".join(["time_min;core_c;air_c", *lines]) + "\n", encoding="utf-8")
    return file


def questions(profile: rules.Profile) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for name in exercises.ids():
        if name.startswith("own-"):
            drawn = [exercises.question(name, seed, profile) for seed in range(6)]
            assert all(mark(one, one.answer).score == one.of for one in drawn), name
            found[name] = [f"{one.text} {one.kind}" for one in drawn]
    return found


def batch(profile: rules.Profile) -> dict[str, object]:
    drawn = next(one for one in (batch_run.draw_batch(n, profile) for n in range(99)) if not one.wrong)
    day = run_day(drawn.meant, drawn.meant)
    told = [*drawn.limits.cook, *drawn.limits.chill]
    return {
        "card": [batch_text.card_words(drawn, stage) for stage in ("cook", "chill", "pack")],
        "verdicts": [rules.judge_rule(day.trace, rule).outcome for rule in told],
        "findings": batch_run.findings(drawn, "cook", batch_run.read(drawn, day, "cook", {})),
    }


def kitchen() -> None:
    sealed, _ = make_key("smoke over alder", cost=2**14)
    signer = unseal_key(sealed, "smoke over alder")
    tutor = KeyHolder("tutor", "Mara Quill", sealed.public)
    limit = {"rule": "skerry-store", "maximum": 2.4}
    made = make_kitchen("Harbour Lane", profile=NAME, keys=[tutor], signer=signer, tighter=[limit])
    write_kitchen(HERE / "kitchen.toml", made)
    join(HERE / "kitchen.toml")


def at_work() -> dict[str, object]:
    ana = people.create("Ana")
    work = start(ana.id)
    answer = work.current("own-store-reading").question.answer
    work.check("own-store-reading", str(answer))
    taken = take_in(open_records(), [ana.book_path], now=datetime(2036, 1, 1, tzinfo=UTC)).books[0]
    os.environ["SMOKEHOUSE_PERSON"] = ana.id
    return {
        "banner": head_of(work)["rules"],
        "book": [taken.status, taken.answers, taken.right, [flag.kind for flag in taken.flags]],
        "batch": Lesson(8).batch(3).shown["profile"],
        "sheet": sheet(),
    }


def explorer(name: str, profile: rules.Profile) -> list[str]:
    spec = explorer_named(name)
    return list(spec.own(spec.start(), profile))


profile = rules.load(NAME)
told = {
    "names": rules.PROFILES,
    "questions": questions(profile),
    "batch": batch(profile),
    "log": command("check-log", str(log()), "--rules", NAME),
    "rules": command("rules", "list", NAME),
    "sheet": sheet("--rules", NAME),
    "explorers": [*explorer("hold-and-kill", profile), *explorer("chill-it-fast", profile)],
    "sources": sources_of([NAME]),
    "before": [
        exercises.fingerprint(exercises.question("own-rule-counts", seed, "ie")) for seed in range(30)
    ],
}
kitchen()
json.dump({**told, "kitchen": at_work()}, sys.stdout)
