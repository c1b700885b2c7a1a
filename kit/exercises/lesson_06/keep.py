"""Lesson 6, keeping: packs without air, the life of a pack, the label, and Listeria in the cold."""

from collections.abc import Sequence

from kit import rules
from kit.basics.quantities import count_of
from kit.exercises.engine import exercise
from kit.exercises.engine.fish import any_fish
from kit.exercises.engine.whose_rule import by_that_text, own_or_lent, texts_named
from kit.marking.authored import Joined, option, right, some, wrong
from kit.marking.build import go_on_if, match, number, several
from kit.marking.draw import Draw
from kit.marking.model import Question, Slip
from kit.process.microbes.growth import listeria_growth

_TEN, _FIVE, _SEVEN = (
    (rules.load(name).answering("life", pack=pack)[0], rules.load(name))
    for name, pack in (("uk", "vacuum"), ("ie", "air"), ("us-retail", "air"))
)
TEN_DAYS, IE_DAYS, US_DAYS = (float(rule.maximum or 0) for rule, _ in (_TEN, _FIVE, _SEVEN))
SALT_PCT = float(rules.load("uk").answering("salt")[0].minimum or 0)
UK_STORE_C = float(rules.load("uk")["uk-store-8"].maximum or 0)


_CHILL_ONLY = f"{TEN_DAYS:g} days at most, by chill alone"
_SECOND = f"More than {TEN_DAYS:g} days may be asked for"
_TOO_WARM = "No days at all: nothing protects it"
_ABOUT_PACKS = {
    (_CHILL_ONLY, _SECOND): "The salt must be enough in every part. The weakest piece decides.",
    (_CHILL_ONLY, _TOO_WARM): "This store is cold enough for the rule. The chill protects it for some days.",
    (_SECOND, _CHILL_ONLY): "Even the weakest piece has enough salt. Chill is not its only control.",
    (_SECOND, _TOO_WARM): "This store is cold enough, and every part has enough salt.",
    (_TOO_WARM, _CHILL_ONLY): f"The rule counts on {UK_STORE_C:g} °C or less. This store is warmer.",
    (_TOO_WARM, _SECOND): f"Its salt is too weak for that, and its store is above {UK_STORE_C:g} °C.",
}


@exercise(
    "How long may this pack live?",
    criteria=["PLS-K01", "PLS-K02", "REC-K04"],
    prepares_for=["PLS-P02"],
    version=4,
)
def the_ten_day_rule(draw: Draw, profile: rules.Profile) -> Question:
    """Tell of four packs what chill and salt allow, from the salt at the weakest place and the store."""
    pairs: dict[str, str] = {}
    for truth in [*draw.shuffle([_CHILL_ONLY, _SECOND, _TOO_WARM])[:2], *_two_more(draw)]:
        salts = (SALT_PCT + 0.1, SALT_PCT + 0.6) if truth == _SECOND else (2.4, SALT_PCT - 0.2)
        stores = (UK_STORE_C + 1, UK_STORE_C + 4) if truth == _TOO_WARM else (3.0, 7.0)
        weak, store_c = draw.step(*salts, 0.1), draw.step(*stores, 1)
        strong = weak + draw.step(0.5, 1.1, 0.1)
        pack = f"Salt {weak:.1f} % at the weakest, {strong:.1f} % at the strongest; store {store_c:g} °C"
        pairs[pack] = truth
    return match(
        draw,
        f"Vacuum packs of {any_fish(draw)}, sold in the United Kingdom. There a life over {TEN_DAYS:g} "
        f"days needs a second control, such as {SALT_PCT:g} % salt in the water phase. "
        f"{by_that_text(*_TEN, profile)} "
        "There is no other control. What may be said of each pack, by that text?",
        pairs,
        [
            Joined(left, other, says)
            for left, truth in pairs.items()
            for (of, other), says in _ABOUT_PACKS.items()
            if of == truth
        ],
        extra=[each for each in (_CHILL_ONLY, _SECOND, _TOO_WARM) if each not in pairs.values()],
        hints=[
            "Look at the weakest piece, not at the strongest.",
            f"Compare the salt with {SALT_PCT:g} %, and the store with {UK_STORE_C:g} °C.",
        ],
        worked=f"The weakest piece must have {SALT_PCT:g} % for a life over {TEN_DAYS:g} days. Where chill "
        f"is the only control, the store must be at {UK_STORE_C:g} °C or less. A competent person sets the "
        "date.",
    )


def _two_more(draw: Draw) -> list[str]:
    return [draw.pick([_CHILL_ONLY, _SECOND, _TOO_WARM]) for _ in range(2)]


_AIR = (
    right("Botulinum grows where there is no air", "This germ grows only without air."),
    right("Its spores can live through the cook", "The cook does not kill all the spores."),
    right("Some kinds grow slowly in a cold store", "Even a cold store gives them time, so days count."),
    right("The pack may look and smell good", "The toxin may give no sign at all."),
    right("A warm hour in a shop can wake a spore", "So the cold must hold until it is opened."),
    right("Salt in every part can hold it back", "Where there is enough, measured at the weakest place."),
    wrong("The pack kills the germs that are left in it", "A pack without air stops some. It kills none."),
    wrong("Where there is no air, no germ can grow", "Some germs grow only without air."),
    wrong("A vacuum pack needs no cold for some days", "Cold is its first protection."),
    wrong("A bad pack always swells and smells", "A deadly pack may stay flat and smell of nothing."),
    wrong("Smoke on the fish keeps this germ away", "Smoke stays at the face. Spores are inside too."),
    wrong("A pack is safe once it was frozen for a day", "Frost stops it. It does not kill the spores."),
)


@exercise("What does no air change?", criteria=["PLS-K01"], prepares_for=["PLS-P01"], version=2)
def why_no_air_helps_it(draw: Draw) -> Question:
    """Pick what is true of botulinum in a pack without air."""
    sentences = some(draw, _AIR, draw.pick([2, 3]), 3, never=True)
    return several(
        draw,
        "Smoked fish lies in a vacuum pack. Which sentences are true?",
        sentences,
        hints=["Botulinum is a germ that does not like air.", "A good smell proves nothing."],
        worked=" ".join(f"{each.text}." for each in sentences if each.right),
    )


_ALLOWED, _FEWER, _NOBODY = "Its text allows it", "Its text allows fewer days", "No text stands behind it"
_TEXTS = {
    "Irish guide, cook-chill food": IE_DAYS,
    "United Kingdom, vacuum pack, chill alone": TEN_DAYS,
    "United States, food code for shops": US_DAYS,
}
_NO_TEXTS = (
    "Printed on the carton of bags",
    "What the shop next door writes",
    "It still smelled good by then",
    "The old label had that too",
    "A guest kept it for so long",
)
_NO_TEXT_SAYS = "That is no text of a law or a guide, and no test. Ask before you label."


@exercise("Who says how many days?", criteria=["PLS-K02"], prepares_for=["PLS-P03"], version=5)
def where_the_days_come_from(draw: Draw, profile: rules.Profile) -> Question:
    """Tell of each life on a label whether the text that was named allows it."""
    texts = draw.sample(sorted(_TEXTS), 3)
    over = draw.pick([1, 1, 2])
    pairs: dict[str, str] = {}
    for text in draw.shuffle(texts):
        limit = int(_TEXTS[text])
        longer = len(pairs) < over
        days = draw.whole(limit + 1, limit + 3) if longer else draw.whole(limit - 2, limit)
        pairs[f"{days} days. {text}"] = _FEWER if longer else _ALLOWED
    pairs[f"{draw.whole(4, 12)} days. {draw.pick(_NO_TEXTS)}"] = _NOBODY
    return match(
        draw,
        f"Four lives on labels for smoked {any_fish(draw)}, with the day of making as day 1. "
        "Each names what it rests on. "
        f"{texts_named([_TEN, _FIVE, _SEVEN], profile)} What is true of each?",
        pairs,
        [
            Joined(left, other, _of_the_days(left, other))
            for left, truth in pairs.items()
            for other in (_ALLOWED, _FEWER, _NOBODY)
            if other != truth
        ],
        must=[left for left, truth in pairs.items() if truth != _ALLOWED],
        hints=["How many days does that text give at most?", "Who wrote it: a law, a guide, or nobody?"],
        worked=" ".join(f"{text}: {limit:g} days at most." for text, limit in _TEXTS.items())
        + " A competent person sets the date.",
    )


def _of_the_days(left: str, other: str) -> str:
    """Return what to tell somebody who joined this life with that wrong end."""
    text = left.split(". ", 1)[1]
    if text not in _TEXTS:
        return _NO_TEXT_SAYS
    if other == _NOBODY:
        return f"There is a text: it says {_TEXTS[text]:g} days at most. Put the two beside each other."
    return f"That text says {_TEXTS[text]:g} days at most. Look at the number again."


@exercise("Which life wins?", criteria=["PLS-K02", "PLS-K03"], prepares_for=["PLS-P03"], version=4)
def which_life_wins(draw: Draw, profile: rules.Profile) -> Question:
    """Give the longest life that every limit allows, counted from one day."""
    wins, late = draw.pick(["germs", "taste", "rule"]), draw.whole(1, 3)
    ceiling = int(TEN_DAYS)
    germs = draw.whole(4, ceiling - 1) if wins == "germs" else draw.whole(ceiling + 1, ceiling + 5)
    taste = draw.whole(5, ceiling - 1) if wins == "taste" else draw.whole(ceiling + 2, ceiling + 6)
    wish = draw.whole(ceiling + 4, ceiling + 10)
    lines = draw.shuffle(
        [
            f"The rule: {ceiling} days from packing",
            f"Listeria tests: {germs + late} days from the cook",
            f"Taste: {taste} days from packing",
            f"The shop’s wish: {wish} days from packing",
        ]
    )
    truth = min(germs, taste, ceiling)
    slips = [
        Slip("took the rule", TEN_DAYS, "The rule is a ceiling. Another limit is shorter here."),
        Slip("took the taste", float(taste), "Fish can taste good and still make people ill."),
        Slip(
            "counted from the cook",
            float(germs + late),
            f"Those days start at the cook. It was packed {late} days later." if late > 1 else _A_DAY_LATER,
        ),
        Slip("took the wish", float(wish), "A wish is no limit. It never makes a life longer."),
        Slip("took the mean", (germs + taste + ceiling) / 3, "Limits have no mean. The shortest one wins."),
    ]
    return number(
        "A vacuum pack, sold in the United Kingdom and held by chill alone. It was packed "
        f"{count_of(late, 'day')} after the cook. {by_that_text(*_TEN, profile)}\n\n"
        + "\n".join(f"- {line}" for line in lines)
        + "\n\nWhat is the longest life, in days from packing?",
        float(truth),
        "",
        abs_tol=0.01,
        one_sided="at most",
        slips=_told_apart(slips, truth),
        hints=["Count everything from the same day.", "Every limit must be met. Which comes first?"],
        worked=f"From packing: the rule {ceiling}, the tests {germs + late} − {late} = {germs}, the taste "
        f"{taste} days. The shortest wins: {truth} days. A competent person sets the date.",
    )


_A_DAY_LATER = "Those days start at the cook. It was packed a day later."


def _told_apart(slips: Sequence[Slip], truth: float) -> list[Slip]:
    """Return the slips that lead to a number of their own."""
    taken = [truth]
    kept = []
    for each in slips:
        if all(abs(each.value - value) > 0.05 for value in taken):
            taken.append(each.value)
            kept.append(each)
    return kept


@exercise("What do warm days cost?", criteria=["PLS-K03"], prepares_for=["PLS-P04"], model=True)
def listeria_in_the_store(draw: Draw) -> Question:
    """Add the growth of cold and of warm days."""
    cold = round(listeria_growth(3.0, 3.0).days_per_log10.middle, 1)
    warm = round(listeria_growth(8.0, 3.0).days_per_log10.middle, 1)
    days, bad = draw.whole(2, 5), draw.whole(1, 3)
    truth = days / cold + bad / warm
    return number(
        f"These figures are from memory, and a ceiling. Listeria grows tenfold in {cold:g} days at 3 °C. At "
        f"8 °C it takes {warm:g} days. A pack lies {days} days at 3 °C, then {bad} at 8 °C. How many times "
        "tenfold? Give 2 decimals.",
        truth,
        "",
        abs_tol=0.02,
        decimals=2,
        slips=[
            Slip("all in the cold", (days + bad) / cold, "You counted all the days as cold."),
            Slip("all in the warm", (days + bad) / warm, "You counted all the days as warm."),
            Slip("left out the cold", bad / warm, "Listeria grows in the cold as well. Add both."),
        ],
        hints=["Divide the days at each temperature by its own figure.", "Then add the two."],
        worked=f"{days} ÷ {cold:g} + {bad} ÷ {warm:g} = {truth:.2f}. A real number may be lower.",
    )


@exercise("The store in the morning", criteria=["PLS-K03"], prepares_for=["PLS-P04", "CHL-P02"], version=5)
def after_a_warm_night(draw: Draw, profile: rules.Profile) -> Question:
    """Read the store's log and recommend."""
    case = draw.pick(["cold", "warm", "gap"])
    lent = own_or_lent(profile, "store", "ie", quantity="store_temp_c")
    store_c = float(lent.rule.maximum or 0.0)
    first, last = store_c - draw.pick([1.4, 1.1, 0.8]), store_c - draw.pick([0.7, 0.6, 0.9])
    middle = {
        "cold": f"{store_c - draw.pick([0.9, 0.7, 1.2]):.1f} °C",
        "warm": f"{store_c + draw.pick([3.5, 4.5, 5.5]):.1f} °C",
        "gap": "no reading",
    }
    why = {
        "cold": f"Every reading is at {store_c:g} °C or less",
        "warm": f"The log shows more than {store_c:g} °C",
        "gap": "The log has a gap, so the limit is not proven",
    }
    return go_on_if(
        case == "cold",
        draw,
        f"Ready-to-eat {any_fish(draw)} must stay at {store_c:g} °C or less by the rules of "
        f"{lent.lender.title}. "
        f"{lent.says} The warmest in the log: from 18:00 to 23:00, {first:.1f} °C; from 23:00 to 05:00, "
        f"{middle[case]}; from 05:00 to 07:00, {last:.1f} °C. What do you recommend for the fish?",
        [
            option(text, right=name == case, says="Read all three lines of the log again.", name=name)
            for name, text in why.items()
        ]
        + [wrong("The packs are cold now", "Cold now says nothing about the night.", name="cold now")],
        proven="Read it again. The log is whole and cold.",
        unproven="Listeria grows in the cold, and faster in the warm. Hold the packs and report it.",
        hints=["Read every line, not only the last.", "What do you know of the middle of the night?"],
        worked=f"{why[case]}. You recommend. A competent person decides.",
    )


_LABEL = (
    right("Fish, named as an allergen", "Fish can make some people very ill. They must see it."),
    right("The use-by date", "People must know the last safe day."),
    right("The batch", "Without the batch you cannot call packs back."),
    right("How to keep it, in °C", "The date only holds if the pack is kept cold."),
    right("The name of the food", "The guest must know what it is: which fish, and smoked."),
    right("Who made it, and where", "Somebody must be able to ask, and to call packs back."),
    right("What is in it: fish, salt, smoke", "The list of ingredients belongs on a pack."),
    wrong("Best before, in place of use-by", "Food that may do harm has a use-by date."),
    wrong("Good as long as it smells good", "Smell shows nothing about the germs that hurt."),
    wrong("Free of germs", "Nobody can promise that."),
    wrong("A new date over the old one", "A date is never made longer. Hold the pack and ask."),
    wrong("Needs no fridge, as it is smoked", "Smoke keeps no fish without cold."),
    wrong("Free of bones, as a finger felt it", "A finger misses some. Nobody can promise that."),
    wrong("Safe for everyone", "Not for who is allergic. And some guests fall ill more easily."),
)


@exercise("What stands on the label?", criteria=["PLS-K02"], prepares_for=["PLS-P02", "PLS-P03"], version=3)
def what_the_label_says(draw: Draw) -> Question:
    """Pick what belongs on the label of a chilled pack."""
    lines = some(draw, _LABEL, draw.pick([2, 3]), 3, never=True)
    return several(
        draw,
        f"You label packs of smoked {any_fish(draw)} for the cold shelf. Which of these belong on the label?",
        lines,
        hints=["Think of the guest who cannot eat fish.", "Think of the day when packs are called back."],
        worked=" ".join(f"{each.text}." for each in lines if each.right),
    )


_APART = (
    right("Cool it on its own rack, away from raw fish", "Air and drops carry germs from raw fish."),
    right("Wash your hands and change gloves after raw fish", "Hands bring Listeria to fish that is ready."),
    right("In a shared store, ready-to-eat above and raw below", "Drops fall down, never up."),
    right("Use other tongs and boards for the smoked fish", "Tools carry germs as hands do."),
    right("Put on a clean apron before you touch it", "An apron from the raw side carries germs."),
    right("Keep the floor by it dry, and use no hose near it", "Spray lifts germs from drain and floor."),
    right("Clean and disinfect the slicer before it", "Listeria lives on in wet corners of machines."),
    wrong("Raw fish on the top shelf, smoked fish under it", "Raw juice drips on ready fish."),
    wrong("Rinse a raw tray and put smoked fish on it", "A rinse leaves germs. Take another tray."),
    wrong("Share one rack, as smoke kills the germs", "Smoke does not stop new germs that come later."),
    wrong("Turn the smoked fish with the raw tongs", "Nobody heats this fish again. Take clean tongs."),
    wrong("Wipe the bench with the cloth of the raw side", "The cloth carries what it took up."),
    wrong("Hose the drain while the fish cools beside it", "The spray lands on the fish."),
    wrong("Leave it open by the door where raw boxes pass", "Drops and hands reach it there. Cover it."),
)


@exercise("Keep raw and ready apart", criteria=["PLS-K03"], prepares_for=["CHL-P04", "PLS-P01"], version=3)
def keep_it_apart(draw: Draw) -> Question:
    """Pick what keeps new germs off fish that nobody cooks again."""
    ways = some(draw, _APART, draw.pick([2, 3]), 3, never=True)
    return several(
        draw,
        f"Your smoked {any_fish(draw)} cools next to the raw fish room. What keeps new Listeria off it?",
        ways,
        hints=["Nobody heats this fish again.", "Think of drops, hands and tools."],
        worked=" ".join(f"{each.text}." for each in ways if each.right),
    )
