"""What a translation must keep of its English: numbers, gaps for values, marks; and how long it may be."""

import re

_NUMBER = re.compile(r"\d+(?:[.,:\u00a0\u202f]\d+)*")
_GAP = re.compile(r"\{\w+\}")
_THOUSANDS = re.compile(r"\d{1,3}(?:[,.\u00a0\u202f]\d{3})+")
_CODE = re.compile(r"`[^`]+`")
SHORT, TIMES, MORE = 30, 1.6, 14
"""A text fits its box up to 1.6 times its English and 14 characters; from 30 on, 8 are enough. Ours."""


def box(english: str) -> int:
    """Return how many characters the translation of a text may have.

    Buttons and labels are drawn for this; ``tests/browser`` looks at the narrowest page.

    Examples
    --------
    >>> box("Check"), box("x" * 100)
    (22, 168)
    """
    return int(TIMES * len(english)) + (MORE if len(english) < SHORT else MORE - 6)


def faults_of(english: str, said: str) -> tuple[str, ...]:
    """Return what is wrong with a translation, in words; nothing, if nothing is.

    Examples
    --------
    >>> faults_of("Hold 2.5 °C for {n} min", "Trzymaj 2,5 °C przez {n} min")
    ()
    >>> faults_of("Hold 63 °C", "Trzymaj 36 °C przez {n} min")
    ('numbers: 63 in English, 36 here', 'gaps: none in English, {n} here')
    """
    found = [
        f"{what}: {_listed(one)} in English, {_listed(other)} here"
        for (what, one), other in zip(_kept(english).items(), _kept(said).values(), strict=True)
        if one != other
    ]
    if len(said) > box(english):
        found.append(f"{len(said)} characters long; its box takes {box(english)}")
    return tuple(found)


def _kept(text: str) -> dict[str, list[str]]:
    return {
        "numbers": sorted(map(_plain, _NUMBER.findall(text))),
        "gaps": sorted(_GAP.findall(text)),
        "bold marks": ["**"] * text.count("**"),
        "commands": sorted(_CODE.findall(text)),
    }


def _plain(number: str) -> str:
    """Return a number without the marks that differ between languages: thousands and the decimal sign."""
    if _THOUSANDS.fullmatch(number):
        return re.sub(r"\D", "", number)
    return number.replace(",", ".").strip(".")


def _listed(found: list[str]) -> str:
    return ", ".join(found) or "none"
