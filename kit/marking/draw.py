"""Drawing a question's numbers: a small generator that gives the same draw on every machine, for ever.

The generator is SHA-256 in counter mode. Block ``i`` of seed ``s`` is the SHA-256 of the ASCII text
``smokehouse-draw-1:s:i`` (both in decimal, ``i`` from 0). Each block gives four 64-bit words, big end first.
A whole number below ``n`` is a word modulo ``n``; words at or above the largest multiple of ``n`` are thrown
away, so no value is favoured. Nothing depends on Python's ``random``, on its hash, or on the platform's
floating-point library. Golden values stand in the tests: change any of this and old answers cannot be
marked again.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from decimal import Decimal
from hashlib import sha256
from typing import TypeVar

from kit.basics.errors import OutOfRange

T = TypeVar("T")
Real = TypeVar("Real", int, float)

_WORD = 1 << 64


class Draw:
    """A stream of draws that a seed fixes.

    An exercise takes every number it needs from one draw, in a fixed order. The same seed then gives the same
    question today, on the tutor's machine, and in a dispute a year from now.

    Parameters
    ----------
    seed : int
        Any whole number; 0 or more.

    Raises
    ------
    OutOfRange
        If the seed is not a whole number of 0 or more.

    Examples
    --------
    >>> draw = Draw(7)
    >>> draw.step(1200, 4800, 50), draw.pick(["char", "trout"]), draw.shuffle("abcd")
    (3450, 'trout', ['b', 'd', 'a', 'c'])
    """

    def __init__(self, seed: int) -> None:
        if isinstance(seed, bool) or not isinstance(seed, int) or seed < 0:
            raise OutOfRange("seed", seed, "a whole number of 0 or more")
        self.seed = seed
        self._block = 0
        self._words: list[int] = []

    def word(self) -> int:
        """Return the next 64-bit word of the stream."""
        if not self._words:
            digest = sha256(f"smokehouse-draw-1:{self.seed}:{self._block}".encode()).digest()
            self._block += 1
            self._words = [int.from_bytes(digest[at : at + 8], "big") for at in (24, 16, 8, 0)]
        return self._words.pop()

    def whole(self, low: int, high: int) -> int:
        """Return a whole number from ``low`` to ``high``, both included, each as likely.

        Examples
        --------
        >>> [Draw(seed).whole(1, 6) for seed in range(8)]
        [5, 4, 4, 6, 3, 1, 5, 5]
        """
        if high < low:
            raise OutOfRange("high", high, f"{low} or more")
        count = high - low + 1
        if count > _WORD:
            raise OutOfRange("high - low", high - low, "below 2^64")
        limit = _WORD - _WORD % count
        while True:
            word = self.word()
            if word < limit:
                return low + word % count

    def step(self, low: Real, high: Real, step: Real) -> Real:
        """Return one of ``low``, ``low + step``, … up to ``high``, each as likely.

        Whole numbers in give a whole number out. Decimals come out clean: 0.3, never 0.30000000000000004.

        Examples
        --------
        >>> [Draw(seed).step(2.0, 3.0, 0.1) for seed in range(5)]
        [2.2, 2.3, 2.6, 2.6, 2.4]
        """
        if step <= 0:
            raise OutOfRange("step", step, "above 0")
        first, size = Decimal(str(low)), Decimal(str(step))
        count = int((Decimal(str(high)) - first) / size)
        value = first + size * self.whole(0, count)
        if isinstance(low, int) and isinstance(step, int):
            return int(value)
        return float(value)

    def pick(self, items: Sequence[T]) -> T:
        """Return one of the items, each as likely.

        Examples
        --------
        >>> Draw(3).pick([18, 20, 22])
        22
        """
        if not items:
            raise OutOfRange("items", 0, "1 item or more")
        return items[self.whole(0, len(items) - 1)]

    def shuffle(self, items: Sequence[T]) -> list[T]:
        """Return the items in a drawn order, as a new list.

        Examples
        --------
        >>> Draw(1).shuffle(["cure", "dry", "smoke", "cook"])
        ['cure', 'dry', 'smoke', 'cook']
        """
        shuffled = list(items)
        for last in range(len(shuffled) - 1, 0, -1):
            other = self.whole(0, last)
            shuffled[last], shuffled[other] = shuffled[other], shuffled[last]
        return shuffled

    def sample(self, items: Sequence[T], count: int) -> list[T]:
        """Return ``count`` different items in a drawn order.

        Examples
        --------
        >>> Draw(1).sample(["cure", "dry", "smoke", "cook"], 2)
        ['cure', 'dry']
        """
        if not 0 <= count <= len(items):
            raise OutOfRange("count", count, f"from 0 to {len(items)}")
        return self.shuffle(items)[:count]

    def fraction(self) -> float:
        """Return a number from 0 up to, but not, 1, in steps of 2⁻⁵³."""
        return (self.word() >> 11) / (1 << 53)

    def chance(self, p: float) -> bool:
        """Return True with probability ``p``.

        Examples
        --------
        >>> [Draw(seed).chance(0.5) for seed in range(4)]
        [False, True, False, True]
        """
        if not 0 <= p <= 1:
            raise OutOfRange("p", p, "from 0 to 1")
        return self.fraction() < p

    def scatter(self, spread: float) -> float:
        """Return noise around 0 with standard deviation ``spread``, never beyond 6 of them.

        It is the sum of 12 fractions less 6: bell-shaped, and plain sums only, so the same everywhere.
        """
        return spread * (sum(self.fraction() for _ in range(12)) - 6.0)

    def fork(self, name: str) -> Draw:
        """Return another stream, fixed by this one's seed and a name.

        A picture's noise drawn from a fork does not move the numbers drawn after it.

        Examples
        --------
        >>> Draw(5).fork("noise").whole(0, 9) == Draw(5).fork("noise").whole(0, 9)
        True
        """
        return Draw(_hashed("fork", self.seed, name))


def seed_for(person_id: str, exercise: str, version: int, occasion: str | int, number: str = "") -> int:
    """Return the seed of the question one person meets on one occasion.

    It is the first 63 bits of the SHA-256 of all of them as a JSON list. Taking in an answer book works it
    out again, so nobody can shop for an easy variant and go unnoticed.

    Parameters
    ----------
    person_id : str
        The random id in the person's folder.
    exercise : str
        The exercise's id.
    version : int
        The exercise's version, from 1.
    occasion : str or int
        Which meeting this is: a count, or the id of a sitting. ``1`` and ``"1"`` are the same occasion.
    number : str
        The number that the kitchen gave last, where it gives any: nobody knows next week's questions today.

    Returns
    -------
    int
        From 0 to 2⁶³ − 1: it fits a database's signed 64-bit integer.

    Examples
    --------
    >>> seed_for("p-4f2a", "cook-hold-needed", 1, 1)
    1152355476797580810
    """
    given = (number,) if number else ()
    return _hashed(person_id, exercise, int(version), str(occasion), *given)


def sub_seed(seed: int, turn: int) -> int:
    """Return the seed of the ``turn``-th draw for one seed: the seed itself first, then hashed ones.

    A variant that is not sound is drawn again from the next of these: the first still fixes the question.
    """
    return seed if turn == 0 else _hashed("again", seed, turn)


def _hashed(*parts: str | int) -> int:
    text = json.dumps(parts, ensure_ascii=True, separators=(",", ":"))
    return int.from_bytes(sha256(text.encode("ascii")).digest()[:8], "big") >> 1
