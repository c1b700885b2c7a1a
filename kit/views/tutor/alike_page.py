"""Answers that are alike beyond chance, on the desk: whom to ask aloud. It accuses nobody."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from kit import statistics
from kit.exercises.catalogue import Catalogue
from kit.records.competence.sat_answers import sat_answers
from kit.records.storage.store import Records
from kit.statistics.copying import FALSE_ALARMS, LEAST_SHARED
from kit.tables.frames import called
from kit.views.tutor.pages import Block, fold, table, title, words

if TYPE_CHECKING:
    from pandas import DataFrame

MOST = 20
HONEST = (
    "It accuses nobody. Two who learned from one person, or who practise together, look like this too. Ask "
    "each of them alone, aloud. No mark rests on it. Papers differ from person to person, so a copied number "
    "is only a wrong number: what shows is the same slip."
)


def alike_blocks(records: Records, attempts: DataFrame) -> list[Block]:
    """Return who answers alike, in practice and on papers, each apart.

    Parameters
    ----------
    records : Records
        The open records.
    attempts : DataFrame
        From ``kit.tables.attempts``, under pseudonyms.
    """
    names, hidden = called(records, True), called(records, False)
    who = {word: names[person] for person, word in hidden.items()}
    met = statistics.first_meetings(attempts)
    practised = met.assign(right=met["right_first_time"].astype(bool))[
        ["person", "exercise", "right", "slip", "at_utc"]
    ]
    made = [title("Answers that are alike", level=4), *_pairs("In practice", practised, who)]
    return [*made, *_pairs("On papers", _sat(records), names), words(HONEST, note=True)]


def _sat(records: Records) -> DataFrame:
    import pandas as pd

    with records.reading() as connection:
        told = sat_answers(connection, Catalogue())
        rows = [(one.person, one.exercise, one.right, one.slip) for one in told]
    made = pd.DataFrame(rows, columns=["person", "exercise", "right", "slip"])
    return made.drop_duplicates(["person", "exercise"], keep="last")


def _pairs(where: str, answers: DataFrame, who: Mapping[str, str]) -> list[Block]:
    found = statistics.alike(answers)
    pairs = found.attrs["pairs"]
    if not pairs:
        return [words(f"{where}: no two people answered {LEAST_SHARED} of the same questions yet.")]
    rate = f"In {100 * FALSE_ALARMS:g} of 100 crews in which nobody copied one pair or more would stand here"
    said = f"{where}: {pairs} pairs compared, {len(found)} beyond chance. {rate}."
    if found.empty:
        return [words(said)]
    rows = [_row(row, who) for row in found.head(MOST).to_dict("records")]
    head = ("Who", "Alike", "Expected", "Of them the same slip", "Apart in time")
    return [words(said), fold(f"{where}: the pairs", table(f"{where}, the least likely first", head, rows))]


def _row(row: Mapping[Any, Any], who: Mapping[str, str]) -> tuple[str, ...]:
    apart = row["apart_min"]
    return (
        f"{who.get(row['first'], row['first'])} and {who.get(row['second'], row['second'])}",
        f"{row['matches']} of {row['shared']}",
        f"{row['expected']:.0f}",
        str(row["slips"]),
        "not known" if apart is None or apart != apart else f"{apart:.1f} min",
    )
