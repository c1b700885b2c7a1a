"""Addresses of sources: one that is given is a whole address of a source that was read, and is shown."""

from urllib.parse import urlsplit

from click.testing import CliRunner

from kit import rules
from kit.cli.tutor.rules import command
from kit.exercises.engine.kitchen_rules import all_told
from kit.views.workbook.task import source_links

WITH = {key: each for key, each in rules.sources().items() if each.address}


def test_an_address_is_whole_and_belongs_to_a_source_that_was_read():
    assert len(WITH) >= 35
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


def test_a_source_that_was_read_has_an_address_and_the_terminal_says_where_none_is_known():
    read = {key for key, each in rules.sources().items() if each.seen and key != "house"}
    assert read <= set(WITH)
    told = CliRunner().invoke(command, ["list", "codex"]).output
    assert "no address known" in told


def test_a_text_that_names_a_source_gives_title_and_address_for_the_page():
    ie = rules.load("ie")
    text = all_told(ie.answering("store"), ie, "the store")
    links = source_links(text)
    assert links and all(each["title"] in text and each["address"] for each in links)
    codex = rules.load("codex")
    unread = next(each for each in codex if not codex.sources[each.source].address)
    title, issuer = codex.sources[unread.source].title, codex.sources[unread.source].issuer
    assert {"title": f"{title}, {issuer}", "address": ""} in source_links(f"Source: {title}, {issuer}.")
    assert source_links(f"The book {title} says so.") == []


def test_two_editions_of_one_book_are_not_taken_for_each_other():
    title = rules.sources()["fda-fish-hazards-3e"].title
    assert title == rules.sources()["fda-fish-hazards-4e"].title
    assert rules.sources_named(title) == ()
