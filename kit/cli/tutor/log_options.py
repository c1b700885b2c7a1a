"""The options that say how a logger's file is read: the same for `check-log` and for `attach`."""

from collections.abc import Callable, Mapping
from typing import Any

import click

from kit.logs import LogOptions
from kit.rules import PACKS

_MINUTES: dict[str, Any] = {"type": float, "nargs": 2, "metavar": "FROM TO"}
_OPTIONS = (
    click.option(
        "--rules",
        "profile",
        help="The rule profile: see smokehouse rules. By default your kitchen's, else ie.",
    ),
    click.option("--house", type=click.Path(), help="A house file in place of a profile."),
    click.option(
        "--step",
        "steps",
        type=click.Choice(["cook", "chill"]),
        multiple=True,
        help="Judge only this step. Both if not given.",
    ),
    click.option("--cook", **_MINUTES, help="When the fish was in the heat, in minutes."),
    click.option("--chill", **_MINUTES, help="When the fish was chilled, in minutes."),
    click.option(
        "--core-column",
        multiple=True,
        help="The column of a core: its heading or its number from 1. Once for each core; the worst counts.",
    ),
    click.option("--air-column", help="The column of the cabinet's air."),
    click.option("--surface-column", help="The column of the surface."),
    click.option(
        "--time-column", multiple=True, help="The column of the time; give it twice for date and clock."
    ),
    click.option("--day-first", "order", flag_value="day", help="In 03/04/2025 the day comes first."),
    click.option("--month-first", "order", flag_value="month", help="In 03/04/2025 the month comes first."),
    click.option(
        "--elapsed", type=click.Choice(["s", "min", "h"]), help="What a column of elapsed time counts."
    ),
    click.option("--unit", type=click.Choice(["c", "f"]), help="The unit of the temperatures."),
    click.option(
        "--zone", help="The time zone of the clock, such as Europe/Dublin: settles the hour that comes twice."
    ),
    click.option(
        "--probe-error",
        type=float,
        default=0.5,
        show_default=True,
        help="The stated error of the probe, in °C.",
    ),
    click.option(
        "--max-gap",
        type=float,
        default=5.0,
        show_default=True,
        help="The longest silence allowed, in minutes.",
    ),
    click.option(
        "--plate", is_flag=True, help="The fish is eaten at once. Else it is kept, and needs a rule for that."
    ),
    click.option(
        "--pack",
        type=click.Choice(sorted(PACKS)),
        help="How the fish is packed. Rules for other packs are left out.",
    ),
    click.option(
        "--on",
        type=click.DateTime(["%Y-%m-%d"]),
        metavar="DAY",
        help="The day whose law counts, as 2026-07-01. By default that of the record.",
    ),
    click.option(
        "--confirm",
        "confirmed",
        default="",
        metavar="WHY",
        help="Why readings that no fish can have are right all the same. It is kept and shown.",
    ),
)


def log_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command the options that say how a logger's file is read and judged."""
    for option in reversed(_OPTIONS):
        command = option(command)
    return command


def judged_how(options: Mapping[str, Any]) -> dict[str, Any]:
    """Return the options as the arguments of ``check_log`` and ``attach``."""
    how = LogOptions(
        core=options["core_column"],
        air=options["air_column"],
        surface=options["surface_column"],
        time=options["time_column"],
        order=options["order"],
        elapsed=options["elapsed"],
        unit=options["unit"],
        zone=options["zone"],
    )
    return {
        "how": how,
        "cook": options["cook"] or None,
        "chill": options["chill"] or None,
        **({"steps": options["steps"]} if options["steps"] else {}),
        "probe_error_c": options["probe_error"],
        "max_gap_min": options["max_gap"],
        "confirmed": options["confirmed"],
        "purpose": "plate" if options["plate"] else "",
        "pack": options["pack"] or "",
        "on": options["on"].date() if options["on"] else None,
    }
