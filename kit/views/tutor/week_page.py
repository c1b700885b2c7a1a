"""This week on the desk: one row a person, in words of the work."""

from collections.abc import Sequence

from kit.exercises.catalogue import Catalogue
from kit.records.reports.this_week import NOBODY, WeekRow, know_words, what_words, where_words
from kit.views.tutor.pages import Block, button, table, title, words

ON_PAPER = "To take it to the bench, print this page (Ctrl-P): only this week comes on the paper."


def week_blocks(week: Sequence[WeekRow], catalogue: Catalogue) -> list[Block]:
    """Return this week: one row a person, in words of the work."""
    if not week:
        return [title("This week"), words(NOBODY)]
    rows = [
        [_week_who(row), where_words(row), what_words(row, catalogue), know_words(row, catalogue)]
        for row in week
    ]
    caption = f"{len(week)} people, the silent and the stuck first. The days are a proposal."
    head = ("Whom", "When, at which step", "What to see", "Good to know")
    return [title("This week"), table(caption, head, rows), words(ON_PAPER, note=True)]


def _week_who(row: WeekRow) -> Block:
    return button(row.name, says=f"Open the page of {row.name}", chip=True, do="person", person=row.person)
