"""`smokehouse seat`: the lesson server of one account, as JupyterHub starts it."""

import os
import sys

import click

from kit.basics.errors import BadData
from kit.cli.apprentice.workbooks import workbook_of
from kit.practice import create, everyone, prepare


@click.command("seat", context_settings={"ignore_unknown_options": True})
@click.option(
    "--idle-s", type=click.IntRange(60), default=1200, show_default=True, help="Until it stops, in s."
)
@click.argument("more", nargs=-1, type=click.UNPROCESSED)
def command(idle_s: int, more: tuple[str, ...]) -> None:
    """Open the workbook of the account that runs this, for JupyterHub. The hub starts it; nobody types it.

    MORE is what the hub adds for JupyterLab.
    """
    if "JUPYTERHUB_API_TOKEN" not in os.environ:
        raise BadData("this command", "JupyterHub did not start it", "the hub's configuration: site new")
    program, arguments, variables = seat(idle_s)
    os.execve(program, [*arguments, *more], variables)


def seat(idle_s: int) -> tuple[str, list[str], dict[str, str]]:
    """Return program, arguments and environment of the lesson server of the account that runs this.

    The account is the person: the one in its home, or a new one of its full name.

    Raises
    ------
    BadData
        If several people share the account, or theirs asks for a PIN: a hub cannot ask for it.
    """
    people = everyone()
    if len(people) > 1:
        raise BadData("this account", f"{len(people)} people work in it", "one account a person")
    person = people[0] if people else create(account_name())
    if person.has_pin:
        problem = "their book has a PIN, and a server cannot ask for it"
        raise BadData(person.name, problem, "a book without one: the account is the wall here")
    workbook = workbook_of(person, prepare(person).folder)
    workbook.furnish()
    stops = [f"--MappingKernelManager.cull_idle_timeout={idle_s}", "--MappingKernelManager.cull_interval=60"]
    stops.append(f"--ServerApp.shutdown_no_activity_timeout={idle_s}")
    closed = ["--ServerApp.terminals_enabled=False", "--LabApp.extension_manager=readonly"]
    arguments = [sys.executable, "-m", "jupyterhub.singleuser", *workbook.arguments(), *stops, *closed]
    return sys.executable, arguments, workbook.variables()


def account_name() -> str:
    """Return the full name of the account that runs this, or its short one."""
    import pwd

    account = pwd.getpwuid(os.geteuid())
    return account.pw_gecos.split(",")[0].strip() or account.pw_name
