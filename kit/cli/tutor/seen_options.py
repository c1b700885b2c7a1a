"""What was seen at the bench, as `record observe` takes it, and `outbox observe` away from the records."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any, TypeVar

import click

from kit.cli.acting import DAY, day_or_today
from kit.criteria import criterion_named, step_named

if TYPE_CHECKING:
    from kit.exercises.catalogue import Catalogue
    from kit.records.competence.observations import Observation

_F = TypeVar("_F", bound=Callable[..., Any])
_MEASURES = ("core_temp_c", "hold_min", "chill_min")
_OPTIONS = (
    click.option(
        "--met",
        multiple=True,
        help="A criterion that was met, such as COK-P01; may be given again. A step lists its own.",
    ),
    click.option("--not-met", multiple=True, help="A criterion that was not met."),
    click.option("--method", default="observation", show_default=True, help="How it was looked at."),
    click.option("--batch", default="", help="The label of the batch."),
    click.option("--day", type=DAY, help="The day. Without it: today."),
    click.option("--core-temp-c", type=float, help="The core temperature at the end, in °C."),
    click.option("--hold-min", type=float, help="How long that core temperature was held, in min."),
    click.option("--chill-min", type=float, help="How long it took from the heat to cold, in min."),
    click.option(
        "--despite",
        default="",
        help="Why it counts though a reading says otherwise, or it is entered over 7 days late. Printed.",
    ),
    click.option(
        "--support", "supports", multiple=True, help="What was agreed and used, such as interpreter."
    ),
    click.option("--notes", default="", help="Anything else, in words."),
    click.option("--declared", is_flag=True, help="The apprentice signed that this was their own work."),
)


def seen_options(function: _F) -> _F:
    """Add the options that say what was seen; ``observation_of`` reads them."""
    for option in reversed(_OPTIONS):
        function = option(function)
    return function


def observation_of(person: str, step: str, catalogue: Catalogue, given: Mapping[str, Any]) -> Observation:
    """Return what the options say was seen of a person at a step."""
    from kit.records.competence.observations import Observation

    where, known = step_named(step), catalogue.criteria
    points = {
        criterion_named(each, known): outcome
        for outcome, several in (("met", given["met"]), ("not met", given["not_met"]))
        for each in several
    }
    return Observation(
        person,
        where,
        day_or_today(given["day"]),
        points,
        given["method"],
        given["batch"],
        given["declared"],
        {name: given[name] for name in _MEASURES if given[name] is not None},
        supports=given["supports"],
        notes=given["notes"],
        despite=given["despite"],
    )
