"""Lesson 9, the clinic: from a finished piece and its record to the cause, and what to do with the batch."""

from kit.exercises.engine import exercise
from kit.exercises.engine.cache import simulated
from kit.exercises.lesson_08.days import MM, card
from kit.marking.authored import Joined, option, right, wrong
from kit.marking.build import match, one, places, recommend
from kit.marking.draw import Draw
from kit.marking.model import DECISIONS, Decision, Picture, Question, Region
from kit.process.product_faults import PRODUCT_FAULTS, PieceRecord, made_with, piece_record

_SPOTS = ((0.22, 0.42), (0.40, 0.62), (0.56, 0.40), (0.74, 0.54))
_BELLY = ((0.34, 0.72), (0.56, 0.70))
_BELLY_Y = {0.22: 0.71, 0.40: 0.73, 0.56: 0.70, 0.74: 0.60}
_FISH = ("salmon, farmed", "trout, farmed", "char, farmed")
_WHOLE_FACE = ("crust", "tarry smoke")


@simulated
def figures_of(species: str, thickness_mm: float, fault: str) -> PieceRecord:
    """Return the figures of a day with one setting wrong; run once, then kept."""
    return piece_record(made_with(card(species, thickness_mm), fault))


def record_words(found: PieceRecord) -> str:
    """Return the figures of a day as a question tells them."""
    return (
        f"at the door {found.door_c:.0f} °C, {found.state}; salt in the water {found.salt_wps_pct:.1f} %; "
        f"weight lost in drying {max(0.0, found.drying_pct):.1f} %; glow of the chips {found.glow_c:.0f} °C; "
        f"hottest face {found.face_c:.0f} °C; juice lost {found.juice_pct:.0f} %"
    )


def _drawn_piece(name: str, draw: Draw, words: str) -> Picture:
    """Return a piece with one fault in several places."""
    head_left = draw.chance(0.5)
    where = list(_BELLY) if name == "soft belly" else draw.sample(list(_SPOTS), 3)
    faults = [[name, x if head_left else round(1 - x, 3), y] for x, y in where]
    return Picture("faulty-piece", {"faults": faults, "head_left": head_left, "words": words}, words)


@exercise(
    "What made this piece?", criteria=["REC-K06"], prepares_for=["REC-P05", "REC-P03"], model=True, version=2
)
def what_made_this_piece(draw: Draw) -> Question:
    """From a drawing and the record of its day to the one setting that was wrong."""
    name, species, mm = draw.pick(sorted(PRODUCT_FAULTS)), draw.pick(_FISH), draw.pick(MM)
    fault, found, meant = PRODUCT_FAULTS[name], figures_of(species, mm, name), figures_of(species, mm, "")
    others = draw.sample([each for each in sorted(PRODUCT_FAULTS) if each != name], 3)
    fish = species.partition(",")[0]
    return one(
        draw,
        f"The picture shows a piece of smoked {fish}. What is seen: {_in_line(fault.looks)}. The day as "
        f"meant: {record_words(meant)}. The day as it went: {record_words(found)}. What made the fault?",
        [
            right(fault.cause, name=name),
            *(wrong(PRODUCT_FAULTS[each].cause, _not_this(each, found), name=each) for each in others),
        ],
        picture=_drawn_piece(name, draw, f"A smoked fillet from above. {fault.looks}."),
        hints=[
            "Hold each figure of the day as it went against the day as meant. Which one differs most?",
            "If no figure differs, the fish brought the fault along.",
        ],
        worked=f"{fault.cause}: {name}. The next time: {_in_line(fault.mend)}.",
    )


def _not_this(name: str, found: PieceRecord) -> str:
    told = {
        "gaping": f"The record says “{found.state}”.",
        "soft belly": f"At the door it had {found.door_c:.0f} °C.",
        "salt burn": f"The salt was {found.salt_wps_pct:.1f} % in the water.",
        "streaks": f"It lost {max(0.0, found.drying_pct):.1f} % in the drying.",
        "crust": f"It lost {max(0.0, found.drying_pct):.1f} % in the drying.",
        "tarry smoke": f"The chips glowed at {found.glow_c:.0f} °C.",
        "white albumin": f"The face reached {found.face_c:.0f} °C.",
        "blood spots": "Here a figure of the day stands out.",
    }[name]
    return f"That would make {_in_line(PRODUCT_FAULTS[name].looks)}. {told}"


@exercise("From look to cause", criteria=["REC-K06"], prepares_for=["REC-P05"])
def from_look_to_cause(draw: Draw) -> Question:
    """Join four complaints with what made each."""
    names = draw.sample(sorted(PRODUCT_FAULTS), 5)
    *asked, spare = names
    said = {name: draw.pick([PRODUCT_FAULTS[name].looks, PRODUCT_FAULTS[name].told]) for name in asked}
    joined = [
        Joined(
            said[name],
            PRODUCT_FAULTS[other].cause,
            f"That would make something else: {_in_line(PRODUCT_FAULTS[other].looks)}.",
            f"{name}: {other}",
        )
        for name in asked
        for other in names
        if other != name
    ]
    return match(
        draw,
        "Four pieces come back, each with one fault. Join each with what made it.",
        {said[name]: PRODUCT_FAULTS[name].cause for name in asked},
        joined,
        extra=[PRODUCT_FAULTS[spare].cause],
        hints=[
            "In which step could it happen: at the door, in the salt, the drying, the smoke or the heat?",
            "Think of the water. Where was there too much of it, or too little?",
        ],
        worked=" ".join(f"{said[name]}: {_in_line(PRODUCT_FAULTS[name].cause)} ({name})." for name in asked),
    )


@exercise("Mark what that cause has made", criteria=["REC-K06"], prepares_for=["REC-P05"])
def mark_the_cause(draw: Draw) -> Question:
    """Mark on a drawing with four faults the one that a named cause has made."""
    local = [name for name in sorted(PRODUCT_FAULTS) if name not in _WHOLE_FACE]
    names = draw.sample(local, 4)
    head_left, spots = draw.chance(0.5), draw.shuffle(list(_SPOTS))
    at = {}
    for name, (x, y) in zip(names, spots, strict=True):
        at[name] = (x, _BELLY_Y[x]) if name == "soft belly" else (x, y)
    if not head_left:
        at = {name: (round(1 - x, 3), y) for name, (x, y) in at.items()}
    asked = names[0]
    seen = sorted(names, key=lambda name: at[name])
    words = "A smoked fillet from above. From left to right: " + "; ".join(
        _in_line(PRODUCT_FAULTS[name].looks) for name in seen
    )
    regions = {name: Region(name, x, y, 0.085, 0.17) for name, (x, y) in at.items()}
    data = {"faults": [[name, *at[name]] for name in names], "head_left": head_left, "words": f"{words}."}
    return places(
        f"This piece has four faults. Mark the one with this cause: “{PRODUCT_FAULTS[asked].cause}”.",
        Picture("faulty-piece", data, f"{words}."),
        [regions[asked]],
        [
            (
                region,
                f"Here you see this: {_in_line(PRODUCT_FAULTS[name].looks)}. "
                f"Its cause is another: {_in_line(PRODUCT_FAULTS[name].cause)}.",
            )
            for name, region in regions.items()
            if name != asked
        ],
        hints=[
            "What would that cause do to the piece? Say it before you look.",
            "Then look for it from left to right.",
        ],
        worked=f"{PRODUCT_FAULTS[asked].cause} makes {asked}: {_in_line(PRODUCT_FAULTS[asked].looks)}.",
    )


_LOOKS_ONLY = "It is a fault of looks alone, and each limit is proven"
_SMOKE_LEFT = "What such smoke leaves behind cannot be seen"
_SPOILED = "It was spoiled before it was smoked"
_TOO_SALT = "Nobody has tasted or measured if it can be served"
_WHY = {
    _LOOKS_ONLY: "Is it only its looks here? Read again what the record shows.",
    _SMOKE_LEFT: "Was the smoke the trouble here? Read again what was seen.",
    _SPOILED: "Was the fish poor when it came in? Read the door’s record again.",
    _TOO_SALT: "Is the salt in doubt here? Read again what was seen.",
}
_FINE = "The logs of cook and chilling are whole, and met the card."
_CASES: dict[str, tuple[str, Decision, tuple[Decision, ...], str]] = {
    "white albumin": (f"White beads have set on {{kg}} kg of {{fish}}. {_FINE}", "go on", (), _LOOKS_ONLY),
    "streaks": (f"Pale drips cross {{kg}} kg of {{fish}}. {_FINE}", "go on", (), _LOOKS_ONLY),
    "tarry smoke": (
        f"{{kg}} kg of {{fish}} are near black and taste bitter. The chips burned with a flame. {_FINE}",
        "hold",
        (),
        _SMOKE_LEFT,
    ),
    "tar drips": (
        f"Drops of tar fell on {{kg}} kg of {{fish}}; the glow had run up to 495 °C. {_FINE}",
        "hold",
        (),
        _SMOKE_LEFT,
    ),
    "soft belly": (
        f"The bellies of {{kg}} kg of {{fish}} are torn, and smell sour. At the door it had 14 °C. {_FINE}",
        "reject",
        ("hold",),
        _SPOILED,
    ),
    "sour gills": (
        f"{{kg}} kg of {{fish}} smell sour below the smoke. At the door: brown gills, 12 °C. {_FINE}",
        "reject",
        ("hold",),
        _SPOILED,
    ),
    "salt burn": (
        f"White salt stands on {{kg}} kg of {{fish}}: it lay in the salt all night. {_FINE}",
        "hold",
        (),
        _TOO_SALT,
    ),
    "double cure": (
        f"{{kg}} kg of {{fish}} went through the cure twice, by mistake. {_FINE}",
        "hold",
        (),
        _TOO_SALT,
    ),
}
_TOO_FAR: dict[str, str] = {
    _LOOKS_ONLY: "The limits are proven, and it can be eaten. Tell Chef, who decides where to sell it.",
    _SMOKE_LEFT: "It is not known to be bad. Keep it apart, and let Chef decide on a test.",
    _TOO_SALT: "It may be good for a spread or a soup. Keep it apart, and let Chef taste it.",
}
_GO_ON = {
    _SMOKE_LEFT: "Bitter tar comes with PAH, and those make people ill. It needs a competent person.",
    _SPOILED: "Heat kills germs. It takes away neither the toxins nor the rot. It never goes on.",
    _TOO_SALT: "A guest would find out for you. Hold it, and ask Chef to taste and to test.",
}


@exercise(
    "The fault is there. And the batch?", criteria=["REC-K06", "REC-K03"], prepares_for=["REC-P03", "REC-P05"]
)
def the_fault_and_the_batch(draw: Draw) -> Question:
    """Recommend what happens to a batch that has a fault of the piece."""
    kind = draw.pick([_LOOKS_ONLY, _SMOKE_LEFT, _SPOILED, _TOO_SALT])
    said, decision, also, reason = _CASES[
        draw.pick([name for name, each in _CASES.items() if each[3] == kind])
    ]
    text = said.format(kg=draw.step(4, 14, 1), fish=draw.pick(["trout", "char", "salmon"]))
    wrong_ones: dict[Decision, str] = {}
    if decision != "go on":
        wrong_ones["go on"] = _GO_ON[kind]
    if decision == "go on":
        wrong_ones["hold"] = _TOO_FAR[kind]
    if "reject" not in (decision, *also):
        wrong_ones["reject"] = _TOO_FAR[kind]
    return recommend(
        draw,
        f"{text} What do you recommend to Chef, and why?",
        decision,
        [option(words, right=words == reason, says=says) for words, says in _WHY.items()],
        wrong_ones,
        also=also,
        hints=[
            "Is it only ugly, or can it hurt somebody?",
            "What would have to be known first, and who finds it out?",
        ],
        worked=f"{reason}. So: {_in_line(DECISIONS[decision])}. Write it down and tell Chef. Chef decides.",
    )


def _in_line(words: str) -> str:
    return words[0].lower() + words[1:]
