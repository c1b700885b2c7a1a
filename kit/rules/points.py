"""The steps that rules belong to, and the points of the day that they can answer."""

from types import MappingProxyType
from typing import NamedTuple

STEPS = MappingProxyType(
    {
        "intake": "Intake",
        "trim": "Trim and pin-bone",
        "cure": "Cure",
        "smoke": "Smoke",
        "cook": "Cook",
        "chill": "Chill",
        "pack": "Pack",
        "store": "Store",
        "label": "Label",
        "serve": "Serve",
        "product": "Finished product",
        "tools": "Thermometers",
        "air": "Air at work",
    }
)
"""The step a rule belongs to, and its plain title."""


class PointOfDay(NamedTuple):
    """A point of the day that a rule can answer: the form of such a rule, the bound it must set, its purpose.

    A rule in words may stand for it too where ``form`` is given. A house rule that names no point answers
    this one if its step, its form and its quantity are these.
    """

    form: str = ""
    bound: str = ""
    step: str = ""
    quantities: tuple[str, ...] = ()
    purposes: tuple[str, ...] = ()


_KEEPING = ("keeping",)
POINTS = MappingProxyType(
    {
        "cook": PointOfDay("hold", "", "cook", ("core_temp_c",), ("kept", "plate")),
        "chill": PointOfDay("window", "", "chill", ("core_temp_c", "chill_start_min"), ("cooling",)),
        "store": PointOfDay("value", "maximum", "store", ("store_temp_c",), _KEEPING),
        "life": PointOfDay("value", "maximum", "store", ("shelf_life_days",), _KEEPING),
        "serve": PointOfDay("value", "minimum", "serve", ("reheat_temp_c", "hot_hold_temp_c")),
        "cold": PointOfDay("", "maximum"),
        "salt": PointOfDay("value", "minimum", purposes=_KEEPING),
        "salt-air": PointOfDay("value", "minimum", purposes=_KEEPING),
        "air-8h": PointOfDay("value", "maximum"),
        "air-15min": PointOfDay("value", "maximum"),
        "probe-ice": PointOfDay("value", "maximum"),
        "probe-boil": PointOfDay("value", "maximum"),
    }
)
"""What a batch of hot-smoked fish is judged by, point by point.

``serve`` is for food that is heated again or kept hot. ``cold`` is the general limit of a cold place: its
``maximum`` says how warm is too warm for fish that waits. ``salt`` is that of a vacuum pack,
``salt-air`` that of a pack with air in it.
"""
