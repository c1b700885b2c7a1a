"""What one apprentice takes of a machine: server and engine, each as it stands with a lesson open and run.

    python tests/benchmarks/bench_memory.py [--lesson 05_cook_by_temperature.ipynb]

Printed for each process: USS, what it alone holds, and PSS, with its part of what several hold. Every code
cell of the lesson is run, and every explorer of it draws once. Exit code 1 if both are above 220 MB.
"""

from __future__ import annotations

import argparse
import shutil
import sys
import tempfile
from pathlib import Path
from typing import Any

from kit.practice import people, prepare
from kit.views.workbook.server import Workbook

MOST_MB = 220.0


def held_mb(pid: int) -> tuple[float, float]:
    """Return USS and PSS of a process. [MB]"""
    found: dict[str, float] = {}
    for line in Path(f"/proc/{pid}/smaps_rollup").read_text(encoding="ascii").splitlines()[1:]:
        name, value = line.split(":")
        found[name] = float(value.split()[0]) / 1024
    return found["Private_Clean"] + found["Private_Dirty"], found["Pss"]


def children(pid: int) -> list[int]:
    """Return the processes that a process started."""
    found = []
    for task in Path(f"/proc/{pid}/task").iterdir():
        found += [int(each) for each in (task / "children").read_text(encoding="ascii").split()]
    return found


def run_lesson(book: Workbook, lesson: str) -> None:
    """Run every code cell of a lesson in the engine that a page would find, then draw each explorer once."""
    import json
    import urllib.request

    import nbformat
    from jupyter_client.blocking import BlockingKernelClient

    book.warm(lesson)
    asked = urllib.request.Request(
        f"{book.base}/api/sessions", headers={"Authorization": f"token {book.token}"}
    )
    (session,) = json.loads(urllib.request.urlopen(asked, timeout=30).read())
    client: Any = BlockingKernelClient()
    client.load_connection_file(str(book.room / "runtime" / f"kernel-{session['kernel']['id']}.json"))
    client.start_channels()
    for cell in nbformat.read(book.lessons / lesson, as_version=4).cells:
        if cell.cell_type == "code":
            client.execute_interactive(cell.source, timeout=300, output_hook=lambda _: None)
    draw = (
        "from ipywidgets import Widget as _W\n"
        "for _w in list(_W.widgets.values()):\n"
        "    if type(_w).__name__ == 'Explorer': _w.heard({'do': 'draw', 'serial': 1, 'settings': {}})"
    )
    client.execute_interactive(draw, timeout=300, output_hook=lambda _: None)
    client.stop_channels()


def main() -> int:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--lesson", default="05_cook_by_temperature.ipynb")
    lesson = parser.parse_args().lesson
    home = Path(tempfile.mkdtemp(prefix="bench-memory-"))
    person = people.create("Bench Memory", home=home)
    prepare(person)
    environment = {"SMOKEHOUSE_PERSON": person.id, "SMOKEHOUSE_HOME": str(home)}
    book = Workbook(person.lessons, person.folder / "jupyter", environment=environment)
    try:
        book.start()
        server = book.pid
        fresh = held_mb(server)
        run_lesson(book, lesson)
        whole = 0.0
        print(f"{'server, nobody there':24} USS {fresh[0]:6.0f} MB   PSS {fresh[1]:6.0f} MB")
        for name, pid in (("server", server), *(("engine", each) for each in children(server))):
            uss, pss = held_mb(pid)
            whole += pss
            print(f"{name:24} USS {uss:6.0f} MB   PSS {pss:6.0f} MB")
        print(f"{'together':24} PSS {whole:6.0f} MB (to reach: {MOST_MB:.0f})")
    finally:
        book.stop()
        shutil.rmtree(home, ignore_errors=True)
    return 0 if whole <= MOST_MB else 1


if __name__ == "__main__":
    if not Path("/proc/self/smaps_rollup").exists():
        sys.exit("This system does not tell what a process holds.")
    sys.exit(main())
