"""What a server is set up from: a container file, units, pinned packages with hashes, and a list of parts."""

from __future__ import annotations

import configparser
import json
import re
import shutil
import stat
import subprocess
import sys

import pytest

from kit import __version__
from kit.basics.errors import BadData
from kit.cli.manager import site, site_pack
from kit.cli.manager.site_pack import check_constraints, requirements, write_constraints, write_parts
from tests.cli.typed import run

HASH = "--hash=sha256:" + "0" * 64


@pytest.fixture
def pack(tmp_path):
    said = run(site.command, "pack", str(tmp_path))
    assert said.count("Written:") == 5
    return tmp_path


def test_the_container_file_takes_hashed_packages_only_and_is_no_root(pack):
    text = (pack / "Containerfile").read_text()
    steps = [line.split()[0] for line in re.sub(r"\\\n", " ", text).splitlines() if line and line[0] != "#"]
    assert steps[0] == "FROM" and set(steps) <= {
        "FROM", "RUN", "COPY", "ENV", "USER", "WORKDIR", "VOLUME", "HEALTHCHECK", "CMD",
    }  # fmt: skip
    assert "--require-hashes" in text and "--no-deps --no-index" in text and "://" not in text
    assert steps.index("USER") < steps.index("CMD") and "USER root" not in text
    for name in re.findall(r'\["smokehouse", "site", "([a-z]+)"', text):
        assert name in site.command.commands


def test_the_units_run_commands_that_are_there_as_no_root(pack):
    units = sorted(pack.glob("*.service"))
    assert len(units) == 3
    for unit in units:
        read = configparser.ConfigParser(strict=False)
        read.optionxform = str
        read.read(unit)
        service = read["Service"]
        program, group, name, *_ = service["ExecStart"].split()
        assert program.startswith("/") and group == "site" and name in site.command.commands
        assert service["User"] == "smokehouse" and service["UMask"] == "0077"
        assert service["NoNewPrivileges"] == "yes" and service["ProtectSystem"] == "strict"
    assert (pack / "smokehouse-backup.timer").read_text().count("OnCalendar=") == 1


@pytest.mark.skipif(shutil.which("systemd-analyze") is None, reason="there is no systemd here")
def test_systemd_finds_nothing_wrong_with_the_units(pack):
    for unit in pack.glob("*.service"):
        unit.write_text(re.sub(r"ExecStart=\S+", "ExecStart=/bin/true", unit.read_text()))
    units = [str(each) for each in (*pack.glob("*.service"), *pack.glob("*.timer"))]
    done = subprocess.run(
        ["systemd-analyze", "verify", "--man=no", *units], capture_output=True, text=True, timeout=60
    )
    ours = [line for line in done.stderr.splitlines() if str(pack) in line]
    assert not ours, ours


def test_a_server_needs_what_the_kit_needs_and_nothing_of_the_tests():
    found = requirements()
    assert any(each.startswith("numpy") for each in found)
    assert any(each.startswith("psycopg") for each in found)
    assert any(each.startswith("jupyterhub") for each in found)
    assert not any(each.startswith(("pytest", "ruff", "fipy")) for each in found)


def fake_uv(tmp_path, monkeypatch, says, code=0):
    program = tmp_path / "uv"
    lines = (
        f"#!{sys.executable}",
        "import sys",
        "out = sys.argv[sys.argv.index('--output-file') + 1]",
        "assert 'numpy==' in open(out).read(), 'what is installed is preferred'",
        f"open(out, 'w').write({says!r})",
        f"sys.exit({code})",
    )
    program.write_text("\n".join(lines))
    program.chmod(program.stat().st_mode | stat.S_IXUSR)
    monkeypatch.setattr(site_pack.shutil, "which", lambda _: str(program))


@pytest.mark.slow
def test_pinned_packages_have_hashes_and_no_address(tmp_path, monkeypatch):
    fake_uv(tmp_path, monkeypatch, f"numpy==2.1.0 \\\n    {HASH}")
    file = write_constraints(tmp_path / "constraints.txt")
    assert HASH in file.read_text() and sorted(each.name for each in tmp_path.iterdir()) == [
        "constraints.txt", "uv",
    ]  # fmt: skip
    for wrong in (f"--index-url https://example.org\nnumpy==2.1.0 {HASH}", "numpy==2.1.0"):
        with pytest.raises(BadData):
            check_constraints(wrong)
        fake_uv(tmp_path, monkeypatch, wrong)
        with pytest.raises(BadData):
            write_constraints(tmp_path / "other.txt")
        assert not (tmp_path / "other.txt").exists()
    fake_uv(tmp_path, monkeypatch, "", code=1)
    with pytest.raises(BadData, match="no set of packages"):
        write_constraints(tmp_path / "other.txt")


@pytest.mark.slow
def test_the_list_of_parts_names_every_part_and_no_place(tmp_path):
    pytest.importorskip("cyclonedx_py")
    told = json.loads(write_parts(tmp_path / "sbom.json").read_text())
    assert told["bomFormat"] == "CycloneDX"
    parts = {one["name"]: one.get("version") for one in told["components"]}
    import numpy

    assert parts["numpy"] == numpy.__version__ and parts["smokehouse-kit"] == __version__
    assert "file:" not in (tmp_path / "sbom.json").read_text()
