"""What people saw and decided, and what logs showed, as DataFrames; and who learns."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import date, datetime
from typing import TYPE_CHECKING, Any, get_args

from kit.exercises.catalogue import Catalogue
from kit.logs.checking import LogCheck, as_facts
from kit.records.competence.deciding import DECISIONS as DECIDED_AS
from kit.records.competence.decision_state import DECISION_SAYS
from kit.records.competence.decision_state import decisions as decisions_as_they_stand
from kit.records.competence.observations import MEASURES, METHODS, OUTCOMES
from kit.records.ledger import acts
from kit.records.ledger.draws import DRAWN, asked_words, draws_in
from kit.records.people.crew import crew_by_name
from kit.records.storage.store import Records
from kit.rules import Verdict
from kit.rules.model import Answer
from kit.tables.answers import STEPS
from kit.tables.frames import COUNT, DAY, NUMBER, TEXT, YES_NO, Columns, Row, Words, called, frame

if TYPE_CHECKING:
    from pandas import DataFrame

REPLACED = "replaced by a later decision"
PEOPLE: Columns = {"person": TEXT, "learns_here": YES_NO}
OBSERVATIONS: Columns = {
    "person": TEXT,
    "act": COUNT,
    "day": DAY,
    "entered_day": DAY,
    "step": STEPS,
    "batch": TEXT,
    "method": Words(tuple(METHODS)),
    "criterion": TEXT,
    "outcome": Words(OUTCOMES),
    "observer": TEXT,
    **dict.fromkeys(MEASURES, NUMBER),  # their names say the unit
}
DECISIONS: Columns = {
    "person": TEXT,
    "act": COUNT,
    "day": DAY,
    "step": STEPS,
    "criterion": TEXT,
    "safety_critical": YES_NO,
    "decision": Words(DECIDED_AS),
    "stands": Words((*DECISION_SAYS.values(), REPLACED)),
    "holds": YES_NO,
    "review_day": DAY,
    "days_to_review": COUNT,
    "decided_by": TEXT,
    "second_signature": Words(("to draw", "not drawn", "wanted", "agreed", "disagreed")),
    "brought_in": YES_NO,
}
VERDICTS: Columns = {
    "person": TEXT,
    "act": COUNT,
    "day": DAY,
    "file": TEXT,
    "rule": TEXT,
    "outcome": Words(get_args(Answer)),
    "measured": NUMBER,
    "limit": NUMBER,
    "unit": TEXT,
    "source": TEXT,
    "source_read": YES_NO,
    "extrapolated": YES_NO,
}


def people(records: Records, *, names: bool = False) -> DataFrame:
    """Return everyone who learns, with or without an answer book, taken on or not yet.

    Parameters
    ----------
    records : Records
        From ``open_records``.
    names : bool
        Real names in place of pseudonyms.

    Returns
    -------
    DataFrame
        ``person`` string; ``learns_here`` boolean, as an apprentice now.

    Examples
    --------
    >>> import kit, tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     records = kit.open_records(f"{folder}/records.db")
    ...     list(people(records).columns)
    ...     records.close()
    ['person', 'learns_here']
    """
    who = called(records, names)
    with records.reading() as connection:
        crew = crew_by_name(connection)
    return frame(PEOPLE, sorted((who[one.person], one.enrolled) for one in crew))


def observations(records: Records, *, names: bool = False) -> DataFrame:
    """Return what was seen at work and asked aloud: a row for each criterion of each observation.

    Parameters
    ----------
    records : Records
        From ``open_records``.
    names : bool
        Real names in place of pseudonyms, of apprentices and observers.

    Returns
    -------
    DataFrame
        ``person`` string; ``act`` Int64, its number in the chain; ``day`` datetime, on which it was seen;
        ``entered_day`` datetime, on which it was entered, here; ``step`` category, in the order of the work;
        ``batch`` string; ``method`` category; ``criterion`` string; ``outcome`` category; ``observer``
        string; ``weight_before_g`` and ``weight_after_g`` Float64 [g]; ``core_temp_c`` and ``air_temp_c``
        Float64 [°C]; ``hold_min`` and ``chill_min`` Float64 [min], as entered for the whole observation.

    Examples
    --------
    >>> import kit, tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     records = kit.open_records(f"{folder}/records.db")
    ...     list(observations(records)["outcome"].cat.categories)
    ...     records.close()
    ['met', 'not met', 'not seen']
    """
    return frame(OBSERVATIONS, observation_rows(records, names))


def decisions(records: Records, *, names: bool = False, today: date | None = None) -> DataFrame:
    """Return every decision that was recorded, with how it stands on a day.

    Parameters
    ----------
    records : Records
        From ``open_records``.
    names : bool
        Real names in place of pseudonyms, of apprentices and tutors.
    today : date, optional
        The local day to look from. Default: the clock.

    Returns
    -------
    DataFrame
        ``person`` string; ``act`` Int64, its number in the chain; ``day`` datetime; ``step`` category, in the
        order of the work; ``criterion`` string; ``safety_critical`` boolean; ``decision`` category, as
        recorded; ``stands`` category, in words; ``holds`` boolean, competent on that day; ``review_day``
        datetime; ``days_to_review`` Int64, below 0 once it is over [days]; ``decided_by`` string;
        ``second_signature`` category; ``brought_in`` boolean, from before the kit was in use.

    Examples
    --------
    >>> import kit, tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     records = kit.open_records(f"{folder}/records.db")
    ...     decisions(records).query("days_to_review < 30").empty
    ...     records.close()
    True
    """
    return frame(DECISIONS, decision_rows(records, names, today))


def verdicts(source: Records | LogCheck | Iterable[Verdict], *, names: bool = False) -> DataFrame:
    """Return what logs showed of each named rule. A verdict never speaks of the batch.

    Parameters
    ----------
    source : Records, LogCheck or iterable of Verdict
        The records give the verdicts on every logger's file that is kept as evidence; ``check_log`` and
        ``judge`` give those on one trace.
    names : bool
        Real names in place of pseudonyms.

    Returns
    -------
    DataFrame
        ``person`` string, ``act`` Int64, ``day`` datetime and ``file`` string (the start of its SHA-256), all
        empty for one trace; ``rule`` string; ``outcome`` category; ``measured`` and ``limit`` Float64, in
        ``unit`` string; ``source`` string; ``source_read`` boolean, else the limit is from memory;
        ``extrapolated`` boolean, below the published table.

    Examples
    --------
    >>> import kit
    >>> rules = kit.load_rules("us-processor")
    >>> judged = kit.judge({"core_temp_c": 66.0, "hold_min": 12.0}, rules, step="cook")
    >>> verdicts(judged)[["rule", "outcome", "unit"]].iloc[0].tolist()
    ['us-processor-cook-hold', 'not met', 'min']
    """
    return frame(VERDICTS, verdict_rows(source, names))


def observation_rows(records: Records, names: bool) -> Iterator[Row]:
    """Yield the rows of ``observations``."""
    who = called(records, names)
    with records.reading() as connection:
        for act in acts.read(connection, kind="observed"):
            facts = act.facts
            day, measures = date.fromisoformat(facts["day"]), facts["measures"]
            measured = [measures.get(name) for name in MEASURES]
            seen = (who[str(act.person)], act.number, day, act.at.astimezone().date())
            about = (*seen, facts["step"], act.batch, facts["method"])
            for criterion, outcome in facts["points"].items():
                yield *about, criterion, outcome, who[act.by], *measured


def decision_rows(records: Records, names: bool, today: date | None = None) -> Iterator[Row]:
    """Yield the rows of ``decisions``."""
    who, catalogue = called(records, names), Catalogue()
    day = today or datetime.now().astimezone().date()
    with records.reading() as connection:
        standing = decisions_as_they_stand(connection, catalogue, day)
        seconds = {act.facts["act"]: act.facts["agrees"] for act in acts.read(connection, kind="second")}
        draws = draws_in(acts.read(connection, kind=DRAWN))
        for act in acts.read(connection):
            if act.kind not in ("decided", "brought in"):
                continue
            person, name, facts = str(act.person), str(act.criterion), act.facts
            stands = standing.get(person, {}).get(name)
            current = stands is not None and stands.act == act.number
            criterion = catalogue.criteria.get(name)
            review = date.fromisoformat(facts["review_on"]) if facts.get("review_on") else None
            yield (
                who[person],
                act.number,
                date.fromisoformat(facts["day"]),
                criterion.step if criterion else None,
                name,
                criterion.safety_critical if criterion else None,
                facts["decision"],
                stands.says if stands is not None and current else REPLACED,
                stands is not None and current and stands.holds,
                review,
                (review - day).days if review else None,
                who[act.by],
                _second(seconds.get(act.number)) or asked_words(facts, draws.get(act.number)) or "not drawn",
                act.kind == "brought in",
            )


def verdict_rows(source: Records | LogCheck | Iterable[Verdict], names: bool) -> Iterator[Row]:
    """Yield the rows of ``verdicts``."""
    if not isinstance(source, Records):
        judged = source.verdicts if isinstance(source, LogCheck) else source
        yield from ((None, None, None, None, *_facts(as_facts(verdict))) for verdict in judged)
        return
    who = called(source, names)
    with source.reading() as connection:
        for act in acts.read(connection, kind="attached"):
            day = act.at.astimezone().date()
            for facts in act.facts["verdicts"]:
                yield who[str(act.person)], act.number, day, act.facts["files"][0][:12], *_facts(facts)


def _facts(facts: Mapping[str, Any]) -> Row:
    names = ("rule", "outcome", "measured", "limit", "unit", "source", "seen", "extrapolated")
    return [facts.get(name) for name in names]


def _second(agrees: bool | None) -> str:
    if agrees is None:
        return ""
    return "agreed" if agrees else "disagreed"
