"""The language of a page: the one its reader chose, kept in their settings, and its texts for the page."""

from datetime import date
from typing import Any

from kit.basics.errors import UnknownName
from kit.files.kitchen_file import Kitchen
from kit.languages import ENGLISH, Language, codes, load
from kit.practice import Session
from kit.practice.people import set_page_language


def language_of(work: Session) -> Language:
    """Return the language that somebody reads in; English where they chose none, or it is no longer there."""
    try:
        return load(work.person.page_language or ENGLISH.code)
    except UnknownName:
        return ENGLISH


def choose_language(work: Session, code: str) -> Language:
    """Keep the language that somebody chose, and return it. Where nobody is recorded, only this page has it.

    Raises
    ------
    UnknownName
        If there is no such language.
    NotSaved
        If the disk is full or can only be read.
    """
    language = load(code)
    if work.recorded:
        work.person = set_page_language(work.person, code)
    return language


def checked_words(language: Language, kitchen: Kitchen | None) -> str:
    """Return whether somebody from the trade has read the translation, by what the kitchen file says."""
    checked = kitchen.checked if kitchen else ()
    one = next((one for one in checked if one.language == language.code), None)
    if one is None:
        return language.say(
            "This translation is not yet checked by a speaker from the trade. The English text holds."
        )
    day = language.day(date.fromisoformat(one.on), short=True)
    if one.texts != language.fingerprint:
        return language.say(
            "This translation has changed since {name} checked it on {day}. The English text holds.",
            name=one.by,
            day=day,
        )
    return language.say(
        "Checked by {name}, a speaker from the trade, on {day}. The English text holds.", name=one.by, day=day
    )


def page_language(language: Language, lesson: int | None, kitchen: Kitchen | None = None) -> dict[str, Any]:
    """Return a language as a page needs it, with the paragraphs of one lesson; of Today for None.

    Examples
    --------
    >>> page = page_language(ENGLISH, 3)
    >>> page["code"], page["texts"], page["choices"][0]
    ('en', {}, {'code': 'en', 'name': 'English'})
    """
    return {
        "code": language.code,
        "texts": language.page(),
        "lesson": [list(pair) for pair in language.lesson(lesson)],
        "checked": checked_words(language, kitchen),
        "choices": [{"code": code, "name": load(code).name} for code in codes()],
    }
