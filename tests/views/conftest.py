"""The small lesson of the browser tests, without a browser."""

from __future__ import annotations

import importlib.util
import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

from kit.cli.demo.crew import make_crew
from kit.cli.demo.desk_story import make_desk
from kit.practice import Session, create, start
from kit.records import open_records, take_in

NOW = datetime(2026, 11, 25, 12, 0, tzinfo=UTC)
STAGE = Path(__file__).parents[1] / "browser" / "data" / "stage.py"


@pytest.fixture(scope="session")
def stage() -> ModuleType:
    spec = importlib.util.spec_from_file_location("stage", STAGE)
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules["stage"] = module
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="session")
def crew(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo's records, keys and names, made once; each test works on a copy."""
    home = tmp_path_factory.mktemp("crew")
    books = make_crew(home, NOW - timedelta(hours=3))
    records = open_records(home / "tutor" / "records.db")
    take_in(records, books, now=NOW - timedelta(hours=2))
    make_desk(records, NOW - timedelta(hours=1), home / "tutor" / "keys")
    records.close()
    return home


@pytest.fixture
def work(stage: ModuleType, throw_away_home: Path) -> Session:
    return start(create("Nuala Prem").id, catalogue=stage.StageBank())


@pytest.fixture
def nobody(stage: ModuleType) -> Session:
    return start("", catalogue=stage.StageBank())


@pytest.fixture
def page() -> Any:
    """Play the page: send a widget messages as the script does, and read what it shows."""

    class Page:
        def __init__(self) -> None:
            self.count = 0

        def send(self, widget: Any, what: str, **more: Any) -> dict[str, Any]:
            self.count += 1
            widget._hear(widget, {"do": what, "serial": f"s-{self.count}", **more}, [])
            return dict(widget.shown) if hasattr(widget, "shown") else {}

    return Page()
