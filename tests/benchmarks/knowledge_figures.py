"""What the knowledge rule shows, of whom, and how soon: its operating figures, by simulation.

    python tests/benchmarks/knowledge_figures.py [--people 4000] [--answers 40]

Invented people answer fresh questions, 4 a day, through the rule itself. A person of mastery m is right as
``kit.criteria.knowledge.right_chance`` says, with the guess chances measured over the bank: whoever does
not know it remembers every earlier question of the exercise, and guesses by that. The exercise is chosen as
Today's round chooses it: the one longest not seen, and once the sum is above 0 of those worth asking. The
same people then pick theirs by chance: nobody may be shown more easily by that, and what it costs in answers
is printed.
It ends with exit code 1 if a figure is missed. A drawn share errs by chance: a bound counts as missed from
two standard errors beyond it, and what lies between is called "at edge".
"""

import argparse
import math
import random
import sys
from collections import Counter
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from statistics import median
from typing import NamedTuple

from kit import exercises
from kit.criteria.knowledge import (
    ORDINARY,
    SAFETY,
    Bounds,
    ExerciseFacts,
    Try,
    knowledge,
    right_chance,
    weight,
)
from kit.criteria.worth_asking import worth_asking
from kit.exercises.catalogue import Catalogue

START = datetime(2026, 3, 2, 9, tzinfo=UTC)
A_DAY = 4
MASTERIES = (0.0, 0.25, 0.5, 0.7, 0.8, 0.9, 0.95, 1.0)
NEVER = 10**6
DRAWN, ANSWERED, SHOWN_PCT = 40, 120, 95
# bounds; shown at most at 0.5 and at least at 0.9 [%]; median answers at most at 1 and 0.9; guessers [%]
ASKED = {"ordinary": (ORDINARY, 5.0, 95.0, 8, 12, 1.0), "safety": (SAFETY, 1.0, 92.0, 12, 17, 1.0)}


class Serving(NamedTuple):
    """The exercises of one criterion, and of how many kinds its right answers must be."""

    exercises: dict[str, ExerciseFacts]
    kinds: int = 1


def moment(number: int) -> datetime:
    """Return when the answer of that number is given."""
    return START + timedelta(days=number // A_DAY, minutes=number % A_DAY)


def answers(
    mastery: float, serving: Serving, count: int, dice: random.Random, *, by_chance: bool = False
) -> list[Try]:
    """Return one person's answers to fresh questions of one criterion.

    What the person does not know is guessed, and better with each question of the exercise that was seen.
    """
    made, seen, kinds_right = [], Counter[str](), set[str]()
    names = list(serving.exercises)
    last, evidence = {name: -dice.random() for name in names}, 0.0
    for number in range(count):
        if by_chance:
            name = dice.choice(names)
        else:  # as kit.practice.round_of_tasks
            right_kinds = {"kinds_right": kinds_right, "kinds": serving.kinds}
            worth = worth_asking(serving.exercises, seen, **right_kinds) if evidence > 0 else names
            name = min(worth, key=last.__getitem__)
        chance = serving.exercises[name].chance_after(seen[name])
        seen[name] += 1
        last[name] = number
        at, right = moment(number), dice.random() < right_chance(mastery, chance)
        evidence = max(evidence + weight(right, chance), ORDINARY.lowest)
        kinds_right |= {serving.exercises[name].kind} if right else set()
        made.append(Try(name, f"v{number}", at, at.date(), right, key=number))
    return made


def shown(
    mastery: float, bounds: Bounds, criteria: list[Serving], people: int, count: int, *, by_chance: bool
) -> list[int]:
    """Return after how many answers each of the people was shown; NEVER if not within ``count``."""
    dice = random.Random(f"{mastery} {bounds.shown} {by_chance}")
    found = []
    for _ in range(people):
        serving = dice.choice(criteria)
        tries = answers(mastery, serving, count, dice, by_chance=by_chance)
        known = knowledge(tries, bounds, exercises=serving.exercises, kinds=serving.kinds)
        found.append(known.tries_to_hold or NEVER)
    return found


def held_after(
    mastery: float, bounds: Bounds, criteria: list[Serving], people: int, counts: tuple[int, ...]
) -> list[float]:
    """Return the share [%] that stands as shown after so many answers: diligence must not punish."""
    dice = random.Random(f"held {mastery} {bounds.shown}")
    held = [0] * len(counts)
    for _ in range(people):
        serving = dice.choice(criteria)
        tries = answers(mastery, serving, max(counts), dice)
        for place, count in enumerate(counts):
            known = knowledge(tries[:count], bounds, exercises=serving.exercises, kinds=serving.kinds)
            held[place] += known.held
    return [100 * each / people for each in held]


def criteria_of_the_bank() -> dict[str, list[Serving]]:
    """Return what serves each ordinary and each safety-critical criterion of knowledge."""
    catalogue = Catalogue()
    found: dict[str, list[Serving]] = {"ordinary": [], "safety": []}
    for criterion, serving in catalogue.exercises_for.items():
        sort = "safety" if catalogue.criteria[criterion].safety_critical else "ordinary"
        facts = {name: catalogue.facts_of.get(name, ExerciseFacts()) for name in serving}
        found[sort].append(Serving(facts, catalogue.kinds_needed.get(criterion, 1)))
    return found


def shown_by_the_bank(criterion: str, catalogue: Catalogue, people: int) -> float:
    """Return the share [%] of those who know it all that the bank's own questions show, each asked once.

    A safety-critical criterion that no practice can show could never be signed: it takes practice too.
    """
    dice = random.Random(criterion)
    asked = []
    for name in catalogue.serving[criterion]:
        prints = {catalogue.content_print(exercises.question(name, seed)) for seed in range(DRAWN)}
        asked += [(name, one) for one in sorted(prints)]
    held = 0
    for _ in range(people):
        dice.shuffle(asked)
        tries = []
        for number, (name, content) in enumerate(asked[:ANSWERED]):
            at, right = moment(number), dice.random() < right_chance(1.0, 0.0)
            tries.append(Try(name, content, at, at.date(), right, key=number))
        held += catalogue.known(criterion, tries).first_held is not None
    return 100 * held / people


def two_errors(bound_pct: float, people: int) -> float:
    """Return two standard errors [%] of a share drawn over so many people, were the bound its true value."""
    return 2 * math.sqrt(bound_pct * (100 - bound_pct) / people)


def at_most(share_pct: float, bound_pct: float, people: int) -> str:
    """Return ``reached``, ``at edge`` within two standard errors, or nothing."""
    if share_pct <= bound_pct:
        return "reached"
    return "at edge" if share_pct <= bound_pct + two_errors(bound_pct, people) else ""


def at_least(share_pct: float, bound_pct: float, people: int) -> str:
    """Return ``reached``, ``at edge`` within two standard errors, or nothing."""
    return at_most(100 - share_pct, 100 - bound_pct, people)


def by_mastery(
    bounds: Bounds, criteria: list[Serving], people: int, count: int, *, by_chance: bool
) -> dict[float, list[int]]:
    """Return after how many answers people were shown, by their mastery, and print it."""
    print("  who picks tasks by chance:" if by_chance else "  as Today's round asks:")
    found = {}
    for mastery in MASTERIES:
        found[mastery] = shown(mastery, bounds, criteria, people, count, by_chance=by_chance)
        middle = median(found[mastery])
        answers_text = f"{middle:g}" if middle < NEVER else "-"
        share = within(found[mastery], NEVER - 1)
        print(f"    mastery {mastery:4.2f}: shown {share:5.1f} %, median answers {answers_text}")
    return found


def within(answered: list[int], most: int) -> float:
    """Return the share [%] that was shown within so many answers."""
    return 100 * sum(one <= most for one in answered) / len(answered)


def figures(sort: str, criteria: list[Serving], people: int, count: int) -> list[str]:
    """Print the figures of one sort of criterion; return the claims that are missed."""
    bounds, at_half, at_knows, full, knows, guess = ASKED[sort]
    all_facts = [facts for serving in criteria for facts in serving.exercises.values()]
    mean = sum(facts.guess_chance for facts in all_facts) / len(all_facts)
    print(f"\n{sort}: guess chance {mean:.2f} at first sight; shown at {bounds.shown}, {bounds.days} days")
    print(f"a right answer moves it by {weight(True, mean):.2f}, a miss by {weight(False, mean):.2f}")
    asked = by_mastery(bounds, criteria, people, count, by_chance=False)
    picked = by_mastery(bounds, criteria, people, count, by_chance=True)
    counts = (20, 40, 80, 160)
    held = held_after(0.9, bounds, criteria, people // 8, counts)
    told = ", ".join(f"{each:.1f} % after {n}" for each, n in zip(held, counts, strict=True))
    print(f"  at 0.90 it stands for {told}")
    ever = NEVER - 1
    claims = {
        f"shown at 0.5 for at most {at_half} %": at_most(within(asked[0.5], ever), at_half, people),
        "the same by chance": at_most(within(picked[0.5], ever), at_half, people),
        f"guessers at most {guess} %": at_most(within(asked[0.0], ever), guess, people),
        "the same, by chance": at_most(within(picked[0.0], ever), guess, people),
        f"shown at 0.9 for at least {at_knows} %": at_least(within(asked[0.9], ever), at_knows, people),
        f"at most {full} answers for who knows all": at_least(within(asked[1.0], full), 50.0, people),
        f"at most {knows} answers at 0.9": at_least(within(asked[0.9], knows), 50.0, people),
        "more practice does not lower the chance": "reached"
        if all(later >= earlier - two_errors(earlier, people // 8) for earlier, later in pairwise(held))
        else "",
    }
    for claim, word in claims.items():
        print(f"  {word or 'MISSED':8}  {sort}: {claim}")
    return [claim for claim, word in claims.items() if not word]


def main() -> int:
    """Print the tables; return 1 if a figure is missed."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--people", type=int, default=4000)
    parser.add_argument("--answers", type=int, default=40)
    parser.add_argument("--guess", type=float, nargs="*", help="these guess chances instead of the bank's")
    options = parser.parse_args()
    missed: list[str] = []
    for sort, criteria in criteria_of_the_bank().items():
        if options.guess:
            criteria = [Serving({f"{chance}": ExerciseFacts(chance) for chance in options.guess})]
        missed += figures(sort, criteria, options.people, options.answers)
    catalogue = Catalogue()
    print("\nwho knows it all, over the bank's own questions:")
    for criterion in catalogue.exercises_for:
        found_pct = shown_by_the_bank(criterion, catalogue, 100)
        safety = catalogue.criteria[criterion].safety_critical
        if safety or found_pct < SHOWN_PCT:
            print(f"  {criterion}{' (safety)' if safety else ''}: shown {found_pct:.0f} %")
        if safety and found_pct < SHOWN_PCT:
            missed.append(f"{criterion}: practice can show it")
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main())
