from __future__ import annotations

from click.testing import CliRunner

from kit.cli.tutor.rules import command
from kit.rules import PROFILES, load


def run(*args: str):
    return CliRunner().invoke(command, list(args))


def test_profiles_are_listed():
    result = run()
    assert result.exit_code == 0
    for name in PROFILES:
        assert name in result.output


def test_a_profile_is_listed_with_limits_sources_and_what_is_from_memory():
    result = run("list", "us-processor")
    flat = " ".join(result.output.split())
    for rule in load("us-processor").rules:
        assert rule.id in flat
    assert "from memory: confirm" in flat


def test_a_tighter_house_file_passes_and_a_looser_one_is_refused_by_name(tmp_path):
    good, bad = tmp_path / "good.toml", tmp_path / "bad.toml"
    house = '[house]\ntitle = "Harbour Lane"\non = "ie"\n'
    house += '[[tighter]]\nrule = "ie-store-3"\nmaximum = {}\nwhy = "Door."\n'
    good.write_text(house.format(2.5))
    bad.write_text(house.format(4))
    passed = run("check", str(good))
    assert passed.exit_code == 0 and "ie-store-3" in passed.output
    refused = run("check", str(bad))
    assert refused.exit_code != 0
    assert "ie-store-3" in str(refused.exception)
