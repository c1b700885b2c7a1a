"""From real answer books to the records and the board, by the commands a tutor types."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner

from kit.cli.demo.crew import make_crew
from kit.cli.demo.demo import command as demo_command
from kit.cli.tutor.rail import command as board_command
from kit.cli.tutor.take_in import command as take_in_command


@pytest.fixture(scope="module")
def crew(tmp_path_factory) -> list[Path]:
    return make_crew(tmp_path_factory.mktemp("crew"), datetime.now(UTC) - timedelta(hours=1))


def flat(result) -> str:
    return " ".join(result.output.split())


@pytest.mark.slow
def test_taking_in_twice_changes_nothing_the_second_time(crew, throw_away_home):
    run = CliRunner()
    first = run.invoke(take_in_command, [*map(str, crew), "--processes", "1"])
    assert first.exit_code == 0, first.output
    assert "12 books taken, 0 with nothing new, 0 refused." in flat(first)
    second = run.invoke(take_in_command, [*map(str, crew), "--processes", "1"])
    assert "0 books taken, 12 with nothing new, 0 refused. 0 answers marked again" in flat(second)
    assert (throw_away_home / "tutor" / "records.db").exists()

    shown = run.invoke(board_command, [])
    assert shown.exit_code == 0
    assert "Eithne Corrigan" in shown.output
    assert "that is a tutor's decision" in flat(shown)
    one = run.invoke(board_command, ["--person", "Eithne Corrigan"])
    assert "COK-K01" in one.output and "sitting" in flat(one)
    step = run.invoke(board_command, ["--step", "cook"])
    assert step.exit_code == 0 and "P02" in step.output

    for ending in ("html", "csv"):
        out = throw_away_home / f"board.{ending}"
        assert run.invoke(board_command, ["--out", str(out)]).exit_code == 0
        assert "Eithne Corrigan" in out.read_text(encoding="utf-8-sig")


@pytest.mark.slow
def test_many_processes_record_the_same(crew, tmp_path):
    run = CliRunner()
    copies = []
    for turn in range(3):
        folder = tmp_path / str(turn)
        folder.mkdir()
        for number, book in enumerate(crew[:9]):
            copy = folder / f"{number}.book"
            copy.write_bytes(book.read_bytes())
            copies.append(str(copy))
    result = run.invoke(take_in_command, [*copies, "--processes", "2"])
    assert result.exit_code == 0, result.output
    assert "9 books taken, 18 with nothing new, 0 refused." in flat(result)


@pytest.mark.slow
def test_a_book_that_is_none_is_refused_and_the_others_go_on(crew, tmp_path):
    wrong = tmp_path / "wrong.book"
    wrong.write_text("hello\n")
    result = CliRunner().invoke(take_in_command, [str(wrong), str(crew[0])])
    assert result.exit_code == 1
    assert "1 book taken, 0 with nothing new, 1 refused." in flat(result)
    assert "wrong.book" in result.output


def test_the_board_without_records_is_one_line(capfd):
    from kit.cli import main

    with pytest.raises(SystemExit) as stopped:
        main(["rail"])
    assert stopped.value.code == 2
    shown = capfd.readouterr().err.strip()
    assert "\n" not in shown and "Traceback" not in shown


def test_the_board_goes_to_known_endings_only(capfd):
    from kit.cli import main

    with pytest.raises(SystemExit) as stopped:
        main(["rail", "--out", "rail.docx"])
    assert stopped.value.code == 2
    assert ".html or .csv" in capfd.readouterr().err


@pytest.mark.slow
def test_the_demo_shows_the_whole_chain_and_leaves_nothing(tmp_path, throw_away_home):
    out = tmp_path / "board.html"
    result = CliRunner().invoke(demo_command, ["--out", str(out)])
    assert result.exit_code == 0, result.output
    assert "12 books taken" in flat(result)
    assert "clock stepped back" in result.output and "book breaks" in result.output
    assert "<!doctype html>" in out.read_text(encoding="utf-8").lower()
    assert not (throw_away_home / "tutor").exists()
    assert not (throw_away_home / "people").exists()


def test_the_demo_keeps_only_in_an_empty_folder(tmp_path):
    (tmp_path / "thing").write_text("mine")
    result = CliRunner().invoke(demo_command, ["--keep", str(tmp_path)])
    assert result.exit_code != 0
    assert "not empty" in str(result.exception)
