"""A desk as the command line makes it: made once, copied for each test."""

from __future__ import annotations

import secrets
import shutil
from pathlib import Path

import pytest

from kit.cli.acting import PASSWORD_VARIABLE
from kit.cli.manager import staff
from kit.files import signing
from tests.cli.typed import PASSWORD, run
from tests.conftest import tokens_of

STAFF = (
    ("Osric Vane", "tutor"),
    ("Inès Óg Roald", "verifier"),
    ("Wilma Tack", "tutor"),
    ("Berti Example", "tutor"),
)


@pytest.fixture(scope="session")
def begun(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A manager, three tutors and a verifier with keys on this machine, and two apprentices."""
    home = tmp_path_factory.mktemp("begun")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("SMOKEHOUSE_HOME", str(home))
        patch.setenv(PASSWORD_VARIABLE, PASSWORD)
        patch.setattr(secrets, "token_hex", tokens_of("a desk made by commands"))
        run(staff.command, "begin", "Berit Falk")
        for name, role in STAFF:
            run(staff.command, "take-on", name, role, "--as", "falk")
            dates = ("--since", "2026-01-01", "--until", "2099-01-01")
            run(staff.command, "assessor", name, "Assessor course", *dates, "--as", "falk")
            sealed, _ = signing.make_key(PASSWORD)
            path = home / "tutor" / "keys" / f"{sealed.key_id}.json"
            path.parent.mkdir(parents=True, exist_ok=True)
            signing.write_key(path, sealed)
            run(staff.command, "key", name, path, "--as", "falk")
        for name in ("Łucja Dąbrowska", "Tam Ferris"):
            run(staff.command, "take-on", name, "apprentice", "--as", "Osric", "--started", "2026-03-02")
    return home


@pytest.fixture
def desk(begun: Path, throw_away_home: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy of that desk in the home of this test."""
    monkeypatch.setenv(PASSWORD_VARIABLE, PASSWORD)
    shutil.copytree(begun, throw_away_home, dirs_exist_ok=True)
    return throw_away_home
