"""The page to read while a workbook starts: the head of its lesson, on the screen before the server is up."""

from __future__ import annotations

import html
import json
import re
from pathlib import Path

from kit.views.front import FOLDER

_BOLD = re.compile(r"\*\*(.+?)\*\*")
_SLANTED = re.compile(r"(?<!\*)\*([^*]+)\*(?!\*)")
_LINK = re.compile(r"\[([^\]]+)\]\([^)]*\)")
_PARTS = 2
"""So many parts of prose are shown: what is read in the seconds of a start."""
_GIVE_UP_MS, _ASK_MS, _SETTLE_MS = 90_000, 250, 400


def page(notebook: Path, address: str, about_s: float) -> str:
    """Return a page that shows how a lesson begins, and goes on to the address once its server answers.

    Parameters
    ----------
    notebook : Path
        The lesson. One that cannot be read shows the line about the start alone.
    address : str
        Where the workbook will be, with its key. The page lies in a file that only its owner can read.
    about_s : float
        How long the start is said to take. [s]
    """
    shown, quoted = html.escape(address, quote=True), json.dumps(address).replace("<", "\\u003c")
    style = "".join((FOLDER / f"{name}.css").read_text("utf-8") for name in ("tokens", "plain_page"))
    return (
        '<!doctype html><html lang="en-GB"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        '<meta name="referrer" content="no-referrer"><title>The smokehouse workbook</title>'
        f"<style>{style}</style></head><body><main>"
        f'<p class="small" role="status" id="told">Starting, about {about_s:.0f} s. Read on: the tasks come '
        f"by themselves.</p>{head_of(notebook)}"
        f'<p><a href="{shown}">Open the page</a></p></main>'
        f"<script>{_SCRIPT % (quoted, _GIVE_UP_MS, _SETTLE_MS, _ASK_MS)}</script></body></html>\n"
    )


_SCRIPT = """
const there = %s, until = Date.now() + %d;
const ask = () => fetch(new URL("/favicon.ico", there), { mode: "no-cors", cache: "no-store" })
  .then(() => setTimeout(() => location.replace(there), %d))
  .catch(() => { if (Date.now() < until) setTimeout(ask, %d);
    else document.getElementById("told").textContent =
      "It did not start. Look at the window where you opened it: it says why."; });
ask();
"""


def head_of(notebook: Path) -> str:
    """Return the first parts of a lesson's prose as HTML; nothing where the file cannot be read."""
    try:
        cells = json.loads(notebook.read_text("utf-8"))["cells"]
        prose = ["".join(each["source"]) for each in cells if each["cell_type"] == "markdown"]
    except (OSError, ValueError, KeyError, TypeError):
        return ""
    return "".join(as_html(each) for each in prose[:_PARTS])


def as_html(prose: str) -> str:
    """Return a part of a lesson as HTML: headings, paragraphs, lists and bold words are all that it knows.

    Examples
    --------
    >>> as_html("# Salt\\n\\n**Weigh** it.\\n\\n- the fish\\n- the salt")
    '<h1>Salt</h1><p><strong>Weigh</strong> it.</p><ul><li>the fish</li><li>the salt</li></ul>'
    """
    shown = []
    for block in re.split(r"\n\s*\n", prose.strip()):
        lines = block.strip().split("\n")
        if lines[0].startswith(("|", "<", "```", "![")):
            continue  # a table or a picture waits for the lesson itself
        if lines[0].startswith("#"):
            level = 1 if lines[0].startswith("# ") else 2
            shown.append(f"<h{level}>{_words(lines[0].lstrip('# '))}</h{level}>")
        elif all(re.match(r"\s*[-*] ", each) for each in lines):
            items = "".join(f"<li>{_words(each.strip()[2:])}</li>" for each in lines)
            shown.append(f"<ul>{items}</ul>")
        else:
            shown.append(f"<p>{_words(' '.join(lines))}</p>")
    return "".join(shown)


def _words(text: str) -> str:
    safe = _LINK.sub(r"\1", html.escape(text.strip(), quote=False))
    return _SLANTED.sub(r"<em>\1</em>", _BOLD.sub(r"<strong>\1</strong>", safe))
