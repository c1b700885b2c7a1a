"""`smokehouse desk`: open the tutor's desk on the records of this machine."""

import json
import signal
from pathlib import Path
from typing import Any

import click

from kit.basics import places
from kit.basics.atomic_files import make_private_folder, write_private
from kit.basics.errors import BadData
from kit.basics.places import records_file
from kit.cli import to_browser
from kit.records import open_records
from kit.records.ledger.acts import NotAllowed
from kit.records.people import staff
from kit.records.people.staff import Member
from kit.records.storage.store import records_there
from kit.views.tutor.place import FIRST_DAY, PERSON_VARIABLE, notebook_file
from kit.views.workbook.server import Workbook, free_port

NOTEBOOK = "tutor_desk.ipynb"
AT_THE_DESK = ("tutor", "verifier", "manager")


@click.command("desk")
@click.option("--as", "name", metavar="NAME", help="Who is at the desk: a name or an id.")
@click.option("--no-browser", is_flag=True, help="Print the address and open no browser.")
@click.option("--port", type=click.IntRange(1, 65535), help="The port to use. Without it: any free one.")
def command(name: str | None, no_browser: bool, port: int | None) -> None:
    """Open the tutor's desk in the browser: whom to see, what to sign, the rail, and the forms.

    Where nobody has begun the records yet, a form on the page begins them: your kitchen, your key, your crew.
    Signing asks for the password of your key. The page is served on this machine only. Ctrl-C ends it.
    """
    if port is not None:
        free_port(port)  # before anything is written
    member = None if name is None and nobody_began() else who(name)
    folder = prepare(places.tutor_folder() / "desk")
    person = FIRST_DAY if member is None else member.person
    environment = {PERSON_VARIABLE: person, places.HOME_VARIABLE: str(places.home())}
    room = places.tutor_folder() / "jupyter"
    workbook = Workbook(folder, room, port=port, environment=environment)
    signal.signal(signal.SIGTERM, _stop)
    try:
        workbook.start()
        workbook.warm(NOTEBOOK)
        _announce(workbook, member, browser=not no_browser)
        workbook.wait()
        _ended(workbook)
    except KeyboardInterrupt:
        click.echo("\nClosing the desk …")
    finally:
        to_browser.forget(room)
        workbook.stop()


def who(name: str | None) -> Member:
    """Return who is at the desk: the one named, or the only one who may sign.

    Raises
    ------
    BadData
        If there are no records, or nobody is named and there is not just one.
    UnknownName
        If nobody, or more than one, answers to the name.
    """
    if not records_there():
        raise BadData(
            str(records_file()),
            "there are no records on this machine yet",
            "a manager (smokehouse staff begin NAME) and answer books (smokehouse take-in BOOK)",
            "To see an invented crew: smokehouse demo --keep FOLDER",
        )
    records = open_records(make=False)
    try:
        if name is not None:
            return _able(staff.find(records, name))
        able = [m for m in staff.members(records) if set(m.roles) & set(AT_THE_DESK)]
    finally:
        records.close()
    if len(able) == 1:
        return able[0]
    listed = ", ".join(f"{m.name} ({' and '.join(m.roles)})" for m in able[:8])
    if not able:
        raise BadData("the desk", "nobody may sit at it yet", "a manager: smokehouse staff begin NAME")
    raise BadData("smokehouse desk", "nobody was named", f"--as NAME, one of: {listed}")


def _able(member: Member) -> Member:
    if not set(member.roles) & set(AT_THE_DESK):
        raise NotAllowed(
            f"{member.name} is {' and '.join(member.roles) or 'nobody with a role'} here. The desk is for "
            "tutors, verifiers and managers; a manager takes them on: `smokehouse staff take-on`."
        )
    return member


def prepare(folder: Path) -> Path:
    """Copy the desk's notebook into a folder that only its owner can read, always anew, and return it.

    The notebook holds no work: that is in the records.
    """
    make_private_folder(folder)
    notebook = json.loads(notebook_file().read_text(encoding="utf-8"))
    for cell in notebook["cells"]:
        if cell["cell_type"] == "code":
            cell["outputs"] = []  # those that came with the kit are of a machine without records
    write_private(folder / NOTEBOOK, json.dumps(notebook).encode())
    return folder


def nobody_began() -> bool:
    """Return whether nobody was ever taken on: then the desk opens on its first day."""
    if not records_there():
        return True
    records = open_records(make=False)
    try:
        return not any(member.ever for member in staff.members(records))
    finally:
        records.close()


def _announce(workbook: Workbook, member: Member | None, *, browser: bool) -> None:
    address = workbook.address(NOTEBOOK)
    click.echo(f"{'The first day' if member is None else member.name}, at the desk: {address}")
    click.echo("Leave this window open while you work. Ctrl-C here ends it.")
    if browser and not to_browser.show(address, workbook.room):
        click.echo("No browser could be opened. Copy the address above into one on this machine.")


def _ended(workbook: Workbook) -> None:
    raise BadData("JupyterLab", f"it ended by itself; see {workbook.log}", "a server until Ctrl-C")


def _stop(_number: int, _frame: Any) -> None:
    raise KeyboardInterrupt
