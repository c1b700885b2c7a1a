"""The steps of the day: each takes a fillet and settings, and gives back a fillet and its trace."""
