"""The science: pure functions and frozen data. Numbers in, numbers out; no files, no widgets."""
