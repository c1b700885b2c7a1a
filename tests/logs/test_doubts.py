"""What no fish can do stops "met" until a person confirms it; and no silence hides the end of a cook."""

import json
import os

import numpy as np
import pytest
from click.testing import CliRunner

from kit import rules
from kit.basics.errors import BadData
from kit.cli.tutor.check_log import command
from kit.logs import LogOptions
from kit.logs.checking import check_log
from kit.logs.doubts import doubts_of, silences
from kit.process import chill, cook
from kit.process.steps import fillet

IE = rules.load("ie")
COOK = np.concatenate([np.linspace(4, 78, 60), np.full(10, 78.0)])


def file_of(core, *, heading="Core (°C)", air=None, minutes=None):
    minutes = np.arange(len(core)) if minutes is None else minutes
    rows = [f"time (min);{heading}{'' if air is None else ';Cabinet air (°C)'}"]
    for i, minute in enumerate(minutes):
        cell = "" if np.isnan(core[i]) else f"{core[i]:.2f}"
        rows.append(f"{minute:g};{cell}{'' if air is None else f';{air[i]:.1f}'}")
    return "\n".join(rows).encode()


def cooked(source, **more):
    """The outcomes of the cook rules with a number."""
    found = check_log(source, IE, steps=("cook",), **more)
    return [verdict.outcome for verdict in found.verdicts if not verdict.for_person], found


def test_an_honest_cook_has_no_doubts():
    outcomes, found = cooked(file_of(COOK))
    assert outcomes and set(outcomes) == {"met"} and not found.log.doubts and not found.silences


@pytest.mark.parametrize(
    ("core", "says"),
    [
        (COOK * 53 / 78 * 1.8 + 32, "more than 100 °C"),  # a true 53 °C in °F, under a heading that says °C
        (np.where(np.arange(70) == 40, 90, np.minimum(COOK, 60)), "above both its neighbours"),
        (np.where(np.arange(70) >= 40, 78.0, 20.0), "in a minute"),  # the probe left the fish
    ],
)
def test_a_reading_that_no_fish_can_have_stops_met_until_it_is_confirmed(core, says):
    outcomes, found = cooked(file_of(core))
    assert "met" not in outcomes
    assert any(says in line for line in found.says)
    sure, found = cooked(file_of(core), confirmed="The second probe read the same.")
    assert any("The second probe read the same." in line for line in found.says)
    plain = [v.outcome for v in rules.judge(found.found.trace, IE, step="cook") if not v.for_person]
    assert sure == plain, "confirmed, the rules alone decide"


@pytest.mark.parametrize("thickness_mm", [15, 20, 30])
def test_the_day_as_the_kit_runs_it_raises_no_doubt(thickness_mm):
    piece = fillet.raw("char, farmed", thickness_mm, 150)
    done = cook.cook(piece, core_target_c=75, cabinet_c=80, rh_pct=45, hold_min=2)
    for cooler in ("blast", "ice"):
        cold = chill.chill(done.fillet, cooler, core_target_c=3).trace
        for trace in (done.trace, cold):
            assert doubts_of("Core", trace.time_min, trace.core_c) == ()


def test_putting_the_probe_in_and_pulling_it_out_slow_nobody():
    air = np.concatenate([np.full(70, 80.0), np.full(60, 2.0), np.full(5, 2.0)])
    core = np.concatenate([[21.0], COOK[1:], np.linspace(78, 2, 60), [22.0] * 5])
    found = check_log(file_of(core, air=air), IE)
    assert found.log.doubts, "the probe came out at the end, and the record says so"
    assert any("cook" in verdict.rule for verdict in found.verdicts if verdict.outcome == "met")


def test_of_several_cores_the_worst_counts_and_each_is_shown():
    both = np.column_stack([COOK, COOK - 20])
    lines = ["time (min);Loin;Shoulder", *(f"{i};{a:.1f};{b:.1f}" for i, (a, b) in enumerate(both))]
    source = "\n".join(lines).encode()
    with pytest.raises(BadData, match="core"):
        check_log(source, IE)
    one, _ = cooked(source, how=LogOptions(core=("Loin",)))
    two, found = cooked(source, how=LogOptions(core=("Loin", "Shoulder")))
    assert set(one) == {"met"} and "met" not in two
    assert found.log.trace.core_c.max() == pytest.approx(58)
    assert [list(core)[-1] for core in found.log.cores.values()] == [78.0, 58.0]
    assert any("Shoulder" in verdict.why for verdict in found.verdicts)


@pytest.mark.parametrize("heading", ["Cabinet air", "Probe 1"])
def test_the_core_is_never_what_is_left_over(heading):
    with pytest.raises(BadData, match=r"and no core|--core-column"):
        check_log(file_of(COOK, heading=heading), IE)


@pytest.mark.parametrize(
    ("wanted", "says"),
    [("time (min)", "is the time"), ("Cabinet air (°C)", "is the air"), ("1", "is the time")],
)
def test_a_time_or_a_chamber_is_refused_as_a_core(wanted, says):
    source = file_of(COOK, air=np.full(70, 80.0))
    with pytest.raises(BadData, match=says):
        check_log(source, IE, how=LogOptions(core=(wanted,)))


def test_every_silence_is_listed_and_no_end_of_cook_stands_in_one():
    minutes = np.concatenate([np.arange(0, 68), np.arange(90, 140)])
    core = np.concatenate([np.linspace(4, 78, 68), np.linspace(40, 3, 50)])
    air = np.where(minutes < 80, 80.0, 2.0)
    found = check_log(file_of(core, air=air, minutes=minutes), IE)
    assert found.silences == ((67.0, 90.0),)
    assert any("Silent from 67 to 90 min" in line for line in found.says)
    assert not found.found.trace.phases and any("--cook" in line for line in found.says)


def test_a_silence_of_the_core_alone_is_one_too():
    core = np.where((np.arange(70) > 20) & (np.arange(70) < 40), np.nan, COOK)
    assert silences(np.arange(70.0), core, 5.0) == [(20.0, 40.0)]


def test_the_command_takes_several_cores_and_a_confirmation(tmp_path):
    path = tmp_path / "a.csv"
    path.write_bytes(file_of(COOK * 1.4))
    doubtful = CliRunner().invoke(command, [str(path), "--step", "cook", "--json"])
    assert doubtful.exit_code == 1 and json.loads(doubtful.output)["doubts"]
    sure = CliRunner().invoke(
        command, [str(path), "--step", "cook", "--confirm", "Two probes agree.", "--json"]
    )
    assert json.loads(sure.output)["confirmed"] == "Two probes agree."


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
@pytest.mark.parametrize("kind", ["pipe", "device"])
def test_a_pipe_or_a_device_is_refused_at_once(tmp_path, kind):
    path = tmp_path / "wait.csv"
    if kind == "pipe":
        os.mkfifo(path)
    with pytest.raises(BadData, match="a pipe or a device"):
        check_log(path if kind == "pipe" else "/dev/zero", IE)


def test_no_escape_reaches_the_screen(tmp_path):
    path = tmp_path / "a.csv"
    path.write_bytes(file_of(COOK, heading="Core\x1b[31m"))
    shown = CliRunner().invoke(command, [str(path), "--step", "cook"])
    assert "\x1b" not in shown.output and "Core?[31m" in shown.output
