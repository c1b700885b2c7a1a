"""Ten invented pieces of work that several tutors judge, each alone; and how far they agreed."""

from __future__ import annotations

import csv
import hashlib
import io
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from kit.basics.data_files import shipped
from kit.basics.errors import BadData
from kit.basics.given_files import read_given
from kit.basics.quantities import count_of
from kit.statistics.agreement import cohen_kappa, fleiss_kappa, krippendorff_alpha

if TYPE_CHECKING:
    from kit.statistics.statistic import Statistic

RATINGS = ("met", "not met")
_HEAD, _MOST_BYTES = ["case", "rating"], 100_000


@dataclass(frozen=True)
class InventedCase:
    """One piece of work: words, figures, perhaps a log of (minutes, reading) with the limit of its card."""

    id: str
    criterion: str
    title: str
    told: str
    facts: tuple[tuple[str, str], ...] = ()
    log: tuple[tuple[float, float], ...] = ()
    log_says: str = ""
    log_unit: str = ""
    limit: float | None = None


@dataclass(frozen=True)
class _Cases:
    case: tuple[InventedCase, ...]


def invented_cases() -> tuple[InventedCase, ...]:
    """Return the cases.

    Examples
    --------
    >>> len(invented_cases())
    10
    """
    return shipped("kit.statistics", "cases.toml", _Cases).case


def cases_print() -> str:
    """Return the print of the cases as they stand: with other words they are another set.

    Examples
    --------
    >>> len(cases_print())
    16
    """
    return hashlib.sha256(repr(invented_cases()).encode()).hexdigest()[:16]


def told_in_words(case: InventedCase) -> str:
    """Return what is told of a case, with its figures and readings, as one text.

    Examples
    --------
    >>> told_in_words(invented_cases()[4]).endswith("Time: 14 min.")
    True
    """
    parts = [case.told, *(f"{what}: {says}." for what, says in case.facts)]
    if case.log:
        readings = ", ".join(f"{minute:g} min {value:g}" for minute, value in case.log)
        parts.append(f"{case.log_says} [{case.log_unit}]: {readings}.")
    return " ".join(parts)


def empty_sheet() -> bytes:
    """Return a sheet to fill in, as CSV: a row a case."""
    lines = [_HEAD, *([each.id, ""] for each in invented_cases())]
    return "".join(",".join(line) + "\r\n" for line in lines).encode()


def read_ratings(path: Path) -> dict[str, str]:
    """Return how one tutor rated the cases. An empty cell is a gap.

    Raises
    ------
    BadData
        If it is no such sheet. One message names every fault.
    """
    data = read_given(path, "a sheet of the ten cases as CSV", _MOST_BYTES)
    try:
        rows = [row for row in csv.reader(io.StringIO(data.decode("utf-8-sig"))) if any(row)]
    except (UnicodeDecodeError, csv.Error):
        raise BadData(str(path), "it is no table in UTF-8", "a CSV file") from None
    if not rows or [cell.strip() for cell in rows[0]] != _HEAD:
        raise BadData(str(path), "its first line is another", ",".join(_HEAD), "`smokehouse agree cases`")
    known, found, faults = {each.id for each in invented_cases()}, {}, []
    for row in rows[1:]:
        name, rating = (*(cell.strip() for cell in row), "")[:2]
        if name not in known:
            faults.append(f"there is no case {name[:20]!r}")
        elif name in found:
            faults.append(f"{name} stands twice")
        elif rating and rating not in RATINGS:
            faults.append(f"{name}: {rating[:12]!r}")
        found[name] = rating
    if faults:
        raise BadData(str(path), "; ".join(faults[:12]), f"{' or '.join(RATINGS)}, or nothing, for each case")
    return {name: rating for name, rating in found.items() if rating}


def agreement(tutors: Mapping[str, Mapping[str, str]]) -> list[Statistic]:
    """Return how far tutors agree: kappa of two by Cohen, of more by Fleiss, and alpha with gaps.

    Parameters
    ----------
    tutors : mapping
        The ratings of each tutor, by case: two tutors or more. Fleiss' kappa takes the cases all rated.

    Raises
    ------
    BadData
        If there are fewer than two tutors.

    Examples
    --------
    >>> one = {each.id: "met" for each in invented_cases()} | {"case-02": "not met", "case-04": "not met"}
    >>> [round(each.value, 2) for each in agreement({"a": one, "b": one | {"case-04": "met"}})]
    [0.62, 0.63]
    """
    if len(tutors) < 2:
        raise BadData("the sheets", f"{len(tutors)} tutor", "those of two tutors or more")
    names = [each.id for each in invented_cases()]
    codes = [[_code(rated.get(name, "")) for rated in tutors.values()] for name in names]
    table = np.array(codes, dtype=float)
    if len(tutors) == 2:
        first = cohen_kappa(table[:, 0], table[:, 1])
    else:
        whole = table[~np.isnan(table).any(axis=1)]
        first = fleiss_kappa([[(row == code).sum() for code in range(len(RATINGS))] for row in whole])
    return [first, krippendorff_alpha(table)]


LEAST_OTHERS = 2
"""From so many others on it is shown what they said: of one alone, everybody would know who."""


@dataclass(frozen=True)
class Beside:
    """How one tutor's ratings stand beside those of ``others``, who are not named.

    ``cases`` give each case, the tutor's own word or nothing, the others' words with how many said each, and
    whether the tutor parts from most of them. It is empty where the others are too few, or the tutor has
    not judged.
    """

    judged: bool
    others: int
    cases: tuple[tuple[InventedCase, str, tuple[tuple[str, int], ...], bool], ...] = ()
    figures: tuple[Statistic, ...] = ()

    @property
    def says(self) -> str:
        """The whole in one sentence."""
        if not self.judged:
            return f"{count_of(self.others, 'tutor')} judged them. Judge them alone first, then look."
        if not self.cases:
            return (
                f"{count_of(self.others, 'other')} judged them. What they said shows from {LEAST_OTHERS} on."
            )
        told = [parts for _, mine, said, parts in self.cases if mine and _most(said)]
        return (
            f"You said the same as most of {self.others} others in {told.count(False)} of {len(told)} cases."
        )

    def lines(self) -> list[str]:
        """Return the whole as lines of text."""
        made = [self.says, *map(str, self.figures)]
        for case, mine, said, parts in self.cases:
            others = ", ".join(f"{count} {word}" for word, count in said) or "nobody"
            made.append(
                f"{case.title}: you {mine or 'left it out'}; others {others}{'. You part.' if parts else ''}"
            )
        return made


def beside(tutors: Mapping[str, Mapping[str, str]], me: str) -> Beside:
    """Return how one tutor stands beside the others; nothing of theirs before they judged themself.

    Raises
    ------
    BadData
        If the library for the figures is not installed.

    Examples
    --------
    >>> one = {each.id: "met" for each in invented_cases()}
    >>> three = {"a": one, "b": one | {"case-04": "not met"}, "c": one | {"case-02": "not met"}}
    >>> beside(three, "b").says
    'You said the same as most of 2 others in 8 of 9 cases.'
    >>> beside(three, "d").cases
    ()
    """
    others = [ratings for who, ratings in tutors.items() if who != me]
    if me not in tutors or len(others) < LEAST_OTHERS:
        return Beside(me in tutors, len(others))
    rows = []
    for case in invented_cases():
        said = tuple(Counter(rated[case.id] for rated in others if case.id in rated).most_common())
        mine = tutors[me].get(case.id, "")
        rows.append((case, mine, said, bool(mine) and _most(said) not in ("", mine)))
    return Beside(True, len(others), tuple(rows), tuple(agreement(tutors)))


def _most(said: Sequence[tuple[str, int]]) -> str:
    """Return what most said; nothing where two words are level."""
    level = len(said) > 1 and said[0][1] == said[1][1]
    return said[0][0] if said and not level else ""


def parted(tutors: Mapping[str, Mapping[str, str]]) -> list[tuple[InventedCase, Sequence[str]]]:
    """Return the cases on which tutors parted, each with the ratings, to talk about."""
    found = [
        (each, [rated[each.id] for rated in tutors.values() if each.id in rated]) for each in invented_cases()
    ]
    return [(each, ratings) for each, ratings in found if len(set(ratings)) > 1]


def _code(rating: str) -> float:
    return float(RATINGS.index(rating)) if rating else float("nan")
