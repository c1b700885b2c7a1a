"""A choice is read whole: a closed box at the width of the page cuts longer words off."""

from __future__ import annotations

import pytest

from kit import exercises

MOST_IN_A_PAIR, MOST_IN_A_REASON = 50, 76
"""Characters that a box beside its label shows, and one that has the width of the card; both measured."""


@pytest.mark.parametrize("name", exercises.ids())
def test_no_choice_is_cut_by_its_box(name: str):
    for seed in range(12):
        kind = exercises.question(name, seed).kind
        if kind.name == "match":
            assert [each.text for each in kind.right if len(each.text) > MOST_IN_A_PAIR] == []
        if kind.name == "recommend":
            assert [each.text for each in kind.reasons if len(each.text) > MOST_IN_A_REASON] == []
