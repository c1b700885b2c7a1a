"""The page of one file that checks a certificate: what it says of a good one, and of each bad one."""

from __future__ import annotations

import json
from base64 import urlsafe_b64decode, urlsafe_b64encode
from datetime import UTC, datetime, timedelta
from importlib.resources import files

import jwt
import pytest
from click.testing import CliRunner
from cryptography.hazmat.primitives.asymmetric import rsa
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat

from kit.cli import smokehouse
from kit.files import certificate
from kit.files.certificate import CertificateFacts, RevocationList
from kit.files.signing import WEAK, Signer

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

    def one(text: str, key: str = "", taken_back: str = "") -> str:
        page.evaluate("document.getElementById('result').replaceChildren()")
        listed = {"name": "revoked.jwt", "mimeType": "text/plain", "buffer": taken_back.encode()}
        page.set_input_files("#list", [listed] if taken_back else [])
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


def said_by(text: str) -> dict:
    piece = text.split(".")[1]
    return json.loads(urlsafe_b64decode(piece + "=" * (-len(piece) % 4)))


def signed(said: dict, **header: object) -> str:
    """Anything, signed by our key."""

    def pack(part: dict) -> str:
        return urlsafe_b64encode(json.dumps(part).encode()).rstrip(b"=").decode()

    key = {"kty": "OKP", "crv": "Ed25519", "x": pack_raw(bytes.fromhex(SIGNER.public))}
    body = f"{pack({'alg': 'EdDSA', 'jwk': key, **header})}.{pack(said)}"
    return f"{body}.{pack_raw(bytes.fromhex(SIGNER.sign(body.encode())))}"


def pack_raw(data: bytes) -> str:
    return urlsafe_b64encode(data).rstrip(b"=").decode()


def test_the_list_of_what_was_taken_back(check):
    text, now = made(-1, 100), datetime.now(UTC)

    def listed(*taken: tuple[str, ...]) -> str:
        return certificate.write_revoked(RevocationList(now, *taken), SIGNER)

    other = listed(("urn:uuid:another",), ())
    assert "not taken back by the list of" in check(text, SIGNER.public, other).splitlines()[0]
    assert "was taken back" in check(text, SIGNER.public, listed(("urn:uuid:1",), ()))
    assert "was retired" in check(text, SIGNER.public, listed((), (SIGNER.key_id,)))
    assert "only by the key of who signed it" in check(text, "", other)
    assert "no list" in check(text, SIGNER.public, text)
    stranger = Signer(Ed25519PrivateKey.from_private_bytes(bytes([8] * 32)))
    forged = certificate.write_revoked(RevocationList(now, ("urn:uuid:1",), ()), stranger)
    assert "does not fit" in check(text, SIGNER.public, forged)


def test_rs256_of_another_system(check):
    said = said_by(made(-1, 100))
    private = rsa.generate_private_key(65537, 2048)
    text = jwt.encode(said, private, "RS256")
    pem = private.public_key().public_bytes(Encoding.PEM, PublicFormat.SubjectPublicKeyInfo).decode()
    assert check(text, pem).startswith("Signature intact, issuer known by its key")
    jwk = json.dumps(jwt.algorithms.RSAAlgorithm.to_jwk(private.public_key(), as_dict=True))
    assert check(text, jwk).startswith("Signature intact, issuer known by its key")
    assert "does not carry its key" in check(text)
    assert "does not fit" in check(text, SIGNER.public)
    assert "does not fit" in check(made(-1, 100), pem)
    short = rsa.generate_private_key(65537, 1024).public_key()
    assert "1024 bits is too short" in check(
        text, short.public_bytes(Encoding.PEM, PublicFormat.SubjectPublicKeyInfo).decode()
    )
    whole = json.dumps(jwt.algorithms.RSAAlgorithm.to_jwk(private, as_dict=True))
    assert "private key" in check(text, whole)


def test_claims_shapes_and_keys_that_prove_nothing(check):
    said = said_by(made(-1, 100))
    assert check(signed(said)).startswith("Signature intact")
    assert "claim 'sub'" in check(signed({**said, "sub": "urn:uuid:x"}))
    assert "claim 'exp'" in check(signed({**said, "exp": 9_999_999_999}))
    assert "no certificate" in check(signed({**said, "@context": said["@context"][:1]}))
    assert "no certificate" in check(signed({**said, "type": ["OpenBadgeCredential"]}))
    assert "does not know" in check(signed(said, crit=["b64"], b64=False))
    weak = {"kty": "OKP", "crv": "Ed25519", "x": pack_raw(bytes(32))}
    assert "fit many messages" in check(signed(said, jwk=weak))
    for each in sorted(WEAK):
        told = check(signed(said), each)
        assert "fit many messages" in told or "key is damaged" in told


def test_the_page_knows_the_same_weak_keys():
    page = (files("kit.files") / "check_certificate.html").read_text("utf-8")
    listed = page.split("const WEAK = new Set([")[1].split("]")[0]
    assert {each.strip(' "\n') for each in listed.split(",") if each.strip()} == WEAK
