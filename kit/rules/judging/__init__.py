"""What a record shows about each rule: met, not met, or cannot tell."""
