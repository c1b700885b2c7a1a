"""The newcomer's first day, played and counted: from an empty folder to six apprentices.

    python tests/benchmarks/first_day.py [--page | --commands]

At the page somebody opens `smokehouse desk` and fills in one form in a real browser. By commands they use the
table of people: only people, no kitchen file and no fitness. Prints the commands, the fields typed, the
presses, and the seconds that the machine took. Its own typing is instant, so for a person 6 s a field, 3 s a
press and 20 s a command are added: our guess, no source. Exits with 1 if 10 min or 8 commands are passed, or
if the records do not check.
"""

from __future__ import annotations

import argparse
import os
import re
import shutil
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass, field
from pathlib import Path

CREW = ("Ana Lind", "Tam Ferris", "Lea Okafor", "Ivo Marsh", "Una Reck", "Sol Hane")
MANAGER, SECRET = "Hedda Quill", "three plain words"
MOST_MIN, MOST_COMMANDS = 10.0, 8
FIELD_S, PRESS_S, COMMAND_S = 6.0, 3.0, 20.0
SMOKEHOUSE = (sys.executable, "-m", "kit.cli")


@dataclass
class Count:
    """What a first day took."""

    way: str
    commands: int = 0
    fields: int = 0
    presses: int = 0
    began: float = field(default_factory=time.perf_counter)

    def told(self) -> float:
        """Print it and return the minutes that a person would need."""
        machine = time.perf_counter() - self.began
        person = self.fields * FIELD_S + self.presses * PRESS_S + self.commands * COMMAND_S
        minutes = (machine + person) / 60
        print(
            f"{self.way}: {self.commands} commands, {self.fields} fields, {self.presses} presses; "
            f"machine {machine:.0f} s; with a person's hands about {minutes:.1f} min (to reach: {MOST_MIN:g})"
        )
        return minutes


def at_the_page(home: Path) -> Count:
    """Open the desk on nothing, fill in the form of the first day, and look at the desk that follows."""
    from playwright.sync_api import expect, sync_playwright

    count = Count("at the page", commands=1)
    command = [*SMOKEHOUSE, "desk", "--no-browser"]
    served = subprocess.Popen(
        command, env=_env(home), stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True
    )
    try:
        assert served.stdout is not None
        address = re.search(r"(https?|file)://\S+", served.stdout.readline())
        assert address is not None, "the desk gave no address"
        with sync_playwright() as playwright:
            chromium = shutil.which("chromium") or shutil.which("google-chrome")
            browser = playwright.chromium.launch(executable_path=chromium, args=["--no-sandbox"])
            page = browser.new_page(viewport={"width": 1280, "height": 900})
            expect.set_options(timeout=90_000)
            page.goto(address.group(0))
            typed = {
                "The kitchen's name": "The Quay",
                "Your name": MANAGER,
                "A password for your key": SECRET,
                "The password once more": SECRET,
                "What makes you fit": "Master's paper",
                "Last day on which": "2030-01-01",
                "Who is learning here": "\n".join(CREW),
            }
            for label, text in typed.items():
                page.get_by_label(label).fill(text)
                count.fields += len(CREW) if "\n" in text else 1
            for name in ("Show what will be recorded", "Do it"):
                page.get_by_role("button", name=name, exact=True).click()
                count.presses += 1
            expect(page.get_by_text("Recovery code")).to_be_visible()
            page.reload()
            count.presses += 1
            expect(page.get_by_role("heading", name=f"{MANAGER} is at the desk")).to_be_visible()
            expect(page.locator("[data-page=manager]")).to_contain_text(f"The crew: {len(CREW)}")
            browser.close()
    finally:
        served.terminate()
        served.wait(30)
    return count


def by_commands(home: Path) -> Count:
    """Begin the records, write the table, check it and bring it in."""
    count, crew = Count("by commands"), home / "crew.csv"
    home.mkdir(parents=True)
    begin = ("staff", "begin", MANAGER)
    for words in (begin, ("bring-in", str(crew), "--template")):
        _run(home, count, *words)
    told = crew.read_text(encoding="utf-8-sig").splitlines()
    head = next(line for line in told if not line.startswith("#"))
    split = ";" if ";" in head else ","
    columns = [name.strip() for name in head.split(split)]
    for name in CREW:
        row = {"name": name, "role": "apprentice", "started": "2026-03-02"}
        told.append(split.join(row.get(column, "") for column in columns))
    filled = [line for line in told if line == head or line.split(split)[0] in CREW]
    crew.write_text("\n".join(filled) + "\n", encoding="utf-8")
    count.fields += 2 * len(CREW)
    for more in ("--check", ""):
        _run(home, count, "bring-in", str(crew), *filter(None, [more]), "--as", MANAGER)
    return count


def _run(home: Path, count: Count, *words: str) -> None:
    done = subprocess.run([*SMOKEHOUSE, *words], env=_env(home), capture_output=True, text=True)
    assert done.returncode == 0, f"{' '.join(words)}: {done.stdout}{done.stderr}"
    count.commands += 1


def _env(home: Path) -> dict[str, str]:
    return {**os.environ, "SMOKEHOUSE_HOME": str(home), "SMOKEHOUSE_PASSWORD": SECRET}


def learning(home: Path) -> int:
    """Return how many apprentices are on file, once all the records check."""
    from kit.records import open_records
    from kit.records.people.staff import members
    from kit.records.upkeep.whole_check import check_all

    records = open_records(home / "tutor" / "records.db", make=False)
    try:
        report = check_all(records)
        assert report.whole, report.problems
        return sum(one.roles == ("apprentice",) for one in members(records))
    finally:
        records.close()


def main() -> int:
    """Play and print."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--page", action="store_true")
    parser.add_argument("--commands", action="store_true")
    options = parser.parse_args()
    both = not (options.page or options.commands)
    ways = [at_the_page] * (options.page or both) + [by_commands] * (options.commands or both)
    missed = 0
    for way in ways:
        with tempfile.TemporaryDirectory() as folder:
            home = Path(folder) / "home"
            count = way(home)
            minutes = count.told()
            found = learning(home)
            print(f"  apprentices on file: {found}; the records check")
            missed += minutes > MOST_MIN or count.commands > MOST_COMMANDS or found != len(CREW)
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main())
