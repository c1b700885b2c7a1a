"""Explorers of lesson 1: bones left after pulling and looking, and what a sample lets through."""

from collections.abc import Mapping
from typing import Any

import numpy as np

from kit.process.sampling import bones
from kit.rules import sampling_plans
from kit.views.pictures import ink
from kit.views.pictures.register import Drawing, Predict, Slider, explorer


@explorer(
    "bones-left",
    title="How many bones are left?",
    intro="A batch of 40 fillets. Set how well the machine pulls, how well a finger finds, and how "
    "often it looks.",
    controls=(
        Slider("bones", "Pin bones in a fillet", "", 8, 34, 1, 24),
        Slider("pull_pct", "Pulled by the machine", "%", 70, 99, 1, 95),
        Slider("find_pct", "Found in one look", "%", 30, 95, 5, 70),
        Slider("hidden_pct", "Bones that hide twice", "%", 0, 90, 10, 0),
    ),
    predict=Predict(
        "You look a third time. Does that find as many as the first look?",
        ("Yes", "Fewer", "More"),
        "Look at the curve. Then let bones hide twice, and look again.",
        (
            "It found about 3 bones, and the first look 34",
            "",
            "It found about 3 bones, and the first look 34",
        ),
    ),
)
def bones_left(settings: Mapping[str, Any]) -> Drawing:
    """Draw bones left in 40 fillets against the number of looks.

    Examples
    --------
    >>> start = {"bones": 24, "pull_pct": 95, "find_pct": 70, "hidden_pct": 0}
    >>> bones_left(start).facts[0]
    'After the machine: 48 bones in 40 fillets'
    """
    count, pull, find, hidden = (float(settings[k]) for k in ("bones", "pull_pct", "find_pct", "hidden_pct"))
    looks = np.arange(0, 5)
    still = np.array(
        [float(bones.still_there(pull / 100, find / 100, n, correlation=hidden / 100)) for n in looks]
    )
    left = 40 * count * still
    figure, ax = ink.sheet(3.3)
    ax.plot(looks, left, marker="o", **ink.LINES[0])
    ax.set(xticks=looks, ylim=(0, max(left[0] * 1.15, 1)), xlabel="Looks with the finger")
    ax.set(ylabel="Bones left in 40 fillets")
    free = 100 * float(bones.bone_free_fillet(int(count), still[2]))
    facts = (
        f"After the machine: {left[0]:.0f} bones in 40 fillets",
        f"After 1 look: {left[1]:.1f}; after 2 looks: {left[2]:.1f}",
        f"Fillets with no bone after 2 looks: {free:.0f} %",
    )
    return Drawing(figure, f"{'. '.join(facts)}.", facts)


TABLE = "attributes-normal-2"


@explorer(
    "lot-and-sample",
    title="What does a sample let through?",
    intro="A buyer feels a few fillets of a lot. Too many with a bone, and the lot goes back.",
    controls=(
        Slider("lot", "Fillets in the lot", "", 200, 3000, 100, 400),
        Slider("bony_pct", "Fillets with a bone", "%", 0, 30, 1, 8),
    ),
    predict=Predict(
        "8 in 100 fillets hold a bone. A sample of 50 is felt. Does the lot go back?",
        ("Always", "Mostly", "Mostly not"),
        "Look at where your lot sits on the curve. Then make it worse.",
        ("It passes 96 times in 100", "It passes 96 times in 100", ""),
    ),
)
def lot_and_sample(settings: Mapping[str, Any]) -> Drawing:
    """Draw the chance that a lot passes against the share of fillets with a bone.

    Examples
    --------
    >>> lot_and_sample({"lot": 400, "bony_pct": 8}).facts[0]
    'Plan for 400 fillets: feel 50, accept at most 7 with a bone'
    """
    lot, bony = int(settings["lot"]), float(settings["bony_pct"]) / 100
    plan = sampling_plans.plan_for(lot, TABLE)
    curve = bones.operating_curve(plan.n, plan.c, p_max=0.3)
    passed = 100 * float(bones.acceptance_probability(plan.n, plan.c, bony))
    figure, ax = ink.sheet(3.3)
    ax.plot(100 * curve.p, 100 * curve.accepted, **ink.LINES[0])
    ax.plot([100 * bony], [passed], marker="o", markersize=9, color=ink.INK, clip_on=False, linestyle="none")
    ax.set(xlim=(0, 30), ylim=(0, 105), xlabel="Fillets with a bone [%]")
    ax.set(ylabel="Chance that the lot passes [%]")
    nearly = 100 * bones.quality_accepted_with(plan.n, plan.c, 0.10)
    facts = (
        f"Plan for {lot} fillets: feel {plan.n}, accept at most {plan.c} with a bone",
        f"With {100 * bony:.0f} % bony fillets the lot passes {passed:.0f} times in 100",
        f"About {bony * (lot - plan.n):.0f} bony fillets lie among the {lot - plan.n} nobody felt",
        f"It still passes 1 time in 10 with {nearly:.0f} % bony fillets",
    )
    return Drawing(figure, f"{'. '.join(facts)}.", facts)
