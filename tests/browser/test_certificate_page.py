"""The page of one file that checks a certificate: what it says of a good one, and of each bad one."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from click.testing import CliRunner
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from kit.cli import smokehouse
from kit.files import certificate
from kit.files.certificate import CertificateFacts
from kit.files.signing import Signer

SIGNER = Signer(Ed25519PrivateKey.from_private_bytes(bytes([7] * 32)))


def made(first: int, last: int) -> str:
    now = datetime.now(UTC)
    start, end = now + timedelta(days=first), now + timedelta(days=last)
    words = {"COK-P01": "Cooks by the core."}
    facts = CertificateFacts(
        "urn:uuid:1", "Tam Ferris", "Skerry Smokehouse", "cook", "Cook", words, start, end
    )
    return certificate.write_certificate(facts, SIGNER)


@pytest.fixture
def check(page_of, tmp_path):
    out = tmp_path / "check.html"
    assert CliRunner().invoke(smokehouse, ["certificate", "page", "--out", str(out)]).exit_code == 0
    page = page_of()
    page.goto(out.as_uri())
    assert page.outside == [out.as_uri()]  # the page itself; whatever else it asks for fails the test
    page.outside.clear()

    def one(text: str, key: str = "") -> str:
        page.evaluate("document.getElementById('result').replaceChildren()")
        page.fill("#text", text)
        page.fill("#key", key)
        page.click("#check")
        page.locator("#result p").first.wait_for()
        return page.inner_text("#result")

    return one


def test_good_and_bad_certificates_in_the_browser(check):
    text = made(-1, 100)
    told = check(text)
    assert told.startswith("Signature intact, issuer unknown, revocation not checked.")
    assert "Tam Ferris: Cook" in told and "(so the file says)" in told
    assert check(text, SIGNER.public).startswith("Signature intact, issuer known by its key")
    assert "does not fit" in check(text, "ab" * 32)
    head, said, mark = text.split(".")
    assert "does not fit" in check(f"{head}.{said.replace('F', 'G', 1)}.{mark}")
    assert "cut off" in check(text[:300])
    assert "does not check" in check(f"eyJhbGciOiJub25lIn0.{said}.{mark}")
    assert "too large" in check("e" * 70_000)
    assert "ran out" in check(made(-9, -1))
    assert "does not hold yet" in check(made(2, 9))
