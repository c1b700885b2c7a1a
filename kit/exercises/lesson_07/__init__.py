"""Exercises of lesson 7: clean, record, stay safe."""
