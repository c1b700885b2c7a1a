"""The wall chart and the summary of one person: what they say, how large, and that `assess` says the same."""

from __future__ import annotations

import csv
import io
from datetime import UTC, datetime

import pytest
from pypdf import PdfReader

from kit.records.competence import deciding
from kit.records.people import staff
from kit.records.people.named_acts import day_words
from kit.records.reports import person_summary, wall_chart
from kit.records.reports.board import board
from kit.records.reports.person_summary import SUMMARY_COLUMNS
from kit.records.reports.step_standing import step_standings

MADE = datetime(2026, 6, 1, 12, 0, tzinfo=UTC)


def read(pdf: bytes) -> tuple[str, dict[float, str], list[tuple[int, int]]]:
    """Return the text, the words of each size without the foot, and each page in mm."""
    sizes: dict[float, str] = {}

    def keep(words, outer, matrix, _font, size):
        if words.strip() and outer[5] + matrix[5] > 40:  # points from the bottom: above the foot
            sizes[round(size, 1)] = sizes.get(round(size, 1), "") + words

    pages = PdfReader(io.BytesIO(pdf)).pages
    said = " ".join(" ".join(page.extract_text(visitor_text=keep).split()) for page in pages)
    return said, sizes, [tuple(round(float(x) * 25.4 / 72) for x in page.mediabox[2:]) for page in pages]


@pytest.mark.slow
@pytest.mark.parametrize("people", [1, 12, 60])
def test_the_wall_is_large_and_nobody_is_left_out(kitchen, bank, people):
    names = [
        f"Wilhelmina-Anastasia {n:02d} of the Long Quay by the Northern Harbour" for n in range(1, people)
    ]
    for name in names:
        staff.take_on(kitchen.manager, "apprentice", name=name)
    said, sizes, pages = read(wall_chart(kitchen.records, MADE, bank))
    assert set(pages) == {(420, 297)} and min(sizes) >= 16
    assert "Tam Ferris" in said and "No batch is released" in said
    steps = len({each.step for each in bank.criteria.values()})
    assert said.count("□ not looked at") == people * steps + 1  # the key says it once
    assert said.count("◧ with a tutor") == 1
    for number in range(1, people):
        assert f"Anastasia {number:02d}" in said
    assert "COK-P01" not in said  # words of the work, no codes


def test_alone_only_while_every_criterion_holds_and_an_appeal_stays_off_the_wall(kitchen, bank):
    for day in (1, 2):
        kitchen.see(day)
    act = deciding.decide(kitchen.tutor, kitchen.apprentice, "COK-P01", "competent", "Seen on 2 batches.")
    now = kitchen.clock.now  # before a second signature that is wanted is late
    made = board(kitchen.records, catalogue=bank, now=now)
    whole = all(made.of(made.people[0], each).holds for each in bank.criteria.values() if each.step == "cook")
    said, _, _ = read(wall_chart(kitchen.records, now, bank))
    assert not whole and "◧ with a tutor 1 of" in said and "■ alone to" not in said
    holding = [made.of(made.people[0], bank.criteria["COK-P01"])]
    only = step_standings(holding, {"COK-P01"})["cook"]
    assert only.words == ("■ alone", f"to {day_words(holding[0].until)}")
    deciding.appeal(kitchen.tutor, act.number, "Too early.")
    said, _, _ = read(wall_chart(kitchen.records, now, bank))
    assert "◧ with a tutor 0 of" in said and "appeal" not in said.lower()


def test_the_summary_says_what_assess_says_one_row_a_criterion(kitchen, bank):
    for day in (1, 2):
        kitchen.see(day)
    act = deciding.decide(kitchen.tutor, kitchen.apprentice, "COK-P01", "competent", "Seen on 2 batches.")
    head, *rows = csv.reader(io.StringIO(person_summary(kitchen.records, "Tam", MADE, bank)))
    assert tuple(head) == SUMMARY_COLUMNS
    made = board(kitchen.records, catalogue=bank, now=MADE)
    by_id = {row[3]: dict(zip(head, row, strict=True)) for row in rows}
    assert list(by_id) == list(bank.criteria)
    for name, criterion in bank.criteria.items():
        one = made.of(made.people[0], criterion)
        assert by_id[name]["holds until"] == ("" if one.until is None else one.until.isoformat())
    assert by_id["COK-P01"]["act"] == str(act.number)
    assert by_id["COK-K01"]["state"] == "not looked at" and by_id["COK-K01"]["decision today"] == ""
    assert all("no certificate" in row[-1] for row in rows)
