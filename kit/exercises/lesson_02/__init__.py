"""Exercises of lesson 2: salt in the fish, and brines."""
