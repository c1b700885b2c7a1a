"""The small lesson of the browser tests, without a browser."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

from kit.practice import Session, create, start

STAGE = Path(__file__).parents[1] / "browser" / "data" / "stage.py"


@pytest.fixture(scope="session")
def stage() -> ModuleType:
    spec = importlib.util.spec_from_file_location("stage", STAGE)
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules["stage"] = module
    spec.loader.exec_module(module)
    return module


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
