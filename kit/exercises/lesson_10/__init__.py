"""Exercises of lesson 10: run the smokehouse."""
