"""What every test shares: a throw-away home, and nobody at work unless a test says so."""

from __future__ import annotations

import gc
import hashlib
import os
import secrets
import shutil
from collections import defaultdict
from collections.abc import Callable, Iterator
from itertools import count
from pathlib import Path
from typing import Any
from zlib import crc32

import pytest
from hypothesis import HealthCheck, settings

from kit.files import signing
from tests.throwaway_server import Server, started

# A busy machine is no fault of the code: property tests look at results, never at the clock.
# They take the same examples in every run, so that a change is what makes a test fail.
# SMOKEHOUSE_SEARCH=1 looks for new examples.
BUSY = [HealthCheck.too_slow]
settings.register_profile("kit", deadline=None, derandomize=True, suppress_health_check=BUSY)
settings.register_profile("search", deadline=None, suppress_health_check=BUSY)
settings.register_profile("inner loop", settings.get_profile("kit"), max_examples=15)

MEMORY = Path("/dev/shm")
ROOM_BYTES = 2_000_000_000
MOST_CASES, KEPT_CASES = 4, 2
COSTLY_FIXTURES = {"coolprop", "crew", "demo", "server"}  # a crew of twelve has six weeks of answers


def pytest_configure(config: pytest.Config) -> None:
    """Put scratch folders in memory where there is room: waiting for a disk to sync shows nothing."""
    if os.access(MEMORY, os.W_OK) and shutil.disk_usage(MEMORY).free > ROOM_BYTES:
        os.environ.setdefault("PYTEST_DEBUG_TEMPROOT", str(MEMORY))
    settings.load_profile(property_profile(config))
    gc.disable()  # while thousands of tests are collected nothing is rubbish; looking took half of that time


def property_profile(config: pytest.Config) -> str:
    """Property tests take few examples where whoever runs them leaves the slow tests out."""
    if os.environ.get("SMOKEHOUSE_SEARCH") == "1":
        return "search"
    return "inner loop" if "not slow" in config.option.markexpr else "kit"


def pytest_collection_finish() -> None:
    """Look for rubbish again, but not among the modules and the tests themselves."""
    gc.freeze()
    gc.enable()


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark as slow what waits for something costly, and all but a few cases of a long sweep."""
    sweeps: dict[Any, list[pytest.Item]] = defaultdict(list)
    for item in items:
        drawn = getattr(getattr(item, "callspec", None), "params", {})
        if drawn.get("records") == "postgresql" or not COSTLY_FIXTURES.isdisjoint(
            getattr(item, "fixturenames", ())
        ):
            item.add_marker(pytest.mark.slow)
        if drawn and not item.get_closest_marker("slow"):
            sweeps[item.nodeid.partition("[")[0]].append(item)
    for name, cases in sweeps.items():
        if len(cases) > MOST_CASES:
            kept = chosen(name, len(cases))
            for number, item in enumerate(cases):
                if number not in kept:
                    item.add_marker(pytest.mark.slow)


def chosen(test: str, cases: int) -> set[int]:
    """Return which cases of a sweep the inner loop runs: spread over it, and others in another test."""
    first = crc32(test.encode()) % cases
    return {(first + number * cases // KEPT_CASES) % cases for number in range(KEPT_CASES)}


@pytest.fixture(scope="session", autouse=True)
def quick_keys() -> Iterator[None]:
    """Seal keys at the least cost that the kit allows: stretching passwords shows nothing new here."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setitem(signing.make_key.__kwdefaults__, "cost", min(signing.COSTS))
        yield


@pytest.fixture(scope="session")
def server() -> Iterator[Server]:
    """A PostgreSQL server of this run alone. Where there is none: skipped, or failed if it is required."""
    with started() as running:
        yield running


@pytest.fixture(scope="session")
def coolprop() -> Any:
    """CoolProp's interface: it takes two seconds to load."""
    import CoolProp.CoolProp as loaded

    return loaded


@pytest.fixture(scope="session")
def homes(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """One folder after the other, without counting those that are there each time."""
    parent = tmp_path_factory.mktemp("homes")
    return (parent / str(number) for number in count())


@pytest.fixture(autouse=True)
def throw_away_home(homes: Iterator[Path], monkeypatch: pytest.MonkeyPatch) -> Path:
    home = next(homes)
    home.mkdir()
    monkeypatch.setenv("SMOKEHOUSE_HOME", str(home))
    monkeypatch.delenv("SMOKEHOUSE_PERSON", raising=False)
    return home


def tokens_of(name: str) -> Callable[..., str]:
    """Return what stands in for ``secrets.token_hex``: other tokens for each name, the same in every run."""
    numbers = count()
    return lambda length=32: hashlib.shake_256(f"{name} {next(numbers)}".encode()).hexdigest(length)


@pytest.fixture(autouse=True)
def chance_that_repeats(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """Draw the ids of people and kitchens from the test's own name: variants follow from an id."""
    monkeypatch.setattr(secrets, "token_hex", tokens_of(request.node.nodeid))
