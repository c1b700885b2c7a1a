"""The units a learner may write. Conversion is by pint, which never sees a learner's text."""

from dataclasses import dataclass
from functools import cache
from typing import Any

from kit.basics.errors import UnknownName


@dataclass(frozen=True)
class Unit:
    """A unit: how it is printed, its name in pint, what it measures, and other ways to write it."""

    symbol: str
    pint: str
    quantity: str
    also: tuple[str, ...] = ()


_TABLE = {
    "a temperature": (
        ("°C", "degC", ("c", "c°", "celsius", "degc", "deg c", "degrees c", "degrees celsius", "° c")),
        ("°F", "degF", ("f", "f°", "fahrenheit", "degf", "deg f", "degrees f", "degrees fahrenheit", "° f")),
        ("K", "kelvin", ("kelvin", "kelvins", "°k")),
    ),
    "a time": (
        ("s", "second", ("sec", "secs", "second", "seconds")),
        ("min", "minute", ("mins", "minute", "minutes")),
        ("h", "hour", ("hr", "hrs", "hour", "hours")),
        ("days", "day", ("d", "day")),
        ("weeks", "week", ("week", "wk", "wks")),
    ),
    "a mass": (
        ("µg", "microgram", ("ug", "mcg", "microgram", "micrograms")),
        ("mg", "milligram", ("milligram", "milligrams", "milligramme", "milligrammes")),
        ("g", "gram", ("gr", "gram", "grams", "gramme", "grammes")),
        ("kg", "kilogram", ("kgs", "kilo", "kilos", "kilogram", "kilograms", "kilogramme", "kilogrammes")),
        ("t", "metric_ton", ("tonne", "tonnes")),
        ("oz", "ounce", ("ounce", "ounces")),
        ("lb", "pound", ("lbs", "pound", "pounds")),
    ),
    "a length": (
        ("µm", "micrometer", ("um", "micron", "microns")),
        ("mm", "millimeter", ("millimetre", "millimetres", "millimeter", "millimeters")),
        ("cm", "centimeter", ("centimetre", "centimetres", "centimeter", "centimeters")),
        ("m", "meter", ("metre", "metres", "meter", "meters")),
        ("in", "inch", ("inch", "inches", '"')),
    ),
    "an area": (
        ("cm²", "centimeter**2", ("cm2", "cm^2", "sq cm")),
        ("m²", "meter**2", ("m2", "m^2", "sq m")),
    ),
    "a volume": (
        ("mL", "milliliter", ("millilitre", "millilitres", "cm3", "cm³", "cm^3")),
        ("L", "liter", ("litre", "litres", "liter", "liters", "dm³")),
        ("m³", "meter**3", ("m3", "m^3")),
    ),
    "a share": (
        ("1", "", ()),
        ("%", "percent", ("percent", "per cent", "pct", "g/100g", "g/100 g", "g per 100 g", "g per 100g")),
        ("g/kg", "gram/kilogram", ("g per kg", "‰")),
        ("mg/kg", "milligram/kilogram", ("mg per kg",)),
        ("ppm", "ppm", ()),
    ),
    "a concentration": (
        ("g/L", "gram/liter", ("g per l", "grams per litre", "g/litre", "kg/m³", "kg/m3", "kg/m^3")),
        ("mg/L", "milligram/liter", ("mg per l",)),
        ("g/100 mL", "gram/deciliter", ("g/100ml", "g per 100 ml")),
        ("kg/L", "kilogram/liter", ("g/ml", "g/cm³", "g/cm3")),
    ),
    "a speed": (
        ("mm/s", "millimeter/second", ()),
        ("m/s", "meter/second", ("m per s",)),
        ("km/h", "kilometer/hour", ("kph",)),
    ),
    "a pressure": (
        ("Pa", "pascal", ("pascal", "pascals")),
        ("hPa", "hectopascal", ("mbar",)),
        ("kPa", "kilopascal", ()),
        ("bar", "bar", ()),
    ),
    "an energy": (
        ("J", "joule", ()),
        ("kJ", "kilojoule", ()),
        ("MJ", "megajoule", ()),
        ("kWh", "kilowatt*hour", ()),
    ),
    "a power": (("W", "watt", ("watt", "watts")), ("kW", "kilowatt", ())),
    "a rate of heating": (("°C/min", "delta_degC/minute", ("c/min", "k/min", "° c/min")),),
    "a rate of loss": (
        ("g/min", "gram/minute", ("g per min",)),
        ("g/h", "gram/hour", ("g per h",)),
        ("kg/h", "kilogram/hour", ("kg per h",)),
    ),
    "a share per time": (("%/h", "percent/hour", ("% per h",)), ("%/min", "percent/minute", ("% per min",))),
    "a specific heat": (
        ("J/(kg·K)", "joule/(kilogram*delta_degC)", ("j/kg/k", "j/(kg k)", "j/kgk")),
        ("kJ/(kg·K)", "kilojoule/(kilogram*delta_degC)", ("kj/kg/k", "kj/(kg k)", "kj/kgk")),
    ),
    "an energy per mass": (("kJ/kg", "kilojoule/kilogram", ()), ("J/kg", "joule/kilogram", ())),
    "a heat transfer coefficient": (
        ("W/(m²·K)", "watt/(meter**2*delta_degC)", ("w/m²/k", "w/m2/k", "w/m2k", "w/m²k", "w/(m2 k)")),
    ),
    "a diffusivity": (
        ("m²/s", "meter**2/second", ("m2/s", "m^2/s")),
        ("mm²/s", "millimeter**2/second", ("mm2/s", "mm^2/s")),
    ),
    "a log reduction": (("log10", "", ("log", "logs", "log units", "log reduction", "log reductions")),),
    "a strength on the salometer": (("°SAL", "", ("° sal", "sal", "° salometer", "salometer")),),
}

DIFFERENCE = "a temperature difference"
"""What a question with ``difference`` wants: its degrees convert without the offset."""

UNITS: dict[str, Unit] = {
    symbol: Unit(symbol, pint, quantity, also)
    for quantity, rows in _TABLE.items()
    for symbol, pint, also in rows
}
"""Every unit by its printed symbol."""

_DEGREES = {"°", "degree", "degrees", "deg"}


def _key(text: str) -> str:
    return " ".join(text.replace("·", " ").replace("*", " ").rstrip(".").split()).casefold()


_BY_NAME: dict[str, str] = {
    _key(name): unit.symbol for unit in UNITS.values() for name in (unit.symbol, *unit.also)
}


def find_unit(text: str, asked: str) -> str | None:
    """Return the symbol of the unit a learner wrote, ``""`` for none, or None if it is not known.

    A bare ``°`` or ``degrees`` counts as no unit: it does not say which degrees. The unit the question asks
    for is always known, if only by its name: ``fillets`` and ``fillet`` are the same.

    Examples
    --------
    >>> find_unit("minutes", "h"), find_unit("degrees C", "°F"), find_unit("furlongs", "m")
    ('min', '°C', None)
    """
    key = _key(text)
    if not key or (key in _DEGREES and asked != "1"):
        return ""
    own = _key(asked)
    if key == own or (own and asked not in UNITS and key.rstrip("s") == own.rstrip("s")):
        return asked
    return _BY_NAME.get(key)


def quantity_of(symbol: str, *, difference: bool = False) -> str:
    """Return what a unit measures, in words with an article; for an unlisted unit, ``a number of`` it."""
    if difference and UNITS[symbol].quantity == "a temperature":
        return DIFFERENCE
    if symbol in UNITS:
        return UNITS[symbol].quantity
    return f"a number of {symbol}" if symbol else "a number without a unit"


def convert(value: float, given: str, asked: str, *, difference: bool = False) -> float:
    """Return a value in another unit of the same quantity.

    Parameters
    ----------
    value : float
        In ``given``.
    given, asked : str
        Printed symbols from :data:`UNITS`.
    difference : bool
        Whether degrees are a difference between two temperatures: no offset then.

    Raises
    ------
    UnknownName
        If a unit is not listed, or the two measure different things.

    Examples
    --------
    >>> round(convert(145, "°F", "°C"), 2), round(convert(18, "°F", "°C", difference=True), 2)
    (62.78, 10.0)
    """
    if given == asked:
        return value
    for symbol in (given, asked):
        if symbol not in UNITS:
            raise UnknownName("unit", symbol, UNITS)
    if UNITS[given].quantity != UNITS[asked].quantity:
        fitting = [unit.symbol for unit in UNITS.values() if unit.quantity == UNITS[asked].quantity]
        raise UnknownName(f"unit of {UNITS[asked].quantity.partition(' ')[2]}", given, fitting)
    source, target = _pint_name(given, difference), _pint_name(asked, difference)
    return float(_registry().Quantity(value, source).to(target).magnitude)


def _pint_name(symbol: str, difference: bool) -> str:
    name = UNITS[symbol].pint
    return f"delta_{name}" if difference and name.startswith("deg") else name


@cache
def _registry() -> Any:
    from pint import UnitRegistry

    return UnitRegistry()
