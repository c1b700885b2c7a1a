"""The side of the tutor: taking in answer books, competence, the board."""
