"""Cleaning by numbers: a mix made and topped up, and the gas of a wrong mix."""

from kit.basics.errors import check_range

PPM_OF_A_PCT = 10_000.0
"""Milligrams a litre in one gram of 100 mL. Source: ``definition``. [ppm per %]"""
CHLORINE_G_MOL, MOLAR_VOLUME_L = 70.906, 24.06
"""Molar mass of chlorine, and the volume of a mole of gas at 20 °C. Source: ``definition``."""


def concentrate_ml(wanted_ppm: float, solution_l: float, stock_pct: float) -> float:
    """Return how much concentrate makes a bucket of a wanted strength. [mL]

    Parameters
    ----------
    wanted_ppm : float
        Strength to use, 0 or more, below that of the concentrate. [mg/L]
    solution_l : float
        The whole bucket, with the concentrate, above 0. [L]
    stock_pct : float
        Strength of the concentrate, above 0 to 100. [g per 100 mL]

    Notes
    -----
    Source: ``definition``: what goes in is what is there.

    Examples
    --------
    >>> concentrate_ml(200, 10, 5)
    40.0
    """
    check_range("solution_l", solution_l, above=0)
    check_range("stock_pct", stock_pct, above=0, at_most=100)
    check_range("wanted_ppm", wanted_ppm, at_least=0, below=stock_pct * PPM_OF_A_PCT)
    return 1000 * solution_l * wanted_ppm / (stock_pct * PPM_OF_A_PCT)


def top_up_ml(now_ppm: float, wanted_ppm: float, solution_l: float, stock_pct: float) -> float:
    """Return how much concentrate brings a weak bucket up to a wanted strength. [mL]

    Parameters
    ----------
    now_ppm : float
        What the strip shows, 0 to ``wanted_ppm``. [mg/L]
    wanted_ppm, solution_l, stock_pct : float
        As in :func:`concentrate_ml`; the bucket is what is there now.

    Notes
    -----
    Source: ``definition``: what is there and what goes in, over both volumes.

    Examples
    --------
    >>> round(top_up_ml(100, 200, 8, 5), 1)
    16.1
    """
    check_range("solution_l", solution_l, above=0)
    check_range("stock_pct", stock_pct, above=0, at_most=100)
    check_range("wanted_ppm", wanted_ppm, at_least=0, below=stock_pct * PPM_OF_A_PCT)
    check_range("now_ppm", now_ppm, at_least=0, at_most=wanted_ppm)
    return 1000 * solution_l * (wanted_ppm - now_ppm) / (stock_pct * PPM_OF_A_PCT - wanted_ppm)


def chlorine_in_air_ppm(bleach_ml: float, available_pct: float, room_m3: float) -> float:
    """Return the chlorine in a room's air if acid sets free all that a bleach holds. [ppm by volume]

    A ceiling for the whole room; close to the bucket it is far more. Nobody works at such a number: leave.

    Parameters
    ----------
    bleach_ml : float
        Chlorine bleach that met the acid, 0 or more. [mL]
    available_pct : float
        Available chlorine of the bleach, 0 to 20. [g per 100 mL]
    room_m3 : float
        Air of the room, above 0. [m³]

    Notes
    -----
    Source: ``definition``: available chlorine is the chlorine that acid sets free. At 20 °C.

    Examples
    --------
    >>> round(chlorine_in_air_ppm(100, 5, 30))
    57
    """
    check_range("bleach_ml", bleach_ml, at_least=0)
    check_range("available_pct", available_pct, at_least=0, at_most=20)
    check_range("room_m3", room_m3, above=0)
    return mg_m3_to_ppm(bleach_ml * available_pct / 100 * 1000 / room_m3)


def mg_m3_to_ppm(mg_m3: float) -> float:
    """Return a strength of chlorine in air by volume. [ppm]

    Parameters
    ----------
    mg_m3 : float
        Strength by mass, 0 or more. [mg/m³]

    Notes
    -----
    Source: ``definition``, at 20 °C.

    Examples
    --------
    >>> round(mg_m3_to_ppm(1.45), 2)
    0.49
    """
    check_range("mg_m3", mg_m3, at_least=0)
    return mg_m3 * MOLAR_VOLUME_L / CHLORINE_G_MOL
