"""The one catalogue: what serves what, told both ways, and what standings rest on."""

from __future__ import annotations

import pytest

from kit import exercises
from kit.basics.errors import UnknownName
from kit.exercises import Catalogue


def test_the_two_ways_of_telling_what_serves_what_agree():
    catalogue = Catalogue()
    for exercise, served in catalogue.evidence.items():
        known = {name for name in served if catalogue.criteria[name].kind == "knowledge"}
        assert known == {name for name, serving in catalogue.exercises_for.items() if exercise in serving}
        assert set(served) - known == set(catalogue.info(exercise).prepares_for)
    assert set(catalogue.evidence) == set(exercises.ids())
    assert [name for name in catalogue.criteria if name in catalogue.exercises_for] == list(
        catalogue.exercises_for
    )


def test_standings_rest_on_what_serves_what():
    class Fewer(Catalogue):
        def ids(self):
            return super().ids()[1:]

    assert Catalogue().basis == Catalogue().basis != Fewer().basis


def test_an_exercise_that_is_not_there_is_said():
    with pytest.raises(UnknownName, match="exercise"):
        Catalogue().info("bake-a-cake")
