"""Every source is complete, in order, and used; every ``Source:`` in a docstring is on a list."""

import re
import tomllib
from importlib.resources import files
from pathlib import Path

import pytest

import kit
from kit.process.microbes import inactivation
from kit.process.physics.species import fish_book

HERE = Path(kit.__file__).parent
SOURCES = tomllib.loads(files("kit.process").joinpath("sources.toml").read_text(encoding="utf-8"))
RULES = HERE / "rules" / "data" / "sources.toml"
KNOWN = set(SOURCES) | set(tomllib.loads(RULES.read_text(encoding="utf-8")) if RULES.exists() else {})
MODULES = sorted((HERE / "process").glob("*.py"))


@pytest.mark.parametrize("key", SOURCES)
def test_a_source_says_what_it_is_and_whether_it_was_seen(key):
    entry = SOURCES[key]
    for field in ("title", "by", "year", "note"):
        assert isinstance(entry[field], str) and entry[field].strip(), field
    assert isinstance(entry["seen"], bool)
    assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", key)


def test_sources_are_in_order():
    assert list(SOURCES) == sorted(SOURCES)


@pytest.mark.parametrize("module", MODULES, ids=lambda path: path.stem)
def test_a_source_named_in_a_docstring_is_on_the_list(module):
    text = module.read_text(encoding="utf-8")
    for statement in re.findall(r"Source: (.*?)(?:\n\s*\n|\"\"\")", text, re.DOTALL):
        named = re.findall(r"``([a-z0-9]+(?:-[a-z0-9]+)+)``", statement)
        assert set(named) <= KNOWN, f"{module.name}: {set(named) - KNOWN}"


def test_data_names_sources_that_are_on_the_list():
    book = fish_book()
    used = {entry.source for entry in (*book.fish, *book.part, *book.season, *book.state)}
    used |= {table.source for table in inactivation.heat_tables().values()}
    used |= {found.source for found in inactivation.d_sets().values()}
    assert used <= KNOWN
