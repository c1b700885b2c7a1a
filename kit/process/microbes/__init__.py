"""What heat, cold and time do to germs: death, growth, spores. Heat treatments are offered here by name."""

from kit.process.microbes.death import (
    SIX_D,
    Lethality,
    equivalent_minutes,
    held_minutes,
    lethal_rate,
    lethality,
    log_reduction,
    six_d_minutes,
    trace_minutes,
)

__all__ = [
    "SIX_D",
    "Lethality",
    "equivalent_minutes",
    "held_minutes",
    "lethal_rate",
    "lethality",
    "log_reduction",
    "six_d_minutes",
    "trace_minutes",
]
