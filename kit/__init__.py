"""Teaching workbook and assessment kit for a fish smokehouse apprenticeship.

Importing ``kit`` is quick: each name below loads what it needs when it is first used.

For those who count
-------------------
load_rules(profile)
    The rules of one jurisdiction, each limit with its source. See ``kit.rules.load``.
judge(trace_or_values, profile)
    A verdict on each rule: met, not met, or cannot tell. See ``kit.rules.judge``.
check_log(file, profile)
    A temperature logger's file, judged. See ``kit.logs.checking.check_log``.
question(id, seed)
    A drawn question of an exercise. See ``kit.exercises.question``.
mark(question, raw_answer)
    What marking says to an answer. See ``kit.marking.mark``.
open_records(path)
    The tutor's records. See ``kit.records.open_records``.
tables
    All of it as pandas DataFrames. See ``kit.tables``.

Examples
--------
>>> import kit
>>> cook = kit.judge({"core_temp_c": 66.0, "hold_min": 12.0}, kit.load_rules("us-processor"), step="cook")
>>> [(verdict.rule, verdict.outcome) for verdict in cook][:2]
[('us-processor-cook-hold', 'not met'), ('us-processor-listeria-6d', 'met')]
>>> asked = kit.question("salt-for-brine", seed=1)
>>> kit.mark(asked, asked.answer).verdict
'right'
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:  # for editors and type checkers; at run time `__getattr__` finds them
    from kit import tables
    from kit.exercises import question
    from kit.logs.checking import check_log
    from kit.marking import mark
    from kit.records import open_records
    from kit.rules import judge
    from kit.rules import load as load_rules

__version__ = "0.1.0"
__all__ = ["check_log", "judge", "load_rules", "mark", "open_records", "question", "tables"]

_HOMES = {
    "check_log": ("kit.logs.checking", "check_log"),
    "judge": ("kit.rules", "judge"),
    "load_rules": ("kit.rules", "load"),
    "mark": ("kit.marking", "mark"),
    "open_records": ("kit.records", "open_records"),
    "question": ("kit.exercises", "question"),
}


def __getattr__(name: str) -> Any:
    """Load what ``kit`` offers under a name when it is first asked for."""
    if name == "tables":
        return import_module("kit.tables")
    if name not in _HOMES:
        raise AttributeError(f"module 'kit' has no attribute {name!r}; it offers {', '.join(__all__)}")
    module, there = _HOMES[name]
    return getattr(import_module(module), there)


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
