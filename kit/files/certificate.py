"""A certificate that another kitchen can check: an Open Badges 3.0 credential as a signed token (VC-JWT).

The file is one line of text: header, credential and signature. It is written with Ed25519 (``EdDSA``) by the
key of the person who gives it; ``RS256`` is read too. Nothing here uses the network. The two contexts that a
certificate names come with the kit, so what each name in it means is looked up here. The members that the
standard requires are held to the shapes below; the standard's own JSON Schema is not bundled.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

from kit.basics.data_files import build
from kit.basics.errors import BadData
from kit.criteria import steps
from kit.files.credential_terms import CONTEXTS, undefined_terms
from kit.files.signed_token import PublicKey, SignsBytes, did_of, open_signed, write_signed
from kit.files.signing import key_id_of

TYPES = ("VerifiableCredential", "OpenBadgeCredential")
_TYPE, _LIST_TYPE = "JWT", "smokehouse-revoked+jwt"
_OURS = "urn:smokehouse:"


@dataclass(frozen=True)
class CertificateFacts:
    """What a certificate says. Days and times are UTC; ``criteria`` are ids with their words.

    ``step`` is the id of a step; for a unit, the ids of its steps and single criteria, joined by ``+``.
    """

    id: str
    person_name: str
    kitchen_name: str
    step: str
    step_title: str
    criteria: Mapping[str, str]
    given: datetime
    until: datetime


@dataclass(frozen=True)
class _Issuer:
    id: str
    name: str
    type: list[str]


@dataclass(frozen=True)
class _Criteria:
    narrative: str


@dataclass(frozen=True)
class _Achievement:
    id: str
    type: list[str]
    name: str
    description: str
    criteria: _Criteria


@dataclass(frozen=True)
class _Identity:
    type: str
    hashed: bool
    identityHash: str
    identityType: str


@dataclass(frozen=True)
class _Subject:
    id: str
    type: list[str]
    achievement: _Achievement
    identifier: list[_Identity] = field(default_factory=list)


@dataclass(frozen=True)
class _Credential:
    id: str
    type: list[str]
    issuer: _Issuer
    validFrom: str
    credentialSubject: _Subject
    validUntil: str = ""


@dataclass(frozen=True)
class RevocationList:
    """Which certificates do not hold any more, and which keys were retired, at one moment."""

    written: datetime
    certificates: tuple[str, ...]
    keys: tuple[str, ...]


@dataclass(frozen=True)
class CertificateReading:
    """A certificate whose signature fits. ``says`` tells what else was checked.

    ``kind`` is ``step`` or ``unit`` where this kit wrote it. ``undefined`` are names in it to which the
    standard's contexts give no meaning.
    """

    id: str
    person_name: str
    issuer_name: str
    achievement: str
    narrative: str
    valid_from: datetime
    valid_until: datetime | None
    key_id: str
    issuer_known: bool
    revocation_checked: datetime | None
    kind: str = ""
    undefined: tuple[str, ...] = ()

    @property
    def says(self) -> str:
        """What was checked, and what was not, in one line."""
        issuer = "issuer known by its key" if self.issuer_known else "issuer unknown"
        moment = self.revocation_checked
        checked = (
            "revocation not checked" if moment is None else f"not revoked by the list of {moment:%Y-%m-%d}"
        )
        return f"signature intact, {issuer}, {checked}"


def write_certificate(facts: CertificateFacts, key: SignsBytes) -> str:
    """Return a certificate, signed.

    Examples
    --------
    >>> from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
    >>> from kit.files.signing import Signer
    >>> signer = Signer(Ed25519PrivateKey.from_private_bytes(bytes(31) + b"1"))
    >>> start, end = datetime(2026, 3, 2, tzinfo=UTC), datetime(2027, 3, 2, tzinfo=UTC)
    >>> facts = CertificateFacts(
    ...     "urn:uuid:1", "Tam Ferris", "Skerry Smokehouse", "cook", "Cook", {"COK-P01": "Cooks."}, start, end
    ... )
    >>> text = write_certificate(facts, signer)
    >>> read_certificate(text.encode(), [], start).says
    'signature intact, issuer unknown, revocation not checked'
    """
    issuer, subject = did_of(key.public), f"{facts.id}#holder"
    narrative = " ".join(f"{name}: {words}" for name, words in facts.criteria.items())
    kind = "step" if facts.step in steps() else "unit"
    credential = {
        "@context": list(CONTEXTS),
        "id": facts.id,
        "type": list(TYPES),
        "name": f"Hot smoking: {facts.step_title}",
        "issuer": {"id": issuer, "type": ["Profile"], "name": facts.kitchen_name},
        "validFrom": _stamp(facts.given),
        "validUntil": _stamp(facts.until),
        "credentialSubject": {
            "id": subject,
            "type": ["AchievementSubject"],
            "identifier": [
                {
                    "type": "IdentityObject",
                    "hashed": False,
                    "identityHash": facts.person_name,
                    "identityType": "name",
                }
            ],
            "achievement": {
                "id": f"{_OURS}{kind}:{facts.step}",
                "type": ["Achievement"],
                "achievementType": "Competency",
                "name": facts.step_title,
                "description": f"Competent on every criterion of the {kind}: {', '.join(facts.criteria)}.",
                "criteria": {"narrative": narrative},
            },
        },
    }
    times = {"nbf": int(facts.given.timestamp()), "exp": int(facts.until.timestamp())}
    return write_signed(key, _TYPE, credential | {"iss": issuer, "jti": facts.id, "sub": subject} | times)


def write_revoked(revoked: RevocationList, key: SignsBytes) -> str:
    """Return the list of what does not hold any more, signed."""
    said = {"iss": did_of(key.public), "iat": int(revoked.written.timestamp())}
    said_too = {"revoked": list(revoked.certificates), "retired_keys": list(revoked.keys)}
    return write_signed(key, _LIST_TYPE, said | said_too)


def read_certificate(
    data: bytes,
    issuers: Sequence[PublicKey],
    now: datetime,
    revoked: RevocationList | None = None,
    where: str = "the certificate",
) -> CertificateReading:
    """Return what a certificate says, if it stands up.

    Parameters
    ----------
    data : bytes
        The file, at most 64 KB.
    issuers : sequence of public keys
        Keys that are trusted. With none, the key in the file itself is used, and the issuer stays unknown.
    now : datetime
        This moment, with its zone.
    revoked : RevocationList, optional
        What was taken back.
    where : str
        The file, for messages.

    Raises
    ------
    BadData
        If it is no whole certificate, was changed, is signed by another key or in another way, is not yet or
        no longer valid, or was taken back.
    MissingLibrary
        If PyJWT is not installed.
    """
    said, public = open_signed(data, issuers, where)
    contexts = said.get("@context")
    if not isinstance(contexts, list) or contexts[:2] != list(CONTEXTS):
        raise BadData(where, "it is no Open Badges 3.0 credential", "its two contexts, in their order")
    found = build(_Credential, said, where, more=True)
    if not set(TYPES) <= set(found.type):
        raise BadData(where, "it is no Open Badges 3.0 credential", f"the types {' and '.join(TYPES)}")
    _check_claims(said, found, where)
    start, end = _moment(found.validFrom, where), found.validUntil and _moment(found.validUntil, where)
    if now < start:
        raise BadData(
            where, f"it holds only from {start:%Y-%m-%d}", "", "Is the clock of this machine right?"
        )
    if end and now >= end:
        raise BadData(where, f"it ran out on {end:%Y-%m-%d}", "a certificate that holds today")
    key_id = _key_id(public)
    _check_revoked(found.id, key_id, revoked, where)
    names = [one.identityHash for one in found.credentialSubject.identifier if one.identityType == "name"]
    achievement = found.credentialSubject.achievement
    return CertificateReading(
        id=found.id,
        person_name=names[0] if names else "",
        issuer_name=found.issuer.name,
        achievement=achievement.name,
        narrative=achievement.criteria.narrative,
        valid_from=start,
        valid_until=end or None,
        key_id=key_id,
        issuer_known=bool(issuers),
        revocation_checked=None if revoked is None else revoked.written,
        kind=_kind_of(achievement.id),
        undefined=undefined_terms(said) if contexts == list(CONTEXTS) else (),
    )


def read_revoked(data: bytes, issuers: Sequence[PublicKey], where: str = "the list") -> RevocationList:
    """Return a list of what was taken back, signed by one of the trusted keys.

    Raises
    ------
    BadData
        If no key is given, or it is no such list.
    """
    if not issuers:
        raise BadData(where, "a list can be trusted only by the key of who signed it", "--issuer KEY")
    said, _ = open_signed(data, issuers, where)
    shapes = (said.get("revoked"), said.get("retired_keys"))
    if type(said.get("iat")) is not int or not all(isinstance(each, list) for each in shapes):
        raise BadData(where, "this is no list of revoked certificates", "a file of `certificate revoke`")
    written = datetime.fromtimestamp(said["iat"], UTC)
    return RevocationList(written, tuple(map(str, said["revoked"])), tuple(map(str, said["retired_keys"])))


def _check_claims(said: Mapping[str, Any], found: _Credential, where: str) -> None:
    """Refuse a token whose outer claims say something else than the credential within."""
    wanted: dict[str, object] = {"iss": found.issuer.id, "jti": found.id, "sub": found.credentialSubject.id}
    wanted["nbf"] = int(_moment(found.validFrom, where).timestamp())
    if found.validUntil or "exp" in said:
        wanted["exp"] = int(_moment(found.validUntil, where).timestamp())
    for name, value in wanted.items():
        if said.get(name) != value:
            raise BadData(where, f"its claim {name!r} does not fit the credential", f"{value!r}")


def _check_revoked(one: str, key_id: str, revoked: RevocationList | None, where: str) -> None:
    if revoked is None:
        return
    if one in revoked.certificates:
        raise BadData(where, f"it was taken back, by the list of {revoked.written:%Y-%m-%d}")
    if key_id in revoked.keys:
        cause = "Ask the kitchen for a new certificate."
        raise BadData(where, f"the key {key_id} that signed it was retired", "a key in use", cause)


def _kind_of(achievement_id: str) -> str:
    kind, _, part = achievement_id.removeprefix(_OURS).partition(":")
    return kind if achievement_id.startswith(_OURS) and kind in ("step", "unit") and part else ""


def _key_id(key: PublicKey) -> str:
    """Return the short name of an Ed25519 key; ``RSA`` for another."""
    return key_id_of(key.public_bytes_raw().hex()) if isinstance(key, Ed25519PublicKey) else "RSA"


def _moment(text: str, where: str) -> datetime:
    try:
        moment = datetime.fromisoformat(text)
        if moment.tzinfo is None:
            raise ValueError
    except ValueError:
        raise BadData(where, f"{text[:40]!r} is no moment with its zone", "2026-03-02T00:00:00Z") from None
    return moment


def _stamp(moment: datetime) -> str:
    return moment.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
