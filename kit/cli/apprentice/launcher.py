"""`smokehouse install-launcher`: an entry in the system's own menu, so that nobody needs a terminal again."""

from __future__ import annotations

import os
import plistlib
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path

import click

from kit.basics import places
from kit.basics.errors import BadData

NAME = "Smokehouse workbook"
_SAYS = "Learn and practise the steps of hot-smoking fish"
_ID = "smokehouse-workbook"
_RESERVED = frozenset(" \t\n\"'\\><~|&;$*?#()`")


@dataclass(frozen=True)
class LauncherFile:
    """One file of a launcher: where it goes, what it holds, and whether it is a program."""

    path: Path
    data: bytes
    runs: bool = False


@click.command("install-launcher")
@click.option("--remove", is_flag=True, help="Take the launcher away again.")
def command(remove: bool) -> None:
    """Put the workbook into the system's menu. It then asks on a page who works; no terminal is needed."""
    made = launcher_files(sys.platform, _program(), Path.home(), dict(os.environ))
    for each in made:
        if remove:
            each.path.unlink(missing_ok=True)
        else:
            _write(each)
    _tell_the_menu(made[0].path)
    where = made[0].path
    click.echo(f"Removed: {where}" if remove else f"“{NAME}” is in the menu of this system now: {where}")


def launcher_files(
    system: str, program: Sequence[str], user: Path, variables: dict[str, str]
) -> tuple[LauncherFile, ...]:
    """Return the files that make the launcher of a system; the first is the one that is clicked.

    Parameters
    ----------
    system : str
        As ``sys.platform``: ``linux``, ``darwin`` or ``win32``; others are treated as Linux.
    program : sequence of str
        The command and its arguments.
    user : Path
        The user's own folder.
    variables : dict
        The environment.

    Examples
    --------
    >>> made = launcher_files("linux", ["/opt/python", "-m", "kit.cli"], Path("/home/nuala"), {})
    >>> made[0].path.as_posix()
    '/home/nuala/.local/share/applications/smokehouse-workbook.desktop'
    """
    if system == "win32":
        return _on_windows(program, user, variables)
    if system == "darwin":
        return _on_macos(_with_home(program, variables), user)
    return _on_linux(_with_home(program, variables), user, variables)


def _on_linux(program: Sequence[str], user: Path, variables: dict[str, str]) -> tuple[LauncherFile, ...]:
    share = Path(variables.get("XDG_DATA_HOME") or user / ".local" / "share")
    icon = share / "icons" / "hicolor" / "scalable" / "apps" / f"{_ID}.svg"
    lines = [
        "[Desktop Entry]",
        "Type=Application",
        f"Name={NAME}",
        f"Comment={_SAYS}",
        f"Exec={' '.join(_quoted(part) for part in program)}",
        f"Icon={_ID}",
        "Terminal=false",
        "Categories=Education;",
    ]
    entry = "\n".join(lines) + "\n"
    return (
        LauncherFile(share / "applications" / f"{_ID}.desktop", entry.encode("utf-8"), runs=True),
        LauncherFile(icon, (files("kit.views.front") / "launcher.svg").read_bytes()),
    )


def _quoted(part: str) -> str:
    """Return an argument as the Desktop Entry Specification, "The Exec key", quotes it (from memory)."""
    if part and not set(part) & _RESERVED:
        return part.replace("%", "%%")
    inner = "".join(f"\\{sign}" if sign in '"`$\\' else sign for sign in part)
    return '"' + inner.replace("\\", "\\\\").replace("%", "%%") + '"'


def _on_macos(program: Sequence[str], user: Path) -> tuple[LauncherFile, ...]:
    import shlex

    contents = user / "Applications" / f"{NAME}.app" / "Contents"
    facts = {
        "CFBundleName": NAME,
        "CFBundleIdentifier": f"local.{_ID}",
        "CFBundleExecutable": "open",
        "CFBundlePackageType": "APPL",
    }
    script = f"#!/bin/sh\nexec {shlex.join(program)}\n"
    return (
        LauncherFile(contents / "MacOS" / "open", script.encode("utf-8"), runs=True),
        LauncherFile(contents / "Info.plist", plistlib.dumps(facts)),
    )


def _on_windows(program: Sequence[str], user: Path, variables: dict[str, str]) -> tuple[LauncherFile, ...]:
    roaming = Path(variables.get("APPDATA") or user / "AppData" / "Roaming")
    menu = roaming / "Microsoft" / "Windows" / "Start Menu" / "Programs"
    line = subprocess.list2cmdline(list(program)).replace("%", "%%")
    home = variables.get(places.HOME_VARIABLE, "").replace("%", "%%")
    kept = f'set "{places.HOME_VARIABLE}={home}"\r\n' if home else ""
    script = f'@echo off\r\nchcp 65001 >nul\r\n{kept}start "" {line}\r\n'
    return (LauncherFile(menu / f"{NAME}.cmd", script.encode("utf-8")),)


def _program() -> list[str]:
    """Return the command that opens the workbook, with this Python."""
    python = Path(sys.executable)
    quiet = python.with_name("pythonw.exe")
    used = quiet if sys.platform == "win32" and quiet.exists() else python
    return [str(used), "-m", "kit.cli", "open", "--door"]


def _with_home(program: Sequence[str], variables: dict[str, str]) -> list[str]:
    """Return a command that keeps the place of everybody's work, where it is a named one."""
    home = variables.get(places.HOME_VARIABLE)
    return ["env", f"{places.HOME_VARIABLE}={Path(home).absolute()}", *program] if home else list(program)


def _write(one: LauncherFile) -> None:
    try:
        one.path.parent.mkdir(parents=True, exist_ok=True)
        one.path.write_bytes(one.data)
        one.path.chmod(0o755 if one.runs else 0o644)
    except OSError as error:
        raise BadData(str(one.path), f"it cannot be written: {error.strerror or error}") from None


def _tell_the_menu(entry: Path) -> None:
    """Let a Linux menu look again; where that program is missing, the menu looks by itself."""
    if entry.suffix == ".desktop":
        from shutil import which

        tool = which("update-desktop-database")
        if tool is not None:
            subprocess.run([tool, str(entry.parent)], check=False, capture_output=True)
