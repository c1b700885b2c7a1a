"""Limits and windows as data, each with its source, and the judging of a trace against them."""
