"""Drafts signed away from the records: taken in once, in order of time; whatever is wrong is named."""

from __future__ import annotations

import os
from dataclasses import replace
from datetime import timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import select

from kit.basics.errors import BadData, KitError
from kit.files.outbox import DraftTooEarly, OutboxEdited, make_outbox, read_outbox
from kit.records import open_records
from kit.records.competence import deciding
from kit.records.competence.deciding import Wish
from kit.records.competence.observations import Observation
from kit.records.evidence.kept_files import check_files
from kit.records.intake import drafts
from kit.records.intake.draft_files import folder_beside
from kit.records.ledger import acts
from kit.records.ledger.acts import NotAllowed
from kit.records.people import keys
from kit.records.storage import schema
from kit.records.upkeep.whole_check import check_all
from tests.records.conftest import START, SetClock


class Away:
    """Somebody at work away from the records, with a clock of their own."""

    def __init__(self, hand, path, days=10):
        self.hand, self.clock = hand, SetClock(START + timedelta(days=days))
        head = drafts.outbox_head(replace(hand, clock=self.clock), hand.key.public)
        self.box = make_outbox(path, head, hand.key)
        self.path = path

    def _there(self):
        self.clock.now += timedelta(minutes=5)
        outbox = read_outbox(self.path)
        return outbox, drafts.away_hand(outbox, self.clock, self.hand.catalogue)

    def see(self, person, points=None, batch="B-1", **more):
        outbox, hand = self._there()
        day = self.clock.now.date()
        what = points or {"COK-P01": "met"}
        seen = Observation(person, "cook", day, what, batch=batch, declared=True, **more)
        return drafts.draft_observation(outbox, hand, self.hand.key, seen)

    def decide(self, person, criterion="COK-P01", decision="not yet competent"):
        outbox, hand = self._there()
        wish = Wish(criterion, decision, "Seen at the bench.")
        return drafts.draft_decision(outbox, hand, self.hand.key, person, wish)


@pytest.fixture
def kitchen(records, bank, kitchen_in):
    made = kitchen_in(records)
    made.clock.on(9)
    return made


@pytest.fixture
def away(kitchen, tmp_path):
    return Away(kitchen.tutor, tmp_path / "osric.outbox")


def take(hand, *paths):
    return drafts.take_drafts_in(hand, [read_outbox(path) for path in paths])


def states(found):
    return [one.state for one in found]


def test_drafts_become_acts_once_and_in_order_of_time(kitchen, away):
    away.see(kitchen.apprentice)
    away.see(kitchen.apprentice, batch="B-2", notes="The tray by the door ran cold.")
    away.decide(kitchen.apprentice)
    kitchen.clock.on(12)
    first, again = take(kitchen.tutor, away.path), take(kitchen.tutor, away.path, away.path)
    assert states(first) == ["recorded"] * 3 and all(one.fresh for one in first)
    assert [one.act for one in again] == [one.act for one in first] == sorted(one.act for one in first)
    assert not any(one.fresh for one in again)
    with kitchen.records.reading() as connection:
        act = acts.get(connection, first[1].act)
    assert act.facts["day"] == "2026-03-12" and act.batch == "B-2"
    assert act.facts["draft"] | {"hash": ""} == {
        "outbox": away.box.head.id,
        "line": 2,
        "hash": "",
        "at": "2026-03-12T09:10:00+00:00",
    }
    assert check_all(kitchen.records, kitchen.tutor.catalogue).problems == ()


def test_the_file_is_private_and_holds_no_act(kitchen, away):
    away.see(kitchen.apprentice)
    assert away.path.stat().st_mode & 0o077 == 0
    with kitchen.records.reading() as connection:
        assert not list(acts.read(connection, kind="observed"))


def test_what_was_decided_meanwhile_waits_and_a_person_settles_it(kitchen, away):
    away.decide(kitchen.apprentice)
    kitchen.clock.on(12)
    deciding.decide(kitchen.other, kitchen.apprentice, "COK-P01", "not yet competent", "Not seen yet.")
    (found,) = take(kitchen.tutor, away.path)
    assert found.state == "waits" and "Somebody decided" in found.why
    assert "Wilma Tack" in found.stands and str(found.stands_act) in found.stands
    box = read_outbox(away.path)
    with pytest.raises(BadData, match="what stands now was not named"):
        drafts.settle_draft(kitchen.tutor, box, 1, "record", "We spoke.")
    with pytest.raises(deciding.Changed):
        drafts.settle_draft(kitchen.tutor, box, 1, "record", "We spoke.", seen_act=1)
    act = drafts.settle_draft(kitchen.tutor, box, 1, "record", "We spoke.", seen_act=found.stands_act)
    assert states(take(kitchen.tutor, away.path)) == ["recorded"] and act.facts["draft"]["line"] == 1
    with pytest.raises(BadData, match="recorded already"):
        drafts.settle_draft(kitchen.tutor, box, 1, "drop", "Too late.")
    assert check_all(kitchen.records, kitchen.tutor.catalogue).problems == ()


def test_a_dropped_draft_stays_dropped_and_the_next_on_it_goes_on_from_what_stood(kitchen, away):
    away.decide(kitchen.apprentice)
    away.decide(kitchen.apprentice)
    kitchen.clock.on(12)
    made = deciding.decide(kitchen.other, kitchen.apprentice, "COK-P01", "not yet competent", "Not yet.")
    found = take(kitchen.tutor, away.path)
    assert states(found) == ["waits", "waits"] and "draft 1 on the same criterion waits" in found[1].why
    drafts.settle_draft(kitchen.tutor, read_outbox(away.path), 1, "drop", "Wilma saw more.")
    found = take(kitchen.tutor, away.path)
    assert states(found) == ["dropped", "waits"] and found[1].stands_act == made.number
    assert check_all(kitchen.records, kitchen.tutor.catalogue).problems == ()


def test_a_second_decision_on_one_criterion_knows_the_first(kitchen, away):
    away.decide(kitchen.apprentice)
    away.decide(kitchen.apprentice)
    kitchen.clock.on(12)
    assert states(take(kitchen.tutor, away.path)) == ["recorded", "recorded"]


def test_evidence_is_looked_at_when_it_is_taken_in(kitchen, away):
    away.decide(kitchen.apprentice, decision="competent")
    kitchen.clock.on(12)
    (found,) = take(kitchen.tutor, away.path)
    assert found.state == "waits" and "Missing" in found.why
    for day in (13, 14, 15):
        kitchen.see(day)
    assert states(take(kitchen.tutor, away.path)) == ["recorded"]


@pytest.mark.slow
def test_a_draft_taken_in_late_asks_for_a_reason(kitchen, away):
    away.see(kitchen.apprentice)
    kitchen.clock.on(30)
    (found,) = take(kitchen.tutor, away.path)
    assert found.state == "waits" and "20 days after its day" in found.why
    drafts.settle_draft(kitchen.tutor, read_outbox(away.path), 1, "record", "The line was down.")
    assert states(take(kitchen.tutor, away.path)) == ["recorded"]


def test_a_draft_from_a_clock_that_ran_ahead_waits(kitchen, away):
    away.see(kitchen.apprentice)
    kitchen.clock.on(5)
    kitchen.clock.now += timedelta(days=4)
    (found,) = take(kitchen.tutor, away.path)
    assert found.state == "waits" and "has not come yet" in found.why


def test_a_clock_that_went_back_writes_nothing(kitchen, away):
    away.see(kitchen.apprentice)
    before = away.path.read_bytes()
    away.clock.now -= timedelta(days=1)
    with pytest.raises(DraftTooEarly):
        away.see(kitchen.apprentice)
    assert away.path.read_bytes() == before


def test_nobody_takes_in_the_outbox_of_another(kitchen, away):
    away.see(kitchen.apprentice)
    with pytest.raises(NotAllowed, match="outbox of Osric Vane"):
        take(kitchen.other, away.path)


def test_a_key_that_was_retired_meanwhile_records_nothing(kitchen, away):
    away.see(kitchen.apprentice)
    kitchen.clock.on(12)
    keys.retire_key(kitchen.manager, kitchen.tutor.key.key_id, "The laptop was lost.")
    (found,) = take(kitchen.tutor, away.path)
    assert found.state == "waits" and "was retired" in found.why


def test_an_outbox_signed_with_a_key_of_nobody_is_refused(kitchen, away, tmp_path):
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

    from kit.files.signing import Signer

    forged = Away(
        replace(kitchen.tutor, key=Signer(Ed25519PrivateKey.generate())), tmp_path / "forged.outbox"
    )
    forged.see(kitchen.apprentice)
    with pytest.raises(BadData, match="none of Osric Vane's on file"):
        take(kitchen.tutor, forged.path)


def test_an_outbox_of_other_records_is_refused(kitchen, away, tmp_path, bank, kitchen_in):
    other = open_records(tmp_path / "other" / "records.db")
    stranger = kitchen_in(other)
    stranger.see(1)
    theirs = Away(stranger.tutor, tmp_path / "theirs.outbox")
    theirs.see(stranger.apprentice)
    with pytest.raises(BadData, match="begun at other records"):
        drafts.look_at_drafts(kitchen.records, [read_outbox(theirs.path)])
    other.close()


def test_two_continuations_of_one_outbox_are_refused(kitchen, away, tmp_path):
    copy = tmp_path / "copy.outbox"
    copy.write_bytes(away.path.read_bytes())
    away.see(kitchen.apprentice)
    whole, away.path = away.path, copy
    away.see(kitchen.apprentice, batch="B-9")
    kitchen.clock.on(12)
    with pytest.raises(BadData, match="one continuation"):
        take(kitchen.tutor, whole, copy)
    take(kitchen.tutor, whole)
    with pytest.raises(BadData, match="made of another draft"):
        take(kitchen.tutor, copy)


@pytest.mark.slow
def test_every_edit_is_refused_and_every_cut_keeps_what_stands_before(kitchen, away):
    for batch in ("B-1", "B-2"):
        away.see(kitchen.apprentice, batch=batch)
    data = away.path.read_bytes()
    lines = data.splitlines(keepends=True)
    for place in range(0, len(data), 7):
        changed = data[place] ^ 1
        away.path.write_bytes(data[:place] + bytes([changed]) + data[place + 1 :])
        with pytest.raises(BadData):
            read_outbox(away.path)
    for parts in ((0, 2, 1), (0, 2), (1, 2), (0, 1, 1), (2,)):
        away.path.write_bytes(b"".join(lines[n] for n in parts))
        with pytest.raises(BadData):
            read_outbox(away.path)
    for end in range(len(lines[0]), len(data)):
        away.path.write_bytes(data[:end])
        cut = read_outbox(away.path)
        assert len(cut.drafts) == data[:end].count(b"\n") - 1 and cut.torn == (data[end - 1 : end] != b"\n")
    with pytest.raises(OutboxEdited):
        away.path.write_bytes(data.replace(b'"B-1"', b'"B-3"'))
        read_outbox(away.path)


def test_a_torn_outbox_takes_no_more_drafts(kitchen, away):
    away.see(kitchen.apprentice)
    away.path.write_bytes(away.path.read_bytes()[:-5])
    with pytest.raises(BadData, match="cut off"):
        away.see(kitchen.apprentice)


CRITERIA = {"tutor": ("COK-P01", "COK-K01"), "other": ("COK-K02",)}
DRAFT = st.tuples(
    st.sampled_from(("see", "see", "decide")), st.sampled_from(("met", "not met")), st.booleans()
)
PLAN = st.fixed_dictionaries({who: st.lists(DRAFT, min_size=1, max_size=4) for who in CRITERIA})
ROUND = st.tuples(
    st.sampled_from(tuple(CRITERIA)),
    st.sampled_from(("whole", "whole", "twice", "cut", "torn", "edited", "swapped")),
    st.integers(0, 400),
)


def spoilt(data, how, place):
    lines = data.splitlines(keepends=True)
    if how == "cut":
        return b"".join(lines[: 1 + place % len(lines)])
    if how == "torn":
        return data[: len(lines[0]) + place % (len(data) - len(lines[0]))]
    if how == "edited":
        place = place * 7 % len(data)
        return data[:place] + bytes([data[place] ^ 1]) + data[place + 1 :]
    return b"".join([lines[0], *reversed(lines[1:])]) if how == "swapped" else data


def state(records):
    """What the drafts made of the records, without the numbers and times that depend on the order."""
    with records.reading() as connection:
        points = connection.execute(
            select(schema.points.c["person", "criterion", "day", "outcome", "method"])
        ).all()
        decided = connection.execute(select(schema.decided.c["person", "criterion", "decision", "by"])).all()
        marks = [
            (act.facts["draft"]["outbox"], act.facts["draft"]["line"])
            for act in acts.read(connection, fact="draft")
        ]
    assert len(marks) == len(set(marks)), "a draft became two acts"
    return sorted(map(str, points)), sorted(map(str, decided)), sorted(marks)


@pytest.mark.slow
@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
@given(plan=PLAN, rounds=st.lists(ROUND, max_size=6), last=st.permutations(tuple(CRITERIA)))
def test_outboxes_in_any_order_twice_cut_or_edited_give_the_same_state(
    plan, rounds, last, tmp_path_factory, kitchen_in, bank
):
    folder = tmp_path_factory.mktemp("outboxes")
    straight = mixed = open_records(folder / "straight" / "records.db")
    (folder / "mixed").mkdir()
    try:
        kitchen = kitchen_in(straight)
        kitchen.clock.on(9)
        boxes = {who: Away(getattr(kitchen, who), folder / f"{who}.outbox") for who in CRITERIA}
        for who, several in plan.items():
            for number, (what, outcome, second) in enumerate(several):
                about = CRITERIA[who][-1 if second else 0]
                if what == "see":
                    boxes[who].see(kitchen.apprentice, {about: outcome}, batch=f"{who}-{number}")
                else:
                    boxes[who].decide(kitchen.apprentice, about)
        straight.close()
        (folder / "mixed" / "records.db").write_bytes((folder / "straight" / "records.db").read_bytes())
        straight, mixed = (open_records(folder / name / "records.db") for name in ("straight", "mixed"))
        first, second = kitchen.over(straight), kitchen.over(mixed)
        first.clock.on(12)
        second.clock.on(12)
        for who in CRITERIA:
            assert set(states(take(getattr(first, who), boxes[who].path))) == {"recorded"}
        for who, how, place in rounds:
            file = folder / "given.outbox"
            file.write_bytes(spoilt(boxes[who].path.read_bytes(), how, place))
            try:
                take(getattr(second, who), *([file] * (2 if how == "twice" else 1)))
            except KitError as refused:
                assert how in ("edited", "swapped"), refused
                assert "given.outbox" in str(refused)
        for who in last:
            take(getattr(second, who), boxes[who].path)
        assert state(mixed) == state(straight)
        assert check_all(mixed, bank).problems == ()
    finally:
        straight.close()
        mixed.close()


@pytest.fixture
def files(tmp_path):
    """A photograph and a logger's file of one cook."""
    from PIL import Image

    Image.new("RGB", (8, 8), "white").save(tmp_path / "bench.png")
    rows = [f"2026-03-11 10:{minute:02d},{40 + minute:.1f}" for minute in range(45)]
    (tmp_path / "cook.csv").write_text("time,core_c\n" + "\n".join(rows) + "\n")
    return [("photo", tmp_path / "bench.png"), ("logger", tmp_path / "cook.csv")]


def with_files(away, person, files):
    outbox, hand = away._there()
    seen = Observation(person, "cook", away.clock.now.date(), {"COK-P01": "met"}, batch="B-1", declared=True)
    seen = replace(seen, despite="Read by eye too, from the display.")
    return drafts.draft_observation(outbox, hand, away.hand.key, seen, files)


def test_photographs_and_logs_come_along_and_are_kept_once(kitchen, away, files, bank):
    draft = with_files(away, kitchen.apprentice, files)
    kitchen.clock.on(12)
    (done,) = take(kitchen.tutor, away.path)
    assert done.state == "recorded", done.why
    with kitchen.records.reading() as connection:
        act = acts.get(connection, done.act)
        kept = list(acts.read(connection, kind="attached"))
    assert (
        list(act.facts["files"]) == [one["sha256"] for one in draft.facts["attached"]]
        and act.facts["verdicts"]
    )
    assert len(kept) == 2 and check_files(kitchen.records).whole
    assert take(kitchen.tutor, away.path)[0].state == "recorded"
    with kitchen.records.reading() as connection:
        assert len(list(acts.read(connection, kind="attached"))) == 2
    assert check_all(kitchen.records, bank).problems == ()


@pytest.mark.parametrize("how", ["left behind", "changed", "a pipe"])
def test_a_file_that_is_not_as_it_was_makes_its_draft_wait(kitchen, away, files, how):
    draft = with_files(away, kitchen.apprentice, files[:1])
    (place,) = folder_beside(away.path).iterdir()
    data = place.read_bytes()
    place.unlink()
    if how == "changed":
        place.write_bytes(data + b" ")
    elif how == "a pipe":
        os.mkfifo(place)
    kitchen.clock.on(12)
    (waits,) = take(kitchen.tutor, away.path)
    assert waits.state == "waits" and "bench.png" in waits.why
    with kitchen.records.reading() as connection:
        assert list(acts.read(connection, kind="attached")) == []
    if how == "changed":
        act = drafts.settle_draft(kitchen.tutor, read_outbox(away.path), 1, "record", "The photo is lost.")
        assert act.facts["files"] == [] and "draft" in act.facts
        return
    place.unlink(missing_ok=True)
    place.write_bytes(data)
    (done,) = take(kitchen.tutor, away.path)
    assert done.state == "recorded" and draft.facts["attached"][0]["kind"] == "photo"


def test_what_is_no_photograph_is_refused_before_anything_is_drafted(kitchen, away, files, tmp_path):
    (tmp_path / "x.png").write_text("hello")
    for wrong in ([("photo", tmp_path / "x.png")], files * 7, [("photo", tmp_path / "none.png")]):
        with pytest.raises(KitError):
            with_files(away, kitchen.apprentice, wrong)
    assert read_outbox(away.path).drafts == () and not folder_beside(away.path).exists()
