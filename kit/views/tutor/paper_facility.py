"""The measured facility that drawing a test paper asks for, where the library for it is installed."""

from kit import statistics, tables
from kit.basics.errors import BadData
from kit.records.storage.store import Records


def measured_hardness(records: Records) -> dict[str, float]:
    """Return the measured share right at the first meeting, by exercise; nothing without the library for it.

    Examples
    --------
    >>> import kit, tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     records = kit.open_records(f"{folder}/records.db")
    ...     measured_hardness(records)
    ...     records.close()
    {}
    """
    try:
        return statistics.measured_facility(tables.attempts(records))
    except BadData:
        return {}
