"""`smokehouse certificate verify` from the command line: what it says, and one line for each bad file."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from click.testing import CliRunner
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from kit.basics.errors import BadData
from kit.cli import smokehouse
from kit.files import certificate
from kit.files.certificate import CertificateFacts, RevocationList
from kit.files.signing import Signer

SIGNER = Signer(Ed25519PrivateKey.from_private_bytes(bytes([7] * 32)))


def run(*words: object):
    return CliRunner().invoke(smokehouse, ["certificate", "verify", *map(str, words)])


@pytest.fixture
def file(tmp_path):
    now = datetime.now(UTC).replace(microsecond=0)
    facts = CertificateFacts(
        id="urn:uuid:1",
        person_name="Tam Ferris",
        kitchen_name="Skerry Smokehouse",
        step="cook",
        step_title="Cook",
        criteria={"COK-P01": "Cooks by the core."},
        given=now - timedelta(days=1),
        until=now + timedelta(days=100),
    )
    path = tmp_path / "certificate.jwt"
    path.write_text(certificate.write_certificate(facts, SIGNER) + "\n")
    return path


def test_without_a_key_it_says_what_was_not_checked(file):
    done = run(file)
    assert done.exit_code == 0
    assert done.output.startswith(
        "signature intact, issuer unknown, revocation not checked\nTam Ferris: Cook"
    )
    assert "(so the file says)" in done.output


def test_with_a_key_and_a_list(file):
    revoked = file.with_name("revoked.jwt")
    revoked.write_text(certificate.write_revoked(RevocationList(datetime.now(UTC), (), ()), SIGNER))
    done = run(file, "--issuer", SIGNER.public, "--revoked", revoked)
    assert done.output.startswith("signature intact, issuer known by its key, not revoked by the list of")
    taken = RevocationList(datetime.now(UTC), ("urn:uuid:1",), ())
    revoked.write_text(certificate.write_revoked(taken, SIGNER))
    assert "taken back" in str(run(file, "--issuer", SIGNER.public, "--revoked", revoked).exception)


@pytest.mark.parametrize(
    ("data", "told"),
    [(b"e" * 10 * 2**20, "too large"), (b"\xff\xfe", "no plain text"), (b"e30.e30", "cut off")],
)
def test_a_bad_file_is_refused(file, data, told):
    file.write_bytes(data)
    done = run(file)
    assert done.exit_code == 1 and isinstance(done.exception, BadData)
    assert told in str(done.exception) and "\n" not in str(done.exception)


def test_a_bad_key_is_refused(file):
    assert "there is no such file" in str(run(file, "--issuer", "no-such-key").exception)
    assert "fit many messages" in str(run(file, "--issuer", "00" * 32).exception)
