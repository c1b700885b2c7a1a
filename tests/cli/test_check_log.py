"""The command check-log, as somebody at the pass would run it."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

from kit import rules
from kit.cli.tutor.check_log import command
from kit.logs.checking import check_log


def run(*args: object):
    return CliRunner().invoke(command, [str(arg) for arg in args])


def write(path: Path, core, *, air=None, step: float = 1.0) -> Path:
    rows = [
        f"{i * step:g};{value:.2f}" + (f";{air[i]:.1f}" if air is not None else "")
        for i, value in enumerate(core)
    ]
    path.write_text("time_min;core_c" + (";air_c" if air is not None else "") + "\n" + "\n".join(rows) + "\n")
    return path


def hot(hold_min: int, at_c: float = 65.0):
    """A core that warms, holds and is then chilled fast; and the air around it."""
    up = np.linspace(4, at_c, 60)
    down = at_c * np.exp(-np.arange(0, 120) / 22.0)
    core = np.concatenate([up, np.full(hold_min, at_c), down])
    air = np.concatenate([np.full(60 + hold_min, 80.0), np.full(120, -2.0)])
    return core, air


def test_every_rule_met_is_exit_0(tmp_path):
    core, air = hot(40, 66.0)
    result = run(write(tmp_path / "good.csv", core, air=air), "--rules", "us-processor")
    assert result.exit_code == 0, result.output
    shown = " ".join(result.output.split())
    assert "✓ met: Core held at 62.8 °C for 30 min" in shown
    assert "competent person decides" in shown
    assert "from memory: confirm" in shown
    assert "safe" not in shown


def test_reaching_is_not_holding_and_that_is_exit_1(tmp_path):
    core, air = hot(2, 63.5)
    result = run(write(tmp_path / "touch.csv", core, air=air), "--rules", "us-processor")
    assert result.exit_code == 1
    assert "✗ not met: Core held at 62.8 °C for 30 min" in result.output


def test_a_gap_in_the_hold_cannot_tell(tmp_path):
    core, air = hot(40, 66.0)
    rows = [(i, value, air[i]) for i, value in enumerate(core) if not 70 <= i <= 80]
    path = tmp_path / "gap.csv"
    path.write_text("time_min;core_c;air_c\n" + "".join(f"{i};{c:.2f};{a:.1f}\n" for i, c, a in rows))
    result = run(path, "--rules", "us-processor", "--step", "cook")
    assert result.exit_code == 1
    assert "cannot tell" in result.output


def test_json_says_the_same_and_more(tmp_path):
    core, air = hot(40, 66.0)
    result = run(write(tmp_path / "good.csv", core, air=air), "--rules", "us-processor", "--json")
    told = json.loads(result.output)
    assert told["profile"] == "us-processor"
    assert {each["outcome"] for each in told["verdicts"] if not each["for_person"]} == {"met"}
    assert told["lethality"]["organism"] == "listeria"
    # 40 min at 66 °C by hand: 40 x 10^((66-70)/7.5) = 11.7 min at 70 °C; coming up and going down add some.
    assert 11.7 < told["lethality"]["equivalent_min"] < 15
    assert told["lethality"]["extrapolated"] is True
    assert [phase["name"] for phase in told["phases"]] == ["cook", "chill"]


@pytest.mark.slow
def test_the_picture_is_drawn_and_only_as_png(tmp_path):
    core, air = hot(40, 66.0)
    log = write(tmp_path / "good.csv", core, air=air)
    out = tmp_path / "plot.png"
    assert run(log, "--rules", "us-processor", "--out", out).exit_code == 0
    assert out.read_bytes().startswith(b"\x89PNG")
    assert "PNG" not in run(log, "--out", tmp_path / "plot.gif").output


@pytest.mark.parametrize("profile", ["ie", "uk", "us-retail", "us-processor", "codex"])
def test_every_profile_is_judged(tmp_path, profile):
    core, air = hot(40, 76.5)
    result = run(write(tmp_path / "hot.csv", core, air=air), "--rules", profile)
    assert result.exit_code in (0, 1)
    assert not isinstance(result.exception, Exception) or isinstance(result.exception, SystemExit)
    if profile == "codex":  # no rule of it has a number for the cook or the chilling
        assert result.exit_code == 1
        assert "no rule with a number" in result.output


def test_a_file_that_cannot_be_read_is_exit_2_and_names_the_line(tmp_path, capfd):
    from kit.cli import main

    path = tmp_path / "bad.csv"
    path.write_text("time_min;core_c\n0;60\n1;warm\n2;61\n")
    with pytest.raises(SystemExit) as stopped:
        main(["check-log", str(path)])
    assert stopped.value.code == 2
    shown = capfd.readouterr().err
    assert "line 3" in shown and "'warm'" in shown and "Traceback" not in shown
    assert len(shown.strip().splitlines()) == 1


def test_told_phases_let_a_door_window_be_judged(tmp_path):
    core, _ = hot(40, 76.0)
    log = write(tmp_path / "core_only.csv", core)
    untold = json.loads(run(log, "--rules", "ie", "--step", "chill", "--json").output)
    told = json.loads(run(log, "--rules", "ie", "--step", "chill", "--json", "--cook", 0, 100).output)

    def outcome(report):
        return next(each["outcome"] for each in report["verdicts"] if each["rule"] == "ie-chill-150")

    assert outcome(untold) != "met"
    assert outcome(told) == "met"


@pytest.mark.slow
@pytest.mark.parametrize("profile", ["ie", "uk", "us-retail", "us-processor"])
def test_long_rules_neither_squeeze_the_picture_nor_run_off_it(profile):
    from matplotlib.backends.backend_agg import FigureCanvasAgg

    from kit import rules
    from kit.process.physics.trace import Phase, Trace
    from kit.views.pictures.log_chart import log_chart

    core, _ = hot(40, 76.5)
    phases = (Phase("cook", 0.0, 100.0), Phase("chill", 105.0, 219.0))
    trace = Trace(np.arange(float(core.size)), core, phases=phases)
    chosen = rules.load(profile)
    verdicts = [found for step in ("cook", "chill") for found in rules.judge(trace, chosen, step=step)]
    figure = log_chart(trace, verdicts, "a.csv")
    FigureCanvasAgg(figure).draw()  # the layout is only settled by drawing
    for axis in figure.axes:
        assert axis.get_position().width > 0.85
        for text in axis.texts:
            assert text.get_window_extent().x1 <= figure.bbox.x1


def test_the_pack_leaves_out_rules_for_other_packs(tmp_path):
    """The rules of one pack prove nothing of another, and the page says which was asked for."""
    core, air = hot(40, 66.0)
    file = write(tmp_path / "good.csv", core, air=air)
    by_pack = {}
    for pack in ("air", "vacuum"):
        told = json.loads(run(file, "--rules", "us-processor", "--pack", pack, "--json").output)
        assert f"Judged as packed in {pack}." in told["asked"]
        by_pack[pack] = [each["rule"] for each in told["verdicts"]]
    assert by_pack["air"] == by_pack["vacuum"]  # the rules of these two steps are for any pack


def test_a_rule_for_packs_with_air_says_nothing_of_a_vacuum_pack():
    rows = ("time (min);Core (C)\n" + "".join(f"{minute};66.0\n" for minute in range(40))).encode()
    usual = rules.load("us-processor")
    for_air = tuple(replace(each, pack=("air",)) if each.step == "cook" else each for each in usual.rules)
    profile = replace(usual, rules=for_air)
    told = {pack: check_log(rows, profile, steps=["cook"], pack=pack).verdicts for pack in ("air", "vacuum")}
    assert "met" in {each.outcome for each in told["air"]}
    assert [each.outcome for each in told["vacuum"]] == ["cannot tell"]


def test_the_day_says_whose_law_counts(tmp_path):
    core, air = hot(40, 66.0)
    file = write(tmp_path / "good.csv", core, air=air)
    told = run(file, "--rules", "us-processor", "--on", "2026-07-01")
    assert "Judged by the law of 2026-07-01." in told.output
    assert run(file, "--on", "1 July").exit_code == 2
