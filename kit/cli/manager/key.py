"""`smokehouse key`: make the key that a tutor or verifier signs with, and mend a lost password."""

import os

import click

from kit.basics import places
from kit.basics.errors import BadData, UnknownName
from kit.files import signing
from kit.files.passwords import SHORTEST_PASSWORD, check_password
from kit.files.signing import SealedKey, Signer, WrongPassword

PASSWORD_VARIABLE = "SMOKEHOUSE_PASSWORD"
TRIES = 3


def find_key(key_id: str | None = None) -> SealedKey:
    """Return the key whose id starts with ``key_id``, or the only one on this machine.

    Raises
    ------
    BadData
        If there is no key here yet, several fit, or the file is damaged.
    UnknownName
        If no key here has that id.
    """
    files = sorted(places.keys_folder().glob("*.json"))
    if not files:
        raise BadData("this machine", "there is no key here yet", "smokehouse key new")
    fitting = [file for file in files if file.stem.startswith((key_id or "").lower())]
    if not fitting:
        raise UnknownName("key", str(key_id), [file.stem for file in files])
    if len(fitting) > 1:
        raise BadData("the key", "several fit", f"one of {', '.join(file.stem for file in fitting)}")
    return signing.read_key(fitting[0])


def open_key(key_id: str | None = None) -> Signer:
    """Return an open key of this machine. It asks for the password, up to three times.

    A script gives the password in the environment variable ``SMOKEHOUSE_PASSWORD``.

    Raises
    ------
    WrongPassword
        If it was wrong each time.
    BadData, UnknownName
        See ``find_key``.
    """
    sealed = find_key(key_id)
    given = os.environ.get(PASSWORD_VARIABLE)
    if given is not None:
        return signing.unseal_key(sealed, given)
    for left in reversed(range(TRIES)):
        typed = click.prompt(f"Password of the key {sealed.key_id}", hide_input=True, err=True)
        try:
            return signing.unseal_key(sealed, typed)
        except WrongPassword as wrong:
            if not left:
                raise
            click.echo(str(wrong), err=True)
    raise AssertionError("the last try returns or raises")


def _new_password() -> str:
    """Return a new password, long enough, typed twice or from the environment."""
    given = os.environ.get(PASSWORD_VARIABLE)
    if given is not None:
        return check_password(given)
    words = f"New password, {SHORTEST_PASSWORD} characters or more, or 3 words"
    return check_password(click.prompt(words, hide_input=True, confirmation_prompt="Again", err=True))


@click.group("key", invoke_without_command=True)
@click.pass_context
def command(context: click.Context) -> None:
    """List the signing keys on this machine, make one, or mend a lost password.

    Lost the password: smokehouse key recover, with the printed recovery code. Lost both, or the file: nobody
    can open the key again. Have it retired and make a new one. What it signed before can still be checked.
    """
    if context.invoked_subcommand is None:
        context.invoke(show)


@command.command("list")
def show() -> None:
    """List the keys on this machine: the id, and the public half to hand on."""
    files = sorted(places.keys_folder().glob("*.json"))
    if not files:
        click.echo("There is no key here yet. Make one: smokehouse key new")
    for file in files:
        try:
            sealed = signing.read_key(file)
        except BadData as problem:
            click.echo(f"smokehouse: {problem}", err=True)
        else:
            click.echo(f"{sealed.key_id}  {sealed.public}")


def make_here() -> Signer:
    """Make a key on this machine under a new password, print its recovery code once, and return it open."""
    password = _new_password()
    sealed, code = signing.make_key(password)
    file = places.keys_folder() / f"{sealed.key_id}.json"
    signing.write_key(file, sealed)
    click.echo(f"Key {sealed.key_id} is made and kept in {file}")
    click.echo(f"Public half, to hand on: {sealed.public}")
    click.echo(f"Recovery code:           {code}")
    click.echo("Print the code and lock it away, not beside this machine. It is shown only now.")
    click.echo("It mends a lost password. Without both, this key cannot be opened again.")
    return signing.unseal_key(sealed, password)


@command.command("new")
def new() -> None:
    """Make a key, sealed under a password, and print its recovery code once."""
    make_here()
    click.echo("A manager puts it on file: smokehouse staff key YOUR-NAME FILE --as MANAGER")


@command.command("recover")
@click.argument("key_id", required=False)
def recover(key_id: str | None) -> None:
    """Set a new password for the key KEY_ID with its recovery code. The key stays the same."""
    sealed = find_key(key_id)
    code = click.prompt(f"Recovery code of the key {sealed.key_id}", err=True)
    mended = signing.reset_password(sealed, code, _new_password())
    signing.write_key(places.keys_folder() / f"{sealed.key_id}.json", mended)
    click.echo(f"The key {sealed.key_id} has a new password. The recovery code stays as it is.")
