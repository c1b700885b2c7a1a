"""What leaves the records on paper or as a file: observation sheets, the inspector's file, tables, a copy of
all that is held about one person.
"""

from kit.records.reports.inspector_report import inspector_file
from kit.records.reports.own_copy import own_record
from kit.records.reports.person_summary import person_summary, person_summary_paper
from kit.records.reports.printed_sheet import observation_sheet
from kit.records.reports.tables_xlsx import as_workbook, decisions_csv
from kit.records.reports.wall_chart import wall_chart
from kit.records.reports.week_paper import week_paper

__all__ = [
    "as_workbook",
    "decisions_csv",
    "inspector_file",
    "observation_sheet",
    "own_record",
    "person_summary",
    "person_summary_paper",
    "wall_chart",
    "week_paper",
]
