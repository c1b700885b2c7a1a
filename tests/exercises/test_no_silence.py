"""No wrong answer is silent: each single fault is told why, by the name of its own line."""

import tomllib
from collections import Counter
from dataclasses import replace

import pytest

from kit import exercises, rules
from kit.exercises.engine.fingerprints import texts_of
from kit.exercises.engine.reasons import LESSONS, reasons_of
from kit.exercises.engine.silence import faults, silent
from kit.marking import mark
from kit.marking.build import match, order
from kit.marking.draw import Draw
from kit.marking.model import Places
from kit.marking.reasons import with_reasons
from kit.practice.lesson_files import lesson_files

SEEDS, PROFILES = 8, ("ie", "uk", "us-retail", "us-processor")


def drawn(name, count=SEEDS):
    for seed in range(count):
        yield exercises.question(name, seed, rules.load(PROFILES[seed % len(PROFILES)]))


@pytest.mark.slow
@pytest.mark.parametrize("name", exercises.ids())
def test_every_single_fault_is_told_why_by_the_name_of_its_line(name):
    for question in drawn(name):
        found = silent(question)
        assert not found, "\n".join(
            f"{one.sort}: {one.line}: {mark(question, one.raw).message}" for one in found
        )


def test_the_walk_finds_a_silent_line_and_one_that_is_not_named():
    asked = exercises.question("what-keeps-the-fish", 1)
    sorts = Counter(fault.sort for fault in faults(asked))
    assert sorts["join"] == 16  # 4 lines, each with 4 wrong partners
    assert not silent(asked)
    bare = replace(asked, slips=())
    assert len(silent(bare)) == 16
    nameless = replace(asked, slips=tuple(replace(slip, says="No.") for slip in asked.slips))
    assert all(mark(nameless, fault.raw).message.count("“") for fault in faults(nameless))


def test_a_fault_about_safety_speaks_first():
    """Of several wrong lines, the dangerous one is told before the harmless."""
    asked = exercises.question("first-day", 3)
    lefts = {one.key: one.text for one in asked.kind.left}
    grave = set(asked.kind.must)
    rights = [one.key for one in asked.kind.right]
    shifted = {left: rights[(rights.index(right) + 1) % len(rights)] for left, right in asked.answer.items()}
    first = mark(asked, shifted).message.partition("“")[2].partition("”")[0]
    assert any(lefts[key].startswith(first.rstrip(" …")) for key in grave)


@pytest.mark.slow
@pytest.mark.parametrize("lesson", [lesson.number for lesson in lesson_files()])
def test_every_reason_belongs_to_a_line_that_is_asked(lesson):
    """A reason whose line was reworded would never be said again."""
    for name, because in reasons_of(lesson).items():
        lines = set()
        for question in drawn(name, 80):
            lines |= set(texts_of(question).values())
            lines |= {"elsewhere"} if isinstance(question.kind, Places) else set()
        idle = [start for start in because if not any(line.startswith(start) for line in lines)]
        assert not idle, (name, idle)
        assert exercises.info(name).lesson == lesson


def test_reasons_lie_in_the_folder_of_a_lesson():
    files = list(LESSONS.glob("lesson_*/reasons.toml"))
    assert files
    for file in files:
        for name, because in tomllib.loads(file.read_text()).items():
            assert name in exercises.ids()
            assert all(says.endswith((".", "?")) for says in because.values()), name


def test_what_an_author_wrote_stays_first():
    parts = order(Draw(2), "Order.", ["Salt", "Dry", "Smoke", "Cook"])
    asked = replace(parts, exercise="x")
    more = with_reasons(asked, {"Smoke": "On a dry face.", "Dry": "After the salt."})
    assert [slip.says for slip in more.slips] == ["After the salt.", "On a dry face."]
    assert with_reasons(more, {"Smoke": "Something else."}).slips == more.slips
    joined = match(Draw(1), "Join.", {"Salt": "holds water", "Cold": "slows germs"})
    assert with_reasons(joined, {}).slips == ()
