"""The lessons on a server: the configuration that is written, what the check finds, and whose seat it is."""

from __future__ import annotations

import ast
import os

import pytest

from kit.basics.errors import BadData
from kit.cli.apprentice import seat as seats
from kit.cli.apprentice.seat import seat
from kit.cli.manager import site
from kit.cli.manager.site_lessons import CONFIG, faults_of, log_in_faults
from kit.practice import create, everyone
from kit.practice.pins import set_pin
from tests.cli.typed import run


@pytest.fixture
def folder(tmp_path):
    run(
        site.command,
        "new",
        str(tmp_path / "hub"),
        "--user",
        "nobody",
        "--memory-gb",
        "32",
        "--idle-min",
        "15",
    )
    return tmp_path / "hub"


def test_the_configuration_is_python_and_says_what_was_asked_for(folder):
    text = (folder / CONFIG).read_text()
    told = {
        ast.unparse(node.targets[0]): ast.literal_eval(node.value)
        for node in ast.parse(text).body
        if isinstance(node, ast.Assign) and not isinstance(node.value, ast.Call)
    }
    assert told["c.Authenticator.allowed_users"] == {"nobody"}
    assert told["c.JupyterHub.bind_url"] == "http://127.0.0.1:8000"
    assert told["c.Spawner.args"] == ["--idle-s", "900"] and told["c.JupyterHub.active_server_limit"] == 81
    assert told["c.Spawner.environment"] == {"SMOKEHOUSE_INBOX": f"{folder}/inbox.sock"}
    assert told["c.Spawner.cmd"][1:] == ["seat"] and told["c.Spawner.cmd"][0].startswith("/")
    assert text.count("# ") > 15 and (folder / CONFIG).stat().st_mode & 0o077 == 0
    with pytest.raises(BadData, match="there is one already"):
        run(site.command, "new", str(folder))


def test_hubs_own_reader_takes_it(folder):
    hub = pytest.importorskip("jupyterhub.app")
    app = hub.JupyterHub()
    before = os.umask(0o022)
    try:
        app.load_config_file(str(folder / CONFIG))
    finally:
        os.umask(before)
    assert app.config.Authenticator.allow_all is False and app.config.Spawner.cmd[1:] == ["seat"]


@pytest.mark.parametrize("user", ["Ana", "a;b", "../x", '"}', ""])
def test_only_a_name_of_an_account_gets_into_it(tmp_path, user):
    with pytest.raises(BadData, match="no name of an account"):
        run(site.command, "new", str(tmp_path / "hub"), "--user", user)
    assert not (tmp_path / "hub" / CONFIG).exists()


@pytest.mark.parametrize(
    ("before", "after", "says"),
    [
        ("http://127.0.0.1:8000", "http://0.0.0.0:8000", "127.0.0.1 alone"),
        ('"pam"', '"dummy"', "lets everybody in"),
        ("allow_all = False", "allow_all = True", "Every account"),
        ("LocalProcessSpawner", "SimpleLocalProcessSpawner", "as one account"),
        ("{'nobody'}", "set()", "Nobody may log in"),
        ("{'nobody'}", "{'no-such-account'}", "no account no-such-account"),
        ("{'nobody'}", "{'root'}", "root's"),
        ("c.Spawner.cmd = [", "c.Spawner.cmd = ((", "no Python"),
        ("# Other log-ins", "# dummy", ""),
    ],
)
def test_the_check_names_what_is_wrong(folder, before, after, says):
    plain = faults_of(folder)
    config = folder / CONFIG
    text = config.read_text()
    assert before in text
    config.write_text(text.replace(before, after, 1))
    found = faults_of(folder)
    if says:
        assert any(says in one for one in found) and not any(says in one for one in plain)
    else:
        assert found == plain


def test_the_check_looks_at_files_and_at_the_inbox(folder):
    assert any("inbox does not run" in one for one in faults_of(folder))
    folder.chmod(0o755)
    (folder / CONFIG).chmod(0o666)
    found = " ".join(faults_of(folder))
    assert "chmod 711" in found and "chmod go-w" in found
    assert "to put right" in run(site.command, "check", str(folder), code=1)
    assert "site new" in faults_of(folder / "else")[0]


@pytest.mark.slow
def test_the_account_is_the_person_and_comes_back_as_the_same(monkeypatch):
    monkeypatch.setattr(seats, "account_name", lambda: "Ana Lind")
    program, arguments, variables = seat(900)
    (ana,) = everyone()
    assert ana.name == "Ana Lind" and variables["SMOKEHOUSE_PERSON"] == ana.id
    assert arguments[:3] == [program, "-m", "jupyterhub.singleuser"]
    assert not any("--ServerApp.ip" in one or "--ServerApp.port" in one for one in arguments)
    assert "--ServerApp.terminals_enabled=False" in arguments
    assert "--MappingKernelManager.cull_idle_timeout=900" in arguments and "JUPYTER_TOKEN" not in variables
    assert seat(900)[2]["SMOKEHOUSE_PERSON"] == ana.id and len(everyone()) == 1


@pytest.mark.slow
def test_two_people_in_one_account_and_a_pin_are_refused():
    set_pin(create("Ana Lind"), "4711")
    with pytest.raises(BadData, match="has a PIN"):
        seat(900)
    create("Ben Oake")
    with pytest.raises(BadData, match="2 people work in it"):
        seat(900)


def test_nobody_types_the_seat(monkeypatch):
    monkeypatch.delenv("JUPYTERHUB_API_TOKEN", raising=False)
    with pytest.raises(BadData, match="did not start it"):
        run(seats.command)


def test_the_check_asks_whether_wrong_passwords_are_counted(folder, tmp_path):
    rules, bare = tmp_path / "pam.d", (folder / CONFIG).read_text()
    rules.mkdir()
    (rules / "login").write_text("# auth required pam_faillock.so preauth\nauth required pam_unix.so\n")
    assert any("not counted" in one for one in log_in_faults(bare, rules))
    (rules / "login").write_text("auth required pam_faillock.so preauth\nauth required pam_unix.so\n")
    assert log_in_faults(bare, rules) == []
    assert log_in_faults(bare.replace('"pam"', '"oauth"'), tmp_path / "none") == []
