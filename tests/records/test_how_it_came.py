"""How a book came about: each way to a perfect book without knowing shows; an honest one is left alone."""

from dataclasses import replace
from datetime import timedelta

import pytest

from kit.records import take_in
from kit.records.intake.how_it_came import ENOUGH, traits_of
from kit.records.people import staff
from kit.records.reports.book_story import QUESTIONS, book_story
from tests.records.conftest import START, SmallBank

EXERCISES = tuple(SmallBank.versions)


@pytest.fixture
def told(records, bank):
    """A function that takes books in and returns, for one person, what is worth asking about."""

    def tell(person, *books):
        take_in(records, [book.path for book in books], now=START + timedelta(days=60), catalogue=bank)
        with records.reading() as connection:
            return {one.about: one for one in traits_of(connection, person) if one.ask}

    return tell


def answer(book, number, *, day=0, seconds=60.0, right=lambda turn: turn % 4 != 0):
    """Write so many answers of somebody who learns, every so many seconds from a day on."""
    for turn in range(number):
        book.clock.now = max(book.clock.now, START + timedelta(days=day)) + timedelta(seconds=seconds)
        book.attempt(EXERCISES[turn % len(EXERCISES)], right(turn))


@pytest.mark.slow
def test_an_honest_book_is_left_alone(told, write):
    ana, bo = write(), write("p-bo", "Bo Marsh")
    for day in range(3):
        answer(ana, 12, day=day, seconds=47)
        bo.clock.now = START + timedelta(days=day, hours=4)
        answer(bo, 12, seconds=71, right=lambda turn: turn % 3 != 0)
    assert told("p-ana", ana, bo) == {}


@pytest.mark.slow
def test_a_forged_perfect_book_shows(told, write):
    forged = write()
    answer(forged, 1120, seconds=13 / 1120, right=lambda turn: True)
    others = [write(f"p-{n}", f"Other {n}") for n in range(3)]
    for one in others:
        answer(one, 30, seconds=50)
    found = told("p-ana", forged, *others)
    assert "0.01 s" in found["Time for an answer"].figure
    assert "1,120" in found["Time for an answer"].figure
    assert "Right at first" in found


@pytest.mark.slow
def test_a_book_begun_anew_after_a_miss_shows(records, bank, write, told):
    manager = staff.begin(records, "Berit Falk", lambda: START)
    began = START.date() - timedelta(days=20)
    staff.take_on(manager, "apprentice", person="p-ana", name="Ana Lind", started=began)
    second = write()
    answer(second, 4)
    assert "20 days after" in told("p-ana", second)["The book was begun"].figure


@pytest.mark.slow
def test_many_days_in_one_hand_in_show_and_weekly_ones_do_not(records, bank, write, told):
    late, weekly = write(), write("p-bo", "Bo Marsh")
    for day in range(8):
        answer(late, 3, day=day)
        answer(weekly, 3, day=day, seconds=31)
        if day == 3:
            take_in(records, [weekly.path], now=START + timedelta(days=5), catalogue=bank)
    assert "8 days in 1 hand-in" in told("p-ana", late, weekly)["Days of practice"].figure
    assert "Days of practice" not in told("p-bo")


def test_who_looks_for_a_variant_they_know_shows(told, write):
    book = write()
    for turn in range(ENOUGH):
        for occasion in range(3):
            book.clock.now += timedelta(seconds=20)
            book.note("opened", occasion=3 * turn + occasion + 1)
        book.attempt("salt-sum", occasion=3 * turn + 3)
    assert "40 left, 20 answered" in told("p-ana", book)["Variants left unanswered"].figure


def test_answers_at_a_friends_times_show(told, write):
    ana, bo = write(), write("p-bo", "Bo Marsh")
    answer(ana, 20, seconds=40)
    bo.clock.now += timedelta(seconds=15)
    answer(bo, 20, seconds=40)
    assert "20 of 20 within 60 s of Bo Marsh's" in told("p-ana", ana, bo)["Answers side by side"].figure


class SlipBank(SmallBank):
    """Ten exercises; a wrong answer is a slip of its own."""

    versions = {f"task-{n}": 1 for n in range(10)}  # noqa: RUF012 - never changed

    def mark(self, question, answer):
        outcome = super().mark(question, answer)
        return replace(outcome, slip=f"slip {answer}") if outcome.slip else outcome


@pytest.mark.slow
def test_a_friends_slips_show_and_the_crews_common_ones_do_not(records, write):
    bank = SlipBank()
    slips = {
        "ana": "1111111111",
        "bo": "1111111111",
        "cy": "2345234523",
        "di": "4523452345",
        "ed": "5234523452",
    }
    books = []
    for turn, (name, made) in enumerate(slips.items()):
        book = write(f"p-{name}", name.title())
        book.bank = bank
        for exercise, slip in enumerate(made):
            book.clock.now = START + timedelta(minutes=17 * exercise + 3 * turn)
            book.attempt(f"task-{exercise}", right=False, answer=f"-{slip}")
        books.append(book.path)
    take_in(records, books, now=START + timedelta(days=9), catalogue=bank)
    with records.reading() as connection:
        found = {
            who: {t.about: t for t in traits_of(connection, f"p-{who}")}["The same slips"] for who in slips
        }
    assert found["ana"].ask and "10 of the 10 that both they and Bo" in found["ana"].figure
    assert not found["cy"].ask and not found["di"].ask


def test_three_questions_come_from_what_was_missed(records, bank, write, told):
    ana = write()
    answer(ana, 12, right=lambda turn: turn % 3 != 0)  # always wrong at the first exercise
    told("p-ana", ana)
    asks = book_story(records, "p-ana", bank).asks
    assert [one.criterion.id for one in asks] == ["CUR-K01", "COK-K01", "COK-K02"]
    assert len({one.ask for one in asks}) == QUESTIONS
    assert asks[0].why == "4 of 4 missed at first"


def test_without_a_book_nothing_is_made_up(kitchen, bank):
    story = book_story(kitchen.records, kitchen.apprentice, bank)
    assert story.traits == () and story.asks == ()
    assert list(story.lines())[-1] == "No book was taken in yet."
