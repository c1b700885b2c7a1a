"""Lesson 10, tasting: what a triangle test shows, who really tastes it, and whether two tasters agree."""

from kit.exercises.engine import exercise
from kit.marking.authored import right, some, wrong
from kit.marking.build import number, one, several
from kit.marking.draw import Draw
from kit.marking.model import Question, Slip
from kit.process.sampling.detection import cohen_kappa
from kit.process.sampling.tasting import least_right, taste_it_pct

_CHANGES = (
    "salmon with 2.0 % salt and with 2.4 %",
    "salmon smoked over beech and over alder",
    "trout dried for 2 h and for 3 h",
    "salmon from two farms",
    "char chilled fast and chilled slowly",
    "salmon with and without sugar in the cure",
)


@exercise("Who really tastes it?", criteria=["REC-K08"], prepares_for=["REC-P05"])
def who_really_tastes_it(draw: Draw) -> Question:
    """Take the lucky guesses off a triangle test."""
    tasters = draw.pick([18, 24, 30, 36, 42, 48])
    correct = draw.step(tasters // 3 + 3, tasters - 4, 1)
    truth = taste_it_pct(correct, tasters)
    share = 100 * correct / tasters
    return number(
        f"A triangle test of {draw.pick(_CHANGES)}: {tasters} tasters get three samples, two alike. "
        f"{correct} pick the odd one. Who tastes nothing still guesses right one time in three. What share "
        "of the tasters really tastes the difference? Give a whole percent.",
        round(truth, 2),
        "%",
        abs_tol=0.6,
        slips=[
            Slip(
                "counted the lucky ones",
                round(share, 2),
                f"{share:.0f} % are right. Some of them only guessed well.",
            ),
            Slip(
                "took a third of all off",
                round(share - 100 / 3, 2),
                "You took off a third of all tasters. Only those who taste nothing guess. Divide by two "
                "thirds.",
            ),
            Slip(
                "took a third of the right ones off",
                round(share * 2 / 3, 2),
                "You took a third off the right answers. Begin with chance: 33.3 % are right if nobody "
                "tastes it.",
            ),
            Slip(
                "those who do not taste it",
                round(100 - truth, 2),
                "That is the share who taste nothing.",
            ),
        ],
        hints=[
            "By chance alone, a third is right. How far above a third are they?",
            "From a third to all right is two thirds. Which part of that way did they go?",
        ],
        worked=f"{correct} ÷ {tasters} = {share:.1f} % right. ({share:.1f} − 33.3) ÷ 66.7 = {truth:.0f} %. "
        "With so few tasters the true share may lie well to either side.",
    )


_SHOWN = "A difference is shown; the test does not say which is better"
_NOT_SHOWN = "No difference is shown; a small one may still be there"
_SPOILED = "The test says nothing: it must be run again, and blind"
_EQUAL = "The two are proven to taste the same, so change to the new one"
_BETTER = "The new one is better: more tasters picked it out than not"
_ALWAYS = {
    _SHOWN: "Count again, and look at how the test was run: this result cannot show one.",
    _NOT_SHOWN: "Look at the count, and at how the test was run: that is not what this result says.",
    _SPOILED: "Nothing in how this test was run gives the odd one away. Its count may be used.",
    _EQUAL: "A triangle test never proves that two are the same. It can only fail to show a difference.",
    _BETTER: "The tasters were asked for the odd one, not for the one they like.",
}
_FLAWS = (
    "The odd sample was always the last of the three.",
    "The odd sample was warmer than the other two.",
    "The plates bore the names of the two.",
    "The tasters sat at one table and talked it over.",
    "The odd sample was cut from the tail, the others from the loin.",
    "The odd sample lay on a white dish, the others on blue ones.",
    "Two tasters had made the fish, and named the odd one aloud.",
)
_FAIR = (
    "Each taster sat alone, and the order was drawn by lot.",
    "The samples had three-digit codes and one temperature.",
    "The light was dim red, and all pieces came from the loin.",
    "Water stood by, and nobody knew what was changed.",
)


@exercise("What does the triangle show?", criteria=["REC-K08"], prepares_for=["REC-P05"], version=2)
def what_the_triangle_shows(draw: Draw) -> Question:
    """Say what may be concluded from one triangle test."""
    truth = draw.pick([_SHOWN, _NOT_SHOWN, _SPOILED])
    tasters = draw.pick([12, 15, 18, 20, 24, 30, 36])
    need = least_right(tasters)
    above = truth == _SHOWN or (truth == _SPOILED and draw.chance(0.5))
    correct = need + draw.step(0, 3, 1) if above else need - draw.step(1, 3, 1)
    how = draw.pick(_FLAWS if truth == _SPOILED else _FAIR)
    others = draw.sample([each for each in _ALWAYS if each != truth], 3)
    because = {
        _SHOWN: f"{correct} are at least {need}, and the test was fair.",
        _NOT_SHOWN: f"{correct} are fewer than {need}. That does not prove that they are alike.",
        _SPOILED: f"{how} So the count says nothing, however high.",
    }[truth]
    return one(
        draw,
        f"A triangle test of {draw.pick(_CHANGES)}. {tasters} tasters, {correct} pick the odd one. For "
        f"{tasters} tasters a table asks for {need} or more, so that chance does it at most 1 time in 20. "
        f"{how} What may you tell Chef?",
        [right(truth), *(wrong(text, _ALWAYS[text]) for text in others)],
        hints=[
            "First: could the tasters know the odd one by anything but its taste?",
            f"Then hold {correct} against {need}.",
        ],
        worked=f"{because} {truth}.",
    )


@exercise("Do two tasters agree?", criteria=["REC-K08"], prepares_for=["REC-P05"])
def do_two_tasters_agree(draw: Draw) -> Question:
    """Work out kappa of two tasters who graded the same pieces."""
    both_a, both_b = draw.step(14, 30, 1), draw.step(5, 16, 1)
    first, second = draw.step(1, 7, 1), draw.step(1, 7, 1)
    pieces = both_a + both_b + first + second
    truth = cohen_kappa([[both_a, first], [second, both_b]])
    agreed = (both_a + both_b) / pieces
    a_one, a_two = (both_a + first) / pieces, (both_a + second) / pieces
    chance = a_one * a_two + (1 - a_one) * (1 - a_two)
    return number(
        f"Mira and Tomasz each grade the same {pieces} pieces of smoked salmon, A or B. Both say A: "
        f"{both_a}. Both say B: {both_b}. Only Mira says A: {first}. Only Tomasz says A: {second}. By "
        f"chance they would agree on {100 * chance:.1f} % of them. How large is kappa? Give 2 decimals.",
        round(truth, 4),
        "",
        abs_tol=0.015,
        slips=[
            Slip(
                "agreement with the luck in it",
                round(agreed, 4),
                "That is how often they agree. Much of it comes by chance. Take that off.",
            ),
            Slip(
                "took chance off and stopped",
                round(agreed - chance, 4),
                "You took chance off. Now hold it against the most that is left: divide by 1 − chance.",
            ),
            Slip(
                "divided by the agreement",
                round((agreed - chance) / agreed, 4),
                "You divided by how often they agree. Divide by what was left to gain: 1 − chance.",
            ),
            Slip("gave chance", round(chance, 4), "That is what chance gives. Kappa is what lies beyond it."),
        ],
        hints=[
            f"They agree on {both_a} + {both_b} of {pieces}. How much is that, as a part of 1?",
            "Kappa = (agreed − chance) ÷ (1 − chance).",
        ],
        worked=f"Agreed: {both_a + both_b} ÷ {pieces} = {agreed:.3f}. Chance: {chance:.3f}. ({agreed:.3f} − "
        f"{chance:.3f}) ÷ (1 − {chance:.3f}) = {truth:.2f}. 1 is full agreement, 0 is luck. If it is low, "
        "taste together and settle what an A is.",
    )


_RUN = (
    right("Three-digit codes on the samples, drawn by lot", "A name or a letter hints at an order."),
    right("Each taster sits alone and says nothing", "Who hears others follows them."),
    right("All six orders of the three samples are used", "Else the place gives the odd one away."),
    right("All pieces from the loin, of one thickness", "Else they find the cut, not the change."),
    right("All samples at one temperature, on like plates", "Else they find the warmth or the plate."),
    right("Who cannot tell must guess, and says so", "The sums count on a guess of one in three."),
    right("Water and plain bread between the samples", "Smoke and salt stay in the mouth."),
    right("Only batches that met the kitchen’s limits", "Nobody tastes fish that is on hold or unproven."),
    right("The count that shows a difference is set before", "Set afterwards, it shows what one wished for."),
    wrong("Say before the test what was changed", "Then they look for it, and find it by the hint."),
    wrong("Old batch always first, so that all is alike", "Then the place gives it away. Draw the orders by "
    "lot."),
    wrong("Leave out the answers of those who guessed", "The sums count on guesses. Keep every answer."),
    wrong("Ask in the same round which one they like more", "Who looks for the odd one judges its liking "
    "wrongly."),
    wrong("Add tasters until the count is high enough", "Stopped at a lucky moment, chance looks like "
    "taste."),
    wrong("Let the cook who made the new batch hand it out", "A face gives it away. Somebody who does not "
    "know it "
          "hands it out."),
    wrong("Taste fish on hold too, since it is only a sip", "Never. What is on hold is not eaten, not even "
    "a bit."),
    wrong("Let each taster talk first with the next one", "Then you count one answer twice."),
)  # fmt: skip


@exercise("How the test is run", criteria=["REC-K08"], prepares_for=["REC-P05"])
def how_the_test_is_run(draw: Draw) -> Question:
    """Pick what belongs to a fair triangle test."""
    return several(
        draw,
        "You set up a triangle test at Harbour Lane, with three bits of fish for each taster. Pick "
        "everything that belongs to a fair and safe test.",
        some(draw, _RUN, draw.pick([2, 3]), draw.pick([2, 3])),
        hints=[
            "Could it tell a taster the odd one by anything but the taste?",
            "Would it change the sums of chance?",
        ],
        worked="Blind, alone, in drawn orders, from like pieces, all answers counted, the needed count set "
        "before. And only fish that is safe to eat.",
    )
