"""Page one of the inspector's file answers alone; nothing is small; "not looked at" never reads as failed."""

from __future__ import annotations

import io
from datetime import UTC, datetime, timedelta

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from pypdf import PdfReader

from kit import criteria
from kit.files.joined_kitchen import join
from kit.files.kitchen_file import KeyHolder, make_kitchen, write_kitchen
from kit.files.signing import Signer
from kit.records.competence import deciding
from kit.records.competence.observations import Observation, observe
from kit.records.ledger import acts
from kit.records.people import staff
from kit.records.people.named_acts import day_words
from kit.records.reports import inspector_file, observation_sheet, person_summary_paper, week_paper
from kit.records.reports.board import board
from kit.records.reports.person_facts import gather
from kit.records.reports.step_standing import step_standings
from tests.records.conftest import lift

MADE = datetime(2026, 3, 20, 12, 0, tzinfo=UTC)
FOOT_PT = 44.0  # points from the bottom: below this stands the foot


def read(pdf: bytes) -> list[tuple[str, set[float]]]:
    """Return the text and the letter sizes of each page, without its foot."""
    found = []
    for page in PdfReader(io.BytesIO(pdf)).pages:
        sizes: set[float] = set()

        def keep(words, outer, matrix, _font, size, sizes=sizes):
            if words.strip() and outer[5] + matrix[5] > FOOT_PT:
                sizes.add(round(size, 1))

        found.append((" ".join(page.extract_text(visitor_text=keep).split()), sizes))
    return found


@pytest.fixture
def joined_kitchen(tmp_path, throw_away_home):
    signer = Signer(Ed25519PrivateKey.generate())
    holder = KeyHolder("tutor", "Mara Quill", signer.public)
    write_kitchen(
        tmp_path / "kitchen.toml", make_kitchen("Harbour Lane", profile="ie", keys=[holder], signer=signer)
    )
    join(tmp_path / "kitchen.toml")


def ask(kitchen, criterion: str = "CUR-K01") -> None:
    """Ask about the cure aloud, on the first day."""
    on = kitchen.clock.on(1)
    seen = Observation(kitchen.apprentice, "cure", on, {criterion: "met"}, method="oral check", declared=True)
    observe(kitchen.tutor, seen)


def story(kitchen) -> acts.Act:
    """Alone on the cure, one decision appealed, one that waited too long for its second signature."""
    tutor, person = kitchen.tutor, kitchen.apprentice
    ask(kitchen)
    cure = deciding.decide(tutor, person, "CUR-K01", "competent", "Asked aloud.")
    deciding.verify(kitchen.verifier, cure.number, True, "Read the sheet.")
    for day in (2, 3):
        kitchen.see(day)
    deciding.decide(tutor, person, "COK-P01", "competent", "Seen on 2 batches.")
    kitchen.see(4, criterion="COK-K02", method="oral check")
    told = deciding.decide(tutor, person, "COK-K02", "competent", "Asked aloud.")
    return deciding.appeal(tutor, told.number, "Too early.")


@pytest.mark.slow
@pytest.mark.parametrize("about", ["everybody", "one person"])
def test_page_one_answers_alone(kitchen, bank, joined_kitchen, about):
    appeal = story(kitchen)
    late = MADE + timedelta(days=30)
    made = board(kitchen.records, catalogue=bank, now=late)
    until = made.of(made.people[0], bank.criteria["CUR-K01"]).until
    person = None if about == "everybody" else kitchen.apprentice
    first = read(inspector_file(kitchen.records, person, late, bank))[0][0]
    with kitchen.records.reading() as connection:
        head = acts.head(connection)
    for said in (
        "Kitchen Harbour Lane, kitchen file version 1",
        "Rules in force Harbour Lane: Ireland",
        f"Open appeals Tam Ferris: COK-K02, since {day_words(appeal.at.date())}, act {appeal.number}",
        "Late second signatures Tam Ferris: COK-P01, signed once on",
        "Osric Vane 3 decisions Assessor course (to",
        "Ines Roald 1 second signature Assessor course (to",
        f"Code of the chain: {head.short}",
        "which is no failure",
    ):
        assert said in first, said
    alone = f"Tam Ferris to {day_words(until)}" if person is None else f"■ alone {day_words(until)}"
    assert alone in first


@pytest.mark.slow
def test_who_signed_without_fitness_on_file_is_told_so(kitchen, bank):
    ask(kitchen)
    deciding.decide(kitchen.tutor, kitchen.apprentice, "CUR-K01", "competent", "Asked aloud.")
    for file in [gather(kitchen.records, staff.find(kitchen.records, "Tam"), MADE, bank)]:
        (ruling,) = [one for each in file.standings for one in each.rulings]
        assert "Assessor course" in ruling.fit
    with kitchen.records.writing() as connection:
        lift(connection, "acts_keep_every_word")
        connection.exec_driver_sql("UPDATE acts SET facts = '{}' WHERE kind = 'assessor'")
    first = read(inspector_file(kitchen.records, None, MADE, bank))[0][0]
    assert "Osric Vane 1 decision no competence to assess on file on the day" in first


@pytest.mark.slow
def test_what_nobody_looked_at_never_reads_as_failed_and_takes_a_line_a_step(kitchen):
    shown = read(inspector_file(kitchen.records, kitchen.apprentice, MADE))
    whole = " ".join(page for page, _ in shown)
    said = whole.replace("0 not yet competent; 0 opened again", "")
    assert "not yet" not in said and f"{len(criteria.load())} not looked at" in said
    assert len(shown) <= 3  # 100 criteria; one row each took 8 pages
    for criterion in criteria.load():
        assert criterion.id in whole


@pytest.mark.slow
def test_an_inspectors_file_has_letters_of_9_points_and_more_and_a_sheet_11(kitchen, bank):
    story(kitchen)
    papers = [
        (inspector_file(kitchen.records, None, MADE, bank), 9.0),
        (inspector_file(kitchen.records, kitchen.apprentice, MADE, bank), 9.0),
        (person_summary_paper(kitchen.records, "Tam", MADE, bank), 9.0),
        (week_paper(kitchen.records, MADE), 11.0),
        (observation_sheet("cook", now=MADE), 11.0),
        (observation_sheet("cure", "pdf", "Tam Ferris", "Harbour Lane", now=MADE), 11.0),
    ]
    for pdf, least in papers:
        for text, sizes in read(pdf):
            assert min(sizes) >= least, (least, sizes, text[:60])


@pytest.mark.slow
def test_the_summary_on_paper_says_what_the_rows_say(kitchen, bank):
    story(kitchen)
    whole = " ".join(page for page, _ in read(person_summary_paper(kitchen.records, "Tam", MADE, bank)))
    made = board(kitchen.records, catalogue=bank, now=MADE)
    stands = [made.of(made.people[0], each) for each in made.criteria]
    for one in stands:
        assert one.criterion.id in whole
    for step in step_standings(stands, made.stands.touched(kitchen.apprentice)).values():
        assert f"{step.words[0]} {day_words(step.until) if step.way == 'alone' else '–'}" in whole
    assert "No certificate" in whole and made.head.short in whole and "not looked at" in whole
    assert "opened again: an appeal waits" in whole


def test_this_week_on_paper_names_whom_to_see_where_and_what(kitchen):
    for day in (1, 2, 3):
        kitchen.see(day)
    whole = " ".join(page for page, _ in read(week_paper(kitchen.records, MADE)))
    assert "Friday 20 March" in whole and "Tam Ferris, at: Cook by temperature" in whole
    assert f"Ready for a decision: {criteria.get('COK-P01').text}" in whole and "COK-P01" not in whole
