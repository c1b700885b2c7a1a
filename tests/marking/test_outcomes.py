"""The whole outcome of an answer, for every kind but numbers: points, word, message, slip, what was read."""

import pytest

from kit.marking import build, mark
from kit.marking.authored import Joined, Turned, option, right, some, wrong
from kit.marking.batch_runs import batch_run
from kit.marking.draw import Draw
from kit.marking.model import BatchRun, Control, Outcome, Picture, Region, Slip
from kit.marking.outcomes import scored, with_slips

SAFETY = "Not yet. This is about safety, so it scores 0."


def keys_of(options):
    return {option.text: option.key for option in options}


# --- one and several ------------------------------------------------------------------------------------


def test_one(make):
    question = make.one()
    keys = keys_of(question.kind.options)
    thick = "At half depth in the thickest part"
    assert mark(question, keys[thick]) == Outcome(1.0, 1.0, "right", "Right.", "", thick)
    assert mark(question, keys["In the tail"]) == Outcome(
        0.0, 1.0, "not yet", "Not yet. The tail is thin and heats first.", "In the tail", "In the tail"
    )


HOLD, WRITE, CALL = "Hold the batch", "Write it down", "Call the chef"
SERVE, WASH, WOOD = "Serve it", "Wash the rack", "Change the wood"
SAYS = {
    HOLD: "A batch in doubt stays.",
    WRITE: "What is not written did not happen.",
    SERVE: "Nobody serves a batch in doubt.",
    WASH: "That can wait.",
    WOOD: "Wood has no part in this.",
}
SEVERAL = [
    ([HOLD, WRITE, CALL], 1.0, "Right.", []),
    ([HOLD, CALL], 2 / 3, "Partly. 2 of 3 found.", [WRITE]),
    ([HOLD] * 3, 1 / 3, "Partly. 1 of 3 found.", [WRITE]),
    ([HOLD, WRITE, WASH], 1 / 3, "Partly. 2 of 3 found, and 1 that does not belong.", [WASH]),
    (
        [HOLD, WRITE, WASH, WOOD],
        0.0,
        "Not yet. 2 of 3 found, and 2 that do not belong.",
        [WASH, WOOD],
    ),
    ([WRITE, CALL], 0.0, SAFETY, [HOLD]),
    ([HOLD, CALL, SERVE], 0.0, SAFETY, [SERVE, WRITE]),  # the grave one is said first
]


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize(("picked", "score", "lead", "told"), SEVERAL)
def test_several(make, picked, score, lead, told, seed):
    question = make.several(seed)
    keys = keys_of(question.kind.options)
    outcome = mark(question, [keys[text] for text in picked])
    if lead != SAFETY:
        told = [text for text in keys if text in told]  # in the order on the page
    assert outcome.message == " ".join([lead, *(f"“{text}”: {SAYS[text]}" for text in told)])
    assert outcome.slip == (("" if told[0] in picked else "left out: ") + told[0] if told else "")
    read_as = "; ".join(text for text in keys if text in picked)
    assert (outcome.score, outcome.read_as) == (pytest.approx(score), read_as)


def test_all_right_ones_without_a_wrong_one_to_pick(make):
    question = make.asked(build.several(Draw(1), "All?", [right("A"), right("B"), right("C")]))
    assert mark(question, ["a"]).score == pytest.approx(1 / 3)


# --- order ----------------------------------------------------------------------------------------------

DRY = "“Smoke” before “Dry”: Smoke does not stick to a wet surface."
WARM = "“Pack” before “Chill”: A warm pack breeds germs."
ORDERS = [
    ("Cure Dry Smoke Cook Chill Pack", 1.0, "Right.", ""),
    (
        "Dry Cure Smoke Cook Chill Pack",
        13 / 15,
        "Partly. 1 pair of steps stands the wrong way round. “Cure” comes before “Dry”.",
        "",
    ),
    (
        "Cure Smoke Dry Cook Chill Pack",
        13 / 15,
        f"Partly. 1 pair of steps stands the wrong way round. {DRY}",
        "Smoke before Dry",
    ),
    (
        "Cure Cook Dry Chill Smoke Pack",
        9 / 15,
        "Partly. 3 pairs of steps stand the wrong way round. “Dry” comes before “Cook”.",
        "",
    ),
    (
        "Dry Smoke Cook Chill Pack Cure",
        5 / 15,
        "Partly. 5 pairs of steps stand the wrong way round. “Cure” comes before “Pack”.",
        "",
    ),
    ("Cure Dry Smoke Cook Pack Chill", 0.0, f"{SAFETY} {WARM}", "Pack before Chill"),
    (
        "Cure Smoke Dry Cook Pack Chill",
        0.0,
        f"{SAFETY} {WARM} {DRY}",
        "Pack before Chill",
    ),  # the grave one first
]


@pytest.mark.parametrize(("steps", "score", "message", "slip"), ORDERS)
def test_order(make, steps, score, message, slip):
    question = make.order()
    keys = keys_of(question.kind.options)
    outcome = mark(question, [keys[step] for step in steps.split()])
    assert (outcome.score, outcome.message, outcome.slip) == (pytest.approx(score), message, slip)
    assert outcome.read_as == steps.replace(" ", " → ")


# --- match ----------------------------------------------------------------------------------------------

GOOD = {"salt": "draws water", "cold": "slows germs", "cooking": "kills germs", "ice": "slows germs"}
COLD, SALT = "Cold only slows them.", "Salt brings no smoke."
MATCHES = [
    ({}, 1.0, "Right.", ""),
    (
        {"ice": "adds smoke"},
        3 / 4,
        "Partly. 3 of 4 found. “ice” does not go with “adds smoke”: that belongs to none of these lines.",
        "",
    ),
    ({"salt": "adds smoke"}, 3 / 4, f"Partly. 3 of 4 found. {SALT}", "salt: adds smoke"),
    ({"ice": None}, 3 / 4, "Partly. 3 of 4 found. “ice” is still open.", ""),
    ({"ice": ""}, 3 / 4, "Partly. 3 of 4 found. “ice” is still open.", ""),
    ({"cold": "kills germs"}, 0.0, f"{SAFETY} {COLD}", "cold kills"),
    ({"cold": "kills germs", "salt": "adds smoke"}, 0.0, f"{SAFETY} {COLD} {SALT}", "cold kills"),
    ({"cooking": None}, 0.0, f"{SAFETY} “cooking” is still open.", ""),
]


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize(("changes", "score", "message", "slip"), MATCHES)
def test_match(make, changes, score, message, slip, seed):
    question = make.match(seed)
    lefts, rights = keys_of(question.kind.left), keys_of(question.kind.right)
    joined = GOOD | changes
    outcome = mark(question, {lefts[left]: rights.get(joined[left], joined[left]) for left in joined})
    assert (outcome.score, outcome.message, outcome.slip) == (pytest.approx(score), message, slip)
    order = [option.text for option in question.kind.left]
    assert outcome.read_as == "; ".join(f"{left}: {joined[left]}" for left in order if joined[left])


def test_a_match_of_nothing_rightly_and_of_one_wrong_join_alone(make):
    parts = build.match(Draw(1), "Join.", {"A": "x", "B": "y"}, [Joined("A", "y", "Not y.")])
    question = make.asked(parts)
    lefts, rights = keys_of(parts.kind.left), keys_of(parts.kind.right)
    wrong_join = {lefts["A"]: rights["y"]}
    assert mark(question, wrong_join).message == "Not yet. 0 of 2 found. “A”: Not y."
    assert mark(question, {lefts["A"]: rights["x"]}).message == ("Partly. 1 of 2 found. “B” is still open.")
    assert mark(question, {**wrong_join, "9": rights["y"]}).verdict == "not read"
    assert mark(question, {lefts["A"]: "z"}).verdict == "not read"


# --- recommend ------------------------------------------------------------------------------------------

SHORT, PALE = "The hold was too short", "The colour is pale"
RECOMMENDED = [
    ("hold", SHORT, 1.0, "Right.", "", "Hold and report"),
    ("reject", SHORT, 1.0, "Right.", "", "Reject"),
    (
        "hold",
        PALE,
        0.5,
        "Partly. The recommendation is right, the reason is not. Colour says nothing about heat.",
        PALE,
        "Hold and report",
    ),
    ("go on", SHORT, 0.0, f"{SAFETY} A missed limit never goes on.", "decision: go on", "Fit to go on"),
    (
        "go on",
        PALE,
        0.0,
        f"{SAFETY} A missed limit never goes on. Colour says nothing about heat.",
        "decision: go on",
        "Fit to go on",
    ),
]


@pytest.mark.parametrize(("decision", "reason", "score", "message", "slip", "words"), RECOMMENDED)
def test_recommend(make, decision, reason, score, message, slip, words):
    question = make.recommend()
    answer = {"decision": decision, "reason": keys_of(question.kind.reasons)[reason]}
    outcome = mark(question, answer)
    verdict = {1.0: "right", 0.5: "partly", 0.0: "not yet"}[score]
    assert outcome == Outcome(score, 1.0, verdict, message, slip, f"{words}: {reason}")


@pytest.mark.parametrize(
    ("answer", "says"),
    [
        (
            {"decision": "wait", "reason": "a"},
            "Pick a recommendation: fit to go on, hold and report, or reject.",
        ),
        ({"reason": "a"}, "Pick a recommendation: fit to go on, hold and report, or reject."),
        ("hold", "Pick a recommendation: fit to go on, hold and report, or reject."),
        ({"decision": "hold", "reason": "z"}, "Pick the reason too."),
        ({"decision": "hold"}, "Pick the reason too."),
    ],
)
def test_half_a_recommendation_is_not_read(make, answer, says):
    assert mark(make.recommend(), answer) == Outcome(0.0, 1.0, "not read", says)


# --- places ---------------------------------------------------------------------------------------------

IN, NEAR, TAIL, NOWHERE = [0.3, 0.5], [0.35, 0.5], [0.9, 0.5], [0.6, 0.1]
PLACES = [
    ([IN, NEAR], 1.0, "Right.", "", "30% across, 50% down; 35% across, 50% down"),
    (
        [IN, TAIL],
        0.5,
        "Partly. 1 of 2 found. The tail is thin.",
        "tail",
        "30% across, 50% down; 90% across, 50% down",
    ),
    (
        [TAIL, NOWHERE],
        0.0,
        "Not yet. 0 of 2 found. The tail is thin.",
        "tail",
        "90% across, 50% down; 60% across, 10% down",
    ),
    (
        [NOWHERE],
        0.0,
        "Not yet. 0 of 2 found. Your mark at 60 % across and 10 % down is far from it. "
        "Read again which place is asked for.",
        "",
        "60% across, 10% down",
    ),
    ([IN], 0.5, "Partly. 1 of 2 found. A place is still missing.", "", "30% across, 50% down"),
    (
        [[0.2, 0.5], [0.21, 0.5]],
        0.5,
        "Partly. 1 of 2 found. A place is still missing.",
        "",
        "20% across, 50% down; 21% across, 50% down",
    ),
    ([[0.44, 0.5], [0.2, 0.5]], 1.0, "Right.", "", "44% across, 50% down; 20% across, 50% down"),
]


@pytest.mark.parametrize(("points", "score", "message", "slip", "read_as"), PLACES)
def test_places(make, points, score, message, slip, read_as):
    outcome = mark(make.places(), points)
    verdict = {1.0: "right", 0.5: "partly", 0.0: "not yet"}[score]
    assert outcome == Outcome(score, 1.0, verdict, message, slip, read_as)


PICTURE = Picture("fillet", {}, "A fillet.")


@pytest.mark.parametrize(
    ("point", "inside"),
    [
        ([0.5, 0.5], True),
        ([0.71, 0.5], True),  # 0.2 across and 0.01 of slack
        ([0.7101, 0.5], False),
        ([0.29, 0.5], True),
        ([0.5, 0.61], True),  # 0.1 down and 0.01 of slack
        ([0.5, 0.6101], False),
        ([0.5, 0.39], True),
        ([0.5 + 0.21 * 0.7, 0.5 + 0.11 * 0.7], True),  # a corner of the box is outside the ellipse
        ([0.5 + 0.21 * 0.72, 0.5 + 0.11 * 0.72], False),
        ([0.5 - 0.21 * 0.72, 0.5 + 0.11 * 0.72], False),
    ],
)
def test_a_place_is_an_ellipse_a_little_wider_than_drawn(make, point, inside):
    target = Region("thick", 0.5, 0.5, 0.2, 0.1)
    question = make.asked(build.places("Mark the core.", PICTURE, [target], slack=0.01))
    outcome = mark(question, [point])
    assert (outcome.verdict == "right") == inside
    if not inside:
        assert "is near. Go a little" in outcome.message
    assert mark(question, []).message == "Mark 1 place on the picture."


def test_a_trap_is_no_wider_than_drawn(make):
    trap = (Region("tail", 0.9, 0.5, 0.05, 0.1), "Thin.")
    question = make.asked(
        build.places("Mark it.", PICTURE, [Region("a", 0.1, 0.1, 0.05, 0.05)], [trap], slack=0.05)
    )
    assert mark(question, [[0.85, 0.5]]).slip == "tail"
    assert mark(question, [[0.84, 0.5]]).slip == ""


@pytest.mark.parametrize(
    "raw",
    [
        [[0.5]],
        [[0.5, 0.5, 0.5]],
        [0.5, 0.5],
        [[0.5, 0.5]] * 3,
        [[1.01, 0.5]],
        [[0.5, 1.01]],
        [[-0.01, 0.5]],
        [[0.5, -0.01]],
        "ab",
    ],
)
def test_a_mark_off_the_picture_is_not_read(make, raw):
    assert mark(make.places(), raw) == Outcome(0.0, 1.0, "not read", "Mark 2 places on the picture.")
    for corner in ([0, 0], [1, 1], (0.0, 1.0)):
        assert mark(make.places(), [corner]).verdict == "not yet"


def test_each_mark_counts_for_a_target_of_its_own(make):
    """Three marks, three targets, one only way to give each mark its own."""
    targets = [Region(name, x, 0.5, 0.11, 0.1) for name, x in (("a", 0.2), ("b", 0.4), ("c", 0.6))]
    question = make.asked(build.places("Mark 3.", PICTURE, targets, count=3))
    between = [[0.3, 0.5], [0.2, 0.5], [0.5, 0.5]]  # a or b; a; b or c
    assert mark(question, between).verdict == "right"
    assert mark(question, [[0.2, 0.5], [0.2, 0.5], [0.6, 0.5]]).score == pytest.approx(2 / 3)


# --- controls -------------------------------------------------------------------------------------------

CONTROLS = [
    (
        {"air_c": 80, "time_min": 40},
        2.0,
        "right",
        "Right. The core got there.",
        "",
        "cabinet air 80 °C; cook time 40 min",
    ),
    (
        {"air_c": 80, "time_min": 70},
        1.0,
        "partly",
        "Partly. The fish dried out.",
        "",
        "cabinet air 80 °C; cook time 70 min",
    ),
    (
        {"air_c": 50, "time_min": 40},
        0.0,
        "not yet",
        "Not yet. The cabinet was too cool. The core stayed low.",
        "too cool",
        "cabinet air 50 °C; cook time 40 min",
    ),
    (
        {"air_c": 82.4, "time_min": 4.9},
        2.0,
        "right",
        "Right. The core got there.",
        "",
        "cabinet air 80 °C; cook time 0 min",
    ),
    (
        {"air_c": 82.6, "time_min": 120},
        1.0,
        "partly",
        "Partly. The fish dried out.",
        "",
        "cabinet air 85 °C; cook time 120 min",
    ),
    (
        {"air_c": 100, "time_min": 0},
        2.0,
        "right",
        "Right. The core got there.",
        "",
        "cabinet air 100 °C; cook time 0 min",
    ),
]


@pytest.mark.parametrize(("settings", "score", "verdict", "message", "slip", "read_as"), CONTROLS)
def test_controls(make, settings, score, verdict, message, slip, read_as):
    assert mark(make.controls(), settings) == Outcome(score, 2.0, verdict, message, slip, read_as)


@pytest.mark.parametrize(
    ("settings", "says"),
    [
        ({"air_c": 80}, "Set cook time to a number."),
        ({"air_c": "80", "time_min": 40}, "Set cabinet air to a number."),
        ({"air_c": True, "time_min": 40}, "Set cabinet air to a number."),
        ({"air_c": float("inf"), "time_min": 40}, "Set cabinet air to a number."),
        ([80, 40], "Set cabinet air to a number."),
        ({"air_c": 49.9, "time_min": 40}, "Set cabinet air from 50 to 100 °C."),
        ({"air_c": 100.1, "time_min": 40}, "Set cabinet air from 50 to 100 °C."),
        ({"air_c": 80, "time_min": -1}, "Set cook time from 0 to 120 min."),
        ({"air_c": 80, "time_min": 40, "salt": 1}, "There is a setting here that this batch does not have."),
    ],
)
def test_a_setting_that_cannot_be_is_not_read(make, settings, says):
    assert mark(make.controls(), settings) == Outcome(0.0, 2.0, "not read", says)


@batch_run("test echo")
def echo(settings, facts):
    return BatchRun(1, 1, (repr(settings["x"]),))


@pytest.mark.parametrize(
    ("given", "used"),
    [(0.1, "0.1"), (0.27, "0.1"), (0.28, "0.45"), (0.8, "0.8"), (0.97, "0.8"), (1.0, "1.0")],
)
def test_a_setting_goes_to_the_nearest_step_and_never_leaves_the_range(make, given, used):
    heat = Control("x", "heat", "", 0.1, 1.0, 0.35, 0.1)
    question = make.asked(build.controls("Run.", [heat], "test echo", {"x": 0.1}))
    assert mark(question, {"x": given}) == Outcome(
        1.0, 1.0, "right", f"Right. {used}", "", f"heat {float(used):g}"
    )


# --- what all share -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("share", "score", "verdict"),
    [
        (1.0, 2.0, "right"),
        (1.5, 2.0, "right"),
        (0.99, 1.98, "partly"),
        (0.01, 0.02, "partly"),
        (0.0, 0.0, "not yet"),
        (-1.0, 0.0, "not yet"),
    ],
)
def test_no_score_lies_outside_0_and_full_marks(make, share, score, verdict):
    question = make.controls()  # out of 2
    outcome = scored(question, share, "So.", "slip", "read")
    assert outcome == Outcome(pytest.approx(score), 2.0, verdict, "So.", "slip", "read")
    assert scored(question, 1.0, "So.") == Outcome(2.0, 2.0, "right", "So.", "", "")


def test_a_message_speaks_of_two_slips_and_says_nothing_twice():
    slips = [Slip(name, 0, says) for name, says in (("a", "One."), ("b", "One."), ("c", "Three."))]
    assert with_slips("Not yet.", slips) == ("Not yet. One.", "a")
    assert with_slips("Not yet.", slips[1:]) == ("Not yet. One. Three.", "b")
    assert with_slips("Not yet.", [*slips[2:], Slip("d", 0, "Four."), Slip("e", 0, "Five.")]) == (
        "Not yet. Three. Four.",
        "c",
    )
    assert with_slips("Not yet.", []) == ("Not yet.", "")


def test_an_explanation_is_kept_and_never_scored(make):
    question = make.explain()
    assert mark(question, "It has farther to go.") == Outcome(
        0.0, 0.0, "kept", "Kept for your tutor to read.", "", "5 words"
    )
    assert mark(question, "x" * 20_000).verdict == "kept"
    too_long = mark(question, "x" * 20_001)
    assert too_long.verdict == "not read" and "20001 characters" in too_long.message
    for empty in ("", "  \n", None, 5):
        assert mark(question, empty).message == "Write a sentence or two in your own words."
    assert "not text" in mark(question, "a \ud800 b").message
    assert "not text" in mark(question, "a \udfff b").message
    assert mark(question, "a \ue000 b").verdict == "kept"


# --- what an author writes ------------------------------------------------------------------------------


def test_right_and_wrong_and_option_are_one():
    assert right("A", "It is.", name="a", safety=True) == option(
        "A", right=True, says="It is.", name="a", safety=True
    )
    assert wrong("B", "It is not.", name="b", safety=True) == option(
        "B", says="It is not.", name="b", safety=True
    )
    assert right("A") == option("A", right=True) and right("A").name == "A"
    assert not right("A").safety and not wrong("B", "No.").safety
    assert Turned("A", "B", "x") == Turned("A", "B", "x", False, "") and Joined("A", "B", "x").name == ""


def test_some_of_the_options_are_drawn_and_the_wrong_ones_may_never_be_picked():
    options = [right(f"r{i}") for i in range(4)] + [wrong(f"w{i}", "No.") for i in range(4)]
    for seed in range(10):
        drawn = some(Draw(seed), options, 2, 3)
        assert [each.right for each in drawn] == [True] * 2 + [False] * 3
        assert len({each.text for each in drawn}) == 5 and not any(each.safety for each in drawn)
        grave = some(Draw(seed), options, 2, 3, never=True)
        assert [each.text for each in grave] == [each.text for each in drawn]
        assert [each.safety for each in grave] == [False] * 2 + [True] * 3
