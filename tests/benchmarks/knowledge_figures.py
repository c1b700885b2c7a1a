"""What the knowledge rule shows, of whom, and how soon: its operating figures, by simulation.

    python tests/benchmarks/knowledge_figures.py [--people 4000] [--answers 40]

Invented people answer fresh questions, 4 a day, through the rule itself. A person of mastery m is right as
``kit.criteria.knowledge.right_chance`` says, with the guess chances measured over the bank. It ends with exit
code 1 if a figure that was set is missed. How many are shown who should not be always counts. How soon those
are shown who should be counts once the bank holds no exercise that is easily guessed: until then it is said.
"""

import argparse
import random
import sys
import tomllib
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from pathlib import Path
from statistics import median

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
from kit.exercises.catalogue import Catalogue

START = datetime(2026, 3, 2, 9, tzinfo=UTC)
A_DAY = 4
MASTERIES = (0.0, 0.25, 0.5, 0.7, 0.8, 0.9, 0.95, 1.0)
NEVER = 10**6
DRAWN, ANSWERED, SHOWN_PCT = 40, 120, 95
TO_MEND = Path(__file__).parents[1] / "data" / "guessable.toml"
# bounds; shown at most at 0.5 and at least at 0.9 [%]; median answers at most at 1 and 0.9; guessers [%]
ASKED = {"ordinary": (ORDINARY, 5.0, 95.0, 8, 12, 1.0), "safety": (SAFETY, 1.0, 92.0, 12, 17, 1.0)}


def moment(number: int) -> datetime:
    """Return when the answer of that number is given."""
    return START + timedelta(days=number // A_DAY, minutes=number % A_DAY)


def answers(mastery: float, chances: list[float], count: int, dice: random.Random) -> list[tuple[float, Try]]:
    """Return one person's answers to fresh questions, each with its guess chance."""
    made = []
    for number in range(count):
        chance = dice.choice(chances)
        at, right = moment(number), dice.random() < right_chance(mastery, chance)
        made.append((chance, Try(f"{chance}", f"v{number}", at, at.date(), right, key=number)))
    return made


def shown(mastery: float, bounds: Bounds, chances: list[float], people: int, count: int) -> list[int]:
    """Return after how many answers each of the people was shown; NEVER if not within ``count``."""
    dice = random.Random(f"{mastery} {bounds.shown}")
    facts = {f"{chance}": ExerciseFacts(chance) for chance in chances}
    found = []
    for _ in range(people):
        tries = [one for _, one in answers(mastery, chances, count, dice)]
        found.append(knowledge(tries, bounds, exercises=facts).tries_to_hold or NEVER)
    return found


def held_after(
    mastery: float, bounds: Bounds, chances: list[float], people: int, counts: tuple[int, ...]
) -> list[float]:
    """Return the share [%] that stands as shown after so many answers: diligence must not punish."""
    dice = random.Random(f"held {mastery} {bounds.shown}")
    facts = {f"{chance}": ExerciseFacts(chance) for chance in chances}
    held = [0] * len(counts)
    for _ in range(people):
        tries = [one for _, one in answers(mastery, chances, max(counts), dice)]
        for place, count in enumerate(counts):
            held[place] += knowledge(tries[:count], bounds, exercises=facts).held
    return [100 * each / people for each in held]


def chances_of_the_bank() -> dict[str, list[float]]:
    """Return the guess chances of the exercises that serve ordinary and safety-critical knowledge."""
    catalogue = Catalogue()
    found: dict[str, list[float]] = {"ordinary": [], "safety": []}
    for criterion, serving in catalogue.exercises_for.items():
        sort = "safety" if catalogue.criteria[criterion].safety_critical else "ordinary"
        found[sort] += [catalogue.facts_of.get(name, ExerciseFacts()).guess_chance for name in serving]
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


def main() -> int:
    """Print the tables; return 1 if a figure is missed."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--people", type=int, default=4000)
    parser.add_argument("--answers", type=int, default=40)
    parser.add_argument("--guess", type=float, nargs="*", help="these guess chances instead of the bank's")
    options = parser.parse_args()
    missed: list[str] = []
    to_mend = len(tomllib.loads(TO_MEND.read_text()))
    for sort, (bounds, at_half, at_knows, full, knows, guess) in ASKED.items():
        chances = options.guess or chances_of_the_bank()[sort]
        mean = sum(chances) / len(chances)
        print(f"\n{sort}: guess chance {mean:.2f} on average; shown at {bounds.shown}, {bounds.days} days")
        print(f"a right answer moves it by {weight(True, mean):.2f}, a miss by {weight(False, mean):.2f}")
        share, middle = {}, {}
        for mastery in MASTERIES:
            found = shown(mastery, bounds, chances, options.people, options.answers)
            share[mastery] = 100 * sum(one < NEVER for one in found) / len(found)
            middle[mastery] = median(found)
            answers_text = f"{middle[mastery]:.0f}" if middle[mastery] < NEVER else "-"
            print(f"  mastery {mastery:4.2f}: shown {share[mastery]:5.1f} %, median answers {answers_text}")
        counts = (20, 40, 80, 160)
        held = held_after(0.9, bounds, chances, options.people // 8, counts)
        told = ", ".join(f"{each:.1f} % after {n}" for each, n in zip(held, counts, strict=True))
        print(f"  at 0.90 it stands for {told}")
        claims = {
            f"{sort}: shown at 0.5 for at most {at_half} %": share[0.5] <= at_half,
            f"{sort}: shown at 0.9 for at least {at_knows} %": share[0.9] >= at_knows,
            f"{sort}: at most {full} answers for who knows all": middle[1.0] <= full,
            f"{sort}: at most {knows} answers at 0.9": middle[0.9] <= knows,
            f"{sort}: guessers at most {guess} %": share[0.0] <= guess,
            f"{sort}: more practice does not lower the chance": all(
                later >= earlier - 1.5 for earlier, later in pairwise(held)
            ),
        }
        for claim, true in claims.items():
            print(f"  {'reached' if true else 'MISSED '}  {claim}")
            waits = to_mend and not options.guess and ("answers" in claim or "at 0.9" in claim)
            if not true and not waits:
                missed.append(claim)
    catalogue = Catalogue()
    print("\nwho knows it all, over the bank's own questions:")
    for criterion in catalogue.exercises_for:
        found_pct = shown_by_the_bank(criterion, catalogue, 100)
        safety = catalogue.criteria[criterion].safety_critical
        if safety or found_pct < SHOWN_PCT:
            print(f"  {criterion}{' (safety)' if safety else ''}: shown {found_pct:.0f} %")
        if safety and found_pct < SHOWN_PCT:
            missed.append(f"{criterion}: practice can show it")
    if to_mend and not options.guess:
        print(f"\n{to_mend} exercises are still to be mended, so how soon it is shown does not count yet")
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main())
