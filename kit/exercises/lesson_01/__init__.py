"""Exercises of lesson 1: fish in, bones, and the inspection bench."""
