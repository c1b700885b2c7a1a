"""Lesson 9, tracing: who has it, where it came from, whether every kilo has a place, and a recall."""

from itertools import combinations

from kit.exercises.engine import exercise
from kit.exercises.lesson_09.lots import drawn_records, drawn_suspect
from kit.marking.authored import AuthoredOption, Turned, option, right, some, wrong
from kit.marking.build import number, one, order, recommend, several
from kit.marking.draw import Draw
from kit.marking.model import DECISIONS, Decision, Question, Slip
from kit.process.selling.tracing import found_pct, mass_balance
from kit.rules import Profile
from kit.rules.papers import PaperDuty, law_of, paper_laws, paper_sources, papers

_FISH = ("trout", "salmon", "char", "sea trout")


@exercise("Whom do you call?", criteria=["REC-K05"], prepares_for=["REC-P02"])
def whom_do_you_call(draw: Draw) -> Question:
    """Follow a delivery forward through two papers to every customer that may have it."""
    records, suspect = drawn_suspect(draw)
    reached = records.reached(suspect)
    options = []
    for name, taken in records.dispatches.items():
        told = ", ".join(f"batch {code} ({', '.join(records.batches[code])})" for code in taken)
        if name in reached:
            options.append(right(name, f"It got {told}. Delivery {suspect} is in there.", safety=True))
        else:
            says = f"It got {told}. No fish of delivery {suspect} is in there. A needless call costs trust."
            options.append(wrong(name, says))
    return several(
        draw,
        f"The supplier calls at 09:10: delivery {suspect} must not be eaten. Pick every customer who may "
        "have fish of it. The picture shows your papers.",
        options,
        picture=records.picture(),
        hints=[
            f"First find every batch that took delivery {suspect}.",
            "A batch that took a little of it counts as a whole.",
        ],
        worked=f"Follow {suspect} forward: batch sheets first, then dispatch notes. It may be with "
        f"{', '.join(reached)}.",
    )


@exercise("One step back", criteria=["REC-K05"], prepares_for=["REC-P02"])
def one_step_back(draw: Draw) -> Question:
    """Follow a pack back to the deliveries it may be made of."""
    records = drawn_records(draw, 4)
    name = draw.pick(list(records.dispatches))
    truth = records.deliveries_of(name)
    every = [each for count in (1, 2, 3) for each in combinations(records.deliveries, count)]
    near = draw.sample([each for each in every if each != truth and set(each) & set(truth)], 3)
    return one(
        draw,
        f"{name} found a bit of metal in a pack from you. From which delivery, or deliveries, may the fish "
        "in its packs have come? The picture shows your papers.",
        [
            right(_deliveries(truth), name="right"),
            *(
                wrong(_deliveries(each), _why_not(each, truth), name=_slip(each, truth, place))
                for place, each in enumerate(near, start=1)
            ),
        ],
        picture=records.picture(),
        hints=["First find the batch on the dispatch note.", "Then read all that this batch took."],
        worked=f"{name} got {', '.join(records.dispatches[name])}. Its batch sheets show "
        f"{_deliveries(truth)}.",
    )


def _deliveries(lots: tuple[str, ...]) -> str:
    return " and ".join(lots)


def _why_not(guess: tuple[str, ...], truth: tuple[str, ...]) -> str:
    missing, extra = sorted(set(truth) - set(guess)), sorted(set(guess) - set(truth))
    said = [f"{_deliveries(tuple(missing))} went into its batch too."] if missing else []
    said += [f"No fish of {_deliveries(tuple(extra))} went into its batch."] if extra else []
    return " ".join(said) + " Read the batch sheet again."


def _slip(guess: tuple[str, ...], truth: tuple[str, ...], place: int) -> str:
    faults = ["a lot left out"] if set(truth) - set(guess) else []
    faults += ["a lot too many"] if set(guess) - set(truth) else []
    return f"{' and '.join(faults)} ({place})"


@exercise("Where are the kilos?", criteria=["REC-K05"], prepares_for=["REC-P02"])
def where_are_the_kilos(draw: Draw) -> Question:
    """Work out the kilos of a delivery that have no place."""
    came = draw.step(36, 64, 2)
    trimmed = round(came * draw.step(0.30, 0.38, 0.02), 1)
    before = round(came - trimmed, 1)
    water = round(before * draw.step(0.16, 0.24, 0.02), 1)
    after = round(before - water, 1)
    gap = draw.step(0.6, 3.4, 0.4)
    stock = draw.step(2, 6, 0.5)
    sold = round(after - stock - gap, 1)
    found = mass_balance(came, sold, trimmed, stock, water_lost_kg=water)
    return number(
        f"{came} kg of {draw.pick(_FISH)} came in as one lot. {trimmed:g} kg of trimmings went to waste. "
        f"The rest weighed {before:g} kg before the salt and {after:g} kg after the chilling. "
        f"{sold:g} kg were sold, and {stock:g} kg are in the cold store. How many kilos have no place?",
        round(found.missing_kg, 6),
        "kg",
        abs_tol=0.051,
        decimals=1,
        slips=[
            Slip(
                "left out the water",
                round(found.missing_kg + water, 6),
                f"{water:g} kg left as water and juice: {before:g} kg went in, {after:g} kg came out.",
            ),
            Slip(
                "left out the stock",
                round(found.missing_kg + stock, 6),
                "What stands in the cold store has a place too. Count it.",
            ),
            Slip(
                "left out the waste",
                round(found.missing_kg + trimmed, 6),
                "What went to waste was weighed. It has a place.",
            ),
            Slip(
                "gave a percentage",
                round(found.missing_pct, 2),
                "That is the gap in percent of the lot. The question asks for kilos.",
            ),
        ],
        hints=[
            "In = sold + waste + water lost + stock. What is left over has no place.",
            "The water is the weight before the salt less the weight after the chilling.",
        ],
        worked=f"{came} − {trimmed:g} − {water:g} − {sold:g} − {stock:g} = {found.missing_kg:.1f} kg. "
        "Look for a sale, a pack or a bin that nobody wrote down.",
    )


_CLOSES = "Each kilo has a place, within what the house allows"
_SHORT = "Kilos have left, and no line on paper says where"
_OVER = "There is more fish than came in: a second lot may be in it"
_BALANCE: dict[str, tuple[Decision, str]] = {
    "closes": ("go on", _CLOSES),
    "short": ("hold", _SHORT),
    "over": ("hold", _OVER),
}
_READ_AGAIN = {
    _CLOSES: "Add up what is on paper, and hold it against what came in.",
    _SHORT: "Compare the two sums. Is there less on paper than came in?",
    _OVER: "Compare the two sums. Is there more on paper than came in?",
}


@exercise("Does the balance close?", criteria=["REC-K05"], prepares_for=["REC-P02", "REC-P03"], version=2)
def does_the_balance_close(draw: Draw) -> Question:
    """Judge a mass balance, and recommend what happens to the stock of the lot."""
    case = draw.pick(list(_BALANCE))
    came, allowed = draw.step(30, 70, 2), draw.pick([1, 2, 3])
    least, most = (0, 0.6 * allowed) if case == "closes" else (1.6 * allowed, 3.5 * allowed)
    gap = round(came * (least + draw.fraction() * (most - least)) / 100, 1)
    gap = -gap if case == "over" or (case == "closes" and draw.chance(0.5)) else gap
    waste, water = round(came * 0.34, 1), round(came * 0.14, 1)
    stock = draw.step(3, 8, 0.5)
    sold = round(came - waste - water - stock - gap, 1)
    found = mass_balance(came, sold, waste, stock, water_lost_kg=water, allowed_pct=allowed)
    decision, reason = _BALANCE[case]
    return recommend(
        draw,
        f"You check the papers of one lot of {draw.pick(_FISH)} before the last packs leave. In: {came} kg. "
        f"Sold: {sold:g} kg. Waste: {waste:g} kg. Water and juice: {water:g} kg. In the store: {stock:g} kg. "
        f"The house calls it closed if the gap is at most {allowed} % of what came in. What do you "
        "recommend for the packs in the store, and why?",
        decision,
        [option(text, right=text == reason, says=says) for text, says in _READ_AGAIN.items()],
        _not_that(decision),
        hints=[
            "Add up sold, waste, water and store. How far is the sum from what came in?",
            f"{allowed} % of {came} kg are {came * allowed / 100:g} kg.",
        ],
        worked=f"On paper stand {found.shown_kg:.1f} kg, in came {came} kg: a gap of {found.missing_kg:.1f} "
        f"kg, or {found.missing_pct:.1f} %. {reason}. So: {_in_line(DECISIONS[_BALANCE[case][0]])}. "
        "A competent person decides.",
    )


def _not_that(good: Decision) -> dict[Decision, str]:
    if good == "go on":
        return {
            "hold": "The gap is within what the house allows. Weights are never exact to the gram.",
            "reject": "The papers close, and nothing is said against the fish.",
        }
    return {
        "go on": "The papers do not close. If this lot is called back, you could not say where it is.",
        "reject": "The fish may be good. First look for the missing line, with the packs held.",
    }


def _in_line(words: str) -> str:
    return words[0].lower() + words[1:]


_CALLS = {  # who tells of it: how the first step is worded
    "The supplier calls": "Write down who called, when, and which lot",
    "The laboratory calls": "Write down what was found, when, and in which lot",
    "A guest calls about glass": "Write down the pack’s code, the time and the name",
}
_ORDERS = {
    "stop": (
        "Stop all packs of the lot that are still here",
        "Put the packs of the lot apart, marked “on hold”",
    ),
    "tell": ("Tell Chef, who calls the authority", "Fetch Chef, who decides and tells the authority"),
    "trace": ("Find every customer on the papers", "List who got the lot, with kilos and phone number"),
    "call": ("Call each customer: stop, put apart, answer", "Ring the customers, and note who answered when"),
    "count": ("Add up what was found, against what was made", "Hold the kilos found against the kilos made"),
    "cause": ("Look for the cause, and write down the lesson", "Meet, find out why, and change the plan"),
}


@exercise("A lot comes back, in order", criteria=["REC-K05"], prepares_for=["REC-P02", "REC-P03"])
def recall_in_order(draw: Draw) -> Question:
    """Put the steps of a recall in order."""
    who = draw.pick(sorted(_CALLS))
    words = {name: draw.pick(both) for name, both in _ORDERS.items()}
    left_out = draw.sample(["count", "cause", "tell", ""], 1)[0]
    kept = [name for name in _ORDERS if name != left_out]
    steps = [_CALLS[who], *(words[name] for name in kept)]
    free = [(words["stop"], words["tell"])] if "tell" in kept else []
    turned = [
        Turned(
            words["trace"],
            words["stop"],
            "While you read papers, packs leave by the door. Stop them first.",
            name="traced before stopping",
        ),
        Turned(
            words["call"],
            words["trace"],
            "You can call only whom you have found. Half a list is a half recall.",
            name="called before the list",
        ),
        Turned(
            words["stop"],
            _CALLS[who],
            "Stop what? Take half a minute to write down the lot.",
            name="stopped an unknown lot",
        ),
    ]
    if "cause" in kept:
        turned.append(
            Turned(
                words["cause"],
                words["call"],
                "Someone may be eating it now. Causes can wait until it is found.",
                safety=True,
                name="looked for the cause first",
            )
        )
    if "tell" in kept:
        turned.append(
            Turned(
                words["trace"],
                words["tell"],
                "To call a lot back is not yours to decide. Chef knows first, then you read papers.",
                name="did it alone",
            )
        )
    return order(
        draw,
        f"{who}: a lot of yours may be unsafe. Put the steps in order.",
        steps,
        turned,
        free=free,
        hints=[
            "What could still leave the house in the next minute?",
            "Whom can you call before you know who has it?",
        ],
        worked="Write down, stop, tell, list, call, count. The cause comes last. Chef decides.",
    )


@exercise("The drill in numbers", criteria=["REC-K05"], prepares_for=["REC-P02"], version=2)
def drill_in_numbers(draw: Draw) -> Question:
    """Work out which share of a lot a drill has found."""
    packs = draw.step(80, 160, 4)
    gram = draw.pick([120, 150, 200, 250])
    held, shops, eaten = draw.step(12, 30, 2), draw.step(20, 40, 2), draw.step(4, 14, 1)
    made_kg = packs * gram / 1000
    share = round(found_pct(held + shops + eaten, packs), 1)
    return number(
        f"A drill at Harbour Lane. {packs} packs of {gram} g were made of the lot. After "
        f"{draw.step(35, 115, 5)} min you know this: {held} packs stand in the store, {shops} are put apart "
        f"in shops, and {eaten} were eaten by staff. Nobody knows of the others. Of what share of the lot do "
        "you know where it is, or where it went?",
        share,
        "%",
        abs_tol=0.51,
        slips=[
            Slip(
                "left out what was eaten",
                round(found_pct(held + shops, packs), 1),
                "What was eaten is found too: you know where it went. Tell Chef who ate it.",
            ),
            Slip(
                "gave what is not found",
                round(100 - share, 1),
                "That is the share that is still missing.",
            ),
            Slip(
                "counted only your own store",
                round(found_pct(held, packs), 1),
                "The packs in the shops are put apart. They count as found.",
            ),
        ],
        hints=[
            "Found means: somebody can say where each pack is, or was.",
            f"Share = packs found ÷ {packs} × 100. The weight of a pack does not matter.",
        ],
        worked=f"({held} + {shops} + {eaten}) ÷ {packs} × 100 = {share:g} %. Of {made_kg:g} kg, "
        f"{made_kg * share / 100:.1f} kg are found. Go on until each pack has a place.",
    )


@exercise("What the papers must say", criteria=["REC-K05"], prepares_for=["REC-P01", "REC-P02"])
def what_the_papers_must_say(draw: Draw, profile: Profile) -> Question:
    """Pick what the kitchen's own law asks for on paper, so that fish can be traced."""
    law = law_of(profile)
    told = law or paper_laws()["eu"]
    known = papers("tracing", told.id)
    foreign = "" if law else f" Your own rules ({profile.title}) were not read for this. Ask your authority."
    what = (
        "what must go along with each lot that is sent from one business to another"
        if told.id == "eu"
        else "what each record of the safety plan must be"
    )
    options = some(draw, [_line(each) for each in known], draw.pick([2, 3, 4]), 3)
    named = next(paper_sources()[each.source].title for each in known if each.asked)
    return several(
        draw,
        f"This is about {told.says}: {what}.{foreign} Pick every line that it asks for.",
        options,
        hints=[
            "Ask of each line: does it help to find the fish, or to prove what was done?",
            "Some good habits are nobody’s law.",
        ],
        worked=f"{named}. Read in a public copy; your local authority decides what it asks of you.",
    )


def _line(paper: PaperDuty) -> AuthoredOption:
    return option(paper.text, right=paper.asked, says=paper.says)
