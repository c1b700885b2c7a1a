"""Tasks by the kitchen's own rules: sound under every profile, and following every tighter house limit."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kit import exercises, rules
from kit.basics.errors import BadData
from kit.exercises.engine import bank_walk, registry
from kit.exercises.engine.kitchen_rules import (
    hardest_row,
    judged,
    limit_of,
    limit_words,
    numbered,
    set_apart,
    source_of,
    together,
)
from kit.exercises.lesson_06 import own as lesson_06_own
from kit.exercises.lesson_06 import own_cook
from kit.exercises.lesson_08 import batch_limits, batch_run
from kit.files.joined_kitchen import join
from kit.files.kitchen_file import KeyHolder, make_kitchen, write_kitchen
from kit.files.signing import make_key, unseal_key
from kit.marking import mark
from kit.marking.draw import Draw
from kit.marking.model import Number, Question
from kit.marking.variant_check import sound
from kit.practice import people, start
from kit.rules import FROM_MEMORY, PACKS, PROFILES, Profile, Rule, judge_rule
from kit.views import Lesson
from kit.views.workbook.lesson import head_of

IDS = tuple(name for name in exercises.ids() if name.startswith("own-"))
KITCHENS = {name: bank_walk.kitchen(name) for name in PROFILES}
UNDER = [*(rules.load(name) for name in PROFILES), *KITCHENS.values()]


def name_of(profile: Profile) -> str:
    return f"{profile.id}{', tighter' if profile.house else ''}"


under_all = pytest.mark.parametrize("profile", UNDER, ids=name_of)
SEEDS = range(20)
OWN_COOK: dict[str, Any] = {
    "id": "house-cook",
    "title": "Our cook",
    "step": "cook",
    "form": "hold",
    "quantity": "core_temp_c",
    "unit": "°C",
    "minimum": 68.0,
    "minutes": 5.0,
    "says": "The core stays at 68 °C or more for 5 min.",
    "example": {
        "passes": {"core_temp_c": 69.0, "hold_min": 5},
        "fails": {"core_temp_c": 66.0, "hold_min": 5},
    },
}


def every(profile: Profile) -> Iterator[Rule]:
    for point in ("cook", "chill", "store", "life"):
        yield from profile.answering(point)


def read_by_all(question: Question) -> str:
    """Return what stands on the page before anybody answers."""
    kind = question.kind
    groups = [getattr(kind, name, ()) for name in ("options", "left", "right", "reasons")]
    return "\n".join([question.text, *(option.text for group in groups for option in group)])


def in_words(question: Question) -> Any:
    """Return the right answer without the letters that a shuffle gave."""
    kind, answer = question.kind, question.answer
    named = {
        option.key: option.text
        for name in ("options", "left", "right", "reasons")
        for option in getattr(kind, name, ())
    }
    if isinstance(answer, dict):
        return {named.get(left, left): named.get(right, right) for left, right in answer.items()}
    return sorted(named[key] for key in answer) if isinstance(answer, list) else named.get(answer, answer)


@pytest.fixture
def kitchen_at_work(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Profile:
    """Join a kitchen with tighter limits under Ireland's rules; Ana works in it."""
    monkeypatch.setenv("SMOKEHOUSE_HOME", str(tmp_path / "home"))
    sealed, _ = make_key("smoke over alder", cost=2**14)
    kitchen = make_kitchen(
        "Pier Kitchen",
        profile="ie",
        keys=[KeyHolder("tutor", "Mara Quill", sealed.public)],
        signer=unseal_key(sealed, "smoke over alder"),
        tighter=bank_walk.tighter("ie"),
    )
    write_kitchen(tmp_path / "pier.toml", kitchen)
    join(tmp_path / "pier.toml")
    monkeypatch.setenv("SMOKEHOUSE_PERSON", people.create("Ana").id)
    return kitchen.rules()


def test_there_are_at_least_eight_of_several_kinds():
    assert len(IDS) >= 8
    kinds = {exercises.question(name, 1).kind_name for name in IDS}
    assert {"number", "one", "several", "match", "recommend"} <= kinds
    assert {exercises.info(name).lesson for name in IDS} >= {5, 6, 7}


@under_all
@pytest.mark.parametrize("name", IDS)
def test_every_variant_is_sound_and_tells_its_rule(name: str, profile: Profile):
    for seed in SEEDS:
        question = exercises.question(name, seed, profile)
        assert sound(question) == []
        assert not list(bank_walk.faults_of(question))
        assert mark(question, question.answer).score == question.of
        if isinstance(question.kind, Number):
            assert len(question.slips) >= 2
        said = read_by_all(question)
        told = [rule for rule in every(profile) if limit_of(rule) in said]
        assert told, "the limit is not on the page"
        assert any(source_of(rule, profile) in question.text for rule in told)


@pytest.mark.parametrize("name", IDS)
def test_the_same_seed_asks_other_things_under_other_rules(name: str):
    texts = {profile.id: exercises.question(name, 3, profile).text for profile in UNDER[: len(PROFILES)]}
    assert len(set(texts.values())) == len(PROFILES)


@pytest.mark.parametrize("name", IDS)
def test_a_tighter_house_limit_is_told_as_such(name: str):
    house = KITCHENS["ie"]
    for seed in SEEDS:
        said = read_by_all(exercises.question(name, seed, house))
        assert "house limit" in said, said


@pytest.mark.parametrize("name", [each for each in IDS if each not in ("own-cook-log", "own-cook-batch")])
@pytest.mark.parametrize("profile", ["ie", "uk", "us-retail", "us-processor"])
def test_a_tighter_house_limit_changes_a_truth(name: str, profile: str):
    def answers(under: Profile) -> list[Any]:
        return [in_words(exercises.question(name, seed, under)) for seed in range(40)]

    rule_in_words = (profile, name) in {
        ("us-processor", "own-last-day"),  # no days to tighten
        ("us-retail", "own-rule-counts"),  # no limit for fish that is kept
    }
    assert (answers(rules.load(profile)) != answers(KITCHENS[profile])) != rule_in_words


def test_a_rule_for_a_plate_never_lets_a_kept_batch_go_on():
    for seed in range(60):
        question = exercises.question("own-cook-batch", seed, "us-retail")
        assert in_words(question)["decision"] != "go on"
        assert "63 °C" not in question.text and "the plan" in question.text
        assert in_words(exercises.question("own-cook-log", seed, "us-retail")) == own_cook.READS["words"]


def test_one_record_meets_the_profile_and_misses_the_tighter_house_limit():
    time = tuple(float(minute) for minute in range(0, 60, 2))
    core = tuple(min(20.0 + 2 * minute, 76.0) for minute in time)
    assert own_cook.reading("met", time, core, rules.load("ie")) == "met"
    assert own_cook.reading("met", time, core, KITCHENS["ie"]) != "met"
    held = tuple(64.5 if 10 <= minute <= 44 else 50.0 for minute in time)
    assert own_cook.reading("met", time, held, rules.load("us-processor")) == "met"
    assert own_cook.reading("met", time, held, KITCHENS["us-processor"]) == "not met"


@under_all
def test_a_batch_not_proven_never_goes_on(profile: Profile):
    held = 0
    for seed in SEEDS:
        question = exercises.question("own-cook-batch", seed, profile)
        if question.answer["decision"] != "go on":
            held += 1
            assert mark(question, {**question.answer, "decision": "go on"}).score == 0
    assert held >= 5


@under_all
def test_the_minutes_or_degrees_missing_are_just_enough_for_the_judge(profile: Profile):
    told = [rule for point in ("cook", "store") for rule in numbered(profile.answering(point))]
    for seed in SEEDS:
        question = exercises.question("own-cook-missing", seed, profile)
        rule = next(rule for rule in told if limit_of(rule) in question.text)
        if question.kind.unit == "min":
            core = float(re.search(r"core was at ([\d.]+) °C", question.text)[1])  # type: ignore[index]
            begun, now = (
                60 * int(at[:2]) + int(at[3:])
                for at in re.search(r"From (\S+) until .* It is (\S+)\. How", question.text).groups()  # type: ignore[union-attr]
            )
            enough = {"core_temp_c": core, "hold_min": now - begun + question.answer}
            short = {**enough, "hold_min": enough["hold_min"] - 1.0}
        else:
            shown = re.search(r"reads (−?[\d.]+) °C", question.text)[1].replace("−", "-")  # type: ignore[index]
            sign = -1 if rule.form == "value" else 1
            name = rule.quantity if sign < 0 else "core_temp_c"
            enough = {name: round(float(shown) + sign * question.answer, 2), "hold_min": rule.minutes or 0.0}
            short = {**enough, name: round(enough[name] - sign * 0.1, 2)}
        assert judge_rule(enough, rule).outcome == "met", question.text
        assert judge_rule(short, rule).outcome != "met", question.text


@under_all
def test_the_warmest_reading_of_the_store_is_the_warmest_that_the_judge_accepts(profile: Profile):
    rule = numbered(profile.answering("store"))[0]
    for seed in SEEDS:
        question = exercises.question("own-store-reading", seed, profile)
        error_c = float(re.search(r"stated error is ([\d.]+) °C", question.text)[1])  # type: ignore[index]
        sure = {rule.quantity: question.answer - 1e-9}  # a hair below: the last bit of a sum does not count
        assert judge_rule(sure, rule, probe_error_c=error_c).outcome == "met"
        above = {rule.quantity: question.answer + 0.1}
        assert judge_rule(above, rule, probe_error_c=error_c).outcome != "met"
        assert mark(question, question.answer + 0.1).score == 0


@under_all
def test_the_last_day_never_lies_beyond_the_rule_or_the_plan(profile: Profile):
    for seed in SEEDS:
        question = exercises.question("own-last-day", seed, profile)
        packed = re.search(r"This fish is (packed in \w+)\.", question.text)[1]  # type: ignore[index]
        own = judged(profile.answering("life", pack={PACKS[pack]: pack for pack in PACKS}[packed]))
        made = int(re.search(r"the (\d+)(?:st|nd|rd|th)\. Count", question.text)[1])  # type: ignore[index]
        plan = int(re.search(r"plan gives it (\d+) days", question.text)[1])  # type: ignore[index]
        days = question.answer - made + 1
        assert days <= plan and question.answer <= 28
        fits = together([judge_rule({"shelf_life_days": days}, rule) for rule in own])
        longer = together([judge_rule({"shelf_life_days": days + 1.0}, rule) for rule in own])
        assert fits == ("met" if numbered(own) else "cannot tell")
        assert days == plan or longer == "not met"
        assert mark(question, question.answer + 1).score == 0


@under_all
def test_the_deadline_is_the_last_minute_of_the_window(profile: Profile):
    for seed in SEEDS:
        question = exercises.question("own-cold-by", seed, profile)
        right = next(o.text for o in question.kind.options if o.key == question.answer)
        rule = next(rule for rule in judged(profile.answering("chill")) if limit_of(rule) in question.text)
        if not rule.has_number:
            assert right.startswith("No time stands in the rule")
            continue
        words = {"door": "left the heat", "chiller": "went into the chiller", "temperature": "fell through"}
        start = re.search(rf"At (\d\d):(\d\d) the \w+ {words[rule.clock]}", question.text)
        assert start is not None
        took = 60 * int(right[:2]) + int(right[3:]) - 60 * int(start[1]) - int(start[2])
        values = {rule.id: float(took), "chill_start_min": float(took)}
        assert judge_rule(values, rule).outcome == "met"
        assert judge_rule({name: value + 1 for name, value in values.items()}, rule).outcome == "not met"


@pytest.mark.slow
@settings(deadline=None, max_examples=60)
@given(seed=st.integers(0, 2**40), at=st.integers(0, len(UNDER) - 1))
def test_a_chill_log_is_judged_as_it_was_drawn(seed: int, at: int):
    windows = numbered(UNDER[at].answering("chill"))
    for case, outcome in (("good", "met"), ("late", "not met"), ("gap", "cannot tell")):
        if windows:
            log = lesson_06_own.chill_log(Draw(seed), windows, case)
            assert lesson_06_own.chill_outcome(log, windows) == outcome, (UNDER[at].id, case, log)


@pytest.mark.slow
@settings(deadline=None, max_examples=40)
@given(
    core_c=st.decimals(75, 85, places=1).map(float),
    chill_min=st.integers(45, 150),
    store_c=st.decimals(1, 3, places=1).map(float),
    life_days=st.integers(1, 5),
    seed=st.integers(0, 2**40),
)
def test_any_tighter_kitchen_draws_sound_questions(
    core_c: float, chill_min: int, store_c: float, life_days: int, seed: int
):
    changes = [
        {"rule": "ie-cook-75", "minimum": core_c},
        {"rule": "ie-chill-150", "minutes": chill_min},
        {"rule": "ie-store-3", "maximum": store_c},
        {"rule": "ie-life-5", "maximum": life_days},
    ]
    kitchen = rules.on_top("ie", changes, where="a kitchen")
    for name in IDS:
        question = exercises.question(name, seed, kitchen)
        assert sound(question) == []
        assert mark(question, question.answer).verdict == "right"
    reading = exercises.question("own-store-reading", seed, kitchen)
    assert reading.answer < store_c
    assert exercises.question("own-last-day", seed, kitchen).slips[0].value > 0


def test_a_limit_from_memory_says_so_wherever_it_is_asked():
    asked = 0
    for profile in UNDER:
        unsure = [rule for rule in every(profile) if not rule.seen]
        for name in IDS:
            question = exercises.question(name, 5, profile)
            said = read_by_all(question)
            for rule in unsure:
                if rule.has_number and f"{limit_words(rule)} (" in said:
                    asked += 1
                    assert FROM_MEMORY in said
    assert asked >= 5


def test_where_the_rule_has_no_number_the_answer_is_to_ask():
    for seed in SEEDS:
        log = in_words(exercises.question("own-cook-log", seed, "codex"))
        assert log == own_cook.READS["words"]
        assert in_words(exercises.question("own-cook-batch", seed, "codex"))["decision"] == "hold"
        assert "ask the competent person" in in_words(exercises.question("own-rule-counts", seed, "codex"))
        assert in_words(exercises.question("own-chill-logs", seed, "codex")) == [
            "None of these logs proves it"
        ]


@pytest.mark.slow
def test_a_rule_of_the_kitchens_own_gives_a_number_where_the_profile_has_none():
    kitchen = replace(rules.on_top("codex", [], [OWN_COOK], where="a kitchen"), house="Harbour Lane")
    assert [rule.id for rule in judged(kitchen.answering("cook"))] == ["house-cook"]
    assert hardest_row(judged(kitchen.answering("cook"))).words == "68 °C or more for 5 min"
    reads = {in_words(exercises.question("own-cook-log", seed, kitchen)) for seed in range(40)}
    assert own_cook.READS["met"] in reads and own_cook.READS["words"] not in reads
    both = rules.on_top("us-processor", [], [OWN_COOK], where="a kitchen")
    assert len(both.answering("cook")) == 2
    for name in IDS:
        for seed in range(10):
            assert sound(exercises.question(name, seed, kitchen)) == []
            assert sound(exercises.question(name, seed, both)) == []


PLAYED = [profile for profile in UNDER if not batch_limits.lacking(profile)]


@pytest.mark.parametrize(
    "profile", PLAYED, ids=lambda profile: f"{profile.id}{', tighter' if profile.house else ''}"
)
def test_the_whole_batch_is_judged_by_the_same_rules(profile: Profile):
    game = batch_limits.limits(profile)
    assert (*game.cook, *game.chill, *game.store) == tuple(
        rule for point in ("cook", "chill", "store") for rule in profile.answering(point)
    )
    for pack, life in game.life.items():
        assert life == numbered(profile.answering("life", pack=pack))
    assert any(rule.tightened for rule in (*game.cook, *game.chill, *game.store)) == bool(profile.house)
    for seed in range(8):
        card = batch_run.draw_batch(seed, profile).meant
        assert card.core_target_c > game.row.temp_c
        assert card.hold_min > game.row.minutes
        assert card.chill_target_c < min(rule.maximum or 99.0 for rule in game.chill)
        assert card.store_c < game.store_c


def test_the_whole_batch_is_played_wherever_cook_chill_and_store_have_a_number():
    assert {profile.id for profile in PLAYED} >= {"ie", "uk", "us-processor"}
    with pytest.raises(BadData, match="Codex Alimentarius: cannot tell: no number for cook, chill, store"):
        batch_limits.limits(rules.load("codex"))


@pytest.mark.slow
def test_lesson_8_plays_under_the_rules_in_force(kitchen_at_work: Profile):
    batch = Lesson(8).batch(3)
    assert batch.shown["profile"] == kitchen_at_work.title


@pytest.mark.slow
def test_lesson_8_plays_under_the_usual_rules_where_those_in_force_have_no_number(
    kitchen_at_work: Profile, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
):
    monkeypatch.setenv("SMOKEHOUSE_HOME", str(tmp_path / "elsewhere"))
    monkeypatch.setenv("SMOKEHOUSE_PERSON", people.create("Bo", profile="codex").id)
    foreign = "They are not your own (Codex Alimentarius), which give no number for cook, chill, store"
    assert Lesson(8).batch(3).shown["profile"] == f"Ireland. {foreign}"
    assert Lesson(8).batch(3, profile="uk").shown["profile"] == f"United Kingdom. {foreign}"
    with pytest.raises(BadData, match="cannot tell: no number for cook, chill, store"):
        Lesson(8).batch(3, profile="codex")


def test_both_the_profiles_rule_and_the_kitchens_own_are_met_in_the_whole_batch():
    own = {**OWN_COOK, "minimum": 71.0, "minutes": 3.0}
    game = batch_limits.limits(rules.on_top("us-processor", [], [own], where="a kitchen"))
    assert [rule.id for rule in game.cook] == ["us-processor-cook-hold", "house-cook"]
    assert game.row.words == "71 °C or more for 30 min"


def test_the_walk_goes_through_every_profile_and_a_tighter_kitchen():
    drawn = list(bank_walk.drawn_under(IDS[0], 20))
    assert {profile.id for _, profile in drawn} == set(PROFILES)
    assert {profile.id for _, profile in drawn if any(rule.tightened for rule in profile)} == set(PROFILES)
    assert len(drawn) == 20 * (len(PROFILES) + 1)
    assert len(list(bank_walk.drawn_under("twice-as-thick", 20))) == 20


@pytest.mark.slow
def test_the_page_names_the_same_rules_at_the_top_and_in_the_task(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setenv("SMOKEHOUSE_HOME", str(tmp_path / "home"))
    sealed, _ = make_key("smoke over alder", cost=2**14)
    tutor = KeyHolder("tutor", "Mara Quill", sealed.public)
    kitchen = make_kitchen(
        "Quay Kitchen",
        profile="uk",
        keys=[tutor],
        signer=unseal_key(sealed, "smoke over alder"),
        tighter=bank_walk.tighter("uk"),
    )
    write_kitchen(tmp_path / "quay.toml", kitchen)
    ana = people.create("Ana")
    for joined, title in ((False, "Ireland"), (True, "Quay Kitchen: United Kingdom, with house limits")):
        if joined:
            join(tmp_path / "quay.toml")
        work = start(ana.id)
        assert head_of(work)["rules"] == f"Rules in force: {title}"
        for name in IDS:
            text = work.current(name).question.text
            assert f"Your kitchen works under: {title}." in text, name
            assert text.count("Your kitchen works under: ") == 1


OWN = (
    "own-rule-counts",
    "own-cold-by",
    "own-chill-logs",
    "own-store-reading",
    "own-last-day",
    "own-cook-log",
    "own-cook-batch",
    "own-cook-missing",
    "own-first-step",
    "own-readings-today",
)


@pytest.mark.parametrize("name", OWN)
@pytest.mark.parametrize("profile", ["ie", "uk", "us-retail", "us-processor", "codex"])
def test_a_page_asks_first_and_keeps_the_rule_whole_in_a_box(name, profile):
    for seed in range(4):
        question = exercises.question(name, seed, profile)
        asked, rule = set_apart(question.text, question.profile)
        assert rule.startswith("Your kitchen works under") and rule.endswith(".") and "Source: " in rule
        assert "Your kitchen works under" not in asked and "Source: " not in asked
        assert sorted(f"{asked} {rule}".split()) == sorted(question.text.split())
        limit = 60 if name != "own-rule-counts" else 100  # the card from elsewhere is part of that question
        assert len(asked.split()) <= limit


@pytest.mark.parametrize("name", [name for name in exercises.ids() if registry.takes_profile(name)])
def test_what_a_question_goes_by_stands_in_its_box_and_the_question_is_short(name):
    for seed, profile in enumerate(PROFILES * 2):
        question = exercises.question(name, seed, profile)
        asked, rule = set_apart(question.text, question.profile)
        for lead in ("The text: ", "The texts: ", "The card is your own", "The card is tighter", "Source: "):
            assert lead not in asked, asked
        assert sorted(f"{asked} {rule}".split()) == sorted(question.text.split())
        if "The text: " in rule or "The texts: " in rule:
            assert len(asked.split()) <= 60, asked


def test_a_list_keeps_its_lines_where_a_text_is_taken_out():
    question = exercises.question("which-life-wins", 1, "us-retail")
    asked, rule = set_apart(question.text, question.profile)
    assert asked.count("\n- ") == 4 and rule.startswith("The text: ")
    assert set_apart(question.text, None)[1] == rule  # no profile is needed to find it
