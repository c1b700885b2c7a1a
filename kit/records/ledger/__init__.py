"""The signed chain of acts, what follows from it, and the texts kept apart from it."""
