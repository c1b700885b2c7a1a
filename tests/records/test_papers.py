"""The inspector's file and the observation sheet, read back with another library."""

from __future__ import annotations

import io
import re
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from PIL import Image
from pypdf import PdfReader
from sqlalchemy import text

from kit import criteria, rules
from kit.basics.errors import UnknownName
from kit.files import signing
from kit.files.kitchen_file import KeyHolder, make_kitchen
from kit.records import take_in
from kit.records.competence import deciding, observations
from kit.records.evidence import kept_files
from kit.records.intake import review
from kit.records.ledger import acts, texts
from kit.records.people import staff
from kit.records.reports import as_workbook, inspector_file, observation_sheet, own_record
from kit.records.reports.chain_statement import proof_of
from kit.records.reports.pdf_text import printable
from kit.records.reports.sheet_content import OUTCOMES, points_of, sheet_of
from kit.records.storage.store import open_records
from tests.records.conftest import lift

MADE = datetime(2026, 6, 1, 12, 0, tzinfo=UTC)
NAMES = ("Łucja Dąbrowska", "Ζωή Παπαδάκη", "Иван Кузнецов", "Nguyễn Thị Ánh")


def pages(pdf: bytes) -> list[str]:
    return [" ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(pdf)).pages]


def flat(pdf: bytes) -> str:
    return " ".join(pages(pdf))


@pytest.fixture
def decided(kitchen):
    """Two observations, one decision with a second signature."""
    for day in (1, 2):
        kitchen.see(day, notes="Calm at the door.", supports=["read aloud"])
    act = deciding.decide(kitchen.tutor, kitchen.apprentice, "COK-P01", "competent", "Seen on 2 batches.")
    deciding.verify(kitchen.verifier, act.number, True, "Read both sheets.")
    return act


def head_of(records) -> acts.LedgerHead:
    with records.reading() as connection:
        return acts.head(connection)


@pytest.mark.slow
def test_the_file_holds_every_criterion_the_decision_and_the_head_on_every_page(kitchen, decided, bank):
    shown = pages(inspector_file(kitchen.records, kitchen.apprentice, MADE, bank))
    whole = " ".join(shown)
    for criterion in bank.criteria:
        assert criterion in whole
    assert "1 of 2 competent" in shown[0] and "nothing averages" in shown[0]
    assert "Osric Vane, signature fits" in whole and "“Seen on 2 batches.”" in whole
    assert "Ines Roald agrees" in whole and "“Read both sheets.”" in whole
    assert "On file then: Assessor course" in whole
    assert f"act {decided.number}" in whole and "batch B001" in whole and "batch B002" in whole
    assert "each tutor's first 5" in whole and f"decisions made with {decided.facts['kit']}" in whole
    head = head_of(kitchen.records)
    for number, page in enumerate(shown, start=1):
        assert f"chain head {head.short} (act {head.number}) · checked: fits" in page
        assert f"page {number} of {len(shown)}" in page


def test_every_criterion_of_the_kit_is_in_the_file_of_a_person(kitchen):
    whole = flat(inspector_file(kitchen.records, kitchen.apprentice, MADE))
    missing = [c.id for c in criteria.load() if whole.count(c.id) < (2 if c.safety_critical else 1)]
    assert not missing
    assert "0 of 23 competent" in whole


@pytest.mark.slow
def test_training_appeals_corrections_and_earlier_decisions_are_told(kitchen, bank):
    tutor, person = kitchen.tutor, kitchen.apprentice
    staff.note(tutor, person, "induction", "Fire exits and alarm shown.", day="2026-03-02")
    staff.note(tutor, person, "adjustment", "Questions are read aloud.")
    staff.note(tutor, person, "hours", hours=6)
    kitchen.see(1)
    deciding.decide(tutor, person, "COK-P01", "not yet competent", "One batch so far.")
    kitchen.see(2)
    second = deciding.decide(tutor, person, "COK-P01", "competent", "Now two batches.")
    opened = deciding.appeal(tutor, second.number, "I was helped too much.")
    deciding.settle(kitchen.other, opened.number, "assess again", "The sheet says so too.")
    observations.correct(
        tutor, "B002", "Core fell below.", "Held and cooked on.", day=kitchen.clock.now.date()
    )
    whole = flat(inspector_file(kitchen.records, person, MADE, bank))
    for said in (
        "Fire exits and alarm shown.",
        "Questions are read aloud.",
        "hours: 6",
        "One batch so far.",
        "COK-P01: replaced by a later decision",
        "Missing then: observed and met on 1 of 2 days, each on a batch of its own.",
        "I was helped too much.",
        "assess again",
        "The sheet says so too.",
        "Core fell below.",
        "Held and cooked on.",
    ):
        assert said in whole, said
    assert "0 of 2 competent" in whole


def test_a_review_date_that_passed_does_not_count(kitchen, decided, bank):
    later = MADE + timedelta(days=300)
    whole = flat(inspector_file(kitchen.records, kitchen.apprentice, later, bank))
    assert "0 of 2 competent" in whole and "the review date has passed" in whole
    assert "1 past the review date" in whole


@pytest.mark.slow
def test_it_never_says_that_anybody_is_safe_or_a_batch_released(kitchen, decided, bank):
    whole = flat(inspector_file(kitchen.records, None, MADE, bank)).lower()
    whole = whole.replace("nothing here says that a person is safe, or that a batch may go out", "")
    for never in (r"\bis safe\b", r"\bare safe\b", "released", "fit to sell", r"may go out", "cleared for"):
        assert not re.search(never, whole), never
    assert "does not stop a determined forger" in whole and "unsupervised" in whole


HARM = {
    "was changed after it was recorded": "UPDATE acts SET facts = replace(facts, 'B0', 'B9'), batch = 'B9'",
    "is missing": "DELETE FROM acts WHERE number = 5",
    "does not follow from the acts": "UPDATE decided SET decision = 'not yet competent'",
    "words kept under the mark": "UPDATE words SET text = 'Well done'",
    "does not fit its key": "UPDATE acts SET signature = prev || prev WHERE kind = 'decided'",
}  # fmt: skip


@pytest.mark.parametrize("full_up_to", [2_000, 0])
@pytest.mark.parametrize("says", HARM)
def test_tampering_is_named_on_page_1(kitchen, decided, bank, says, full_up_to, monkeypatch):
    from kit.records.reports import inspector_report as inspector

    monkeypatch.setattr(inspector, "proof_of", lambda *a, **m: proof_of(*a, full_up_to=full_up_to, **m))
    with kitchen.records.writing() as connection:
        for trigger in ("acts_keep_every_row", "acts_keep_every_word"):
            lift(connection, trigger)
        connection.execute(text(HARM[says]))
    shown = pages(inspector_file(kitchen.records, kitchen.apprentice, MADE, bank))
    assert "The chain of these records DOES NOT FIT" in shown[0] and says in shown[0].lower()
    assert "Do not rely on this paper" in shown[0]
    assert all("DOES NOT FIT" in page for page in shown)


def test_facts_made_unreadable_are_named_and_the_file_still_comes(kitchen, decided, bank):
    with kitchen.records.writing() as connection:
        lift(connection, "acts_keep_every_word")
        connection.execute(text("UPDATE acts SET facts = '{' WHERE kind = 'second'"))
    shown = pages(inspector_file(kitchen.records, kitchen.apprentice, MADE, bank))
    assert "was changed after it was recorded" in shown[0]


ODD_FACTS = [
    "{}",
    pytest.param("[]", marks=pytest.mark.slow),
    pytest.param("7", marks=pytest.mark.slow),
    '{"points": 5, "entries": {}, "files": 1, "measures": [], "day": 3, "act": []}',
]


@pytest.mark.slow
@pytest.mark.parametrize(
    "kind", ["observed", "decided", "second", "noted", "appealed", "corrected", "key added"]
)
@pytest.mark.parametrize("facts", ODD_FACTS)
def test_whatever_an_act_was_turned_into_the_file_comes_and_says_so(kitchen, decided, bank, kind, facts):
    staff.note(kitchen.tutor, kitchen.apprentice, "hours", hours=6)
    deciding.appeal(kitchen.tutor, decided.number, "Too early.")
    observations.correct(kitchen.tutor, "B002", "Too cool.", "Cooked on.", day=kitchen.clock.now.date())
    with kitchen.records.writing() as connection:
        lift(connection, "acts_keep_every_word")
        change = text("UPDATE acts SET facts = :facts WHERE kind = :kind")
        connection.execute(change, {"facts": facts, "kind": kind})
    shown = pages(inspector_file(kitchen.records, kitchen.apprentice, MADE, bank))
    assert "DOES NOT FIT" in shown[0] and "was changed after it was recorded" in shown[0]
    assert as_workbook(kitchen.records, None, MADE, bank) and own_record(kitchen.records, "Tam", MADE, bank)


@pytest.mark.slow
def test_practice_is_told_beside_a_criterion_without_a_decision(kitchen, bank, write):
    book = write(kitchen.apprentice, "Tam Ferris")
    for day in range(3):
        book.attempt("core-hold", day=day)
    kitchen.clock.on(10)
    take_in(kitchen.records, [book.path], now=kitchen.clock.now, catalogue=bank)
    whole = flat(inspector_file(kitchen.records, kitchen.apprentice, MADE, bank))
    assert "practice, unsupervised: quite sure" in whole
    assert "0 of 2 competent" in whole  # practice alone decides nothing
    kitchen.see(11, criterion="COK-K01", method="oral check")
    deciding.decide(kitchen.tutor, kitchen.apprentice, "COK-K01", "competent", "Asked aloud as well.")
    whole = flat(inspector_file(kitchen.records, kitchen.apprentice, MADE, bank))
    assert "Method: oral check, practice, unsupervised." in whole
    assert "Book lines 2, 3, 4, 2 Mar 2026 to 4 Mar 2026." in whole and "Rule profile Ireland (ie)" in whole


def test_files_kept_and_matters_looked_into_are_told(kitchen, bank, write, tmp_path):
    book = write(kitchen.apprentice, "Tam Ferris")
    book.attempt("chill-time", right=False, day=0)
    book.note("dispute", "chill-time", verdict="not yet", text="My card says so too.")
    kitchen.clock.on(5)
    take_in(kitchen.records, [book.path], now=kitchen.clock.now, catalogue=bank)
    Image.new("L", (8, 8)).save(tmp_path / "rack.png")
    kept = kept_files.attach(kitchen.tutor, tmp_path / "rack.png", kitchen.apprentice, "photo")
    review.look_at(kitchen.tutor, kitchen.apprentice, "dispute", 3, "mark stands", "Read it together.")
    whole = flat(inspector_file(kitchen.records, kitchen.apprentice, MADE, bank))
    assert f"photo kept as evidence, rack.png: {kept.sha256[:16]}…" in whole
    assert "dispute, book line 3: mark stands. Read it together." in whole


def test_hours_are_added_up(kitchen, bank):
    for hours in (6, 1.5):
        staff.note(kitchen.tutor, kitchen.apprentice, "hours", hours=hours)
    assert "Hours in all – 7.5" in flat(inspector_file(kitchen.records, kitchen.apprentice, MADE, bank))


def test_a_long_chain_is_checked_in_part_and_says_so(kitchen, decided):
    report = proof_of(kitchen.records, kitchen.apprentice, full_up_to=0)
    assert report.fits and "signatures, words and tables of this person only" in report.reach
    assert report.head == head_of(kitchen.records)
    assert "every link, hash and signature" in proof_of(kitchen.records, None, full_up_to=0).reach


def test_the_partial_check_leaves_the_records_as_they_are(kitchen, decided):
    from kit.records.ledger.projection import check_chain

    proof_of(kitchen.records, kitchen.apprentice, full_up_to=0)
    assert check_chain(kitchen.records).whole


@pytest.mark.slow
def test_the_crew_has_a_cover_and_then_each(kitchen, decided, bank):
    other = staff.take_on(kitchen.tutor, "apprentice", name="Ada Quill")
    pdf = inspector_file(kitchen.records, None, MADE, bank)
    shown = pages(pdf)
    assert "2 people" in shown[0] and "Ada Quill" in shown[0] and "Tam Ferris" in shown[0]
    assert "Osric Vane" not in shown[0].partition("One row a person")[2]  # a tutor is no learner
    assert other in " ".join(shown[1:])
    titles = [each.title for each in PdfReader(io.BytesIO(pdf)).outline]
    assert titles == ["Ada Quill", "Tam Ferris"]


@pytest.mark.slow
def test_an_empty_crew_is_a_file_too(tmp_path, bank):
    records = open_records(tmp_path / "empty.db")
    assert "0 people" in flat(inspector_file(records, None, MADE, bank))
    records.close()


def test_an_erased_person_is_shown_as_erased(kitchen, decided, bank):
    from kit.records.upkeep.erase import erase_person

    kitchen.clock.on(20)
    staff.leave(kitchen.manager, kitchen.apprentice, "apprentice")
    erase_person(kitchen.manager, kitchen.apprentice, "asked for it", retention_years=0)
    whole = flat(inspector_file(kitchen.records, kitchen.apprentice, MADE, bank))
    assert texts.ERASED in whole and kitchen.apprentice in whole
    assert "Tam" not in whole and "Seen on 2 batches" not in whole and "COK-P01" in whole


@pytest.mark.slow
@pytest.mark.parametrize("name", NAMES)
def test_names_come_back_as_they_were_typed(kitchen, bank, name):
    person = staff.take_on(kitchen.tutor, "apprentice", name=name)
    pdf = inspector_file(kitchen.records, person, MADE, bank)
    assert name in pages(pdf)[0]
    assert PdfReader(io.BytesIO(pdf)).metadata.title == f"Inspector’s file: {name}"
    assert name in flat(observation_sheet("rinse", person=name))


@pytest.mark.slow
def test_letters_the_fonts_lack_are_named_and_markup_is_only_words(kitchen, bank):
    assert printable("王\x00 Li") == "[U+738B] Li"
    assert printable("אבג דה") == "הד גבא"  # set from right to left
    odd = staff.take_on(kitchen.tutor, "apprentice", name="<b>Bo & Co</b> <img src='x'/>")
    staff.note(kitchen.tutor, odd, "note", "a < b & c > d <para>")
    whole = flat(inspector_file(kitchen.records, odd, MADE, bank))
    assert "<b>Bo & Co</b>" in whole and "a < b & c > d <para>" in whole


@pytest.mark.slow
def test_the_same_moment_gives_the_same_bytes(kitchen, decided, bank):
    first = inspector_file(kitchen.records, kitchen.apprentice, MADE, bank)
    assert first == inspector_file(kitchen.records, kitchen.apprentice, MADE, bank)
    facts = PdfReader(io.BytesIO(first))
    assert facts.metadata.author == "smokehouse kit"
    assert facts.metadata.creation_date.replace(tzinfo=UTC) == MADE
    assert facts.root_object["/Lang"] == "en-GB"
    assert observation_sheet("cook", now=MADE) == observation_sheet("cook", now=MADE)


@pytest.mark.slow
def test_very_long_words_do_not_break_the_page(kitchen, bank):
    staff.note(kitchen.tutor, kitchen.apprentice, "note", "very long " * 790)
    staff.note(kitchen.tutor, kitchen.apprentice, "note", "x" * 3000)
    assert len(pages(inspector_file(kitchen.records, kitchen.apprentice, MADE, bank))) > 2


def test_nobody_of_that_name_is_an_error(kitchen):
    with pytest.raises(UnknownName):
        inspector_file(kitchen.records, "Nobody Here")


# The observation sheet

ON_EVERY_SHEET = """Caution.|Said in brief|my own work|Signature|Supports used|interpreter|Core, °C|Batch|Date
|Weight before, g|common practice, no source|tutor to confirm|nothing averages""".replace("\n", "").split("|")


@pytest.mark.parametrize("step", criteria.steps())
def test_a_sheet_holds_all_its_criteria_on_two_or_three_pages(step):
    shown = pages(observation_sheet(step, now=MADE))
    whole = " ".join(shown)
    known = criteria.at(step)
    assert len(shown) in (2, 3)
    for criterion in known:
        assert f"{criterion.id}{' †' if criterion.safety_critical else ''} " in whole
        assert " ".join(criterion.text.split()[:4]) in whole
    assert whole.count("☐") >= len(known) * len(OUTCOMES) + len(observations.METHODS) + 3
    for needed in ON_EVERY_SHEET:
        assert needed in whole, needed


@pytest.mark.parametrize("step", criteria.steps())
def test_the_page_says_the_same_as_the_paper(step):
    html = observation_sheet(step, "html", "Ada <Quill>").decode()
    sheet = sheet_of(step)
    assert "Ada &lt;Quill&gt;" in html and "<Quill>" not in html
    assert html.count("☐") == (
        len(criteria.at(step)) * len(OUTCOMES) + len(observations.METHODS) + 4 + 2 * len(sheet.asks)
    )
    for look in (*sheet.doing, *sheet.knowing):
        assert look.criterion.id in html
    assert "<script" not in html and "http" not in html  # nothing runs, nothing is fetched


def test_the_words_of_the_sheets_hold_no_limit_of_their_own():
    for step in criteria.steps():
        sheet = sheet_of(step)
        said = [sheet.caution, *(f"{each.ask} {each.good}" for each in sheet.asks)]
        said += [point for look in sheet.doing for point in look.points]
        assert not [each for each in said if re.search(r"\d", each)]
        assert 2 <= len(sheet.asks) <= 3
        assert all(look.points and look.points[0] not in look.criterion.text for look in sheet.doing)


def test_a_limit_on_a_sheet_comes_from_the_rules_with_its_source():
    profile = rules.load("ie")
    sheet = sheet_of("chill", profile=profile)
    (limit,) = sheet.limits
    assert limit.words == profile["ie-chill-150"].limit
    assert profile.sources["ie-fsai-gn15"].title in limit.source and "from memory" not in limit.source
    assert limit.words in flat(observation_sheet("chill", profile=profile))
    unseen = replace(profile["ie-chill-150"], seen=False)
    other = replace(profile, rules=(unseen,))
    assert sheet_of("chill", profile=other).limits[0].source.endswith("(from memory: confirm)")


def test_a_kitchens_sheet_bears_its_name_and_its_tighter_limits():
    signer = signing.Signer(Ed25519PrivateKey.generate())
    kitchen = make_kitchen(
        "Harbour Lane",
        profile="ie",
        keys=[KeyHolder("tutor", "Mara Quill", signer.public)],
        signer=signer,
        tighter=[{"rule": "ie-chill-150", "minutes": 120}],
    )
    whole = flat(observation_sheet("chill", kitchen=kitchen))
    assert "observation sheet · Harbour Lane" in whole and "within 120 min" in whole
    assert "Tighter in this kitchen; the source says 3 °C or less within 150 min" in whole
    assert "Limits in force" not in flat(observation_sheet("chill", kitchen="Harbour Lane"))


def test_a_criterion_from_memory_says_so_on_the_sheet():
    assert flat(observation_sheet("cook")).count("from memory: confirm") == 2  # COK-P03 and COK-P04


def test_points_are_taken_from_the_text_where_no_line_is_written():
    assert points_of("Do this, then do that.") == ("Do this", "do that")
    assert sheet_of("cook").knowing[1].points == (
        "Use a table of times and temperatures to find an equal treatment",
    )


def test_unknown_steps_and_forms_are_named():
    with pytest.raises(UnknownName, match="step"):
        observation_sheet("fry")
    with pytest.raises(UnknownName, match="form of sheet"):
        observation_sheet("cook", "docx")
