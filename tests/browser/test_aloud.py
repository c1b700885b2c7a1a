"""Words that can be touched, and a page that reads itself out, by the voices of this machine alone."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from kit.practice import people, prepare
from kit.practice.own_terms import read

# The browser's speech with voices of our own: what is said is noted, and ends when the test says so.
SPEECH = """(voices) => {
  const heard = [], target = new EventTarget();
  const speak = (speech) => {
    heard.push({ text: speech.text, voice: speech.voice.name, lang: speech.lang });
    window.endOfSpeech = () => speech.onend();
  };
  Object.assign(target, { getVoices: () => voices, cancel: () => {}, speak });
  Object.defineProperty(window, "speechSynthesis", { value: target, configurable: true });
  window.SpeechSynthesisUtterance = class { constructor(text) { this.text = text; } };
  window.heard = heard;
}"""
HOME = {"name": "home", "lang": "en_GB", "localService": True}
AWAY = {"name": "away", "lang": "en-GB", "localService": False}
POLISH = {"name": "dom", "lang": "pl-PL", "localService": True}


@pytest.fixture(scope="module")
def book(server: Callable[..., Any], tmp_path_factory: pytest.TempPathFactory) -> Any:
    home = tmp_path_factory.mktemp("home")
    person = people.create("Ola Zych", home=home)
    prepare(person)
    return server(person.lessons, person, home), person


@pytest.fixture
def lesson(book: Any, page_of: Callable[..., Page]) -> Callable[..., Page]:
    """Open a lesson in a browser that has these voices."""

    def opened(*voices: dict[str, Any], width: int = 1280) -> Page:
        page = page_of(width=width)
        page.add_init_script(f"({SPEECH})({list(voices)})".replace("True", "true").replace("False", "false"))
        page.goto(book[0].address("05_cook_by_temperature.ipynb"))
        page.locator("[data-kit-ran]").wait_for(state="attached", timeout=90_000)
        page.locator(".sk-hear").first.wait_for()
        return page

    return opened


def heard(page: Page) -> list[dict[str, str]]:
    return page.evaluate("window.heard")


def test_every_paragraph_and_prompt_can_be_read_out(lesson: Callable[..., Page]):
    page = lesson(AWAY, HOME)
    # the line above a list is read with the list
    silent = page.evaluate(
        "() => [...document.querySelectorAll('.jp-RenderedMarkdown > :is(p, ul, ol), .sk-task > .sk-prose')]"
        ".filter(one => !one.querySelector('.sk-hear') && !one.nextElementSibling?.querySelector('.sk-hear'))"
        ".map(one => one.textContent)"
    )
    assert silent == []
    first = page.locator(".jp-RenderedMarkdown p").first
    ear = first.get_by_role("button", name="Read it to me")
    ear.click()
    expect(ear).to_have_attribute("aria-pressed", "true")
    expect(first).to_have_class("sk-heard")
    assert heard(page)[0]["text"] == " ".join((first.text_content() or "").split())
    assert heard(page)[0]["voice"] == "home"  # a voice of the network would send the text away
    page.evaluate("window.endOfSpeech()")
    expect(ear).to_have_attribute("aria-pressed", "false")
    task = page.locator("[data-exercise=coldest-true-core]")
    task.get_by_role("button", name="Read it to me").click()
    assert "your probe shows" in heard(page)[-1]["text"]
    options = page.locator("[data-kind=one] legend").first
    options.get_by_role("button", name="Read it to me").click()
    labels = options.locator("xpath=..").locator("label").all_inner_texts()
    assert all(" ".join(each.split()).rstrip(".") in heard(page)[-1]["text"] for each in labels)


def test_where_there_is_no_voice_of_its_own_one_sentence_says_so(lesson: Callable[..., Page]):
    page = lesson(AWAY)
    first = page.locator(".jp-RenderedMarkdown p").first
    first.get_by_role("button", name="Read it to me").click()
    expect(first.get_by_role("status")).to_have_text(
        "This machine has no voice of its own for English, so it cannot read aloud."
    )
    assert heard(page) == []


def test_a_trade_word_is_touched_spoken_and_named_in_the_learners_language(
    lesson: Callable[..., Page], book: Any
):
    page = lesson(HOME, POLISH, width=390)
    term = page.locator(".sk-term[data-word=probe]").first
    term.click()
    card = page.locator(".sk-word-card")
    expect(card).to_contain_text("probe")
    expect(card.locator("svg")).to_be_visible()
    card.get_by_role("button", name="Say the word").click()
    assert heard(page)[-1] == {"text": "probe", "voice": "home", "lang": "en_GB"}
    card.get_by_label("In my language").fill("sonda")
    card.get_by_label("In my language").press("Enter")
    expect(card.get_by_role("status")).to_have_text("Kept: probe.")
    assert read(book[1].folder).words["probe"] == "sonda"
    page.keyboard.press("Escape")
    expect(card).to_have_count(0)
    expect(term).to_be_focused()
    wide = page.evaluate("() => document.documentElement.scrollWidth - document.documentElement.clientWidth")
    assert wide <= 0
    term.press("Enter")
    expect(card.get_by_label("In my language")).to_have_value("sonda")


def test_a_text_in_polish_is_read_by_a_polish_voice_and_stays_one_text(lesson: Callable[..., Page]):
    page = lesson(HOME, POLISH)
    english = page.locator(".jp-RenderedMarkdown p").first.text_content()
    page.get_by_label("Language").select_option("pl")
    first = page.locator(".jp-RenderedMarkdown p").first
    expect(first.locator("> span[lang=pl]")).to_be_visible()
    first.get_by_role("button", name="Przeczytaj mi").click()
    assert heard(page)[-1]["voice"] == "dom"
    assert heard(page)[-1]["text"] == " ".join(
        (first.locator("> span[lang=pl]").text_content() or "").split()
    )
    page.get_by_label("Język").select_option("en")
    expect(first.locator("> span[lang=pl]")).to_have_count(0)
    expect(first.locator(".sk-hear")).to_have_count(1)
    assert " ".join((first.text_content() or "").split()) == " ".join((english or "").split())


def test_tab_stops_once_in_a_paragraph_and_arrows_lead_to_its_words(lesson: Callable[..., Page]):
    page = lesson(HOME)
    stops = page.evaluate(
        "() => [...document.querySelectorAll('.jp-Cell')]"
        ".map(cell => [...cell.querySelectorAll('.sk-hear, .sk-term')]"
        ".filter(one => !one.closest('.sk-card') && one.tabIndex === 0).length)"
    )
    assert max(stops) == 1
    page.locator(".jp-RenderedMarkdown .sk-term[tabindex='0']").first.focus()
    page.keyboard.press("ArrowRight")
    focused = "document.activeElement.matches('.sk-hear, .sk-term')"
    assert page.evaluate(focused)
