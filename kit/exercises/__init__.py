"""The exercise bank: one module a lesson, one function an exercise."""
