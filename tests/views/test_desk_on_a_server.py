"""The tutor's desk on records that lie on a PostgreSQL server, opened as `smokehouse desk` opens them."""

from __future__ import annotations

import shutil
from datetime import date

import pytest

from kit.cli.demo.desk_story import MANAGER
from kit.cli.tutor.desk import who
from kit.records import open_records
from kit.records.ledger import acts
from kit.records.storage.store import remember_address
from kit.records.upkeep.move import move
from kit.records.upkeep.whole_check import check_all
from kit.views.tutor import TutorDesk
from kit.views.tutor.place import PERSON_VARIABLE
from tests.views.conftest import NOW
from tests.views.test_tutor_desk import AtDesk, lists, text

pytestmark = pytest.mark.slow


@pytest.fixture
def on_server(server, crew, throw_away_home):
    """The demo's kitchen, moved to a schema that this machine's home names."""
    shutil.copytree(crew / "tutor", throw_away_home / "tutor")
    file = open_records(throw_away_home / "tutor" / "records.db")
    name = server.database()
    there = open_records(server.address(name))
    move(file, there)
    file.close()
    there.close()
    (throw_away_home / "tutor" / "records.db").unlink()
    remember_address(server.address(name))
    yield name
    server.drop(name)


class AtServer(AtDesk):
    """Somebody at a desk that found its records by itself."""

    def __init__(self, name, monkeypatch):
        self.me = who(name).person
        monkeypatch.setenv(PERSON_VARIABLE, self.me)
        self.desk = TutorDesk(clock=lambda: NOW)
        self.records = self.desk._records
        self.today, self.board = self.desk.today(), self.desk.board()
        self.person, self.panel = self.desk.person(), self.desk.sign()


def test_the_desk_opens_shows_observes_and_decides_on_a_server(on_server, monkeypatch):
    osric = AtServer("Osric Vane", monkeypatch)
    assert osric.records.address.startswith("postgresql://")
    for part in (osric.today, osric.board, osric.person):
        assert part.shown["blocks"], "every page shows something"
    before = osric.head()
    osric.open("observe", "Niamh", step="cook", criterion="COK-P01")
    osric.fill(**{"point COK-P01": "met", "batch": "C-1", "day": date(2026, 11, 24), "declared": True})
    said = osric.sign()
    assert "Recorded" in said and osric.head() == before + 1
    with osric.records.reading() as connection:
        act = acts.get(connection, before + 1)
    assert act.kind == "observed" and act.facts["points"] == {"COK-P01": "met"}
    ines = AtServer("Ines Roald", monkeypatch)
    ines.ask(ines.today, **lists(ines.today)["To sign"]["items"][0]["buttons"][1]["ask"])
    assert "signature fits" in text(ines.panel.head)
    assert check_all(osric.records).problems == ()


def test_the_managers_desk_on_a_server_lists_its_people(on_server, monkeypatch):
    seat = AtServer(MANAGER, monkeypatch)
    assert "Osric Vane" in text(seat.desk.manager())
