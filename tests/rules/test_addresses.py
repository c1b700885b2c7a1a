"""Addresses of sources: one that is given is a whole address of a source that was read, and is shown."""

from urllib.parse import urlsplit

from click.testing import CliRunner

from kit import rules
from kit.cli.tutor.rules import command

WITH = {key: each for key, each in rules.sources().items() if each.address}


def test_an_address_is_whole_and_belongs_to_a_source_that_was_read():
    assert len(WITH) >= 12
    for key, source in WITH.items():
        parts = urlsplit(source.address)
        assert parts.scheme in ("http", "https") and "." in parts.netloc and len(parts.path) > 1, key
        assert source.address == source.address.strip() and " " not in source.address, key
        assert source.seen, key


def test_no_two_sources_share_an_address():
    assert len({each.address for each in WITH.values()}) == len(WITH)


def test_the_list_of_rules_prints_the_address_whole_beside_the_title():
    told = CliRunner().invoke(command, ["list", "ie"]).output
    assert any(rules.sources()["ie-fsai-gn15"].address == line.strip() for line in told.splitlines())
