"""`smokehouse rules`: the profiles with their limits and sources, and the check of a house file."""

from pathlib import Path
from typing import Any

import click
from rich.console import Console
from rich.padding import Padding

from kit import rules
from kit.basics.atomic_files import write_private
from kit.basics.errors import BadData
from kit.rules import Profile


@click.group("rules", invoke_without_command=True)
@click.pass_context
def command(context: click.Context) -> None:
    """List the rule profiles with limits and sources, or check a house file."""
    if context.invoked_subcommand is None:
        _print_profiles()


@command.command("list")
@click.argument("profile", required=False)
@click.option("--step", help="Only one step, such as cook.")
def list_rules(profile: str | None, step: str | None) -> None:
    """List the profiles, or all rules of one PROFILE with limit and source."""
    if profile is None:
        _print_profiles()
    else:
        _print_profile(rules.load(profile), step)


@command.command("check")
@click.argument("file", type=click.Path(path_type=Path))
def check(file: Path) -> None:
    """Check a house FILE: its limits may be tighter than its profile's, never looser."""
    profile = rules.load_house(file)
    changed = [rule for rule in profile.rules if rule.tightened]
    own = [rule for rule in profile.rules if rule.id.startswith("house-")]
    click.echo(f"{file.name} is in order: {profile.title}.")
    for rule in changed:
        click.echo(f"  tighter: {rule.id}: {rule.limit} ({rule.tightened})")
    for rule in own:
        click.echo(f"  own: {rule.id}: {rule.limit}")
    if not changed and not own:
        click.echo("  It changes nothing.")


@command.command("new")
@click.option("--on", default=rules.DEFAULT, show_default=True, help="The profile whose limits you tighten.")
@click.option("--name", default="House rules", help="What your kitchen calls itself.")
@click.option(
    "--out", type=click.Path(path_type=Path), default=Path("house.toml"), show_default=True, help="The file."
)
def new(on: str, name: str, out: Path) -> None:
    """Write a house file that changes nothing yet: each limit as a comment, with which way is tighter."""
    from kit.rules.new_house import house_text

    text = house_text(on, name, out.name)
    if out.exists():
        raise BadData(str(out), "it is there already", "--out with another name")
    write_private(out, text.encode("utf-8"))
    click.echo(f"Written to {out}. Open it, set what is tighter, then: smokehouse rules check {out}")


def _print_profiles() -> None:
    console = Console(highlight=False, emoji=False, markup=False)
    for name in rules.PROFILES:
        profile = rules.load(name)
        from_memory = sum(not rule.seen for rule in profile.rules)
        console.print(f"{name:<14} {profile.title}", style="bold")
        console.print(f"{'':<14} {len(profile.rules)} rules, {from_memory} of them from memory: confirm")
    console.print("\nsmokehouse rules list PROFILE shows the limits of one, with their sources.")


def _print_profile(profile: Profile, step: str | None) -> None:
    console = Console(highlight=False, emoji=False, markup=False)
    chosen = profile.rules if step is None else profile.at(step)
    console.print(profile.title, style="bold")
    heading = ""
    for rule in chosen:
        if rule.step != heading:
            heading = rule.step
            console.print(f"\n{rules.STEPS[heading]}", style="bold")
        _print_rule(console, rule)


def _print_rule(console: Any, rule: Any) -> None:
    source = rules.sources()[rule.source]
    label = f" [{rule.label}]" if rule.label else ""
    console.print(Padding(f"{rule.title}: {rule.limit}{label}", (0, 0, 0, 2)))
    if rule.scope:
        console.print(Padding(f"Only {rule.scope}.", (0, 0, 0, 4)))
    console.print(Padding(rule.says, (0, 0, 0, 4)))
    console.print(Padding(f"{source.title}, {rule.locator} ({rule.id})", (0, 0, 0, 4)), style="dim")
    if source.address:
        console.print(f"    {source.address}", style=f"dim link {source.address}", soft_wrap=True)
    elif source.key != "house":
        console.print("    no address known: look it up by its title", style="dim")
