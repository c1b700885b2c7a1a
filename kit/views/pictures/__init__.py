"""Pictures for questions and lessons: each a pure function of its data."""
