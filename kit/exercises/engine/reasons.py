"""The reasons of a lesson's lines, as its ``reasons.toml`` holds them: exercise, line, why."""

import tomllib
from collections.abc import Mapping
from functools import cache
from pathlib import Path

LESSONS = Path(__file__).parents[1]


@cache
def reasons_of(lesson: int) -> Mapping[str, Mapping[str, str]]:
    """Return the reasons of one lesson: exercise id, then the first words of a line, then the sentence.

    Examples
    --------
    >>> reasons_of(4)["what-keeps-the-fish"]["Heat"]
    'Heat kills. It works in the core, if the core holds it long enough.'
    """
    file = LESSONS / f"lesson_{lesson:02d}" / "reasons.toml"
    if not file.is_file():
        return {}
    return tomllib.loads(file.read_text(encoding="utf-8"))
