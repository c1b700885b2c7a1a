"""What the desk shows where there are no records on this machine. No widgets here."""

NO_RECORDS = (
    "There are no records on this machine yet. First take answer books in: smokehouse take-in BOOK. "
    "Or look at an invented crew: smokehouse demo --keep FOLDER."
)
BEGIN_ABOVE = "Nothing is here yet. The form of the first day, above, begins the records."


class Missing:
    """What a part shows where there are no records: one line on what to do first."""

    def __init__(self, first_day: bool = False) -> None:
        self._line = BEGIN_ABOVE if first_day else NO_RECORDS

    def __repr__(self) -> str:
        """Return the line."""
        return self._line
