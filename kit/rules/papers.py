"""What must stand on paper where fish is sold: records to trace it by, and labels. Each with its source.

A paper has no limit that a record could be judged by, so it is no :class:`~kit.rules.model.Rule`: it says
what a text asks for, or that it does not ask for it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import Literal

from kit.basics.data_files import Text, build, shipped
from kit.basics.errors import BadData, UnknownName
from kit.rules.model import FROM_MEMORY, Source
from kit.rules.profile import Profile
from kit.rules.purposes import Pack

Subject = Literal["tracing", "label"]


@dataclass(frozen=True)
class PaperLaw:
    """Whose texts these are: the profiles that stand under them, and how a question names them."""

    id: Text
    says: Text
    profiles: tuple[str, ...]


@dataclass(frozen=True)
class PaperDuty:
    """One thing that a text asks for on paper, or that people think it does (``asked`` false).

    ``text`` is the thing in a few words, ``says`` why it is or is not asked for. ``pack`` names the packs it
    is for; none means any. ``exempt`` says that a kitchen without approval must leave it off, ``wild`` that
    it is for caught fish alone.
    """

    id: Text
    law: Text
    subject: Subject
    asked: bool
    text: Text
    says: Text
    source: Text
    locator: Text
    seen: bool
    pack: tuple[Pack, ...] = ()
    exempt: bool = False
    wild: bool = False

    def asked_of(self, *, approved: bool, caught: bool) -> bool:
        """Return whether this is asked of a house with approval or without, for caught or farmed fish.

        Examples
        --------
        >>> mark = next(each for each in papers("label", "eu") if each.exempt)
        >>> mark.asked_of(approved=True, caught=False), mark.asked_of(approved=False, caught=False)
        (True, False)
        """
        return self.asked and (approved or not self.exempt) and (caught or not self.wild)

    @property
    def label(self) -> str:
        """Empty if the text was read, else the warning to show beside it."""
        return "" if self.seen else FROM_MEMORY


@dataclass(frozen=True)
class _PaperFile:
    law: tuple[PaperLaw, ...]
    paper: tuple[PaperDuty, ...]
    source: dict[str, dict[str, str | bool]]


def papers(subject: Subject, law: str, *, pack: str = "") -> tuple[PaperDuty, ...]:
    """Return what one law asks for on paper, and what it does not ask for, on one subject.

    Parameters
    ----------
    subject : str
        ``tracing`` or ``label``.
    law : str
        An id of :func:`paper_laws`.
    pack : str
        Only what is for this pack; without it, only what is for any.

    Raises
    ------
    UnknownName
        If there is no such law.

    Examples
    --------
    >>> [each.id for each in papers("tracing", "us") if each.asked][:2]
    ['us-trace-time', 'us-trace-signed']
    """
    if law not in paper_laws():
        raise UnknownName("law", law, paper_laws())
    return tuple(
        each
        for each in _file().paper
        if each.subject == subject and each.law == law and (not each.pack or pack in each.pack)
    )


def law_of(profile: Profile) -> PaperLaw | None:
    """Return whose texts on paper a kitchen stands under, or None where none was read for its land.

    Examples
    --------
    >>> from kit import rules
    >>> law_of(rules.load("ie")).id, law_of(rules.load("codex"))
    ('eu', None)
    """
    return next((one for one in paper_laws().values() if profile.id in one.profiles), None)


@cache
def paper_laws() -> Mapping[str, PaperLaw]:
    """Return the laws by their id.

    Examples
    --------
    >>> list(paper_laws())
    ['eu', 'us']
    """
    return MappingProxyType({one.id: one for one in _file().law})


@cache
def paper_sources() -> Mapping[str, Source]:
    """Return the texts behind the papers, by key.

    Examples
    --------
    >>> paper_sources()["eu-931-2011"].seen
    True
    """
    return MappingProxyType(
        {key: build(Source, {"key": key, **told}, "papers.toml") for key, told in _file().source.items()}
    )


@cache
def _file() -> _PaperFile:
    found = shipped("kit.rules", "data/papers.toml", _PaperFile)
    for each in found.paper:
        if each.source not in found.source or each.law not in {one.id for one in found.law}:
            raise BadData(f"paper {each.id!r}", "its source or its law is on no list")
    return found
