"""Commands of a manager."""
