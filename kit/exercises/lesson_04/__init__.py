"""Exercises of lesson 4: wood, glow and smoke."""
