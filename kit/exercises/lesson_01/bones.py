"""Lesson 1, on the board: where the bones are, what is left to sell, and what a look can and cannot tell."""

from collections.abc import Sequence

from kit.exercises.engine import exercise
from kit.exercises.engine.fish import any_fish
from kit.marking.authored import AuthoredOption, Joined, right, some, wrong
from kit.marking.build import match, number, places, several
from kit.marking.draw import Draw
from kit.marking.model import Picture, Question, Region, Slip
from kit.process.sampling import bones
from kit.process.sampling.inspection import acceptance_probability, upper_bound_none_found
from kit.process.steps import trim

_PARTS = {
    "Loin": (
        "The thick upper part, along the back",
        "Where the cure and the cook take longest",
        "Highest when the fillet lies skin down",
    ),
    "Belly": (
        "The thin, fat lower part",
        "Where the guts lay behind it",
        "Soft, fat flesh that is often trimmed off",
    ),
    "Pin-bone line": (
        "In the front half, along its thick middle",
        "What you feel for with a finger, head to middle",
        "A row of hard tips across the front flesh",
    ),
    "Tail": (
        "The thin end, with no pin bones",
        "Where it dries and cooks first",
        "The narrow end, far from the head",
    ),
}
_WHERE = {
    "Loin": "The loin lies along the back, and it is the thick part.",
    "Belly": "The belly is the lower part. It is thin, soft and fat.",
    "Pin-bone line": "The pin bones sit in a row in the front half, along the thick middle.",
    "Tail": "The tail is the thin, narrow end. It has no pin bones.",
}


@exercise("Parts of a fillet", criteria=["TPB-K01"], prepares_for=["TPB-P03"], version=2)
def parts_of_a_fillet(draw: Draw) -> Question:
    """Join what is told of a fillet with the part that it is."""
    parts = [*draw.sample(sorted(_PARTS), 3), draw.pick(sorted(_PARTS))]
    pairs: dict[str, str] = {}
    for part in parts:
        pairs[draw.pick([each for each in _PARTS[part] if each not in pairs])] = part
    return match(
        draw,
        "Join each line with the part of the fillet that it tells of. A part may serve twice.",
        pairs,
        [
            Joined(line, other, f"{_WHERE[other]} This line tells of another part.")
            for line, part in pairs.items()
            for other in _PARTS
            if other != part
        ],
        extra=sorted(_PARTS),
        hints=["Lay the fillet in front of you, skin down.", "Where is it thick, where is it thin?"],
        worked=" ".join(f"{line}: {part.lower()}." for line, part in pairs.items()),
    )


_ON_A_FILLET = {  # places on a fillet of full size whose head is on the left: across, down, and half sizes
    "the pin-bone line": (0.3, 0.47, 0.2, 0.13),
    "the tail": (0.88, 0.5, 0.11, 0.3),
    "the belly": (0.42, 0.78, 0.28, 0.1),
    "the back edge": (0.3, 0.17, 0.2, 0.09),
}
_MARK = {
    "the pin-bone line": "Mark the part where your finger feels for pin bones.",
    "the tail": "Mark the part that is done first in the cook, and has no pin bones.",
    "the belly": "The pale strip was the edge of the guts. Mark that thin, fat part.",
}
_OF_A_MARK = {
    "the pin-bone line": "Here sit the pin bones: in the front half, along the thick middle.",
    "the tail": "This is the tail, the thin end. It has no pin bones.",
    "the belly": "This is the belly: thin and fat, with a pale strip along it.",
    "the back edge": "This is the edge of the back. It is neither thin nor fat, and has no pin bones.",
}


@exercise("Where do they sit?", criteria=["TPB-K01"], prepares_for=["TPB-P04", "TPB-P06"], version=3)
def where_the_bones_sit(draw: Draw) -> Question:
    """Mark a named part of a drawn fillet: the pin bones, the tail or the belly."""
    asked, left, scale = draw.pick(list(_MARK)), draw.chance(0.5), draw.pick([0.7, 0.8, 0.9, 1.0])
    fish = any_fish(draw)
    words = f"A fillet from above, skin down. Its head end is on the {'left' if left else 'right'}."

    def region(name: str) -> Region:
        x, y, rx, ry = _ON_A_FILLET[name]
        across = (x if left else 1 - x) - 0.5
        return Region(name, 0.5 + scale * across, 0.5 + scale * (y - 0.5), scale * rx, scale * ry)

    return places(
        f"A {fish} fillet lies skin down. {_MARK[asked]}",
        Picture("fillet-top", {"head_left": left, "scale": scale, "words": words}, words),
        [region(asked)],
        [(region(name), says) for name, says in _OF_A_MARK.items() if name != asked],
        slack=0.0,
        hints=["Where is the head end? Where is it thick?", "The pin bones sit in the front half."],
        worked="Pin bones sit in a line in the front half, along the middle of the thick part. The tail is "
        "the thin end. The belly is the fat lower edge.",
    )


@exercise("Yield of the trim", criteria=["TPB-K02"], prepares_for=["TPB-P03"], version=2)
def yield_of_the_trim(draw: Draw) -> Question:
    """Work out a yield from two weights."""
    before, lost, fish = draw.step(4000, 9000, 100), draw.step(9, 22, 1), any_fish(draw)
    after = round(before * (100 - lost) / 100 / 10) * 10
    truth = float(trim.yield_pct(after, before))
    return number(
        f"{before} g of {fish} fillets go onto the board. {after} g of trimmed fillets come off. What is "
        "the yield in %? Give 1 decimal.",
        truth,
        "%",
        abs_tol=0.06,
        decimals=1,
        slips=[
            Slip("gave the loss", 100 - truth, "That is what was cut off. The yield is what is left."),
            Slip("upside down", 100 * before / after, "You divided the wrong way. What is left goes on top."),
        ],
        hints=["Divide what is left by what there was.", "Times 100 makes it a percentage."],
        worked=f"100 × {after} ÷ {before} = {truth:.1f} %.",
    )


@exercise("How much to buy?", criteria=["TPB-K02"], prepares_for=["TPB-P03"], version=2)
def how_much_to_buy(draw: Draw) -> Question:
    """Work back from portions to what must be bought."""
    portions, portion_g, whole = draw.step(24, 80, 4), draw.pick([80, 90, 100, 120]), draw.step(42, 58, 2)
    truth = float(trim.to_buy(portions, portion_g, whole)) / 1000
    served = portions * portion_g / 1000
    return number(
        f"You need {portions} portions of {portion_g} g of {any_fish(draw)}. From whole fish to plate "
        f"you keep {whole} %. How many kg of whole fish must you buy? Give 2 decimals.",
        truth,
        "kg",
        abs_tol=0.02,
        decimals=2,
        slips=[
            Slip(
                "took the yield off",
                served * whole / 100,
                "You made it smaller. You must buy more than you serve.",
            ),
            Slip(
                "added the loss",
                served * (200 - whole) / 100,
                "The loss is a share of what you buy. Divide instead.",
            ),
            Slip("forgot the loss", served, "That is what is served. Much is lost on the way."),
        ],
        hints=["First: how much is served in all?", f"That is {whole} % of what you buy."],
        worked=f"{portions} × {portion_g} ÷ 1000 = {served:g} kg served. {served:g} ÷ {whole} × 100 = "
        f"{truth:.2f} kg.",
    )


@exercise("How many bones are left?", criteria=["TPB-K03"], prepares_for=["TPB-P06"])
def bones_that_are_left(draw: Draw) -> Question:
    """Work out how many bones are left in a batch after pulling and one look."""
    count, fillets = draw.step(20, 28, 2), draw.step(20, 60, 5)
    pull, find = draw.pick([90, 95]), draw.pick([60, 70, 80])
    still = float(bones.still_there(pull / 100, find / 100, 1))
    truth = fillets * bones.bones_left(count, still).mean
    return number(
        f"Each of {fillets} fillets has {count} pin bones. The machine pulls {pull} % of them. Your "
        f"finger then finds "
        f"{find} % of those that are left. How many bones stay in the batch, on average? Give 1 decimal.",
        truth,
        "bones",
        abs_tol=0.06,
        decimals=1,
        slips=[
            Slip(
                "stopped at the machine",
                fillets * count * (100 - pull) / 100,
                "That is what the machine leaves. Your finger takes some of those too.",
            ),
            Slip(
                "counted those found",
                fillets * count * (100 - pull) / 100 * find / 100,
                "Those are the ones your finger finds. The question asks for those that stay.",
            ),
            Slip("one fillet only", truth / fillets, "That is for one fillet. The batch has many."),
        ],
        hints=["First: how many does the machine leave?", f"Your finger misses {100 - find} % of those."],
        worked=f"{fillets} × {count} × {100 - pull} ÷ 100 × {100 - find} ÷ 100 = {truth:.1f}. In real life "
        "more stay: a bone that hides once hides twice.",
    )


@exercise("None found. And now?", criteria=["TPB-K03"], prepares_for=["TPB-P06"], version=4)
def none_found_is_not_none(draw: Draw) -> Question:
    """Say what a clean sample can tell, with figures that fit the sample."""
    n, share = draw.pick([10, 15, 20, 25, 30, 40, 50, 60]), draw.pick([2, 3, 4, 5])
    worst = 100 * float(upper_bound_none_found(n))
    clean = 100 * float(acceptance_probability(n, 0, share / 100))
    lines = some(draw, _of_a_clean_sample(n, share, worst, clean), draw.pick([2, 3]), 3)
    return several(
        draw,
        f"You feel through {n} {any_fish(draw)} fillets of a large batch and find no bone. What is true? "
        "An upper end may be wrong 1 time in 20 at most.",
        lines,
        hints=[
            "You felt a few. What of the others?",
            "Divide 3 by the number of fillets: that is near the upper end.",
        ],
        worked=f"With none found in {n}, up to about {worst:.0f} % may still hold one (the 95 % upper end). "
        f"If {share} % hold one, each fillet is clean with a chance of {100 - share} %, and all {n} with "
        f"{clean:.0f} %. So feel every fillet.",
    )


def _of_a_clean_sample(n: int, share: int, worst: float, clean: float) -> tuple[AuthoredOption, ...]:
    """Return what may be said, rightly and wrongly, of a sample of n without a bone."""
    return (
        right(
            f"Up to about {worst:.0f} % of the batch may hold a bone",
            f"The upper end is near 3 ÷ {n}.",
            name="upper end",
        ),
        right(
            f"Where {share} % hold one, {clean:.0f} of 100 such samples are clean",
            f"Each fillet is clean with a chance of {100 - share} %, and there are {n} of them.",
            name="clean by luck",
        ),
        right("Twice as many, all clean, would halve the upper end", "Double the sample, and 3 ÷ n is half."),
        right("A bone that the finger missed is not in an upper end", "It takes your finger at its word."),
        right(
            "An upper end holds if the pieces were picked by chance", "Picked pieces speak for themselves."
        ),
        wrong(
            f"At least {worst:.0f} % of the batch must hold a bone",
            "That figure is the upper end. There may be none at all.",
            name="at least",
        ),
        wrong(
            "All the fillets of the batch are now free of bones",
            "You felt through a few. The others nobody felt.",
            name="free",
            safety=True,
        ),
        wrong(
            f"Exactly 1 in {n} fillets of the batch holds a bone",
            "None found does not mean one in so many. It gives an upper end.",
            name="one in n",
        ),
        wrong(
            "A clean sample can tell nothing at all of the batch",
            "It tells a good deal. It sets an upper end.",
            name="nothing",
        ),
        wrong(
            f"Where {share} % hold one, {n} fillets always show it",
            f"By luck all {n} may be clean: that happens {clean:.0f} times in 100.",
            name="always shows",
        ),
        wrong(
            "Nobody has to feel through the fillets that are left",
            f"Up to about {worst:.0f} % of them may hold a bone. Feel every fillet.",
            name="no finger",
            safety=True,
        ),
    )


CARD_LENGTH_MM, CARD_THICK_MM = 12.0, 1.5
"""Harbour Lane's own card, made up: a bone counts from this length, or from this thickness, on."""

_ALL_SIZES = {
    "long": ((14, 0.6), (16, 0.8), (21, 0.5), (13, 0.9)),
    "thick": ((7, 1.6), (9, 1.8), (8, 2.0), (6, 1.7)),
    "small": ((6, 0.4), (9, 0.7), (4, 0.5), (11, 0.9), (8, 1.1)),
}
"""Bones by length and thickness: those that count by the one, by the other, and by neither. [mm]"""


def counted_bones(sizes: Sequence[tuple[float, float]], sample_kg: float) -> bones.BoneCheck:
    """Return which bones of a sample the card counts.

    Examples
    --------
    >>> counted_bones([(14, 0.6), (7, 1.6), (6, 0.4)], 2.0).per_kg
    1.0
    """
    return bones.bone_defects(
        [length for length, _ in sizes],
        [thick for _, thick in sizes],
        sample_kg,
        counted_length_mm=CARD_LENGTH_MM,
        counted_diameter_mm=CARD_THICK_MM,
        ignored_length_mm=0,
        ignored_diameter_mm=0,
        allowed_per_kg=1,
    )


@exercise("Which bones count?", criteria=["TPB-K03"], prepares_for=["TPB-P06"], version=2)
def count_by_the_card(draw: Draw) -> Question:
    """Count the bones of a sample as a limit says, and bring them to one kilo."""
    long, thick = draw.sample(_ALL_SIZES["long"], draw.whole(1, 2)), draw.sample(_ALL_SIZES["thick"], 1)
    small = draw.sample(_ALL_SIZES["small"], draw.whole(2, 3))
    sizes = draw.shuffle([*long, *thick, *small])
    kilos = draw.pick([1.6, 2.5, 3.2, 4.0])
    check = counted_bones(sizes, kilos)
    listed = "\n".join(f"- {length:g} mm long, {across:g} mm thick" for length, across in sizes)
    return number(
        f"The card of Harbour Lane is made up. A bone counts once, if it is {CARD_LENGTH_MM:g} mm or longer, "
        f"or {CARD_THICK_MM:g} mm or thicker, or both. You feel through {kilos:g} kg and pull these:\n\n"
        f"{listed}\n\nHow many counted bones is that for 1 kg? Give 2 decimals.",
        check.per_kg,
        "bones",
        abs_tol=0.011,
        decimals=2,
        slips=[
            Slip("counted them all", len(sizes) / kilos, "The limit says which bones count. Some are small."),
            Slip(
                "by length only",
                len(long) / kilos,
                "A short bone counts too, if it is thick enough.",
            ),
            Slip("not for 1 kg", float(check.counted), "That is for all you felt. Divide it by the kilos."),
        ],
        hints=["Tick each bone: long enough, or thick enough?", "Then divide by the kilos you felt."],
        worked=f"{check.counted} of {len(sizes)} bones count. {check.counted} ÷ {kilos:g} = "
        f"{check.per_kg:.2f} for 1 kg. The limit on your own card decides what that means.",
    )


_HARM = (
    right("A bone can cut a mouth or stick in a throat", "That harm is why a bone counts as a hazard."),
    right("The guest expects no bone in a boneless fillet", "Who expects no bone does not look for one."),
    wrong("The cook softens pin bones, so they do no harm", "Hot smoke leaves pin bones hard and sharp."),
    wrong("A bone is only a fault of looks", "It can cut a mouth or stick in a throat."),
)
_SETTING = (
    right("A limit says which bones count, by size", "Without a size, each person counts other bones."),
    right("A limit says how many for each kilo", "A count means nothing without the kilos."),
    right("A limit says for which fish it was made", "A limit for frozen fillets is not one for ours."),
    right("Harm to the guest is weighed against what a finger can find", "Both sides go into a limit."),
    right("A competent person sets it, and it is written down", "A limit in the head is no limit."),
    wrong("Whoever inspects sets it new each day", "Then no two days can be compared. It is written down."),
    wrong("None found in a sample means none in the lot", "A sample leaves room for bones nobody felt."),
    wrong("It is set so that nothing ever goes back", "Then it protects no guest."),
)


@exercise("A limit for bones", criteria=["TPB-K03"], prepares_for=["TPB-P06"])
def how_a_bone_limit_is_set(draw: Draw) -> Question:
    """Pick what is true of the harm a bone does, and of the limit for it."""
    sentences = some(draw, _HARM, 1, 1) + some(draw, _SETTING, 2, 1)
    return several(
        draw,
        "Why is a bone left in a hazard, and how is a limit for bones set? Pick what is true.",
        sentences,
        hints=["Think of the guest first.", "What must a limit say, so that two people count alike?"],
        worked=" ".join(f"{each.text}." for each in sentences if each.right),
    )
