"""A year of Today's rounds, by simulation: how many tasks a day, what waits, and what is still known.

    python tests/benchmarks/simulated_year.py [--people 8] [--days 365]

Invented people read one lesson every 4 working days and do its tasks. From then on they do Today's round on
every working day, five days a week, with 3 weeks away in the summer and one working day in ten missed.
Forgetting is a model of its own, not that of the scheduling library: a thing is recalled with the chance
2^(-days/half-life). The half-life grows the more, the harder it was to recall, and falls after a miss. Its
figures are ours: common practice, no source. The same people then spend the same number of tasks on the same
days on a fixed review. That asks the things they have met one after the other, at equal distances. Both see
the kit's own exercises with their measured chances to be guessed.

Asked for: at most 8 tasks a day; more known 90 days after the last lesson than by fixed review; after 3 weeks
away no round longer than before. The script ends with exit code 1 if one is missed.
"""

import argparse
import random
import sys
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from statistics import mean

from kit.criteria.knowledge import UNMEASURED, Try, right_chance
from kit.exercises.catalogue import Catalogue
from kit.practice.lesson_files import lesson_files
from kit.practice.round_of_tasks import plan
from kit.practice.spacing import ask_again_on

START = date(2026, 1, 5)  # a Monday
LESSON_EVERY, MISSED_DAYS = 4, 0.1
AWAY = range(200, 221)
FIRST_HALF_LIFE, SHORTEST, LONGEST = 4.0, 1.5, 400.0
GROWTH, AFTER_A_MISS = 2.2, 0.4
MOST_A_DAY, AFTER_LESSONS = 8, 90
Choose = Callable[["Person", date, int], list[str]]


@dataclass
class Person:
    """Somebody who learns and forgets, with the answers given so far."""

    dice: random.Random
    bank: Catalogue
    half_life: dict[str, float] = field(default_factory=dict)
    seen: dict[str, date] = field(default_factory=dict)
    tries: list[Try] = field(default_factory=list)
    last: dict[str, int] = field(default_factory=dict)

    def recalls(self, criterion: str, day: date) -> float:
        """Return the chance that a thing is recalled on a day; nothing of what was never met."""
        if criterion not in self.seen:
            return 0.0
        return 2.0 ** (-(day - self.seen[criterion]).days / self.half_life[criterion])

    def answer(self, exercise: str, day: date) -> None:
        """Answer a fresh question; right or wrong, the page then tells, so the thing is met again."""
        served = self.bank.info(exercise).criteria
        facts = self.bank.facts_of.get(exercise, UNMEASURED)
        before = {name: self.recalls(name, day) if name in self.seen else 0.7 for name in served}
        right = self.dice.random() < right_chance(min(before.values()), facts.guess_chance)
        at, n = datetime.combine(day, time(9), UTC) + timedelta(seconds=len(self.tries)), len(self.tries)
        self.tries.append(Try(exercise, f"v{n}", at, day, right, key=n))
        self.last[exercise] = n
        for name, recalled in before.items():
            factor = 1 + (GROWTH - 1) * 2 * (1 - recalled) if right else AFTER_A_MISS
            grown = self.half_life.get(name, FIRST_HALF_LIFE) * (factor if name in self.seen else 1)
            self.half_life[name] = min(max(grown, SHORTEST), LONGEST)
            self.seen[name] = day


def by_today(person: Person, day: date, _count: int) -> list[str]:
    """Return what Today asks."""
    return [one.exercise for one in plan(person.tries, person.bank, day)]


def by_turns(person: Person, _day: date, count: int) -> list[str]:
    """Return what a fixed review asks: the things met, in turn, each with the exercise longest not seen."""
    chosen: list[str] = []
    for criterion in sorted(person.seen, key=lambda name: person.seen[name]):
        serving = [name for name in person.bank.exercises_for.get(criterion, ()) if name not in chosen]
        if serving and len(chosen) < count:
            chosen.append(min(serving, key=lambda name: person.last.get(name, -1)))
    return chosen


def year(choose: Choose, seed: int, days: int, load: list[int] | None = None) -> dict[str, object]:
    """Play one person's year; ``load`` fixes how many tasks are done on each day."""
    bank = Catalogue()
    person = Person(random.Random(seed), bank)
    lessons = [[name for name in one.tasks if name in bank.ids()] for one in lesson_files()]
    done, waiting, known, worked = [], [], {}, 0
    last_lesson = 0
    for n in range(days):
        day = START + timedelta(days=n)
        at_work = day.weekday() < 5 and n not in AWAY and random.Random(f"{seed} {n}").random() > MISSED_DAYS
        count = 0
        if at_work:
            round_of_day = choose(person, day, load[n] if load else 0)
            count = len(round_of_day)
            for exercise in round_of_day:
                person.answer(exercise, day)
            if worked % LESSON_EVERY == 0 and lessons:
                for exercise in lessons.pop(0):
                    person.answer(exercise, day)
                last_lesson = n
            worked += 1
        done.append(count)
        if n % 7 == 4:
            waiting.append(due_on(person, day))
        known[n] = mean(person.recalls(name, day) for name in bank.exercises_for)
    stands = [one for name, one in bank.knowledge(person.tries).items() if name in bank.exercises_for]
    shown = sum(one.first_held is not None for one in stands)
    return {"done": done, "waiting": waiting, "known": known, "last": last_lesson, "shown": shown}


def due_on(person: Person, day: date) -> int:
    """Return how many things that were shown, or went wrong, wait to be asked on a day."""
    about, count = person.bank.about(person.tries), 0
    for name in person.bank.exercises_for:
        shown = person.bank.known(name, about.get(name, ()))
        safety = person.bank.criteria[name].safety_critical
        on = ask_again_on(about.get(name, ()), shown, person.bank.facts_of, safety=safety)
        missed = max(shown.missed, default=-1) > max(shown.counted, default=-1)
        count += on is not None and on <= day and (shown.first_held is not None or missed)
    return count


def both(task: tuple[int, int]) -> tuple[dict, dict]:
    """Return one person's year by Today, and by a fixed review of the same effort."""
    seed, days = task
    ours = year(by_today, seed, days)
    return ours, year(by_turns, seed, days, ours["done"])


def main() -> int:
    """Print the year and say whether what was asked for is reached."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--people", type=int, default=8)
    parser.add_argument("--days", type=int, default=365)
    args = parser.parse_args()
    with ProcessPoolExecutor(2) as pool:
        years = list(pool.map(both, [(seed, args.days) for seed in range(1, args.people + 1)]))
    ours, fixed = [one for one, _ in years], [other for _, other in years]
    most = max(max(one["done"]) for one in ours)
    after_away = max(max(one["done"][AWAY.stop : AWAY.stop + 14], default=0) for one in ours)
    print(f"{args.people} people, {args.days} days")
    worked = [n for one in ours for n in one["done"] if n]
    print(f"tasks on a day with a round: {mean(worked):.1f} on average, at most {most} (asked: {MOST_A_DAY})")
    print(f"in the two weeks after {len(AWAY)} days away: at most {after_away}")
    print(f"waiting at a week's end: {mean(n for one in ours for n in one['waiting']):.1f} on average")
    shown = [mean(one["shown"] for one in side) for side in (ours, fixed)]
    print(f"shown by practice within the year: {shown[0]:.1f} of 40; by fixed review {shown[1]:.1f}")
    rows = {}
    for label, after in (("30 days", 30), (f"{AFTER_LESSONS} days", AFTER_LESSONS), ("180 days", 180)):
        pair = [mean(one["known"].get(one["last"] + after, 0.0) for one in side) for side in (ours, fixed)]
        rows[after] = pair
        today, turns = (f"{100 * one:.1f} %" for one in pair)
        print(f"recalled {label} after the last lesson: {today}, fixed review {turns}")
    ok = most <= MOST_A_DAY and rows[AFTER_LESSONS][0] > rows[AFTER_LESSONS][1] and after_away <= most
    print("reached" if ok else "MISSED")
    return 0 if ok else 1


if __name__ == "__main__":
    sys.exit(main())
