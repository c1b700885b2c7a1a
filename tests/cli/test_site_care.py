"""`smokehouse site health` and `site backup`, as a timer calls them."""

from __future__ import annotations

import json

import pytest

from kit.cli.acting import PASSWORD_VARIABLE
from kit.cli.manager import site, staff
from tests.cli.typed import run


@pytest.mark.slow
def test_a_timer_can_save_try_and_look(throw_away_home, tmp_path, monkeypatch):
    monkeypatch.setenv(PASSWORD_VARIABLE, "a long password")
    run(staff.command, "begin", "Berit Falk")
    assert "No backup was made from here yet." in run(site.command, "health", code=1)
    said = run(site.command, "backup", str(tmp_path))
    assert "Put back as a trial" in said and "it serves" in said and "0 old backups removed" in said
    assert "All is well." in run(site.command, "health")
    told = json.loads(run(site.command, "health", "--json", "--no-check"))
    assert told["wrong"] == [] and told["acts"] >= 1 and told["chain_problems"] is None
    assert "Berit" not in json.dumps(told)
