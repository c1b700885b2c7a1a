"""The whole batch's wiring: each stage shows its own evidence and nothing ahead; marks come at the end."""

from __future__ import annotations

import json
from datetime import timedelta
from typing import Any

import pytest

from kit.exercises.lesson_08.batch import MOST_SEED, seed_of_day, seed_with_fault
from kit.exercises.lesson_08.batch_run import draw_batch
from kit.exercises.lesson_08.batch_story import FINDINGS, STAGES
from kit.practice import Session
from kit.practice.batch_log import FILE, read_log
from kit.practice.guesses import read_guesses
from kit.process.faults import FAULTS
from kit.views.workbook.batch import BatchTask
from kit.views.workbook.lesson import Lesson

CARD = {"order_kg": 10, "speed_m_s": 2, "wood_name": "alder", "chiller": "blast", "lab": "sent"}
READY = {"phase": "ready", "profile": "Ireland", "most": MOST_SEED, "runs": [], "back": ""}
PLAN = {"salt_pct": 3, "yield_pct": 80, "pellicle_h": 2, "chill_min": 90}
MARKS = ("points", "called_for", "account", "verdicts", "bands", "marks", "unsafe")


class Heard(BatchTask):
    """A batch that takes messages as a page sends them."""

    def do(self, what: str, **more: Any) -> dict[str, Any]:
        self._hear(self, {"do": what, "serial": 1, **more}, [])
        return dict(self.shown)

    def begin(self, seed: Any) -> dict[str, Any]:
        """Begin a batch and write down a plan."""
        self.do("begin", seed=seed)
        return self.do("plan", settings=PLAN)


def by_card(page: dict[str, Any], seed: int) -> dict[str, Any]:
    batch = draw_batch(seed)
    return {
        dial["key"]: CARD.get(
            dial["key"],
            getattr(batch if dial["key"] in ("life_days", "pack") else batch.meant, dial["key"], 0),
        )
        for dial in page["dials"]
    }


def with_fault(name: str) -> int:
    return next(seed for seed in range(4000) if draw_batch(seed).wrong == (name,))


def play(batch: Heard, seed: int) -> list[dict[str, Any]]:
    """Carry on through a batch by its card and return every page, the last with the marks."""
    pages = [batch.do("begin", seed=seed), batch.do("plan", settings=PLAN)]
    while pages[-1]["phase"] != "end":
        page = pages[-1]
        assert "error" not in page, page
        if page["phase"] == "set":
            pages.append(batch.do("set", settings=by_card(page, seed)))
        elif page["phase"] == "decide":
            pages.append(batch.do("decide", decision="carry on", reason="fine"))
        else:
            pages.append(batch.do("recommend", decision="go on", reason="fine"))
    return pages


def test_it_opens_ready_with_its_number_and_no_batch():
    page = dict(Heard(19).shown)
    assert page == {**READY, "seed": 19}
    assert len({Heard().shown["seed"] for _ in range(8)}) > 1


@pytest.mark.slow
def test_a_lesson_lays_it_out():
    made = Lesson(8).batch(5)
    assert isinstance(made, BatchTask) and made.shown["seed"] == 5


@pytest.mark.slow
@pytest.mark.parametrize("name", ["fans off", "warm store", "resinous wood"])
def test_before_the_end_the_page_holds_no_mark_and_no_name_of_what_went_wrong(name: str):
    seed = with_fault(name)
    batch = Heard()
    *before, last = play(batch, seed)
    for page in before:
        text = json.dumps(page, ensure_ascii=False).lower()
        for fault in FAULTS.values():
            assert fault.name not in text and fault.title.lower() not in text
        for each in FINDINGS.values():
            assert each.why.lower() not in text
        assert not set(MARKS) & set(page)
    assert FAULTS[name].title[1:] in " ".join(last["account"])
    assert set(batch.keys) >= {"shown"} and "_play" not in batch.keys


@pytest.mark.slow
def test_the_pages_are_those_of_any_other_batch_until_something_shows():
    """A fault that strikes later leaves every earlier page as it is without it."""
    from dataclasses import replace

    from kit.exercises.lesson_08 import batch as game
    from kit.exercises.lesson_08.batch_plan import plan
    from kit.views.workbook.batch import page_of

    faulty = game.start(with_fault("warm store"))
    sound = replace(faulty, batch=replace(faulty.batch, wrong=()))
    assert page_of(faulty) == page_of(sound)
    faulty, sound = (plan(each, PLAN) for each in (faulty, sound))
    while faulty.stage.key != "pack":
        assert page_of(faulty) == page_of(sound)
        if faulty.phase == "set":
            settings = by_card(page_of(faulty), faulty.batch.seed)
            faulty, sound = game.set_dials(faulty, settings), game.set_dials(sound, settings)
        else:
            faulty, sound = (game.decide(each, "carry on", "fine") for each in (faulty, sound))


@pytest.mark.slow
def test_every_stage_shows_card_evidence_and_record_and_asks():
    pages = play(Heard(), 19)
    decided = [page for page in pages if page["phase"] == "decide"]
    assert [page["title"] for page in decided] == [each.title for each in STAGES]
    for page in decided:
        assert page["card"] and len(page["evidence"]) >= 3
        assert (page["picture"] is None) == (page["title"] == STAGES[0].title)
        if page["picture"]:
            assert page["picture"]["svg"].startswith("<svg") and page["picture"]["text"]
        assert [each["key"] for each in page["decisions"]] == ["carry on", "correct", "hold", "reject"]
        assert len(page["remedies"]) >= 3 and len(page["reasons"]) >= 3
    assert pages[-2]["phase"] == "recommend"


@pytest.mark.slow
def test_the_end_says_plainly_that_a_limit_passed_costs_everything():
    end = play(Heard(), with_fault("warm store"))[-1]
    assert end["points"] == "0" and end["unsafe"].startswith("0 points for the whole batch.")
    assert "Pack and store" in end["unsafe"]
    assert end["verdicts"][0]["source"].startswith("Guidance Note 15")
    assert end["verdicts"][-1]["source"] == "the card of the house"
    assert [each["outcome"] for each in end["verdicts"]] == ["met", "met", "not met", "met", "met"]
    assert any(each["unsafe"] for each in end["marks"])


@pytest.mark.slow
def test_the_same_number_and_the_same_deeds_give_the_same_pages():
    batch = Heard()
    assert play(batch, 7) == play(batch, 7)
    assert batch.do("new")["phase"] == "plan"


@pytest.mark.parametrize("seed", ["", "x", "-3", "1.5", str(MOST_SEED + 1), True, None, "٣"])
def test_a_number_that_is_none_is_said_and_changes_nothing(seed: Any):
    batch = Heard(4)
    page = batch.do("begin", seed=seed)
    assert page["phase"] == "ready" and "Number of the batch" in page["error"]


@pytest.mark.parametrize(
    ("what", "more"),
    [
        ("decide", {"decision": "carry on", "reason": "fine"}),
        ("recommend", {"decision": "go on", "reason": "fine"}),
        ("set", {"settings": {"order_kg": 99}}),
        ("set", {"settings": "much"}),
        ("set", {}),
    ],
)
def test_a_step_out_of_turn_or_out_of_range_is_said_and_leaves_the_batch(what: str, more: dict[str, Any]):
    batch = Heard()
    before = batch.begin(3)
    page = batch.do(what, **more)
    assert page.pop("error") and page == before


def test_an_unknown_message_is_not_answered():
    batch = Heard(3)
    assert batch.do("release") == {**READY, "seed": 3}


def test_a_remedy_shows_new_evidence_and_what_was_done():
    seed = with_fault("missed bones")
    batch = Heard()
    batch.begin(seed)
    before = batch.do("set", settings={"order_kg": 10})
    after = batch.do("decide", decision="correct", reason="bones", remedy="feel again")
    assert after["phase"] == "decide" and after["tried"] == 1
    assert after["evidence"] != before["evidence"] and "Feel every fillet again" in after["news"][0]
    assert after["sheet"][0]["decided"].startswith("Feel every fillet again")


@pytest.mark.slow
def test_a_batch_that_chef_stops_says_where_and_shows_the_label_as_it_is_written():
    seed = with_fault("resinous wood")
    batch = Heard()
    page = batch.begin(seed)
    while page["title"] != "Smoke" or page["phase"] == "set":
        if page["phase"] == "set":
            page = batch.do("set", settings=by_card(page, seed))
        else:
            page = batch.do("decide", decision="carry on", reason="fine")
    assert page["evidence"][0].startswith("Label of what lies in the tray: spruce.")
    end = batch.do("decide", decision="hold", reason="refused wood")
    assert [each["state"] for each in end["steps"]] == ["done"] * 3 + ["stopped here"] + ["not reached"] * 3
    assert end["points"] == end["of_points"] == "8" and not end["verdicts"] and not end["bands"]
    assert batch.do("decide", decision="carry on", reason="fine")["error"]


def to_the_end(batch: Heard, seed: int) -> dict[str, Any]:
    """Set everything by the card and carry on; recommend at the end."""
    page = dict(batch.shown)
    while page["phase"] not in ("end", "ready"):
        if page["phase"] == "set":
            page = batch.do("set", settings=by_card(page, seed))
        elif page["phase"] == "decide":
            page = batch.do("decide", decision="carry on", reason="fine")
        else:
            page = batch.do("recommend", decision="hold", reason="missed")
        assert "error" not in page
    return page


@pytest.mark.slow
def test_a_batch_goes_on_where_it_was_after_the_page_or_its_engine_went(work: Session):
    seed = with_fault("fans off")
    first = Heard(work=work)
    first.begin(str(seed))
    first.do("set", settings=by_card(dict(first.shown), seed))
    page = first.do("decide", decision="carry on", reason="fine")
    again = Heard(work=work)
    told = {**again.shown, "serial": 1}
    assert told == page and told["title"] == "Cure"
    end = to_the_end(again, seed)
    assert Heard(work=work).shown["points"] == end["points"]  # the end too stays until another is begun
    assert Heard(work=work).begin(str(seed))["title"] == "Order and intake"
    assert Heard(seed, work=work).shown["phase"] == "ready"  # a number that the lesson fixes begins anew


@pytest.mark.slow
def test_every_run_gets_a_line_of_its_own_that_can_be_compared(work: Session):
    batch = Heard(work=work)
    for seed in (with_fault("fans off"), 3):
        batch.begin(str(seed))
        end = to_the_end(batch, seed)
    assert len(end["runs"]) == 2 and "number 3: " in end["runs"][0] and "% of the points" in end["runs"][1]
    (first, second) = read_log(work.person.folder).runs
    assert 0 <= first.share_pct <= 25 and first.unread == ("fans off",)
    assert first.day == work.book.clock().date() and second.seed == 3


@pytest.mark.slow
def test_what_was_not_read_last_time_comes_back(work: Session):
    batch = Heard(work=work)
    batch.begin(str(with_fault("fans off")))
    end = to_the_end(batch, with_fault("fans off"))
    assert end["back"]
    for _ in range(3):
        assert "fans off" in draw_batch(batch.do("new")["seed"]).wrong
    assert seed_with_fault(("fans off",), (1, 2)) == 2 or "fans off" in draw_batch(1).wrong


def test_todays_batch_is_the_same_for_a_kitchen_and_another_tomorrow(work: Session):
    day = work.book.clock().date()
    assert Heard(work=work).do("today")["seed"] == seed_of_day(day) == Heard(5, work=work).do("today")["seed"]
    assert seed_of_day(day) != seed_of_day(day + timedelta(days=1))
    assert seed_of_day(day, "one kitchen") != seed_of_day(day, "another")
    assert 1 <= seed_of_day(day) <= MOST_SEED


@pytest.mark.parametrize(
    "data",
    [
        b"{",
        b'{"schema": 1, "seed": 7, "profile_fingerprint": "x", "steps": [{"do": "fly"}], "runs": []}',
        b'{"schema": 9, "seed": 7}',
        b'{"schema": 1, "seed": -7, "steps": [{}]}',
    ],
)
def test_a_log_that_is_damaged_odd_or_newer_does_not_stop_the_game(data: bytes, work: Session):
    (work.person.folder / FILE).write_bytes(data)
    batch = Heard(work=work)
    assert batch.shown["phase"] == "ready"
    page = batch.do("begin", seed="7")
    assert page["phase"] == "plan"
    assert ("not_kept" in page) == (b'"schema": 9' in data)


def test_nobodys_batch_leaves_no_file_and_forgets():
    batch = Heard()
    batch.do("begin", seed="7")
    assert Heard().shown["phase"] == "ready" and batch.shown["runs"] == []


@pytest.mark.slow
def test_the_plan_comes_first_gives_no_setting_and_is_closed_at_the_end(work: Session):
    seed = next(seed for seed in range(4000) if not draw_batch(seed).wrong)
    batch = Heard(work=work)
    page = batch.do("begin", seed=str(seed))
    assert page["phase"] == "plan" and len(page["dials"]) == 4 and len(page["aims"]) == 4
    assert "error" in batch.do("plan", settings={**PLAN, "salt_pct": "some"})
    page = batch.do("plan", settings=PLAN)
    assert page["title"] == "Order and intake" and "error" in batch.do("plan", settings=PLAN)
    assert Heard(work=work).shown["title"] == "Order and intake"  # the plan is kept with the steps
    end = to_the_end(batch, seed)
    told = {one["key"]: one for one in end["forecasts"]}
    assert told["salt_pct"]["said"] == "3 %" and told["pellicle_h"]["happened"].endswith(" h")
    assert all(one["off"] for one in told.values())
    kept = {one.name: one for one in read_guesses(work.person.folder)}
    assert set(kept) == {f"batch {key}" for key in told}
    assert kept["batch yield_pct"].happened == told["yield_pct"]["happened"]
    batch._hear(batch, {"do": "guess", "changed": "I forgot the drying."}, [])
    assert {one.changed for one in read_guesses(work.person.folder)} == {"I forgot the drying."}


@pytest.mark.slow
def test_the_batch_sheet_is_filled_as_the_batch_goes_and_blank_ahead():
    pages = play(Heard(), 19)
    for page in pages[1:]:
        assert [row["title"] for row in page["sheet"]] == [each.title for each in STAGES]
    first = next(page for page in pages if page["phase"] == "decide" and page["title"] == STAGES[1].title)
    assert first["sheet"][0]["read"].startswith("Delivered: 10 kg") and first["sheet"][0]["decided"]
    assert first["sheet"][1]["set"] and not first["sheet"][1]["read"]
    assert not any(row[key] for row in first["sheet"][2:] for key in ("set", "read", "decided"))
    assert all(row["read"] and row["decided"] for row in pages[-1]["sheet"])


@pytest.mark.slow
def test_a_phone_gets_a_narrow_record_and_the_end_tells_what_followed():
    wide, slim = Heard(), Heard()
    for batch in (wide, slim):
        batch.begin(19)
        batch.do("set", settings={"order_kg": 10})
        batch.do("decide", decision="carry on", reason="fine")
    settings = by_card(dict(wide.shown), 19)
    pages = wide.do("set", settings=settings), slim.do("set", settings=settings, narrow=True)
    assert pages[0]["picture"]["phone"] and "phone" not in pages[1]["picture"]
    assert pages[0]["picture"]["text"] == pages[1]["picture"]["text"]
    end = play(Heard(), 19)[-1]
    assert end["others"] and any("No model releases a batch" in line for line in end["day_5"])
    assert end["recall"] and all(mark["parts"].startswith("decision ") for mark in end["marks"])
