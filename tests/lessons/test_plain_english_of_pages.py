"""What a bench or a list of words says on its page is plain English too, script and report."""

from __future__ import annotations

import re
import shutil
import subprocess
from collections.abc import Iterator

import pytest

from kit.cli.author import plain_words
from kit.cli.author.plain_words import RIGHT_WORDS
from kit.exercises.lesson_01 import bench as bench_01
from kit.views.front import FOLDER
from kit.views.workbook import own_terms
from kit.views.workbook.bench import agreement_words, report_facts

SCRIPTS = (
    "bench",
    "own_words",
    "predict",
    "explorer",
    "end",
    "today",
    "hand_in",
    "common",
    "kinds",
    "order",
    "threads",
    "task",
    "banner",
)


def said_by(script: str) -> list[str]:
    """Return the sentences that a script holds: its strings of three words or more that begin like one.

    A drawn part of a string, ``${...}`` or ``{name}``, is read as a number.
    """
    text = re.sub(r"/\*.*?\*/", " ", (FOLDER / f"{script}.js").read_text(encoding="utf-8"), flags=re.S)
    text = re.sub(r"(?m)\s// .*$", "", text)
    while (plainer := re.sub(r"\$\{[^{}]*\}", "7", text)) != text:
        text = plainer
    found = re.findall(r'"((?:[^"\\\n]|\\.)*)"|`((?:[^`\\]|\\.)*)`', text)
    strings = (re.sub(r"\{\w+\}", "7", one or other) for one, other in found)
    return [
        each for each in strings if re.match(r"[A-Z“7]", each) and len(re.findall(r"[A-Za-z]{2,}", each)) > 2
    ]


def bench_words() -> Iterator[str]:
    """Return what the bench tells an inspector after a run: a good one, and one that pulls everything."""
    fillets = bench_01.draw_run(3)
    found = [bench_01.look([list(f.on_board(bone)) for bone in f.bones], bool(f.bones)) for f in fillets]
    hasty = [bench_01.look([[0.5, 0.5]], True) for _ in fillets]
    for looks in (found, hasty):
        yield from report_facts(bench_01.report(fillets, looks))
    yield agreement_words(bench_01.agreement(found, hasty))
    yield agreement_words(bench_01.agreement(hasty, hasty))
    yield from (each.words() for each in fillets)


def page_texts() -> dict[str, list[str]]:
    texts = {script: said_by(script) for script in SCRIPTS}
    texts["the bench's report"] = list(bench_words())
    texts["the list of words"] = [own_terms.KEPT, own_terms.NOT_KEPT]
    return texts


@pytest.mark.slow
@pytest.mark.parametrize("place", page_texts())
def test_a_page_is_easy_to_read(place: str):
    assert not plain_words.hard_to_read(page_texts()[place])


def test_the_sentences_of_a_script_are_found():
    bench = said_by("bench")
    assert any("Some still hold a bone" in each for each in bench)
    assert "7 marks are the most. Take one back first." in bench
    assert not [each for each in bench if "sk-" in each or "=>" in each]
    assert any("engine" in each or "picture" in each for each in said_by("explorer"))


def test_a_page_is_spelled_as_in_britain():
    if shutil.which("hunspell") is None:
        pytest.skip("hunspell is not installed")
    texts = [each for listed in page_texts().values() for each in listed]
    known = {part.lower() for spelling in plain_words.SPELLINGS for part in re.split(r"[\s-]", spelling)} | {
        "kappa",
        "jupyterlab",
        *(word.lower() for word in RIGHT_WORDS),
    }
    run = subprocess.run(
        ["hunspell", "-d", "en_GB", "-i", "utf-8", "-l"],
        input="\n".join(sentence for text in texts for sentence in plain_words.sentences(text)),
        capture_output=True,
        text=True,
        check=True,
    )
    assert sorted({word for word in run.stdout.split() if word.lower().strip("'’") not in known}) == []
