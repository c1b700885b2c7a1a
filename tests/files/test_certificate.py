"""A certificate: what it must say, every way to forge one, and two published signatures."""

from __future__ import annotations

import hmac
import json
from base64 import urlsafe_b64decode, urlsafe_b64encode
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import jwt
import pytest
from cryptography.hazmat.primitives.asymmetric import rsa
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey, Ed25519PublicKey
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat

from kit.basics.errors import BadData
from kit.files import certificate, credential_terms, signed_token
from kit.files.certificate import CertificateFacts, RevocationList
from kit.files.credential_terms import undefined_terms
from kit.files.signing import Signer

START, NOW = datetime(2026, 3, 2, tzinfo=UTC), datetime(2026, 6, 1, tzinfo=UTC)
SIGNER, STRANGER = (Signer(Ed25519PrivateKey.from_private_bytes(bytes([n] * 32))) for n in (1, 2))
FACTS = CertificateFacts(
    id="urn:uuid:5f0c2f8e-7c43-4a51-9d4a-0d2f3f0f4b11",
    person_name="Tam Ferris",
    kitchen_name="Skerry Smokehouse",
    step="cook",
    step_title="Cook",
    criteria={"COK-P01": "Cooks by the core."},
    given=START,
    until=START + timedelta(days=180),
)
TEXT = certificate.write_certificate(FACTS, SIGNER)
KEY = signed_token.read_public_key(SIGNER.public)


def pack(data: bytes | dict) -> str:
    raw = data if isinstance(data, bytes) else json.dumps(data).encode()
    return urlsafe_b64encode(raw).rstrip(b"=").decode()


def part(text: str, place: int) -> dict:
    piece = text.split(".")[place]
    return json.loads(urlsafe_b64decode(piece + "=" * (-len(piece) % 4)))


def signed(said: dict, key=SIGNER, **header: object) -> bytes:
    """A token over anything, signed by a key of ours."""
    body = pack({**part(TEXT, 0), **header}) + "." + pack(said)
    return f"{body}.{pack(bytes.fromhex(key.sign(body.encode())))}".encode()


def read(data: bytes | str, keys=(KEY,), now=NOW, revoked=None):
    return certificate.read_certificate(
        data if isinstance(data, bytes) else data.encode(), keys, now, revoked
    )


def test_what_was_written_is_read_and_what_was_not_checked_is_said():
    assert read(TEXT, ()).says == "signature intact, issuer unknown, revocation not checked"
    found = read(TEXT)
    assert found.says == "signature intact, issuer known by its key, revocation not checked"
    assert (found.person_name, found.achievement, found.key_id) == ("Tam Ferris", "Cook", SIGNER.key_id)
    clean = RevocationList(NOW, ("urn:uuid:another",), ())
    assert read(TEXT, revoked=clean).says.endswith("not revoked by the list of 2026-06-01")


def test_the_members_of_the_standard_stand_in_it():
    # Open Badges 3.0, AchievementCredential: required members as in our notes of the schema for VC 2.0. The
    # schema for VC 1.1 was read (1EdTech/openbadges-specification at e0fdb03,
    # docs/schema/achievementcredential.json): it asks for a name too, and "name" is one of its kinds of
    # identity. Neither file is bundled.
    said = part(TEXT, 1)
    assert said["@context"] == list(certificate.CONTEXTS)
    assert {"id", "type", "name", "issuer", "validFrom", "credentialSubject"} <= said.keys()
    (who,) = said["credentialSubject"]["identifier"]
    assert who.keys() == {"type", "hashed", "identityHash", "identityType"} and who["identityType"] == "name"
    subject = said["credentialSubject"]
    assert {"id", "type", "achievement"} <= subject.keys()
    # the same file at 022a0a2 was read for this: a subject has no member but these
    known = {"id", "type", "activityEndDate", "activityStartDate", "creditsEarned", "achievement", "image"}
    known |= {"identifier", "licenseNumber", "narrative", "result", "role", "source", "term"}
    assert subject.keys() <= known
    assert {"id", "type", "name", "description", "criteria"} <= subject["achievement"].keys()
    assert (said["iss"], said["jti"], said["sub"]) == (said["issuer"]["id"], said["id"], subject["id"])
    assert "d" not in part(TEXT, 0)["jwk"]


def test_every_name_in_it_has_a_meaning_in_the_contexts_that_come_with_the_kit():
    assert undefined_terms(part(TEXT, 1)) == () == read(TEXT).undefined
    assert certificate.CONTEXTS == credential_terms.CONTEXTS


def test_a_name_without_a_meaning_is_told_wherever_it_stands():
    """PyLD 3.3.0, an independent reader of JSON-LD, drops exactly these four names with the same contexts."""
    said = part(TEXT, 1)
    subject = said["credentialSubject"]
    subject["achievement"]["colour"] = subject["identifier"][0]["colour"] = said["grade"] = "x"
    said["evidence"] = [{"id": "urn:uuid:2", "type": ["Evidence"], "narrative": "x", "foo": 2}]
    lost = {
        "grade",
        "evidence.foo",
        "credentialSubject.achievement.colour",
        "credentialSubject.identifier.colour",
    }
    assert set(read(signed(said)).undefined) == lost
    subject["achievement"]["type"] = ["Achievement", "Medal"]
    assert "credentialSubject.achievement.type Medal" in undefined_terms(said)


def test_members_of_the_standard_that_we_do_not_write_have_a_meaning_too():
    """PyLD 3.3.0 keeps all of these. What a member adds holds inside it alone: an alignment has a target."""
    said = part(TEXT, 1)
    subject = said["credentialSubject"]
    aligned = {"type": ["Alignment"], "targetName": "a", "targetCode": "b", "targetType": "CFItem"}
    subject["achievement"]["alignment"] = [{**aligned, "targetUrl": "https://example.org/x"}]
    subject["result"] = [{"type": ["Result"], "resultDescription": "urn:uuid:3", "status": "Completed"}]
    assert undefined_terms(said) == ()
    subject["targetName"] = "a"
    assert undefined_terms(said) == ("credentialSubject.targetName",)


def test_of_contexts_that_do_not_come_with_the_kit_nothing_is_said():
    said = part(TEXT, 1)
    said["@context"] = [*certificate.CONTEXTS, "https://example.org/more"]
    said["grade"] = "A"
    assert read(signed(said)).undefined == ()


def test_a_unit_of_several_steps_and_criteria_says_so():
    facts = replace(FACTS, step="COK-P01+chill", step_title="Part of Cook (COK-P01), Chill")
    text = certificate.write_certificate(facts, SIGNER)
    achievement = part(text, 1)["credentialSubject"]["achievement"]
    assert achievement["id"] == "urn:smokehouse:unit:COK-P01+chill"
    assert achievement["description"].startswith("Competent on every criterion of the unit")
    assert (read(text).kind, read(TEXT).kind) == ("unit", "step")
    said = part(TEXT, 1)
    said["credentialSubject"]["achievement"]["id"] = "https://example.org/cook"
    assert read(signed(said)).kind == ""


@pytest.mark.parametrize("gone", ["id", "type", "issuer", "validFrom", "credentialSubject", "@context"])
def test_a_missing_member_is_refused(gone):
    said = part(TEXT, 1)
    del said[gone]
    with pytest.raises(BadData):
        read(signed(said))


def _swapped() -> bytes:
    said = part(TEXT, 1)
    said["credentialSubject"]["identifier"][0]["identityHash"] = "Someone Else"
    head, _, mark = TEXT.split(".")
    return f"{head}.{pack(said)}.{mark}".encode()


def _by_shared_secret() -> bytes:
    body = pack({"alg": "HS256"}) + "." + pack(part(TEXT, 1))
    secrets = KEY.public_bytes(Encoding.PEM, PublicFormat.SubjectPublicKeyInfo)
    return f"{body}.{pack(hmac.digest(secrets, body.encode(), 'sha256'))}".encode()


BAD = {
    "swapped name": (_swapped(), "signature does not fit"),
    "another person's key": (
        certificate.write_certificate(FACTS, STRANGER).encode(),
        "signature does not fit",
    ),
    "alg none": (f"{pack({'alg': 'none'})}.{TEXT.split('.')[1]}.".encode(), "method 'none'"),
    "no signature": (f"{TEXT.rsplit('.', 1)[0]}.".encode(), "no signature"),
    "public key as a shared secret": (_by_shared_secret(), "method 'HS256'"),
    "another kind of key": (signed(part(TEXT, 1), alg="ES256"), "method 'ES256'"),
    "RS256 named, Ed25519 signed": (signed(part(TEXT, 1), alg="RS256"), "signature does not fit"),
    "asks for something unknown": (signed(part(TEXT, 1), crit=["b64"], b64=False), "does not know"),
    "10 MB": (b"e" * 10 * 2**20, "too large"),
    "cut in the middle": (TEXT[: len(TEXT) // 2].encode(), "cut off"),
    "cut in its signature": (TEXT[:-9].encode(), "cannot be read"),
    "not UTF-8": (b"\xff\xfe" + TEXT.encode(), "no plain text"),
    "empty": (b"", "cut off"),
    "claims of another": (signed({**part(TEXT, 1), "sub": "urn:uuid:x"}), "claim 'sub'"),
    "longer than it says": (signed({**part(TEXT, 1), "exp": 9999999999}), "claim 'exp'"),
}


@pytest.mark.parametrize("name", BAD)
def test_each_forgery_gets_one_clear_line(name):
    data, told = BAD[name]
    with pytest.raises(BadData, match=told) as caught:
        read(data)
    assert "\n" not in str(caught.value)


def test_without_a_key_a_swapped_name_is_found_and_a_private_or_weak_key_is_refused():
    with pytest.raises(BadData, match="signature does not fit"):
        read(_swapped(), ())
    own = part(TEXT, 0)["jwk"]
    with pytest.raises(BadData, match="private key"):
        read(signed(part(TEXT, 1), jwk={**own, "d": "AA"}), ())
    with pytest.raises(BadData, match="fit many messages"):
        read(signed(part(TEXT, 1), jwk={**own, "x": pack(bytes(32))}), ())
    with pytest.raises(BadData, match="'EC'"):
        read(signed(part(TEXT, 1), jwk={"kty": "EC"}), ())


def test_it_holds_from_its_first_moment_until_its_last():
    read(TEXT, now=FACTS.given)
    read(TEXT, now=FACTS.until - timedelta(seconds=1))
    with pytest.raises(BadData, match="ran out on 2026-08-29"):
        read(TEXT, now=FACTS.until)
    with pytest.raises(BadData, match="only from 2026-03-02"):
        read(TEXT, now=FACTS.given - timedelta(seconds=1))


def test_a_list_takes_back_a_certificate_or_a_key_and_is_signed_itself():
    for taken, told in (((FACTS.id,), ()), "taken back"), (((), (SIGNER.key_id,)), "was retired"):
        text = certificate.write_revoked(RevocationList(NOW, *taken), STRANGER)
        other = signed_token.read_public_key(STRANGER.public)
        with pytest.raises(BadData, match=told):
            read(TEXT, revoked=certificate.read_revoked(text.encode(), (KEY, other)))
        with pytest.raises(BadData, match="signature does not fit"):
            certificate.read_revoked(text.encode(), (KEY,))
        with pytest.raises(BadData, match="--issuer"):
            certificate.read_revoked(text.encode(), ())
    with pytest.raises(BadData, match="no list"):
        certificate.read_revoked(TEXT.encode(), (KEY,))


def test_rs256_of_another_system_is_read_and_a_short_key_refused(tmp_path):
    private = rsa.generate_private_key(65537, 2048)
    text = jwt.encode(part(TEXT, 1), private, "RS256")
    pem = tmp_path / "issuer.pem"
    pem.write_bytes(private.public_key().public_bytes(Encoding.PEM, PublicFormat.SubjectPublicKeyInfo))
    key = signed_token.read_public_key(str(pem))
    assert read(text, (key,)).person_name == "Tam Ferris"
    with pytest.raises(BadData, match="signature does not fit"):
        read(text)
    short = rsa.generate_private_key(65537, 1024).public_key()
    pem.write_bytes(short.public_bytes(Encoding.PEM, PublicFormat.SubjectPublicKeyInfo))
    with pytest.raises(BadData, match="1024 bits"):
        signed_token.read_public_key(str(pem))


# RFC 8037, appendix A.4 (Ed25519). Key and message from memory: the text was not seen. The signature is
# worked out from the private key of A.1, by cryptography: it is no figure from outside.
ED25519_KEY = "11qYAYKxCrfVS_7TyWQHOg7hcvPapiMlrwIaaPcHURo"
ED25519_TOKEN = (
    "eyJhbGciOiJFZERTQSJ9.RXhhbXBsZSBvZiBFZDI1NTE5IHNpZ25pbmc."
    "hgyY0il_MGCjP0JzlnLWG1PPOt7-09PGcvMg3AIbQR6dWbhijcNR4ki4iylGjg5BhVsPt9g7sVvpAr_MuM0KAg"
)
# RFC 7515, appendix A.2 (RS256). From memory: the text was not seen. A slip of memory could not verify.
RSA_KEY = (
    "ofgWCuLjybRlzo0tZWJjNiuSfb4p4fAkd_wWJcyQoTbji9k0l8W26mPddxHmfHQp-Vaw-4qPCJrcS2mJPMEzP1Pt0Bm4d4QlL-yRT-"
    "SFd2lZS-pCgNMsD1W_YpRPEwOWvG6b32690r2jZ47soMZo9wGzjb_7OMg0LOL-bSf63kpaSHSXndS5z5rexMdbBYUsLA9e-KXBdQOS-"
    "UTo7WTBEMa2R2CapHg665xsmtdVMTBQY4uDZlxvb3qCo5ZwKh9kG4LT6_I5IhlJH7aGhyxXFvUK-DWNmoudF8NAco9_h9iaGNj8q2et"
    "hFkMLs91kzk2PAcDTW9gb54h4FRWyuXpoQ"
)
RSA_TOKEN = (
    "eyJhbGciOiJSUzI1NiJ9."
    "eyJpc3MiOiJqb2UiLA0KICJleHAiOjEzMDA4MTkzODAsDQogImh0dHA6Ly9leGFtcGxlLmNvbS9pc19yb290Ijp0cnVlfQ."
    "cC4hiUPoj9Eetdgtv3hF80EGrhuB__dzERat0XF9g2VtQgr9PJbu3XOiZj5RZmh7AAuHIm4Bh-0Qc_lF5YKt_O8W2Fp5jujGbds9uJdb"
    "F9CUAr7t1dnZcAcQjbKBYNX4BAynRFdiuB--f_nZLgrnbyTyWzO75vRK5h6xBArLIARNPvkSjtQBMHlb1L07Qe7K0GarZRmB_eSN9383"
    "LcOLn6_dO--xi12jzDwusC-eOkHWEsqtFZESc6BfI7noOPqvhJ1phCnvWh6IeYI2w9QOYEUipUTI8np6LbgGY9Fs98rqVt5AXLIhWkWy"
    "wlVmtVrBp0igcN_IoypGlUPQGe77Rw"
)


def test_the_published_signatures_fit_their_keys(tmp_path):
    file = tmp_path / "key.jwk"
    file.write_text(json.dumps({"kty": "RSA", "n": RSA_KEY, "e": "AQAB"}))
    said, _ = signed_token.open_signed(RSA_TOKEN.encode(), (signed_token.read_public_key(str(file)),), "A.2")
    assert said["iss"] == "joe" and said["exp"] == 1300819380
    file.write_text(json.dumps({"kty": "OKP", "crv": "Ed25519", "x": ED25519_KEY}))
    key = signed_token.read_public_key(str(file))
    assert isinstance(key, Ed25519PublicKey)
    with pytest.raises(BadData, match="JSON"):  # its words are no JSON: so the signature was passed
        signed_token.open_signed(ED25519_TOKEN.encode(), (key,), "A.4")
    with pytest.raises(BadData, match="signature does not fit"):
        signed_token.open_signed(ED25519_TOKEN.replace("RXh", "RXg").encode(), (key,), "A.4")
