"""Marking what was picked, ordered, joined or recommended."""

from collections.abc import Iterable, Mapping, Sequence
from itertools import combinations
from typing import Any

from kit.basics.quantities import count_of
from kit.marking.model import (
    DECISIONS,
    Match,
    One,
    Option,
    Order,
    Outcome,
    Question,
    Recommend,
    Several,
    Slip,
)
from kit.marking.outcomes import right, scored, unread, with_slips

SAFETY_LEAD = "Not yet. This is about safety, so it scores 0."
_STRICT = ("go on", "hold", "reject")
OVER_CARE = 0.25
"""What a recommendation earns that is too careful: it is safe, and it costs; ours, no source."""


def mark_one(question: Question, kind: One, raw: Any) -> Outcome:
    """Return the outcome of one option picked."""
    texts = _texts(kind.options)
    if not isinstance(raw, str) or raw not in texts:
        return unread(question, "Pick one of the options.")
    if raw == question.answer:
        return right(question, texts[raw])
    message, slip = with_slips("Not yet.", (each for each in question.slips if each.value == raw))
    return scored(question, 0.0, message, slip, texts[raw])


def mark_several(question: Question, kind: Several, raw: Any) -> Outcome:
    """Return the outcome of several options picked."""
    texts = _texts(kind.options)
    picked = _keys(raw, texts)
    if picked is None:
        return unread(question, "Pick one or more of the options.")
    rights = set(question.answer)
    hits, false = len(picked & rights), len(picked - rights)
    wrongs = len(texts) - len(rights)
    share = hits / len(rights) - (false / wrongs if wrongs else 0.0)
    read_as = "; ".join(texts[key] for key in texts if key in picked)
    if picked == rights:
        return right(question, read_as)
    shown = [slip for slip in question.slips if _several_shows(slip, picked, rights)]

    def lines(slip: Slip) -> list[str]:
        return [texts[key] for key in _part(slip).values()]

    if picked & set(kind.never) or set(kind.must) - picked:
        grave = {*(picked & set(kind.never)), *(set(kind.must) - picked)}
        shown.sort(key=lambda slip: not grave & set(_part(slip).values()))
        message, name = with_slips(SAFETY_LEAD, shown, lines)
        return scored(question, 0.0, message, name, read_as)
    lead = f"{'Partly' if share > 0 else 'Not yet'}. {hits} of {len(rights)} found"
    lead += f", and {false} that {'does' if false == 1 else 'do'} not belong." if false else "."
    if not shown:
        lead += " Read each line again that you left out: one of them belongs too."
    message, name = with_slips(lead, shown, lines)
    return scored(question, share, message, name, read_as)


def mark_order(question: Question, kind: Order, raw: Any) -> Outcome:
    """Return the outcome of steps put in order."""
    texts = _texts(kind.options)
    if not isinstance(raw, list | tuple) or len(raw) != len(texts) or _keys(raw, texts) != set(texts):
        return unread(question, "Use every step once.")
    if list(raw) == list(texts):
        return unread(question, "The steps stand as they were shown. Move one at least.")
    place = {key: at for at, key in enumerate(raw)}
    read_as = " → ".join(texts[key] for key in raw)
    pairs = [pair for pair in combinations(question.answer, 2) if pair not in kind.free]
    turned = [(early, late) for early, late in pairs if place[early] > place[late]]
    if not turned:
        return right(question, read_as)
    shown = [slip for slip in question.slips if _in_this_order(_sequence(slip), place)]

    def lines(slip: Slip) -> list[str]:
        return [texts[key] for key in _sequence(slip)]

    grave = [[late, early] for early, late in turned if (early, late) in kind.must]
    if grave:
        shown.sort(key=lambda slip: _sequence(slip) not in grave)
        message, name = with_slips(SAFETY_LEAD, shown, lines)
        return scored(question, 0.0, message, name, read_as)
    # So many pairs the right way round as the wrong way is what chance gives: no points.
    share = 1.0 - 2.0 * len(turned) / len(pairs)
    lead = f"{'Partly' if share > 0 else 'Not yet'}. {count_of(len(turned), 'pair')} of steps "
    lead += f"{'stands' if len(turned) == 1 else 'stand'} the wrong way round."
    if not shown:
        early, late = min(turned, key=lambda pair: place[pair[0]] - place[pair[1]])
        lead += f" “{texts[early]}” comes before “{texts[late]}”."
    message, name = with_slips(lead, shown, lines)
    return scored(question, share, message, name, read_as)


def mark_match(question: Question, kind: Match, raw: Any) -> Outcome:
    """Return the outcome of left items joined with right ones."""
    lefts, rights = _texts(kind.left), _texts(kind.right)
    joined = _joins(raw, lefts, rights)
    if not joined:
        return unread(question, "Join each item on the left with one on the right.")
    good = {left for left, right in joined.items() if question.answer[left] == right}
    read_as = "; ".join(f"{lefts[left]}: {rights[joined[left]]}" for left in lefts if left in joined)
    if len(good) == len(lefts):
        return right(question, read_as)
    shown = [slip for slip in question.slips if _part(slip).items() <= joined.items()]
    grave = set(kind.must) - good
    lead = f"{'Partly' if good else 'Not yet'}. {len(good)} of {len(lefts)} found."
    if grave:
        shown.sort(key=lambda slip: not set(_part(slip)) & set(kind.must))
        lead = SAFETY_LEAD
    if not shown:
        wrong = [left for left in lefts if left not in good]
        lead += (
            f" {_wrong_join(question, lefts, rights, joined, min(wrong, key=lambda one: one not in grave))}"
        )
    message, name = with_slips(lead, shown, lambda slip: [lefts[left] for left in _part(slip)])
    return scored(question, 0.0 if grave else len(good) / len(lefts), message, name, read_as)


def _wrong_join(
    question: Question,
    lefts: Mapping[str, str],
    rights: Mapping[str, str],
    joined: Mapping[str, str],
    left: str,
) -> str:
    """Name a line that is joined wrongly, and where its right side belongs."""
    if left not in joined:
        return f"“{lefts[left]}” is still open."
    owner = next((other for other in lefts if question.answer[other] == joined[left]), None)
    belongs = "belongs to none of these lines" if owner is None else f"belongs to “{lefts[owner]}”"
    return f"“{lefts[left]}” does not go with “{rights[joined[left]]}”: that {belongs}."


def mark_recommend(question: Question, kind: Recommend, raw: Any) -> Outcome:
    """Return the outcome of a recommendation and its reason."""
    texts = _texts(kind.reasons)
    decision = raw.get("decision") if isinstance(raw, Mapping) else None
    reason = raw.get("reason") if isinstance(raw, Mapping) else None
    if not isinstance(decision, str) or decision not in DECISIONS:
        return unread(question, "Pick a recommendation: fit to go on, hold and report, or reject.")
    if not isinstance(reason, str) or reason not in texts:
        return unread(question, "Pick the reason too.")
    words = DECISIONS[decision]
    read_as = f"{words}: {texts[reason]}"
    good = decision == question.answer["decision"] or decision in kind.also
    reasoned = reason == question.answer["reason"]
    if good and reasoned:
        return right(question, read_as)
    given = {"decision": decision, "reason": reason}
    shown = [slip for slip in question.slips if _part(slip).items() <= given.items()]
    careful = not good and _STRICT.index(decision) > _STRICT.index(question.answer["decision"])
    lead = "Partly. The recommendation is right, the reason is not." if good else SAFETY_LEAD
    if careful:
        cost = "throws fish away" if decision == "reject" else "keeps good fish and people waiting"
        lead = f"Partly. This is on the safe side, but it {cost} without need. So it scores a quarter."
    elif good and not shown:
        lead += f" “{texts[reason]}” is not what decides here."
    message, name = with_slips(lead, shown)
    return scored(question, 0.5 if good else OVER_CARE if careful else 0.0, message, name, read_as)


def _texts(options: Iterable[Option]) -> dict[str, str]:
    return {option.key: option.text for option in options}


def _keys(raw: Any, known: Mapping[str, str]) -> set[str] | None:
    """Return the keys of a list, or None if it is empty, too long, or holds anything else."""
    if not isinstance(raw, list | tuple) or not 0 < len(raw) <= 2 * len(known):
        return None
    if not all(isinstance(key, str) and key in known for key in raw):
        return None
    return set(raw)


def _joins(raw: Any, lefts: Mapping[str, str], rights: Mapping[str, str]) -> dict[str, str] | None:
    """Return the joins made, leaving out those still open (None or empty), or None if one cannot be read."""
    if not isinstance(raw, Mapping) or len(raw) > len(lefts):
        return None
    joined = {}
    for left, chosen in raw.items():
        if left not in lefts:
            return None
        if chosen is None or chosen == "":
            continue
        if not isinstance(chosen, str) or chosen not in rights:
            return None
        joined[left] = chosen
    return joined


def _part(slip: Slip) -> Mapping[str, Any]:
    part = slip.value if slip.shows is None else slip.shows
    return part if isinstance(part, Mapping) else {}


def _sequence(slip: Slip) -> Sequence[str]:
    return list(slip.value if slip.shows is None else slip.shows)


def _in_this_order(keys: Sequence[str], place: Mapping[str, int]) -> bool:
    places = [place[key] for key in keys]
    return places == sorted(places)


def _several_shows(slip: Slip, picked: set[str], rights: set[str]) -> bool:
    if slip.shows is None:
        return (set(slip.value) ^ rights) <= (picked ^ rights)
    wrongly = slip.shows.get("picked")
    missing = slip.shows.get("left out")
    return wrongly in picked if wrongly is not None else missing not in picked
