"""What a rule proves, and for fish in which pack: a rule never serves another purpose or pack."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Literal

from kit.basics.errors import UnknownName

Purpose = Literal[
    "", "plate", "kept", "parasites", "cooling", "keeping",
    "serve", "residue", "quality", "paper", "people", "tools",
]  # fmt: skip
Pack = Literal["air", "vacuum", "modified air", "frozen"]

PURPOSES: Mapping[str, str] = MappingProxyType(
    {
        "plate": "for food eaten at once",
        "kept": "for the heat of fish that is kept ready to eat",
        "parasites": "against parasites only",
        "cooling": "for the way to the cold",
        "keeping": "for the time in the cold",
        "serve": "for food heated again or kept hot",
        "residue": "for what smoke, wood and additives leave in the fish",
        "quality": "for what the product is",
        "paper": "for labels, plans and leave",
        "people": "for the air that people breathe",
        "tools": "for thermometers",
    }
)
"""What a rule may prove, in words; it proves nothing beyond. The first five are about a batch of fish."""

PACKS: Mapping[str, str] = MappingProxyType(
    {
        "air": "packed in air",
        "vacuum": "packed in vacuum",
        "modified air": "packed in modified air",
        "frozen": "packed frozen",
    }
)
"""How fish may be packed, in words."""

CHILLED: frozenset[str] = frozenset({"air", "vacuum", "modified air"})
"""The packs of fish that is kept cold, not frozen."""

OF_STEP: Mapping[str, Purpose] = MappingProxyType(
    {
        "intake": "keeping",
        "trim": "quality",
        "cure": "keeping",
        "smoke": "quality",
        "cook": "kept",
        "chill": "cooling",
        "pack": "keeping",
        "store": "keeping",
        "label": "paper",
        "serve": "serve",
        "product": "keeping",
        "tools": "tools",
        "air": "people",
    }
)
"""The purpose of a house rule that names none, by its step."""


def check_asked(purpose: str, pack: str) -> None:
    """Raise UnknownName unless purpose and pack are known. An empty text is any.

    Examples
    --------
    >>> check_asked("kept", "vacuum")
    >>> check_asked("kept", "bag")
    Traceback (most recent call last):
    ...
    kit.basics.errors.UnknownName: There is no pack called 'bag'. Known: air, vacuum, modified air, frozen.
    """
    if purpose and purpose not in PURPOSES:
        raise UnknownName("purpose", purpose, PURPOSES)
    if pack and pack not in PACKS:
        raise UnknownName("pack", pack, PACKS)


def packs_words(packs: tuple[Pack, ...]) -> str:
    """Return packs in words; empty for any.

    Examples
    --------
    >>> packs_words(("vacuum", "modified air"))
    'packed in vacuum or packed in modified air'
    >>> packs_words(("air", "vacuum", "modified air"))
    'kept cold, not frozen'
    """
    return "kept cold, not frozen" if set(packs) == CHILLED else " or ".join(PACKS[pack] for pack in packs)
