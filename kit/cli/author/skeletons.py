"""What `smokehouse author new` writes: each skeleton runs as it is; its lines to write begin with WRITE."""

from string import Template

_HEAD = '''"""WRITE what this exercise is about."""

from kit.exercises.engine import exercise
$imports


@exercise("WRITE its title", criteria=["$criterion"])
def $function(draw: Draw) -> Question:
    """WRITE in one line what is asked."""
'''

_DRAW = "from kit.marking.draw import Draw"
_CHOICE = f"""from kit.marking.authored import right, some, wrong
from kit.marking.build import {{}}
{_DRAW}
from kit.marking.model import Question"""

_SEVERAL_OF = """    options = [
        right("WRITE a right line", "WRITE why it belongs."),
        right("WRITE another right line", "WRITE why it belongs."),
        right("WRITE a third right line", "WRITE why it belongs."),
        wrong("WRITE a wrong line", "WRITE why this line is wrong."),
        wrong("WRITE another wrong line", "WRITE why this line is wrong."),
        wrong("WRITE a third wrong line", "WRITE why this line is wrong."),
    ]
"""
_HELP = """        hints=["WRITE a first hint.", "WRITE a second hint that says more."],
        worked="WRITE how it is worked out.",
    )
"""

EXERCISES = {
    "number": (
        """from kit.marking.build import number
from kit.marking.draw import Draw
from kit.marking.model import Question, Slip""",
        """    fish_g = draw.step(1200, 4800, 50)
    share_pct = draw.step(2.0, 3.5, 0.25)
    return number(
        f"WRITE the question, with its numbers: {fish_g} g, {share_pct:g} %.",
        fish_g * share_pct / 100,
        "g",
        rel_tol=0.02,
        slips=[
            Slip("ten times", fish_g * share_pct / 10, "WRITE what this learner did, and what to do."),
            Slip("of the total", fish_g * share_pct / (100 - share_pct), "WRITE the same for this slip."),
        ],
"""
        + _HELP.replace('"WRITE how it is worked out."', 'f"WRITE: {fish_g} g × {share_pct:g} ÷ 100."'),
    ),
    "one": (
        _CHOICE.format("one"),
        _SEVERAL_OF
        + """    return one(
        draw,
        "WRITE the question.",
        some(draw, options, rights=1, wrongs=3),
"""
        + _HELP,
    ),
    "several": (
        _CHOICE.format("several"),
        _SEVERAL_OF
        + """    return several(
        draw,
        "WRITE the question. Two are right.",
        some(draw, options, rights=2, wrongs=2),
"""
        + _HELP,
    ),
    "order": (
        f"from kit.marking.build import order\n{_DRAW}\nfrom kit.marking.model import Question",
        """    steps = ("first", "second", "third", "fourth", "fifth")
    lines = [f"WRITE the {each} step" for each in steps]
    left_out = draw.pick(lines)
    return order(
        draw,
        "WRITE the question: which comes first?",
        [line for line in lines if line != left_out],
"""
        + _HELP,
    ),
    "match": (
        f"from kit.marking.build import match\n{_DRAW}\nfrom kit.marking.model import Question",
        """    pairs = {f"WRITE the left line {each}": f"WRITE its partner {each}" for each in range(1, 7)}
    chosen = draw.sample(list(pairs), 3)
    return match(
        draw,
        "WRITE the question: what belongs together?",
        {left: pairs[left] for left in chosen},
"""
        + _HELP,
    ),
}

RULE = """
[[rule]]
id = "$id"
title = "WRITE its title"
step = "store"
purpose = "keeping"
pack = ["air"]
applies = { product = "WRITE for which food" }
form = "value"
quantity = "store_temp_c"
unit = "°C"
maximum = 3
source = "$source"
locator = "WRITE where in the source"
seen = false
grade = "memory"
says = "WRITE one sentence in your own words."
example = { passes = 2, fails = 5 }
"""

EXPLORER = '''"""Explorer of lesson $lesson: WRITE what it shows."""

from collections.abc import Mapping
from typing import Any

import numpy as np

from kit.views.pictures import ink
from kit.views.pictures.register import Drawing, Slider, explorer


@explorer(
    "$id",
    title="WRITE its question",
    intro="WRITE what to move and what to look at.",
    controls=(Slider("hold_min", "Hold", "min", 0, 60, 1, 10),),
)
def $function(settings: Mapping[str, Any]) -> Drawing:
    """WRITE in one line what is drawn. The sums come from kit.process."""
    hold_min = float(settings["hold_min"])
    figure, ax = ink.sheet(3.7)
    minutes = np.linspace(0, 60, 61)
    ax.plot(minutes, minutes / 60, **ink.LINES[0])
    ax.axvline(hold_min, color=ink.INK)
    ax.set(xlabel="Time held [min]", ylabel="WRITE the quantity [unit]")
    return Drawing(figure, "WRITE the same in words.", (f"Your hold: {hold_min:g} min.",))
'''


def exercise_text(kind: str, function: str, criterion: str) -> str:
    """Return the module of a new exercise.

    Examples
    --------
    >>> "return number(" in exercise_text("number", "salt_again", "CUR-K02")
    True
    """
    imports, body = EXERCISES[kind]
    head = Template(_HEAD).substitute(imports=imports, criterion=criterion, function=function)
    return head + body


def filled(skeleton: str, **words: object) -> str:
    """Return a skeleton with its names filled in."""
    return Template(skeleton).substitute({name: str(word) for name, word in words.items()})
