"""Every page rendered: nothing runs over a margin or into the foot, and it reads in black and white."""

from __future__ import annotations

from datetime import UTC, datetime

import pypdfium2
import pytest
from PIL import Image

from kit import criteria, rules
from kit.records.competence import deciding, observations
from kit.records.people import staff
from kit.records.people.named_acts import tell_acts
from kit.records.reports import inspector_file, observation_sheet
from kit.records.reports.observation_pdf import observation_record

MADE = datetime(2026, 6, 1, 12, 0, tzinfo=UTC)
SCALE = 2.0  # pixels a point
PER_MM = SCALE * 72 / 25.4
PAPER = 250  # brighter than this is paper


def rendered(pdf: bytes) -> list[Image.Image]:
    document = pypdfium2.PdfDocument(pdf)
    try:
        return [page.render(scale=SCALE).to_pil().convert("RGB") for page in document]
    finally:
        document.close()


def empty(page: Image.Image, left_mm: float, top_mm: float, right_mm: float, bottom_mm: float) -> bool:
    box = tuple(round(edge * PER_MM) for edge in (left_mm, top_mm, right_mm, bottom_mm))
    return page.convert("L").crop(box).getextrema()[0] > PAPER


def check(pdf: bytes) -> int:
    pages = rendered(pdf)
    for number, page in enumerate(pages, start=1):
        width, height = page.width / PER_MM, page.height / PER_MM
        assert (round(width), round(height)) == (210, 297)
        assert empty(page, 0, 0, 12, height), f"page {number}: ink in the left margin"
        assert empty(page, width - 12, 0, width, height), f"page {number}: ink in the right margin"
        assert empty(page, 0, 0, width, 10), f"page {number}: ink above the head"
        assert empty(page, 0, height - 16, width, height - 14.3), f"page {number}: ink runs into the foot"
        assert not empty(page, 12, height - 14, width - 12, height - 5), f"page {number}: no foot"
        reds, greens, blues = page.split()
        assert reds.tobytes() == greens.tobytes() == blues.tobytes(), f"page {number}: there is colour"
    return len(pages)


@pytest.fixture
def busy(kitchen):
    """An apprentice with decisions, an appeal, notes as long as they may be, and odd words."""
    tutor, person = kitchen.tutor, kitchen.apprentice
    for turn, reason in enumerate(("Seen. " * 300, "w" * 500, "Two batches.")):
        for day in (2 * turn + 1, 2 * turn + 2):
            kitchen.see(day, notes="Slow but careful. " * 60, asked=[("Why hold?", "x" * 400, True)] * 3)
        act = deciding.decide(tutor, person, "COK-P01", "competent", reason)
    deciding.appeal(tutor, act.number, "I was helped. " * 200)
    staff.note(tutor, person, "adjustment", "Read aloud. " * 600)
    observations.correct(tutor, "B001", "Too cool. " * 100, "Held. " * 100, day=kitchen.clock.now.date())
    return person


@pytest.mark.slow
@pytest.mark.parametrize("step", criteria.steps())
def test_a_sheet_keeps_its_margins(step):
    assert check(observation_sheet(step, now=MADE)) <= 3
    with_limits = observation_sheet(step, "pdf", "N" * 80, "K" * 80, profile=rules.load("us-processor"))
    assert check(with_limits) <= 3


@pytest.mark.slow
def test_the_inspectors_file_keeps_its_margins_whatever_was_written(kitchen, busy, bank):
    assert check(inspector_file(kitchen.records, busy, MADE, bank)) > 2
    assert check(inspector_file(kitchen.records, None, MADE)) > 5


@pytest.mark.slow
def test_an_observation_on_record_keeps_its_margins(kitchen, busy, bank):
    with kitchen.records.reading() as connection:
        seen = tell_acts(connection, kinds=["observed"], people=[busy])
    for one in seen:
        check(observation_record(one, "N" * 80, MADE, bank))
