"""How far the bank can be guessed by who knows nothing: every exercise before the panel, against its limits.

    python tests/benchmarks/guess_panel.py [--seeds 120] [--id ID ...] [--write]

``--write`` keeps what was measured where the rule of knowledge reads it. Without it the script ends with 1 if
what is kept is no longer true, if an exercise breaks a limit and is not on the list of those still to be
mended (``tests/data/guessable.toml``), or if one on that list keeps all limits now: the list only shrinks.
"""

import argparse
import sys
import time
import tomllib
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

import tomli_w

from kit import exercises
from kit.basics.errors import KitError
from kit.exercises.engine.guess_panel import PanelFigures, panel_figures
from kit.exercises.engine.measured import FILE, measured

TO_MEND = Path(__file__).parents[1] / "data" / "guessable.toml"
STALE = 0.1
REMEMBERED_BY_THREE, AT_MOST_PCT = 0.8, 15


def main() -> int:
    """Print the figures, and return 1 if anything is worse than it may be."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--seeds", type=int, default=120)
    parser.add_argument("--id", action="append")
    parser.add_argument("--write", action="store_true")
    options = parser.parse_args()
    started = time.perf_counter()
    ids = tuple(options.id or exercises.ids())
    with ProcessPoolExecutor(2) as pool:
        measured_or_not = list(pool.map(figures_or_fault, ids, [options.seeds] * len(ids), chunksize=4))
    broken = [one for one in measured_or_not if isinstance(one, str)]
    if broken:
        print("\n".join(broken), file=sys.stderr)
        return 1
    found = [one for one in measured_or_not if isinstance(one, PanelFigures)]
    for one in found:
        name, share = one.best
        print(
            f"{one.exercise:28} {one.kind:9} contents {one.contents:3} truths {one.truths:3}  "
            f"best {share:.2f} ({name})  memory of 1 {one.remembers_one:.2f}, "
            f"of 3 {one.remembers_three:.2f}, of 8 {one.remembers_eight:.2f}"
        )
    tell(found, time.perf_counter() - started)
    if options.write:
        write(found)
        return 0
    faults = [*stale(found), *against_the_list(found, whole=options.id is None)]
    print("\n".join(faults) or "no fault")
    return 1 if faults else 0


def figures_or_fault(exercise: str, seeds: int) -> PanelFigures | str:
    """Return the figures of an exercise, or in one line why there are none: no error of the kit pickles."""
    try:
        return panel_figures(exercise, seeds)
    except KitError as error:
        return " ".join(str(error).split())


def tell(found: list[PanelFigures], spent_s: float) -> None:
    """Print the figures of the bank as a whole."""
    mean = sum(one.best[1] for one in found) / len(found)
    three = 100 * sum(one.remembers_three >= REMEMBERED_BY_THREE for one in found) / len(found)
    print(f"{len(found)} exercises, {spent_s:.0f} s")
    print(f"the best member is right {mean:.2f} of the time on average (to reach 0.25)")
    print(f"right more than half of the time in {sum(one.best[1] > 0.5 for one in found)} exercises (0)")
    print(f"memory of one is right 0.9 or more in {sum(one.remembers_one >= 0.9 for one in found)} (0)")
    print(f"memory of three is right 0.8 or more in {three:.0f} % (at most {AT_MOST_PCT} %)")
    print(f"fewer than 8 contents in {sum(one.contents < 8 for one in found)} (0, or named)")
    print(f"fewer than 3 truths in {sum(one.truths < 3 for one in found)} (0, or named)")


def write(found: list[PanelFigures]) -> None:
    """Keep what was measured, and the list of what is still to be mended."""
    kept = {} if len(found) == len(exercises.ids()) else tomllib.loads(FILE.read_text())
    kept |= {
        one.exercise: {"kind": one.kind, "guess_chances": [round(each, 2) for each in one.guess_chances]}
        for one in found
    }
    FILE.write_text(tomli_w.dumps(dict(sorted(kept.items()))), encoding="utf-8")
    if len(found) == len(exercises.ids()):
        faults = {one.exercise: list(one.faults) for one in found if one.faults}
        TO_MEND.write_text(tomli_w.dumps(dict(sorted(faults.items()))), encoding="utf-8")


def stale(found: list[PanelFigures]) -> list[str]:
    """Return where what is kept says something else than was measured now."""
    kept = measured()
    return [
        f"{one.exercise}: measured again it is {one.guess_chances}: run with --write"
        for one in found
        if one.exercise not in kept
        or kept[one.exercise].kind != one.kind
        or any(
            abs(before - now) > STALE
            for before, now in zip(kept[one.exercise].remembering, one.guess_chances, strict=True)
        )
    ]


def against_the_list(found: list[PanelFigures], *, whole: bool) -> list[str]:
    """Return the exercises that break a limit unlisted, and those on the list that keep them all."""
    listed = tomllib.loads(TO_MEND.read_text())
    sorts = {one.exercise: {fault.split(" by ")[0] for fault in one.faults} for one in found}
    faults = []
    for name, broken in sorts.items():
        known = {fault.split(" by ")[0] for fault in listed.get(name, [])}
        faults += [f"{name}: {fault}, and it is not on the list" for fault in sorted(broken - known)]
        if known and not broken:
            faults.append(f"{name}: it keeps every limit now: take it off the list (--write)")
    unknown = set(listed) - set(sorts) if whole else set()
    return [*faults, *(f"{name}: on the list, and in no lesson" for name in sorted(unknown))]


if __name__ == "__main__":
    sys.exit(main())
