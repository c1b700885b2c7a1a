"""Exercises of lesson 3: the pellicle and the air that dries."""
