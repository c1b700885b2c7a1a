"""Lesson 6, keeping: packs without air, the life of a pack, the label, and Listeria in the cold."""

from __future__ import annotations

from kit import rules
from kit.exercises.engine import exercise
from kit.marking.build import Joined, match, number, one, option, recommend, several
from kit.marking.draw import Draw
from kit.marking.model import Decision, Question, Slip
from kit.process.microbes.growth import listeria_growth

_UK, _IE, _US = rules.load("uk"), rules.load("ie"), rules.load("us-retail")
TEN_DAYS, SALT_PCT = float(_UK["uk-vacuum-10-days"].maximum or 0), float(_UK["uk-vacuum-salt"].minimum or 0)
IE_DAYS, US_DAYS = float(_IE["ie-life-5"].maximum or 0), float(_US["us-retail-life-7"].maximum or 0)
STORE_C = float(_IE["ie-store-3"].maximum or 0)


@exercise("How long may this pack live?", criteria=["PLS-K01", "PLS-K02"], prepares_for=["PLS-P02"])
def the_ten_day_rule(draw: Draw) -> Question:
    """Tell whether chill alone protects a pack, from its salt at the weakest place."""
    weak = draw.pick([2.6, 2.9, 3.2, 3.6, 3.9])
    strong = round(weak + draw.pick([0.5, 0.7]), 1)
    enough = weak >= SALT_PCT
    chill_only = f"At most {TEN_DAYS:g} days: only the chill protects it"
    more = f"More than {TEN_DAYS:g} days may be asked for: the salt is a second control"
    return one(
        draw,
        f"A vacuum pack of char, sold in the United Kingdom. More than {TEN_DAYS:g} days needs a "
        "second control, "
        f"such as {SALT_PCT:g} % salt or more in the water phase, in every part. The laboratory "
        f"finds {weak:g} % "
        f"in the weakest piece and {strong:g} % in the strongest. There is no other control. What "
        "do you say?",
        [
            option(more if enough else chill_only, right=True, name="more" if enough else "ten days"),
            option(
                chill_only if enough else more,
                says="The weakest piece has enough salt. Chill is not its only control."
                if enough
                else "The salt must be enough in every part. The weakest piece decides.",
                name="ten days" if enough else "more",
            ),
            option(
                "As long as the fish smells good", says="Botulinum toxin may have no smell.", name="smell"
            ),
            option(
                "No limit, if the seal is tight",
                says="A tight seal keeps air out. That is no help here.",
                name="seal",
            ),
        ],
        hints=["Look at the weakest piece.", f"Compare it with {SALT_PCT:g} %."],
        worked=f"The weakest piece has {weak:g} %. The rule asks for {SALT_PCT:g} % in every part. "
        f"{more if enough else chill_only}. A competent person sets the date.",
    )


_AIR = (
    ("Botulinum grows where there is no air", True, "This germ grows only without air."),
    ("Its spores can live through the cook", True, "The cook does not kill all the spores."),
    ("Some kinds grow slowly in a cold store", True, "Even a cold store gives them time, so days count."),
    ("The pack may look and smell good", True, "The toxin may give no sign at all."),
    ("The pack kills the germs in it", False, "A pack without air stops some germs. It kills none."),
    ("Without air nothing can grow", False, "Some germs grow only without air."),
    ("A vacuum pack needs no cold", False, "Cold is its first protection."),
    ("A bad pack always swells", False, "A deadly pack may stay flat."),
)


@exercise("What does no air change?", criteria=["PLS-K01"], prepares_for=["PLS-P01"])
def why_no_air_helps_it(draw: Draw) -> Question:
    """Pick what is true of botulinum in a pack without air."""
    right = draw.sample([each for each in _AIR if each[1]], 3)
    wrong = draw.sample([each for each in _AIR if not each[1]], 3)
    return several(
        draw,
        "Smoked fish lies in a vacuum pack. Which sentences are true?",
        [option(text, right=ok, says=says, safety=not ok) for text, ok, says in (*right, *wrong)],
        hints=["Botulinum is a germ that does not like air.", "A good smell proves nothing."],
        worked=" ".join(f"{text}." for text, _, _ in right),
    )


@exercise("Who says how many days?", criteria=["PLS-K02"], prepares_for=["PLS-P03"])
def where_the_days_come_from(draw: Draw) -> Question:
    """Join each life with the text it comes from."""
    ie, uk, us = f"{IE_DAYS:g} days at most", f"{TEN_DAYS:g} days at most", f"{US_DAYS:g} days at most"
    to_ie, to_uk, to_us = (
        "Irish guide for cook-chill food",
        "United Kingdom guide: vacuum pack, chill alone",
        "United States food code for shops",
    )
    return match(
        draw,
        "Every figure for a life has a text behind it. Join each life with its text.",
        {ie: to_ie, uk: to_uk, us: to_us},
        [
            Joined(ie, to_us, "The shop code counts a week.", "ie to us"),
            Joined(uk, to_ie, "The Irish guide gives the shortest life of the three.", "uk to ie"),
            Joined(us, to_uk, "The guide for vacuum packs gives the longest of the three.", "us to uk"),
        ],
        extra=["The maker of the bags"],
        hints=["The rule for vacuum packs has its days in its name.", "One text counts a week."],
        worked=f"Ireland, cook-chill: {IE_DAYS:g} days. United States, shops: {US_DAYS:g} days. "
        f"United Kingdom, vacuum pack and chill alone: {TEN_DAYS:g} days.",
    )


@exercise("Which life wins?", criteria=["PLS-K02", "PLS-K03"], prepares_for=["PLS-P03"])
def which_life_wins(draw: Draw) -> Question:
    """Give the longest life that every limit allows."""
    germs, taste = draw.whole(4, 9), draw.whole(11, 16)
    return number(
        f"A vacuum pack, with chill as its only control. The rule allows {TEN_DAYS:g} days. Tests "
        "for Listeria "
        f"allow {germs} days. The taste is good for {taste} days. What is the longest life in days?",
        float(germs),
        "",
        abs_tol=0.01,
        one_sided="at most",
        slips=[
            Slip("took the rule", TEN_DAYS, "The rule is a ceiling. Your own tests are stricter here."),
            Slip("took the taste", float(taste), "Fish can taste good and still make people ill."),
            Slip(
                "took the mean", (germs + taste + TEN_DAYS) / 3, "Limits have no mean. The shortest one wins."
            ),
        ],
        hints=["Every one of the limits must be met.", "Which comes first?"],
        worked=f"The shortest wins: {germs} days. A competent person sets the date.",
    )


@exercise("What do warm days cost?", criteria=["PLS-K03"], prepares_for=["PLS-P04"])
def listeria_in_the_store(draw: Draw) -> Question:
    """Add the growth of cold and of warm days."""
    cold = round(listeria_growth(3.0, 3.0).days_per_log10.middle, 1)
    warm = round(listeria_growth(8.0, 3.0).days_per_log10.middle, 1)
    days, bad = draw.whole(2, 5), draw.whole(1, 3)
    truth = days / cold + bad / warm
    return number(
        f"These figures are from memory, and a ceiling. Listeria grows tenfold in {cold:g} days at "
        "3 °C. At 8 °C "
        f"it takes {warm:g} days. A pack lies {days} days at 3 °C, then {bad} at 8 °C. How many "
        "times tenfold? "
        "Give 2 decimals.",
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


@exercise("The store in the morning", criteria=["PLS-K03"], prepares_for=["PLS-P04", "CHL-P02"])
def after_a_warm_night(draw: Draw) -> Question:
    """Read the store's log and recommend."""
    case = draw.pick(["cold", "warm", "gap"])
    first, last = draw.pick([1.6, 1.9, 2.2]), draw.pick([2.3, 2.5, 2.7])
    middle = {
        "cold": f"{draw.pick([2.1, 2.4, 2.6]):g} °C",
        "warm": f"{draw.pick([6.5, 7.5, 8.5]):g} °C",
        "gap": "no reading",
    }
    why = {
        "cold": f"Every reading is at {STORE_C:g} °C or less",
        "warm": f"The log shows more than {STORE_C:g} °C",
        "gap": "The log has a gap, so the limit is not proven",
    }
    met = case == "cold"
    says: dict[Decision, str] = (
        {
            "hold": "Read it again. The log is whole and cold.",
            "reject": "Read it again. The log is whole and cold.",
        }
        if met
        else {"go on": "Listeria grows in the cold, and faster in the warm. Hold the packs and report it."}
    )
    return recommend(
        draw,
        f"Ready-to-eat trout must stay at {STORE_C:g} °C or less. The log: from 18:00 to 23:00, "
        f"{first:g} °C at "
        f"most. From 23:00 to 05:00, at most: {middle[case]}. From 05:00 to 07:00, {last:g} °C at most. What "
        "do you recommend?",
        "go on" if met else "hold",
        [
            option(text, right=name == case, says="Read all three lines of the log again.", name=name)
            for name, text in why.items()
        ]
        + [option("The packs are cold now", name="cold now", says="Cold now says nothing about the night.")],
        says,
        also=() if met else ("reject",),
        hints=["Read every line, not only the last.", "What do you know of the middle of the night?"],
        worked=f"{why[case]}. You recommend. A competent person decides.",
    )


_LABEL = (
    ("Fish, named as an allergen", "Fish can make some people very ill. They must see it."),
    ("The use-by date", "People must know the last safe day."),
    ("The batch", "Without the batch you cannot call packs back."),
    ("How to keep it, in °C", "The date only holds if the pack is kept cold."),
)
_NOT_LABEL = (
    ("Best before, in place of use-by", "Food that may do harm has a use-by date."),
    ("Good as long as it smells good", "Smell shows nothing about the germs that hurt."),
    ("Free of germs", "Nobody can promise that."),
    ("A new date over the old one", "A date is never made longer. Hold the pack and ask."),
)


@exercise("What stands on the label?", criteria=["PLS-K02"], prepares_for=["PLS-P02", "PLS-P03"])
def what_the_label_says(draw: Draw) -> Question:
    """Pick what belongs on the label of a chilled pack."""
    right, wrong = draw.sample(_LABEL, 3), draw.sample(_NOT_LABEL, 3)
    return several(
        draw,
        "You label packs of smoked trout for the cold shelf. Which of these belong on the label?",
        [option(text, right=True, says=says) for text, says in right]
        + [option(text, says=says, safety=True) for text, says in wrong],
        hints=["Think of the guest who cannot eat fish.", "Think of the day when packs are called back."],
        worked=" ".join(f"{text}." for text, _ in right),
    )


_APART = (
    ("Cool it on its own rack, away from raw fish", True, "Air and drops carry germs from raw fish."),
    ("Wash your hands and change gloves after raw fish", True, "Hands bring Listeria to fish that is ready."),
    ("In a shared store, ready-to-eat above and raw below", True, "Drops fall down, never up."),
    ("Use other tongs and boards for the smoked fish", True, "Tools carry germs as hands do."),
    ("Raw fish on the top shelf, smoked fish under it", False, "Raw juice drips on ready fish."),
    ("Rinse a raw tray and put smoked fish on it", False, "A rinse leaves germs. Take another tray."),
    ("Share one rack, as smoke kills the germs", False, "Smoke does not stop new germs that come later."),
    ("Turn the smoked fish with the raw tongs", False, "Nobody heats this fish again. Take clean tongs."),
)


@exercise("Keep raw and ready apart", criteria=["PLS-K03"], prepares_for=["CHL-P04", "PLS-P01"])
def keep_it_apart(draw: Draw) -> Question:
    """Pick what keeps new germs off fish that nobody cooks again."""
    right = draw.sample([each for each in _APART if each[1]], 3)
    wrong = draw.sample([each for each in _APART if not each[1]], 3)
    return several(
        draw,
        "Your smoked trout cools next to the raw fish room. What keeps new Listeria off it?",
        [option(text, right=ok, says=says, safety=not ok) for text, ok, says in (*right, *wrong)],
        hints=["Nobody heats this fish again.", "Think of drops, hands and tools."],
        worked=" ".join(f"{text}." for text, _, _ in right),
    )
