"""What an apprentice must show, as data."""
