"""The bench's wiring: what reaches the page and when. Where the bones are never does before a call."""

from __future__ import annotations

import json
from typing import Any

import pytest

from kit.exercises.lesson_01 import bench as bench_01
from kit.practice import Session
from kit.practice.bench_runs import FILE, aim_of, read_runs
from kit.views.pictures.register import draw_picture
from kit.views.workbook.bench import Bench, agreement_words, report_facts


class Heard(Bench):
    """A bench that keeps what it sends."""

    def __init__(self, seed: int = 7, work: Session | None = None) -> None:
        self.sent: list[dict[str, Any]] = []
        super().__init__(seed, work)

    def send(self, content: Any, buffers: Any = None) -> None:
        self.sent.append(content)

    def do(self, what: str, **more: Any) -> dict[str, Any]:
        self._hear(self, {"do": what, "serial": 1, **more}, [])
        return dict(self.shown)


def call(bench: Heard) -> dict[str, Any]:
    """Call the fillet on the bench rightly, from what only the kernel knows."""
    fillet = bench._here()
    marks = [list(fillet.on_board(each)) for each in fillet.bones]
    return bench.do("decide", marks=marks, pull=bool(marks))


def whole_run(bench: Heard) -> dict[str, Any]:
    page = dict(bench.shown)
    while page["phase"] == "feel":
        page = call(bench)
    return page


def test_it_opens_with_a_choice_and_no_fillet():
    assert dict(Heard().shown) == {"phase": "ready", "weeks": "", "aim": ""}


def test_two_openings_have_fish_of_their_own_and_a_seed_fixes_them():
    assert Bench()._seed != Bench()._seed
    assert Heard(3).do("run") == Heard(3).do("run")


def test_a_touch_gets_one_number_and_leaves_the_page_alone():
    bench = Heard()
    before = bench.do("run")
    bench.do("feel", touch=4, at=[0.4, 0.47])
    (reply,) = bench.sent
    assert set(reply) == {"reply", "touch", "bump"} and reply["touch"] == 4
    assert 0 <= reply["bump"] <= 1
    assert dict(bench.shown) == before


@pytest.mark.parametrize("at", [None, "x", [2, 0], [float("nan"), 0.1]])
def test_a_touch_off_the_board_feels_nothing(at: Any):
    bench = Heard()
    bench.do("run")
    bench.do("feel", touch=1, at=at)
    assert bench.sent == [{"reply": "felt", "touch": 1, "bump": 0.0}]


def test_the_page_is_the_same_wherever_the_bones_are():
    bench = Heard(5_550_123_456)
    bench.do("run")
    for _ in range(10):
        page, fillet = dict(bench.shown), bench._here()
        bare = bench_01.BenchFillet(fillet.fish, fillet.length_mm, fillet.head_left, (), (), 0)
        assert page["picture"]["svg"] == draw_picture("bench-fillet", {"fillet": bare}).figure
        assert page["words"] == bare.words() == page["picture"]["text"]
        assert set(page) == {"phase", "look", "place", "of", "words", "picture", "serial"}
        assert str(fillet.seed) not in json.dumps(page) and str(bench._seed) not in json.dumps(page)
        call(bench)
    assert set(bench.keys) >= {"shown"} and "_fillets" not in bench.keys


def test_one_fillet_to_try_is_shown_with_its_bones_at_once():
    bench = Heard(2)
    assert bench.do("try")["of"] == 1
    page = call(bench)
    assert page["phase"] == "tried" and len(page["gallery"]) == 1
    number = len(bench._fillets[0].bones)
    assert page["gallery"][0]["title"].endswith(f"Bones found: {number} of {number}")
    assert "Bones you missed: none" in page["gallery"][0]["picture"]["text"]


def test_a_run_gives_counts_first_and_the_bones_only_when_asked():
    bench = Heard()
    bench.do("run")
    page = whole_run(bench)
    assert page["phase"] == "counts" and page["can_again"] and "gallery" not in page
    assert len(page["reports"]) == 1 and not page["agree"]
    page = bench.do("show")
    assert page["phase"] == "shown" and len(page["gallery"]) == 10
    clean = sum("There was no bone" in each["title"] for each in page["gallery"])
    assert clean == sum(not each.bones for each in bench._fillets)
    shown = sum(each["picture"]["svg"].count("<circle") for each in page["gallery"])
    assert shown == sum(len(each.bones) for each in bench._fillets)


def test_a_second_look_is_blind_and_gives_agreement():
    bench = Heard()
    first = bench.do("run")
    order = [first["words"]]
    while bench.shown["phase"] == "feel":
        call(bench)
        order.append(bench.shown.get("words", ""))
    page = bench.do("again")
    assert page["look"] == 2 and page["place"] == 1
    assert page["words"] != order[0]
    page = whole_run(bench)
    assert [each["title"] for each in page["reports"]] == ["Your first look", "Your second look, blind"]
    assert page["agree"].startswith("Your two looks agree on 10 of 10 fillets. Kappa = 1.0")
    assert not page["can_again"]


def test_no_second_look_once_the_bones_were_shown():
    bench = Heard()
    bench.do("run")
    whole_run(bench)
    bench.do("show")
    page = bench.do("again")
    assert page["phase"] == "shown" and "second look" in page["error"]


def pass_all(bench: Heard) -> dict[str, Any]:
    page = bench.do("run")
    while page["phase"] == "feel":
        page = bench.do("decide", marks=[], pull=False)
    return page


def test_a_run_is_kept_and_the_next_ten_are_aimed_at_what_was_missed(work: Session):
    bench = Heard(7, work)
    page = pass_all(bench)
    missed = sum(len(each.bones) for each in bench._fillets)
    assert page["plain"] == f"You missed {missed} of {missed} bones. Go slower."
    assert page["weeks"] == f"Bones missed, week by week: {missed} of {missed}."
    assert "those you missed most" in page["aim"]
    (kept,) = read_runs(work.person.folder)
    aim = aim_of((kept,), kept.day)
    assert aim and sum(kept.missed.values()) == missed
    bench.do("again")
    while bench.shown["phase"] == "feel":
        call(bench)
    assert len(read_runs(work.person.folder)) == 1  # the second look is no run of its own
    bench.do("show")
    bench.do("run")
    aimed = [bench_01.kind_of(each, bone) for each in bench._fillets[::2] for bone in each.bones]
    assert aimed.count(aim) > len(aimed) / 2
    assert Heard(8, work).shown["aim"] == page["aim"]


def test_nobodys_run_is_not_kept_and_a_damaged_list_does_not_stop_the_bench(work: Session):
    page = pass_all(Heard(7))
    assert page["plain"].startswith("You missed") and page["weeks"] == page["aim"] == ""
    (work.person.folder / FILE).write_text('{"schema": 9, "runs": []}')
    bench = Heard(7, work)
    assert bench.shown["phase"] == "ready" and bench.do("run")["phase"] == "feel"


@pytest.mark.parametrize(
    ("before", "what", "more"),
    [
        ([], "decide", {"marks": [], "pull": False}),
        (["run"], "show", {}),
        (["run"], "again", {}),
        (["run"], "decide", {"marks": [], "pull": True}),
        (["run"], "decide", {"marks": "everywhere", "pull": True}),
    ],
)
def test_a_step_out_of_turn_is_said_and_changes_nothing(before: list[str], what: str, more: dict[str, Any]):
    bench = Heard()
    for each in before:
        bench.do(each)
    was = dict(bench.shown)
    page = bench.do(what, **more)
    assert page["error"] and page["phase"] == was["phase"] and page.get("place") == was.get("place")


def test_the_report_reads_as_it_was_counted():
    bony = bench_01.BenchFillet("Sea trout", 300, True, (bench_01.Spot(80, 0, 0.8),), (), 1)
    clean = bench_01.BenchFillet("Sea trout", 300, True, (), (), 2)
    passed = bench_01.FilletInspection((), False)
    facts = report_facts(bench_01.report([bony, bony, clean, clean], [passed] * 4))
    assert facts[0] == "Hits: you pulled 0 of 2 fillets with a bone. True rate: probably 0 to 84 %."
    assert "d′ = 0.0" in facts[-1] and "You lean to pass." in facts[-1]


def test_agreement_says_when_kappa_says_nothing():
    assert "kappa says nothing" in agreement_words(bench_01.Agreement(10, 10, None))


def test_the_sample_explorer_draws_at_both_ends():
    from kit.views.pictures.register import explorer_named

    spec = explorer_named("lot-and-sample")
    for lot in (200, 3000):
        for bony in (0, 30):
            drawing = spec.draw({"lot": lot, "bony_pct": bony})
            assert f"Plan for {lot} fillets" in drawing.facts[0] and drawing.facts[1] in drawing.text
    assert "passes 100 times in 100" in spec.draw({"lot": 400, "bony_pct": 0}).facts[1]
