"""The register, the redraw, the fingerprint and the memory, on small exercises made up here."""

import subprocess
import sys
from dataclasses import replace
from types import SimpleNamespace

import pytest

from kit import exercises
from kit.basics.errors import BadData, OutOfRange, UnknownName
from kit.exercises import exercise, fingerprint, question, simulated
from kit.exercises.engine import registry
from kit.marking import build
from kit.marking.authored import right, wrong
from kit.marking.draw import Draw, sub_seed
from kit.marking.model import Picture, Slip
from kit.rules import PROFILES, load

HALF = Slip("half", 10.0, "Twice that.")


@pytest.fixture(autouse=True)
def own_bank(monkeypatch):
    """A register of this test's own, with nothing to load."""
    monkeypatch.setattr(registry, "_ENTRIES", {})
    monkeypatch.setattr(registry, "_load", lambda lesson: None)


def doubled(draw):
    grams = draw.step(10, 90, 1)
    slip = Slip("not doubled", float(grams), "Double it.")
    return build.number(f"Twice {grams} g?", 2.0 * grams, "g", rel_tol=0.01, slips=[slip])


def register(author=doubled, id="twice", **changes):
    facts = {"lesson": 5, "criteria": ["COK-K01"], "prepares_for": ["COK-P02"], "title": "Twice", **changes}
    return exercise(id=id, **facts)(author)


def test_a_question_carries_what_the_register_knows():
    register(version=3)
    drawn = question("twice", 7)
    assert (drawn.exercise, drawn.version, drawn.seed, drawn.profile.id) == ("twice", 3, 7, "ie")
    assert (drawn.criteria, drawn.prepares_for) == (("COK-K01",), ("COK-P02",))
    assert exercises.info("twice").title == "Twice"


def test_the_same_seed_draws_the_same_question():
    register()
    assert question("twice", 7) == question("twice", 7)
    assert len({question("twice", seed).text for seed in range(50)}) > 20


def test_an_author_may_take_the_profile():
    register(lambda draw, rules: build.number(f"{rules.id}?", 20.0, "g", slips=[HALF]))
    assert {question("twice", 1, profile).text for profile in PROFILES} == {f"{each}?" for each in PROFILES}
    assert question("twice", 1, SimpleNamespace(id="house")).profile.id == "house"
    with pytest.raises(UnknownName, match="profile"):
        question("twice", 1, "no such")


def test_ids_are_listed_by_lesson_and_by_who_marks():
    register(id="b-five")
    register(id="a-two", lesson=2)
    register(lambda draw: build.explain("Why?", ["because"]), id="why", marked_by="tutor")
    assert exercises.ids() == ("a-two", "b-five")
    assert exercises.ids(5) == ("b-five",)
    assert exercises.explain_ids() == ("why",)
    assert exercises.explain_ids(2) == ()
    assert question("why", 1).of == 0


@pytest.mark.parametrize(
    ("changes", "problem"),
    [
        ({"id": "Not Good"}, "badly formed"),
        ({"id": "double--hyphen"}, "badly formed"),
        ({"criteria": []}, "evidence for nothing"),
        ({"criteria": ["COK-P02"]}, "knowledge criteria only"),
        ({"prepares_for": ["COK-K01"]}, "performance criteria only"),
    ],
)
def test_a_badly_registered_exercise_is_refused(changes, problem):
    with pytest.raises(BadData, match=problem):
        register(**changes)


@pytest.mark.parametrize("version", [0, -1, 1.5, True])
def test_a_version_is_a_whole_number_from_one(version):
    with pytest.raises(OutOfRange, match="version"):
        register(version=version)


def test_the_id_is_the_functions_name_and_the_lesson_its_packages():
    def twice_the_salt(draw):
        return doubled(draw)

    twice_the_salt.__module__ = "kit.exercises.lesson_07.cure"
    register(twice_the_salt, id="", lesson=None)
    assert exercises.info("twice-the-salt").lesson == 7
    twice_the_salt.__module__ = "elsewhere"
    with pytest.raises(BadData, match="in no lesson"):
        register(twice_the_salt, id="", lesson=None)


def test_a_criterion_must_exist():
    with pytest.raises(UnknownName, match="COK-K99"):
        register(criteria=["COK-K99"])


def test_an_id_is_taken_once_but_a_module_may_load_again():
    register()
    register()
    with pytest.raises(BadData, match="taken"):
        register(lambda draw: None)


def test_an_unknown_exercise_is_named():
    register()
    with pytest.raises(UnknownName, match="Did you mean 'twice'"):
        question("twise", 1)


@pytest.mark.parametrize(
    ("author", "marked_by"),
    [(lambda draw: build.explain("Why?", []), "kit"), (doubled, "tutor")],
)
def test_who_marks_must_fit_the_kind(author, marked_by):
    register(author, marked_by=marked_by)
    with pytest.raises(BadData, match="marked by"):
        question("twice", 1)


def sometimes_bad(draw):
    number = draw.whole(1, 6)
    return build.number(f"Face {number}: ?", 20.0 if number > 1 else 10.0, "g", slips=[HALF])


def test_an_unsound_variant_is_drawn_again_from_the_next_seed():
    register(sometimes_bad)
    bad = [seed for seed in range(60) if "Face 1:" in sometimes_bad(Draw(seed)).text]
    assert bad
    for seed in range(60):
        drawn = question("twice", seed)
        assert "Face 1:" not in drawn.text
        assert drawn.seed == seed
        turns = (sometimes_bad(Draw(sub_seed(seed, turn))).text for turn in range(60))
        assert drawn.text == next(text for text in turns if "Face 1:" not in text)


def test_an_exercise_that_is_never_sound_is_called_broken():
    register(lambda draw: build.number("?", 10.0, "g", slips=[HALF]))
    with pytest.raises(BadData, match=r"no sound variant in 60 draws: slip 'half' is marked as right"):
        question("twice", 1)


# --- fingerprint


def test_a_fingerprint_is_short_and_stable():
    register()
    drawn = question("twice", 7)
    assert fingerprint(drawn) == fingerprint(question("twice", 7))
    assert len(fingerprint(drawn)) == 16
    assert int(fingerprint(drawn), 16) >= 0
    # regression: a change here puts every stored attempt aside for the tutor
    assert fingerprint(drawn) == "6c757c37ff5b6505"


@pytest.mark.parametrize(
    "changes",
    [
        {"text": "Other?"},
        {"answer": 1.0},
        {"of": 2.0},
        {"profile": load("uk")},
        {"exercise": "other"},
        {"facts": {"x": 1}},
        {"picture": Picture("p", {"x": [1.0]}, "t")},
        {"reads_chart": True},
    ],
)
def test_what_counts_changes_the_fingerprint(changes):
    register()
    drawn = question("twice", 7)
    assert fingerprint(replace(drawn, **changes)) != fingerprint(drawn)


def test_a_tolerance_and_an_option_change_the_fingerprint():
    register()
    drawn = question("twice", 7)
    assert fingerprint(replace(drawn, kind=replace(drawn.kind, rel_tol=0.02))) != fingerprint(drawn)
    choice = build.one(Draw(1), "?", [right("A"), wrong("B", "No.")])
    asked = replace(drawn, kind=choice.kind, answer=choice.answer)
    other = build.one(Draw(1), "?", [right("A"), wrong("C", "No.")])
    assert fingerprint(replace(asked, kind=other.kind)) != fingerprint(asked)


@pytest.mark.parametrize(
    "changes", [{"slips": ()}, {"hints": ("h",)}, {"worked": "w"}, {"seed": 8}, {"criteria": ()}]
)
def test_better_words_leave_the_fingerprint(changes):
    register()
    drawn = question("twice", 7)
    assert fingerprint(replace(drawn, **changes)) == fingerprint(drawn)


def test_the_last_digits_of_a_solver_leave_the_fingerprint():
    register()
    drawn = question("twice", 7)
    assert fingerprint(replace(drawn, answer=62.812345)) == fingerprint(replace(drawn, answer=62.8123456))
    exact = replace(drawn, kind=replace(drawn.kind, rel_tol=0.0))
    assert fingerprint(replace(exact, answer=62.812345)) != fingerprint(replace(exact, answer=62.8123456))


# --- memory


def test_a_simulated_truth_is_worked_out_once():
    calls = []

    @simulated
    def truth(thickness_mm, *, rules, air_c=70):
        calls.append(thickness_mm)
        return thickness_mm * air_c

    tight = SimpleNamespace(fingerprint="a")
    same = SimpleNamespace(fingerprint="a")
    edited = SimpleNamespace(fingerprint="b")
    assert truth(20, rules=tight) == truth(20, rules=same) == 1400
    assert calls == [20]
    truth(20, rules=edited)
    truth(20, rules=tight, air_c=80)
    assert calls == [20, 20, 20]
    truth.cache_clear()
    truth(20, rules=tight)
    assert len(calls) == 4


def test_a_new_version_of_the_code_is_another_key(monkeypatch):
    import kit

    calls = []
    truth = simulated(lambda value: calls.append(value))
    truth(1)
    monkeypatch.setattr(kit, "__version__", "other")
    truth(1)
    assert calls == [1, 1]


def test_importing_the_bank_loads_no_lesson_and_nothing_heavy():
    code = (
        "import sys, kit.exercises, kit.marking; "
        "heavy = ('pint', 'scipy', 'matplotlib', 'pandas', 'sqlalchemy'); "
        "print([name for name in sys.modules if name in heavy or 'lesson_' in name])"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "[]"


@pytest.mark.slow
def test_the_whole_bank_loads_without_the_parts_that_take_longer_than_a_page():
    """The desk and each lesson load every exercise before they show anything."""
    code = (
        "import sys; from kit.exercises.catalogue import Catalogue; Catalogue().basis; "
        "heavy = ('scipy.stats', 'scipy.optimize', 'scipy.integrate', 'matplotlib', 'pandas'); "
        "print([name for name in sys.modules if name in heavy])"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "[]"
