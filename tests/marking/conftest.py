"""One question of each kind, as an author would build it."""

from dataclasses import fields
from types import SimpleNamespace

import pytest

from kit.marking import build
from kit.marking.authored import Joined, Turned, option
from kit.marking.batch_runs import batch_run
from kit.marking.draw import Draw
from kit.marking.model import BatchRun, Control, Picture, Question, Region, Slip

PICTURE = Picture("test picture", {"values": [1.5, 2.5]}, "A fillet seen from above.")


@batch_run("test cabinet")
def cabinet(settings, facts):
    if settings["air_c"] < facts["needed_c"]:
        return BatchRun(0, 2, ("The core stayed low.",), slip="too cool")
    if settings["time_min"] > 60:
        return BatchRun(1, 2, ("The fish dried out.",))
    return BatchRun(2, 2, ("The core got there.",))


def asked(parts, **changes):
    """Return a question made of an author's parts."""
    given = {field.name: getattr(parts, field.name) for field in fields(parts)}
    return Question(**{"exercise": "test", "version": 1, "seed": 0, **given, **changes})


def salt(**changes):
    arguments = {
        "text": "How much salt for 2000 g at 2.5 %?",
        "answer": 50.0,
        "unit": "g",
        "rel_tol": 0.02,
        "slips": (
            Slip("of the total", 53.5, "Salt goes on the weight of the fish alone."),
            Slip("half", 25.0, "You took half the fish."),
        ),
        "hints": ("Think of 1 % first.", "1 % of 1000 g is 10 g."),
        "worked": "2000 g × 2.5 ÷ 100",
        **changes,
    }
    return asked(build.number(**arguments))


def limit():
    """At least 3 minutes, up to 10."""
    slip = Slip("seconds", 0.05, "You read minutes as seconds.")
    return asked(
        build.number("How long must it hold?", 3.0, "min", one_sided="at least", far=10, slips=(slip,))
    )


def core():
    slip = Slip("other scale", 145.0, "That is °F.")
    return asked(build.number("What core?", 62.8, "°C", abs_tol=0.1, decimals=1, slips=(slip,)))


def chart():
    return asked(
        build.chart(
            "When did the core reach the line?",
            42.0,
            "min",
            PICTURE,
            abs_tol=1,
            slips=[Slip("air", 12, "Air.")],
        )
    )


def one(seed=1):
    options = [
        option("At half depth in the thickest part", right=True),
        option("Under the skin", says="The skin side is hotter."),
        option("In the tail", says="The tail is thin and heats first."),
    ]
    return asked(build.one(Draw(seed), "Where is the core?", options))


def several(seed=1):
    options = [
        option("Hold the batch", right=True, says="A batch in doubt stays.", safety=True),
        option("Write it down", right=True, says="What is not written did not happen."),
        option("Call the chef", right=True),
        option("Serve it", says="Nobody serves a batch in doubt.", safety=True),
        option("Wash the rack", says="That can wait."),
        option("Change the wood", says="Wood has no part in this."),
    ]
    return asked(build.several(Draw(seed), "The core missed its target. What do you do?", options))


def order(seed=1):
    turned = [
        Turned("Smoke", "Dry", "Smoke does not stick to a wet surface."),
        Turned("Pack", "Chill", "A warm pack breeds germs.", safety=True),
    ]
    steps = ["Cure", "Dry", "Smoke", "Cook", "Chill", "Pack"]
    return asked(build.order(Draw(seed), "Put the day in order.", steps, turned))


def match(seed=1):
    pairs = {"salt": "draws water", "cold": "slows germs", "cooking": "kills germs", "ice": "slows germs"}
    joined = [
        Joined("cold", "kills germs", "Cold only slows them.", name="cold kills"),
        Joined("salt", "adds smoke", "Salt brings no smoke."),
    ]
    return asked(
        build.match(
            Draw(seed), "What does what?", pairs, joined, extra=["adds smoke"], must=["cold", "cooking"]
        )
    )


def places():
    targets = [Region("thick", 0.3, 0.5, 0.1, 0.1), Region("shoulder", 0.35, 0.5, 0.1, 0.1)]
    traps = [(Region("tail", 0.9, 0.5, 0.1, 0.2), "The tail is thin.")]
    return asked(build.places("Mark 2 places for the probe.", PICTURE, targets, traps, count=2, slack=0.01))


def controls():
    settings = [
        Control("air_c", "cabinet air", "°C", 50, 100, 5, 60),
        Control("time_min", "cook time", "min", 0, 120, 10, 20),
    ]
    slips = [Slip("too cool", {"air_c": 50, "time_min": 40}, "The cabinet was too cool.")]
    answer = {"air_c": 80, "time_min": 40}
    facts = {"needed_c": 75}
    return asked(build.controls("Run the batch.", settings, "test cabinet", answer, slips, facts=facts, of=2))


def recommend(seed=1, also=("reject",)):
    reasons = [
        option("The hold was too short", right=True),
        option("The colour is pale", says="Colour says nothing about heat."),
    ]
    wrong = {"go on": "A missed limit never goes on.", "reject": "First ask the one who decides."}
    wrong = {decision: says for decision, says in wrong.items() if decision not in also}
    return asked(build.recommend(Draw(seed), "What now?", "hold", reasons, wrong, also=also))


def explain():
    return asked(build.explain("Why does thick fish take longer?", ["time goes with thickness squared"]))


MAKERS = {
    "number": salt,
    "limit": limit,
    "core": core,
    "chart": chart,
    "one": one,
    "several": several,
    "order": order,
    "match": match,
    "places": places,
    "controls": controls,
    "recommend": recommend,
}


@pytest.fixture(params=MAKERS)
def question(request):
    """Every auto-marked kind in turn."""
    return MAKERS[request.param]()


@pytest.fixture
def make():
    """The makers by name, and ``asked`` for a test's own parts."""
    return SimpleNamespace(**{**MAKERS, "salt": salt, "explain": explain, "asked": asked, "picture": PICTURE})
