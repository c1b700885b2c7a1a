"""Lesson 7, stay safe: carbon monoxide, fire, cuts and illness. A sum of readings is never a reason to
stay."""

from kit import rules
from kit.exercises.engine import exercise
from kit.exercises.engine.fish import any_fish
from kit.exercises.lesson_07.gas_rule import gas_limit, whose_gas
from kit.marking.authored import Joined, Turned, right, some, wrong
from kit.marking.build import chart, match, number, order, several
from kit.marking.draw import Draw
from kit.marking.model import Picture, Question, Slip
from kit.process.physics import smoke

EDGE_MIN = 0.001
"""How quickly a level changes in a log of steady stretches. [min]"""


def steady_log(stretches: list[tuple[float, float]]) -> tuple[list[float], list[float]]:
    """Return times [min] and readings [ppm] of stretches (minutes, ppm), close enough for a 15 min mean.

    Examples
    --------
    >>> steady_log([(10, 5.0), (5, 90.0)])
    ([0.0, 10.0, 10.001, 15.0], [5.0, 5.0, 90.0, 90.0])
    """
    time: list[float] = []
    level: list[float] = []
    start = 0.0
    for minutes, ppm in stretches:
        end = start + minutes
        inside = [
            start + 10.0 * step for step in range(1, int(minutes // 10) + 1) if start + 10.0 * step < end
        ]
        for at in (start + EDGE_MIN if start else start, *inside, end):
            time.append(round(at, 3))
            level.append(float(ppm))
        start = end
    return time, level


@exercise("Add up the carbon monoxide of a shift", criteria=["HAS-K02"], prepares_for=["HAS-P04"], version=3)
def gas_over_the_shift(draw: Draw, profile: rules.Profile) -> Question:
    """Work out the mean over 8 h from three steady stretches."""
    load_h, loading = draw.pick([1, 1.5, 2]), draw.step(40, 70, 5)
    ash_h, ash = 0.5, draw.step(75, 95, 5)
    rest_h, rest = 8 - load_h - ash_h, draw.pick([2, 4, 6])
    time, level = steady_log([(load_h * 60, loading), (ash_h * 60, ash), (rest_h * 60, rest)])
    truth = smoke.exposure(time, level).eight_hour_ppm
    total = load_h * loading + ash_h * ash + rest_h * rest
    limit, whose = gas_limit("8h", profile)
    return number(
        f"A meter on your coat shows {loading} ppm of carbon monoxide for {load_h:g} h while you load. It "
        f"shows {ash} ppm for {ash_h:g} h while you clear ash. For the other {rest_h:g} h it shows {rest} "
        f"ppm. What is the average over the 8 h? Give 1 decimal.{whose_gas('8h', profile)}",
        round(truth, 2),
        "ppm",
        abs_tol=0.15,
        decimals=1,
        edges=[limit],
        slips=[
            Slip(
                "averaged the levels",
                round((loading + ash + rest) / 3, 2),
                "You averaged three levels as if each had lasted as long. Multiply each by its hours first.",
            ),
            Slip(
                "divided by the smoky hours",
                round((load_h * loading + ash_h * ash) / (load_h + ash_h), 2),
                "You divided by the smoky hours only. The average asked for is over all 8 h.",
            ),
            Slip("did not divide", round(total, 2), "That is ppm times hours. Now divide by 8 h."),
        ],
        hints=["Multiply each level by its hours, and add.", "Then divide by 8 h."],
        worked=f"{loading} × {load_h:g} + {ash} × {ash_h:g} + {rest} × {rest_h:g} = {total:g}. {total:g} ÷ 8 "
        f"= {total / 8:.1f} ppm. The limit over 8 h ({whose}): {limit:g} ppm. This is a sum, and no "
        "reason to stay: report it, and a competent person measures. If the alarm sounds: get out.",
    )


@exercise("Read the gas log", criteria=["HAS-K02", "HAS-K01"], prepares_for=["HAS-P04"], version=3)
def read_the_gas_log(draw: Draw, profile: rules.Profile) -> Question:
    """Read the long plateau off a log: that is the highest mean over 15 min."""
    low, high, spike = draw.pick([4, 6, 8]), draw.step(60, 92, 4), draw.step(150, 180, 10)
    long_min, gap = draw.pick([20, 25, 30]), draw.pick([15, 20])
    early = draw.chance(0.5)
    cloud, jump = [(long_min, high)], [(2, spike)]
    parts = [*cloud, (gap, low), *jump] if early else [*jump, (gap, low), *cloud]
    time, level = steady_log([(15, low), *parts, (30, low)])
    truth = smoke.exposure(time, level).fifteen_min_ppm
    limit, whose = gas_limit("15min", profile)
    words = "A log of carbon monoxide. " + "; ".join(
        f"{ppm:g} ppm for {minutes:g} min" for minutes, ppm in [(15, low), *parts, (30, low)]
    )
    data = {
        "time_min": time,
        "ppm": level,
        "limit_ppm": limit,
        "limit_says": f"limit over 15 min ({whose}): {limit:g} ppm",
        "words": f"{words}. A dashed line marks {limit:g} ppm ({whose}).",
    }
    whole = smoke.exposure(time, level).shift_ppm * 480 / time[-1]
    return chart(
        "This is the log of a meter that hung on a coat. Read off the highest average over 15 min, to about "
        f"3 ppm.{whose_gas('15min', profile)}",
        round(truth, 1),
        "ppm",
        Picture("gas-log", data, f"{words}. A dashed line marks {limit:g} ppm ({whose})."),
        abs_tol=3.5,
        slips=[
            Slip(
                "took the spike",
                float(spike),
                "That peak lasts 2 min. An average over 15 min counts 15 min. But the peak must be "
                "reported too.",
            ),
            Slip(
                "read the limit",
                limit,
                "That is the limit, the dashed line. Read the curve.",
            ),
            Slip(
                "averaged it all",
                round(whole, 1),
                "You averaged the whole log. Find the worst 15 min in it.",
            ),
        ],
        hints=["Which high part lasts 15 min or longer?", "Go left from that part to the scale."],
        worked=f"The high part of {long_min} min stands at about {high} ppm. It is longer than 15 min, so "
        f"its level is the average. Below the limit of {limit:g} ppm does not mean safe to stay. An alarm or "
        "a headache means: out.",
    )


@exercise(
    "The alarm sounds: put it in order", criteria=["HAS-K01", "HAS-K02"], prepares_for=["HAS-P04"], version=3
)
def the_alarm_sounds(draw: Draw) -> Question:
    """Order of the first response to carbon monoxide."""
    sign = draw.pick(
        [
            "The carbon monoxide alarm sounds",
            "Two people at the kiln have a headache and feel sick",
            "The meter on your coat beeps, and its number climbs",
            "The alarm of the kiln room sounds, and nobody smells a thing",
        ]
    )
    point = draw.pick(["at the harbour wall", "by the gate", "at the bus stop", "at the bell"])
    leave = "Stop work, warn everyone, and leave by the nearest way out"
    count = f"Meet {point}, and count heads"
    call = "Call for help, and say who is missing or ill"
    keep = "Keep everybody out until the fire service or a competent person has measured"
    back = "Go in when they say so, and write down what happened"
    return order(
        draw,
        f"{sign}. You are beside the kiln. Put the steps in order.",
        [leave, count, call, keep, back],
        [
            Turned(
                call,
                leave,
                "Do not stand in the gas to make a call. Get out first: it can take your strength in "
                "minutes.",
                safety=True,
                name="called from inside",
            ),
            Turned(
                back,
                keep,
                "Nobody goes back in before it was measured. Many who die went in to help.",
                safety=True,
                name="went back in",
            ),
            Turned(
                count,
                leave,
                "Count outside, where the air is clean.",
                safety=True,
                name="counted inside",
            ),
            Turned(
                call,
                count,
                "Count heads first. It takes seconds, and help must know who is missing.",
                name="did not know who was missing",
            ),
        ],
        free=[(count, keep), (call, keep)],  # who keeps the others out at once does well
        hints=["Where is the air clean?", "What must the people who help you know?"],
        worked="Out, count, call, keep out, and back only when it was measured. You cannot smell this gas. "
        "Your site's own plan comes first: learn its numbers and its meeting point on day 1.",
    )


_FIRES = (
    (
        "Chips in the tray flare up with a small flame, and the smoke door is shut",
        ("Keep the door shut", "Shut the air off, as the card says", "Switch off the power", "Tell Chef"),
        "A shut door starves a small fire of air.",
    ),
    (
        "Fat on the drip tray burns inside the kiln",
        ("Keep the door shut", "Switch off the heat and the fan", "Warn everyone", "Tell Chef"),
        "With no fresh air and no heat, a fat fire dies down. Water on fat throws fire out.",
    ),
    (
        "Thick smoke and flames come out of the top of the kiln",
        (
            "Sound the alarm",
            "Get everyone out",
            "Close doors behind you",
            "Call the fire service from outside",
        ),
        "A fire that has left the kiln is not yours to fight.",
    ),
    (
        "The plug of the smoke maker sparks, and its cable burns",
        (
            "Switch off at the main switch, if it is safe to reach",
            "Raise the alarm",
            "Keep everyone away",
            "Tell Chef",
        ),
        "Water and power together can kill. Take the power away first, if that is safe.",
    ),
)
_NEVER_AT_A_FIRE = (
    wrong("Open the door wide to see how big it is", "Fresh air feeds a fire, and flames can shoot out."),
    wrong("Throw a bucket of water on it", "It throws burning fat about. On live cables it can kill you."),
    wrong("Save the fish first: it is worth a lot", "No fish is worth a burn. People come first."),
    wrong("Watch it for some minutes: it may die down", "A fire grows fast. The first minute counts."),
    wrong("Carry the burning tray outside", "You carry the fire through the room, on your arms."),
    wrong("Go back in for your phone", "Nobody goes back into a room with a fire."),
)


@exercise("Fire: what do you do first?", criteria=["HAS-K02", "HAS-K01"], prepares_for=["HAS-P04"], version=2)
def fire_in_the_kiln(draw: Draw) -> Question:
    """Choose the first responses to a drawn fire."""
    seen, acts, why = draw.pick(_FIRES)
    rights = [right(act, "That is among the first things.") for act in draw.sample(acts, draw.pick([2, 3]))]
    return several(
        draw,
        f"{seen}. What do you do first? Pick all that is right.",
        [*rights, *some(draw, _NEVER_AT_A_FIRE, 0, 3, never=True)],
        hints=[
            "What does a fire need: heat, air, something to burn?",
            "People first. Then take away air or power.",
        ],
        worked=f"{'; '.join(acts)}. {why} If it is not out at once, get out and call. Follow your site's own "
        "fire plan.",
    )


@exercise("A cut at the bench", criteria=["HAS-K01"], prepares_for=["HAS-P02", "HAS-P03"], version=5)
def a_cut_at_the_bench(draw: Draw) -> Question:
    """Order of the first response to a cut while working with food."""
    where, fish = draw.pick(["thumb", "palm", "finger"]), any_fish(draw)
    stop = "Put the knife down safely and step away from the fish"
    press = "Press on the cut with something clean, and call the first-aider"
    wash = "Wash your hands, and let the first-aider clean and dry the cut"
    glove = "Cover it with a bright waterproof plaster, and put a glove over it"
    fishy = "Throw out fish with blood on it, and clean and disinfect the bench and knife"
    book = "Write it in the accident book, and go back to work if Chef agrees"
    left_out = draw.sample([press, wash, fishy, book], draw.pick([1, 2]))
    steps = [each for each in (stop, press, wash, glove, fishy, book) if each not in left_out]
    turned = [
        Turned(
            press,
            stop,
            "First the knife must lie safely, or it cuts you or somebody else again.",
            name="knife in hand",
        ),
        Turned(
            glove,
            stop,
            "The knife must lie safely before you dress the cut.",
            name="covered, knife in hand",
        ),
        Turned(
            glove,
            press,
            "Stop the blood first. Then it is cleaned and covered.",
            name="covered while bleeding",
        ),
        Turned(
            glove,
            wash,
            "A plaster does not hold on a wet finger, and it shuts the dirt in. Wash and dry first.",
            name="covered unwashed",
        ),
        Turned(
            fishy,
            glove,
            "First the cut is covered. Then comes the rest.",
            safety=True,
            name="work before cover",
        ),
        Turned(book, glove, "Get help first. Writing comes at the end.", safety=True, name="wrote first"),
        Turned(
            book,
            fishy,
            "The bench is not safe yet. Clean it before anybody works there.",
            name="back to a dirty bench",
        ),
    ]
    return order(
        draw,
        f"You cut your {where} while you trim {fish}. It bleeds, but not heavily. Put the steps in order.",
        steps,
        [each for each in turned if each.early in steps and each.late in steps],
        hints=["What hurts somebody in the next second?", "You first, then the food, then the paper."],
        worked="Knife down, stop the blood, wash and dry, cover, make the food and the bench safe, write it "
        "down. If it bleeds heavily or you feel faint: call for emergency help at once.",
    )


_HOME, _COVER, _WORK = (
    "Stay off food, and tell Chef before you start",
    "First-aider covers it, tell Chef, wear a glove",
    "Go to work, and keep to the usual rules",
)
_STATES = {
    "Vomiting last night": _HOME,
    "Diarrhoea this morning": _HOME,
    "Yellow skin and eyes": _HOME,
    "A sore with pus on the hand": _HOME,
    "A small clean cut on the finger": _COVER,
    "A burn with a small closed blister on the hand": _COVER,
    "Sore muscles after sport": _WORK,
    "A bruise on the leg": _WORK,
}


@exercise("Are you fit to work with food?", criteria=["REC-K03", "HAS-K01"], prepares_for=["HAS-P02"])
def fit_for_food(draw: Draw) -> Question:
    """Join four states of health with what to do."""
    homes, cover, work = (
        draw.sample([state for state, does in _STATES.items() if does == each], count)
        for each, count in ((_HOME, 2), (_COVER, 1), (_WORK, 1))
    )
    chosen = [*homes, *cover, *work]
    return match(
        draw,
        "It is the start of your shift. What do you do in each case?",
        {state: _STATES[state] for state in chosen},
        [
            *(
                Joined(
                    state,
                    _WORK,
                    "You could make many guests ill. The law wants you away from food until you are cleared.",
                    f"worked with: {state}",
                )
                for state in homes
            ),
            Joined(
                homes[0],
                _COVER,
                "A plaster does not stop this. Stay away from food, and tell Chef.",
                f"covered: {homes[0]}",
            ),
            Joined(
                cover[0],
                _WORK,
                "Germs live in broken skin. It must be covered first, and Chef must know.",
                f"left open: {cover[0]}",
            ),
            Joined(
                work[0],
                _HOME,
                "This harms no food. Tell Chef if it stops you from lifting or standing.",
                f"stayed away: {work[0]}",
            ),
        ],
        must=homes,
        hints=["Can germs get from you into the food?", "Can a cover stop them?"],
        worked="What comes from the gut, yellow skin and pus keep you away from food. A small clean wound is "
        "covered. When you may come back, Chef, a doctor and the local rule decide, not you.",
    )
