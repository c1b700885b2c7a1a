"""New passwords: long or a phrase, and none that many people take."""

import pytest

from kit.basics.errors import OutOfRange
from kit.files.passwords import check_password


@pytest.mark.parametrize(
    "taken",
    ["Password2026!", "qwertyuiop12", "123456789012", "098765432109", "Smokehouse1234", "aaaaaaaaaaaa"],
)
def test_what_many_people_take_is_refused(taken):
    with pytest.raises(OutOfRange, match="many people take") as refused:
        check_password(taken)
    assert taken not in str(refused.value)


@pytest.mark.parametrize("short", ["", "x7!kQ2#pLm9", "alder oak", "a b c d e"])
def test_what_is_short_and_no_phrase_is_refused(short):
    with pytest.raises(OutOfRange, match="or 3 words"):
        check_password(short)


@pytest.mark.parametrize("good", ["x7!kQ2#pLm9w", "oak and rain", "alder before oak", "räuchern im Regen"])
def test_long_ones_and_phrases_are_taken(good):
    assert check_password(good) == good
