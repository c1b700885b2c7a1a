"""Reading what a temperature logger exports, and finding the cook and the chilling in it."""

from kit.logs.phases import Found, find_phases
from kit.logs.reading import Log, Reading, read_log

__all__ = ["Found", "Log", "Reading", "find_phases", "read_log"]
