"""Exercises of lesson 8: the whole batch, step by step."""
