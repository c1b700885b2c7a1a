"""The scripts that a page loads: linted, type-checked, and what the kernel sends them is what they expect.

The checks come from the npm registry and are for developers only: `npm ci` in this folder. Without them these
tests are skipped, unless SMOKEHOUSE_REQUIRE_JAVASCRIPT=1.
"""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
from collections.abc import Iterable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from kit import exercises
from kit.practice import create, start
from kit.records import open_records
from kit.records.people import staff
from kit.views.pictures.register import explorer_named, explorer_names
from kit.views.tutor import TutorDesk
from kit.views.tutor.inputs import BigButtons, Photo
from kit.views.tutor.part import Part
from kit.views.workbook.banner import Banner
from kit.views.workbook.batch import BatchTask
from kit.views.workbook.bench import Bench
from kit.views.workbook.cards import PictureCard, picture_card
from kit.views.workbook.explorer import Explorer
from kit.views.workbook.first_page import FirstPage, TodayCard
from kit.views.workbook.lesson import Lesson
from kit.views.workbook.lesson_end import LessonEnd
from kit.views.workbook.own_terms import WordList
from kit.views.workbook.task import Task
from kit.views.workbook.widget_base import WorkbookWidget

pytestmark = pytest.mark.slow  # starts node for each check
HERE = Path(__file__).resolve().parent
VIEWS = HERE.parents[1] / "kit" / "views"
SHARED = [
    VIEWS / "front" / f"{name}.js"
    for name in ("common", "kinds", "predict", "jump", "hand_in", "language", "aloud", "touched")
]
RECORDS = HERE.parent / "data" / "golden_0_1" / "records.sqlite"
WIDGETS = (
    *(Banner, BatchTask, Bench, BigButtons, PictureCard, Explorer, LessonEnd),
    *(Part, Photo, Task, TodayCard, WordList),
)


@pytest.fixture(autouse=True, scope="module")
def node() -> str:
    """Where node is; its modules are beside this file."""
    found = shutil.which("node")
    if found is not None and (HERE / "node_modules").is_dir():
        return found
    why = "node is not installed." if found is None else "Run `npm ci` in tests/javascript first."
    if os.environ.get("SMOKEHOUSE_REQUIRE_JAVASCRIPT") == "1":
        pytest.fail(f"{why} SMOKEHOUSE_REQUIRE_JAVASCRIPT=1 asks for it.")
    pytest.skip(why)


def run(*command: str, where: Path = HERE) -> None:
    done = subprocess.run(
        command, cwd=where, capture_output=True, text=True, encoding="utf-8", timeout=250, check=False
    )
    assert done.returncode == 0, (done.stdout + done.stderr)[-6000:]


@pytest.mark.parametrize("check", ["types", "lint"])
def test_check_passes(check: str):
    npm = shutil.which("npm")
    assert npm is not None
    run(npm, "run", "--silent", check)


@pytest.mark.parametrize("widget", WIDGETS, ids=lambda widget: widget.__name__)
def test_scripts_that_are_joined_make_one_script(widget: type[WorkbookWidget], node: str, tmp_path: Path):
    """Each file may be in order, and two of them still give one name twice."""
    joined = tmp_path / "joined.mjs"
    joined.write_text(str(widget._esm), encoding="utf-8")
    run(node, "--check", str(joined))


def test_no_shared_name_is_left_over():
    """A linter sees one file at a time, so it cannot say that nobody uses what a shared script offers."""
    scripts = [*VIEWS.glob("front/*.js"), *VIEWS.glob("tutor/front/*.js")]
    everything = "\n".join(path.read_text(encoding="utf-8") for path in scripts)
    names = [
        name
        for path in SHARED
        for name in re.findall(r"^(?:const|let) (\w+)", path.read_text(encoding="utf-8"), re.MULTILINE)
    ]
    assert len(names) > 20
    assert [name for name in names if len(re.findall(rf"\b{name}\b", everything)) < 2] == []


def test_the_lock_file_names_no_registry():
    lock = json.loads((HERE / "package-lock.json").read_text(encoding="utf-8"))
    packages = {name: entry for name, entry in lock["packages"].items() if name}
    assert len(packages) > 50
    assert [name for name, entry in packages.items() if "resolved" in entry or "integrity" not in entry] == []


class Wire:
    """Collects what the kernel sends, each value with the name of the type that it should have."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.sent: list[tuple[str, Any]] = []
        self.replies: list[dict[str, Any]] = []
        monkeypatch.setattr(WorkbookWidget, "send", self._catch)

    def _catch(self, content: dict[str, Any], buffers: Any = None) -> None:
        self.replies.append(content)

    def note(self, kind: str, value: Any) -> None:
        self.sent.append((kind, value))

    def play(self, widget: Any, kind: str, state: str, *asks: dict[str, Any]) -> None:
        """Note what a widget shows at first and after each message of its page."""
        self.note(kind, getattr(widget, state))
        for number, ask in enumerate(asks, start=1):
            widget._hear(widget, {"serial": number, **ask}, [])
            self.note(kind, getattr(widget, state))

    def heard(self, kind: str) -> None:
        """Note the replies since the last time."""
        assert self.replies
        self.sent += [(kind, reply) for reply in self.replies]
        self.replies.clear()

    def as_script(self) -> str:
        """Return all of it as TypeScript. A literal may then lack nothing, and hold nothing more."""
        lines = ["export {};"]
        for number, (kind, value) in enumerate(self.sent):
            text = json.dumps(_short(value), ensure_ascii=True)
            lines.append(f"export const v{number}: Kit.{kind} = {text};")
        return "\n".join(lines)


def _short(value: Any) -> Any:
    """Cut drawings short: they are text of any length."""
    if isinstance(value, dict):
        return {
            key: "" if key in ("svg", "phone", "sketch") and each else _short(each)
            for key, each in value.items()
        }
    if isinstance(value, list | tuple):
        return [_short(each) for each in value]
    return value


@pytest.fixture
def wire(monkeypatch: pytest.MonkeyPatch, node: str, tmp_path: Path) -> Iterable[Wire]:
    """A wire; afterwards all that went over it is checked against front/messages.d.ts."""
    made = Wire(monkeypatch)
    yield made
    assert made.sent
    (tmp_path / "sent.ts").write_text(made.as_script(), encoding="utf-8")
    settings = json.loads((HERE / "tsconfig.json").read_text(encoding="utf-8"))
    settings["include"] = ["sent.ts", str(VIEWS / "front" / "messages.d.ts")]
    (tmp_path / "tsconfig.json").write_text(json.dumps(settings), encoding="utf-8")
    run(node, str(HERE / "node_modules" / "typescript" / "bin" / "tsc"), "--project", str(tmp_path))


def test_every_task_is_sent_as_the_page_expects(wire: Wire):
    work = start(create("Nuala Prem").id)
    for number, exercise in enumerate((*exercises.ids(), *exercises.explain_ids()), start=1):
        task = Task(exercise, work, number=number)
        wire.note("TaskForm", task.form)
        wire.note("TaskShown", task.shown)


def test_what_a_task_answers_is_as_the_page_expects(wire: Wire):
    work = start(create("Nuala Prem").id)
    for exercise in ("salt-for-brine", "ice-check", "run-the-cook"):
        task = Task(exercise, work, number=1)
        asks = [
            {"do": "hint"},
            {"do": "check", "answer": "?"},
            {"do": "worked"},
            {"do": "dispute", "text": "?"},
        ]
        asks += [
            {"do": "check", "answer": _raw(exercise)},
            {"do": "dispute", "text": "No."},
            {"do": "variant"},
        ]
        wire.play(task, "TaskShown", "shown", *asks)
        assert task.shown["tries"] == 0 and task.form["variant"] > 1
    task = Task("explain-salt", work, number=1)
    wire.play(task, "TaskShown", "shown", {"do": "check", "answer": "Salt binds water."})
    assert task.shown["verdict"] == "kept"


def _raw(exercise: str) -> Any:
    kinds = {"salt-for-brine": "1 g", "run-the-cook": {"cabinet_c": 70, "rh_pct": 30, "hold_min": 10}}
    return kinds.get(exercise, "a")


def test_every_explorer_is_sent_as_the_page_expects(wire: Wire):
    for name in explorer_names():
        wire.note("ExplorerSpec", Explorer(explorer_named(name), start={}).spec)
    explorer = Explorer(explorer_named(explorer_names()[0]), start={})
    explorer._hear(explorer, {"do": "draw", "serial": 1, "settings": {}, "narrow": True}, [])
    explorer.trouble({"serial": 2}, "No picture for that.")
    wire.heard("Drawn")
    explorer._hear(explorer, {"do": "guess", "choice": 0, "changed": ""}, [])
    wire.heard("GuessKept")


def test_head_cards_and_words_are_sent_as_the_page_expects(wire: Wire):
    wire.note("BannerPage", Lesson(5).banner.page)
    wire.note("Language", Lesson(5).banner.language)
    for name in ("words", "own"):
        wire.note(f'BannerState["{name}"]', getattr(Lesson(5).banner, name))
    banner = Lesson(5, work=start(create("Lea Okafor").id)).banner
    for text in ("kärna", "x" * 99):
        banner._hear(banner, {"do": "word", "word": "core", "text": text}, [])
    wire.heard("Kept")
    wire.note('CardState["form"]', picture_card("the-day", {}).form)
    for work in (None, start(create("Ida Moor").id)):
        wire.note("TodayPage", FirstPage(work=work).today().page)
        lesson = Lesson(5, work=work)
        end = lesson.checklist("Before the fire", ["The alarm is tested."])
        lesson.task("order-of-the-cook")
        wire.note("Checklist", end.form)
        for ask in ({"do": "look"}, {"do": "hand in"}):
            end._hear(end, ask, [])
            wire.note("EndPage", end.page)
    words = WordList(start(create("Nuala Prem").id), lesson=0)
    wire.note("WordsForm", words.form)
    wire.play(words, "WordsKept", "kept", {"do": "keep", "word": "core", "text": "kärna"})
    words._hear(words, {"do": "keep", "word": "core", "text": "x" * 99, "serial": 2}, [])
    wire.heard("Kept")


def test_the_bench_is_sent_as_the_page_expects(wire: Wire):
    bench = Bench(seed=3)
    call = {"do": "decide", "pull": False, "marks": []}
    feel = {"do": "feel", "at": [0.5, 0.5], "touch": 1}
    ten = [call] * 10
    asks = [
        {"do": "try"},
        feel,
        {"do": "show"},
        call,
        {"do": "run"},
        *ten,
        {"do": "again"},
        *ten,
        {"do": "show"},
    ]
    wire.play(bench, "BenchShown", "shown", *asks)
    assert bench.shown["phase"] == "shown"
    wire.heard("Felt")


def test_the_batch_is_sent_as_the_page_expects(wire: Wire):
    for seed in (1, 2):
        batch = BatchTask(seed=seed)
        wire.play(batch, "BatchShown", "shown", {"do": "begin", "seed": str(seed)})
        for _ in range(40):
            shown = batch.shown
            if shown["phase"] == "end":
                break
            if shown["phase"] in ("plan", "set"):
                starts = {dial["key"]: dial["start"] for dial in shown["dials"]}
                ask = {"do": shown["phase"], "settings": starts}
            else:
                what = "decide" if shown["phase"] == "decide" else "recommend"
                first = shown["decisions"][0]["key"]
                ask = {"do": what, "decision": first, "reason": shown["reasons"][0]["key"], "remedy": ""}
            wire.play(batch, "BatchShown", "shown", ask)
        assert batch.shown["phase"] == "end"
    wire.play(batch, "BatchShown", "shown", {"do": "begin", "seed": "none"})


def test_the_desk_is_sent_as_the_page_expects(wire: Wire, tmp_path: Path):
    records = open_records(Path(shutil.copy(RECORDS, tmp_path / "records.db")))
    now = datetime(2026, 4, 30, 12, 0, tzinfo=UTC)
    tutor, elva = (staff.find(records, name).person for name in ("Piers Holloway", "Elva Norrström"))
    desk = TutorDesk(records=records, me=tutor, clock=lambda: now)
    wire.play(desk.today(), "DeskPage", "shown", {"do": "again"}, {"do": "no such person", "person": 1})
    steps = dict(desk.board().shown["blocks"][0]["steps"])
    turns = [{"do": "board", "step": step} for step in steps]
    cell = {"do": "evidence", "person": elva, "criterion": "COK-P01", "from": "board"}
    wire.play(desk.board(), "DeskPage", "shown", *turns, cell, {"do": "close board"})
    person = {"do": "person", "person": elva}
    opened = {"do": "form", "form": "decide", "person": elva, "criterion": "COK-P03"}
    more = [{"do": "find", "search": "no such name"}, {"do": "another"}, {"do": "person", "person": "nobody"}]
    wire.play(desk.person(), "DeskPage", "shown", person, {**cell, "from": ""}, person, opened, *more)
    panel = desk.sign()
    panel.look.click()
    panel.result._hear(panel.result, {"do": "settled"}, [])
    for part in (panel.head, panel.preview, panel.result):
        wire.note("DeskPage", part.shown)
    wire.heard("DeskReply")
    records.close()
