from __future__ import annotations

import pytest

from kit.basics.errors import UnknownName
from kit.basics.terms import term, terms
from kit.practice.lesson_files import lesson_files


def test_every_word_is_explained_once_and_shortly():
    seen: dict[str, str] = {}
    for each in terms().values():
        assert each.lesson in {lesson.number for lesson in lesson_files()}
        assert 2 <= len(each.means.split()) <= 20
        assert each.means.endswith(".")
        for spelling in each.spellings:
            assert spelling.lower() not in seen, (
                f"{spelling} stands under {seen.get(spelling.lower())} and {each.word}"
            )
            seen[spelling.lower()] = each.word


def test_an_unknown_word_names_a_near_one():
    with pytest.raises(UnknownName, match="pellicle"):
        term("pelicle")
