"""`smokehouse key`, `kitchen` and `join`, as a tutor and an apprentice would run them."""

import os
import re
import stat

import numpy as np
import pytest
from click.testing import CliRunner

from kit.basics import places
from kit.basics.errors import BadData, OutOfRange, UnknownName
from kit.basics.places import keys_folder
from kit.cli import main
from kit.cli.apprentice.join import command as join
from kit.cli.apprentice.people import command as people
from kit.cli.manager.key import command as key
from kit.cli.manager.kitchen import command as kitchen
from kit.cli.tutor.check_log import command as check_log
from kit.files.joined_kitchen import joined, place
from kit.files.kitchen_file import read_kitchen
from kit.files.signing import WrongPassword, make_key, read_key, unseal_key

PASSWORD = "smoke over alder"
HOUSE = """
[house]
title = "Harbour Lane"
on = "ie"

[[tighter]]
rule = "ie-chill-150"
minutes = 60
why = "We sell it cold the same day."
"""


@pytest.fixture(autouse=True)
def quick_keys(monkeypatch):
    """Stretch passwords at the least cost allowed, and let no password of this shell in."""
    monkeypatch.setattr("kit.files.signing.make_key", lambda password: make_key(password, cost=2**14))
    monkeypatch.delenv("SMOKEHOUSE_PASSWORD", raising=False)


def run(command, *args, typed=""):
    return CliRunner().invoke(command, [str(arg) for arg in args], input=typed)


@pytest.fixture
def made():
    """A key made at the command line: its id, public half and recovery code."""
    told = run(key, "new", typed=f"{PASSWORD}\n{PASSWORD}\n").output
    return (
        re.search(r"Key (\w{16})", told)[1],
        re.search(r"\b\w{64}\b", told)[0],
        told.split("code:")[1].split()[0],
    )


@pytest.fixture
def house(tmp_path):
    path = tmp_path / "house.toml"
    path.write_text(HOUSE)
    return path


@pytest.fixture
def new(made, house, tmp_path):
    """Make a kitchen file of that name with the house limits; more options may follow."""

    def go(name="harbour.toml", *options, typed=f"{PASSWORD}\n"):
        path = tmp_path / name
        if "--after" not in options:
            options = ("--name", "Harbour Lane", "--house", house, "--me", "Mara Quill", *options)
        return path, run(kitchen, "new", path, *options, typed=typed)

    return go


def test_a_key_is_made_listed_and_kept_private(made, throw_away_home):
    key_id, public, code = made
    file = throw_away_home / "tutor" / "keys" / f"{key_id}.json"
    assert read_key(file).public == public and len(code) == 35
    assert run(key).output == f"{key_id}  {public}\n"
    if os.name != "nt":
        assert stat.S_IMODE(file.stat().st_mode) == 0o600
        assert stat.S_IMODE(file.parent.stat().st_mode) == 0o700
    assert unseal_key(read_key(file), PASSWORD).key_id == key_id


def test_no_password_is_shown_and_a_short_one_makes_no_key():
    done = run(key, "new", typed="short\nshort\n")
    assert isinstance(done.exception, OutOfRange) and "short" not in str(done.exception).replace(
        "shorter", ""
    )
    assert not keys_folder().exists()
    assert PASSWORD not in run(key, "new", typed=f"{PASSWORD}\n{PASSWORD}\n").output


def test_a_script_gives_the_password_in_the_environment(monkeypatch):
    monkeypatch.setenv("SMOKEHOUSE_PASSWORD", PASSWORD)
    assert run(key, "new").exit_code == 0
    monkeypatch.setenv("SMOKEHOUSE_PASSWORD", "too short")
    assert isinstance(run(key, "new").exception, OutOfRange)


@pytest.mark.slow
def test_a_lost_password_is_mended_with_the_code(made):
    key_id, _, code = made
    new_one = "beech under ash"
    done = run(key, "recover", key_id[:6], typed=f"{code}\n{new_one}\n{new_one}\n")
    assert done.exit_code == 0 and key_id in done.output
    sealed = read_key(keys_folder() / f"{key_id}.json")
    assert unseal_key(sealed, new_one).key_id == key_id
    with pytest.raises(WrongPassword):
        unseal_key(sealed, PASSWORD)


def test_a_mistyped_code_changes_nothing_and_names_the_group(made):
    key_id, _, code = made
    before = (keys_folder() / f"{key_id}.json").read_bytes()
    wrong = code[:-1] + ("0" if code[-1] != "0" else "1")
    done = run(key, "recover", typed=f"{wrong}\n{PASSWORD}2\n{PASSWORD}2\n")
    assert isinstance(done.exception, BadData) and "group 6" in str(done.exception)
    assert (keys_folder() / f"{key_id}.json").read_bytes() == before


def test_of_no_key_an_unknown_one_and_several_the_command_says_so(made):
    assert isinstance(run(key, "recover", "ffff" * 4).exception, UnknownName)
    run(key, "new", typed=f"{PASSWORD}\n{PASSWORD}\n")
    assert "several fit" in str(run(key, "recover").exception)
    for file in keys_folder().glob("*.json"):
        file.unlink()
    assert "no key here yet" in str(run(key, "recover").exception)
    assert "smokehouse key new" in run(key).output


def test_a_damaged_key_file_is_named_and_hides_no_other(made):
    (keys_folder() / "aaaa.json").write_text("{}")
    done = run(key)
    assert made[0] in done.output and "aaaa.json" in done.output


def test_a_kitchen_is_made_shown_and_joined(made, new):
    path, done = new()
    assert done.exit_code == 0, done.output
    held = read_kitchen(path)
    assert (held.name, held.profile, held.signed_by) == ("Harbour Lane", "ie", made[0])
    assert PASSWORD not in done.output and joined() is None
    assert "under no kitchen" in run(kitchen, "show").output
    done = run(join, path)
    assert done.exit_code == 0, done.output
    for word in ("Harbour Lane, version 1", f"Mara Quill, key {made[0]}", "1 house limit", "from now on"):
        assert word in done.output
    assert joined() == held
    shown = run(kitchen).output
    assert "Harbour Lane" in shown and "tighter: ie-chill-150" in shown
    assert "Nothing was changed" in run(join, path).output


@pytest.mark.slow
def test_other_keys_are_listed_and_the_next_version_can_leave_one_out(made, new, tmp_path):
    other, _ = make_key(PASSWORD, cost=2**14)
    third, _ = make_key(PASSWORD, cost=2**14)
    people_ = ("--tutor", f"Finn Ó Dálaigh={other.public.upper()}", "--verifier", f"Ola Berg={third.public}")
    first, done = new("one.toml", *people_)
    assert done.exit_code == 0, done.output
    assert [(k.role, k.name) for k in read_kitchen(first).keys] == [
        ("tutor", "Mara Quill"),
        ("tutor", "Finn Ó Dálaigh"),
        ("verifier", "Ola Berg"),
    ]
    run(join, first)
    second, done = new("two.toml", "--after", first, "--without", other.key_id)
    assert done.exit_code == 0, done.output
    assert "It can take the place" in run(kitchen, "check", second).output
    assert "Version 2 takes the place of version 1" in run(join, second).output
    held = joined()
    assert [k.name for k in held.keys] == ["Mara Quill", "Ola Berg"]
    assert held.tighter == read_kitchen(first).tighter
    assert "older than version 2" in str(run(join, first).exception)
    assert "It is the one in force here" in run(kitchen, "check", second).output


def test_another_kitchen_is_joined_only_with_replace(new):
    first, _ = new("one.toml")
    other, _ = new("two.toml")
    run(join, first)
    done = run(join, other)
    assert done.exit_code != 0 and "--replace" in str(done.exception)
    assert joined() == read_kitchen(first)
    assert "leaves Harbour Lane" in run(join, other, "--replace").output
    assert joined() == read_kitchen(other)


def test_a_changed_file_is_one_line_and_exit_2(new, capsys):
    path, _ = new()
    path.write_text(path.read_text().replace("minutes = 60", "minutes = 90"))
    for command in ("join", "kitchen"):
        with pytest.raises(SystemExit) as caught:
            main([command, *(["check"] if command == "kitchen" else []), str(path)])
        assert caught.value.code == 2
        told = capsys.readouterr().err
        assert "this kitchen file was changed after it was signed" in told and told.count("\n") == 1
    assert joined() is None


@pytest.mark.parametrize(
    ("options", "says"),
    [
        (("--rules", "uk"), "made for the rules ie"),
        (("--rules", "iee"), "Did you mean 'ie'"),
        (("--tutor", "3b6a"), "no name"),
        (("--tutor", "Finn=3b6a"), "lower-case hex"),
        (("--without", "ffff"), "no key called 'ffff'"),
        (("--key", "ffff"), "no key called 'ffff'"),
    ],
)
def test_options_that_cannot_stand_write_no_file(new, options, says):
    path, done = new("harbour.toml", *options)
    assert done.exit_code != 0 and says in str(done.exception)
    assert not path.exists()


def test_a_looser_house_file_makes_no_kitchen(new, house):
    house.write_text(HOUSE.replace("minutes = 60", "minutes = 200"))
    path, done = new()
    assert isinstance(done.exception, BadData) and "ie-chill-150: minutes 200 is looser" in str(
        done.exception
    )
    assert not path.exists()


def test_a_file_that_is_there_is_not_written_over(new):
    path, _ = new()
    before = path.read_bytes()
    _, done = new()
    assert "already" in str(done.exception) and path.read_bytes() == before


@pytest.mark.slow
def test_three_wrong_passwords_make_no_kitchen(new):
    path, done = new(typed="wrong one\nwrong two\nwrong three\n")
    assert isinstance(done.exception, WrongPassword) and not path.exists()
    path, done = new(typed=f"wrong one\n{PASSWORD}\n")
    assert done.exit_code == 0 and path.exists()


def test_a_name_is_asked_for_where_none_is_given(made, tmp_path):
    path = tmp_path / "plain.toml"
    done = run(kitchen, "new", path, typed=f"Quay Lane\n{PASSWORD}\nMara Quill\n")
    assert done.exit_code == 0, done.output
    held = read_kitchen(path)
    assert (held.name, held.tighter, held.signer.name) == ("Quay Lane", (), "Mara Quill")
    assert "no house limits" in run(kitchen, "show", path).output


def test_check_log_follows_the_kitchen_unless_told_otherwise(new, tmp_path):
    core = np.concatenate([np.linspace(4, 76, 60), np.full(40, 76.0), 76 * np.exp(-np.arange(0, 150) / 35.0)])
    log = tmp_path / "cook.csv"
    log.write_text("time_min;core_c\n" + "".join(f"{i};{c:.2f}\n" for i, c in enumerate(core)))
    chill = ("--step", "chill", "--cook", 0, 100)  # at 3 °C some 113 min after the heat: 60 is missed
    plain = run(check_log, log, *chill)
    assert plain.exit_code == 0 and "Rules of Ireland" in plain.output
    path, _ = new()
    run(join, path)
    ours = run(check_log, log, *chill)
    assert ours.exit_code == 1 and "Rules of Harbour Lane: Ireland, with house limits" in ours.output
    assert run(check_log, log, *chill, "--rules", "ie").exit_code == 0
    place().write_text(place().read_text().replace("minutes = 60", "minutes = 150"))
    broken = run(check_log, log, *chill)
    assert isinstance(broken.exception, BadData) and "changed after it was signed" in str(broken.exception)


def test_people_are_told_whose_rules_hold(new):
    run(people, "add", "Ana")
    assert "follow Ireland" in run(people, "rules", "Ana", "ie").output
    path, _ = new()
    run(join, path)
    told = run(people, "rules", "Ana", "uk").output
    assert "follow" not in told and "The rules of the kitchen Harbour Lane hold for everybody" in told
    assert "Harbour Lane" in run(people).output
    assert places.home().is_dir()
