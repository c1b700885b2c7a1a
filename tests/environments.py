"""Make fresh environments, one for each Python and each installer, and run the suite's fast part in each.

    python tests/environments.py [--python 3.12] [--by uv] [--leave-out 3.11-pip]

The Pythons are those of the classifiers in pyproject.toml, as far as this machine has them: on the PATH,
among those that pyenv or uv manages, or with the launcher of Windows. No environment has setuptools. Stops
with 1 if a run fails, or if others exist here and none besides the running Python was tried.
"""

from __future__ import annotations

import argparse
import json
import os
import re
import shutil
import subprocess
import sys
import tempfile
import time
import tomllib
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
RUNNING = f"{sys.version_info.major}.{sys.version_info.minor}"
BIN = "Scripts" if os.name == "nt" else "bin"
FAST = "not slow and not browser"
INSTALL_S, RUN_S = 1200, 1800
# Warnings at import time are no test's: they show only here.
STRICT = """
import importlib, pkgutil, kit
for module in pkgutil.walk_packages(kit.__path__, "kit."):
    if "migrations" not in module.name and not module.name.endswith("__main__"):
        importlib.import_module(module.name)
"""


def versions() -> tuple[str, ...]:
    """Return the Pythons that the kit says it supports, such as ``3.12``."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    return tuple(re.findall(r"Python :: (3\.\d+)", "\n".join(project["classifiers"])))


def output_of(*command: str) -> str:
    """Return what a command prints, or nothing if it is not here or fails."""
    try:
        run = subprocess.run(command, capture_output=True, text=True, timeout=60, check=True)
    except (OSError, subprocess.SubprocessError):
        return ""
    return run.stdout


def candidates(version: str) -> Iterator[str]:
    """Name where a Python may be; some of these do not exist or do not start."""
    if version == RUNNING:
        yield sys.executable
    yield f"python{version}"
    if pyenv := output_of("pyenv", "root").strip():
        yield from map(str, Path(pyenv).glob(f"versions/{version}.*/bin/python"))
    listed = output_of("uv", "python", "list", "--only-installed", "--output-format", "json")
    yield from (
        each["path"] for each in json.loads(listed or "[]") if each["version"].startswith(f"{version}.")
    )
    if os.name == "nt":
        yield output_of("py", f"-{version}", "-c", "import sys; print(sys.executable)").strip() or "python"


def find(version: str) -> str | None:
    """Return a Python of this version that starts, or None."""
    code = "import sys; print('%d.%d' % sys.version_info[:2])"
    return next(
        (each for each in candidates(version) if output_of(each, "-c", code).strip() == version), None
    )


def make(python: str, tool: str, folder: Path) -> list[list[str]]:
    """Return the commands that make an environment and install the kit, as README.md says."""
    inside = str(folder / BIN / "python")
    if tool == "uv":
        return [
            ["uv", "venv", "--python", python, str(folder)],
            ["uv", "pip", "install", "--python", inside, "--compile-bytecode", "-e", f"{ROOT}[test]"],
        ]
    return [
        [python, "-m", "venv", str(folder)],
        [inside, "-m", "pip", "install", "-q", "-e", f"{ROOT}[test]"],
        [inside, "-m", "pip", "uninstall", "-q", "-y", "setuptools"],  # Python 3.11 brings it along
    ]


def try_out(python: str, tool: str) -> tuple[bool, str]:
    """Install and run in an environment of its own; return whether all went well, and the last lines."""
    with tempfile.TemporaryDirectory(prefix="smokehouse-") as room:
        folder = Path(room) / "environment"
        inside = str(folder / BIN / "python")
        steps = [(command, INSTALL_S) for command in make(python, tool, folder)]
        steps += [
            ([inside, "-c", "import importlib.util as u; assert not u.find_spec('setuptools')"], RUN_S),
            ([inside, "-W", "error", "-c", STRICT], RUN_S),
            ([inside, "-m", "pytest", "-m", FAST], RUN_S),
        ]
        for command, seconds in steps:
            run = subprocess.run(
                command,
                cwd=ROOT,
                stdout=subprocess.PIPE,
                stderr=subprocess.STDOUT,
                text=True,
                timeout=seconds,
            )
            if run.returncode:
                return False, f"{' '.join(command[1:])}\n{run.stdout[-6000:]}"
    return True, run.stdout.strip().splitlines()[-1]


def exit_code(here: list[str], passed: list[str], failed: list[str]) -> int:
    """Return 1 if a run failed, none passed, or other Pythons are here and none of them passed; else 0."""
    others = set(here) - {RUNNING}
    return int(bool(failed) or not passed or bool(others and not others & set(passed)))


def main() -> int:
    """Try every Python with every installer, print a line for each, and return the exit code."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--python", action="append", help="only this one, such as 3.12; may be given again")
    parser.add_argument("--by", action="append", choices=("pip", "uv"), help="only this installer")
    parser.add_argument(
        "--leave-out", action="append", default=[], help="such as 3.11-pip, where it ran already"
    )
    options = parser.parse_args()
    passed, failed = [], []
    found = {version: find(version) for version in options.python or versions()}
    for version, python in found.items():
        for tool in options.by or ("pip", "uv"):
            name = f"{version}-{tool}"
            if python is None or name in options.leave_out or (tool == "uv" and not shutil.which("uv")):
                print(f"{name}: not tried", flush=True)
                continue
            begun = time.monotonic()
            well, said = try_out(python, tool)
            (passed if well else failed).append(version)
            print(f"{name}: {said}, {time.monotonic() - begun:.0f} s in all", flush=True)
    print(f"{len(passed)} passed, {len(failed)} failed")
    return exit_code([version for version, python in found.items() if python], passed, failed)


if __name__ == "__main__":
    sys.exit(main())
