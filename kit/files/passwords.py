"""What a new password must be: long, or a phrase, and none that many people take."""

import re
import unicodedata

from kit.basics.errors import OutOfRange

SHORTEST_PASSWORD = 12
SHORTEST_PHRASE, WORDS_OF_A_PHRASE = 10, 3
LONGEST_PASSWORD = 1024
_MANY_TAKE = """
abc abcd abcdef admin administrator asdf asdfgh asdfghjkl changeme chef fish geheim hello iloveyou kitchen
kitchenpassword letmein login manager master passwd password passwordpassword passwort princess qwert qwerty
qwertyuiop qwertz qwertzuiop salmon secret sesame smoke smokehouse smokehousepassword smoker sunshine test
testtest trout tutor user welcome willkommen
"""
COMMON = frozenset(_MANY_TAKE.split())
"""What many people take, once digits and signs are left out; from memory."""
_DIGITS = "1234567890" * 4


def check_password(password: str) -> str:
    """Return a new password in the form it is used in, if it is hard enough to guess.

    Raises
    ------
    OutOfRange
        If it is shorter than 12 characters and no phrase of 3 words, longer than 1024, or one that many
        people take. The message does not repeat it.

    Examples
    --------
    >>> check_password("oak and rain")
    'oak and rain'
    >>> check_password("Password2026!")
    Traceback (most recent call last):
    ...
    kit.basics.errors.OutOfRange: the password is one that many people take; it must be your own. A few plain
    words in a row are easy to keep in mind.
    """
    tidy = unicodedata.normalize("NFC", password)
    why = "A few plain words in a row are easy to keep in mind."
    phrase = len(tidy.split()) >= WORDS_OF_A_PHRASE
    shortest = SHORTEST_PHRASE if phrase else SHORTEST_PASSWORD
    if not shortest <= len(tidy) <= LONGEST_PASSWORD:
        raise OutOfRange(
            "the password",
            f"{len(tidy)} characters long",
            f"from {SHORTEST_PASSWORD} to {LONGEST_PASSWORD}, or {WORDS_OF_A_PHRASE} words",
            why,
        )
    core = re.sub(r"[^a-z]+", "", tidy.casefold())
    if (not phrase and core in COMMON) or len(set(tidy.casefold())) < 5 or tidy in _DIGITS + _DIGITS[::-1]:
        raise OutOfRange("the password", "one that many people take", "your own", why)
    return tidy
