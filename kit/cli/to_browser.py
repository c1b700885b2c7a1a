"""Opening a page in the browser without its key in a command line, where every account could read it."""

from __future__ import annotations

import html
import json
from pathlib import Path

from kit.basics.atomic_files import make_private_folder, write_private

REDIRECT = "open_the_page.html"


def show(address: str, room: Path) -> bool:
    """Open an address through a file that only its owner can read; return whether a browser was found.

    Parameters
    ----------
    address : str
        The address, with its key.
    room : Path
        A folder of whoever opens it. The file stays until `forget`.
    """
    shown, quoted = html.escape(address, quote=True), json.dumps(address).replace("<", "\\u003c")
    page = (
        '<!doctype html><html lang="en-GB"><meta charset="utf-8"><meta name="referrer" content="no-referrer">'
        f"<title>Opening …</title><script>window.location.replace({quoted});</script>"
        f'<p><a href="{shown}">Open the page</a></p></html>\n'
    )
    return show_page(page, room)


def show_page(page: str, room: Path) -> bool:
    """Open a page of ours that holds a key, from a file that only its owner can read; `forget` removes it."""
    import webbrowser

    make_private_folder(room)
    file = room / REDIRECT
    write_private(file, page.encode("utf-8"))
    return webbrowser.open(file.absolute().as_uri())


def forget(room: Path) -> None:
    """Remove the file that led to the page."""
    (room / REDIRECT).unlink(missing_ok=True)
