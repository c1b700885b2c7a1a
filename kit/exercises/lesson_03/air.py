"""Lesson 3, the air: humidity first, then speed; the cold wet face; and the crust of too much haste."""

from collections.abc import Mapping, Sequence

from kit.exercises.engine import exercise
from kit.exercises.engine.cache import simulated
from kit.exercises.engine.fish import FARMED
from kit.marking.authored import Turned, option, right, some, wrong
from kit.marking.build import chart, explain, one, order, several
from kit.marking.draw import Draw
from kit.marking.model import Picture, Question, Slip
from kit.process.steps import cure, fillet
from kit.process.steps.fillet import Fillet
from kit.process.steps.pellicle import Draught, Dried, dry, wet_surface


@simulated
def cured(species: str, thickness_mm: float) -> Fillet:
    """Return a fillet after 4 h in dry salt and 12 h of cold rest."""
    raw = fillet.raw(species, thickness_mm, 180)
    return cure.equalise(cure.cure(raw, 4).fillet, 12).fillet


@simulated
def dried(
    species: str, thickness_mm: float, air_c: float, rh_pct: float, speed_m_s: float, hours: float
) -> Dried:
    """Return a cured fillet after hours on a rack in this air."""
    return dry(cured(species, thickness_mm), hours, Draught(air_c, rh_pct, speed_m_s))


_RH_PCT = tuple(float(each) for each in range(50, 91, 5))


def _over_humidity(lines: Mapping[str, Sequence[float]], y_label: str, unit: str, says: str) -> Picture:
    """Return lines against humidity as a picture; its words give the readings at each 10 points."""
    told = " ".join(
        f"{line}: "
        + ", ".join(
            f"{value:.1f} {unit} at {rh:g} %"
            for rh, value in zip(_RH_PCT, values, strict=True)
            if rh % 10 == 0
        )
        + "."
        for line, values in lines.items()
    )
    words = f"{says} {told}"
    curves = [{"name": line, "values": [round(each, 3) for each in values]} for line, values in lines.items()]
    data = {"rh_pct": list(_RH_PCT), "curves": curves, "y_label": y_label, "from_zero": True, "words": words}
    return Picture("over-humidity", data, words)


@exercise(
    "Read the loss off the chart", criteria=["WDS-K04"], prepares_for=["PEL-P03"], model=True, version=2
)
def read_the_drying_chart(draw: Draw) -> Question:
    """Read the weight loss of a night off a chart of humidity, for one of two air speeds."""
    fish, rh, slow = draw.pick(FARMED), draw.pick([65.0, 75.0, 85.0]), draw.pick([0.5, 1.0])
    asked = draw.pick([slow, 2 * slow])
    curves = {
        speed: [dried(fish, 22.0, 3.0, each, speed, 10.0).loss_pct for each in _RH_PCT]
        for speed in (slow, 2 * slow)
    }
    at = _RH_PCT.index(rh)
    truth, other = curves[asked][at], curves[3 * slow - asked][at]
    aside = -2 if asked > slow else 2
    wrong_rh = curves[asked][at + aside] if at + aside < len(_RH_PCT) else curves[asked][at - 2]
    shown = _over_humidity(
        {f"{speed:g} m/s": line for speed, line in curves.items()},
        "Weight loss in 10 h [%]",
        "%",
        "Weight loss in 10 h at 3 °C, against humidity at the fish.",
    )
    return chart(
        f"The chart shows {fish.split(',')[0]} after 10 h at 3 °C. The air at the fish has {rh:g} % humidity "
        f"and moves at {asked:g} m/s. What weight loss do you expect in %? Give 1 decimal.",
        truth,
        "%",
        shown,
        abs_tol=0.08,
        slips=[
            Slip("read the other line", other, "You read the line of the other air speed. Read its name."),
            Slip(
                "read at another humidity",
                wrong_rh,
                "You read 10 points beside the question. Those 10 points change a lot.",
            ),
        ],
        hints=["First find the line of your air speed.", f"Then go up from {rh:g} % on the axis."],
        worked=f"On the line of {asked:g} m/s, above {rh:g} %, the loss is about {truth:.1f} %.",
    )


@exercise("Which change dries most?", criteria=["WDS-K04"], prepares_for=["PEL-P03"], model=True, version=2)
def what_changes_most(draw: Draw) -> Question:
    """One change to the air at a time: which gives the largest loss?"""
    fish, rh, speed = draw.pick(FARMED), draw.pick([75.0, 80.0, 85.0]), draw.pick([0.8, 1.0, 1.6])
    start = dried(fish, 22.0, 3.0, rh, speed, 10.0).loss_pct
    changes = {
        f"Bring the humidity down by 10 points, to {rh - 10:g} %": (
            "drier air",
            dried(fish, 22.0, 3.0, rh - 10, speed, 10.0).loss_pct,
        ),
        f"Raise the air speed by a quarter, to {1.25 * speed:g} m/s": (
            "faster air",
            dried(fish, 22.0, 3.0, rh, 1.25 * speed, 10.0).loss_pct,
        ),
        "Let the fish hang for 1 h longer": ("more time", dried(fish, 22.0, 3.0, rh, speed, 11.0).loss_pct),
        f"Set the room at 4 °C, with {rh:g} % humidity again": (
            "warmer air",
            dried(fish, 22.0, 4.0, rh, speed, 10.0).loss_pct,
        ),
    }
    best = max(changes, key=lambda each: changes[each][1])
    return one(
        draw,
        f"The drying room is at 3 °C, with {rh:g} % humidity at the fish and air at {speed:g} m/s. "
        f"After 10 h the loss is only {start:.1f} %. Which one change raises it most?",
        [
            option(
                text,
                right=text == best,
                says=f"That gives about {loss:.1f} %. Another change gives about {changes[best][1]:.1f} %.",
                name=name,
            )
            if text != best
            else right(text, name=name)
            for text, (name, loss) in changes.items()
        ],
        hints=[
            "What decides first how fast water leaves a wet face?",
            "Ask how much room for water the air has left.",
        ],
        worked=f"{best}: the loss goes from {start:.1f} to {changes[best][1]:.1f} %. Humidity comes first.",
    )


@exercise("Colder than the room", criteria=["WDS-K04"], prepares_for=["PEL-P04"], version=2)
def colder_than_the_room(draw: Draw) -> Question:
    """Read off a chart how far a wet face lies below its room."""
    cold_c, warm_c, rh = 4.0, draw.step(10.0, 18.0, 2.0), draw.pick([55.0, 65.0, 75.0])
    lines = {
        room: [wet_surface(Draught(room, each, 1.0)).temp_c for each in _RH_PCT] for room in (cold_c, warm_c)
    }
    at = _RH_PCT.index(rh)
    face, other = lines[warm_c][at], lines[cold_c][at]
    shown = _over_humidity(
        {f"room {room:g} °C": line for room, line in lines.items()},
        "Temperature of the wet face [°C]",
        "°C",
        "Temperature of a wet face in moving air, against humidity.",
    )
    return chart(
        f"A fan blows on wet fish in a room of {warm_c:g} °C with {rh:g} % humidity. How many °C is the wet "
        "face colder than the room, once it has settled? Give 1 decimal.",
        warm_c - face,
        "°C",
        shown,
        abs_tol=0.4,
        difference=True,
        slips=[
            Slip(
                "gave the face",
                face,
                "That is the temperature of the face. The question asks how far it is below the room.",
            ),
            Slip(
                "read the other room", cold_c - other, "You read the line of the other room. Read its name."
            ),
        ],
        hints=["Find the temperature of the face on the chart.", f"Take it from {warm_c:g} °C."],
        worked=f"The face settles at about {face:.1f} °C. {warm_c:g} − {face:.1f} = {warm_c - face:.1f} °C. "
        "This is no safety: in a warm room the face is still warm.",
    )


_CAUSES = (
    right("Air that is very dry", "Dry air takes water faster than the inside can give it."),
    right("Air that is too warm", "Warm air takes water fast, and it lets germs grow."),
    right("Fans far too fast for dry, warm air", "Fast air takes the water off as soon as it comes."),
    right("A thin tail end at the fan, turned up high", "The end at the fan dries first and hardest."),
    wrong("Damp air", "Damp air leaves the fish wet. It makes no crust."),
    wrong("A room of 3 °C with gentle, damp air", "Cold, damp air dries slowly. The inside keeps up."),
    wrong("Fish that lie in a pile", "Fish in a pile stay wet where they touch. That is another fault."),
    wrong("Fans that stand still", "Still air dries too little. It makes no crust."),
)


@exercise("What makes a crust?", criteria=["PEL-K02"], prepares_for=["PEL-P04"])
def what_makes_a_crust(draw: Draw) -> Question:
    """Pick the causes of case hardening."""
    causes = some(draw, _CAUSES, 2, 3)
    return several(
        draw,
        "A tray has case hardening: a dry crust outside, wet flesh inside. Which of these can cause it?",
        causes,
        hints=["The face dried faster than the inside could follow.", "Think: too dry, too warm, too fast."],
        worked=" ".join(f"{each.text}: yes. {each.says}" for each in causes if each.right),
    )


_HARD_AIR = tuple(
    (air_c, rh, speed) for air_c in (26.0, 28.5, 31.0) for rh in (20.0, 25.0) for speed in (4.0, 5.0)
)
_GENTLE_AIR = tuple(
    (air_c, rh, speed) for air_c in (3.0, 4.0, 5.0) for rh in (70.0, 80.0) for speed in (0.5, 1.5)
)
_WARM_DAMP = tuple((air_c, rh, 1.0) for air_c in (18.5, 20.5, 23.5, 24.0, 27.0) for rh in (85.0, 90.0))
CRUST_H = 14.0


@exercise(
    "Which air makes a crust?",
    criteria=["PEL-K02", "WDS-K04"],
    prepares_for=["PEL-P03", "PEL-P05"],
    model=True,
    version=3,
)
def which_air_hardens(draw: Draw) -> Question:
    """One of four simulated rooms gives a crust: which?"""
    fish, mm = draw.pick(FARMED), draw.pick([22.0, 26.0])
    hard = draw.pick(_HARD_AIR)
    gentle, warm = draw.pick(_GENTLE_AIR), draw.sample(_WARM_DAMP, 2)
    crust = dried(fish, mm, *hard, CRUST_H)

    def told(air: tuple[float, float, float]) -> str:
        return f"{air[0]:g} °C, {air[1]:g} % humidity, {air[2]:.1f} m/s"

    return one(
        draw,
        f"Which room gives it a crust, with the inside still wet? A {mm:g} mm fillet of "
        f"{fish.split(',')[0]} hangs for {CRUST_H:g} h.",
        [
            right(told(hard)),
            wrong(
                told(gentle),
                f"This room takes {dried(fish, mm, *gentle, CRUST_H).loss_pct:.1f} %. The inside can "
                "follow, so no crust forms.",
                name="gentle",
            ),
            *(
                wrong(
                    told(each),
                    "The air is damp, so no crust forms. But it is far too warm, and germs grow.",
                    name=f"warm and damp {place}",
                )
                for place, each in enumerate(warm, start=1)
            ),
        ],
        hints=["Look for dry, warm and fast at once.", "Damp air never makes a crust."],
        worked=f"{told(hard)}: the face is down to {crust.surface_activity[-1]:.2f}, the inside is at "
        f"{crust.inside_activity[-1]:.2f}. On this scale 1.00 is pure water. A crust has formed. And the "
        "fish was far too warm.",
    )


_CRUST_STEPS = (
    "Somebody turns the heat and the fans right up",
    "The air takes water off the face very fast",
    "The inside cannot send water out so fast",
    "The face dries to a crust",
    "The crust holds the water in",
    "The fish looks done, but it is wet inside",
    "A cut shows it: hard outside, wet in the middle",
)


@exercise("How a crust forms", criteria=["PEL-K02"], prepares_for=["PEL-P04"], version=3)
def how_a_crust_forms(draw: Draw) -> Question:
    """Put five of seven steps to case hardening in order."""
    crust = _CRUST_STEPS[3]
    left_out = draw.sample([each for each in _CRUST_STEPS if each != crust], 2)
    steps = [each for each in _CRUST_STEPS if each not in left_out]
    turned = [
        Turned(crust, _CRUST_STEPS[1], "There is no crust before the air has taken the water."),
        Turned(_CRUST_STEPS[4], crust, "A crust must be there before it can hold water in."),
        Turned(_CRUST_STEPS[5], crust, "It looks done because the crust has formed."),
        Turned(_CRUST_STEPS[6], crust, "A cut shows what has happened. First it must happen."),
    ]
    return order(
        draw,
        "A tray got a dry crust with wet flesh inside. Put in order how that came about.",
        steps,
        [each for each in turned if each.early in steps and each.late in steps],
        hints=["Start with the air.", "End with what fools you, and what shows it."],
        worked=". Then: ".join(steps) + ".",
    )


@exercise("Tell the new commis", criteria=["PEL-K02"], prepares_for=["PEL-P04"], marked_by="tutor")
def explain_a_crust(draw: Draw) -> Question:
    """Explain why hurry makes a crust, in the learner's own words."""
    wish = draw.pick(
        ["wants to put a heater in the drying room", "wants to set the dryer and the fans to their highest"]
    )
    return explain(
        f"The fish is still wet, and smoke should start in 2 h. A new commis {wish}. Tell them in 4 or 5 "
        "sentences why not. What would happen to the face? What to the inside? What do you do instead?",
        [
            "The face dries faster than water comes from the inside: a crust.",
            "The crust holds water in, and the fish looks ready too early.",
            "Warm air also starts the clock for germs.",
            "Instead: cold air, humidity checked at the fish, steady fans, more time, and tell Chef.",
        ],
    )
