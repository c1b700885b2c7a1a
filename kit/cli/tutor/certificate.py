"""`smokehouse certificate`: give a certificate, check one from anywhere, or take one back."""

from datetime import UTC, datetime
from importlib.resources import files
from pathlib import Path

import click

from kit.basics.atomic_files import write_private
from kit.basics.given_files import read_given
from kit.cli.acting import acted, as_option, opened, records_option, said

_FILE = click.Path(path_type=Path, dir_okay=False)


@click.group("certificate")
def command() -> None:
    """Give a certificate for a step or unit, check one from any kitchen, take one back. Without a network."""


@command.command("consent")
@click.argument("name")
@click.option(
    "--agrees/--withdraws", required=True, help="Whether the apprentice agrees, or does so no longer."
)
@as_option
@records_option
def consent(name: str, agrees: bool, as_name: str, records_file: str | Path | None) -> None:
    """Record that NAME agrees to certificates that name them, or does so no longer."""
    from kit.records.competence import certifying
    from kit.records.people import staff

    with opened(records_file) as records:
        click.echo(f"A certificate holds {certifying.HOLDS}.")
        person = staff.find(records, name).person
        said(acted(records, as_name, lambda hand: certifying.consent(hand, person, agrees)))


@command.command("give")
@click.argument("name")
@click.option(
    "--step", "steps", multiple=True, help="A step of the work, such as cook. Repeated, they make a unit."
)
@click.option("--criterion", "single", multiple=True, help="A single criterion of a unit. May be repeated.")
@click.option("--kitchen", "kitchen_name", required=True, help="What your kitchen calls itself.")
@click.option(
    "--out", type=_FILE, default=Path("certificate.jwt"), show_default=True, help="The file to write."
)
@as_option
@records_option
def give(
    name: str,
    steps: tuple[str, ...],
    single: tuple[str, ...],
    kitchen_name: str,
    out: Path,
    as_name: str,
    records_file: str | Path | None,
) -> None:
    """Give NAME a certificate for a step in which every criterion stands as competent.

    Several steps, or single criteria, make a unit.
    """
    from kit.criteria import step_named
    from kit.records.competence import certifying
    from kit.records.people import staff

    with opened(records_file) as records:
        click.echo(f"The file will hold {certifying.HOLDS}.")
        person = staff.find(records, name).person
        wanted = certifying.unit_of([*map(step_named, steps), *(each.upper() for each in single)])
        act, text = acted(records, as_name, lambda hand: certifying.give(hand, person, wanted, kitchen_name))
        write_private(out, text.encode("ascii") + b"\n")
        said(act)
    click.echo(f"Written to {out}")


@command.command("revoke")
@click.argument("act", type=int)
@click.option("--reason", required=True, help="Why it does not hold any more. Kept in the records only.")
@click.option(
    "--out", type=_FILE, default=Path("revoked.jwt"), show_default=True, help="The new list to write."
)
@as_option
@records_option
def revoke(act: int, reason: str, out: Path, as_name: str, records_file: str | Path | None) -> None:
    """Take back the certificate that was given by that ACT number, and write the new list."""
    from kit.records.competence import certifying

    with opened(records_file) as records:
        done, text = acted(records, as_name, lambda hand: certifying.revoke(hand, act, reason))
        write_private(out, text.encode("ascii") + b"\n")
        said(done)
    click.echo(f"Written to {out}. It names no person: hand it on to whoever checks certificates.")


@command.command("verify")
@click.argument("file", type=_FILE)
@click.option(
    "--issuer",
    "issuers",
    multiple=True,
    help="A key you trust: 64 digits of `smokehouse key list`, or a PEM or JWK file. May be repeated.",
)
@click.option("--revoked", type=_FILE, help="The kitchen's list of certificates that were taken back.")
def verify(file: Path, issuers: tuple[str, ...], revoked: Path | None) -> None:
    """Check the certificate FILE. Without a key, only that nobody changed it since it was signed."""
    from kit.files import certificate, signed_token

    keys, most = [signed_token.read_public_key(each) for each in issuers], signed_token.MAX_CERTIFICATE_BYTES
    taken_back = None
    if revoked is not None:
        data = read_given(revoked, "a list of `certificate revoke`", most)
        taken_back = certificate.read_revoked(data, keys, str(revoked))
    data = read_given(file, "a certificate", most)
    found = certificate.read_certificate(data, keys, datetime.now(UTC), taken_back, str(file))
    until = "with no end" if found.valid_until is None else f"until {found.valid_until:%Y-%m-%d}"
    click.echo(found.says)
    click.echo(f"{found.person_name or 'Nobody named'}: {found.achievement}, {until}")
    known = "" if found.issuer_known else " (so the file says)"
    click.echo(f"Issuer: {found.issuer_name}{known}, key {found.key_id}")
    if found.undefined:
        click.echo(f"Not in the standard's contexts, so without a meaning: {', '.join(found.undefined[:8])}")


@command.command("print")
@click.argument("file", type=_FILE)
@click.option(
    "--out", type=_FILE, default=Path("certificate.pdf"), show_default=True, help="The paper to write."
)
def on_paper(file: Path, out: Path) -> None:
    """Print the certificate FILE on one page of A4, with square codes that hold the file itself."""
    from kit.files import certificate, signed_token
    from kit.records.reports.certificate_pdf import certificate_pdf

    data = read_given(file, "a certificate", signed_token.MAX_CERTIFICATE_BYTES)
    found = certificate.read_certificate(data, (), datetime.now(UTC), None, str(file))
    write_private(out, certificate_pdf(found, data.decode("ascii").strip()))
    click.echo(f"Written to {out}. It holds the person's name.")


@command.command("page")
@click.option(
    "--out", type=_FILE, default=Path("check_certificate.html"), show_default=True, help="The file to write."
)
def page(out: Path) -> None:
    """Write a page of one file that checks certificates in a browser, for kitchens without a kit."""
    write_private(out, (files("kit.files") / "check_certificate.html").read_bytes())
    click.echo(f"Written to {out}. It works without a network.")
