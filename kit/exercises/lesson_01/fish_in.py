"""Lesson 1, fish in: is it fresh, can it make people ill, and which step deals with that?"""

from kit.exercises.engine import exercise
from kit.exercises.engine.fish import any_fish
from kit.exercises.engine.whose_rule import by_that_text, freezing
from kit.marking.authored import Joined, option, right, some, wrong
from kit.marking.build import explain, go_on_if, match, several
from kit.marking.draw import Draw
from kit.marking.model import Question
from kit.rules import Profile, load

_FRESH = (
    right("The eyes are clear and stand out", "Clear, full eyes are a sign of fresh fish."),
    right("The gills are bright red or pink", "Bright gills are a sign of fresh fish."),
    right("The flesh springs back under a finger", "Firm flesh is a sign of fresh fish."),
    right("It smells of the sea, or of nothing", "A clean smell is a sign of fresh fish."),
    right("The skin shines and its slime is clear", "Clear slime and shine are signs of fresh fish."),
    right("The belly is whole and firm to the touch", "A firm, whole belly is a sign of fresh fish."),
    wrong("The gills are brown, and they are sticky", "Brown, sticky gills are a sign of old fish."),
    wrong("The belly is soft, and torn in one place", "It was kept too long or too warm."),
    wrong("It smells a little sour at the gills", "A sour smell is a sign of old fish."),
    wrong("A finger leaves a dent in the flesh", "Flesh that keeps a dent has gone soft."),
    wrong("The eyes are flat, and milky in the middle", "Sunken, milky eyes are a sign of old fish."),
    wrong("The slime is thick, yellow and cloudy", "Cloudy slime is a sign of old fish."),
)


@exercise("Signs of fresh fish", criteria=["INT-K01"], prepares_for=["INT-P02"], version=3)
def signs_of_fresh_fish(draw: Draw) -> Question:
    """Pick the signs of fresh fish from six or so."""
    signs = some(draw, _FRESH, draw.pick([2, 3]), 3)
    return several(
        draw,
        f"A box of whole {any_fish(draw)} comes in. Which of these are signs of fresh fish?",
        signs,
        hints=["Look, touch, then smell.", "Fresh fish is bright, firm and clean."],
        worked=" ".join(each.says for each in signs if each.right),
    )


_SPECIES = {
    "Rainbow trout": (
        "A pink band along the silver side",
        "Small dark spots on body, fins and tail",
        "Farmed in ponds, pink to white flesh",
    ),
    "Arctic char": (
        "Pale spots on a dark side, fins edged in white",
        "From cold northern lakes, orange to red flesh",
        "Very small scales, light spots, white fin edges",
    ),
    "Atlantic salmon": (
        "Large, orange flesh with clear white fat lines",
        "The largest of them, often farmed in sea cages",
        "Big sides, broad white lines in orange flesh",
    ),
    "Mackerel": (
        "Dark wavy stripes across a blue-green back",
        "Dark, fat flesh; it forms histamine if warm",
        "From the open sea, striped, and it spoils fast",
    ),
}
_SIGN_OF = {
    "Rainbow trout": "A rainbow trout has a pink band and small dark spots.",
    "Arctic char": "A char has light spots on a darker side, and fins with white edges.",
    "Atlantic salmon": "A salmon is the large one, with white fat lines in orange flesh.",
    "Mackerel": "A mackerel has a striped back and dark, fat flesh.",
}


@exercise("Know your fish", criteria=["INT-K01"], prepares_for=["INT-P02"], version=2)
def know_your_fish(draw: Draw) -> Question:
    """Join what is seen of four fish with their names."""
    names = [*draw.sample(sorted(_SPECIES), 3), draw.pick(sorted(_SPECIES))]
    pairs: dict[str, str] = {}
    for name in names:
        pairs[draw.pick([each for each in _SPECIES[name] if each not in pairs])] = name
    return match(
        draw,
        "Join what you see with the name of the fish. A name may serve twice.",
        pairs,
        [
            Joined(sign, other, f"{_SIGN_OF[other]} This is another fish.")
            for sign, name in pairs.items()
            for other in _SPECIES
            if other != name
        ],
        extra=sorted(_SPECIES),
        hints=["Start with the fish that you cannot mix up.", "Look for a band, for spots, for stripes."],
        worked=" ".join(f"{sign}: {name}." for sign, name in pairs.items()),
    )


_CHANGES = (
    right("It lay in the sun on the deck", "Warmth is the worst: germs and spoilage both run faster."),
    right("It was gutted late", "A full gut goes on working, and eats into the belly."),
    right("The box stood without ice for hours", "Without ice the fish warms, and its life gets short."),
    right("It was dropped and bruised", "Bruised flesh gapes and spoils first."),
    right("It lay at the bottom of a deep, full bin", "Weight presses juice out, and the flesh goes soft."),
    right("It lay in its own melt water and blood", "Old water holds germs, and soaks the flesh."),
    right("It was carried in a dirty box", "The germs of the last load go on to this one."),
    wrong("It was iced at once", "Ice at once is what keeps fish good."),
    wrong("It was bled and gutted after the catch", "That is the right handling."),
    wrong("It was carried in clean, drained boxes", "Clean boxes that drain are right."),
    wrong("Its core was kept near 0 °C all the way", "The colder it is kept, the longer it lives."),
    wrong("Fresh ice was laid over it each day", "Melting ice cools, and takes germs away with it."),
    wrong("It was handled by few hands, and gently", "Whole skin and whole flesh keep best."),
)


@exercise("What makes fish worse?", criteria=["INT-K02"], prepares_for=["INT-P05"], version=2)
def what_spoils_fish(draw: Draw) -> Question:
    """Pick what shortens the life of fish."""
    changes = some(draw, _CHANGES, draw.pick([2, 3]), 3)
    return several(
        draw,
        "Which of these shorten the life of the fish?",
        changes,
        hints=["Cold, clean and quick is good.", "What warms it, hurts it or waits is bad."],
        worked=" ".join(each.says for each in changes if each.right),
    )


_OF_POOR_FISH = [
    right("Smoking cannot make poor fish good", "It hides a fault; it mends none."),
    right("Set the box apart, in the cold, with a label", "So nobody uses it by mistake."),
    right("Tell Chef what you saw and smelled", "A competent person decides about fish in doubt."),
    right("Write down the box and its supplier", "Then the other boxes of that lot can be found."),
    right("Look at the other boxes of that delivery too", "What happened to one may have happened to all."),
    wrong("Strong salt makes it good again", "Salt slows germs. It does not undo what they made."),
    wrong("Heat kills all, so it is fine", "Heat kills germs, but not every poison they leave."),
    wrong("More smoke hides it, so it may be sold", "Hiding a fault is not mending it. People get ill."),
    wrong("Cut the bad part off, and smoke the rest", "The rest stood in the same warmth. Chef decides."),
    wrong("Use it first, before it gets worse", "Fish in doubt is used by nobody until Chef decides."),
    wrong("Mix it with good fish, then nobody notices", "That makes all of it doubtful."),
]


@exercise("Can smoke save it?", criteria=["INT-K02"], prepares_for=["INT-P06"], version=3)
def smoke_saves_nothing(draw: Draw) -> Question:
    """Say what smoking does to poor fish."""
    fish, sign = any_fish(draw), draw.pick(["smells a little sour", "is soft at the belly"])
    return several(
        draw,
        f"A box of {fish} {sign}. A friend says: “Salt it well and smoke it, then nobody will know.” "
        "Pick all that is right.",
        some(draw, _OF_POOR_FISH, draw.pick([2, 3]), 3, never=True),
        hints=["What can heat and salt undo, and what not?", "Who decides about doubtful fish?"],
        worked="What has spoiled stays spoiled. Set it apart, label it, and tell the right person.",
    )


_HISTAMINE = ("Mackerel", "Tuna", "Herring", "Sardine")
_NO_HISTAMINE = ("Trout", "Char", "Salmon", "Cod", "Haddock")


@exercise("Fish that form histamine", criteria=["INT-K03"], prepares_for=["INT-P03"])
def histamine_fish(draw: Draw) -> Question:
    """Pick the fish that can form histamine."""
    yes, no = draw.sample(_HISTAMINE, 2), draw.sample(_NO_HISTAMINE, 3)
    return several(
        draw,
        "Histamine is a poison that forms in some fish kept too warm. Which of these can form it?",
        [
            *(right(fish, f"{fish} can form histamine. Chill it at once.") for fish in yes),
            *(wrong(fish, f"{fish} is not one of the fish known for it.") for fish in no),
        ],
        hints=["Think of dark, fast fish of the open sea.", "Trout and char are not among them."],
        worked=f"{yes[0]} and {yes[1]}. These fish hold much of what histamine is made from.",
    )


_OF_HISTAMINE = [
    right("Cold from the catch on is the control", "It forms while the fish is warm."),
    right("What has formed stays in the fish", "Nothing in a kitchen takes it out again."),
    right("It can be there with no bad look or smell", "So looking is no control."),
    right("The box is set apart, and Chef is told", "A competent person decides about fish in doubt."),
    right("Only a laboratory can measure it", "A nose or an eye cannot."),
    wrong("The hot smoke will take it out again", "Heat does not take histamine out again.", safety=True),
    wrong(
        "Freezing it now makes the fish safe",
        "Freezing stops new histamine. What is there, stays.",
        safety=True,
    ),
    wrong("If it looks fine, then it is fine", "Histamine has no look and often no smell.", safety=True),
    wrong("A strong cure washes it out of the flesh", "Salt does not take it out.", safety=True),
    wrong("It comes from the wood and its smoke", "Germs make it in warm fish, long before the smoke."),
]


@exercise("What stops histamine?", criteria=["INT-K03"], prepares_for=["INT-P05"], version=2)
def stop_histamine(draw: Draw) -> Question:
    """Say what controls histamine."""
    hours, fish = draw.step(3, 7, 1), draw.pick(["Mackerel", "Tuna", "Sardine", "Herring"])
    return several(
        draw,
        f"{fish} stood at 22 °C for {hours} h before it came in. It looks fine. Pick all that is true.",
        some(draw, _OF_HISTAMINE, draw.pick([2, 3]), 3),
        hints=["Is the poison made before or after the kitchen?", "Does heat remove it?"],
        worked="Histamine forms while the fish is warm, and it stays. Only early cold prevents it. "
        "Tell Chef.",
    )


_IE = load("ie")
_FREEZE = freezing(_IE).rule
_KILL, _FIND, _NOTHING = "Kills the larvae", "Finds some, and kills none", "Counts for nothing against them"
_KILLS = {
    "All parts at −20 °C for {long} h": _KILL,
    "All parts at −35 °C for {days} h": _KILL,
    "Core at {hot} °C for {minutes} min": _KILL,
    "Dry salt for {hours} h": _NOTHING,
    "Core at {cool} °C for {minutes} min": _NOTHING,
    "All parts at −20 °C for {short} h": _NOTHING,
    "{hours} h of cold smoke": _NOTHING,
    "{days} h on ice": _NOTHING,
    "Looking over a light for {minutes} min": _FIND,
    "A finger over all of the flesh": _FIND,
    "Opening the belly, and a look inside": _FIND,
}
_OF_KILLS = {
    _KILL: "The rule takes this: −20 °C for 24 h, −35 °C for 15 h, or 60 °C for 1 min.",
    _NOTHING: "The rule does not take this: it asks for −20 °C for 24 h, or 60 °C for 1 min.",
    _FIND: "An eye or a finger finds some of them. Nothing dies of that.",
}


@exercise("What kills parasites?", criteria=["INT-K04"], prepares_for=["TPB-P05"], version=3)
def what_kills_parasites(draw: Draw, profile: Profile) -> Question:
    """Say of four drawn treatments what each does to the larvae, by the rule of the EU and the UK."""
    told = [
        *draw.sample([each for each, does in _KILLS.items() if does == _KILL], 1),
        *draw.sample([each for each, does in _KILLS.items() if does == _NOTHING], 1),
        *draw.sample([each for each, does in _KILLS.items() if does != _KILL], 3),
    ]
    values = {
        "long": draw.pick([24, 30, 48]),
        "days": draw.pick([16, 20, 24]),
        "hot": draw.pick([61, 63, 65]),
        "minutes": draw.pick([2, 3, 5]),
        "hours": draw.pick([4, 6, 8]),
        "cool": draw.pick([45, 50, 54]),
        "short": draw.pick([6, 10, 14]),
    }
    pairs = {each.format(**values): _KILLS[each] for each in draw.shuffle(list(dict.fromkeys(told)))[:4]}
    return match(
        draw,
        "Larvae of parasites in fish: what does each of these do, by the rule of the European Union, kept in "
        f"Ireland and the United Kingdom? {by_that_text(_FREEZE, _IE, profile)}",
        pairs,
        [
            Joined(treatment, other, f"{_OF_KILLS[truth]} {_BUT[truth]}")
            for treatment, truth in pairs.items()
            for other in _OF_KILLS
            if other != truth
        ],
        extra=list(_OF_KILLS),
        must=[treatment for treatment, truth in pairs.items() if truth != _KILL],
        hints=["Two things kill: long deep cold, and enough heat.", "How cold, how hot, and for how long?"],
        worked=" ".join(f"{each}: {does[0].lower()}{does[1:]}." for each, does in pairs.items()),
    )


_BUT = {
    _KILL: "This is enough.",
    _NOTHING: "Larvae may live through this.",
    _FIND: "So it comes before the treatment, not in its place.",
}


_FROZEN = "The record shows what the plan asks for"
_NO_PAPER = "Nothing shows that it was frozen"
_TOO_SHORT = "It was frozen for a shorter time"
_NOT_COLD = "It was not frozen cold enough"
_OF_PAPERS = {
    _FROZEN: "Put the paper beside the plan again: how cold, and for how long?",
    _NO_PAPER: "There is a paper of its freezing. Read it again.",
    _TOO_SHORT: "The hours on the paper are enough. Read the other figure, or look for the paper.",
    _NOT_COLD: "The cold on the paper is enough. Read the other figure, or look for the paper.",
}


@exercise("Wild fish comes in", criteria=["INT-K04"], prepares_for=["INT-P04", "INT-P06"], version=6)
def wild_fish_papers(draw: Draw, profile: Profile) -> Question:
    """Wild fish for a finish below 60 °C: with a freezing record, a poor one, or none."""
    truth = draw.pick([_FROZEN, _FROZEN, _NO_PAPER, _TOO_SHORT, _NOT_COLD])
    kg, low, fish = draw.step(4, 12, 1), draw.step(56, 58, 1), any_fish(draw)
    cold_c = draw.pick([12, 14, 16]) if truth == _NOT_COLD else draw.pick([20, 21, 23])
    lent = freezing(profile)
    row = lent.rule.holds[0]
    need_h = int(row.minutes / 60)
    hours = draw.pick([8, 12, 18] if truth == _TOO_SHORT else [24, 30, 48]) * need_h // 24
    papers = f"The freezing record shows −{cold_c} °C in all parts for {hours} h."
    if truth == _NO_PAPER:
        papers = draw.pick(
            [
                "There is no freezing record.",
                "The driver says that it was frozen. He has no paper.",
                "The boxes are icy. The paper names the boat and the day.",
            ]
        )
    hopes = [
        wrong(f"Wild {fish} holds no parasites", "Wild fish can hold parasites. That is why it is frozen."),
        wrong(
            "The cook of this line kills them all",
            f"{low} °C is below 60 °C. It does not count against parasites.",
        ),
        wrong(
            "The cold store after it kills them all",
            "A cold store keeps germs slow. It kills no larva.",
        ),
    ]
    reasons = [truth, *draw.sample([each for each in _OF_PAPERS if each != truth], 2)]
    return go_on_if(
        truth == _FROZEN,
        draw,
        f"{kg} kg of wild {fish} comes in. The approved plan of this line: a core of {low} °C, cold storage, "
        f"a short life, and only fish frozen at −{-row.temp_c:g} °C or colder for {need_h} h or more, as in "
        f"{lent.lender.title}. {lent.says} {papers} What do you recommend?",
        [
            *(option(text, right=text == truth, says=_OF_PAPERS[text]) for text in reasons),
            draw.pick(hopes),
        ],
        proven="The record is there, and it is long enough and cold enough.",
        unproven="Nothing shows that the parasites are dead. Hold the fish and tell Chef.",
        hints=["What does the plan ask for: how cold, how long?", "Does a paper prove both?"],
        worked=f"{truth}. "
        + ("It may go on. " if truth == _FROZEN else "No proof: hold it. ")
        + "A competent person decides.",
    )


@exercise("Tell the driver", criteria=["INT-K02"], prepares_for=["INT-P06"], marked_by="tutor")
def explain_set_aside(draw: Draw) -> Question:
    """Refuse a delivery, in the learner's own words."""
    why = draw.pick(["the fish is at 9 °C", "the gills are brown", "there is no label"])
    return explain(
        f"A driver wants you to sign. But {why}. What do you say, and what do you do? Write 3 or 4 "
        f"sentences.",
        [
            "Polite and clear: it does not meet the specification.",
            "Sets it apart, cold, with a label; does not mix it.",
            "Writes down what was seen, with the time and temperature.",
            "Calls the person who decides; does not sign for good fish.",
        ],
    )
