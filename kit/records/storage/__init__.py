"""The tables, their numbered changes, and opening the records."""
