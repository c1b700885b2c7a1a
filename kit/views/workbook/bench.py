"""The inspection bench as a widget: a touch comes in, how strong the bump is goes back, and nothing more.

The page never holds where the bones are. They reach it only as drawn circles, after the person has decided.
The bench is practice, and no mark comes of it: what was missed is the learner's own note, for the next ten.
"""

from collections.abc import Mapping
from datetime import date
from secrets import randbelow
from typing import Any

import traitlets as t

from kit.basics.errors import BadData, KitError
from kit.exercises.lesson_01 import bench as bench
from kit.files import local_now
from kit.marking.draw import sub_seed
from kit.practice import Session
from kit.practice.bench_runs import BenchRun, aim_of, keep_run, read_runs, run_of, weeks_line
from kit.process.sampling.bones import Interval
from kit.views.pictures.register import draw_picture
from kit.views.workbook.widget_base import WorkbookWidget, page_picture, script


class Bench(WorkbookWidget):
    """Fillets to feel for bones: one to try, a run of ten, and the same ten again, blind.

    Parameters
    ----------
    seed : int, optional
        Fixes every fillet and every touch. Without it each opening of the page has fish of its own.
    work : Session, optional
        Whoever is working: the next ten are aimed at what they missed.
    """

    _esm = script("common", "kinds", "bench")
    shown = t.Dict().tag(sync=True)
    said = "The inspection bench. Run the lesson to use it."

    def __init__(self, seed: int | None = None, work: Session | None = None) -> None:
        self._seed = randbelow(1 << 53) if seed is None else seed
        self._work = work if work is not None and work.recorded else None
        self._turn = self._touch = 0
        self._fillets: tuple[bench.BenchFillet, ...] = ()
        self._order: tuple[int, ...] = ()
        self._looks: list[dict[int, bench.FilletInspection]] = []
        super().__init__(shown={"phase": "ready", "weeks": self._weeks(), "aim": AIMS[self._aim()]})

    def heard(self, content: Mapping[str, Any]) -> None:
        """Answer a touch at once; do anything else and show where the person stands."""
        what, serial = content.get("do"), content.get("serial")
        if what == "feel":
            self._feel(content)
            return
        steps = {"try": self._try, "run": self._run, "again": self._again, "show": self._show}
        if what == "decide":
            page = self._decide(bench.look(content.get("marks"), content.get("pull")))
        elif what in steps:
            page = steps[str(what)]()
        else:
            return
        self.shown = {**page, "serial": serial}

    def trouble(self, content: Mapping[str, Any], words: str) -> None:
        """Say on the page what is wrong; the fillet stays where it is."""
        if content.get("do") == "feel":
            self.send({"reply": "felt", "touch": content.get("touch"), "bump": 0.0})
            return
        self.shown = {**self.shown, "error": words, "serial": content.get("serial")}

    def _feel(self, content: Mapping[str, Any]) -> None:
        if self.shown.get("phase") != "feel":
            return
        self._touch += 1
        strength = bench.bump(self._here(), content.get("at"), self._touch)
        self.send({"reply": "felt", "touch": content.get("touch"), "bump": strength})

    def _here(self) -> bench.BenchFillet:
        fillet = self._fillets[self._order[len(self._looks[-1])]]
        return bench.turned(fillet) if len(self._looks) == 2 else fillet

    def _next_seed(self) -> int:
        self._turn += 1
        return sub_seed(self._seed, self._turn)

    def _lay_out(self, fillets: tuple[bench.BenchFillet, ...]) -> dict[str, Any]:
        self._fillets, self._order, self._looks = fillets, tuple(range(len(fillets))), [{}]
        return self._page()

    def _try(self) -> dict[str, Any]:
        seed = self._next_seed()
        return self._lay_out((bench.draw_fillet(seed, with_bones=seed % 3 > 0),))

    def _run(self) -> dict[str, Any]:
        return self._lay_out(bench.draw_run(self._next_seed(), aim=self._aim()))

    def _again(self) -> dict[str, Any]:
        if self.shown.get("phase") != "counts" or len(self._looks) != 1:
            raise BadData(
                "second look", "there is no finished first one", "a run with its bones not yet shown"
            )
        self._order = bench.blind_order(self._fillets[0].seed, len(self._fillets))
        self._looks.append({})
        return self._page()

    def _show(self) -> dict[str, Any]:
        if self.shown.get("phase") != "counts":
            raise BadData("bones", "the run is not finished", "a call on every fillet first")
        return self._counts(phase="shown", gallery=[self._after(each) for each in range(len(self._fillets))])

    def _decide(self, done: bench.FilletInspection) -> dict[str, Any]:
        if self.shown.get("phase") != "feel":
            raise BadData("call", "no fillet is on the bench", "a fillet to feel first")
        self._looks[-1][self._order[len(self._looks[-1])]] = done
        if len(self._looks[-1]) < len(self._fillets):
            return self._page()
        if len(self._fillets) == 1:
            return {"phase": "tried", "gallery": [self._after(0)]}
        if self._work is not None and len(self._looks) == 1:
            keep_run(self._work.person.folder, self._first_look(), clock=self._work.book.clock)
        return self._counts(phase="counts")

    def _first_look(self) -> BenchRun:
        looks = [self._looks[0][each] for each in range(len(self._fillets))]
        return run_of(self._fillets, looks, self._day())

    def _day(self) -> date:
        return (self._work.book.clock() if self._work else local_now()).date()

    def _kept(self) -> tuple[BenchRun, ...]:
        """Return the runs kept before; none where they cannot be read: the bench works without them."""
        try:
            return read_runs(self._work.person.folder) if self._work else ()
        except (KitError, OSError):
            return ()

    def _aim(self) -> bench.Aim:
        return aim_of(self._kept(), self._day())

    def _weeks(self) -> str:
        return weeks_line(self._kept(), self._day())

    def _page(self) -> dict[str, Any]:
        fillet, place = self._here(), len(self._looks[-1]) + 1
        drawing = draw_picture("bench-fillet", {"fillet": fillet})
        return {
            "phase": "feel",
            "look": len(self._looks),
            "place": place,
            "of": len(self._fillets),
            "words": fillet.words(),
            "picture": page_picture(drawing, label="The fillet on the bench"),
        }

    def _after(self, number: int) -> dict[str, Any]:
        """Return the first look at a fillet with its bones drawn in."""
        fillet, done = self._fillets[number], self._looks[0][number]
        drawing = draw_picture("bench-fillet", {"fillet": fillet, "look": done})
        found, there = len(bench.score(fillet, done).found), len(fillet.bones)
        bones = f"Bones found: {found} of {there}" if there else "There was no bone"
        call = f"you said {'pull' if done.pull else 'pass'}. {bones}"
        title = f"Fillet {number + 1}: {call}" if len(self._fillets) > 1 else call[0].upper() + call[1:]
        return {"title": title, "picture": page_picture(drawing, label=title)}

    def _counts(self, **more: Any) -> dict[str, Any]:
        reports = []
        for number, looks in enumerate(self._looks):
            done = [looks[each] for each in range(len(self._fillets))]
            title = ("Your first look", "Your second look, blind")[number]
            reports.append({"title": title, "facts": report_facts(bench.report(self._fillets, done))})
        agree = ""
        if len(self._looks) == 2:
            first, second = ([looks[each] for each in range(len(self._fillets))] for looks in self._looks)
            agree = agreement_words(bench.agreement(first, second))
        plain = {"plain": plain_words(self._first_look()), "weeks": self._weeks(), "aim": AIMS[self._aim()]}
        return {"reports": reports, "agree": agree, "can_again": len(self._looks) == 1, **plain, **more}


AIMS: Mapping[bench.Aim, str] = {
    "": "",
    "faint": "Your next ten hold more faint bones: those you missed most.",
    "head": "Your next ten hold more bones near the head: those you missed most.",
    "far": "Your next ten hold more bones far along the row: those you missed most.",
}


def plain_words(run: BenchRun) -> str:
    """Return in one or two plain sentences how a run went, before any number.

    Examples
    --------
    >>> plain_words(BenchRun(date(2026, 3, 2), {"faint": 3, "far": 1}, {"faint": 3}, 0))
    'You missed 3 of 4 bones. Go slower.'
    """
    there, missed, clean = sum(run.there.values()), sum(run.missed.values()), run.pulled_clean
    fillets = "1 clean fillet" if clean == 1 else f"{clean} clean fillets"
    if missed:
        return f"You missed {missed} of {there} bones. Go slower."
    if clean:
        return f"You found every bone, and pulled {fillets}. A fold is soft and wide: feel once more."
    return f"You found all {there} bones, and left the clean fillets alone."


def report_facts(told: bench.InspectorReport) -> list[str]:
    """Return an inspector's report as short lines, each rate with the range it could truly be in."""
    bony, clean = told.hits + told.misses, told.false_alarms + told.correct_rejections
    lean = told.detection.criterion
    habit = (
        "You lean to pass." if lean > 0.2 else "You lean to pull." if lean < -0.2 else "You lean neither way."
    )
    return [
        f"Hits: you pulled {told.hits} of {bony} fillets with a bone. "
        f"True rate: probably {_range(told.hit_interval)}.",
        f"False alarms: you pulled {told.false_alarms} of {clean} clean fillets. "
        f"True rate: probably {_range(told.false_alarm_interval)}.",
        f"Bones: you found {told.bones_found} of {told.bones_in_all}. "
        f"True rate: probably {_range(told.found_interval)}.",
        f"Marks with no bone near: {told.marks_without_bone}.",
        f"d′ = {_signed(told.detection.d_prime)}. 0 is guessing; above 3 little is missed. {habit}",
    ]


def agreement_words(told: bench.Agreement) -> str:
    """Return in words how far two looks agree.

    Examples
    --------
    >>> agreement_words(bench.Agreement(8, 10, 0.6))
    'Your two looks agree on 8 of 10 fillets. Kappa = 0.6: 0 is luck, 1 is full agreement.'
    """
    start = f"Your two looks agree on {told.same} of {told.of} fillets."
    if told.kappa is None:
        return f"{start} You made the same call every time, so kappa says nothing."
    return f"{start} Kappa = {_signed(told.kappa)}: 0 is luck, 1 is full agreement."


def _range(ends: Interval) -> str:
    return f"{100 * ends.low:.0f} to {100 * ends.high:.0f} %"


def _signed(value: float) -> str:
    """Return a number to 1 decimal with a true minus sign, and never "minus 0".

    Examples
    --------
    >>> _signed(-1.13), _signed(-0.02), _signed(2.0)
    ('−1.1', '0.0', '2.0')
    """
    return f"{round(value, 1) + 0.0:.1f}".replace("-", "\N{MINUS SIGN}")
