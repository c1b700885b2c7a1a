"""A small lesson for the browser tests: one question of every kind, and one explorer."""

from __future__ import annotations

import os
from dataclasses import replace
from pathlib import Path
from time import sleep
from types import SimpleNamespace

from kit.exercises.catalogue import Catalogue
from kit.marking.batch_runs import batch_run
from kit.marking.model import (
    BatchRun,
    Control,
    Controls,
    Explain,
    Match,
    Number,
    One,
    Option,
    Order,
    Picture,
    Places,
    Question,
    Recommend,
    Region,
    Several,
    Slip,
)
from kit.practice import start
from kit.views import Lesson
from kit.views.pictures.ink import LINES, sheet
from kit.views.pictures.register import Choice, Drawing, Predict, Slider, explorer, picture


@batch_run("stage-oven")
def oven(settings, facts):
    ok = settings["cabinet_c"] >= 75
    return BatchRun(
        1.0 if ok else 0.0,
        1.0,
        (f"The core ended at {settings['cabinet_c'] - 12:g} °C.",),
        "" if ok else "too cool",
    )


@picture("stage-fish")
def fish(data):
    svg = (
        '<svg viewBox="0 0 400 140" width="400" height="140"><path d="M10 70 C60 10 250 0 390 55'
        ' C395 70 395 75 390 85 C250 135 60 130 10 70 Z" fill="#f6d9c8" stroke="#7a4a35"'
        ' stroke-width="2"/></svg>'
    )
    return Drawing(svg, f"A side of {data['fish']}, thick at the head end on the left, thin at the tail.")


@picture("stage-line")
def line(data):
    figure, axis = sheet(2.6)
    axis.plot([0, 10, 20], [10, 30, data["end_c"]], **LINES[0])
    axis.set_xlabel("Time [min]")
    axis.set_ylabel("Core temperature [°C]")
    return Drawing(figure, "Core temperature against time, rising from 10 °C.")


@explorer(
    "stage-curve",
    title="How fast the core warms",
    intro="A thick piece takes its time. Move one slider, then look.",
    controls=(
        Slider("thickness_mm", "Thickness", "mm", 10, 50, 1, 25),
        Slider("cabinet_c", "Cabinet temperature", "°C", 60, 95, 1, 80),
        Choice("surface", "Surface", (("wet", "Wet"), ("dry", "Dry")), "wet"),
    ),
    predict=Predict(
        "Twice the thickness: how much longer?",
        ("The same", "Twice as long", "About four times as long"),
        "Set 20 mm, then 40 mm. Compare the minutes with what you said.",
        ("The minutes go up with the thickness", "Twice would be half of it", ""),
    ),
)
def curve(settings):
    import numpy as np

    sleep(float(Path("slow.txt").read_text()) if Path("slow.txt").exists() else 0)
    figure, axis = sheet(3.2)
    minutes = np.linspace(0, 120, 200)
    tau = settings["thickness_mm"] ** 2 / 20
    core = settings["cabinet_c"] - (settings["cabinet_c"] - 5) * np.exp(-minutes / tau)
    axis.plot(minutes, core, label="core", **LINES[0])
    axis.plot(minutes, settings["cabinet_c"] - 60 * np.exp(-minutes / 8), label="surface", **LINES[1])
    axis.set_xlabel("Time [min]")
    axis.set_ylabel("Temperature [°C]")
    axis.legend(frameon=False)
    return Drawing(
        figure,
        f"The core of a {settings['thickness_mm']:g} mm piece is at {core[-1]:.1f} °C after 120 min.",
        (
            f"Drawn for {settings['thickness_mm']:g} mm",
            f"Core after 120 min: {core[-1]:.1f} °C",
            f"Surface: {settings['surface']}",
        ),
    )


@explorer("stage-open", title="Drawn when you come near", controls=())
def plain(settings):
    return Drawing('<svg viewBox="0 0 9 9"></svg>', "Nothing to see.", ("Drawn.",))


def options(*texts):
    return tuple(Option("abcdefgh"[i], text) for i, text in enumerate(texts))


def questions(variant: int) -> dict[str, Question]:
    grams = 20 + 2 * variant
    made = {
        "stage-number": {
            "text": f"You have 1000 g of trimmed char. The card asks for {grams / 10:g} % salt on the fish."
            "\n\nHow much salt?",
            "kind": Number("g", rel_tol=0.02),
            "answer": float(grams),
            "slips": (Slip("ten times", grams / 10, "Check the decimal point: SLIP-NUMBER."),),
            "worked": f"WORKED-NUMBER: 1000 g × {grams / 10:g} ÷ 100 = {grams} g.",
            "hints": ("HINT-ONE: one per cent of 1000 g is 10 g.", "HINT-TWO: multiply."),
        },
        "stage-one": {
            "text": "What tells you the core?",
            "kind": One(options("A probe in the thickest part", "The colour of the skin", "The clock")),
            "answer": "a",
            "slips": (
                Slip("colour", "b", "SLIP-ONE: skin browns long before the core is hot."),
                Slip("clock", "c", "Pieces differ."),
            ),
        },
        "stage-several": {
            "text": "Which slow the cook?",
            "kind": Several(
                options("A thicker piece", "A wet surface", "A hotter cabinet", "A colder start")
            ),
            "answer": ["a", "b", "d"],
            "slips": (
                Slip("hotter", ["a", "b", "c", "d"], "SLIP-SEVERAL: hotter heats faster.", {"picked": "c"}),
            ),
            "of": 3.0,
        },
        "stage-order": {
            "text": "Put the day in order.",
            "kind": Order(options("Cook to the core", "Cure", "Chill", "Dry to a pellicle")),
            "answer": ["b", "d", "a", "c"],
            "slips": (Slip("chill first", ["c", "b", "d", "a"], "SLIP-ORDER: chilling comes last."),),
        },
        "stage-match": {
            "text": "Match the place with what is measured there.",
            "kind": Match(
                options("Thickest part", "Air beside the rack"),
                options("Core temperature", "Cabinet temperature", "Wet bulb"),
            ),
            "answer": {"a": "a", "b": "b"},
            "slips": (Slip("swapped", {"a": "b"}, "SLIP-MATCH: the core is inside the piece."),),
            "of": 2.0,
        },
        "stage-places": {
            "text": "Mark where the probe tip goes.",
            "picture": Picture("stage-fish", {"fish": "char"}, "A side of char, head end on the left."),
            "kind": Places(
                (Region("thick", 0.437, 0.5, 0.2, 0.25),),
                (Region("tail", 0.9, 0.5, 0.1, 0.3),),
            ),
            "answer": [[0.437, 0.5]],
            "slips": (Slip("tail", [[0.9, 0.5]], "SLIP-PLACES: the tail heats first."),),
        },
        "stage-chart": {
            "text": "Read the core at 10 min.",
            "kind": Number("°C", abs_tol=1.0),
            "answer": 30.0,
            "picture": Picture("stage-line", {"end_c": 55}, "Core temperature against time over 20 min."),
            "reads_chart": True,
            "slips": (Slip("twenty", 55.0, "SLIP-CHART: that is 20 min."),),
        },
        "stage-controls": {
            "text": "Set the cabinet so that the core passes 63 °C.",
            "kind": Controls(
                (
                    Control("cabinet_c", "Cabinet temperature", "°C", 60, 90, 1, 65),
                    Control("hours", "Time", "h", 0.5, 4, 0.5, 1),
                ),
                "stage-oven",
            ),
            "answer": {"cabinet_c": 80, "hours": 2},
            "slips": (
                Slip("too cool", {"cabinet_c": 65, "hours": 1}, "SLIP-CONTROLS: the cabinet is too cool."),
            ),
        },
        "stage-recommend": {
            "text": "The probe stopped for 20 min in the hold. What do you recommend?",
            "kind": Recommend(
                options("The hold cannot be shown", "It smells good", "The clock ran long enough")
            ),
            "answer": {"decision": "hold", "reason": "a"},
            "slips": (
                Slip("let go", {"decision": "go on", "reason": "b"}, "SLIP-RECOMMEND: a gap proves nothing."),
            ),
        },
        "stage-explain": {
            "text": "Why does a wet surface slow the cook? Answer in 2 or 3 sentences. "
            "Use the words water and heat.",
            "kind": Explain(),
            "answer": "",
            "of": 0.0,
        },
    }
    return {name: Question(exercise=name, version=1, seed=variant, **parts) for name, parts in made.items()}


TITLES = {
    "stage-number": "Salt for a cure",
    "stage-one": "Knowing the core",
    "stage-several": "What slows a cook",
    "stage-order": "The day in order",
    "stage-match": "What sits where",
    "stage-places": "Where the probe goes",
    "stage-chart": "Reading a record",
    "stage-controls": "Run a batch",
    "stage-recommend": "A gap in the hold",
    "stage-explain": "In your own words",
}


class StageBank(Catalogue):
    """The questions above in place of the kit's own."""

    def info(self, exercise):
        return SimpleNamespace(id=exercise, version=1, title=TITLES[exercise], criteria=(), prepares_for=())

    def ids(self):
        return tuple(TITLES)

    def question(self, exercise, seed, profile):
        return replace(questions(seed % 40)[exercise], seed=seed)


def lesson() -> Lesson:
    """Return a lesson of whoever works in this kernel, with the stage's questions."""
    return Lesson(5, work=start(os.environ.get("SMOKEHOUSE_PERSON", ""), catalogue=StageBank()))
