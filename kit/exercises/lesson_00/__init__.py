"""Exercises of lesson 0: the day, the house rules, units and the probe."""
