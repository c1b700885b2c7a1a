"""The manager's desk without a browser: people, keys, tables, backups and papers, and the first day."""

from __future__ import annotations

import base64
import json
from datetime import UTC, date, datetime, timedelta

import pytest

from kit.basics import places
from kit.cli.demo.desk_story import PASSWORD
from kit.cli.tutor import desk as command
from kit.files import signing
from kit.files.joined_kitchen import join, joined
from kit.files.kitchen_file import CheckedLanguage, make_kitchen, write_kitchen
from kit.files.kitchen_number import fetch, number_in_force
from kit.records import open_records
from kit.records.ledger import acts
from kit.records.people import keys, staff
from kit.records.upkeep.whole_check import check_all
from kit.views.tutor import TutorDesk
from kit.views.tutor.place import FIRST_DAY, PERSON_VARIABLE
from tests.views.conftest import NOW
from tests.views.test_tutor_desk import AtDesk, at_desk, blocks, text

__all__ = ["at_desk"]
MANAGER = "Hedda Quill"
SECRET = "three plain words"


@pytest.fixture
def seat(at_desk):
    one = at_desk(MANAGER)
    one.house = one.desk.manager()
    return one


def open_form(seat: AtDesk, form: str, **more):
    seat.ask(seat.panel.head, do="close")
    seat.ask(seat.house, do="form", form=form, **more)


def offers(seat: AtDesk, name: str) -> set[str]:
    seat.ask(seat.house, do="member", person=seat.id(name))
    return {
        one["ask"]["form"]
        for row in blocks(seat.house, "buttons")[:1]
        for one in row["buttons"]
        if "form" in one["ask"]
    }


def send(widget, name: str, data: bytes):
    widget._hear(widget, {"do": "photo", "name": name, "size": len(data)}, [])
    widget._hear(widget, {"do": "piece"}, [memoryview(data)])


def test_the_page_says_who_signs_and_what_is_wrong(seat):
    (staff_table,) = blocks(seat.house, "table")
    rows = {row[0]["label"]: row[1:] for row in staff_table["rows"]}
    assert rows["Osric Vane"][0] == "tutor" and rows["Osric Vane"][2].startswith("until ")
    assert "No backup was made from here yet." in text(seat.house)
    seat.ask(seat.house, do="find", search="niamh")
    names = [one["label"] for row in blocks(seat.house, "buttons") for one in row["buttons"]]
    assert "Niamh Shevlin" in names and "Linh Pham" not in names


def test_somebody_is_taken_on_gets_a_key_and_is_made_fit(seat):
    open_form(seat, "take on")
    seat.press(seat.panel.look)
    assert "the name" in text(seat.panel.result)
    seat.fill(name="Sorcha Bale", role="tutor")
    assert "Recorded" in seat.sign()
    assert {"key", "fitness", "leave"} <= offers(seat, "Sorcha Bale")
    open_form(seat, "key", person=seat.id("Sorcha"))
    seat.fill(new=SECRET, again="three plain word")
    seat.press(seat.panel.look)
    assert "not the same" in text(seat.panel.result)
    seat.fill(again=SECRET)
    said = seat.sign()
    assert "Recovery code" in said and SECRET not in said
    with seat.records.reading() as connection:
        key_id = keys.keys_on_file(connection)[seat.id("Sorcha")]
    assert (places.keys_folder() / f"{key_id}.json").is_file()
    open_form(seat, "fitness", person=seat.id("Sorcha"))
    seat.fill(what="Trade test", until=date(2026, 1, 1))
    seat.press(seat.panel.look)
    assert "before the first" in text(seat.panel.result)
    seat.fill(until=date(2028, 1, 1))
    assert "Recorded" in seat.sign()
    assert check_all(seat.records).whole


def test_a_new_key_for_somebody_who_signed_waits_for_a_second_person(seat, at_desk):
    who = seat.id("Osric")
    open_form(seat, "retire key", person=who)
    seat.fill(reason="Lost with the bag.")
    assert "Recorded" in seat.sign()
    open_form(seat, "key", person=who)
    seat.fill(new=SECRET, again=SECRET)
    assert "Recorded" in seat.sign()
    assert "New keys that wait for a second person" in text(seat.house)
    proposal = seat.head()
    open_form(seat, "confirm key", act=proposal)
    seat.fill(asked=True)
    assert "second person" in seat.sign()  # whoever proposed it cannot confirm it
    other = at_desk("Wilma Tack")
    other.house = other.desk.manager()
    open_form(other, "confirm key", act=proposal)
    other.press(other.panel.look)
    assert "was not asked" in text(other.panel.result)
    other.fill(asked=True)
    assert "Recorded" in other.sign()
    assert "wait for a second person" not in text(other.house)


def test_leaving_coming_back_and_erasing(seat):
    who = seat.id("Linh Pham")
    assert "erase" not in offers(seat, "Linh Pham")  # somebody with a role is not erased
    open_form(seat, "leave", person=who)
    assert "Recorded" in seat.sign()
    assert {"erase", "return"} <= offers(seat, "Linh Pham")
    open_form(seat, "return", person=who)
    assert "Recorded" in seat.sign()
    open_form(seat, "leave", person=who)
    assert "Recorded" in seat.sign()
    open_form(seat, "erase", person=who)
    seat.fill(typed="Linh", reason="Asked for it.")
    seat.press(seat.panel.look)
    assert "not the one to erase" in text(seat.panel.result)
    seat.fill(typed="Linh Pham", years="3.5")
    seat.press(seat.panel.look)
    assert "whole number" in text(seat.panel.result)
    seat.fill(years="3")
    assert "Erased:" in seat.sign()
    with pytest.raises(Exception, match="Linh"):
        seat.id("Linh Pham")
    assert check_all(seat.records).whole


def test_a_table_is_refused_with_all_its_faults_and_then_brought_in(seat):
    before = seat.head()
    open_form(seat, "table")
    seat.press(seat.panel.look)
    assert "none is chosen" in text(seat.panel.result)
    bad = b"name;role;started\nTam Ferris;cook;\nAna Lind;apprentice;soon\nNiamh Shevlin;apprentice;\n"
    send(seat.panel.fields["table"], "crew.csv", bad)
    seat.press(seat.panel.look)
    said = text(seat.panel.result)
    assert "has 3 faults" in said and all(f"Line {line}" in said for line in (2, 3, 4))
    good = b"name;role;started\nTam Ferris;apprentice;2026-03-02\nAna Lind;apprentice;2026-03-02\n"
    send(seat.panel.fields["table"], "crew.csv", good)
    seat.press(seat.panel.look)
    assert seat.head() == before and "2: Tam Ferris, Ana Lind" in text(seat.panel.preview)
    assert "2 roles given" in seat.sign()
    assert seat.head() == before + 2 and check_all(seat.records).whole


def test_an_earlier_decision_and_a_corrective_action(seat, at_desk):
    open_form(seat, "correct")
    seat.fill(batch="C-9", happened="Core 61 °C at the end.", action="Cooked on to 75 °C.")
    assert "Recorded" in seat.sign()
    assert "Cooked on to 75" in text(seat.house)
    assert "earlier" not in text(seat.house)  # a manager who is no tutor brings no decision in
    tutor = at_desk()
    tutor.house = tutor.desk.manager()
    open_form(tutor, "earlier")
    tutor.fill(person=tutor.id("Linh Pham"), criterion="CLN-P01", day=date(2026, 6, 1))
    tutor.fill(who="Chef before me", paper="Blue folder, page 3", reason="Same kitchen, same work.")
    assert "Recorded" in tutor.sign()
    assert "Blue folder" in text(tutor.house)


def test_a_backup_is_made_tried_and_told(seat, tmp_path):
    open_form(seat, "backup")
    assert seat.panel.password.layout.display == "" and seat.panel.sign.description == "Sign and record"
    seat.fill(folder=str(tmp_path / "disk"))
    assert "Written to" in seat.sign()
    (file,) = (tmp_path / "disk").glob("*.backup")
    open_form(seat, "trial")
    assert seat.panel.fields["file"].value == str(file)
    assert "put back whole" in seat.sign("")
    assert "No backup" not in text(seat.house) and str(file) in text(seat.house)
    file.write_bytes(file.read_bytes()[:-400])
    open_form(seat, "trial")
    said = seat.sign("")
    assert "Nothing was recorded" in said and "put back whole" not in said


@pytest.mark.parametrize(
    ("paper", "head"),
    [("inspector", b"%PDF"), ("sheet", b"%PDF"), ("wall", b"%PDF"), ("tables", b"PK"), ("own", b"PK")],
)
def test_a_paper_is_made_without_a_password(seat, paper, head):
    before = seat.head()
    open_form(seat, "paper", paper=paper)
    if paper == "own":
        seat.press(seat.panel.look)
        assert "nobody is chosen" in text(seat.panel.result)
    seat.fill(person=seat.id("Eithne") if paper == "own" else "")
    seat.sign("")
    (made,) = blocks(seat.panel.result, "download")
    assert base64.b64decode(made["data"]).startswith(head) and seat.head() == before


def test_books_that_were_handed_in_are_taken_in(seat):
    open_form(seat, "books")
    seat.press(seat.panel.look)
    assert "none is chosen" in text(seat.panel.result)
    send(seat.panel.fields["book"], "a.book", b"no book at all")
    assert "refused" in seat.sign("")


def test_the_first_day_begins_everything_in_one_form(throw_away_home, monkeypatch):
    monkeypatch.setenv(PERSON_VARIABLE, FIRST_DAY)
    assert command.nobody_began()
    desk = TutorDesk(clock=lambda: datetime(2026, 11, 25, 12, 0, tzinfo=UTC))
    panel = desk.today()

    def press(button):
        button.click()
        panel.result._hear(panel.result, {"do": "settled"}, [])

    def fill(**values):
        for name, value in values.items():
            panel.fields[name].value = value

    press(panel.look)
    assert "the kitchen's name" in text(panel.result)
    names = ["Ana Lind", "Tam Ferris", "Lea Okafor", "Ivo Marsh", "Una Reck", "Sol Hane"]
    fill(kitchen="The Quay", name="Hedda Quill", new=SECRET, again=SECRET, fit="Master's paper")
    fill(until=date(2028, 1, 1), crew="\n".join([*names, "ana  lind"]))
    press(panel.look)
    assert "stands here twice" in text(panel.result) and not places.records_file().exists()
    fill(crew="\n".join(names))
    press(panel.look)
    assert not places.records_file().exists()  # what is shown is not done yet
    press(panel.sign)
    assert "Recovery code" in text(panel.result)
    assert joined().name == "The Quay"
    assert not command.nobody_began()
    records = open_records(make=False)
    assert [one.name for one in staff.members(records) if one.roles == ("apprentice",)] == sorted(names)
    assert check_all(records).whole
    with records.reading() as connection:
        assert [act.kind for act in acts.read(connection)][:2] == ["enrolled", "key added"]
    records.close()
    again = TutorDesk(clock=lambda: datetime(2026, 11, 25, 13, 0, tzinfo=UTC))
    assert "Hedda Quill is at the desk" in json.dumps(again.today().shown)


def test_a_first_book_of_somebody_taken_on_is_one_with_them(seat, tmp_path):
    from kit.files import Book

    open_form(seat, "take on")
    seat.fill(name="Tam Ferris", role="apprentice")
    assert "Recorded" in seat.sign()
    path = tmp_path / "tam.book"
    Book.make(path, person="p-tam", name="tam  FERRIS", clock=lambda: NOW - timedelta(days=1))
    open_form(seat, "books")
    seat.fill(here=False)
    send(seat.panel.fields["book"], "tam.book", path.read_bytes())
    assert "refused" in seat.sign("")
    open_form(seat, "claim")
    send(seat.panel.fields["book"], "tam.book", path.read_bytes())
    seat.press(seat.panel.look)
    assert "nobody asked them" in text(seat.panel.result)
    seat.fill(asked=True, reason="He brought it himself.")
    seat.press(seat.panel.look)
    assert "p-tam" in text(seat.panel.preview)
    assert "Recorded" in seat.sign()
    assert "part" in offers(seat, "p-tam") and "join" not in offers(seat, "Tam Ferris")
    assert check_all(seat.records).whole
    open_form(seat, "part", person=seat.id("Tam Ferris"))
    seat.fill(reason="It was his brother's.")
    assert "Recorded" in seat.sign()
    (tam,) = [one for one in staff.members(seat.records) if one.roles and one.name == "Tam Ferris"]
    open_form(seat, "join", person=tam.person)
    assert seat.panel.fields["other"].value == "p-tam"
    assert check_all(seat.records).whole


@pytest.fixture
def tutor(at_desk):
    one = at_desk()
    one.house = one.desk.manager()
    return one


def download(seat) -> tuple[str, bytes]:
    (made,) = blocks(seat.panel.result, "download")
    return made["name"], base64.b64decode(made["data"])


def test_our_own_limits_are_written_filled_in_checked_and_signed_into_the_kitchens_file(tutor):
    """All of it at the desk: the file of limits, its check, the kitchen's file with the keys on record."""
    open_form(tutor, "limits")
    tutor.fill(rules="ie", name="Harbour Lane")
    tutor.sign("")
    name, text_of = download(tutor)
    assert name == "house.toml"
    looser = text_of.decode() + '\n[[tighter]]\nrule = "ie-store-3"\nmaximum = 9\n'
    open_form(tutor, "limits")
    send(tutor.panel.fields["check"], "house.toml", looser.encode())
    tutor.press(tutor.panel.look)
    assert "ie-store-3" in text(tutor.panel.result)
    tighter = text_of.decode() + '\n[[tighter]]\nrule = "ie-store-3"\nmaximum = 2\nwhy = "A cold fridge."\n'
    open_form(tutor, "limits")
    send(tutor.panel.fields["check"], "house.toml", tighter.encode())
    assert "in order" in tutor.sign("")
    before = tutor.head()
    open_form(tutor, "kitchen file")
    tutor.fill(name="Harbour Lane", rules="ie")
    send(tutor.panel.fields["house"], "house.toml", tighter.encode())
    tutor.sign()
    name, _ = download(tutor)
    kitchen = joined()
    assert name == "kitchen.toml" and kitchen is not None and kitchen.version == 1
    assert kitchen.rules()["ie-store-3"].maximum == 2 and tutor.head() == before
    assert {one.name for one in kitchen.keys} >= {"Osric Vane"}
    open_form(tutor, "kitchen file")
    tutor.fill(name="Harbour Lane", rules="uk")
    tutor.press(tutor.panel.look)
    assert "the limits on top are made for" in text(tutor.panel.result)
    open_form(tutor, "kitchen file")
    tutor.sign()
    assert joined().version == 2 and joined().rules()["ie-store-3"].maximum == 2


def test_the_next_version_at_the_desk_keeps_who_checked_a_translation(tutor):
    """A version signed at the desk must not undo what a tutor signed for at the terminal."""
    open_form(tutor, "kitchen file")
    tutor.fill(name="Harbour Lane", rules="ie")
    tutor.sign()
    first = joined()
    with tutor.records.reading() as connection:
        key_id = keys.keys_on_file(connection)[tutor.me]
    signer = signing.unseal_key(signing.read_key(places.keys_folder() / f"{key_id}.json"), PASSWORD)
    checked = CheckedLanguage("pl", "0" * 16, "Bogdan Rusu", "2026-11-20")
    more = make_kitchen(
        "Harbour Lane", profile="ie", keys=first.keys, signer=signer, before=first, checked=[checked]
    )
    write_kitchen(places.home() / "more.toml", more)
    join(places.home() / "more.toml")
    open_form(tutor, "kitchen file")
    tutor.sign()
    assert joined().version == 3 and joined().checked == (checked,)


def test_only_a_tutor_is_offered_the_kitchens_file_and_only_a_manager_the_clock_and_a_restore(seat, tutor):
    def offered(one):
        return {b["ask"].get("form") for row in blocks(one.house, "buttons") for b in row["buttons"]}

    assert {"clock", "restore"} <= offered(seat) and "kitchen file" not in offered(seat)
    assert "kitchen file" in offered(tutor) and not {"clock", "restore"} & offered(tutor)


def test_a_lost_password_is_mended_with_the_printed_code(seat):
    open_form(seat, "take on")
    seat.fill(name="Sorcha Bale", role="tutor")
    seat.sign()
    open_form(seat, "key", person=seat.id("Sorcha"))
    seat.fill(new=SECRET, again=SECRET)
    code = seat.sign().split("Recovery code: ")[1].split("*")[0]
    assert "recover" in offers(seat, "Sorcha Bale")
    open_form(seat, "recover", person=seat.id("Sorcha"))
    seat.fill(code="AAAA-BBBB", new="four other plain words", again="four other plain words")
    seat.press(seat.panel.look)
    assert "fits" not in text(seat.panel.result)
    open_form(seat, "recover", person=seat.id("Sorcha"))
    seat.fill(code=code, new="four other plain words", again="four other plain words")
    assert "has a new password" in seat.sign("")
    with seat.records.reading() as connection:
        key_id = keys.keys_on_file(connection)[seat.id("Sorcha")]
    sealed = signing.read_key(places.keys_folder() / f"{key_id}.json")
    assert signing.unseal_key(sealed, "four other plain words").key_id == key_id


def test_the_clock_is_said_to_be_right(seat):
    open_form(seat, "clock")
    seat.fill(reason="The battery of the laptop was flat, and it started in 2016.")
    assert "Recorded" in seat.sign()
    assert check_all(seat.records).problems == ()


def test_a_backup_is_put_back_signed_and_what_was_there_is_set_aside(seat, tmp_path):
    open_form(seat, "backup")
    seat.fill(folder=str(tmp_path / "disk"))
    seat.sign()
    open_form(seat, "take on")
    seat.fill(name="Sorcha Bale", role="tutor")
    seat.sign()
    open_form(seat, "restore")
    seat.press(seat.panel.look)
    assert "one may have these records open" in text(seat.panel.result)
    open_form(seat, "restore")
    seat.fill(paper="0123456789abcdef", closed=True)
    assert "your paper shows the key" in seat.sign() and seat.id("Sorcha Bale")
    open_form(seat, "restore")
    seat.fill(closed=True)
    said = seat.sign()
    assert "What was here lies in" in said and "replaced-" in said
    assert "Sorcha Bale" not in {one.name for one in staff.members(seat.records)}
    assert seat.head() and "Recorded as act" in said
    assert check_all(seat.records).problems == ()


def test_a_certificate_needs_consent_and_every_criterion(tutor):
    open_form(tutor, "certificate", person=tutor.id("Linh Pham"))
    tutor.fill(step="cook", kitchen="Harbour Lane")
    assert "has not agreed" in tutor.sign()
    open_form(tutor, "consent", person=tutor.id("Linh Pham"))
    tutor.press(tutor.panel.look)
    assert "nothing is chosen" in text(tutor.panel.result)
    tutor.fill(said="agrees")
    assert "Recorded" in tutor.sign()
    open_form(tutor, "certificate", person=tutor.id("Linh Pham"))
    tutor.fill(step="cook", kitchen="Harbour Lane")
    said = tutor.sign()
    assert "Recorded" not in said and "Nothing was recorded" in said
    tutor.fill(**{"also chill": True})
    tutor.press(tutor.panel.look)
    assert "Unit" in text(tutor.panel.preview)
    assert "Cook by temperature, " in text(tutor.panel.preview)


def test_who_brings_a_book_to_the_desk_takes_the_kitchens_new_number_along(tutor, tmp_path, monkeypatch):
    from kit.files import Book

    open_form(tutor, "kitchen file")
    tutor.fill(name="Harbour Lane", rules="ie")
    tutor.sign()
    path = tmp_path / "ana.book"
    Book.make(path, person="p-ana", name="Ana Lind", clock=lambda: NOW - timedelta(days=1))
    open_form(tutor, "books")
    tutor.fill(here=False)
    send(tutor.panel.fields["book"], "ana.book", path.read_bytes())
    assert "Give them" in tutor.sign("")
    name, number = download(tutor)
    (path.parent / name).write_bytes(number)
    assert (
        name == "kitchen-number.toml" and fetch(path.parent, tmp_path / "elsewhere") is False
    )  # joined nowhere
    assert number_in_force() in number.decode()

    def refuse(*_: object) -> None:
        raise OSError(13, "no")

    monkeypatch.setattr("kit.files.kitchen_number.write_private", refuse)
    Book.make(tmp_path / "bo.book", person="p-bo", name="Bo Lind", clock=lambda: NOW - timedelta(days=1))
    open_form(tutor, "books")
    tutor.fill(here=False)
    send(tutor.panel.fields["book"], "bo.book", (tmp_path / "bo.book").read_bytes())
    assert "cannot be left in" in tutor.sign("")
