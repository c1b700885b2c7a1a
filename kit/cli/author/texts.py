"""Every text of the apprentice's pages that a language may say: from scripts, code, words and lessons."""

import ast
import json
import re
from collections.abc import Iterator
from pathlib import Path

from babel.messages.catalog import Catalog
from babel.messages.extract import extract

from kit.basics.places import lessons_folder
from kit.basics.terms import terms
from kit.criteria import load, steps
from kit.languages.language import LESSON, MEANING, WORD
from kit.practice.lesson_files import lesson_files
from kit.views.front import FOLDER
from kit.views.pictures.register import Choice, explorer_named, explorer_names
from kit.views.pictures.teaching import teaching_pictures

_MARKS = {"say": None, "noted": None}
_IN_SCRIPT = re.compile(r'\b(?:say|tr|noted)\(\s*("(?:[^"\\]|\\.)*")')
_KIT = FOLDER.parents[1]
_CODE = (
    "views/workbook/*.py",
    "practice/pins.py",
    "practice/today.py",
    "practice/handing_in.py",
    "practice/progress.py",
)
_NO_TEXT = re.compile(r"\$\$|^\|?[\s:|-]+$|^$")
_MARK = re.compile(r"^\s*(?:#+|[-*]|\d+\.)\s+")


def template() -> Catalog:
    """Return a catalogue of all texts in English: what a translator translates.

    Examples
    --------
    >>> template().get("Give me a hint").id
    'Give me a hint'
    """
    found = Catalog(project="smokehouse", charset="utf-8", fuzzy=False)
    for text in (*marked_texts(), *explorer_texts(), *checklist_texts(), *criterion_texts()):
        found.add(text)
    for one in teaching_pictures():
        found.add(one.title)
    for title in (*(one.title for one in lesson_files()), *(one.title for one in steps().values())):
        found.add(title)
    for word in terms().values():
        found.add(word.word, context=WORD)
        found.add(word.means, context=MEANING)
    for path in sorted(lessons_folder().glob("*.ipynb")):
        for context, text in lesson_texts(path):
            found.add(text, context=context)
    return found


def marked_texts() -> Iterator[str]:
    """Yield the texts that scripts, pages and code mark with ``say``, ``tr`` or ``noted``."""
    for path in sorted((*FOLDER.glob("*.js"), *FOLDER.glob("*.html"))):
        yield from (json.loads(text) for text in _IN_SCRIPT.findall(path.read_text(encoding="utf-8")))
    for pattern in _CODE:
        for path in sorted(_KIT.glob(pattern)):
            with path.open("rb") as file:
                for _line, text, _comments, _context in extract("python", file, keywords=dict(_MARKS)):
                    yield from [text] if isinstance(text, str) and text else []


def explorer_texts() -> Iterator[str]:
    """Yield what an explorer says before it draws: title, intro, controls, and its prediction."""
    for name in explorer_names():
        spec = explorer_named(name)
        if not spec.draw.__module__.startswith("kit."):
            continue  # declared by somebody's own notebook
        yield from (text for text in (spec.title, spec.intro) if text)
        for control in spec.controls:
            yield control.label
            if isinstance(control, Choice):
                yield from (text for _, text in control.options)
        if spec.predict is not None:
            yield from (spec.predict.question, *spec.predict.choices, spec.predict.look)
            yield from (text for text in spec.predict.off if text)


def checklist_texts() -> Iterator[str]:
    """Yield the title and the lines of each lesson's list for the job."""
    for path in sorted(lessons_folder().glob("*.ipynb")):
        for cell in json.loads(path.read_text(encoding="utf-8"))["cells"]:
            code = "".join(cell["source"])
            if cell["cell_type"] == "code" and ".checklist(" in code:
                for each in ast.walk(ast.parse(code)):
                    if isinstance(each, ast.Constant) and isinstance(each.value, str):
                        yield each.value


def criterion_texts() -> Iterator[str]:
    """Yield what each criterion asks, as a page shows it."""
    for one in load():
        yield one.text


def lesson_texts(path: Path) -> Iterator[tuple[str, str]]:
    """Yield each paragraph of a lesson, heading, line of a list and cell of a table, with a lasting key.

    The key is the lesson, the cell and the place in it: it stays while the wording changes.
    """
    about = path.stem if path.stem == "today" else path.name[:2]
    for cell in json.loads(path.read_text(encoding="utf-8"))["cells"]:
        if cell["cell_type"] == "markdown":
            for place, text in enumerate(paragraphs("".join(cell["source"])), 1):
                yield f"{LESSON}{about} {cell['id']}/{place}", text


def paragraphs(source: str) -> Iterator[str]:
    """Yield the texts of a markdown cell, each as one paragraph of the page.

    Examples
    --------
    >>> list(paragraphs("## Salt\\n\\nOne line\\nof two.\\n\\n- a **bit**\\n- more"))
    ['Salt', 'One line of two.', 'a **bit**', 'more']
    """
    for block in re.split(r"\n\s*\n", source):
        lines = [line for line in block.split("\n") if line.strip()]
        if all(line.startswith("|") for line in lines):
            parts = [cell.strip() for line in lines for cell in line.strip().strip("|").split("|")]
        elif any(_MARK.match(line) for line in lines):
            parts = _marked(lines)
        else:
            parts = [" ".join(line.strip() for line in lines)]
        yield from (part for part in parts if not _NO_TEXT.search(part))


def _marked(lines: list[str]) -> list[str]:
    """Return headings and lines of a list; a line without a mark goes on with the one above."""
    found: list[str] = []
    for line in lines:
        if _MARK.match(line) or not found:
            found.append(_MARK.sub("", line).strip())
        else:
            found[-1] += f" {line.strip()}"
    return found
