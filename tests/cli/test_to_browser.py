"""How a page is opened: the key of its address stands in no command line, only in a file of the owner's."""

from __future__ import annotations

import stat
import sys
from pathlib import Path
from urllib.parse import unquote, urlsplit

import pytest

from kit.cli import to_browser

ADDRESS = 'http://127.0.0.1:8888/doc/tree/a.ipynb?token=s3cret"</script><script>#task'


def test_the_browser_is_given_a_private_file_and_no_key(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    given = []
    monkeypatch.setattr("webbrowser.open", lambda address: given.append(address) or True)
    room = tmp_path / "room with spaces"
    assert to_browser.show(ADDRESS, room)
    (address,) = given
    assert "s3cret" not in address and "8888" not in address
    file = Path(unquote(urlsplit(address).path))
    assert file.parent.samefile(room)
    if sys.platform != "win32":
        assert stat.S_IMODE(file.stat().st_mode) == 0o600
        assert stat.S_IMODE(room.stat().st_mode) == 0o700
    page = file.read_text("utf-8")
    assert "s3cret" in page and page.count("<script>") == 1  # an address cannot write a script of its own
    to_browser.forget(room)
    assert not file.exists()
    to_browser.forget(room)


@pytest.mark.parametrize("module", ["kit.cli.apprentice.open_lessons", "kit.cli.tutor.desk"])
def test_no_command_hands_an_address_to_a_browser_itself(module: str):
    import importlib

    text = Path(str(importlib.import_module(module).__file__)).read_text("utf-8")
    assert "webbrowser" not in text
