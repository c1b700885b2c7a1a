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

from kit import rules
from kit.basics.errors import OutOfRange
from kit.cli.tutor.log_options import judged_how, log_options
from kit.files.joined_kitchen import rules_in_force
from kit.logs import Log
from kit.logs.checking import LogCheck, check_log
from kit.process.microbes.death import Lethality
from kit.process.microbes.inactivation import heat_table
from kit.rules import Verdict
from kit.views.pictures.log_chart import MARKS, log_chart

CLOSING = (
    "Each line speaks of one named rule, not of the batch. "
    "The competent person decides what happens to the fish."
)


@click.command("check-log")
@click.argument("file", type=click.Path(path_type=Path))
@log_options
@click.option("--json", "as_json", is_flag=True, help="Print everything as JSON.")
@click.option(
    "--out", type=click.Path(path_type=Path), help="Draw the record with its windows into this PNG."
)
def command(file: Path, **options: Any) -> None:
    """Check a temperature logger's FILE against the cook and chill rules of a profile.

    Exit code 0: every rule with a number was met. 1: one was not met, or the record cannot tell. 2: the file
    could not be read. A rule in words alone is listed for the competent person and does not count.
    """
    house = options["house"]
    rule_set = rules.load_house(house) if house else rules_in_force(options["profile"])
    checked = check_log(file, rule_set, **judged_how(options))
    if options["out"]:
        _draw(options["out"], checked)
    if options["as_json"]:
        _print_json(checked)
    else:
        _print(checked)
    judged = [verdict for verdict in checked.verdicts if not verdict.for_person]
    sys.exit(0 if judged and all(verdict.outcome == "met" for verdict in judged) else 1)


def _draw(out: Path, checked: LogCheck) -> None:
    if out.suffix.lower() != ".png":
        raise OutOfRange("the ending of --out", out.suffix or "missing", ".png")
    title = f"{checked.log.name}: rules of {checked.profile.title}"
    figure = log_chart(checked.found.trace, list(checked.verdicts), title)
    figure.savefig(out, dpi=130, facecolor=figure.get_facecolor())


def _facts(log: Log) -> dict[str, Any]:
    core = log.trace.core_c
    return {
        "file": log.name,
        "began": log.began.isoformat() if log.began and log.began.year > 1900 else None,
        "minutes": round(float(log.trace.time_min[-1]), 2),
        "readings": int(np.isfinite(core).sum()),
        "gaps": log.gaps,
        **_span(core),
    }


def _span(core_c: Any) -> dict[str, float]:
    """Return the highest and the lowest reading; nothing where there is none at all. [°C]"""
    if not np.isfinite(core_c).any():
        return {}
    return {
        "highest_core_c": round(float(np.nanmax(core_c)), 2),
        "lowest_core_c": round(float(np.nanmin(core_c)), 2),
    }


def _print_json(checked: LogCheck) -> None:
    log, profile = checked.log, checked.profile
    told = {
        **_facts(log),
        "columns": log.columns,
        "cores": {heading: _span(core) for heading, core in log.cores.items()},
        "read_as": list(log.notes),
        "phases": [asdict(phase) for phase in checked.found.trace.phases],
        "asked": list(checked.asked),
        "phases_say": list(checked.found.says),
        "silences_min": [list(span) for span in checked.silences],
        "doubts": [doubt.says for doubt in log.doubts],
        "confirmed": checked.confirmed,
        "profile": profile.id,
        "profile_title": profile.title,
        "profile_fingerprint": profile.fingerprint,
        "verdicts": [{**asdict(verdict), "for_person": verdict.for_person} for verdict in checked.verdicts],
        "lethality": asdict(checked.kill),
        "note": CLOSING,
    }
    click.echo(json.dumps(told, ensure_ascii=False, indent=2, allow_nan=False))


def _print(checked: LogCheck) -> None:
    log, verdicts = checked.log, checked.verdicts
    console = Console(highlight=False, emoji=False, markup=False, width=None)
    facts = _facts(log)
    began = f", from {facts['began'].replace('T', ' ')[:16]}" if facts["began"] else ""
    console.print(
        f"{log.name}{began}: {facts['minutes']:g} min, {facts['readings']} core readings", style="bold"
    )
    for heading, core in log.cores.items():
        of_which = f"{heading}: highest" if len(log.cores) > 1 else "Highest"
        span = _span(core)
        console.print(
            f"{of_which} core {span['highest_core_c']:.1f} °C, lowest {span['lowest_core_c']:.1f} °C."
        )
    for note in checked.says:
        console.print(Padding(note, (0, 0, 0, 2)), style="dim")
    judged = [verdict for verdict in verdicts if not verdict.for_person]
    console.print(f"\nRules of {checked.profile.title}", style="bold")
    if not judged:
        console.print(Padding("This profile has no rule with a number for these steps.", (0, 0, 0, 2)))
    for verdict in judged:
        _print_verdict(console, verdict)
    _print_kill(console, checked.kill)
    for_person = [verdict for verdict in verdicts if verdict.for_person]
    if for_person:
        console.print("\nFor the competent person: rules without a number", style="bold")
        for verdict in for_person:
            where = f" ({verdict.source}, {verdict.locator})" if verdict.source else f": {verdict.why}"
            console.print(Padding(f"· {verdict.title}{where}", (0, 0, 0, 2)))
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
