"""What the prompt of an explanation asks for by name: words to use, and how many sentences."""

import re
from typing import Any

_WORDS = re.compile(r"Use the words? ([^.?!]+)\.")
_SENTENCES = re.compile(r"(\d+) (?:or|to) \d+ sentences")


def asked_for(prompt: str) -> dict[str, Any]:
    """Return the words that a prompt asks for, and the fewest sentences; none, and 1, where it names none.

    The page says what is missing before an explanation is kept. It is no mark: a tutor reads it all the same.

    Examples
    --------
    >>> asked_for("Explain in 3 or 4 sentences what you do. Use the words record and corrective action.")
    {'words': ['record', 'corrective action'], 'least': 3}
    >>> asked_for("Answer in your own words.")
    {'words': [], 'least': 1}
    """
    words, sentences = _WORDS.search(prompt), _SENTENCES.search(prompt)
    return {
        "words": re.split(r", | and ", words[1]) if words else [],
        "least": int(sentences[1]) if sentences else 1,
    }
