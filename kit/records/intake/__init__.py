"""Taking answer books in: marking again, writing, and what waits for a look."""
