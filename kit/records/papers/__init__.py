"""What leaves the records on paper or as a file: observation sheets, the inspector's file, tables, a copy of
all that is held about one person.
"""

from kit.records.papers.inspector import inspector_file
from kit.records.papers.own import own_record
from kit.records.papers.sheet import observation_sheet
from kit.records.papers.workbook import as_workbook, decisions_csv

__all__ = ["as_workbook", "decisions_csv", "inspector_file", "observation_sheet", "own_record"]
