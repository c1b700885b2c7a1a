"""Scripts in an empty page, with a model of our own in place of a kernel: what no kernel does at will."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from kit.views.workbook.cards import PictureCard
from kit.views.workbook.explorer import Explorer
from kit.views.workbook.own_terms import WordList
from kit.views.workbook.widget_base import WorkbookWidget

MOUNT = """async ([script, state]) => {
  const address = URL.createObjectURL(new Blob([script], { type: "text/javascript" }));
  const { default: widget } = await import(address);
  window.sent = [];
  window.heard = {};
  const model = {
    get: (name) => state[name],
    on: (event, callback) => { window.heard[event] = callback; },
    send: (message) => window.sent.push(message),
  };
  widget.render({ model, el: document.body });
}"""


@pytest.fixture
def mount(page_of: Callable[..., Page]) -> Callable[..., Page]:
    """Show a widget's script with a state of our own; ``window.sent`` holds what it sends."""

    def shown(widget: type[WorkbookWidget], **state: Any) -> Page:
        page = page_of()
        page.set_content("<!doctype html><html lang='en'><body></body></html>")
        page.evaluate(MOUNT, [str(widget._esm), state])
        return page

    return shown


def reply(page: Page, **message: Any) -> None:
    page.evaluate("(message) => window.heard['msg:custom'](message, [])", message)


def sent(page: Page) -> list[dict[str, Any]]:
    return page.evaluate("window.sent")


WORDS = {
    "start": 0,
    "lessons": [{"number": 0, "title": "0 · Start here"}],
    "words": [{"word": "core", "means": "The middle of the fish.", "lesson": 0, "sketch": ""}],
    "note": "Kept.",
}
NOTHING_YET = {"language": "", "words": {}, "notice": ""}


def test_what_is_typed_while_a_reply_is_on_its_way_is_kept_too(mount: Callable[..., Page]):
    page = mount(WordList, form=WORDS, kept=NOTHING_YET)
    field = page.get_by_label("“core” in my language")
    field.fill("kär")
    page.wait_for_function("window.sent.length === 1")
    field.press_sequentially("na")  # the reply to the first part comes only now
    reply(page, reply="kept", word="core", serial=1, text="kär")
    page.wait_for_function("window.sent.length === 2")
    assert [each["text"] for each in sent(page)] == ["kär", "kärna"]
    reply(page, reply="kept", word="core", serial=2, text="kärna")
    expect(page.locator(".sk-wait")).to_have_text("Kept: core.")


def test_a_field_that_was_refused_says_so_to_a_screen_reader(mount: Callable[..., Page]):
    page = mount(WordList, form=WORDS, kept=NOTHING_YET)
    field = page.get_by_label("“core” in my language")
    field.fill("x")
    page.wait_for_function("window.sent.length === 1")
    reply(page, reply="kept", word="core", serial=1, error="Too long.")
    expect(field).to_have_attribute("aria-invalid", "true")
    field.fill("y")
    page.wait_for_function("window.sent.length === 2")
    reply(page, reply="kept", word="core", serial=2, text="y")
    expect(field).not_to_have_attribute("aria-invalid", "true")


def choice(key: str, start: str) -> dict[str, Any]:
    options = [{"key": "yes", "text": f"{key} yes"}, {"key": "no", "text": f"{key} no"}]
    return {"form": "choice", "key": key, "label": key, "options": options, "start": start}


def test_back_to_the_start_sets_each_choice_to_its_own_start(mount: Callable[..., Page]):
    start = {"skin": "yes", "lid": "no"}
    controls = [choice("skin", "yes"), choice("lid", "no")]
    spec = {"name": "own", "title": "Own", "intro": "", "controls": controls, "start": start, "predict": None}
    page = mount(Explorer, spec=spec)
    page.get_by_label("skin no").check()
    page.get_by_label("lid yes").check()
    page.get_by_role("button", name="Back to the start").click()
    expect(page.get_by_label("skin yes")).to_be_checked()
    expect(page.get_by_label("lid no")).to_be_checked()
    for _ in range(20):  # each picture that is asked for comes, until the last one is for the start
        page.wait_for_function("window.sent.length > 0")
        last = sent(page)[-1]
        if last["settings"] == start:
            break
        reply(page, reply="drawn", settings={}, text="", facts=[], svg="<svg/>", serial=last["serial"])
        page.wait_for_timeout(50)
    assert last["settings"] == start


COMPOSED = {
    "The core is at {n1} °C{n2}.": "Rdzeń ma {n1} °C{n2}.",
    "Turn it down.": "Zmniejsz ogień.",
    "alder": "olcha",
    "Wood: {n1}": "Drewno: {n1}",
    "core": "rdzeń, w środku najgrubszej części",
}


def test_a_composed_text_is_said_in_the_language_by_its_sentences(mount: Callable[..., Page]):
    """Whatever stands in the gaps; what is not known stays English, and English comes back."""
    page = mount(PictureCard, form={"title": "", "picture": CARD})
    page.evaluate("(texts) => { window.kitLanguage = { code: 'pl', texts, lesson: [] }; }", COMPOSED)
    page.evaluate(MOUNT, [str(PictureCard._esm), {"form": {"title": "", "picture": CARD}}])
    expect(page.locator(".sk-words p")).to_have_text(
        "Rdzeń ma 57,5 °C. Zmniejsz ogień. Nobody knows this one."
    )
    expect(page.locator(".sk-facts li").first).to_have_text("Drewno: olcha")
    expect(page.locator("svg text")).to_have_text("rdzeń, w środku najgrubszej części")
    wide = page.evaluate("() => document.querySelector('svg text').getComputedTextLength()")
    assert 0 < wide < 60  # drawn narrower, to keep to the room of the English


CARD = {
    "label": "A core",
    "text": "The core is at 57.5 °C. Turn it down. Nobody knows this one.",
    "facts": ["Wood: alder"],
    "svg": '<svg viewBox="0 0 400 60"><text x="5" y="20" font-size="14">core</text></svg>',
}
