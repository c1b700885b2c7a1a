"""Exercises of lesson 5: smoke by time, cook by core temperature."""
