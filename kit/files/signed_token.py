"""A signed token in one line of text (RFC 7515, RFC 8037): written with Ed25519, read with Ed25519 or RS256.

Only the method that belongs to the key is tried, so a token cannot choose how it is checked.
"""

from __future__ import annotations

import json
from base64 import urlsafe_b64decode, urlsafe_b64encode
from binascii import Error as NotBase64
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, Protocol

from cryptography.exceptions import UnsupportedAlgorithm
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey
from cryptography.hazmat.primitives.asymmetric.rsa import RSAPublicKey, RSAPublicNumbers
from cryptography.hazmat.primitives.serialization import load_pem_public_key

from kit.basics.data_files import json_of
from kit.basics.errors import BadData, KitError
from kit.basics.given_files import read_given
from kit.files.signing import WEAK

MAX_CERTIFICATE_BYTES = 64 * 1024
LEAST_RSA_BITS = 2048  # RFC 7518, section 3.3: from memory
_WHOLE = "a certificate as it was written: one line in three parts"
PublicKey = Ed25519PublicKey | RSAPublicKey


class MissingLibrary(KitError):
    """The optional library that reads certificates is not installed."""


class SignsBytes(Protocol):
    """An open Ed25519 key."""

    @property
    def public(self) -> str:
        """The public half, in hex."""

    def sign(self, message: bytes) -> str:
        """Return the signature over a message, in hex."""


def write_signed(key: SignsBytes, kind: str, said: Mapping[str, Any]) -> str:
    """Return a compact token signed with Ed25519 (RFC 7515, section 3.1; RFC 8037, section 3.1)."""
    header = {"alg": "EdDSA", "typ": kind, "kid": did_of(key.public) + "#0", "jwk": _jwk(key.public)}
    signed = ".".join(_packed(json.dumps(part, separators=(",", ":")).encode()) for part in (header, said))
    return f"{signed}.{_packed(bytes.fromhex(key.sign(signed.encode('ascii'))))}"


def _jwk(public: str) -> dict[str, str]:
    return {"crv": "Ed25519", "kty": "OKP", "x": _packed(bytes.fromhex(public))}


def did_of(public: str) -> str:
    """Return a name that is the key itself, so that nothing has to be looked up."""
    return "did:jwk:" + _packed(json.dumps(_jwk(public), separators=(",", ":")).encode())


def open_signed(data: bytes, keys: Sequence[PublicKey], where: str) -> tuple[dict[str, Any], PublicKey]:
    """Return what a signed token says, and the key that it fits: one of ``keys``, or else its own."""
    try:
        import jwt
    except ImportError:
        raise MissingLibrary(
            "Checking a certificate needs PyJWT: pip install 'smokehouse-kit[certificates]'."
        ) from None
    header, token = _header(data, where)
    for key in keys or (_own_key(header, where),):
        needed = "EdDSA" if isinstance(key, Ed25519PublicKey) else "RS256"
        if needed != header["alg"]:
            continue
        try:
            payload = jwt.PyJWS(algorithms=[needed]).decode(token, key, algorithms=[needed])
        except jwt.InvalidSignatureError:
            continue
        except jwt.PyJWTError as error:
            raise BadData(where, f"it cannot be read ({error})", _WHOLE) from None
        return json_of(payload, where), key
    cause = "It was changed after it was signed, or somebody else signed it."
    raise BadData(where, "its signature does not fit the key", "", cause)


def read_public_key(given: str) -> PublicKey:
    """Return a public key from 64 hex digits, as `smokehouse key list` prints, or from a PEM or JWK file.

    Raises
    ------
    BadData
        If it is no such key, a private one, or a weak one.

    Examples
    --------
    >>> read_public_key("00" * 32)
    Traceback (most recent call last):
    ...
    kit.basics.errors.BadData: the key: one signature would fit many messages. Expected: another key.
    """
    if len(given) == 64 and not set(given.lower()) - set("0123456789abcdef"):
        return _sound(Ed25519PublicKey.from_public_bytes(bytes.fromhex(given)), "the key")
    expected = "64 digits of 0-9 and a-f, or a file with a public key"
    data = read_given(Path(given), expected, MAX_CERTIFICATE_BYTES)
    if data.lstrip().startswith(b"{"):
        return _of_jwk(json_of(data, given), given)
    try:
        made = load_pem_public_key(data)
    except (ValueError, UnsupportedAlgorithm):
        raise BadData(given, "it holds no public key", expected) from None
    return _sound(made, given)


def _header(data: bytes, where: str) -> tuple[dict[str, Any], str]:
    if len(data) > MAX_CERTIFICATE_BYTES:
        raise BadData(where, f"it is too large: more than {MAX_CERTIFICATE_BYTES // 1024} KB", _WHOLE)
    try:
        token = data.decode("ascii").strip()
    except UnicodeDecodeError:
        raise BadData(where, "it holds bytes that are no plain text", _WHOLE) from None
    parts = token.split(".")
    if len(parts) != 3 or not all(parts[:2]):
        raise BadData(where, "it is cut off, or no certificate", _WHOLE)
    header = json_of(_unpacked(parts[0], where), where)
    if header.get("alg") not in ("EdDSA", "RS256"):
        shown = repr(header.get("alg"))[:40]
        raise BadData(
            where, f"it is signed by the method {shown}, which proves nothing here", "EdDSA or RS256"
        )
    if "crit" in header or "b64" in header:
        raise BadData(where, "its header asks for something that this kit does not know", _WHOLE)
    if not parts[2]:
        raise BadData(where, "it has no signature", _WHOLE)
    return header, token


def _own_key(header: Mapping[str, Any], where: str) -> PublicKey:
    if not isinstance(header.get("jwk"), dict):
        raise BadData(where, "it does not carry its key", "--issuer KEY")
    return _of_jwk(header["jwk"], where)


def _of_jwk(jwk: Mapping[str, Any], where: str) -> PublicKey:
    if "d" in jwk:
        raise BadData(where, "it shows a private key: nobody can be held to that key any more")
    names = {"OKP": ("x",), "RSA": ("e", "n")}.get(str(jwk.get("kty")))
    if names is None or (names == ("x",) and jwk.get("crv") != "Ed25519"):
        kind = str(jwk.get("crv") or jwk.get("kty"))[:20]
        raise BadData(where, f"its key is of the kind {kind!r}", "an Ed25519 or RSA key")
    parts = [_unpacked(str(jwk.get(name, "")), where) for name in names]
    try:
        made: object = (
            Ed25519PublicKey.from_public_bytes(parts[0])
            if len(parts) == 1
            else RSAPublicNumbers(*(int.from_bytes(part) for part in parts)).public_key()
        )
    except ValueError:
        raise BadData(where, "its key is damaged", "a whole Ed25519 or RSA key") from None
    return _sound(made, where)


def _sound(key: object, where: str) -> PublicKey:
    """Return a key of a kind that is read here, and strong enough."""
    if isinstance(key, RSAPublicKey):
        if key.key_size < LEAST_RSA_BITS:
            raise BadData(
                where, f"an RSA key of {key.key_size} bits is too short", f"{LEAST_RSA_BITS} or more"
            )
        return key
    if not isinstance(key, Ed25519PublicKey):
        raise BadData(where, "it is a key of another kind", "an Ed25519 or RSA key")
    if key.public_bytes_raw().hex() in WEAK:
        raise BadData(where, "one signature would fit many messages", "another key")
    return key


def _packed(data: bytes) -> str:
    return urlsafe_b64encode(data).rstrip(b"=").decode("ascii")


def _unpacked(text: str, where: str) -> bytes:
    try:
        return urlsafe_b64decode(text + "=" * (-len(text) % 4))
    except (NotBase64, ValueError):
        raise BadData(where, "it is damaged", _WHOLE) from None
