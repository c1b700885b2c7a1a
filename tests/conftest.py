"""What every test shares: a throw-away home, and nobody at work unless a test says so."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from hypothesis import settings

# A busy machine is no fault of the code: property tests look at results, never at the clock.
# They take the same examples in every run, so that a change is what makes a test fail.
# SMOKEHOUSE_SEARCH=1 looks for new examples.
settings.register_profile("kit", deadline=None, derandomize=True)
settings.register_profile("search", deadline=None)
settings.load_profile("search" if os.environ.get("SMOKEHOUSE_SEARCH") == "1" else "kit")


@pytest.fixture(autouse=True)
def throw_away_home(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> Path:
    home = tmp_path_factory.mktemp("home")
    monkeypatch.setenv("SMOKEHOUSE_HOME", str(home))
    monkeypatch.delenv("SMOKEHOUSE_PERSON", raising=False)
    return home
