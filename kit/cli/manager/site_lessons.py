"""`smokehouse site new`, `check` and `inbox`: the lessons on a server, under JupyterHub."""

import re
import shutil
import sys
from importlib.resources import files
from importlib.util import find_spec
from pathlib import Path

import click

from kit.basics.atomic_files import create_private, make_private_folder
from kit.basics.errors import BadData
from kit.practice.lesson_files import TODAY_FILE

CONFIG = "jupyterhub_config.py"
MB_EACH = 370
"""What the server and engine of one person with one lesson open take: measured once. [MB]"""
_KEPT_BACK_MB = 1500
_ACCOUNT = re.compile(r"[a-z_][a-z0-9_-]{0,31}")


@click.command("new")
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--user", "users", multiple=True, help="An account that may log in; may be given again.")
@click.option(
    "--port", type=click.IntRange(1024, 65535), default=8000, show_default=True, help="The hub's port."
)
@click.option("--memory-gb", type=click.FloatRange(2), default=8.0, show_default=True, help="Of the machine.")
@click.option(
    "--idle-min", type=click.IntRange(1), default=20, show_default=True, help="Until an engine stops."
)
def new_command(folder: Path, users: tuple[str, ...], port: int, memory_gb: float, idle_min: int) -> None:
    """Write a commented configuration of JupyterHub into FOLDER. Nothing that is there is written over.

    Log-in is by the accounts of this machine; each apprentice needs one.
    """
    for user in users:
        if not _ACCOUNT.fullmatch(user):
            raise BadData(repr(user), "this is no name of an account", "small letters, digits, _ and -")
    make_private_folder(folder)
    folder.chmod(0o711)  # accounts reach the inbox's socket, and see nothing else
    where = folder.resolve()
    text = (files("kit.cli.manager") / "site_config.txt").read_text(encoding="utf-8")
    seats = seats_for(memory_gb)
    written = text.format(
        folder=where,
        port=port,
        users=repr(set(users)) if users else "set()",
        command=_program("smokehouse"),
        today=TODAY_FILE,
        socket=where / "inbox.sock",
        seats=seats,
        idle_s=60 * idle_min,
    )
    try:
        with create_private(where / CONFIG) as file:
            file.write(written.encode())
    except FileExistsError:
        raise BadData(str(where / CONFIG), "there is one already", "another folder") from None
    click.echo(f"Written to {where / CONFIG}: up to {seats} at once on {memory_gb:g} GB.")
    click.echo(f"Look it over, then: smokehouse site check {where}")


def seats_for(memory_gb: float) -> int:
    """Return how many may have a lesson open at once on a machine: a plan from one measured person.

    Examples
    --------
    >>> seats_for(8), seats_for(32)
    (17, 81)
    """
    return max(1, int((memory_gb * 1024 - _KEPT_BACK_MB) / (MB_EACH * 1.04)))


@click.command("check")
@click.argument("folder", type=click.Path(path_type=Path))
def check_command(folder: Path) -> None:
    """Say what is wrong with the server in FOLDER before anybody logs in. Ends with code 1 if anything is."""
    found = faults_of(folder)
    for fault in found:
        click.echo(fault)
    click.echo("Nothing is wrong." if not found else f"{len(found)} to put right.")
    sys.exit(1 if found else 0)


def faults_of(folder: Path) -> list[str]:
    """Return what is wrong with a server's folder, configuration, programs and accounts, in sentences."""
    config = folder / CONFIG
    if not config.is_file():
        return [f"There is no {CONFIG} in {folder}: smokehouse site new {folder}"]
    text = config.read_text(encoding="utf-8", errors="replace")
    bare = "\n".join(line for line in text.splitlines() if not line.lstrip().startswith("#"))
    try:
        compile(text, str(config), "exec")
        broken = ""
    except SyntaxError as error:
        broken = f"line {error.lineno}: {error.msg}"
    bound = re.search(r"bind_url\s*=\s*[\"']https?://([^:/\"']+)", bare)
    tests = (
        (bool(broken), f"{CONFIG} is no Python: {broken}."),
        (find_spec("jupyterhub") is None, "JupyterHub is missing: pip install 'smokehouse-kit[hub]'"),
        (_missing("configurable-http-proxy"), "The program configurable-http-proxy is missing: from npm."),
        (bool(config.stat().st_mode & 0o022), f"Others may write {CONFIG}: chmod go-w"),
        (bool(folder.stat().st_mode & 0o066), f"Others may look into {folder}: chmod 711"),
        (any(not each.stat().st_mode & 0o001 for each in (folder.resolve(), *folder.resolve().parents)),
         f"Other accounts do not reach the inbox: a folder above {folder} is closed to them."),
        (bound is None or bound.group(1) not in ("127.0.0.1", "localhost"),
         "The hub does not listen on 127.0.0.1 alone: put a proxy with TLS before it."),
        ("dummy" in re.sub(r"[^a-z]+", " ", bare.lower()).split(), "A log-in that lets everybody in: dummy."),
        (re.search(r"allow_all\s*=\s*True", bare) is not None, "Every account of this machine may log in."),
        ("SimpleLocalProcessSpawner" in bare, "All lessons run as one account: each may read all books."),
        ("SMOKEHOUSE_INBOX" in bare and not (folder / "inbox.sock").exists(),
         f"The inbox does not run: smokehouse site inbox {folder}"),
    )  # fmt: skip
    return [says for wrong, says in tests if wrong] + _accounts(bare) + log_in_faults(bare)


def log_in_faults(bare: str, rules: Path = Path("/etc/pam.d")) -> list[str]:
    """Return what is wrong with the log-in by the system's accounts: nobody counts wrong passwords."""
    if not re.search(r"authenticator_class\s*=\s*[\"']pam[\"']", bare):
        return []
    texts = [file.read_text("utf-8", "replace") for file in rules.glob("*") if file.is_file()]
    lines = [line for text in texts for line in text.splitlines()]
    if any("pam_faillock" in line and not line.lstrip().startswith("#") for line in lines):
        return []
    return ["Wrong passwords are not counted, so one is guessed in time: set pam_faillock in /etc/pam.d."]


def _accounts(bare: str) -> list[str]:
    """Return what is wrong with the accounts that may log in."""
    import pwd

    told = re.search(r"allowed_users\s*=\s*\{([^}]*)\}", bare)
    names = re.findall(r"[\"']([^\"']+)[\"']", told.group(1)) if told else []
    if not names:
        return ["Nobody may log in: c.Authenticator.allowed_users is empty."]
    found, seen = [], dict[int, str]()
    for name in sorted(names):
        try:
            account = pwd.getpwnam(name)
        except KeyError:
            found.append(f"There is no account {name} on this machine.")
            continue
        home = Path(account.pw_dir)
        if account.pw_uid == 0 or account.pw_uid in seen:
            found.append(f"The account {name} is root's, or another one's.")
        if not home.is_dir():
            found.append(f"The account {name} has no home folder.")
        elif home.stat().st_mode & 0o077:
            found.append(f"Others may look into the home of {name}: chmod 700 {home}")
        seen[account.pw_uid] = name
    return found


@click.command("inbox")
@click.argument("folder", type=click.Path(path_type=Path))
def inbox_command(folder: Path) -> None:
    """Receive books in FOLDER/inbox, as the account that takes them in, until stopped.

    The accounts of this machine hand in over FOLDER/inbox.sock; none can look into the inbox, or hand in as
    another.
    """
    from kit.files.inbox_server import InboxServer, open_inbox

    inbox = open_inbox(folder / "inbox")
    with InboxServer(folder / "inbox.sock", inbox) as server:
        click.echo(f"Receiving in {inbox.folder}.")
        server.serve_forever()


def _program(name: str) -> str:
    beside = Path(sys.executable).with_name(name)
    return str(beside) if beside.exists() else shutil.which(name) or name


def _missing(name: str) -> bool:
    return shutil.which(name) is None and not Path(sys.executable).with_name(name).exists()
