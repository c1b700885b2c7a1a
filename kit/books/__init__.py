"""The files that pass between people: the answer book."""
