"""The command `smokehouse`. Each subcommand lives in a module of its own and loads only when it is called."""

import importlib
import sys
from typing import Any, NoReturn

import click

from kit import __version__
from kit.basics.errors import KitError
from kit.basics.typed_text import shown_text

# name of the command -> (module, one line for the list of commands)
COMMANDS = {
    "open": ("kit.cli.apprentice.open_lessons", "Open the workbook in the browser."),
    "install-launcher": (
        "kit.cli.apprentice.launcher",
        "Put the workbook into the system's menu: no terminal any more.",
    ),
    "people": ("kit.cli.apprentice.people", "List who works on this machine, or set a PIN."),
    "join": ("kit.cli.apprentice.join", "Bring your kitchen's file to this machine."),
    "today": ("kit.cli.apprentice.today", "Show what to do today: ten minutes are enough."),
    "hand-in": ("kit.cli.apprentice.hand_in", "Write your answer book for the tutor."),
    "seat": ("kit.cli.apprentice.seat", "Open the workbook of this account, for JupyterHub."),
    "take-in": ("kit.cli.tutor.take_in", "Take answer books in: mark them again and record them."),
    "desk": ("kit.cli.tutor.desk", "Open the tutor's desk in the browser."),
    "rail": ("kit.cli.tutor.rail", "Show who does which step alone, and what is missing."),
    "staff": ("kit.cli.manager.staff", "Take people on; keep their roles and keys."),
    "record": ("kit.cli.tutor.record", "Record observations, decisions, second signatures and appeals."),
    "outbox": ("kit.cli.tutor.outbox", "Draft away from the records; take it in later."),
    "paper": ("kit.cli.tutor.paper", "Plan, draw, print, sit and mark test papers."),
    "attach": ("kit.cli.tutor.attach", "Keep a photo, a logger's file or a paper as evidence."),
    "sheet": ("kit.cli.tutor.sheet", "Write an observation sheet to print."),
    "print": ("kit.cli.tutor.printing", "Write work sheets, and cards of your limits for the wall."),
    "report": ("kit.cli.tutor.report", "Write the inspector's file, or all tables for a spreadsheet."),
    "certificate": (
        "kit.cli.tutor.certificate",
        "Give a certificate for a step, check one, or take it back.",
    ),
    "agree": ("kit.cli.tutor.agree", "Judge ten invented cases, and see how far tutors agree."),
    "export": ("kit.cli.tutor.export", "Write answers, criteria or questions in open formats."),
    "my-record": ("kit.cli.tutor.my_record", "Write everything held about one person, for that person."),
    "check-log": ("kit.cli.tutor.check_log", "Check a temperature logger's file against named rules."),
    "rules": ("kit.cli.tutor.rules", "List the rule profiles, or check a house file."),
    "kitchen": ("kit.cli.manager.kitchen", "Make a signed kitchen file, show one or check it."),
    "key": ("kit.cli.manager.key", "Make the key you sign with, or mend a lost password."),
    "bring-in": ("kit.cli.manager.bring_in", "Bring in people and earlier decisions from a table."),
    "backup": ("kit.cli.manager.backup", "Write all records and the evidence to one file."),
    "restore": ("kit.cli.manager.restore", "Put the records of a backup back."),
    "records": ("kit.cli.manager.records", "Move the records to a server, or back to a file."),
    "site": ("kit.cli.manager.site", "Give each kitchen on a server its own schema and roles."),
    "erase": ("kit.cli.manager.erase", "Erase what names a person."),
    "author": ("kit.cli.author.author", "Look at what you wrote; fill the outputs of the answers."),
    "demo": ("kit.cli.demo.demo", "Show the whole chain with an invented crew."),
}


RENAMED = {"import-cohort": "bring-in", "board": "rail"}
"""Names of before, which still work and say the new one."""


class LazyGroup(click.Group):
    """A group that knows its commands by name and imports one only when it runs."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Return the names in the order an apprentice, then a tutor, meets them."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Import the module of one command."""
        name = RENAMED.get(cmd_name, cmd_name)
        if name not in COMMANDS:
            return None
        command: click.Command = importlib.import_module(COMMANDS[name][0]).command
        if name != cmd_name:
            click.echo(f"smokehouse {cmd_name} is now called: smokehouse {name}", err=True)
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the list of commands without importing any of them."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, says) for name, (_, says) in COMMANDS.items()])


@click.group(cls=LazyGroup, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="smokehouse")
def smokehouse() -> None:
    """Learn, practise and prove the steps of hot-smoking fish."""


def main(args: list[str] | None = None) -> Any:
    """Run the command. An error of the library or of the disk becomes one line and exit code 2."""
    try:
        return smokehouse.main(args=args, prog_name="smokehouse", standalone_mode=True)
    except KitError as error:
        _fail(error, str(error))
    except OSError as error:
        place = f"{error.filename}: " if error.filename else ""
        _fail(error, f"{place}{error.strerror or error}.")


def _fail(error: Exception, text: str) -> NoReturn:
    """Note an error in the site log, say it, and end with 2."""
    from kit.basics.site_log import log_event  # the list of commands needs no log

    log_event("error", error=error)
    click.echo(f"smokehouse: {shown_text(text, keep=chr(10))}", err=True)
    sys.exit(2)
