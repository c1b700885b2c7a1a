"""Commands of a tutor."""
