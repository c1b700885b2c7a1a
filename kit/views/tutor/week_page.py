"""This week on the desk: one row a person, in words of the work."""

from collections.abc import Sequence

from kit.exercises.catalogue import Catalogue
from kit.records.competence.assessment import NEXT_SAYS
from kit.records.reports.board_page import long_day, step_title
from kit.records.reports.this_week import WeekRow
from kit.views.tutor.pages import Block, button, table, title, words

MOST_ENDS = 2


def week_blocks(week: Sequence[WeekRow], catalogue: Catalogue) -> list[Block]:
    """Return this week: one row a person, in words of the work."""
    if not week:
        return [title("This week"), words("Nobody waits to be seen, nobody is silent, and nothing runs out.")]
    cells = (_week_who, _week_where, _week_what, _week_know)
    rows = [[cell(row, catalogue) for cell in cells] for row in week]
    caption = f"{len(week)} people, the silent and the stuck first. The days are a proposal."
    head = ("Whom", "When, at which step", "What to see", "Good to know")
    return [title("This week"), table(caption, head, rows)]


def _week_who(row: WeekRow, _catalogue: Catalogue) -> Block:
    return button(row.name, says=f"Open the page of {row.name}", chip=True, do="person", person=row.person)


def _week_where(row: WeekRow, _catalogue: Catalogue) -> str:
    at = f", at: {step_title(row.step)}" if row.step else ", for a word"
    return f"{row.day:%A} {row.day.day} {row.day:%B}{at}"


def _week_what(row: WeekRow, catalogue: Catalogue) -> str:
    if not row.criteria:
        return "Nothing is ready to be seen. Ask how it goes."
    texts = " ".join(catalogue.criteria[name].text for name in row.criteria)
    more = f" And {row.more} more later." if row.more else ""
    return f"{NEXT_SAYS[row.sort].capitalize()}: {texts}{more}" if row.sort else f"{texts}{more}"


def _week_know(row: WeekRow, catalogue: Catalogue) -> str:
    known = []
    if row.silent_since is not None:
        known.append(f"Nothing since {long_day(row.silent_since)}.")
    if row.stuck and row.stuck in catalogue.criteria:
        known.append(f"Stuck at: {catalogue.criteria[row.stuck].text}")
    known += [
        f"Runs out on {long_day(day)}: {catalogue.criteria[name].text}"
        for name, day in row.runs_out[:MOST_ENDS]
        if name in catalogue.criteria
    ]
    beyond = len(row.runs_out) - MOST_ENDS
    return " ".join([*known, *([f"And {beyond} more run out."] if beyond > 0 else [])])
