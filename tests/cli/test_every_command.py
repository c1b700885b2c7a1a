"""Every command and option has help, and every command stands in the README."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from kit.cli import COMMANDS, smokehouse

ROOT = Path(__file__).resolve().parents[2]


def walk(command: click.Command, name: str):
    yield name, command
    if isinstance(command, click.Group):
        context = click.Context(command)
        for child in command.list_commands(context):
            sub = command.get_command(context, child)
            assert sub is not None
            yield from walk(sub, f"{name} {child}")


EVERY = dict(walk(smokehouse, "smokehouse"))


@pytest.mark.parametrize("name", EVERY)
def test_command_and_options_have_help(name: str):
    command = EVERY[name]
    assert command.help and command.help.strip()
    for parameter in command.params:
        if isinstance(parameter, click.Option):
            assert parameter.help, f"{name} {parameter.opts[0]} has no help"
    result = CliRunner().invoke(command, ["--help"])
    assert result.exit_code == 0


@pytest.mark.parametrize("name", COMMANDS)
def test_command_is_in_the_readme(name: str):
    assert f"smokehouse {name}" in (ROOT / "README.md").read_text(encoding="utf-8")


def test_a_wrong_command_is_one_line_and_no_traceback():
    run = subprocess.run(
        [sys.executable, "-m", "kit.cli", "bord"], capture_output=True, text=True, timeout=60
    )
    assert run.returncode == 2
    assert "Traceback" not in run.stderr
    assert "bord" in run.stderr


def test_help_loads_no_command():
    code = "import sys, kit.cli; from click.testing import CliRunner; "
    code += "r = CliRunner().invoke(kit.cli.smokehouse, ['--help']); "
    code += "print(r.exit_code, [m for m in sys.modules if m.startswith('kit.cli.')])"
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60)
    assert run.stdout.strip() == "0 []"
