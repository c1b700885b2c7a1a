"""`smokehouse people`: who works on this machine."""

from datetime import timedelta

import pytest
from click.testing import CliRunner

from kit.cli.apprentice import people as module
from kit.cli.apprentice.people import command
from kit.files import local_now
from kit.practice import check_pin, create, everyone, find, get, set_pin


def run(*args, typed=""):
    return CliRunner().invoke(command, list(args), input=typed)


def test_nobody_yet():
    done = run()
    assert done.exit_code == 0
    assert "smokehouse people add NAME" in done.output


def test_people_are_added_and_listed(throw_away_home):
    assert run("add", "Ana Ó Briain", "--language", "Irish").output == (
        'Ana Ó Briain can start: smokehouse open --as "Ana Ó Briain"\n'
    )
    assert run("add", "鮭太郎", "--rules", "uk").exit_code == 0
    done = run()
    assert done.exit_code == 0
    ana, bo = done.output.splitlines()[1:]
    assert ana.split() == [
        "Ana",
        "Ó",
        "Briain",
        f"{everyone()[0].made:%Y-%m-%d}",
        "ie",
        "0",
        "answers",
        "none",
        find("Ana Ó Briain")[0].id,
    ]
    assert bo.split()[0] == "鮭太郎" and bo.split()[2] == "uk"
    assert find("Ana Ó Briain")[0].language == "Irish"


def test_a_known_name_is_asked_about():
    run("add", "Ana")
    assert run("add", "ana", typed="n\n").exit_code == 1
    assert len(everyone()) == 1
    assert run("add", "ana", typed="y\n").exit_code == 0
    assert len(everyone()) == 2


def test_unknown_rules_are_refused_before_anybody_is_made():
    done = run("add", "Ana", "--rules", "uk2")
    assert done.exit_code != 0 and "uk2" in str(done.exception)
    assert everyone() == ()


@pytest.mark.slow
def test_a_pin_is_set_changed_and_removed():
    ana = create("Ana")
    assert run("pin", "Ana", typed="1234\n1234\n").exit_code == 0
    assert check_pin(get(ana.id), "1234") and not check_pin(get(ana.id), "9999")
    assert run("pin", "Ana", typed="9999\n1234\n5678\n5678\n").exit_code == 0
    assert check_pin(get(ana.id), "5678")
    assert run("pin", "Ana", "--remove", typed="5678\n").exit_code == 0
    assert not get(ana.id).has_pin


@pytest.mark.slow
def test_a_pin_is_not_shown_while_it_is_typed():
    create("Ana")
    assert "1234" not in run("pin", "Ana", typed="1234\n1234\n").output


@pytest.mark.slow
def test_three_wrong_pins_stop_the_command():
    ana = set_pin(create("Ana"), "1234")
    done = run("pin", "Ana", "--remove", typed="1\n2\n3\n")
    assert done.exit_code != 0
    assert isinstance(done.exception, module.WrongPin) and "3 times" in str(done.exception)
    assert get(ana.id).has_pin


def test_the_rules_somebody_follows_can_be_changed():
    ana = create("Ana")
    done = run("rules", "Ana", "uk")
    assert done.exit_code == 0 and "Ana" in done.output
    assert get(ana.id).profile == "uk"
    assert run("rules", "Ana", "mars").exit_code != 0
    assert get(ana.id).profile == "uk"


def test_a_person_whose_file_is_damaged_does_not_hide_the_others():
    create("Ana")
    bo = create("Bo")
    (bo.folder / "person.toml").write_text("nonsense")
    done = run()
    assert done.exit_code == 0
    assert "Ana" in done.output and "person.toml" in done.output


@pytest.mark.parametrize(
    ("data", "words"),
    [(b"", "cannot be read"), (None, "empty")],
)
def test_a_book_that_cannot_be_read_shows_in_the_list(data, words):
    ana = create("Ana")
    if data is None:
        ana.book_path.unlink()
    else:
        ana.book_path.write_bytes(data)
    assert words in run().output


@pytest.mark.slow
def test_of_several_people_one_is_asked_for():
    create("Ana")
    create("Bo")
    done = CliRunner().invoke(command, ["pin", "ana", "--remove"])
    assert done.exit_code == 0 and "Ana has no PIN" in done.output
    second = create("Ana", clock=lambda: local_now() + timedelta(days=1))
    set_pin(second, "1234")
    done = run("pin", "Ana", "--remove", typed="2\n1234\n")
    assert done.exit_code == 0
    assert not get(second.id).has_pin


def test_a_person_here_is_found_by_a_part_of_the_name_and_a_slip_is_offered(throw_away_home):
    from kit.basics.errors import UnknownName
    from kit.cli.apprentice.people import choose
    from kit.practice import create

    for name in ("Berti Example", "Łucja Dąbrowska"):
        create(name)
    assert choose("berti").name == choose("EXAMPLE berti").name == "Berti Example"
    assert choose("lucja").name == "Łucja Dąbrowska"
    with pytest.raises(UnknownName, match="Did you mean 'Berti Example'"):
        choose("Berty")
