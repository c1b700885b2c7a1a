"""Exercises of lesson 9: sell, and answer for it."""
