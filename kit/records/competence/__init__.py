"""What practice and observation show, what was decided, and what a decision says today."""
