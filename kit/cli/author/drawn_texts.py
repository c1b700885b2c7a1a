"""The texts that code composes for a picture or a batch: each sentence of a string, with its gaps numbered.

No mark is set in the code. A string counts if it reads as words; what a page shows is then found again by its
sentences, whatever stands in the gaps (``found`` in ``kit/views/front/common.js``).
"""

import ast
import re
import tomllib
from collections.abc import Iterator
from pathlib import Path

from babel.messages.catalog import Catalog

from kit.views.front import FOLDER

_KIT = FOLDER.parents[1]
_DRAWN_BY = ("views/pictures/*.py", "views/explorers/*.py", "exercises/lesson_08/batch*.py")

_SHOWN_BY = {"say", "name_line", "text", "annotate", "window", "label", "title", "frame", "box", "tag"}
_SHOWN_AS = {"xlabel", "ylabel", "label", "title", "words", "reason", "intro", "why"}
_WORDS = re.compile(r"[A-Za-z]{2,}.* .*[A-Za-z]{2,}")
_WORD = re.compile(r"^[A-Za-z][a-z-]+[:.?]?$")
_SENTENCES = re.compile(r"(?<=[.!?])\s+(?=[A-Z0-9{“(])")


def drawn_template() -> Catalog:
    """Return a catalogue of all that code composes for pictures, explorers and the report of a batch.

    Examples
    --------
    >>> drawn_template().get("Seven signs.").id
    'Seven signs.'
    """
    found = Catalog(project="smokehouse", charset="utf-8", fuzzy=False)
    told = tomllib.loads((_KIT / "views/pictures/teaching.toml").read_text(encoding="utf-8"))
    for picture in told.values():
        for one in sentences(picture["words"]):
            found.add(one)
    for pattern in _DRAWN_BY:
        for path in sorted(_KIT.glob(pattern)):
            for one in composed_texts(path):
                found.add(one)
    return found


def sentences(text: str) -> list[str]:
    """Return the sentences of a text, as a page finds them again.

    Examples
    --------
    >>> sentences("Core: {1} °C. It takes 2.5 h. {2}")
    ['Core: {1} °C.', 'It takes 2.5 h.', '{2}']
    """
    return [one.strip() for one in _SENTENCES.split(text) if one.strip()]


def composed_texts(path: Path) -> Iterator[str]:
    """Yield each sentence that the strings of a module hold, gaps numbered from 1 in each."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    inside, shown = _inside(tree), _shown(tree)
    for node in ast.walk(tree):
        if id(node) in inside:
            continue
        text = _as_template(node)
        if text is None:
            continue
        for line in text.split("\n"):
            for one in sentences(line):
                if _reads_as_words(one) or (id(node) in shown and _WORD.match(one)):
                    yield _numbered(one)


def _as_template(node: ast.AST) -> str | None:
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return None if "{" in node.value else node.value
    if isinstance(node, ast.JoinedStr):
        parts = [str(one.value) if isinstance(one, ast.Constant) else "{}" for one in node.values]
        return "".join(parts)
    return None


def _numbered(text: str) -> str:
    for number in range(1, text.count("{}") + 1):
        text = text.replace("{}", f"{{{number}}}".replace("{", "\0").replace("}", "\1"), 1)
    return text.replace("\0", "{n").replace("\1", "}")


def _reads_as_words(text: str) -> bool:
    bare = text.replace("{}", " ").strip()
    names = text.count("{}") and re.match(r"[A-Z][a-z]{2,}", text)
    return bool(names or _WORDS.search(bare)) and not re.search(r"[<>=_]|http|\bfont\b", bare)


def _inside(tree: ast.AST) -> set[int]:
    """Return what is no text of its own: docstrings, parts of an f-string, formats, raises, annotations."""
    found: set[int] = set()
    for node in ast.walk(tree):
        body = getattr(node, "body", None)
        if isinstance(body, list) and body and isinstance(body[0], ast.Expr):
            found.add(id(body[0].value))
        for at, one in enumerate(body if isinstance(body, list) else []):
            if at and isinstance(one, ast.Expr) and isinstance(one.value, ast.Constant):
                found.add(id(one.value))  # the words below a constant
        if isinstance(node, ast.JoinedStr):
            found |= {id(one) for one in node.values if isinstance(one, ast.Constant)}
        if isinstance(node, ast.FormattedValue) and node.format_spec is not None:
            found |= {id(one) for one in ast.walk(node.format_spec)}
        if isinstance(node, ast.Raise):
            found |= {id(one) for one in ast.walk(node)}
    return found


def _shown(tree: ast.AST) -> set[int]:
    """Return the strings that are handed to what writes on a picture, single words among them."""
    found: set[int] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Call):
            name = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
            if name in _SHOWN_BY:
                found |= {id(one) for arg in node.args for one in ast.walk(arg)}
            for keyword in node.keywords:
                if keyword.arg in _SHOWN_AS:
                    found |= {id(one) for one in ast.walk(keyword.value)}
    return found
