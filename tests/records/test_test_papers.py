"""Test papers: what is drawn, what a result is worth, and every way to have one that was not earned."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from types import SimpleNamespace

import pytest
from sqlalchemy import insert, select

from kit import rules
from kit.basics.errors import BadData, OutOfRange, UnknownName
from kit.exercises.catalogue import Catalogue
from kit.files.paper_plan import PaperPlan, plan_of, plan_text, plan_words, read_plan
from kit.records.competence import papers, sitting
from kit.records.competence.assess import assess
from kit.records.competence.observations import Observation, observe
from kit.records.competence.papers import OtherVersion
from kit.records.competence.readings import Contradicted
from kit.records.competence.sitting import SatPaper, TooLate
from kit.records.ledger import acts
from kit.records.ledger.acts import NotAllowed
from kit.records.people.replay import replayed
from kit.records.storage import schema
from kit.records.upkeep.whole_check import check_all

PLAN = PaperPlan(1, {"COK-K01": 1, "CHL-K02": 1}, 20)
IE = rules.load("ie")


@pytest.fixture
def room(kitchen):
    """The kitchen with the kit's own bank, and a way to draw and answer."""
    tutor = replace(kitchen.tutor, catalogue=Catalogue())

    def drawn(plan=PLAN, **more):
        return papers.draw(tutor, plan, [kitchen.apprentice], profile=IE, **more)[0]

    def sat(paper, answers=None, **more):
        right = {n: q.answer for n, q in enumerate(asked(paper), start=1)}
        day = kitchen.clock.now.astimezone().date()
        facts = {"used_min": 15, "declared": True, **more}
        return SatPaper(paper.id, day, answers=right if answers is None else answers, **facts)

    def asked(paper):
        return papers.questions_of(paper, tutor.catalogue, IE)

    return SimpleNamespace(kitchen=kitchen, tutor=tutor, drawn=drawn, sat=sat, asked=asked)


def stands(room, criterion):
    day = room.kitchen.clock.now.astimezone().date()
    with room.kitchen.records.reading() as connection:
        return assess(connection, room.tutor.catalogue, room.kitchen.apprentice, criterion, day)


@pytest.mark.slow
def test_a_signed_result_is_evidence_for_what_it_covers_and_the_records_are_whole(room):
    paper = room.drawn()
    assert [task.criterion for task in paper.tasks] == ["COK-K01", "CHL-K02"] and paper.fresh == 2
    assert stands(room, "COK-K01").points == ()
    _, seen = sitting.look(room.tutor, room.sat(paper), IE)
    assert seen.passed and seen.share_pct == 100 and seen.lost_safety == ()
    made = sitting.sign(room.tutor, room.sat(paper), IE)
    assert [act.facts["method"] for act in made] == ["supervised sitting"] * 2  # one a step
    assert stands(room, "COK-K01").points == (made[0].number,)
    checked = check_all(room.kitchen.records, room.tutor.catalogue)
    assert checked.problems == ()
    with room.kitchen.records.reading() as connection:
        chain = list(acts.read(connection))
        words = connection.scalars(select(schema.words.c.text)).all()
    assert replayed(chain) is not None
    assert any(text.startswith('{"1":') for text in words)  # the answers, where they can be erased
    assert all("1" not in (act.facts.get("sat") or {}) for act in chain)


def test_one_wrong_safety_task_fails_the_paper_whatever_the_points(room):
    plan = PaperPlan(1, {"COK-K01": 1, "CHL-K02": 1, "CUR-K03": 2, "PEL-K01": 2}, 40, 50.0)
    paper = room.drawn(plan)
    critical = next(
        task for task in paper.tasks if room.tutor.catalogue.criteria[task.criterion].safety_critical
    )
    right = {n: q.answer for n, q in enumerate(room.asked(paper), start=1)}
    _, result = sitting.look(room.tutor, room.sat(paper, {**right, critical.place: None}), IE)
    assert result.share_pct >= plan.cut_pct and not result.passed
    assert critical.place in result.lost_safety and critical.place in result.unanswered
    assert result.points[critical.criterion] == "not met"
    assert "met" not in result.points.values()


def test_a_paper_below_the_cut_shows_nothing(room):
    paper = room.drawn()
    _, result = sitting.look(room.tutor, room.sat(paper, {}), IE)
    assert (result.score, result.passed) == (0, False) and set(result.points.values()) == {"not met"}
    sitting.sign(room.tutor, room.sat(paper, {}), IE)
    assert stands(room, "COK-K01").points == ()


def test_it_is_sat_once(room):
    paper = room.drawn()
    sitting.sign(room.tutor, room.sat(paper, {}), IE)
    with pytest.raises(NotAllowed, match="it is sat once"):
        sitting.sign(room.tutor, room.sat(paper), IE)


def test_two_who_sign_at_one_moment_leave_one_result(room, monkeypatch):
    paper = room.drawn()
    monkeypatch.setattr(sitting, "result_act", lambda *_: None)  # as if neither had seen the other's
    sitting.sign(room.tutor, room.sat(paper, {}), IE)
    with pytest.raises(NotAllowed, match="it is sat once"):
        sitting.sign(room.tutor, room.sat(paper), IE)


def test_answers_after_the_time_need_a_reason_that_is_printed(room):
    paper = room.drawn(extra_min={room.kitchen.apprentice: 5})
    sitting.look(room.tutor, room.sat(paper, used_min=25), IE)
    with pytest.raises(TooLate, match="took 26 min; 25 min were agreed"):
        sitting.look(room.tutor, room.sat(paper, used_min=26), IE)
    act = sitting.sign(
        room.tutor, room.sat(paper, used_min=26, despite="The fire alarm rang for two minutes."), IE
    )[0]
    assert [one["rule"] for one in act.facts["against"]] == ["late answers"]


def test_another_persons_paper_and_one_that_was_never_drawn(room):
    paper = room.drawn()
    with pytest.raises(NotAllowed, match="somebody else"):
        sitting.look(room.tutor, room.sat(paper, person="p-other"), IE)
    with pytest.raises(UnknownName):
        sitting.look(room.tutor, replace(room.sat(paper), paper="tp-0000000000"), IE)
    forged = Observation(
        room.kitchen.apprentice,
        "cook",
        room.kitchen.clock.now.date(),
        {"COK-K01": "met"},
        method="supervised sitting",
        declared=True,
        sat={"paper_id": "tp-0000000000", "drawn": paper.act, "used_min": 1, "allowed_min": 9},
    )
    with pytest.raises(BadData, match="no such paper"):
        observe(room.tutor, forged)


def test_a_sitting_without_a_paper_needs_a_reason(room):
    day = room.kitchen.clock.now.astimezone().date()
    by_hand = Observation(
        room.kitchen.apprentice,
        "cook",
        day,
        {"COK-K01": "met"},
        method="supervised sitting",
        declared=True,
    )
    with pytest.raises(Contradicted, match="no test paper"):
        observe(room.tutor, by_hand)
    act = observe(room.tutor, replace(by_hand, despite="The printer was broken; asked from the card."))
    assert act.facts["against"][0]["rule"] == "no paper"


def test_a_paper_of_another_version_is_named_and_not_marked(room):
    paper = room.drawn()
    with pytest.raises(OtherVersion, match="drawn under ie"):
        papers.questions_of(paper, room.tutor.catalogue, rules.load("us-processor"))
    changed = replace(paper, tasks=(replace(paper.tasks[0], fingerprint="0" * 16), *paper.tasks[1:]))
    with pytest.raises(OtherVersion, match="task 1 asks something else"):
        papers.questions_of(changed, room.tutor.catalogue, IE)


def test_nobody_draws_for_themself_and_no_manager_or_stranger_draws(room):
    manager = replace(room.kitchen.manager, catalogue=room.tutor.catalogue)
    with pytest.raises(NotAllowed):
        papers.draw(manager, PLAN, [room.kitchen.apprentice], profile=IE)
    with pytest.raises(NotAllowed):
        papers.draw(room.tutor, PLAN, [room.tutor.person], profile=IE)
    with pytest.raises(OutOfRange):
        room.drawn(extra_min={room.kitchen.apprentice: 99})


def test_how_hard_a_paper_is_stands_on_record_with_its_rule(room):
    assert room.drawn().difficulty is None  # nothing was measured
    facility = dict.fromkeys(room.tutor.catalogue.ids(), 0.75)
    paper = room.drawn(facility=facility)
    with room.kitchen.records.reading() as connection:
        again = papers.paper_of(connection, paper.id)
    assert again.difficulty == paper.difficulty
    assert (again.difficulty.expected, again.difficulty.measured) == (1.5, 2)
    assert again.difficulty.rule == "measured-facility/1"
    assert check_all(room.kitchen.records, room.tutor.catalogue).problems == ()


@pytest.mark.slow
def test_what_was_practised_is_not_asked(room):
    """All but three of the contents that 600 seeds draw were practised: none of those is drawn."""
    catalogue, exercise = room.tutor.catalogue, "own-last-day"
    contents: dict[str, int] = {}
    for seed in range(1, 600):
        question = catalogue.question(exercise, seed, IE)
        contents.setdefault(catalogue.content_print(question), seed)
    spared = set(list(contents)[:3])
    practised = [seed for content, seed in contents.items() if content not in spared]
    with room.kitchen.records.writing() as connection:
        _practise(connection, room.kitchen.apprentice, exercise, practised)
    with room.kitchen.records.reading() as connection:
        known = papers._met_before(connection, room.tutor, room.kitchen.apprentice, {exercise}, IE)
    assert known[exercise] == set(contents) - spared
    fresh = papers._Fresh(catalogue, IE, known)
    tasks = [fresh.task(place, "COK-K01", exercise) for place in (1, 2)]
    drawn = {catalogue.content_print(catalogue.question(exercise, task.seed, IE)) for task in tasks}
    assert len(drawn) == 2 and not drawn & known[exercise]
    assert [task.practised for task in tasks] == [False, False]


def _practise(connection, person, exercise, seeds) -> None:
    """Write lines of an answer book, as taking in does."""
    now = datetime(2026, 3, 2, tzinfo=UTC)
    who = connection.scalar(select(schema.people.c.key).where(schema.people.c.person_id == person))
    about = insert(schema.exercises).values(exercise_id=exercise)
    taken = insert(schema.takings).values(
        person=who, taken_at=now, kit_version="x", file_name="x", first_position=0, entries=1
    )
    key, taking = (connection.execute(each).inserted_primary_key[0] for each in (about, taken))
    for place, seed in enumerate(seeds):
        row = {"position": place, "hash": f"{place:064x}", "what": "attempt", "seed": seed}
        connection.execute(insert(schema.entries).values(person=who, taking=taking, exercise=key, **row))


def test_another_paper_only_after_a_fail_and_a_night(room):
    paper = room.drawn()
    with pytest.raises(NotAllowed, match="not marked yet"):
        papers.resit(room.tutor, paper.id, profile=IE)
    sitting.sign(room.tutor, room.sat(paper, {}), IE)
    with pytest.raises(NotAllowed, match="first practise again"):
        papers.resit(room.tutor, paper.id, profile=IE)
    room.kitchen.clock.now += timedelta(days=1)
    again = papers.resit(room.tutor, paper.id, profile=IE)
    assert again.resit_of == paper.id
    prints = [
        {room.tutor.catalogue.content_print(each) for each in room.asked(one)} for one in (paper, again)
    ]
    assert not prints[0] & prints[1]
    sitting.sign(room.tutor, room.sat(again), IE)
    with pytest.raises(NotAllowed, match="was passed"):
        papers.resit(room.tutor, again.id, profile=IE)
    with room.kitchen.records.reading() as connection:
        listed = [(one.id, act is not None) for one, act in papers.papers(connection)]
    assert listed == [(paper.id, True), (again.id, True)]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ('schema_version = 1\nminutes = 20\n[tasks]\n"COK-P01" = 1', "seen at work"),
        ('schema_version = 1\nminutes = 20\n[tasks]\n"NO-K01" = 1', "no criterion"),
        ('schema_version = 1\nminutes = 20\n[tasks]\n"COK-K01" = 99', "asks for 99 tasks"),
        ('schema_version = 1\nminutes = 2\n[tasks]\n"COK-K01" = 1', "minutes"),
        ('schema_version = 1\nminutes = 20\ncut_pct = 0.8\n[tasks]\n"COK-K01" = 1', "cut_pct"),
        ("schema_version = 2\nminutes = 20\n[tasks]\nx = 1", "schema_version is 2|no criterion"),
        ("minutes = ", "TOML"),
    ],
)
def test_a_plan_that_cannot_be_drawn_says_why(tmp_path, text, told):
    file = tmp_path / "plan.toml"
    file.write_text(text)
    with pytest.raises((BadData, OutOfRange), match=told):
        read_plan(file, Catalogue())


def test_a_plan_comes_back_as_it_was_written(tmp_path):
    plan = plan_of(Catalogue(), ["cook", "chill"], cut_pct=85)
    file = tmp_path / "plan.toml"
    file.write_text(plan_text(plan), encoding="utf-8")
    assert read_plan(file, Catalogue()) == plan
    words = " ".join(plan_words(plan, Catalogue()))
    assert f"{plan.count} tasks" in words and "safety-critical" in words
    with pytest.raises(UnknownName):
        plan_of(Catalogue(), ["bake"])
