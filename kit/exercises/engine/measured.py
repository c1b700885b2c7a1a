"""What the guess panel measured of each exercise. ``tests/benchmarks/guess_panel.py`` writes the data."""

import tomllib
from collections.abc import Mapping
from functools import cache
from pathlib import Path

from kit.criteria.knowledge import ExerciseFacts

FILE = Path(__file__).with_name("measured.toml")


@cache
def measured() -> Mapping[str, ExerciseFacts]:
    """Return the chances to be guessed and the kind of each exercise that was measured, by id.

    Examples
    --------
    >>> measured()["brine-degrees"].kind
    'number'
    """
    with FILE.open("rb") as file:
        return {
            name: ExerciseFacts(one["guess_chances"][0], one["kind"], tuple(one["guess_chances"]))
            for name, one in tomllib.load(file).items()
        }
