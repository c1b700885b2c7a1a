"""Signing keys: made once, sealed under a password, mended with a printed recovery code.

A tutor or a verifier holds an Ed25519 key. Its private half is sealed twice, with ChaCha20-Poly1305: once
under the password, once under the recovery code, each stretched by scrypt with a salt of its own. The file
holds both seals and the public half. Nobody can sign with the file alone.

When something is lost:

- The password: ``reset_password`` with the recovery code. The key stays the same.
- The recovery code: the password still signs. Make a new key when it suits, and retire this one.
- Both, or the file: nobody can open this key again. Retire it and register a new one. What it signed before
  can still be checked, because checking needs the public half alone.
"""

import hashlib
import json
import re
import secrets
import unicodedata
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Annotated, Any, Literal

from cryptography.exceptions import InvalidTag
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from cryptography.hazmat.primitives.ciphers.aead import ChaCha20Poly1305
from cryptography.hazmat.primitives.kdf.scrypt import Scrypt
from msgspec import Meta
from nacl.bindings import crypto_sign_open
from nacl.exceptions import BadSignatureError

from kit.basics.atomic_files import make_private_folder, write_private
from kit.basics.data_files import build, json_of
from kit.basics.errors import BadData, KitError, OutOfRange
from kit.basics.given_files import read_given
from kit.files.passwords import check_password
from kit.files.refusals import saving

COST = 2**16  # scrypt with r = 8: 64 MB and about 0.2 s a try
MAX_KEY_FILE_BYTES = 16 * 1024
COSTS = frozenset(2**power for power in range(14, 21))
"""What a key file may ask for: more would be slow, or take more memory than a machine has."""
_TITLE, _SCHEMA = "signing key", 1
_ALPHABET = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"  # no I, L, O or U: they are misread
_MISREAD = str.maketrans("ILO", "110")
_GROUPS, _DATA = 6, 4  # six groups of four symbols of 5 bits: 120 bits; a fifth symbol checks its group
Purpose = Literal["password", "recovery code", "PIN"]
"""What a seal is for: it is tied to it, so that seals cannot be exchanged."""

_ORDER_8 = ("26e8958fc2b227b045c3f489f2ef98f0d5dfac05d3c63339b13802886d53fc", "05", "85")
_ORDER_8_TOO = ("c7176a703d4dd84fba3c0b760d10670f2a2053fa2c39ccc64ec7fd7792ac03", "7a", "fa")
_FEW = [("00" * 31, "00", "80"), ("01" + "00" * 30, "00", "80"), _ORDER_8, _ORDER_8_TOO]
_FEW += [(first + "ff" * 30, "7f", "ff") for first in ("ec", "ed", "ee")]
WEAK = frozenset(most + end for most, *ends in _FEW for end in ends)
"""Public keys under which one signature fits many messages: nobody could be held to it. The points of order 8
or less, in every way to write them; from memory, each shown to be weak in the tests."""


def _hex(size: int) -> Meta:
    return Meta(pattern=rf"\A[0-9a-f]{{{2 * size}}}\Z", description=f"{2 * size} lower-case hex digits")


KeyHex = Annotated[str, _hex(32)]


class WrongPassword(KitError):
    """A key does not open with what was typed. It never says more than that.

    Examples
    --------
    >>> print(WrongPassword("password", "21fe31dfa154a261"))
    The key 21fe31dfa154a261 does not open with this password.
    """

    def __init__(self, what: Purpose, key_id: str) -> None:
        self.what, self.key_id = what, key_id
        super().__init__(f"The key {key_id} does not open with this {what}.")


@dataclass(frozen=True)
class Seal:
    """The private half, sealed under one secret. All in hex, but ``cost``, which is scrypt's n."""

    salt: Annotated[str, _hex(16)]
    nonce: Annotated[str, _hex(12)]
    sealed: Annotated[str, _hex(48)]
    cost: int


@dataclass(frozen=True)
class SealedKey:
    """A key at rest: the public half in hex, and the private half sealed under two secrets."""

    public: KeyHex
    by_password: Seal
    by_code: Seal

    @property
    def key_id(self) -> str:
        """The first 16 hex digits of the SHA-256 of the raw public half."""
        return key_id_of(self.public)


class Signer:
    """An open key. It lives in memory only, and shows its private half to nobody.

    Examples
    --------
    >>> sealed, code = make_key("a long password", cost=2**14)
    >>> signer = unseal_key(sealed, "a long password")
    >>> check(signer.public, b"signed off", signer.sign(b"signed off"))
    True
    """

    def __init__(self, private: Ed25519PrivateKey) -> None:
        self._private = private
        self.public = private.public_key().public_bytes_raw().hex()
        self.key_id = key_id_of(self.public)

    def __repr__(self) -> str:
        return f"Signer({self.key_id})"

    def sign(self, message: bytes) -> str:
        """Return the signature over ``message``: 64 bytes in hex. The same message gives the same one."""
        return self._private.sign(message).hex()


def key_id_of(public: str) -> str:
    """Return the short name of a public half: the first 16 hex digits of the SHA-256 of its 32 bytes.

    Raises
    ------
    BadData
        If ``public`` is not 64 lower-case hex digits.

    Examples
    --------
    >>> key_id_of("00" * 32)
    '66687aadf862bd77'
    """
    return hashlib.sha256(_unhex(public, 32, "the public key")).hexdigest()[:16]


def make_key(password: str, *, cost: int = COST) -> tuple[SealedKey, str]:
    """Return a new key, sealed, and its recovery code, which is kept nowhere: print it.

    Parameters
    ----------
    password : str
        See ``check_password``.
    cost : int
        scrypt's n: a power of two from 16,384 to 1,048,576. It is kept in the file.

    Raises
    ------
    OutOfRange
        If the password is too short or too long, or ``cost`` is none of those.

    Examples
    --------
    >>> sealed, code = make_key("a long password", cost=2**14)
    >>> len(sealed.key_id), len(sealed.public), len(code.split("-"))
    (16, 64, 6)
    """
    tidy = check_password(password)
    _check_cost(cost)
    private = Ed25519PrivateKey.generate()
    raw, public = private.private_bytes_raw(), private.public_key().public_bytes_raw().hex()
    code = _code(secrets.randbits(5 * _GROUPS * _DATA))
    sealed = SealedKey(
        public,
        by_password=seal_private(raw, public, tidy, "password", cost),
        by_code=seal_private(raw, public, read_code(code), "recovery code", cost),
    )
    return sealed, code


def unseal_key(sealed: SealedKey, password: str) -> Signer:
    """Return the open key.

    Raises
    ------
    WrongPassword
        If the password does not open it.
    BadData
        If it opens, but to another key than the file names.
    """
    tidy = unicodedata.normalize("NFC", password)
    return Signer(open_private(sealed.public, sealed.by_password, tidy, "password"))


def reset_password(sealed: SealedKey, code: str, new_password: str) -> SealedKey:
    """Return the same key under a new password. The recovery code stays as it is.

    Raises
    ------
    BadData
        If the code has a typing slip; the message names the group.
    WrongPassword
        If it is a whole code, but of another key.
    OutOfRange
        If the new password is too short or too long.

    Examples
    --------
    >>> sealed, code = make_key("a long password", cost=2**14)
    >>> mended = reset_password(sealed, code.lower(), "another password")
    >>> unseal_key(mended, "another password").key_id == sealed.key_id
    True
    """
    tidy = check_password(new_password)
    private = open_private(sealed.public, sealed.by_code, read_code(code), "recovery code")
    cost = sealed.by_password.cost
    return replace(
        sealed, by_password=seal_private(private.private_bytes_raw(), sealed.public, tidy, "password", cost)
    )


def check(public: str, message: bytes, signature: str) -> bool:
    """Return whether ``signature`` is that of ``public`` over exactly ``message``.

    Anything that is not a key or a signature in lower-case hex is no signature: False, never an error. So is
    anything under one of the ``WEAK`` keys.

    Examples
    --------
    >>> check("00" * 32, b"signed off", "no signature")
    False
    """
    if public in WEAK:
        return False
    try:
        raw, mark = _unhex(public, 32, "the public key"), _unhex(signature, 64, "the signature")
        crypto_sign_open(mark + message, raw)  # half the time of OpenSSL's: a long chain has many
    except (BadSignatureError, ValueError):  # BadData is a ValueError too
        return False
    return True


def write_key(path: Path, sealed: SealedKey) -> None:
    """Write a sealed key to a small file that only its owner may read, in full or not at all.

    Raises
    ------
    NotSaved
        If the disk refuses. Whatever was at ``path`` before is still there.
    """
    facts = {"smokehouse": _TITLE, "schema": _SCHEMA, "key_id": sealed.key_id, "public": sealed.public}
    facts |= {"by_password": vars(sealed.by_password), "by_code": vars(sealed.by_code)}
    text = json.dumps({**facts, "sum": _sum(facts)}, indent=1)
    with saving("The key"):
        make_private_folder(path.parent)
        write_private(path, text.encode("ascii") + b"\n")


def read_key(path: Path) -> SealedKey:
    """Return the sealed key in a file that ``write_key`` wrote.

    Raises
    ------
    BadData
        If there is no such file, it is not a key file, or it is damaged.
    """
    where = path.name
    facts = json_of(read_given(path, "a key file", MAX_KEY_FILE_BYTES), where, "a whole key file")
    if facts.get("smokehouse") != _TITLE:
        raise BadData(where, "this is not a whole key file", "a file that `smokehouse key new` wrote")
    if facts.get("schema") != _SCHEMA:
        raise BadData(where, "it was written by a newer kit", f"schema {_SCHEMA}", "Update this kit.")
    if facts.pop("sum", None) != _sum(facts):
        raise BadData(where, "this key file is damaged", "the file as it was written", "Take a copy of it.")
    sealed = build(SealedKey, facts, where, more=True)
    for seal in (sealed.by_password, sealed.by_code):
        try:
            _check_cost(seal.cost)
        except OutOfRange as error:
            raise BadData(where, str(error).rstrip("."), "a file that `smokehouse key new` wrote") from None
    return sealed


def read_code(code: str) -> str:
    """Return a recovery code as its 24 symbols, without the checks. Small letters and spaces are fine.

    Raises
    ------
    BadData
        If it is not whole, or a group does not agree with its check. The message names the first such group.

    Examples
    --------
    >>> read_code("00000 00001 00002 00003 00004 00005")
    '000000000000000000000000'
    >>> read_code("0000o-00001-00002-00030-00004-00005")
    Traceback (most recent call last):
    ...
    kit.basics.errors.BadData: the recovery code: group 4 is mistyped. Expected: 6 groups of 5 letters and
    digits, as printed.
    """
    expected = f"{_GROUPS} groups of {_DATA + 1} letters and digits, as printed"
    symbols = re.sub(r"[\s\-–]", "", code).upper().translate(_MISREAD)
    if len(symbols) != _GROUPS * (_DATA + 1):
        raise BadData("the recovery code", f"it has {len(symbols)} letters and digits", expected)
    found = ""
    for turn in range(_GROUPS):
        group = symbols[turn * (_DATA + 1) :][: _DATA + 1]
        if not set(group) <= set(_ALPHABET) or group[-1] != _group_check(group[:-1], turn):
            raise BadData("the recovery code", f"group {turn + 1} is mistyped", expected)
        found += group[:-1]
    return found


def _code(number: int) -> str:
    """Return 120 random bits as six groups of five symbols, as printed."""
    symbols = [_ALPHABET[(number >> (5 * place)) & 31] for place in range(_GROUPS * _DATA)]
    groups = ["".join(symbols[_DATA * turn :][:_DATA]) for turn in range(_GROUPS)]
    return "-".join(group + _group_check(group, turn) for turn, group in enumerate(groups))


def _group_check(group: str, turn: int) -> str:
    """Return the check of a group: it differs for one changed symbol, two swapped, and groups swapped.

    Horner's rule in the field of 32 elements, x⁵ = x² + 1; the group's place is added at the end.
    """
    total = 0
    for symbol in group:
        total ^= _ALPHABET.index(symbol)
        total <<= 1
        total ^= 0b100101 if total & 32 else 0
    return _ALPHABET[total ^ turn]


def seal_private(raw: bytes, public: str, secret: str, purpose: Purpose, cost: int) -> Seal:
    """Return the 32 bytes of a private half, sealed under a secret."""
    salt, nonce = secrets.token_bytes(16), secrets.token_bytes(12)
    box = ChaCha20Poly1305(_stretch(secret, salt, cost))
    return Seal(salt.hex(), nonce.hex(), box.encrypt(nonce, raw, _bound_to(public, purpose)).hex(), cost)


def open_private(public: str, seal: Seal, secret: str, purpose: Purpose) -> Ed25519PrivateKey:
    """Return the private half of a public key that was sealed under a secret.

    Raises
    ------
    WrongPassword
        If the secret does not open it.
    BadData
        If it opens, but to another key.
    """
    box = ChaCha20Poly1305(_stretch(secret, bytes.fromhex(seal.salt), seal.cost))
    nonce, kept = bytes.fromhex(seal.nonce), bytes.fromhex(seal.sealed)
    try:
        private = Ed25519PrivateKey.from_private_bytes(box.decrypt(nonce, kept, _bound_to(public, purpose)))
    except InvalidTag:
        raise WrongPassword(purpose, key_id_of(public)) from None
    if private.public_key().public_bytes_raw().hex() != public:
        raise BadData(f"key {key_id_of(public)}", "its two halves do not belong together")
    return private


def _stretch(secret: str, salt: bytes, cost: int) -> bytes:
    return Scrypt(salt=salt, length=32, n=cost, r=8, p=1).derive(secret.encode("utf-8", "surrogatepass"))


def _bound_to(public: str, purpose: Purpose) -> bytes:
    """Return what ties a seal to its key and its purpose, so that seals cannot be exchanged."""
    return f"smokehouse {_TITLE} {_SCHEMA}, {purpose}, {public}".encode("ascii")


def _sum(facts: dict[str, Any]) -> str:
    return hashlib.sha256(json.dumps(facts, sort_keys=True).encode("ascii")).hexdigest()


def _check_cost(cost: object) -> int:
    if isinstance(cost, int) and cost in COSTS:
        return cost
    raise OutOfRange("the cost", cost, f"a power of two from {min(COSTS)} to {max(COSTS)}")


def _unhex(text: str, size: int, where: str) -> bytes:
    if not re.fullmatch(f"[0-9a-f]{{{2 * size}}}", text):
        raise BadData(where, "it is damaged", f"{2 * size} lower-case hex digits")
    return bytes.fromhex(text)
