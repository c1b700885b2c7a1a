"""Explorer of lesson 9: one setting of the day is wrong; how the piece looks, and what the record says."""

from collections.abc import Mapping
from typing import Any

from kit.exercises.lesson_09.clinic import figures_of, record_words
from kit.process.product_faults import PRODUCT_FAULTS
from kit.views.pictures.faulty import faulty_piece
from kit.views.pictures.register import Choice, Drawing, Predict, explorer

_SPECIES, _MM = "salmon, farmed", 26.0
_AT = {"soft belly": ((0.34, 0.72), (0.56, 0.70))}
_OPTIONS = (("", "As on the card"), *((name, each.cause) for name, each in PRODUCT_FAULTS.items()))


@explorer(
    "one-setting-wrong",
    title="One setting is wrong. What comes out?",
    intro="The same day is run again, with one thing done otherwise. Look at the piece, and at its figures.",
    controls=(Choice("cause", "What was done", _OPTIONS, ""),),
    predict=Predict(
        "The fans stood still in the drying. What will be seen on the smoked piece?",
        ("White beads", "Runs and drips", "A hard, dark skin"),
        "Choose “The fans stood still” and read the weight lost in the drying.",
        ("Those come from too much heat", "", "That comes from too much drying, not too little"),
    ),
)
def one_setting_wrong(settings: Mapping[str, Any]) -> Drawing:
    """Draw the piece that a cause makes, and tell the figures of its day beside those of the card.

    Examples
    --------
    >>> one_setting_wrong({"cause": "crust"}).facts[0]
    'Crust: a hard, dark skin lies on flesh that is wet below.'
    """
    name = str(settings["cause"])
    meant, found = (record_words(figures_of(_SPECIES, _MM, each)) for each in ("", name))
    if not name:
        told, marks, next_time = "As on the card: an even, golden face.", [], "Keep the card."
    else:
        fault = PRODUCT_FAULTS[name]
        told = f"{name.capitalize()}: {fault.looks[0].lower()}{fault.looks[1:]}."
        marks = [[name, x, y] for x, y in _AT.get(name, ((0.22, 0.42), (0.56, 0.40), (0.40, 0.62)))]
        next_time = f"The next time: {fault.mend[0].lower()}{fault.mend[1:]}."
    facts = (told, f"The card: {meant}.", f"This day: {found}.", next_time)
    words = " ".join(facts)
    drawn = faulty_piece({"faults": marks, "head_left": True, "words": f"A smoked fillet from above. {told}"})
    return Drawing(drawn.figure, words, facts)
