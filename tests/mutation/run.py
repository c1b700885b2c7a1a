"""Change a module on purpose, a thousand times, and see whether a test notices.

    .venv/bin/pip install -e '.[test,mutation]'
    .venv/bin/python tests/mutation/run.py rules            # one group of groups.toml
    .venv/bin/python tests/mutation/run.py rules holding    # one of its modules

Each mutant changes the running module in a fork of the collected tests, and the tests that reach its lines
run, the quickest first. What is no body of a function, or ran already while tests were collected, is imported
afresh in a process of its own and meets all tests of its group before it is called alive.

Ends with 1 if a mutant is alive that ``survivors.toml`` does not name, or one is named that is dead.
"""

from __future__ import annotations

import argparse
import functools
import gc
import importlib.abc
import importlib.util
import json
import multiprocessing
import os
import shutil
import signal
import sys
import tempfile
import time
import tomllib
import types
from collections import Counter, defaultdict
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).resolve().parent))  # where this stands, and mutants.py beside it
from mutants import Mutant, mutants

HERE = Path(__file__).resolve().parent
ROOT = HERE.parents[1]
OPTIONS = ["-q", "-x", "-n0", "--no-header", "--tb=short", "--capture=sys", f"--rootdir={ROOT}"]
LIBRARIES = ["numpy", "scipy.special", "sqlalchemy", "alembic.command", "pint", "pypdf"]
COLLECTING = ""  # what coverage calls the lines that no test reached
KILLED, ALIVE, LATE, STILLBORN = "killed", "alive", "out of time", "does not import"


# --- a fresh process for one mutant -------------------------------------------------------------------


class _Changed(importlib.abc.MetaPathFinder, importlib.abc.SourceLoader):
    """Imports one module from a changed text."""

    def __init__(self, module: str, path: str, code: str) -> None:
        self.module, self.path, self.code = module, path, code

    def find_spec(self, fullname, path=None, target=None):
        if fullname == self.module:
            return importlib.util.spec_from_file_location(fullname, self.path, loader=self)
        return None

    def get_filename(self, fullname):
        return self.path

    def get_data(self, path):
        return self.code.encode()


def fresh(module: str, path: str, code: str, tests: list[str], basetemp: str) -> None:
    """Import the changed module in this process, run the tests, and end with 0 if none failed."""
    _quiet()
    os.chdir(ROOT)
    sys.meta_path.insert(0, _Changed(module, path, code))
    try:
        importlib.import_module(module)
    except BaseException:
        os._exit(3)
    os._exit(0 if pytest.main([*OPTIONS, f"--basetemp={basetemp}", *tests]) == 0 else 1)


def _quiet() -> None:
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    os.dup2(nowhere, 2)


# --- the collected tests, forked for each mutant -----------------------------------------------------


class Runner:
    """A pytest plugin that runs the collected tests once for each mutant instead of once."""

    def __init__(self, paths: list[Path], tests: list[str], results: Path, again: bool) -> None:
        import coverage

        self.paths, self.tests, self.results, self.again = paths, tests, results, again
        self.cover = coverage.Coverage(data_file=None, include=[str(path) for path in paths])
        self.cover.start()  # already while the tests are collected
        self.scratch = Path(tempfile.mkdtemp(prefix="mutants-"))
        self.failed = ""
        self.functions: dict[Path, list[types.FunctionType]] = {}
        self.killers: dict[tuple[Path, str], list[str]] = defaultdict(list)

    def pytest_runtest_logreport(self, report) -> None:
        if report.failed:
            self.failed = f"{report.nodeid}\n{report.longrepr}"

    def pytest_runtestloop(self, session) -> bool:
        self.items = {item.nodeid: item for item in session.items}
        reached, seconds = self._baseline()
        whole = sum(seconds.values())
        context = multiprocessing.get_context("forkserver")
        context.set_forkserver_preload(LIBRARIES)
        self._unchanged_is_alive(context, 60 + 20 * whole)
        for path in self.paths:
            done = known(self.results, path)
            if self.again:
                done = {key: fate for key, fate in done.items() if fate not in (ALIVE, LATE)}
            for key, mutant in sorted(keyed(path), key=lambda each: not each[1].inside):
                if mutant.kind == "message" or key in done:
                    continue
                lines = range(mutant.line, mutant.end + 1)
                near = {test for line in lines for test in reached[path].get(line, ())}
                killers = Counter(self.killers[path, mutant.place])
                chosen = sorted(near & seconds.keys(), key=lambda test: (-killers[test], seconds[test]))
                early = COLLECTING in near or not mutant.inside
                first = chosen[:50] if early else chosen
                fate = ALIVE
                if first and mutant.inside:
                    fate = self._fork(path, mutant, first, 20 + 20 * sum(seconds[t] for t in first))
                if fate == ALIVE and early:
                    fate = self._fresh(context, path, mutant.code, 60 + 20 * whole)
                with self.results.open("a", encoding="utf-8") as out:
                    print(json.dumps([key, mutant.line, fate]), file=out)
                dead = fate in (KILLED, STILLBORN)
                print("." if dead else f" {path.stem}:{mutant.line} {fate} ", end="", flush=True)
        shutil.rmtree(self.scratch, ignore_errors=True)
        return True

    def _baseline(self) -> tuple[dict[Path, dict[int, list[str]]], dict[str, float]]:
        """Return which tests reach which line, and how long each takes, from a fork. None may fail."""
        note = self.scratch / "baseline.json"

        def measure() -> int:
            seconds = {}
            for test in self.items:
                _forget()
                self.cover.switch_context(test)
                began = time.perf_counter()
                self._play([test])
                if self.failed:
                    note.write_text(self.failed)
                    return 1
                seconds[test] = time.perf_counter() - began
            self.cover.stop()
            data = self.cover.get_data()
            lines = {str(path): data.contexts_by_lineno(str(path)) for path in self.paths}
            note.write_text(json.dumps([lines, seconds]))
            return 0

        ended = self._wait(self._start(measure), 3600)
        self.cover.stop()
        if ended != 0:
            pytest.exit(f"A test fails before anything was changed. {note.read_text()}", 1)
        lines, seconds = json.loads(note.read_text())
        print(f"{len(seconds)} tests, {sum(seconds.values()):.0f} s", flush=True)
        return {Path(path): {int(n): t for n, t in found.items()} for path, found in lines.items()}, seconds

    def _unchanged_is_alive(self, context, limit_s: float) -> None:
        """Stop if either way calls a module dead that nobody changed: then no fate would mean anything."""
        path = self.paths[0]
        code = path.read_text("utf-8")
        same = Mutant(0, 0, "", "value", True, "", "", code)
        fates = self._fork(path, same, list(self.items), limit_s), self._fresh(context, path, code, limit_s)
        if fates != (ALIVE, ALIVE):
            pytest.exit(f"{path} is unchanged, and yet: {fates}.", 1)

    def _play(self, tests: list[str]) -> None:
        chosen = [self.items[test] for test in tests]
        for item, following in zip(chosen, [*chosen[1:], None], strict=True):
            item.config.hook.pytest_runtest_protocol(item=item, nextitem=following)
            if self.failed:
                return

    def _fork(self, path: Path, mutant: Mutant, tests: list[str], limit_s: float) -> str:
        """Run tests on a changed module. What killed a neighbour is tried first the next time."""
        note = self.scratch / "killer"
        if path not in self.functions:
            self.functions = {path: _functions(path)}

        def play() -> int:
            _take_over(self.functions[path], path, mutant.code)
            self._play(tests)
            note.write_text(self.failed.partition("\n")[0])
            return int(bool(self.failed))

        note.unlink(missing_ok=True)
        fate = {0: ALIVE, None: LATE}.get(self._wait(self._start(play), limit_s), KILLED)
        if fate == KILLED and note.exists():
            self.killers[path, mutant.place].append(note.read_text())
        return fate

    def _start(self, work) -> int:
        pid = os.fork()
        if pid == 0:
            try:
                _quiet()
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
        return code

    def _fresh(self, context, path: Path, code: str, limit_s: float) -> str:
        module = ".".join(path.relative_to(ROOT).with_suffix("").parts)
        base = str(self.scratch / "fresh")
        process = context.Process(target=fresh, args=(module, str(path), code, self.tests, base))
        process.start()
        process.join(limit_s)
        if process.is_alive():
            process.kill()
            process.join()
            return LATE
        shutil.rmtree(base, ignore_errors=True)
        return {0: ALIVE, 3: STILLBORN}.get(process.exitcode, KILLED)


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


# --- what came of it ----------------------------------------------------------------------------------


Key = tuple[str, ...]


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


def known(results: Path, path: Path) -> dict[Key, str]:
    """Return the fates that are on file for a module."""
    if not results.exists():
        return {}
    rows = [json.loads(line) for line in results.read_text("utf-8").splitlines()]
    return {tuple(key): fate for key, _, fate in rows if key[0] == str(path.relative_to(ROOT))}


def report(paths: list[Path], results: Path) -> int:
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
    return f"{share:>8} of {judged:4} killed ({rest})"


def main() -> int:
    """Run one group, or some modules of it."""
    groups = tomllib.loads((HERE / "groups.toml").read_text("utf-8"))
    words = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    words.add_argument("group", choices=groups)
    words.add_argument("modules", nargs="*", help="the stems of some modules of the group; default all")
    words.add_argument("--results", type=Path, help="where the fates are kept, so that a run can go on")
    words.add_argument("--again", action="store_true", help="try those once more that were alive")
    words.add_argument("--report", action="store_true", help="run nothing, only tell what is on file")
    asked = words.parse_args()
    group = groups[asked.group]
    paths = [path for pattern in group["modules"] for path in sorted(ROOT.glob(pattern))]
    paths = [path for path in paths if not asked.modules or path.stem in asked.modules]
    results = asked.results or Path(tempfile.mkdtemp()) / "fates.jsonl"
    if not asked.report:
        os.chdir(ROOT)
        print(f"The fates are kept in {results}", flush=True)
        ended = pytest.main(
            [*OPTIONS, "--capture=no", *group["tests"]], [Runner(paths, group["tests"], results, asked.again)]
        )
        if ended not in (0, 5):
            return int(ended)
    return min(report(paths, results), 1)


if __name__ == "__main__":
    sys.exit(main())
