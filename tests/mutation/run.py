"""Change a module on purpose, a thousand times, and see whether a test notices.

    .venv/bin/pip install -e '.[test,mutation]'
    .venv/bin/python tests/mutation/run.py rules            # one group of groups.toml
    .venv/bin/python tests/mutation/run.py rules holding    # one of its modules
    .venv/bin/python tests/mutation/run.py ledger --share 0.3    # a sample of each, always the same
    .venv/bin/python tests/mutation/run.py ledger --results FILE --again --most-s 60    # those alive

Each mutant changes the running module in a fork of the collected tests, and the tests that reach its lines
run: those that killed a neighbour first, then the quickest, up to the group's ``most_s`` of processor time.
What is no body of a function, or ran already while tests were collected, is imported afresh in a process of
its own.

Ends with 1 if a mutant is alive that ``survivors.toml`` does not name, or one is named that is dead.
"""

from __future__ import annotations

import argparse
import functools
import gc
import hashlib
import json
import multiprocessing
import os
import resource
import shutil
import signal
import sys
import tempfile
import time
import tomllib
import types
from collections import Counter, defaultdict
from pathlib import Path
from typing import Any

import pytest

sys.path.insert(0, str(Path(__file__).resolve().parent))  # where this stands, and what stands beside it
from afresh import OPTIONS, ROOT, fresh, quiet
from fates import ALIVE, HERE, KILLED, LATE, STILLBORN, drawn, keyed, known, report
from mutants import Mutant

LIBRARIES = ["numpy", "scipy.special", "sqlalchemy", "alembic.command", "pint", "pypdf"]
COLLECTING = ""  # what coverage calls the lines that no test reached
MOST_AFRESH = 150  # tests in a process of its own


class Runner:
    """A pytest plugin that runs the collected tests once for each mutant instead of once."""

    def __init__(self, group: dict[str, Any], measured: list[Path], paths: list[Path], asked) -> None:
        import coverage

        self.group, self.measured, self.paths, self.asked = group, measured, paths, asked
        self.results: Path = asked.results
        self.cover = coverage.Coverage(data_file=None, include=[str(path) for path in measured])
        self.cover.start()  # already while the tests are collected
        self.scratch = Path(tempfile.mkdtemp(prefix="mutants-"))
        self.shared: Path | None = None
        self.warmed: set[Path] = set()
        self.failed = ""
        self.functions: dict[Path, list[types.FunctionType]] = {}
        self.killers: dict[tuple[Path, str], Counter[str]] = defaultdict(Counter)
        self.seconds: dict[str, float] = {}
        self.reached: dict[Path, dict[int, set[str]]] = {}

    def pytest_runtest_logreport(self, report) -> None:
        if report.failed:
            self.failed = f"{report.nodeid}\n{report.longrepr}"

    def pytest_runtestloop(self, session) -> bool:
        self.items = {item.nodeid: item for item in session.items}
        self._warm()
        _forget()  # finds the caches once, not in every fork
        gc.collect()
        gc.freeze()  # so that a fork copies little
        self._baseline()
        context = multiprocessing.get_context("forkserver")
        context.set_forkserver_preload(LIBRARIES)
        self._unchanged_is_alive(context)
        for path in self.paths:
            self._module(context, path)
        shutil.rmtree(self.scratch, ignore_errors=True)
        spent = [resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
        print(f"\n{sum(one.ru_utime + one.ru_stime for one in spent):.0f} s of processor time")
        return True

    def _module(self, context, path: Path) -> None:
        done, again = known(self.results, path), self.asked.again
        for key, mutant in sorted(keyed(path), key=lambda each: not each[1].inside):
            wanted = done.get(key) in (ALIVE, LATE) if again else key not in done
            if mutant.kind == "message" or not wanted or not (again or drawn(key, self.asked.share)):
                continue
            fate = self._fate(context, path, mutant)
            with self.results.open("a", encoding="utf-8") as out:
                print(json.dumps([key, mutant.line, fate]), file=out)
            dead = fate in (KILLED, STILLBORN)
            print("." if dead else f" {path.stem}:{mutant.line} {fate} ", end="", flush=True)

    def _fate(self, context, path: Path, mutant: Mutant) -> str:
        lines = range(mutant.line, mutant.end + 1)
        near = {test for line in lines for test in self.reached[path].get(line, ())}
        early = COLLECTING in near or not mutant.inside
        near = near if mutant.inside else set(self.seconds)  # a constant is read where no line of it runs
        chosen = self._chosen(path, mutant.place, near - {COLLECTING})
        fate = ALIVE
        if chosen and mutant.inside:
            fate = self._fork(path, mutant, chosen)
        if fate == ALIVE and early:
            fate = self._fresh(context, path, mutant.code, chosen[:MOST_AFRESH])
        return fate

    def _chosen(self, path: Path, place: str, near: set[str]) -> list[str]:
        """Return the tests to try: what killed here, then what kills in this module, then the quickest."""
        here, anywhere = self.killers[path, place], self.killers[path, ""]
        costs = {test: self.seconds[test] for test in near if test in self.seconds}
        order = sorted(costs, key=lambda test: (-here[test], costs[test] / (1 + anywhere[test])))
        left, chosen = self.asked.most_s or float(self.group.get("most_s", 1e9)), []
        for test in order:
            left -= costs[test]
            if left < 0 and chosen:
                break
            chosen.append(test)
        return chosen

    def _warm(self) -> None:
        """Play one test here: what a whole session shares, and late imports, are then in every fork.

        Records that it built are those of the day before: a changed module meets them as it meets old files.
        """
        if warm := self.group.get("warm"):
            self.cover.stop()
            item = self.items[warm]
            far = next(other for other in self.items.values() if other.path != item.path)
            item.config.hook.pytest_runtest_protocol(item=item, nextitem=far)
            if self.failed:
                pytest.exit(self.failed, 1)
            self.shared = item.config._tmp_path_factory.getbasetemp()
            self.warmed = set(self.shared.glob("*/*"))
            self.cover.start()

    def _baseline(self) -> None:
        """Find which tests reach which line, and how long each takes, each in a fork. None may fail.

        What is on file beside the fates is not measured again, unless a module or the test's file changed.
        """
        kept = self.results.with_suffix(".tests")
        state = _mark(self.measured)
        marks = {test: state + _mark([Path(item.path)]) for test, item in self.items.items()}
        rows = [json.loads(line) for line in kept.read_text("utf-8").splitlines()] if kept.exists() else []
        found = {test: told for test, mark, *told in rows if marks.get(test) == mark}
        note = self.scratch / "baseline.json"
        with kept.open("a", encoding="utf-8") as out:
            for test in (test for test in self.items if test not in found):
                note.unlink(missing_ok=True)
                work = functools.partial(self._measure, test, note)
                if self._wait(self._start(work, 600), 3600) != 0:
                    pytest.exit(f"A test fails before anything was changed: {test} {_read(note)}", 1)
                found[test] = json.loads(note.read_text())
                print(json.dumps([test, marks[test], *found[test]]), file=out)
        self.cover.stop()
        data = self.cover.get_data()
        self.reached = {path: defaultdict(set) for path in self.measured}
        for path, each in self.reached.items():
            for line in data.lines(str(path)) or ():
                each[line].add(COLLECTING)
        for test, (spent, lines) in found.items():
            self.seconds[test] = spent
            for path, each in self.reached.items():
                for line in lines.get(str(path.relative_to(ROOT)), ()):
                    each[line].add(test)
        print(f"{len(self.seconds)} tests, {sum(self.seconds.values()):.0f} s of processor time", flush=True)

    def _measure(self, test: str, note: Path) -> int:
        _forget()
        self.cover.switch_context(test)
        began = time.process_time()
        self._play([test])
        if self.failed:
            note.write_text(self.failed)
            return 1
        spent = time.process_time() - began
        self.cover.stop()
        data = self.cover.get_data()
        lines = {}
        for path in self.measured:
            told = data.contexts_by_lineno(str(path)).items()
            if mine := [line for line, tests in told if test in tests]:
                lines[str(path.relative_to(ROOT))] = mine
        note.write_text(json.dumps([spent, lines]))
        return 0

    def _unchanged_is_alive(self, context) -> None:
        """Stop if either way calls a module dead that nobody changed: then no fate would mean anything."""
        path = self.paths[0]
        code = path.read_text("utf-8")
        same = Mutant(0, 0, "", "value", True, "", "", code)
        near = {test for tests in self.reached[path].values() for test in tests} - {COLLECTING}
        tests = self._chosen(path, "", near)
        fates = {self._fork(path, same, tests), self._fresh(context, path, code, tests[:MOST_AFRESH])}
        if fates != {ALIVE}:
            why = _read(self.scratch / "killer")
            pytest.exit(f"{path} is unchanged, and yet: {fates}. {why}", 1)

    def _play(self, tests: list[str]) -> None:
        chosen = [self.items[test] for test in tests]
        if chosen:  # a test that was played to warm up has left what it shares with its neighbours
            chosen[0].session._setupstate.teardown_exact(chosen[0])
        for item, following in zip(chosen, [*chosen[1:], None], strict=True):
            item.config.hook.pytest_runtest_protocol(item=item, nextitem=following)
            if self.failed:
                return

    def _fork(self, path: Path, mutant: Mutant, tests: list[str]) -> str:
        """Run tests on a changed module. What killed a neighbour is tried first the next time."""
        note = self.scratch / "killer"
        if path not in self.functions:
            self.functions = {path: _functions(path)}
            gc.freeze()

        def play() -> int:
            _take_over(self.functions[path], path, mutant.code)
            self._play(tests)
            note.write_text(self.failed.partition("\n")[0])
            return int(bool(self.failed))

        note.unlink(missing_ok=True)
        seconds = sum(self.seconds[test] for test in tests)
        ended = self._wait(self._start(play, 10 + 5 * seconds), 120 + 60 * seconds)
        fate = {0: ALIVE, None: LATE, -signal.SIGXCPU: LATE}.get(ended, KILLED)
        if fate == KILLED and note.exists():
            for place in (mutant.place, ""):
                self.killers[path, place][note.read_text()] += 1
        return fate

    def _start(self, work, most_s: float) -> int:
        """Begin some work in a fork, with so much processor time."""
        pid = os.fork()
        if pid == 0:
            try:
                quiet()
                resource.setrlimit(resource.RLIMIT_CPU, (int(most_s) + 1, int(most_s) + 5))
                config = next(iter(self.items.values())).config
                config._tmp_path_factory._basetemp = self.scratch / str(os.getpid())
                config._tmp_path_factory._basetemp.mkdir()
                os._exit(work())
            finally:
                os._exit(1)
        return pid

    def _wait(self, pid: int, limit_s: float) -> int | None:
        ends = time.monotonic() + limit_s
        code = None
        while time.monotonic() < ends:
            done, status = os.waitpid(pid, os.WNOHANG)
            if done:
                code = os.waitstatus_to_exitcode(status)
                break
            time.sleep(0.01)
        else:
            os.kill(pid, signal.SIGKILL)
            os.waitpid(pid, 0)
        shutil.rmtree(self.scratch / str(pid), ignore_errors=True)
        for left in set(self.shared.glob("*/*")) - self.warmed if self.shared else ():
            shutil.rmtree(left, ignore_errors=True)
        return code

    def _fresh(self, context, path: Path, code: str, tests: list[str]) -> str:
        if not tests:
            return ALIVE
        module = ".".join(path.relative_to(ROOT).with_suffix("").parts)
        base = str(self.scratch / "fresh")
        process = context.Process(target=fresh, args=(module, str(path), code, tests, base))
        process.start()
        process.join(600 + 60 * sum(self.seconds[test] for test in tests))
        if process.is_alive():
            process.kill()
            process.join()
            return LATE
        shutil.rmtree(base, ignore_errors=True)
        return {0: ALIVE, 3: STILLBORN}.get(process.exitcode, KILLED)


def _read(path: Path) -> str:
    return path.read_text() if path.exists() else ""


def _mark(paths: list[Path]) -> str:
    told = hashlib.sha256()
    for path in paths:
        told.update(path.read_bytes())
    return told.hexdigest()[:16]


def _take_over(functions: list[types.FunctionType], path: Path, code: str) -> None:
    """Give the functions of a module that is loaded the code of a changed text, and forget what is cached."""
    new: dict[str, types.CodeType] = {}

    def walk(found: types.CodeType) -> None:
        for each in found.co_consts:
            if isinstance(each, types.CodeType):
                new.setdefault(each.co_qualname, each)
                walk(each)

    walk(compile(code, str(path), "exec"))
    _forget()
    for function in functions:
        fitting = new.get(function.__code__.co_qualname)
        if fitting is not None and fitting.co_freevars == function.__code__.co_freevars:
            function.__code__ = fitting


def _functions(path: Path) -> list[types.FunctionType]:
    gc.unfreeze()  # what is frozen is not listed
    things = (thing for thing in gc.get_objects() if isinstance(thing, types.FunctionType))
    return [function for function in things if function.__code__.co_filename == str(path)]


def _forget() -> None:
    """Empty the caches of the kit, so that no test lives on what another one computed."""
    for cached in _caches(len(sys.modules)):
        cached.cache_clear()


@functools.lru_cache(maxsize=1)
def _caches(modules: int) -> list[functools._lru_cache_wrapper]:
    gc.unfreeze()
    things = (thing for thing in gc.get_objects() if isinstance(thing, functools._lru_cache_wrapper))
    return [cached for cached in things if str(cached.__module__).startswith("kit")]


def main() -> int:
    """Run one group, or some modules of it."""
    groups = tomllib.loads((HERE / "groups.toml").read_text("utf-8"))
    words = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    words.add_argument("group", choices=groups)
    words.add_argument("modules", nargs="*", help="the stems of some modules of the group; default all")
    words.add_argument("--results", type=Path, help="where the fates are kept, so that a run can go on")
    words.add_argument("--again", action="store_true", help="try those once more that were alive")
    words.add_argument("--most-s", type=float, help="seconds of tests for a mutant, instead of the group's")
    words.add_argument("--share", type=float, default=1.0, help="only this share of each module, by lot")
    words.add_argument("--report", action="store_true", help="run nothing, only tell what is on file")
    asked = words.parse_args()
    group = groups[asked.group]
    measured = [path for pattern in group["modules"] for path in sorted(ROOT.glob(pattern))]
    paths = [path for path in measured if not asked.modules or path.stem in asked.modules]
    asked.results = asked.results or Path(tempfile.mkdtemp()) / "fates.jsonl"
    if not asked.report:
        os.chdir(ROOT)
        print(f"The fates are kept in {asked.results}", flush=True)
        runner = Runner(group, measured, paths, asked)
        ended = pytest.main([*OPTIONS, "--capture=no", *group["tests"]], [runner])
        if ended not in (0, 5):
            return int(ended)
    return min(report(paths, asked.results, asked.share), 1)


if __name__ == "__main__":
    sys.exit(main())
