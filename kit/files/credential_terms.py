"""What the names in a credential mean: looked up in the standard's two contexts, which come with the kit.

JSON-LD gives a name a meaning by contexts: those that a document names, and more that hold inside a type or
inside a member. A name without a meaning is passed over by other programs, so a certificate should have none.
No network is used. See ``contexts/licences.txt`` for where the two files are from.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from importlib.resources import files
from typing import Any

from kit.basics.data_files import json_of

CONTEXTS = (
    "https://www.w3.org/ns/credentials/v2",
    "https://purl.imsglobal.org/spec/ob/v3p0/context-3.0.3.json",
)
"""The contexts of an Open Badges 3.0 credential, in their order."""
_FILES = dict(zip(CONTEXTS, ("credentials_v2.json", "open_badges_3_0_3.json"), strict=True))
_CLAIMS = frozenset({"iss", "sub", "aud", "exp", "nbf", "iat", "jti", "cnf"})
"""Names of the signed token itself (RFC 7519), which stand beside the credential's own."""
_Terms = Mapping[str, Any]


def undefined_terms(credential: Mapping[str, Any], contexts: Sequence[str] = CONTEXTS) -> tuple[str, ...]:
    """Return the members and types to which the contexts give no meaning, each with its place.

    Parameters
    ----------
    credential : Mapping
        A credential, perhaps with the claims of a signed token at its top.
    contexts : sequence of str
        Which of the contexts that come with the kit hold.

    Raises
    ------
    KeyError
        If a context does not come with the kit.

    Examples
    --------
    >>> said = {"type": ["VerifiableCredential", "OpenBadgeCredential"], "id": "urn:uuid:1"}
    >>> undefined_terms(said), undefined_terms({**said, "grade": "A", "type": ["Medal"]})
    ((), ('type Medal', 'grade'))
    """
    terms: dict[str, Any] = {}
    for each in contexts:
        terms |= context(each)
    claimed = {name: value for name, value in credential.items() if name not in _CLAIMS}
    return tuple(dict.fromkeys(_undefined(claimed, terms, "")))


@cache
def context(address: str) -> _Terms:
    """Return the terms of a context that comes with the kit."""
    data = (files("kit.files") / "contexts" / _FILES[address]).read_bytes()
    return _terms_of(json_of(data, _FILES[address])["@context"])


def _terms_of(given: Any) -> dict[str, Any]:
    """Return the terms of a context within another: a table, or several one after the other."""
    if isinstance(given, Mapping):
        return {name: means for name, means in given.items() if not name.startswith("@")}
    if isinstance(given, list):
        return {name: means for each in given for name, means in _terms_of(each).items()}
    return {}


def _undefined(node: Any, terms: _Terms, where: str) -> Iterator[str]:
    """Walk through a value. What a type adds holds for its own members alone, what a member adds below it."""
    if isinstance(node, list):
        for each in node:
            yield from _undefined(each, terms, where)
        return
    if not isinstance(node, Mapping):
        return
    kinds = node.get("type", [])
    names = sorted(map(str, kinds)) if isinstance(kinds, list) else [str(kinds)]
    here = dict(terms)
    for name in names:
        if name not in terms:
            yield f"{where}type {name}"
        elif isinstance(terms[name], Mapping):
            here |= _terms_of(terms[name].get("@context"))
    for name, value in node.items():
        if name.startswith("@"):
            continue
        means = here.get(name)
        if means is None:
            yield f"{where}{name}"
        elif not isinstance(means, Mapping):
            yield from _undefined(value, terms, f"{where}{name}.")
        elif means.get("@type") != "@json":
            below = {**terms, **_terms_of(means.get("@context"))}
            yield from _undefined(value, below, f"{where}{name}.")
