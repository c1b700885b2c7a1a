"""The page in another language: chosen on the page, kept, English one tap away, numbers in its manner."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from kit.languages import load
from kit.practice import people, prepare
from kit.practice.lesson_files import TODAY_FILE


@pytest.fixture(scope="module")
def book(server: Callable[..., Any], tmp_path_factory: pytest.TempPathFactory) -> Any:
    home = tmp_path_factory.mktemp("home")
    person = people.create("Ola Zych", home=home)
    prepare(person)
    return server(person.lessons, person, home), person


def test_a_page_is_switched_to_polish_and_stays_so(book: Any, page_of: Callable[..., Page]):
    server, person = book
    page = page_of(server.address("03_pellicle.ipynb"))
    task = page.locator("[data-exercise=weight-loss-of-a-tray]")
    task.locator("input").first.fill("12,5")
    page.get_by_label("Language").select_option("pl")
    expect(task.get_by_role("button", name="Sprawdź")).to_be_visible()
    expect(task.locator("input").first).to_have_value("12,5")
    expect(page.locator(".sk-language")).to_contain_text("nie sprawdził jeszcze nikt z branży")
    page.locator(".sk-language").get_by_role("button", name="English").click()
    expect(task.get_by_role("button", name="Check")).to_be_visible()
    page.locator(".sk-language").get_by_role("button", name="English").click()
    task.get_by_role("button", name="Sprawdź").click()
    expect(task.locator(".sk-verdict")).to_contain_text("12.5")  # what was read stays as it is marked
    assert people.get(person.id, person.folder.parents[1]).page_language == "pl"
    page.goto(server.address(TODAY_FILE))
    card = page.locator(".sk-today")
    expect(card).to_contain_text(load("pl").say("How far to working alone"))
    expect(card.get_by_role("button", name="Oddaj opiekunowi")).to_be_visible()
    wide = page.evaluate("() => document.documentElement.scrollWidth - document.documentElement.clientWidth")
    assert wide <= 0


def test_a_list_to_choose_from_and_the_threads_follow_the_language(book: Any, page_of: Callable[..., Page]):
    server, _person = book
    page = page_of(server.address("06_chilling_and_keeping.ipynb"))
    pick = page.locator(".sk-language select")
    pick.select_option("es")
    first = page.locator(".sk-task select option[value='']").first
    expect(first).to_have_text(load("es").say("choose …"))
    line = page.locator(".sk-task .sk-line").first
    expect(line).to_contain_text(load("es").say("no partner yet"))
    pick.select_option("en")
    expect(first).to_have_text("choose …")
    expect(line).to_contain_text("no partner yet")


def test_an_explorer_its_prediction_and_the_list_for_the_job_follow_the_language(
    book: Any, page_of: Callable[..., Page]
):
    server, _person = book
    page = page_of(server.address("05_cook_by_temperature.ipynb"))
    page.locator(".sk-language select").select_option("pl")
    card, said = page.locator("[data-explorer=core-and-surface]"), load("pl").say
    expect(card.locator("h3")).to_contain_text(said("How does the heat reach the core?"))
    card.get_by_label(said("About 63 °C"), exact=True).check()
    card.get_by_role("button", name=said("Show me")).click()
    expect(card.locator(".sk-facts")).to_contain_text(
        "Rdzeń po 2 h"
    )  # composed of gaps, so no text of the catalogue
    expect(card.locator("label", has_text=said("Relative humidity"))).to_be_visible()
    expect(card.get_by_label(said("with a pellicle"), exact=True)).to_be_visible()
    line = page.locator(".sk-checklist li").first
    expect(line).to_contain_text(said("Card read: core temperature, hold, whose rule"))
    page.locator(".sk-language select").select_option("en")
    expect(line).to_contain_text("Card read: core temperature, hold, whose rule")
    expect(card.locator("h3")).to_contain_text("How does the heat reach the core?")


def test_what_is_left_and_what_to_look_at_follow_the_language(book: Any, page_of: Callable[..., Page]):
    server, _person = book
    page = page_of(server.address("01_fish_in_trim_and_pin_bones.ipynb"))
    page.locator(".sk-language select").select_option("es")
    said = load("es").say
    look = page.locator(".sk-look > summary", has_text=said("The outside of a fish")).first
    expect(look).to_contain_text(said("Look first:"))
    end = page.locator(".sk-end")
    end.scroll_into_view_if_needed()
    first = "Name the fish species we use, and describe what each looks like when it is fresh."
    expect(end).to_contain_text(said(first))
    expect(end).to_contain_text("Sin empezar")
