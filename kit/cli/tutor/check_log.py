"""`smokehouse check-log`: what a temperature record shows about each named rule."""

import json
import sys
from dataclasses import asdict
from pathlib import Path
from typing import Any

import click
import numpy as np
from rich.console import Console
from rich.padding import Padding

from kit import logs, rules
from kit.basics.errors import OutOfRange
from kit.files.joined_kitchen import rules_in_force
from kit.logs import Found, Log
from kit.logs.checking import STEPS, check_log
from kit.process.microbes.death import Lethality
from kit.process.microbes.inactivation import heat_table
from kit.rules import Profile, Verdict
from kit.views.pictures.log_chart import MARKS, log_chart

CLOSING = (
    "Each line speaks of one named rule, not of the batch. "
    "The competent person decides what happens to the fish."
)


@click.command("check-log")
@click.argument("file", type=click.Path(path_type=Path))
@click.option(
    "--rules", "profile", help="The rule profile: see smokehouse rules. By default your kitchen's, else ie."
)
@click.option("--house", type=click.Path(path_type=Path), help="A house file in place of a profile.")
@click.option(
    "--step",
    "steps",
    type=click.Choice(["cook", "chill"]),
    multiple=True,
    help="Judge only this step. Both if not given.",
)
@click.option(
    "--cook", type=float, nargs=2, metavar="FROM TO", help="When the fish was in the heat, in minutes."
)
@click.option(
    "--chill", type=float, nargs=2, metavar="FROM TO", help="When the fish was chilled, in minutes."
)
@click.option("--core-column", help="The column of the core: its heading or its number from 1.")
@click.option("--air-column", help="The column of the cabinet's air.")
@click.option("--surface-column", help="The column of the surface.")
@click.option(
    "--time-column", multiple=True, help="The column of the time; give it twice for date and clock."
)
@click.option("--day-first", "order", flag_value="day", help="In 03/04/2025 the day comes first.")
@click.option("--month-first", "order", flag_value="month", help="In 03/04/2025 the month comes first.")
@click.option("--elapsed", type=click.Choice(["s", "min", "h"]), help="What a column of elapsed time counts.")
@click.option("--unit", type=click.Choice(["c", "f"]), help="The unit of the temperatures.")
@click.option(
    "--zone", help="The time zone of the clock, such as Europe/Dublin: settles the hour that comes twice."
)
@click.option(
    "--probe-error", type=float, default=0.5, show_default=True, help="The stated error of the probe, in °C."
)
@click.option(
    "--max-gap", type=float, default=5.0, show_default=True, help="The longest silence allowed, in minutes."
)
@click.option("--json", "as_json", is_flag=True, help="Print everything as JSON.")
@click.option(
    "--out", type=click.Path(path_type=Path), help="Draw the record with its windows into this PNG."
)
def command(file: Path, **options: Any) -> None:
    """Check a temperature logger's FILE against the cook and chill rules of a profile.

    Exit code 0: every rule with a number was met. 1: one was not met, or the record cannot tell. 2: the file
    could not be read. A rule in words alone is listed for the competent person and does not count.
    """
    how = logs.LogOptions(
        core=options["core_column"],
        air=options["air_column"],
        surface=options["surface_column"],
        time=options["time_column"],
        order=options["order"],
        elapsed=options["elapsed"],
        unit=options["unit"],
        zone=options["zone"],
    )
    house = options["house"]
    rule_set = rules.load_house(house) if house else rules_in_force(options["profile"])
    checked = check_log(
        file,
        rule_set,
        how=how,
        cook=options["cook"] or None,
        chill=options["chill"] or None,
        steps=options["steps"] or STEPS,
        probe_error_c=options["probe_error"],
        max_gap_min=options["max_gap"],
    )
    log, found, verdicts, kill = checked.log, checked.found, list(checked.verdicts), checked.kill
    if options["out"]:
        _draw(options["out"], log, found, verdicts, rule_set)
    if options["as_json"]:
        _print_json(log, found, verdicts, kill, rule_set)
    else:
        _print(log, found, verdicts, kill, rule_set)
    judged = [verdict for verdict in verdicts if not verdict.for_person]
    sys.exit(0 if judged and all(verdict.outcome == "met" for verdict in judged) else 1)


def _draw(out: Path, log: Log, found: Found, verdicts: list[Verdict], profile: Profile) -> None:
    if out.suffix.lower() != ".png":
        raise OutOfRange("the ending of --out", out.suffix or "missing", ".png")
    figure = log_chart(found.trace, verdicts, f"{log.name}: rules of {profile.title}")
    figure.savefig(out, dpi=130, facecolor=figure.get_facecolor())


def _facts(log: Log, found: Found) -> dict[str, Any]:
    core = found.trace.core_c
    return {
        "file": log.name,
        "began": log.began.isoformat() if log.began and log.began.year > 1900 else None,
        "minutes": round(float(found.trace.time_min[-1]), 2),
        "readings": int(np.isfinite(core).sum()),
        "gaps": log.gaps,
        "highest_core_c": round(float(np.nanmax(core)), 2),
        "lowest_core_c": round(float(np.nanmin(core)), 2),
    }


def _print_json(log: Log, found: Found, verdicts: list[Verdict], kill: Lethality, profile: Profile) -> None:
    told = {
        **_facts(log, found),
        "columns": log.columns,
        "read_as": list(log.notes),
        "phases": [asdict(phase) for phase in found.trace.phases],
        "phases_say": list(found.says),
        "profile": profile.id,
        "profile_title": profile.title,
        "profile_fingerprint": profile.fingerprint,
        "verdicts": [{**asdict(verdict), "for_person": verdict.for_person} for verdict in verdicts],
        "lethality": asdict(kill),
        "note": CLOSING,
    }
    click.echo(json.dumps(told, ensure_ascii=False, indent=2, allow_nan=False))


def _print(log: Log, found: Found, verdicts: list[Verdict], kill: Lethality, profile: Profile) -> None:
    console = Console(highlight=False, emoji=False, markup=False, width=None)
    facts = _facts(log, found)
    began = f", from {facts['began'].replace('T', ' ')[:16]}" if facts["began"] else ""
    console.print(
        f"{log.name}{began}: {facts['minutes']:g} min, {facts['readings']} core readings", style="bold"
    )
    console.print(f"Highest core {facts['highest_core_c']:.1f} °C, lowest {facts['lowest_core_c']:.1f} °C.")
    for note in (*log.notes, *found.says):
        console.print(Padding(note, (0, 0, 0, 2)), style="dim")
    judged = [verdict for verdict in verdicts if not verdict.for_person]
    console.print(f"\nRules of {profile.title}", style="bold")
    if not judged:
        console.print(Padding("This profile has no rule with a number for these steps.", (0, 0, 0, 2)))
    for verdict in judged:
        _print_verdict(console, verdict)
    _print_kill(console, kill)
    for_person = [verdict for verdict in verdicts if verdict.for_person]
    if for_person:
        console.print("\nFor the competent person: rules without a number", style="bold")
        for verdict in for_person:
            console.print(Padding(f"· {verdict.title} ({verdict.source}, {verdict.locator})", (0, 0, 0, 2)))
    console.print(f"\n{CLOSING}")


def _print_verdict(console: Any, verdict: Verdict) -> None:
    console.print(
        Padding(f"{MARKS[verdict.outcome]} {verdict.outcome}: {verdict.title}", (1, 0, 0, 2)), style="bold"
    )
    label = f" [{verdict.label}]" if verdict.label else ""
    beyond = " Part of the kill is extrapolated below the published table." if verdict.extrapolated else ""
    console.print(Padding(f"Limit: {verdict.limit_words}{label}. {verdict.why}{beyond}", (0, 0, 0, 4)))
    console.print(
        Padding(f"Rule {verdict.rule}; {verdict.source}, {verdict.locator}.", (0, 0, 0, 4)), style="dim"
    )


def _print_kill(console: Any, kill: Lethality) -> None:
    table = heat_table(kill.organism)
    z_c = table.steps[0][1]
    text = (
        f"Kill added up over the record: {kill.log_reduction:.2f} log of Listeria monocytogenes, worth "
        f"{kill.equivalent_min:.2f} min at {kill.ref_c:g} °C (z = {z_c:g} °C; {kill.source}"
        f"{'' if kill.seen else ', from memory: confirm'})."
    )
    if kill.extrapolated:
        text += (
            f" Only {kill.within_table:.2f} log lies inside the published table; the rest is extrapolated."
        )
    console.print(Padding(text, (1, 0, 0, 2)))
