"""Every quantity the kit speaks of: its one name, its one unit, and what it means in plain English."""

from dataclasses import dataclass

from kit.basics.errors import UnknownName


@dataclass(frozen=True)
class Term:
    """A quantity: its name in code and data, unit, plain name, meaning and plausible bounds."""

    name: str
    unit: str
    plain: str
    means: str
    low: float
    high: float


_BOILING_C = 105.0  # no wet core is hotter; water boils at 100, and the worst probe allowed reads 5 more

_TERMS = (
    Term(
        "core_temp_c",
        "°C",
        "core temperature",
        "The temperature of the slowest-heating spot in the piece.",
        -60,
        _BOILING_C,
    ),
    Term(
        "surface_temp_c", "°C", "surface temperature", "The temperature of the skin of the flesh.", -40, 150
    ),
    Term("air_temp_c", "°C", "air temperature", "The temperature of the air around the fish.", -45, 200),
    Term(
        "store_temp_c", "°C", "store temperature", "The temperature of the fish in the cold store.", -45, 20
    ),
    Term(
        "rh_pct", "%", "relative humidity", "How much of the water the air could hold it does hold.", 0, 100
    ),
    Term("time_min", "min", "time", "Minutes.", 0, 1e6),
    Term("hold_min", "min", "hold time", "Minutes without a break at or above a temperature.", 0, 2e4),
    Term("shelf_life_days", "days", "shelf life", "Days from making to the use-by date.", 0, 400),
    Term(
        "thickness_mm", "mm", "thickness", "Full thickness at the thickest part, skin to flesh face.", 1, 150
    ),
    Term("salt_pct", "%", "salt", "Grams of salt in 100 g of the whole food.", 0, 40),
    Term(
        "water_phase_salt_pct",
        "%",
        "water-phase salt",
        "Grams of salt in 100 g of salt and water together.",
        0,
        27,
    ),
    Term("moisture_pct", "%", "moisture", "Grams of water in 100 g of the whole food.", 0, 100),
    Term("water_activity", "1", "water activity", "How free the water is: 1 for pure water.", 0, 1),
    Term("ph", "1", "pH", "How sour: 7 is neutral, lower is more sour.", 3, 10),
    Term(
        "log_reduction",
        "log10",
        "log reduction",
        "How many times the number of germs is cut to a tenth.",
        0,
        50,
    ),
    Term("air_speed_m_s", "m/s", "air speed", "Speed of the air over the fish.", 0, 20),
    Term(
        "heat_transfer_w_m2_k",
        "W/(m²·K)",
        "heat transfer",
        "How fast the air passes heat to the surface.",
        0.5,
        500,
    ),
    Term(
        "carbon_monoxide_ppm",
        "ppm",
        "carbon monoxide",
        "Parts of carbon monoxide in a million parts of air.",
        0,
        5000,
    ),
    Term(
        "frozen_store_temp_c",
        "°C",
        "freezer temperature",
        "The temperature of the fish in the freezer.",
        -60,
        0,
    ),
    Term("reheat_temp_c", "°C", "reheating temperature", "Core after a second heating.", 0, _BOILING_C),
    Term("hot_hold_temp_c", "°C", "hot-holding temperature", "Core while kept hot.", 0, _BOILING_C),
    Term("brine_temp_c", "°C", "brine temperature", "Temperature of the brine when fish goes in.", -20, 40),
    Term("cure_temp_c", "°C", "curing temperature", "Temperature of the fish while it cures.", -20, 40),
    Term("probe_ice_c", "°C", "ice check", "What a probe reads in ice and iced water.", -10, 10),
    Term("probe_boil_c", "°C", "boiling check", "What a probe reads in boiling water.", 80, 110),
    Term("probe_error_c", "°C", "probe error", "Reading less the true temperature.", -10, 10),
    Term("chill_start_min", "min", "time to the chiller", "From leaving the heat to the chiller.", 0, 1e4),
    Term("listeria_cfu_g", "cfu/g", "Listeria count", "Living Listeria found in a gram.", 0, 1e9),
    Term("benzo_a_pyrene_ug_kg", "µg/kg", "benzo(a)pyrene", "One harmful substance from smoke.", 0, 1000),
    Term("pah4_ug_kg", "µg/kg", "sum of four PAH", "Four harmful substances from smoke, together.", 0, 5000),
    Term(
        "histamine_mg_100g",
        "mg/100 g",
        "histamine",
        "A poison that warm storage makes in some fish.",
        0,
        1000,
    ),
    Term("nitrite_ppm", "ppm", "nitrite", "Milligrams of sodium nitrite in a kilogram of fish.", 0, 1000),
    Term("wood_dust_mg_m3", "mg/m³", "wood dust", "Milligrams of wood dust in a cubic metre of air.", 0, 100),
    Term("bones_per_kg", "1/kg", "bones", "Counted bones in a kilogram of fillets.", 0, 1000),
    Term("brine_batches", "1", "batches of one brine", "Batches of fish that one brine has cured.", 0, 100),
)

TERMS: dict[str, Term] = {term.name: term for term in _TERMS}


def term(name: str) -> Term:
    """Return the term of that name.

    Raises
    ------
    UnknownName
        If the glossary has no such name.

    Examples
    --------
    >>> term("core_temp_c").unit
    '°C'
    """
    try:
        return TERMS[name]
    except KeyError:
        raise UnknownName("quantity", name, TERMS) from None


def count_of(number: int, noun: str) -> str:
    """Return a number with its noun.

    Examples
    --------
    >>> count_of(1, "act"), count_of(1200, "act")
    ('1 act', '1,200 acts')
    >>> count_of(2, "person"), count_of(2, "batch")
    ('2 people', '2 batches')
    """
    many = {"person": "people", "batch": "batches"}.get(noun, f"{noun}s")
    return f"{number:,} {noun if number == 1 else many}"
