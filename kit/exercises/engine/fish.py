"""The fish that tasks are about. Salmon is what the trade smokes most, so it stands there twice."""

from kit.marking.draw import Draw

FISH = ("salmon", "salmon", "trout", "char")
"""What a task may be about where any salmonid will do."""
FARMED = ("salmon, farmed", "char, farmed", "trout, farmed")
"""The same by their names in `kit.process.physics.species`, for what is worked out of their flesh."""


def any_fish(draw: Draw) -> str:
    """Draw a fish for a task where any salmonid will do.

    Examples
    --------
    >>> any_fish(Draw(3)) in FISH
    True
    """
    return draw.pick(FISH)
