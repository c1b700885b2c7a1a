"""Lesson 2, salt in the fish: how far it gets, why it rests, and what the water phase says."""

from kit.exercises.engine import exercise
from kit.exercises.engine.cache import simulated
from kit.exercises.engine.fish import any_fish
from kit.exercises.engine.kitchen_rules import limit_of, numbered
from kit.marking.authored import Turned, option, right, some, wrong
from kit.marking.build import chart, explain, number, order, recommend, several
from kit.marking.draw import Draw
from kit.marking.model import Decision, Picture, Question, Slip
from kit.process.physics import salt
from kit.process.physics.uptake import fourier_number
from kit.process.steps import cure, fillet
from kit.rules import Profile


@simulated
def rested(thickness_mm: int, hours: int, rest_h: int) -> tuple[list[float], list[float], float]:
    """Return depth, water-phase salt and its mean for a char cured in dry salt, skin on, and rested cold."""
    piece = fillet.raw("char, farmed", thickness_mm, 180)
    after = cure.equalise(cure.cure(piece, hours).fillet, rest_h).fillet
    depth, wps = ([round(float(v), 2) for v in column] for column in (after.depth_mm, after.wps_pct))
    return depth, wps, float(after.mean_wps_pct)


@exercise("Salt in the middle", criteria=["CUR-K03", "RIN-K01"], prepares_for=["RIN-P03"], model=True)
def salt_in_the_middle(draw: Draw) -> Question:
    """Read the salt at half depth off a profile."""
    mm, hours, rest_h = draw.pick([14, 16, 18]), draw.pick([3, 4]), draw.pick([10, 12, 14])
    depth, wps, mean = rested(mm, hours, rest_h)
    middle = wps[len(wps) // 2]
    readings = list(zip(depth, wps, strict=True))[:: max(1, len(wps) // 10)]
    words = "Salt over depth. " + " ".join(f"At {d:.1f} mm: {salt:.1f} %." for d, salt in readings)
    return chart(
        f"A char fillet of {mm} mm, skin on, had {hours} h in dry salt and {rest_h} h of cold rest. "
        "The chart shows the salt over its depth. How much water-phase salt is at half depth?",
        round(middle, 1),
        "%",
        Picture("salt-profile", {"depth_mm": depth, "wps_pct": wps, "words": words}, words),
        abs_tol=0.35,
        slips=[
            Slip(
                "read the surface",
                round(wps[0], 1),
                "That is the flesh face. Half depth is half way along the bottom axis.",
            ),
            Slip("read the skin side", round(wps[-1], 1), "That is at the skin. Go to half the thickness."),
        ],
        hints=[
            "The bottom axis is depth. Find half the thickness.",
            f"Go up from {mm / 2:g} mm to the line.",
        ],
        worked=f"Half of {mm} mm is {mm / 2:g} mm. There the line stands at {middle:.1f} %. The mean is "
        f"{mean:.1f} %.",
    )


_ANY_SPEED = 3e-10
"""How fast salt moves [m²/s]: it drops out where two pieces of the same flesh are compared."""


@exercise("A thicker piece", criteria=["CUR-K03"], prepares_for=["CUR-P04"])
def twice_as_thick(draw: Draw) -> Question:
    """Scale the cure time with the thickness squared."""
    thin, times, hours = draw.step(10, 16, 1), draw.pick([1.5, 2.0]), draw.step(2, 5, 1)
    thick = thin * times
    entered, lagging = (float(fourier_number(_ANY_SPEED, hours, mm, 1)) for mm in (thin, thick))
    need = round(hours * entered / lagging, 2)
    return number(
        f"A piece of {thin} mm needs {hours} h in the cure. A piece of {thick:g} mm has the same fat, skin, "
        "cure and cold, and must end with the same mean salt. About how long does it need?",
        need,
        "h",
        rel_tol=0.03,
        slips=[
            Slip(
                "grew with the thickness",
                hours * times,
                "Time goes with thickness times thickness, not with thickness.",
            ),
            Slip(
                "same time", float(hours), "Salt has further to go, and more flesh to fill. It needs longer."
            ),
        ],
        hints=[f"It is {times:g} times as thick.", "Multiply by that number twice."],
        worked=f"{hours} h × {times:g} × {times:g} = {need:g} h. The card sets the time; this only shows "
        "why.",
    )


_PACE = (
    right("A thicker piece", "Salt has further to go. Time grows with thickness squared."),
    right("More fat in the flesh", "Salt moves in water. Fat holds little water."),
    right("The skin left on", "Salt then comes in from one side only."),
    right("A brine that has grown weak", "Less salt outside pushes less salt in."),
    right("Pieces that lie tight on each other", "Where two faces touch, no salt comes in."),
    right("A colder cure", "In the cold, salt moves more slowly. It must be cold all the same."),
    wrong("Salt on both flesh faces of a skinned piece", "Two open faces are faster, not slower."),
    wrong("A stronger brine", "More salt outside pushes salt in faster."),
    wrong("A thinner tail piece", "Salt fills a thin tail first. It can end too salty."),
    wrong("A brine that is stirred now and then", "Stirring brings strong brine back to the face."),
    wrong("Leaner flesh", "Lean flesh holds more water, and salt moves in water."),
    wrong("Loins set apart, with room between", "Then salt comes in from all their open faces."),
)


@exercise("What slows the salt?", criteria=["CUR-K03", "CUR-K04"], prepares_for=["CUR-P04"], version=2)
def what_slows_salt(draw: Draw) -> Question:
    """Pick what makes salt slower to reach the middle."""
    lines = some(draw, _PACE, draw.pick([2, 3]), 3)
    return several(
        draw,
        "Pick everything that makes the middle slower to get its salt.",
        lines,
        hints=["Think of the way that salt must go, and of what pushes it.", "How many faces are open?"],
        worked=" ".join(f"{each.text}: slower. {each.says}" for each in lines if each.right),
    )


@exercise("Water-phase salt", criteria=["CUR-K06", "CUR-K05"], prepares_for=["RIN-P03"], version=2)
def water_phase_salt(draw: Draw) -> Question:
    """Work out water-phase salt from a laboratory's salt and moisture."""
    salt_pct, moisture = draw.step(1.8, 3.2, 0.1), draw.step(60, 70, 1)
    wps = float(salt.water_phase_salt(salt_pct, moisture))
    return number(
        f"The laboratory finds {salt_pct:g} % salt and {moisture} % moisture in the loin of a hot-smoked "
        f"{any_fish(draw)}. "
        "Germs live in its water. Work out the water-phase salt, with 2 decimals.",
        round(wps, 2),
        "%",
        abs_tol=0.03,
        slips=[
            Slip(
                "salt on moisture",
                round(100 * salt_pct / moisture, 2),
                "Divide by salt and moisture together, not by moisture alone.",
            ),
            Slip(
                "took the salt",
                salt_pct,
                "That is salt in the whole fish. Fat and protein are no water: leave them out.",
            ),
        ],
        hints=[
            "Salt and water together make the water phase.",
            f"Divide {salt_pct:g} by {salt_pct:g} + {moisture}.",
        ],
        worked=f"{salt_pct:g} / ({salt_pct:g} + {moisture}) × 100 = {wps:.2f} %.",
    )


def vacuum_salt(profile: Profile) -> tuple[float, str]:
    """Return the salt that the card of a vacuum pack asks for, and whose limit that is. [%]

    Examples
    --------
    >>> from kit.rules import load
    >>> vacuum_salt(load("uk"))[0], vacuum_salt(load("ie"))
    (3.5, (3.8, 'The card is made up: your own rules (Ireland) give no salt for it.'))
    """
    own = numbered(profile.answering("salt", pack="vacuum"))
    if not own:
        return 3.8, f"The card is made up: your own rules ({profile.title}) give no salt for it."
    rule = max(own, key=lambda each: each.minimum or 0.0)
    return float(rule.minimum or 0.0), f"The card is your own rule ({profile.title}): {limit_of(rule)}."


_SHORT, _PROVEN = "A measured loin is below the limit", "Every loin was measured, and each meets the limit"
_UNKNOWN = "The thickest loin was not measured"


@exercise("Enough salt to go on?", criteria=["CUR-K05", "CUR-K06"], prepares_for=["RIN-P03"], version=4)
def salt_recommendation(draw: Draw, profile: Profile) -> Question:
    """Recommend what happens to vacuum-packed fish from the water-phase salt of its loins."""
    limit, whose = vacuum_salt(profile)
    case = draw.pick([_SHORT, _PROVEN, _UNKNOWN])
    high = [limit + draw.step(0.4, 0.9, 0.1) for _ in range(3)]
    if case == _SHORT:
        high[0] = limit - draw.step(0.2, 0.5, 0.1)
    thick = "not measured" if case == _UNKNOWN else f"{high[0]:.1f} %"
    decision: Decision = "go on" if case == _PROVEN else "hold"
    no: dict[Decision, str] = (
        {
            "hold": "Nothing is missing here: all loins meet the limit.",
            "reject": "Nothing was missed. There is no reason to throw it away.",
        }
        if case == _PROVEN
        else {"go on": "A limit missed or not proven never goes on. Average salt hides the weakest loin."}
    )
    if case == _UNKNOWN:
        no["reject"] = "Not yet. No limit is shown to be missed. Hold it cold, and have the loin measured."
    says = {
        _SHORT: "Compare each measured loin with the limit. None is below it.",
        _PROVEN: "Look at the thickest loin again. It is not shown to meet the limit.",
        _UNKNOWN: "The thickest loin was measured. Read its number.",
    }
    return recommend(
        draw,
        f"The card for this vacuum pack asks for at least {limit:g} % water-phase salt in every loin. "
        f"{whose} Laboratory: thickest loin {thick}; middle loin {high[1]:.1f} %; thin loin {high[2]:.1f} %. "
        "All other records are complete. What do you recommend to Chef, and why?",
        decision,
        [option(text, right=text == case, says=says[text]) for text in says]
        + [wrong("The mean tastes salty enough", "Taste and mean prove nothing. The weakest loin decides.")],
        no,
        also=("reject",) if case == _SHORT else (),
        hints=["Look at the weakest place first.", "What was not measured is not proven."],
        worked=f"{case}. You recommend. A competent person decides.",
    )


_OF_THE_REST = [
    right("Salt creeps from the face to the middle", "That is what the rest is for."),
    right("The fillet gets more even from hour to hour", "The salt spreads slowly."),
    right("A thick piece may not be even by morning", "Salt needs four times as long for twice the way."),
    right("The fish stays cold and covered all the time", "Germs still grow while it rests."),
    right("The salt in the whole fillet stays the same", "It only moves."),
    wrong("A thick piece is even by morning, for sure", "It is not. Measure; do not assume."),
    wrong("More salt is made inside the fish overnight", "No salt is added in a rest. It only moves."),
    wrong(
        "Salted fish may rest in a warm room", "Salted fish must stay cold. Germs still grow.", safety=True
    ),
    wrong("The middle gives its salt to the face", "The other way: from much salt to little."),
    wrong("The rest makes a fish safe to eat raw", "A rest kills nothing.", safety=True),
]


@exercise("Why the fish rests", criteria=["RIN-K01"], prepares_for=["RIN-P01"], version=3)
def why_fish_rests(draw: Draw) -> Question:
    """Say what a cold rest does, and what it does not."""
    mm = draw.pick([18, 22, 26, 30])
    return several(
        draw,
        f"A {mm} mm {any_fish(draw)} fillet comes out of the salt. The card asks for a night of cold rest. "
        "Pick all that is true of the rest.",
        some(draw, _OF_THE_REST, draw.pick([2, 3]), 3),
        hints=["No gram of salt goes in or out.", "Think how slowly salt reached the middle in the cure."],
        worked="The salt that is there creeps from the face to the middle. A thick piece needs more than "
        "a night.",
    )


@exercise(
    "The cure in order",
    criteria=["RIN-K01", "CUR-K04"],
    prepares_for=["CUR-P02", "RIN-P01", "RIN-P02"],
    version=3,
)
def order_of_the_cure(draw: Draw) -> Question:
    """Put five or six steps of a wet or a dry cure in order."""
    wet = draw.chance(0.5)
    read = "Read the card for this fish"
    mix = "Weigh salt and water, and mix until clear" if wet else "Weigh the fish and the salt for it"
    check = "Check strength and temperature of the brine" if wet else "Check the weights against the card"
    put = "Put the fish in, and write the time" if wet else "Lay the salt on the fish, and write the time"
    out, rinse, rest, weigh = (
        "Take it out on time",
        "Rinse with drinking water, as the card asks",
        "Rest it cold and covered",
        "Weigh it after the rest, and write it down",
    )
    left_out = draw.sample([read, mix, out, rest, weigh], 2)
    steps = [each for each in (read, mix, check, put, out, rinse, rest, weigh) if each not in left_out]
    turned = [
        Turned(
            put,
            check,
            "Check first. A wrong cure cannot be taken back out of the fish.",
            name="fish before check",
        ),
        Turned(
            rest,
            rinse,
            "Rinse first. Salt left on the face goes on curing in the rest.",
            name="rest before rinse",
        ),
        Turned(
            rinse,
            put,
            "The rinse takes the salt off: it ends the cure. First comes the salt.",
            name="rinse before salt",
        ),
        Turned(mix, read, "The card says how much. Read it first.", name="weighed unread"),
    ]
    return order(
        draw,
        "Put the work in order. The card asks for a rinse and a rest.",
        steps,
        [each for each in turned if each.early in steps and each.late in steps],
        hints=["What must be right before the fish meets the salt?", "Loose salt goes before the rest."],
        worked="; ".join(f"{place}) {step}" for place, step in enumerate(steps, start=1)) + ".",
    )


@exercise(
    "Explain why salt is not only taste", criteria=["CUR-K05"], prepares_for=["RIN-P03"], marked_by="tutor"
)
def explain_salt(draw: Draw) -> Question:
    """Say in own words why the salt of the water phase matters."""
    who = draw.pick(["A waiter", "A new commis", "A guest"])
    return explain(
        f"{who} asks for half the salt, because it tastes better. Explain in 3 or 4 sentences why you do not "
        "change the card. Use the words water and germs.",
        [
            "Germs meet the salt in the water, not in the fat.",
            "Spores live through hot smoking, and salt helps to hold them back.",
            "Cold and a short life are needed as well.",
            "Only a competent person changes the card.",
        ],
        hints=["Where do germs live in the fish?", "Who may change the card?"],
    )
