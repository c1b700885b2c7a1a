"""`smokehouse site pack`: container file, systemd units, pinned packages and the parts of a server."""

import json
import platform
import re
import shutil
import subprocess
import sys
from importlib.metadata import distribution, distributions
from importlib.resources import files
from importlib.util import find_spec
from pathlib import Path

import click

from kit.basics.atomic_files import write_private
from kit.basics.errors import BadData

EXTRAS = ("certificates", "hub", "site", "workers")
"""The extras that a server has."""
CONSTRAINTS, PARTS = "constraints.txt", "sbom.json"
_KIT = "smokehouse-kit"
_NEEDS_EXTRA = re.compile(r"extra\s*==\s*['\"]([^'\"]+)['\"]")


@click.command("pack")
@click.argument("folder", type=click.Path(path_type=Path, exists=True, file_okay=False))
@click.option("--constraints", is_flag=True, help="Also ask the registry for hashes of every package, by uv.")
@click.option("--python", default="", metavar="VERSION", help="Pin for that Python; Debian 12 has 3.11.2.")
@click.option("--sbom", is_flag=True, help="Also list every part that is installed here, as CycloneDX.")
def pack_command(folder: Path, constraints: bool, python: str, sbom: bool) -> None:
    """Write a container file and systemd units into FOLDER; with the options also pinned packages and parts.

    What is there under such a name is written over.
    """
    for name in write_units(folder):
        click.echo(f"Written: {folder / name}")
    if constraints:
        click.echo(f"Written: {write_constraints(folder / CONSTRAINTS, python)}")
    if sbom:
        click.echo(f"Written: {write_parts(folder / PARTS)}")


def write_units(folder: Path) -> list[str]:
    """Write the container file and the units, with this machine's command in them, and return their names."""
    program = Path(sys.executable).with_name("smokehouse")
    names = []
    for each in sorted((files("kit.cli.manager") / "pack").iterdir(), key=lambda one: one.name):
        text = each.read_text(encoding="utf-8").replace("@PROGRAM@", str(program))
        (folder / each.name).write_text(text, encoding="utf-8")
        names.append(each.name)
    return names


def requirements() -> list[str]:
    """Return what a server needs, as the kit's own metadata says it."""
    found = []
    for line in distribution(_KIT).requires or []:
        needs, _, condition = line.partition(";")
        extra = _NEEDS_EXTRA.search(condition)
        if extra is None:
            found.append(line)
        elif extra.group(1) in EXTRAS:
            found.append(needs.strip())
    return found


def write_constraints(file: Path, python: str = "") -> Path:
    """Write every package of a server with its version and the hashes of its files, and return the file.

    What is installed here keeps its version, where ``python``, by default this one, can have it. uv asks the
    registry that it is set up for; its address does not get into the file.

    Raises
    ------
    BadData
        If uv is missing, finds no solution, or an address got into the file.
    """
    program = shutil.which("uv")
    if program is None:
        raise BadData("uv", "it is not installed", "pip install uv")
    draft = file.with_name(f".{file.name}.new")
    installed = sorted({f"{one.name}=={one.version}" for one in distributions() if one.name != _KIT})
    draft.write_text("\n".join(installed) + "\n", encoding="utf-8")  # uv prefers what stands there
    command = [program, "pip", "compile", "-", "--output-file", draft.name, "--generate-hashes"]
    command += ["--python-version", python or platform.python_version()]
    command += ["--no-header", "--no-annotate", "--no-emit-index-url", "--quiet"]
    try:
        told = "\n".join(requirements())
        done = subprocess.run(command, input=told, capture_output=True, text=True, cwd=file.parent)
        if done.returncode:
            expected = "a registry that can be reached"
            raise BadData("uv", "it found no set of packages", expected, done.stderr[-300:])
        check_constraints(found := draft.read_text(encoding="utf-8"))
    finally:
        draft.unlink()
    write_private(file, found.encode())
    file.chmod(0o644)
    return file


def check_constraints(text: str) -> None:
    """Refuse pinned packages with an address among them, or with one that has no hash.

    Examples
    --------
    >>> check_constraints("numpy==2.1.0")
    Traceback (most recent call last):
    ...
    kit.basics.errors.BadData: constraints.txt: 'numpy==2.1.0' has no hash. Expected: --hash=sha256:… for
    each.
    """
    if "://" in text or "--index" in text or "--find-links" in text:
        raise BadData(CONSTRAINTS, "an address got into it", "names, versions and hashes")
    pieces = text.replace("\\\n", " ").splitlines()
    for piece in pieces:
        line = piece.strip()
        if line and not line.startswith("#") and not re.search(r"--hash=sha256:[0-9a-f]{64}", line):
            raise BadData(CONSTRAINTS, f"{line[:60]!r} has no hash", "--hash=sha256:… for each")


def write_parts(file: Path) -> Path:
    """Write every package that is installed here as a CycloneDX list of parts, and return the file.

    Raises
    ------
    BadData
        If the tool is missing or fails.
    """
    if find_spec("cyclonedx_py") is None:
        raise BadData("the list of parts", "its tool is missing", "pip install 'smokehouse-kit[pack]'")
    command = [sys.executable, "-m", "cyclonedx_py", "environment", "--output-reproducible", "--of", "JSON"]
    done = subprocess.run([*command, sys.executable], capture_output=True, text=True)
    if done.returncode:
        raise BadData("the list of parts", "its tool failed", "", done.stderr[-300:])
    told = json.loads(done.stdout)
    for part in told.get("components", ()):  # whence a part came, or where it lies, is nobody's affair
        links = part.get("externalReferences", ())
        kept = [one for one in links if one.get("type") not in ("distribution", "vcs")]
        part["externalReferences"] = [one for one in kept if not one.get("url", "").startswith("file:")]
    write_private(file, (json.dumps(told, indent=1) + "\n").encode())
    file.chmod(0o644)
    return file
