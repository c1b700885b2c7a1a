"""Lesson 10, cleaning by numbers: topping up a bucket, the strip, what never meets, and an allergen."""

from kit.exercises.engine import exercise
from kit.marking.authored import Turned, right, some, wrong
from kit.marking.build import number, one, order, several
from kit.marking.draw import Draw
from kit.marking.model import Question, Slip
from kit.process.cleaning import chlorine_in_air_ppm, concentrate_ml, top_up_ml


@exercise("Top up the bucket", criteria=["CLN-K03"], prepares_for=["CLN-P04"])
def top_up_the_bucket(draw: Draw) -> Question:
    """Work out the concentrate that brings a weak bucket up to its strength."""
    wanted, stock = draw.pick([150, 200, 250, 400]), draw.pick([4, 5, 8, 10])
    now, litres = draw.step(40, wanted - 60, 10), draw.step(6, 14, 1)
    truth = top_up_ml(now, wanted, litres, stock)
    return number(
        f"A strip shows {now} ppm in your bucket of {litres} L. Its card asks for {wanted} ppm. The "
        f"concentrate has {stock} % of active chlorine; 1 % is 10,000 ppm. How many mL of concentrate bring "
        "the bucket up? Gloves and goggles on.",
        round(truth, 2),
        "mL",
        rel_tol=0.03,
        slips=[
            Slip(
                "mixed the whole bucket anew",
                round(concentrate_ml(wanted, litres, stock), 2),
                f"That mixes {litres} L from plain water. {now} ppm are in there already.",
            ),
            Slip(
                "made up for what is there",
                round(concentrate_ml(now, litres, stock), 2),
                f"That is what the {now} ppm hold already. You need what is missing.",
            ),
            Slip(
                "for one litre",
                round(truth / litres, 3),
                f"That is for 1 L. Your bucket holds {litres} L.",
            ),
            Slip(
                "ten times too much",
                round(truth * 10, 2),
                f"Check the concentrate: {stock} % are {stock * 10000:,} ppm, not {stock * 1000:,}. Too "
                "strong hurts skin and lungs.",
            ),
            Slip(
                "ten times too little",
                round(truth / 10, 3),
                f"Check the concentrate: {stock} % are {stock * 10000:,} ppm. The bucket would stay too "
                "weak.",
            ),
        ],
        hints=[
            f"What is missing: {wanted} − {now} ppm, in {litres} L.",
            f"1 mL of the concentrate in 1 L gives {stock * 10} ppm.",
        ],
        worked=f"Missing are {wanted - now} ppm in {litres} L. 1 mL in 1 L gives {stock * 10} ppm. "
        f"{wanted - now} × {litres} ÷ {stock * 10} = {truth:.0f} mL. Stir, and test again. A bucket that "
        "is dirty is not topped up but poured away.",
    )


_GO = "Strength and time are met: go on as the card says"
_WEAK = "Too weak: bring it up, test, and begin the time anew"
_STRONG = "Too strong: add water, test it, then wet it again"
_SHORT = "Right strength, but too short: keep it wet longer"
_ASK = "The strip shows nothing sure: take another one first"
_STRIP = {
    _GO: "Hold both numbers against the card: one of them is not met.",
    _WEAK: "Read the strip again: it is not below what the card asks for.",
    _STRONG: "Read the strip again: it is not above what the card allows.",
    _SHORT: "Look at both numbers: the time on the surface is not what is wrong here.",
    _ASK: "This strip is good, and was read in its time. Trust it.",
}
_BAD_STRIP = (
    "The tub of strips is {months} months past its date.",
    "The strip was read after {minutes} min; its tub says 10 s.",
    "The strips stood open by the steam for {days} days.",
)


@exercise("The strip and the clock", criteria=["CLN-K03"], prepares_for=["CLN-P01", "CLN-P04"])
def the_strip_and_the_clock(draw: Draw) -> Question:
    """Read a strip and the wet time against a card, and say what comes next."""
    truth = draw.pick([_GO, _WEAK, _STRONG, _SHORT, _ASK])
    low, asked = draw.pick([100, 150, 200]), draw.pick([2, 5, 10])
    high = 2 * low
    shown = {_WEAK: draw.pick([0.25, 0.5]) * low, _STRONG: draw.pick([2.5, 3, 4]) * low}.get(
        truth, draw.pick([1, 1.25, 1.5, 2]) * low
    )
    wet = asked - draw.pick([1, 1.5]) if truth == _SHORT else asked + draw.pick([0, 1, 2])
    note = "The strip is in date and was read in its time."
    if truth == _ASK:
        note = draw.pick(_BAD_STRIP).format(
            months=draw.step(4, 20, 1), minutes=draw.step(3, 15, 1), days=draw.step(3, 9, 1)
        )
    others = draw.sample([each for each in _STRIP if each != truth], 3)
    thing = draw.pick(["slicing table", "rack for smoked salmon", "packing bench", "filleting board"])
    because = {
        _GO: "Both are met.",
        _WEAK: f"{shown:g} ppm are less than {low}. Time in a weak mix kills little.",
        _STRONG: f"{shown:g} ppm are more than {high}. It stays on the surface and gets into the fish.",
        _SHORT: f"{wet:g} min are less than {asked}. Wet it again before it dries, for the whole time.",
        _ASK: "A strip like that may show anything.",
    }[truth]
    return one(
        draw,
        f"The {thing} is clean and wet with disinfectant. The card: {low} to {high} ppm, wet for {asked} "
        f"min. The strip shows {shown:g} ppm, and it has been wet for {wet:g} min. {note} What now?",
        [right(truth), *(wrong(text, _STRIP[text]) for text in others)],
        hints=["First: can you trust the strip?", "Then the strength against the card, then the time."],
        worked=f"{because} {truth}.",
    )


_PAIRS = (
    right("Chlorine bleach, then descaler over it", "A descaler is an acid. Acid drives chlorine gas out."),
    right("Vinegar into the bucket of bleach, for the smell", "Vinegar is an acid: chlorine gas."),
    right("Chlorine tablets into a drain full of descaler", "Acid in the drain: chlorine gas comes up."),
    right("Acid foam for fish scale, sprayed on wet bleach", "Acid foam on bleach: chlorine gas."),
    right("Bleach and a window cleaner with ammonia", "Ammonia and bleach make a poison gas too."),
    right("Acid toilet cleaner and bleach, for a hard stain", "The acid drives chlorine gas out."),
    right("Bleach into a can that held rust remover", "Rust remover is an acid: what is left is enough."),
    right("Lemon juice rubbed on a board wet with bleach", "Lemon juice is an acid: chlorine gas."),
    right("An acid disinfectant and bleach in one bucket", "One of the two is an acid: chlorine gas."),
    wrong(
        "Chlorine tablets in cold water, by the label",
        "That is what the tablets are for. Cold water, lid off.",
    ),
    wrong("Dish soap, rinsed off well, then weak bleach", "The soap is gone. Clean first, then disinfect."),
    wrong("Descaler in cold water, by its own label", "One product in water, by its label, makes no gas."),
    wrong(
        "Descaler, rinsed with much water; bleach next day", "Rinsed away and a day apart: they never meet."
    ),
    wrong("Salt and hot water on a wooden board", "Salt and water make no gas."),
    wrong("Soda crystals in hot water for the fat trap", "Soda is no acid, and nothing else is in there."),
    wrong("Dish soap and hot water for the fish boxes", "Soap and water make no gas."),
    wrong("Vinegar and water on the windows, nothing else", "An acid alone, in water, makes no gas."),
)


@exercise("Never together", criteria=["CLN-K03", "HAS-K03"], prepares_for=["CLN-P04"])
def never_together(draw: Draw) -> Question:
    """Pick what makes a poison gas, among what cooks do with cleaners."""
    rights = draw.pick([2, 3])
    ml, room = draw.pick([100, 200, 300]), draw.pick([20, 30, 40])
    gas = chlorine_in_air_ppm(ml, 5, room)
    return several(
        draw,
        "Somebody is about to do this at the end of a shift. Pick everything that makes a poison gas.",
        some(
            draw,
            [each if not each.right else right(each.text, each.says, safety=True) for each in _PAIRS],
            rights,
            5 - rights,
        ),
        hints=[
            "Is there chlorine in one of the two? And an acid, or ammonia, in the other?",
            "What is alone in water, or was rinsed away long before, meets nobody.",
        ],
        worked=f"Chlorine never meets an acid or ammonia. {ml} mL of bleach with 5 % chlorine can put "
        f"{gas:.0f} ppm into a room of {room} m³; 10 ppm are a danger to life. If you smell it: out, door "
        "shut behind you, tell Chef, keep all away. Nobody goes in to rinse it.",
    )


_GLAZES = {
    "almond crust": "almonds",
    "sesame glaze": "sesame",
    "mustard glaze": "mustard",
    "soy glaze": "soy",
    "walnut crust": "walnuts",
    "wheat-beer crumb": "wheat",
}
_STEPS = {
    "clear": ("Take all {glaze} fish, trays and labels away", "Carry out every {glaze} tray, pack and label"),
    "scrape": (
        "Take parts off, scrape and wipe away crumbs",
        "Undo the guards and lift off paste and crumbs",
    ),
    "wash": ("Wash with hot water and detergent, by brush", "Scrub all with detergent and hot water"),
    "rinse": ("Rinse from the top down, no spray on others", "Rinse with running water, from the top down"),
    "coat": ("Put on a clean apron and new gloves", "Change apron and gloves, and wash your hands"),
    "check": (
        "Look by a lamp, and swab for {allergen}",
        "Check with lamp and swab: no trace of {allergen}",
    ),
    "start": ("Start the plain salmon, and check its label", "Run the plain salmon, with its own label"),
}

_TOO_SOON = {
    ("start", "check"): "Then plain fish with an allergen on it is packed before anybody has looked.",
    ("check", "wash"): "What is clean after the check is what counts. Wash first.",
    ("check", "rinse"): "Look and swab once the rinse has taken all away. Before it, a swab tells nothing.",
    ("rinse", "wash"): "Rinsed first, the fat keeps the protein where it is. Wash, then rinse.",
    ("wash", "clear"): "Spray and hands carry it back from trays that still stand there.",
    ("scrape", "clear"): "Crumbs fly onto trays and labels that still stand there. Clear them away first.",
    ("wash", "scrape"): "Paste under a guard is never reached, and crumbs swim on.",
    ("coat", "rinse"): "The clean apron gets the splashes. Put it on after the rinse.",
}


@exercise("From the crust to plain fish", criteria=["CLN-K03"], prepares_for=["CLN-P01", "CLN-P03"])
def allergen_change_over(draw: Draw) -> Question:
    """Put a change-over from an allergen to plain fish in order."""
    glaze = draw.pick(list(_GLAZES))
    told = {
        name: draw.pick(both).format(glaze=glaze, allergen=_GLAZES[glaze]) for name, both in _STEPS.items()
    }
    gone = draw.pick(["coat", "scrape", ""])
    words = {name: text for name, text in told.items() if name != gone}
    turned = [
        Turned(words[early], words[late], says, safety=early == "start", name=f"{early} before {late}")
        for (early, late), says in _TOO_SOON.items()
        if early in words and late in words
    ]
    free = [(words["coat"], words["check"])] if "coat" in words else []
    return order(
        draw,
        f"{glaze.capitalize()} salmon ran on the line. Plain salmon is next, and its label names fish as "
        "its only allergen. Put the change-over in order.",
        list(words.values()),
        turned,
        free=free,
        hints=[
            "A disinfectant kills germs. Allergens are not alive: they must be washed away.",
            "Who looks last, before the plain fish comes?",
        ],
        worked="Clear, take apart, wash, rinse, change, check, start. Best of all: plain fish first in the "
        "day, the crust last.",
    )
