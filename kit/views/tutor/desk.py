"""The tutor's desk in a notebook: today's lists, the rail, one person's page and the forms."""

import os
from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from typing import Any, cast
from weakref import finalize

from kit.basics.errors import BadData
from kit.exercises.catalogue import Catalogue
from kit.files import signing
from kit.records import open_records
from kit.records.competence.assess import at_one_go
from kit.records.competence.standings import keep_current
from kit.records.ledger import texts
from kit.records.ledger.acts import Act, LedgerHead, head
from kit.records.ledger.draws import NOT_DRAWN
from kit.records.people.crew import crew_by_name
from kit.records.people.keys import keys_on_file, open_key
from kit.records.people.named_acts import marks_in
from kit.records.people.staff import Hand, all_names, members, roles_of, utc_now
from kit.records.reports import crew_grid, desk_lists, person_page
from kit.records.reports.book_story import book_story
from kit.records.reports.this_week import this_week
from kit.records.reports.verifier_day import verifier_day
from kit.records.storage.store import Records, records_there
from kit.views.pictures import ink
from kit.views.tutor import pages, person
from kit.views.tutor.book_page import story_blocks
from kit.views.tutor.form import Done
from kit.views.tutor.form_attach import verdict_words
from kit.views.tutor.manager_page import house_of, manager_blocks
from kit.views.tutor.missing import NO_RECORDS, Missing
from kit.views.tutor.numbers_page import NumbersPart
from kit.views.tutor.part import Panel, Part
from kit.views.tutor.place import FIRST_DAY, PERSON_VARIABLE
from kit.views.tutor.verifier_page import verifier_blocks
from kit.views.tutor.week_page import week_blocks


class TutorDesk:
    """The desk of one tutor, verifier or manager. Each call below returns one part of the page.

    Parameters
    ----------
    records : Records, optional
        Default: those of this machine. Where there are none, each part says what to do first.
    me : str, optional
        The id of whoever is at the desk. Default: whom `smokehouse desk` named; nobody can look, not sign.
    clock : callable, optional
        For tests.
    catalogue : Catalogue, optional
        For tests.

    Examples
    --------
    In a notebook's first code cell::

        from kit.views.tutor import TutorDesk; desk = TutorDesk()
    """

    def __init__(
        self,
        *,
        records: Records | None = None,
        me: str | None = None,
        clock: Callable[[], datetime] = utc_now,
        catalogue: Catalogue | None = None,
    ) -> None:
        close_old_widgets()
        self._records = records or self._open_records()
        self._catalogue = catalogue or Catalogue()
        named = os.environ.get(PERSON_VARIABLE, "") if me is None else me
        self._first_day = named == FIRST_DAY
        self._me = first_manager(self._records) if self._first_day else named
        self._clock = clock
        self._parts: dict[str, Part] = {}
        self._panel: Panel | None = None
        self._numbers: NumbersPart | None = None
        self._board: dict[str, Any] = {"step": pages.STEPS, "page": 1, "search": "", "cell": None}
        self._person: dict[str, str] = {"person": "", "criterion": "", "search": ""}
        self._house: dict[str, str] = {"search": "", "chosen": ""}
        if self._records is not None:
            keep_current(self._records, self._catalogue)
            self._hand = Hand(self._records, self._me, clock=clock, catalogue=self._catalogue)
            with self._records.reading() as connection:
                self._name = all_names(connection).get(self._me, "") if self._me else ""
                self._roles = roles_of(connection, self._me)

    def _open_records(self) -> Records | None:
        try:
            records = open_records(make=False)
        except BadData:
            if records_there():
                raise
            return None
        finalize(self, records.close)  # a page run again makes a new desk: the old one lets go of the file
        return records

    def today(self) -> Part | Missing | Panel:
        """Show who is at the desk, whom to see, and what to sign; on the first day how to begin."""
        if self._first_day and not self._me:
            return self._begin()
        return self._part("today", self._show_today)

    def board(self) -> Part | Missing:
        """Show the crew on the rail: all steps, or one step with a column for each criterion."""
        return self._part("board", self._show_board)

    def person(self) -> Part | Missing:
        """Show one apprentice's page. Choose them in a list, on the rail, or by name."""
        ink.load_ahead()  # their page has a chart
        return self._part("person", self._show_person)

    def manager(self) -> Part | Missing:
        """Show the manager's desk: people, roles, keys, fitness, backups, papers, bringing in."""
        part = self._part("manager", self._show_manager, self._ask_manager)
        return part

    def numbers(self) -> Part | Missing:
        """Show which questions to mend, whether messages help, and how one's own decisions were taken."""
        if self._records is None:
            return Missing(self._first_day)
        self._numbers = NumbersPart(self._records, self._me, self._hand.today(), self._ask)
        return self._numbers

    def sign(self) -> Panel | Missing:
        """Show the forms: observe, decide, second signature, appeal, settle, look, note."""
        if self._records is None:
            return Missing(self._first_day)
        if self._panel is None:
            self._panel = Panel(
                self._hand, self._open_key, needs_password=self._has_key(), done=self._recorded
            )
        return self._panel

    def end(self) -> str:
        """Return the end of the chain of acts, as it is printed on reports."""
        if self._records is None:
            return NO_RECORDS
        with self._records.reading() as connection:
            return head_words(head(connection))

    def _begin(self) -> Panel:
        """Return the form of the first day, open. It needs no records: it makes them."""
        hand = Hand(cast("Records", self._records), "", clock=self._clock, catalogue=self._catalogue)
        panel = Panel(hand, lambda _: None, needs_password=False)
        panel.tell = lambda done: panel.result.show([pages.say(done.says)], focus="said", near=True)
        panel.open_form({"form": "first day"})
        return panel

    @at_one_go()
    def _part(
        self,
        name: str,
        show: Callable[[], None],
        ask: Callable[[Mapping[str, Any]], None] | None = None,
    ) -> Part | Missing:
        if self._records is None:
            return Missing(self._first_day)
        if name not in self._parts:
            self._parts[name] = Part(ask or self._ask, name)
        show()
        return self._parts[name]

    @at_one_go()
    def _ask(self, ask: Mapping[str, Any]) -> None:
        """Do what a part asks for."""
        what = ask.get("do")
        if what == "form":
            self._open_form(ask)
        elif what in ("person", "book"):
            self._person = {"person": str(ask["person"]), "criterion": "", "search": "", "page": str(what)}
            self._show_person(str(what))
        elif what == "evidence":
            self._evidence(ask)
        elif what == "step" and ask.get("criterion") == pages.STEPS:  # the column of what is safety-critical
            self._ask({"do": "person", "person": ask["person"]})
        elif what in ("board", "step"):
            self._turn_board(ask)
        elif what == "find":
            self._person["search"] = str(ask.get("search", ""))
            self._show_person()
        elif what == "another":
            self._person = {"person": "", "criterion": "", "search": ""}
            self._show_person("finder")
        elif what == "again":
            self._again()
        elif what == "close board":
            self._board["cell"] = None
            self._show_board()
        elif what == "close":
            self._person["criterion"] = ""
            self._show_person("person")

    def _ask_manager(self, ask: Mapping[str, Any]) -> None:
        """Do what the manager's desk asks for: find or choose somebody there, or open a form."""
        if ask.get("do") == "find":
            self._house = {"search": str(ask.get("search", ""))[:80], "chosen": ""}
            self._show_manager()
        elif ask.get("do") == "member":
            self._house["chosen"] = str(ask.get("person", ""))
            self._show_manager("member" if self._house["chosen"] else "")
        else:
            self._ask(ask)

    def _show_manager(self, focus: str = "") -> None:
        blocks = manager_blocks(house_of(self._hand), self._roles, **self._house)
        self._parts["manager"].show(blocks, focus=focus)

    def _open_form(self, ask: Mapping[str, Any]) -> None:
        panel = self.sign()
        if isinstance(panel, Panel):
            if panel.touched:
                assert panel.form is not None
                raise BadData(
                    "the form",
                    f"“{panel.form.title}” is open and something is typed in it",
                    "",
                    "Close it first.",
                )
            panel.open_form(ask)

    def _evidence(self, ask: Mapping[str, Any]) -> None:
        who, criterion = str(ask["person"]), str(ask["criterion"])
        if ask.get("from") == "board":
            self._board["cell"] = (who, criterion)
            self._show_board("evidence")
        else:
            self._person = {"person": who, "criterion": criterion, "search": ""}
            self._show_person("evidence")

    def _turn_board(self, ask: Mapping[str, Any]) -> None:
        self._board["cell"] = None
        if ask.get("do") == "step":
            self._board["step"] = str(ask["criterion"])
        for name in ("step", "search"):
            if name in ask:
                self._board |= {name: str(ask[name])[:80]}
        self._board["page"] = int(ask.get("page", 1 if "search" in ask else self._board["page"]))
        self._show_board()

    def _show_today(self, said: pages.Block | None = None) -> None:
        assert self._records is not None
        today = self._hand.today()
        see = desk_lists.to_see(self._records, today, self._catalogue)
        blocks = [
            *pages.who_block(self._name, self._roles, today),
            *([said] if said else []),
            *self._verifier_blocks(),
            *week_blocks(this_week(self._records, today, self._catalogue, see), self._catalogue),
            *pages.today_blocks(
                see,
                desk_lists.to_sign(self._records, self._me, today),
                desk_lists.to_look_into(self._records, self._me),
                self._me,
                self._roles,
                self._catalogue,
                len([one for one in desk_lists.to_sign(self._records, "", today) if one.by == self._me]),
            ),
        ]
        self._parts["today"].show(blocks)

    def _verifier_blocks(self) -> list[pages.Block]:
        if self._records is None or "verifier" not in self._roles:
            return []
        return verifier_blocks(verifier_day(self._records, self._me, self._hand.today(), self._catalogue))

    def _show_board(self, focus: str = "") -> None:
        assert self._records is not None
        state = self._board
        found = crew_grid.crew_page(
            self._records,
            self._hand.today(),
            catalogue=self._catalogue,
            search=state["search"],
            page=state["page"],
        )
        state["page"] = found.page
        blocks = pages.board_blocks(found, state["step"], state["search"], self._catalogue)
        if state["cell"] is not None:
            blocks += self._criterion(*state["cell"], close="Close and go back to the rail", do="close board")
        self._parts["board"].show(blocks, focus=focus)

    def _show_person(self, focus: str = "") -> None:
        assert self._records is not None
        if "person" not in self._parts:
            return
        state = self._person
        if not state["person"]:
            self._parts["person"].show(self._finder(state["search"]), focus=focus)
            return
        if state["criterion"]:
            blocks = self._criterion(state["person"], state["criterion"], close="The whole page", do="close")
        elif state.get("page") == "book":
            blocks = story_blocks(book_story(self._records, state["person"], self._catalogue))
        else:
            page = person_page.person_page(
                self._records, state["person"], self._hand.today(), self._catalogue
            )
            blocks = person.person_blocks(page, self._me, self._roles, self._catalogue)
        self._parts["person"].show(blocks, focus=focus)

    def _criterion(self, who: str, criterion: str, *, close: str, do: str) -> list[pages.Block]:
        page = person_page.criterion_page(self._hand, who, criterion)
        with self._hand.records.reading() as connection:
            told = texts.tell_all(connection, marks_in([act.facts for act in page.seen]))
        return person.criterion_blocks(page, told, self._roles, self._catalogue, close=(close, do))

    def _finder(self, search: str) -> list[pages.Block]:
        """Return a field to find somebody by name, and who was found."""
        assert self._records is not None
        wanted = search.casefold().strip()
        with self._records.reading() as connection:
            everyone = crew_by_name(connection)
        found = [one for one in everyone if wanted in one.name.casefold()]
        return pages.finder_blocks(found, search)

    def _recorded(self, done: Done) -> None:
        """Show the acts' numbers and the end of the chain, and everything as it stands now."""
        assert self._records is not None and self._panel is not None
        with self._records.reading() as connection:
            end = head(connection)
        self._again()
        said = "\n\n".join(
            part for part in (recorded_words(done.acts, end) if done.acts else "", done.says) if part
        )
        blocks = [pages.say(said or "Done.")]
        if done.file is not None:
            blocks.append(pages.download(*done.file))
        self._panel.result.show(blocks, focus="said", near=True)

    def _again(self) -> None:
        """Read everything that is on the page again: somebody else may have recorded something."""
        parts: dict[str, Callable[[], None]] = {
            "today": self._show_today,
            "board": self._show_board,
            "person": self._show_person,
            "manager": self._show_manager,
        }
        for name, show in parts.items():
            if name in self._parts:
                show()
        if self._numbers is not None:
            self._numbers.again()

    def _has_key(self) -> bool:
        with self._hand.records.reading() as connection:
            return self._me in keys_on_file(connection)

    def _open_key(self, password: str) -> signing.Signer | None:
        """Return the opened key of whoever is at the desk, or None if no key of theirs is on file."""
        if not self._has_key():
            return None
        return open_key(self._hand.records, self._me, self._name, lambda: password)


def recorded_words(made: Sequence[Act], end: LedgerHead) -> str:
    """Return what is said once acts are recorded."""
    first, last = made[0].number, made[-1].number
    what = f"act {first}" if len(made) == 1 else f"acts {first} to {last}, under one signing"
    more = ""
    decided = [act for act in made if act.kind == "decided" and act.facts["decision"] == "competent"]
    if decided:
        wanted = [str(act.criterion) for act in decided if act.facts.get("second_wanted")]
        on = f" on {', '.join(wanted)}" if len(made) > 1 else ""
        more = f" A second signature is wanted{on}." if wanted else f" {NOT_DRAWN.capitalize()}."
    if made[0].kind == "attached" and made[0].facts["verdicts"]:
        more = f" The log shows: {verdict_words(made[0].facts['verdicts'])}."
    return f"**Recorded as {what}.**{more}\n\n{head_words(end)}"


def head_words(end: LedgerHead) -> str:
    """Return the end of the chain in words.

    Examples
    --------
    >>> head_words(LedgerHead(0, ""))
    'No act is recorded yet.'
    """
    if not end.number:
        return "No act is recorded yet."
    return f"End of the chain: act {end.number}, {end.short}. On a report it stands for all before it."


def first_manager(records: Records | None) -> str:
    """Return the id of the only manager once the records are begun; before that an empty text."""
    if records is None:
        return ""
    able = [one.person for one in members(records) if "manager" in one.roles]
    return able[0] if len(able) == 1 else ""


def close_old_widgets() -> None:
    """Close the widgets of an earlier run of the same page: each run would add as many again."""
    from ipywidgets import Widget

    Widget.close_all()
