"""`smokehouse site`: what a server with several kitchens needs."""

import click

from kit.cli.manager.site_care import backup_command, health_command, watch_command
from kit.cli.manager.site_group import group_command
from kit.cli.manager.site_lessons import check_command, inbox_command, new_command
from kit.cli.manager.site_pack import pack_command
from kit.cli.manager.site_retention import retention_command
from kit.records.storage.kitchens import kitchen_sql, make_kitchen
from kit.records.storage.postgres import database_of


@click.group("site")
def command() -> None:
    """Look after a server with several kitchens."""


@command.command("kitchen")
@click.argument("address")
@click.argument("name")
@click.option("--run", is_flag=True, help="Run the SQL as the role in ADDRESS; otherwise it is only printed.")
def kitchen(address: str, name: str, run: bool) -> None:
    """Give the kitchen NAME a schema and three roles in the database of ADDRESS.

    The roles have no password: set each with \\password in psql. Then, as NAME_owner, begin the records.
    Every day's work is done as NAME_app; NAME_reader looks only.
    """
    words = list(kitchen_sql(name, database_of(address)))
    if not run:
        click.echo(";\n".join(words) + ";")
        return
    make_kitchen(address, words)
    click.echo(f"The schema {name} and the roles {name}_owner, {name}_app and {name}_reader are made.")


for _each in (
    new_command,
    check_command,
    inbox_command,
    health_command,
    watch_command,
    backup_command,
    pack_command,
    group_command,
    retention_command,
):
    command.add_command(_each)
