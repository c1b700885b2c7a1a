"""Files kept as evidence: their type, and photographs without the place."""
