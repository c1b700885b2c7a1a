"""Lesson 9, labels: what must stand on this pack, from this house, and which line is missing."""

from kit.exercises.engine import exercise
from kit.marking.authored import AuthoredOption, option, right, wrong
from kit.marking.build import one, several
from kit.marking.draw import Draw
from kit.marking.model import Question
from kit.rules import Profile
from kit.rules.papers import PaperDuty, law_of, papers

_LATIN = {
    "salmon": "Salmo salar",
    "sea trout": "Salmo trutta",
    "trout": "Oncorhynchus mykiss",
    "char": "Salvelinus alpinus",
}
_IN_PLAY = ("eu-label-mark", "eu-label-gear")
_MUST = "eu-label-allergen"


def whose(profile: Profile) -> str:
    """Return whose law a question on labels is about, and that it is another's where it is."""
    law = law_of(profile)
    told = "This is about EU law, as the UK has kept it."
    if law is not None and law.id == "eu":
        return told
    return f"{told} Your own rules ({profile.title}) were not read for this: ask your authority."


@exercise("What this label needs", criteria=["PLS-K05"], prepares_for=["PLS-P02", "PLS-P03"])
def what_this_label_needs(draw: Draw, profile: Profile) -> Question:
    """Pick what a label must say for a drawn fish and a drawn house."""
    fish, caught, approved = draw.pick(sorted(_LATIN)), draw.chance(0.5), draw.chance(0.5)
    known = papers("label", "eu")
    usual = [each for each in known if each.asked and each.id not in (*_IN_PLAY, _MUST)]
    never = [each for each in known if not each.asked]
    lines = [each for each in known if each.id in (*_IN_PLAY, _MUST)]
    lines += [*draw.sample(usual, draw.pick([1, 2])), *draw.sample(never, draw.pick([1, 2]))]
    options = [_line(each, approved, caught) for each in lines]
    house = "has approval" if approved else "has no approval, and sells to its own guests alone"
    return several(
        draw,
        f"{whose(profile)} A vacuum pack of smoked {fish}, {'caught wild' if caught else 'farmed'}, for "
        f"the cold shelf. The house {house}. Pick every line that must be on the label.",
        options,
        hints=[
            "Two of these hang on the fish and on the house. Which?",
            "What would an allergic guest look for?",
        ],
        worked="The mark is for an approved house alone, the gear for caught fish alone. The word fish "
        "always stands out. Your local authority decides.",
    )


def _line(paper: PaperDuty, approved: bool, caught: bool) -> AuthoredOption:
    asked = paper.asked_of(approved=approved, caught=caught)
    must = asked and paper.id == _MUST
    return option(paper.text, right=asked, says=paper.says, name=paper.id, safety=must)


_SET_OFF = "The allergen, set off"
_MISSING = {  # what is missing: why it is needed
    "The scientific name": "Smoked fish carries it beside the trade name.",
    "Caught or farmed": "Smoked fish must say it, too.",
    "Where it is from": "The place of the catch or the land of the farm is missing.",
    "The ingredients": "Fish and salt went in. They must be listed.",
    _SET_OFF: "The word fish must stand out for those who are allergic.",
    "The net weight": "How much fish is in it must stand there.",
    "The date": "A chilled pack needs its last day.",
    "How to keep it": "The date holds only in the cold that the label names.",
    "Who answers for it": "The name and address of the business are missing.",
}


@exercise("The line that is missing", criteria=["PLS-K05"], prepares_for=["PLS-P02", "PLS-P03"])
def the_line_that_is_missing(draw: Draw, profile: Profile) -> Question:
    """Find the one line that a drawn label lacks."""
    fish, missing = draw.pick(sorted(_LATIN)), draw.pick(sorted(_MISSING))
    land = draw.pick(["Ireland", "Norway", "Scotland", "Iceland"])
    lines = {
        "": f"Smoked {fish}",
        "The scientific name": f"{_LATIN[fish]}",
        "Caught or farmed": "farmed",
        "Where it is from": f"from {land}",
        "The ingredients": f"ingredients: {fish}{'' if missing == _SET_OFF else ' (FISH)'}, salt",
        _SET_OFF: "contains FISH" if missing == "The ingredients" else "",
        "The net weight": f"{draw.pick([100, 120, 150, 200])} g",
        "The date": f"use by {draw.step(2, 27, 1)} May",
        "How to keep it": f"keep at {draw.pick([2, 3])} °C or colder",
        "Who answers for it": "Harbour Lane Smokehouse, 4 Quay Road",
    }
    label = "; ".join(words for name, words in lines.items() if words and name != missing)
    lines[_SET_OFF] = lines[_SET_OFF] or "(FISH)"
    others = draw.sample([each for each in sorted(_MISSING) if each != missing], 3)
    return one(
        draw,
        f"{whose(profile)} A pack from a house that has no approval. Its label says: “{label}”. Which line "
        "must be added before it is sold?",
        [
            right(missing),
            *(
                wrong(each, f"It is there: “{lines[each]}”. Read the label again, part by part.")
                for each in others
            ),
        ],
        hints=[
            "Go through it: what, from where, what is in it, how much, until when, how cold, who?",
            "A label with one gap is a wrong label.",
        ],
        worked=f"{missing}. {_MISSING[missing]} Hold the pack until it is right; Chef decides.",
    )
