"""Which exercise to ask next: one whose right answer still shows something.

The more questions of an exercise somebody has seen, the more of them can be answered from memory, and the
less a right answer is worth. So each exercise of a criterion is asked once; from then on one is left alone
while another is worth much more. The round does so once the answers so far speak for knowing it, the sum
being above 0: who still learns may be asked anything. What a right answer is worth is what it moves the sum
by: ``kit.criteria.knowledge.weight``.

To choose questions by how well they tell two classes of people apart, in a sequential test: T. J. H. M.
Eggen, "Item Selection in Adaptive Testing with the Sequential Probability Ratio Test", Applied Psychological
Measurement 23 (1999), doi:10.1177/01466219922031365. Its summary was read, not the paper; author and title
are from memory. The share was chosen by simulation: ``tests/benchmarks/knowledge_figures.py``.
"""

from collections.abc import Collection, Mapping

from kit.criteria.knowledge import ExerciseFacts, weight

WORTH_SHARE = 0.7
"""An exercise is worth asking while its right answer moves the sum by this share of what the best does."""


def worth_asking(
    exercises: Mapping[str, ExerciseFacts],
    seen: Mapping[str, int],
    *,
    kinds_right: Collection[str] = (),
    kinds: int = 1,
) -> tuple[str, ...]:
    """Return those of the exercises of a criterion that are worth asking next, in the order given.

    One that was never asked always is.

    Parameters
    ----------
    exercises : mapping of str to ExerciseFacts
        What may be asked, by id.
    seen : mapping of str to int
        How many different questions of each were tried; without those never asked.
    kinds_right : collection of str
        The kinds of question that were answered right without help.
    kinds : int
        Of how many kinds the right answers must be. While only another is lacking, a new
        kind is always worth asking.

    Examples
    --------
    >>> facts = {
    ...     "add-it-up": ExerciseFacts(0.1, "number"),
    ...     "pick-the-true": ExerciseFacts(0.4, "several", (0.4, 0.4, 0.6, 0.9)),
    ... }
    >>> worth_asking(facts, {})
    ('add-it-up', 'pick-the-true')
    >>> worth_asking(facts, {"add-it-up": 1, "pick-the-true": 1})
    ('add-it-up',)
    >>> worth_asking(facts, {"add-it-up": 1, "pick-the-true": 1}, kinds_right={"number"}, kinds=2)
    ('add-it-up', 'pick-the-true')
    """
    worth = {name: weight(True, one.chance_after(seen.get(name, 0))) for name, one in exercises.items()}
    least = WORTH_SHARE * max(worth.values(), default=0.0)
    lacking = 0 < len(kinds_right) < kinds
    return tuple(
        name
        for name, one in exercises.items()
        if name not in seen or worth[name] >= least or (lacking and one.kind not in kinds_right)
    )
