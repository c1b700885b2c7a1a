"""Explorer of lesson 1: how many bones are left after pulling and looking."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from kit.process import bones
from kit.views import ink
from kit.views.spec import Drawing, Predict, Slider, explorer


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
    ax.set_xticks(looks)
    ax.set_ylim(0, max(left[0] * 1.15, 1))
    ax.set_xlabel("Looks with the finger")
    ax.set_ylabel("Bones left in 40 fillets")
    free = 100 * float(bones.bone_free_fillet(int(count), still[2]))
    facts = (
        f"After the machine: {left[0]:.0f} bones in 40 fillets",
        f"After 1 look: {left[1]:.1f}; after 2 looks: {left[2]:.1f}",
        f"Fillets with no bone after 2 looks: {free:.0f} %",
    )
    return Drawing(figure, f"{'. '.join(facts)}.", facts)
