"""Fixed points to check a thermometer by: melting ice, and boiling water at your height above the sea."""

from kit.basics.errors import check_range
from kit.process.physics.air import STANDARD_PRESSURE_PA, saturation_pressure_at

ICE_POINT_C = 0.0
"""Temperature of ice and water together in a well-stirred bath. Source: ``definition``. [°C]"""


def standard_pressure(altitude_m: float) -> float:
    """Return the pressure of the standard atmosphere at a height above the sea. [Pa]

    Weather moves the true pressure by 2 to 3 % either way, so a boiling point by about 1 °C.

    Parameters
    ----------
    altitude_m : float
        Height above the sea, -500 to 5000. [m]

    Notes
    -----
    Source: ``ashrae-psychrometrics``, pressure against altitude.

    Examples
    --------
    >>> round(standard_pressure(1000))
    89875
    """
    check_range("altitude_m", altitude_m, at_least=-500, at_most=5000, likely_cause="Is it in feet?")
    return float(STANDARD_PRESSURE_PA * (1 - 2.25577e-5 * altitude_m) ** 5.2559)


def boiling_point(altitude_m: float) -> float:
    """Return where pure water boils at a height above the sea, in average weather. [°C]

    A probe that shows 97 °C in boiling water may be right: it may be on a mountain. The ice check needs no
    such sum, so it is the better one.

    Parameters
    ----------
    altitude_m : float
        Height above the sea, -500 to 5000. [m]

    Notes
    -----
    Source: ``ashrae-psychrometrics``: the temperature whose saturation pressure is that of the air.

    Examples
    --------
    >>> round(boiling_point(0), 1), round(boiling_point(1000), 1)
    (100.0, 96.6)
    """
    pressure = standard_pressure(altitude_m)
    from scipy.optimize import brentq  # takes longer to load than a page

    return float(brentq(lambda temp_c: saturation_pressure_at(temp_c) - pressure, 60.0, 120.0, xtol=1e-9))


def fahrenheit_to_celsius(temp_f: float) -> float:
    """Return a temperature in °C from °F. [°C]

    Parameters
    ----------
    temp_f : float
        Temperature, -459.67 to 2000. [°F]

    Notes
    -----
    Source: ``definition``.

    Examples
    --------
    >>> fahrenheit_to_celsius(212)
    100.0
    """
    check_range("temp_f", temp_f, at_least=-459.67, at_most=2000)
    return (temp_f - 32) * 5 / 9
