"""Lesson 7, clean: cleaning against disinfecting, the mix, zones, and the skin of your hands."""

from dataclasses import dataclass

from kit.exercises.engine import exercise
from kit.marking.authored import Joined, Turned, right, some, wrong
from kit.marking.build import match, number, one, order, places, several
from kit.marking.draw import Draw
from kit.marking.model import Picture, Question, Region, Slip


@exercise(
    "Clean, then disinfect, in order", criteria=["CLN-K02"], prepares_for=["CLN-P01", "CLN-P02"], version=2
)
def clean_in_order(draw: Draw) -> Question:
    """Put the steps of cleaning and disinfecting one surface in order."""
    thing = draw.pick(["slicing table", "filleting board", "rack trolley", "packing bench"])
    minutes = draw.pick([2, 5, 10])
    scrape = f"Clear the {thing} and scrape off scraps"
    wash = "Wash with hot water and detergent, and scrub"
    rinse = "Rinse the detergent and the dirt away"
    kill = "Put on the disinfectant"
    wait = f"Leave it wet for the {minutes} min on the label"
    dry = "Rinse if the label says so, and let it dry in the air"
    return order(
        draw,
        f"The {thing} was used for fish. Its cleaning card says: clean, then disinfect. "
        f"The label of the disinfectant asks for {minutes} min. Put the steps in order.",
        [scrape, wash, rinse, kill, wait, dry],
        [
            Turned(
                kill,
                wash,
                "Disinfectant does not work through dirt and fat. The surface must be clean first.",
                safety=True,
                name="disinfected dirt",
            ),
            Turned(
                kill,
                rinse,
                "Detergent that is left behind can stop the disinfectant. Rinse first.",
                name="no rinse between",
            ),
            Turned(
                dry,
                wait,
                "It needs its time on the surface. Rinsed off too soon, it has killed little.",
                name="no time to work",
            ),
            Turned(
                wash,
                scrape,
                "Scraps and fat use up the detergent. Scrape them off first.",
                name="washed the scraps",
            ),
        ],
        hints=[
            "First take away what you can see. Then kill what you cannot see.",
            "Detergent and disinfectant must not meet. What comes between them?",
        ],
        worked="Scrape, wash, rinse: now it is clean. Then disinfect, wait as the label says, and let it "
        "dry.",
    )


_CLEAN = "Clean it: that is enough"
_BOTH = "Clean it, then disinfect it"
_OUT = "Take it out of use, and report it"
_SURFACES = {  # thing: what it needs
    "The knife that slices smoked fish": _BOTH,
    "The probe, before it goes into the next piece": _BOTH,
    "The bench where cooked fish is packed": _BOTH,
    "The handle of the ready-to-eat fridge": _BOTH,
    "The outside wall by the bins": _CLEAN,
    "The floor of the dry wood store": _CLEAN,
    "The shelf for flat new boxes": _CLEAN,
    "A cutting board with deep cuts": _OUT,
    "A brush that is losing its hairs": _OUT,
    "A rack with a broken, sharp wire": _OUT,
}


@exercise("Clean, disinfect, or take out of use?", criteria=["CLN-K02"], prepares_for=["CLN-P01", "CLN-P03"])
def clean_or_disinfect(draw: Draw) -> Question:
    """Join five things with what each needs."""
    both, clean, out = (
        [thing for thing, needs in _SURFACES.items() if needs == each] for each in (_BOTH, _CLEAN, _OUT)
    )
    touched, plain, broken = draw.sample(both, 2), draw.sample(clean, 1), draw.sample(out, 1)
    chosen = [*touched, *plain, *broken]
    joined = [
        Joined(
            thing,
            _CLEAN,
            "It touches food that nobody cooks again, or hands do. Germs may be left on a clean surface.",
            f"not disinfected: {thing}",
        )
        for thing in touched
    ]
    joined += [
        Joined(
            plain[0],
            _BOTH,
            "No food and no hand that works with food touches it. Good cleaning is enough here.",
            f"disinfected for nothing: {plain[0]}",
        ),
        Joined(
            broken[0],
            _BOTH,
            "It cannot be made clean, or it can leave bits in the food. Nobody should go on using it.",
            f"went on using: {broken[0]}",
        ),
    ]
    return match(
        draw,
        "What does each of these need at Harbour Lane?",
        {thing: _SURFACES[thing] for thing in chosen},
        joined,
        must=touched,
        hints=[
            "Does it touch food that is ready to eat, or hands that touch it?",
            "Can you still make it clean and sound?",
        ],
        worked="What touches ready food is cleaned and then disinfected. What touches no food is cleaned. "
        "What is broken goes out of use, and you report it.",
    )


@exercise("Mix the disinfectant as the label says", criteria=["CLN-K02", "HAS-K03"], prepares_for=["CLN-P04"])
def mix_the_disinfectant(draw: Draw) -> Question:
    """Work out the concentrate for a bucket from a percentage on the label."""
    strength_pct = draw.pick([0.5, 1.5, 2, 3])
    bucket_l = draw.pick([4, 6, 8, 12])
    answer = strength_pct * 10 * bucket_l
    return number(
        f"The label says: use at {strength_pct:g} % by volume. You need {bucket_l} L of mixed solution, "
        "ready to use. How many mL of concentrate go into it? Wear the gloves and goggles that the label "
        "asks for.",
        answer,
        "mL",
        rel_tol=0.01,
        slips=[
            Slip(
                "mixed for 1 L",
                strength_pct * 10,
                f"That is the amount for 1 L. Your bucket holds {bucket_l} L.",
            ),
            Slip(
                "took percent for mL in 1 L",
                strength_pct * bucket_l,
                "1 % of 1 L is 10 mL, not 1 mL. Yours is ten times too weak, and germs live on.",
            ),
            Slip(
                "ten times too strong",
                answer * 10,
                "1 % of 1 L is 10 mL, not 100 mL. Too strong hurts skin and lungs, and stays on the surface.",
            ),
        ],
        hints=[
            "1 % means 1 part in 100. How many mL is that in 1 L, which is 1000 mL?",
            f"First work out the amount for 1 L. Then multiply by {bucket_l}.",
        ],
        worked=f"1 L is 1000 mL. {strength_pct:g} % of it is {strength_pct * 10:g} mL. For {bucket_l} L: "
        f"{strength_pct * 10:g} × {bucket_l} = {answer:g} mL. Never mix two products: some make poison gas.",
    )


ROOMS = {  # where each door of the plan stands, head-on, raw side on the left: (across, down)
    "delivery": (0.075, 0.20),
    "bins": (0.20, 0.92),
    "raw kiln": (0.41, 0.30),
    "ready kiln": (0.59, 0.30),
    "change": (0.50, 0.76),
    "packs out": (0.925, 0.20),
}


@dataclass(frozen=True)
class _Walk:
    """Something that has to pass a door: what, which door, and why."""

    says: str
    door: str
    why: str


_WALKS = (
    _Walk(
        "You have worked with raw fish. Now you must pack cooked fish. Mark the door you must use.",
        "change",
        "You change coat, apron and shoes and wash your hands before you enter the ready side.",
    ),
    _Walk(
        "A rack of cured raw fish must go into the kiln. Mark the door it must use.",
        "raw kiln",
        "Raw fish goes in by the door on the raw side.",
    ),
    _Walk(
        "The cook is done and proven. The rack must come out. Mark the door it must use.",
        "ready kiln",
        "Cooked fish leaves by the door on the ready side, and meets no raw fish again.",
    ),
    _Walk(
        "Boxes of raw salmon arrive from the van. Mark the door they must use.",
        "delivery",
        "Raw fish comes in on the raw side.",
    ),
    _Walk(
        "Heads and bones from filleting must go out. Mark the door they must use.",
        "bins",
        "Waste from the raw side leaves the raw side straight to the bins.",
    ),
)
_TRAP = {
    "change": "This is where people change coat and wash hands. It is for people on their way to the "
    "ready side.",
    "raw kiln": "This is the raw side of the kiln. Only raw fish on racks goes through it.",
    "ready kiln": "This is the ready side of the kiln. Only cooked fish on racks comes out here.",
    "delivery": "This is where raw fish comes in. Nothing else goes through it.",
    "bins": "This leads to the bins. Only waste goes through it.",
    "packs out": "This is where packs leave for the customer. Nothing raw, dirty or unpacked goes through "
    "it.",
}


@exercise("Which door on the plan?", criteria=["CLN-K01"], prepares_for=["CLN-P01", "HAS-P01"], version=2)
def zones_on_the_plan(draw: Draw) -> Question:
    """Mark the door that a person, a rack or waste must use."""
    walk, flipped = draw.pick(_WALKS), draw.chance(0.5)
    doors = {name: (1 - x if flipped else x, y) for name, (x, y) in ROOMS.items()}
    words = (
        f"A plan of Harbour Lane. The raw side is on the {'right' if flipped else 'left'}, the ready side on "
        f"the {'left' if flipped else 'right'}. The kiln stands between them and has a door to each side. "
        "Below it is the changing room with a hand basin. Other doors lead to the van, the bins and the "
        "customer."
    )
    regions = {name: Region(name, round(x, 3), y, 0.06, 0.115) for name, (x, y) in doors.items()}
    return places(
        f"{walk.says} The round spots are the doors.",
        Picture("smokehouse-plan", {"flipped": flipped, "words": words}, words),
        [regions[walk.door]],
        [(region, _TRAP[name]) for name, region in regions.items() if name != walk.door],
        hints=[
            "Find the raw side and the ready side first.",
            "Goods go one way only: van, raw side, kiln, ready side, customer.",
        ],
        worked=f"{walk.why} Raw and ready never share a way.",
    )


_MAY = (
    right(
        "You changed coat and shoes, washed your hands, and went in to pack", "That is how people may cross."
    ),
    right(
        "A rack went in raw on one side of the kiln and came out cooked on the other",
        "The kiln is the way through.",
    ),
    right(
        "Knives went to the wash-up, and came back clean and disinfected", "They were made safe on the way."
    ),
    right(
        "Cartons were unpacked outside, and only the clean inner bags came in",
        "The dirty outside stayed out.",
    ),
    wrong(
        "Chef was in a hurry and walked through in the apron from filleting",
        "Germs ride on aprons, shoes and hands. Rank does not stop them.",
    ),
    wrong(
        "The raw-side probe was wiped on a cloth and used in cooked fish",
        "A wiped probe is not clean. Use the ready side's own, or clean and disinfect it.",
    ),
    wrong(
        "The hose of the raw side was pulled over to rinse the packing bench",
        "The hose has been on a raw floor, and its spray throws germs about.",
    ),
    wrong(
        "Cooked fish rested on the raw side because the fridge was full",
        "Cooked fish never goes back. Germs from raw fish would not be killed again.",
    ),
    wrong(
        "A guest looked in at packing in street shoes",
        "A guest carries germs too: coat, hair cover, shoe covers and clean hands, or no entry.",
    ),
)


@exercise("What may cross to the ready side?", criteria=["CLN-K01"], prepares_for=["HAS-P01"])
def what_may_cross(draw: Draw) -> Question:
    """Pick the movements that keep the rules of the zones."""
    return several(
        draw,
        "These things happened today. Pick every one that kept the rules of the raw side and the ready side.",
        some(draw, _MAY, 2, 3, never=True),
        hints=["What could carry germs from raw fish to cooked fish?", "Two of these kept the rules."],
        worked="People change and wash. Goods go one way. Tools have their own side, or are made safe first.",
    )


_SKIN = (
    (
        "{name} washes up for {hours} h with bare hands. The skin between the fingers is red and itches.",
        "Wet work: water and detergent take the fat out of the skin",
        "Dry gloves for wet work, dry hands with care, cream, and tell Chef",
    ),
    (
        "{name} fillets fish for {hours} h with bare hands. The hands burn, and small bumps come up.",
        "Fish juice: proteins in the fish irritate the skin, or it has become allergic",
        "Gloves when handling fish, wash and dry the hands, cream, and tell Chef",
    ),
    (
        "{name} poured disinfectant without gloves for {hours} days. The skin is dry and cracked.",
        "Chemicals: the concentrate attacks the skin",
        "The gloves that the label asks for, rinse splashes at once, cream, and tell Chef",
    ),
)


@exercise("Why does the skin crack?", criteria=["HAS-K03"], prepares_for=["HAS-P01"])
def why_the_skin_cracks(draw: Draw) -> Question:
    """Find the cause of sore hands, and what prevents it."""
    said, cause, helps = draw.pick(_SKIN)
    name = draw.pick(["Mira", "Jonas", "Adaeze", "Tomasz"])
    others = [each for each in _SKIN if each[1] != cause]
    return one(
        draw,
        f"{said.format(name=name, hours=draw.step(3, 6, 1))} What is the cause, and what helps?",
        [
            right(f"{cause}. {helps}.", name="right"),
            *(
                wrong(
                    f"{each[1]}. {each[2]}.", "Read again what the hands were in.", name=f"cause: {each[1]}"
                )
                for each in others
            ),
            wrong(
                "Weak skin. It gets used to the work, so go on as before.",
                "Skin does not get used to it. It gets worse, and can stay bad for life.",
                name="gets used to it",
            ),
            wrong(
                "Too little washing. Use hotter water and more soap.",
                "Hands must be clean. But hot water and more soap take still more fat out of the skin.",
                name="wash more",
            ),
        ],
        hints=[
            "What were the hands in: water, fish or a chemical?",
            "Which answer keeps that away from the skin?",
        ],
        worked=f"{cause}. {helps}. Go to a doctor if it does not heal.",
    )


_HELPS = (
    right("Gloves without powder, changed when torn", "Gloves keep water and chemicals off."),
    right("Hands dried fully, also between the fingers", "Skin that stays wet goes soft and cracks."),
    right("Cream on clean hands after work", "Cream puts back the fat that water takes out."),
    right("A look at your hands each week", "Early spots heal. Late ones may not."),
    right("A tool that keeps hands out of the water", "No contact is the best protection."),
    right("Chef told early of red or itchy spots", "Early spots heal, if the cause is found."),
    right("Mild soap, and water that is not hot", "Hot water and strong soap take the skin's fat."),
    wrong("One pair of gloves for the whole day", "Sweat inside is wet work too. Used gloves carry germs."),
    wrong("Disinfectant for steel, used on the hands", "It is made for steel, not for skin. It burns."),
    wrong("Salt rubbed on sore spots", "Salt opens sore skin more. Cover it, and tell Chef."),
    wrong("Waiting until it bleeds, then telling Chef", "Too late. Open skin lets germs in and out."),
    wrong("Hot water and a hard brush, many times", "They take the fat out of the skin, and it cracks."),
    wrong("Gloves put on over wet hands", "Wet skin under rubber goes soft. Dry it first."),
    wrong("Cream on dirty hands before the break", "It rubs in what is on them. Wash and dry first."),
)


@exercise("Keep your skin whole", criteria=["HAS-K03"], prepares_for=["HAS-P01", "HAS-P02"], version=2)
def keep_skin_whole(draw: Draw) -> Question:
    """Pick what prevents dermatitis."""
    return several(
        draw,
        "Pick everything that helps to prevent dermatitis.",
        some(draw, _HELPS, draw.pick([2, 3]), 3),
        hints=["What keeps water, fish and chemicals off? What puts fat back?", "What dries the skin out?"],
        worked="Keep it off, dry well, put fat back, look, and tell. Skin that is caught early heals.",
    )
