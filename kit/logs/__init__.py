"""Reading what a temperature logger exports, and finding the cook and the chilling in it."""

from kit.logs.phases import Found, find_phases
from kit.logs.reading import Log, LogOptions, read_log

__all__ = ["Found", "Log", "LogOptions", "find_phases", "read_log"]
