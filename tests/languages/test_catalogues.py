"""The catalogues: complete, true to their English in what can be counted, short enough."""

from __future__ import annotations

import locale
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from babel.messages.catalog import Catalog

from kit import exercises
from kit.basics.errors import BadData, UnknownName
from kit.cli.author.language import read_catalogue, refresh, state_of, state_words
from kit.cli.author.texts import lesson_texts, paragraphs, template
from kit.files.kitchen_file import CheckedLanguage, KeyHolder, kitchen_text, make_kitchen, parse_kitchen
from kit.files.signing import make_key, unseal_key
from kit.languages import ENGLISH, catalogue_file, codes, load
from kit.languages.comparing import box, faults_of
from kit.marking import mark
from kit.views.workbook.page_language import checked_words

COMPLETE = ("pl", "es")
ENDS = ("Cautions", "Sources")


def of(code: str) -> Catalog:
    return read_catalogue(catalogue_file(code), code)


@pytest.mark.parametrize("code", [code for code in codes() if code != "en"])
def test_what_is_translated_keeps_numbers_and_gaps_and_fits_its_box(code: str):
    assert state_of(of(code)).faulty == ()


@pytest.mark.parametrize("code", [code for code in codes() if code != "en"])
def test_every_catalogue_is_as_the_command_would_write_it(code: str, tmp_path: Path):
    copy = tmp_path / "copy.po"
    copy.write_bytes(catalogue_file(code).read_bytes())
    refresh(code, copy)
    assert copy.read_bytes() == catalogue_file(code).read_bytes()


@pytest.mark.parametrize("code", COMPLETE)
def test_every_text_is_there(code: str):
    state = state_of(of(code))
    assert state.texts > 1000
    assert (state.missing, state.changed) == ((), ())
    asked = {(one.context, one.id) for one in template() if one.id}
    assert asked == {(one.context, one.id) for one in of(code) if one.id}


def test_a_catalogue_of_another_kind_is_made_and_says_that_all_is_missing(tmp_path: Path):
    state = refresh("sv", tmp_path / "sv" / "smokehouse.po")
    assert len(state.missing) == state.texts > 900
    assert next(state_words(state)).startswith("0 of ")


@pytest.mark.slow
def test_english_that_changed_is_said_and_not_shown_until_somebody_looked(tmp_path: Path):
    file, now = tmp_path / "sv.po", next(one for one in template() if one.context and "/" in one.context)
    old = Catalog(locale="sv", fuzzy=False)
    old.add("Something quite different stood here.", "Något annat stod här.", context=now.context)
    from babel.messages.pofile import write_po

    with file.open("wb") as out:
        write_po(out, old)
    state = refresh("sv", file)
    assert state.changed == (now.id,)
    kept = read_catalogue(file, "sv").get(now.id, now.context)
    assert (kept.string, kept.fuzzy) == ("Något annat stod här.", True)


@pytest.mark.parametrize(
    ("english", "said", "word"),
    [
        ("Hold 63 °C for {n} min", "Trzymaj 36 °C przez {n} min", "numbers"),
        ("Hold 63 °C for {n} min", "Trzymaj 63 °C przez {minutes} min", "gaps"),
        ("**Stop** now", "Stój teraz", "bold"),
        ("run `smokehouse open`", "wpisz `smokehouse otwórz`", "commands"),
        ("Check", "Sprawdź, czy odpowiedź jest dobra", "box takes"),
    ],
)
def test_a_translation_that_says_something_else_is_named(english: str, said: str, word: str):
    assert word in " ".join(faults_of(english, said))


def test_numbers_may_be_written_as_the_language_does():
    assert (
        faults_of("1.4 times, 1,000,000 germs, 06:20", "1,4 razy, 1\u00a0000\u00a0000 zarazków, 06:20") == ()
    )
    assert box("x" * 40) == 72


def test_a_code_that_names_no_language_is_refused(tmp_path: Path):
    with pytest.raises(BadData, match="zz-99"):
        refresh("zz-99", tmp_path / "zz.po")
    with pytest.raises(UnknownName, match="xx"):
        load("xx")


def test_a_file_that_is_no_catalogue_is_refused_and_left_as_it_is(tmp_path: Path):
    file = tmp_path / "pl.po"
    file.write_text('msgid "never closed\n', encoding="utf-8")
    with pytest.raises(BadData, match="no catalogue"):
        refresh("pl", file)
    assert file.read_text(encoding="utf-8") == 'msgid "never closed\n'


def test_a_paragraph_keeps_its_key_and_its_marks():
    source = "## Salt\n\n> none\n\n| A | B |\n|---|---|\n| one | **two** |\n\n$$x = 1$$\n\n1. first\n2. next"
    assert list(paragraphs(source)) == ["Salt", "> none", "A", "B", "one", "**two**", "first", "next"]
    keys = [key for path in Path("lessons").glob("*.ipynb") for key, _ in lesson_texts(path)]
    assert len(keys) == len(set(keys)) > 500


def test_values_are_written_as_the_language_writes_them():
    # Decimal signs: CLDR, which Babel carries; seen there.
    assert load("pl").say("{score} of {of}", score=0.25, of=1) == "0,25 z 1"
    assert ENGLISH.say("{score} of {of}", score=0.25, of=1) == "0.25 of 1"
    assert load("pl").say("no such text {n}", n=1) == "no such text 1"


@pytest.fixture
def locale_back() -> Iterator[None]:
    """Put the locale of the process back: what reads text by it comes after."""
    before = locale.setlocale(locale.LC_ALL)
    yield
    locale.setlocale(locale.LC_ALL, before)


@pytest.mark.slow
def test_marks_do_not_depend_on_the_language(monkeypatch: pytest.MonkeyPatch, locale_back: None):
    """A right answer, each slip and a decimal comma: the same mark, word for word, whatever is spoken."""
    names = exercises.ids()
    marks: dict[str, list[object]] = {}
    for code in codes():
        monkeypatch.setenv("LANGUAGE", code)
        monkeypatch.setenv("LC_ALL", f"{code}.UTF-8")
        try:
            locale.setlocale(locale.LC_ALL, "")
        except locale.Error:  # this machine lacks it: then the variables alone are tried
            locale.setlocale(locale.LC_ALL, "C")
        load(code).say("{score} of {of}", score=1.5, of=2)
        marks[code] = []
        for name in names:
            question = exercises.question(name, 7)
            answers = [question.answer, *(slip.value for slip in question.slips), "1,5", "1.5", "2 h 30"]
            marks[code] += [mark(question, answer) for answer in answers]
    assert len(marks["en"]) > 4 * len(names) > 400
    assert [code for code in codes() if marks[code] != marks["en"]] == []


def test_a_button_that_was_reworded_keeps_its_old_words_for_the_translator(tmp_path: Path):
    from babel.messages.pofile import write_po

    old, file = Catalog(locale="sv", fuzzy=False), tmp_path / "sv.po"
    old.add("Hand it in to your tutor", "Lämna in till din handledare")
    with file.open("wb") as out:
        write_po(out, old)
    assert refresh("sv", file).changed == ("Hand in to your tutor",)


def test_a_page_says_who_checked_its_language_and_when_that_is_out_of_date():
    """Only what a tutor signed counts, and only for the texts as they were read."""
    key, _ = make_key("a long password", cost=2**14)
    pl, one = load("pl"), CheckedLanguage("pl", load("pl").fingerprint, "Ewa Lis", "2026-03-02")
    made = make_kitchen(
        "Harbour Lane",
        profile="ie",
        keys=[KeyHolder("tutor", "Mara Quill", key.public)],
        signer=unseal_key(key, "a long password"),
        checked=[one],
    )
    assert made.checked == (one,)
    assert "Ewa Lis" in checked_words(pl, made) and "2 marca" in checked_words(pl, made)
    assert "Ewa Lis" not in checked_words(load("es"), made)
    assert checked_words(load("es"), made) == checked_words(load("es"), None)
    later = replace(made, checked=(replace(one, texts="0" * 16),))
    assert checked_words(pl, later) not in (checked_words(pl, made), checked_words(pl, None))
    with pytest.raises(BadData, match="changed after it was signed"):
        parse_kitchen(kitchen_text(later).encode(), "forged")


@pytest.mark.slow
def test_a_paragraph_that_only_moved_keeps_its_translation(tmp_path: Path):
    from babel.messages.pofile import write_po

    old, file = Catalog(locale="sv", fuzzy=False), tmp_path / "sv.po"
    now = next(one for one in template() if one.context and one.context.endswith("l03-02/4"))
    old.add(now.id, "Som det var.", context="lesson 03 l03-99/9")
    with file.open("wb") as out:
        write_po(out, old)
    assert refresh("sv", file).changed == ()
    assert read_catalogue(file, "sv").get(now.id, now.context).string == "Som det var."


@pytest.mark.parametrize("code", ["pl", "es", "ro", "pt", "lt", "uk"])
def test_trade_words_and_cautions_are_there(code: str):
    there = {(one.context, one.id) for one in of(code) if one.string and not one.fuzzy}
    asked = [(one.context, one.id) for one in template() if one.context in ("word", "meaning")]
    for path in sorted(Path("lessons").glob("[0-9]*.ipynb")):
        told = list(lesson_texts(path))
        first, last = (next(n for n, (_, text) in enumerate(told) if text == end) for end in ENDS)
        asked += told[first + 1 : last]
    assert len(asked) > 230
    assert [text for context, text in asked if (context, text) not in there] == []
