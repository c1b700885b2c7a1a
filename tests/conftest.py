"""What every test shares: a throw-away home, and nobody at work unless a test says so."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import settings

# A busy machine is no fault of the code: property tests look at results, never at the clock.
settings.register_profile("kit", deadline=None)
settings.load_profile("kit")


@pytest.fixture(autouse=True)
def throw_away_home(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> Path:
    home = tmp_path_factory.mktemp("home")
    monkeypatch.setenv("SMOKEHOUSE_HOME", str(home))
    monkeypatch.delenv("SMOKEHOUSE_PERSON", raising=False)
    return home
