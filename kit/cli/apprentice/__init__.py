"""Commands of an apprentice."""
