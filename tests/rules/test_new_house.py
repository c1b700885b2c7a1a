"""The house file to begin with: it changes nothing, and each of its blocks can be used as it says."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest
from click.testing import CliRunner

from kit import rules
from kit.basics.errors import BadData
from kit.cli import smokehouse
from kit.rules.house import on_top
from kit.rules.new_house import house_text


def blocks(on: str) -> list[dict[str, object]]:
    """Take the # away from every block, as a kitchen would."""
    text = house_text(on).split("on = ")[1]
    bare = "\n".join(line[2:] for line in text.splitlines() if re.match(r"# (\[\[|\w+ = )", line))
    return tomllib.loads(bare)["tighter"]


@pytest.mark.parametrize("on", rules.PROFILES)
def test_it_changes_nothing_until_a_kitchen_does(on: str, tmp_path: Path):
    out = tmp_path / "house.toml"
    done = CliRunner().invoke(
        smokehouse, ["rules", "new", "--on", on, "--name", 'The "Old" Kiln', "--out", str(out)]
    )
    assert done.exit_code == 0, done.output
    checked = CliRunner().invoke(smokehouse, ["rules", "check", str(out)])
    assert "It changes nothing." in checked.output
    before = out.read_bytes()
    again = CliRunner().invoke(smokehouse, ["rules", "new", "--on", on, "--out", str(out)])
    assert again.exit_code != 0 and isinstance(again.exception, BadData) and out.read_bytes() == before


@pytest.mark.parametrize("on", rules.PROFILES)
def test_each_number_moves_the_way_that_it_says_and_no_other(on: str):
    """The way of the comment is taken by the check, and the other way is refused."""
    found = blocks(on)
    assert len(found) >= 5
    text = house_text(on)
    tried = 0
    for record in found:
        for key, value in record.items():
            if key in ("rule", "why"):
                continue
            line = re.search(
                rf'# rule = "{re.escape(str(record["rule"]))}"\n(?:# .*\n)*?# {key} = \S+  # (\w+) is', text
            )
            assert line is not None
            step = 0.25 if line[1] in ("higher", "longer") else -0.25
            on_top(on, [{"rule": record["rule"], key: float(value) + step}], where="here")
            with pytest.raises(BadData, match="looser"):
                on_top(on, [{"rule": record["rule"], key: float(value) - step}], where="here")
            tried += 1
    assert tried >= len(found)


def test_the_command_with_an_unknown_profile_is_one_line():
    done = CliRunner().invoke(smokehouse, ["rules", "new", "--on", "atlantis"])
    assert done.exit_code != 0 and "atlantis" in str(done.exception)
