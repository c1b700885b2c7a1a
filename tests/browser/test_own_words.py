"""The list of words in the browser: typed, kept, there again, in any script, on paper too."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from kit.basics.terms import terms
from kit.practice import people
from kit.practice.own_terms import read

LESSONS = Path(__file__).resolve().parents[2] / "lessons"


@pytest.fixture(scope="module")
def at_work(server: Callable[..., Any], tmp_path_factory: pytest.TempPathFactory) -> Any:
    """Somebody at work on a small lesson with the list of words."""
    home = tmp_path_factory.mktemp("home")
    person = people.create("Nuala Prem", home=home)
    shutil.copy(LESSONS / "00_start_here.ipynb", person.lessons)
    return server(person.lessons, person, home), person


def row(page: Page, word: str) -> Any:
    return page.locator(f'.sk-own tr[data-word="{word}"]')


def kept(page: Page, field: Any, word: str, text: str) -> None:
    field.fill(text)
    field.press("Tab")
    expect(page.locator(".sk-own .sk-wait")).to_have_text(f"Kept: {word}.")


def test_words_in_two_scripts_are_kept_and_there_again(at_work: Any, page_of: Callable[..., Page]):
    book, person = at_work
    page = page_of(book.address("00_start_here.ipynb"))
    card = page.locator(".sk-own")
    expect(card).to_contain_text("kept on this machine")
    kept(page, card.get_by_label("My language", exact=True), "the language", "العربية")
    kept(page, row(page, "batch").locator("input"), "batch", "دفعة")
    expect(card.locator("thead")).to_contain_text("العربية")
    assert row(page, "batch").locator("input").evaluate("one => getComputedStyle(one).direction") == "rtl"
    card.get_by_label("Words of").select_option("5")
    expect(row(page, "batch")).to_be_hidden()
    kept(page, row(page, "core").locator("input"), "core", "القلب")
    expect(card).to_contain_text(f"2 of {len(terms())} words written.")
    assert read(person.folder).words == {"batch": "دفعة", "core": "القلب"}
    page.reload()
    page.locator("[data-kit-ran]").wait_for(state="attached")
    expect(row(page, "batch").locator("input")).to_have_value("دفعة")
    expect(page.locator(".sk-own").get_by_label("My language", exact=True)).to_have_value("العربية")


def test_a_long_text_is_refused_in_words_and_stays_in_its_field(at_work: Any, page_of: Callable[..., Page]):
    book, person = at_work
    page = page_of(book.address("00_start_here.ipynb"))
    field = row(page, "tutor").locator("input")
    field.fill("x" * 90)
    expect(row(page, "tutor")).to_contain_text("90 characters long; it must be 80 or fewer")
    expect(field).to_have_value("x" * 90)
    assert "tutor" not in read(person.folder).words
    kept(page, field, "tutor", "x" * 80)
    assert read(person.folder).words["tutor"] == "x" * 80
    expect(row(page, "tutor")).not_to_contain_text("characters long")


def test_on_paper_every_word_is_there(at_work: Any, page_of: Callable[..., Page]):
    book, _ = at_work
    page = page_of(book.address("00_start_here.ipynb"))
    kept(page, row(page, "batch").locator("input"), "batch", "dávka")
    page.emulate_media(media="print")
    assert page.locator(".sk-own tbody tr").count() == page.locator(".sk-own tbody tr:visible").count()
    expect(row(page, "batch").locator(".sk-own-print")).to_have_text("dávka")
    expect(row(page, "batch").locator(".sk-own-print")).to_be_visible()
    expect(row(page, "batch").locator("input")).to_be_hidden()
    # the page is as long as its lesson, so paper does not end where the screen did
    low = page.evaluate("document.querySelector('.sk-own').getBoundingClientRect().bottom + window.scrollY")
    assert page.evaluate("document.querySelector('#main').getBoundingClientRect().height") > low > 4000
    assert page.evaluate("getComputedStyle(document.body).overflowY") == "visible"
