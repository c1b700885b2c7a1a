"""Exercises of lesson 6: chilling and keeping."""
