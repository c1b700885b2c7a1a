"""What came of the mutants: their names, the file of fates, the report."""

from __future__ import annotations

import functools
import hashlib
import json
import math
import tomllib
from collections import Counter
from pathlib import Path

from afresh import ROOT
from mutants import Mutant, mutants

HERE = Path(__file__).resolve().parent
KILLED, ALIVE, LATE, STILLBORN = "killed", "alive", "out of time", "does not import"


Key = tuple[str, ...]


@functools.lru_cache
def keyed(path: Path) -> list[tuple[Key, Mutant]]:
    """Return the mutants of a module, each under its module, place, line before and line after.

    Two that read the same differ in a number at the end, so that nothing depends on numbers of lines.
    """
    seen: Counter[Key] = Counter()
    found = []
    for mutant in mutants(path.read_text("utf-8")):
        key = (str(path.relative_to(ROOT)), mutant.place, mutant.before, mutant.after)
        seen[key] += 1
        found.append(((*key, f"no. {seen[key]}") if seen[key] > 1 else key, mutant))
    return found


def drawn(key: Key, share: float) -> bool:
    """Return whether a mutant is in the sample of this share: always the same, and a larger one holds it."""
    number = int.from_bytes(hashlib.sha256("\n".join(key).encode()).digest()[:8], "big")
    return number < share * 2**64


def known(results: Path, path: Path) -> dict[Key, str]:
    """Return the fates that are on file for a module."""
    if not results.exists():
        return {}
    rows = [json.loads(line) for line in results.read_text("utf-8").splitlines()]
    return {tuple(key): fate for key, _, fate in rows if key[0] == str(path.relative_to(ROOT))}


def report(paths: list[Path], results: Path, share: float = 1.0) -> int:
    """Print a line a module and a sum, hold the survivors against the list, and return how many differ."""
    listed = tomllib.loads((HERE / "survivors.toml").read_text("utf-8"))["survivor"]
    names = ("module", "place", "before", "after", "which")
    reasons = {tuple(each[name] for name in names if name in each): each["reason"] for each in listed}
    total: Counter[str] = Counter()
    alive = set()
    for path in paths:
        fates, counts = known(results, path), Counter()
        for key, mutant in keyed(path):
            fate = "message" if mutant.kind == "message" else fates.get(key, "not run")
            if fate == "not run" and not drawn(key, share):
                fate = "not drawn"
            counts[fate] += 1
            if fate == ALIVE:
                alive.add(key)
        total += counts
        print(f"{path.relative_to(ROOT)!s:36} {_figures(counts)}")
    print(f"{'all':36} {_figures(total)}")
    names = {str(path.relative_to(ROOT)) for path in paths}
    new = alive - set(reasons)
    gone = {key for key in reasons if key[0] in names} - alive
    for title, keys in (("Alive and not listed", new), ("Listed and not alive", gone)):
        for key in sorted(keys):
            print(f"{title}: {key[0]}, {key[1]}\n  - {key[2]}\n  + {' '.join(key[3:])}")
    return len(new) + len(gone)


def _figures(counts: Counter[str]) -> str:
    judged = counts[KILLED] + counts[LATE] + counts[ALIVE]
    share = f"{100 * (judged - counts[ALIVE]) / judged:.1f} %" if judged else "-"
    rest = ", ".join(f"{number} {fate}" for fate, number in sorted(counts.items()) if number)
    whole = counts["not run"] + counts["not drawn"] == 0
    sure = (
        ""
        if whole or not judged
        else " [{:.1f} to {:.1f} %]".format(*between(judged - counts[ALIVE], judged))
    )
    return f"{share:>8}{sure} of {judged:4} killed ({rest})"


def between(found: int, of: int) -> tuple[float, float]:
    """Return the limits in per cent between which a share lies with 95 %, by a sample: Wilson's interval.

    >>> "{:.1f} {:.1f}".format(*between(95, 100))
    '88.8 97.8'
    """
    z = 1.959964
    p, wide = found / of, 1 + z * z / of
    middle, half = p + z * z / (2 * of), z * math.sqrt(p * (1 - p) / of + z * z / (4 * of * of))
    return 100 * (middle - half) / wide, 100 * (middle + half) / wide
