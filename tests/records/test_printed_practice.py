"""Work sheets with their answers apart, and cards of a kitchen's own limits."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pypdfium2
import pytest
from click.testing import CliRunner

from kit import exercises, rules
from kit.basics.errors import BadData, OutOfRange, UnknownName
from kit.cli import smokehouse
from kit.marking import mark
from kit.records.reports.limit_cards_pdf import limit_cards_pdf, limits_of
from kit.records.reports.question_pdf import right_words
from kit.records.reports.work_sheet_pdf import answer_sheet_pdf, on_paper, work_sheet_pdf
from kit.views.pictures.on_paper import png_of

MADE = datetime(2026, 6, 1, 12, 0, tzinfo=UTC)
A6_MM = (105, 148)


def pages(pdf: bytes) -> list[tuple[tuple[int, int], str]]:
    """Each page: its size in mm, and its words."""
    document = pypdfium2.PdfDocument(pdf)
    try:
        return [
            (
                tuple(round(side * 25.4 / 72) for side in page.get_size()),
                " ".join(page.get_textpage().get_text_range().split()),
            )
            for page in document
        ]
    finally:
        document.close()


@pytest.mark.parametrize("name", rules.PROFILES)
def test_each_limit_has_one_card_with_its_number_and_its_source(name):
    profile = rules.load(name)
    made = pages(limit_cards_pdf(profile, now=MADE, on=date(2026, 6, 1)))
    limits = [rule for _, rule in limits_of(profile, date(2026, 6, 1))]
    assert len(made) == len(limits) >= 5
    for (size, words), rule in zip(made, limits, strict=True):
        assert size == A6_MM and rule.title in words and profile.sources[rule.source].title in words
        assert "tell the person in charge" in words or "Tell the person in charge" in words
        shown = rule.limit.replace("-", "−") if len(rule.holds) < 2 else rule.holds[0].words
        assert (shown if rule.has_number else "Your own rules give no number") in words.replace("-", "−")
        assert (rules.FROM_MEMORY in words) == (bool(rule.label) and rule.has_number)


def test_a_house_limit_is_on_the_card_and_not_the_law_under_it():
    house = rules.on_top("ie", [{"rule": "ie-store-3", "maximum": 2.5}], where="here")
    (words,) = [words for _, words in pages(limit_cards_pdf(house, kitchen="The Quay")) if "2.5 °C" in words]
    assert "house limit" in words and "The Quay" in words


@pytest.mark.slow
def test_what_is_right_stands_on_the_answers_alone():
    names = ["brine-degrees", "signs-of-fresh-fish", "order-of-the-cure", "own-cook-log", "own-cook-batch"]
    questions = on_paper(names, 5, 2, "ie")
    assert len(questions) == 10
    sheet = " ".join(words for _, words in pages(work_sheet_pdf("Practice", "c", questions, png_of, MADE)))
    answers = " ".join(words for _, words in pages(answer_sheet_pdf("Practice", "c", questions, MADE)))
    for question in questions:
        assert mark(question, question.answer).score == question.of
        worked = " ".join(question.worked.split())[:40]
        assert worked in answers and worked not in sheet
        assert right_words(question)[:12] in answers
        assert all(slip.says not in sheet for slip in question.slips)


@pytest.mark.slow
def test_tasks_that_need_a_page_are_left_out_and_said(tmp_path):
    out = tmp_path / "w.pdf"
    run = CliRunner().invoke(smokehouse, ["print", "tasks", "5", "--out", str(out)])
    drawn = on_paper(exercises.ids(5), 1, 1, "ie")
    assert run.exit_code == 0 and f"{len(drawn)} tasks" in run.output
    assert f"Left out: {len(exercises.ids(5)) - len(drawn)}" in run.output
    assert out.exists() and (tmp_path / "w_answers.pdf").exists()
    (cards := tmp_path / "c.pdf").touch()
    run = CliRunner().invoke(smokehouse, ["print", "cards", "--rules", "uk", "--out", str(cards)])
    assert run.exit_code == 0 and f"{len(pages(cards.read_bytes()))} cards" in run.output


@pytest.mark.parametrize(
    ("words", "error"),
    [
        (["tasks", "55"], OutOfRange),
        (["tasks", "brine-degres"], UnknownName),
        (["tasks", "run-the-cook"], BadData),
        (["tasks", "5", "--out", "w.txt"], OutOfRange),
        (["cards", "--rules", "atlantis"], UnknownName),
    ],
)
def test_what_cannot_be_printed_is_one_clear_error(words, error, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    run = CliRunner().invoke(smokehouse, ["print", *words])
    assert isinstance(run.exception, error) and not list(tmp_path.iterdir())
